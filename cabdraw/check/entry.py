"""Whether each part gets into the car and to its place: through the door opening, and turned inside."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot, sqrt

from cabdraw.cab import BOARD_BANDS, Cab, Part
from cabdraw.check.codes import code
from cabdraw.errors import Finding, Path
from cabdraw.frozen import Frozen
from cabdraw.rational import Fraction
from cabdraw.units import INCH, ZERO, Length, mm

ENTRY = code(
    "assembly-entry",
    "error",
    "fabrication",
    "a part does not pass the door opening, or cannot be turned inside the car to its place",
)

#: What a part may want when it is stood up, so that it still goes: thin metal springs, a board is eased on its
#: back edge (common practice: 1/32 in).
SPRINGS = float(INCH * Fraction(1, 32))


class Opening(Frozen):
    """The door opening and the finished car behind it, in mm; `side` is the narrower return."""

    width: float
    height: float
    side: float
    across: float
    depth: float
    ceiling: float

    @property
    def diagonal(self) -> float:
        """From corner to corner of the opening."""
        return hypot(self.width, self.height)

    def reach(self, broad: float) -> float:
        """The longest part so broad that goes in end first: laid flat, from the opening's head at one jamb down to
        the foot of the far corner.
        """
        aside = max(self.across - self.side - broad, 0.0)
        return sqrt(self.depth**2 + self.height**2 + aside**2)


def opening(cab: Cab) -> Opening | None:
    """The door opening between two surveyed returns under a surveyed transom; None where it is not known."""
    front, clear = cab.front, cab.clear
    if front is None or front.underside is None or clear.width is None or clear.depth is None:
        return None
    returns = {found.side: found.width for found in front.returns}
    if len(returns) < 2:
        return None
    # The returns are measured from the shells.
    shells = clear.width + cab.projection("left") + cab.projection("right")
    width = shells - returns["left"] - returns["right"]
    if width <= ZERO:
        return None
    return Opening(
        float(width),
        float(front.underside),
        float(min(returns.values())),
        float(clear.width),
        float(clear.depth),
        float(clear.height),
    )


def entry(cab: Cab) -> Iterator[Finding]:
    """One finding for each wall and kind of part that cannot be brought in; none where the opening is not known."""
    door = opening(cab)
    if door is None:
        return
    kinds: dict[tuple[str, str | None, str, str], list[Part]] = {}
    texts: dict[tuple[str, str | None, str, str], tuple[str, str]] = {}
    for part in cab.parts:
        fault = _fault(cab, door, part)
        if fault is not None:
            key = (str(part.kind), part.tier, str(part.wall), fault[1])
            kinds.setdefault(key, []).append(part)
            texts.setdefault(key, fault)
    for key, parts in kinds.items():
        text, hint = texts[key]
        marks = tuple(part.mark for part in parts)
        more = f" (and {len(marks) - 1} more like it)" if len(marks) > 1 else ""
        path: Path = ("layout", "walls", parts[0].wall)
        yield ENTRY.at(f"{marks[0]}{more}: {text}", path, hint, parts[0].wall, marks)


def _thickness(cab: Cab, part: Part) -> float:
    """How deep a part is as it is carried: a base or a frieze as deep as its legs, a trim as its sheet."""
    wall = cab.walls.get(part.wall)
    if part.kind in ("base", "frieze") and wall is not None:
        return float(wall.projection)
    if part.thickness is not None:
        return float(part.thickness)
    profile = cab.practice.profile(part.kind.replace("-", "_"))
    return float(profile.thickness) if profile is not None else 0.0


def _fault(cab: Cab, door: Opening, part: Part) -> tuple[str, str] | None:
    """Why a part does not get in, and what would mend it; None if it does."""
    size = cab.printing.size
    long, broad = max(part.width, part.height), min(part.width, part.height)
    length, breadth, thick = float(long), float(broad), _thickness(cab, part)
    split = "divide it at a joint, or have it brought in through the car's top by the mechanic"
    passes = max(door.width, door.height, door.diagonal - thick)
    if breadth > passes:
        return (
            f"it is {size(broad)} at its narrowest, and the opening, {_size(cab, door.width)} wide and"
            f" {_size(cab, door.height)} high, passes {_size(cab, passes)} from corner to corner",
            split,
        )
    stands = length <= door.height and breadth <= door.width
    lies = length <= door.width and breadth <= door.height
    reach = door.reach(min(breadth, door.width))
    if not stands and not lies and length > reach:
        return (
            f"it is {size(long)} long, and through the opening goes no more than {_size(cab, reach)} end first:"
            f" {_size(cab, door.depth)} deep, {_size(cab, door.height)} under the transom",
            split,
        )
    upright = part.height >= part.width and part.kind not in (*BOARD_BANDS, "base", "frieze")
    if upright and not stands:
        turned = hypot(length, thick)
        if turned > door.ceiling + SPRINGS:
            return (
                f"it goes in end first, and standing it up takes {_size(cab, turned)} ({size(long)} long and"
                f" {_size(cab, thick)} thick); the car is {_size(cab, door.ceiling)} high",
                "make it shorter, or in two pieces",
            )
    if not upright:
        return _swung(cab, part, length, breadth, thick)
    return None


def _swung(cab: Cab, part: Part, length: float, breadth: float, thick: float) -> tuple[str, str] | None:
    """A part that lies along its wall is turned in the wall's plane, or swung in plan from one end."""
    wall = cab.walls.get(part.wall)
    if wall is None:
        return None
    clear = wall.gaps[0] + wall.run + wall.gaps[1]
    turned, swung, room = hypot(length, breadth), hypot(length, thick), float(clear)
    # Gaps too narrow for the joint are a finding of fit's, and one fault is one finding.
    if min(wall.gaps) < cab.joint.engagement + cab.joint.clearance or min(turned, swung) <= room:
        return None
    return (
        f"turned on the wall it takes {_size(cab, turned)}, swung in from one end {_size(cab, swung)};"
        f" between what stands at the ends of the {wall.name} wall there is {cab.printing.size(clear)}",
        "divide it at a joint, or make the gaps at its ends wider",
    )


def _size(cab: Cab, value: float) -> str:
    return cab.printing.size(_length(value))


def _length(value: float) -> Length:
    return mm(Fraction(round(value * 1000), 1000))

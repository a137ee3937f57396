"""The handrails against one another in the corners, in plan."""

from __future__ import annotations

from collections.abc import Iterator
from math import hypot

from cabdraw.cab import Cab, Rail, Wall, WallName
from cabdraw.check.codes import code
from cabdraw.check.figures import figures
from cabdraw.errors import Finding, Path
from cabdraw.rational import Fraction
from cabdraw.units import INCH, ZERO, Length

MEET = code("rail-corner", "error", "fabrication", "the ends of two rails run into each other in a corner")
NEAR = code("rail-corner-near", "warning", "nothing", "the ends of two rails are too near each other for a hand")

#: Room for a hand between the ends of two rails (common practice: 1 1/2 in).
HAND = Length(INCH * Fraction(3, 2))


def rails(cab: Cab) -> Iterator[Finding]:
    """Findings about rails that meet in a corner."""
    back = cab.walls.get("back")
    if back is None or back.rail is None:
        return
    sides: tuple[WallName, ...] = ("left", "right")
    for name in sides:
        side = cab.walls.get(name)
        if side is None or side.rail is None:
            continue
        if abs(side.rail.y - back.rail.y) < (side.rail.height + back.rail.height) / 2:
            yield from _corner(cab, back, back.rail, side, side.rail)


def _front(wall: Wall, rail: Rail) -> Length:
    """How far a rail's front stands off its wall's shell."""
    return wall.projection + rail.standoff + rail.thickness


def _corner(cab: Cab, back: Wall, back_rail: Rail, side: Wall, side_rail: Rail) -> Iterator[Finding]:
    """Two rails in one corner: the end of each against the front of the other.

    A rail's end is measured along its own wall from the corner; the other rail's front along the same line.
    """
    left = side.name == "left"
    back_end = back_rail.x if left else back.width - back_rail.right
    side_end = side.width - side_rail.right if left else side_rail.x
    across, along = back_end - _front(side, side_rail), side_end - _front(back, back_rail)
    marks = ("rail-back", f"rail-{side.name}")
    path: Path = ("handrail", "end_clearance")
    hint = "make end_clearance greater"
    if across <= ZERO and along <= ZERO:
        yield MEET.at(
            f"{marks[0]} and {marks[1]} run into each other in the corner: {marks[0]} ends"
            f" {cab.printing.size(-across)} beyond the front of {marks[1]}, and {marks[1]}"
            f" {cab.printing.size(-along)} beyond the front of {marks[0]}",
            path,
            hint,
            side.name,
            marks,
        )
        return
    x, y = max(across, ZERO), max(along, ZERO)
    if x.mm**2 + y.mm**2 < HAND.mm**2:
        apart = Length(Fraction(hypot(x.mm, y.mm))) if x and y else x + y
        there, wanted = figures(cab, apart, HAND)
        yield NEAR.at(
            f"{marks[0]} and {marks[1]} are {there} apart in the corner, and a hand needs {wanted}",
            path,
            hint,
            side.name,
            marks,
        )

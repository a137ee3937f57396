"""Ways by which a part can come to its place, each tried by sweeping its section past what is already fixed.

Every move is along one axis: in from the room, sideways, or down. What a box sweeps is then a box: its section on
the wall's face is looked up among those of everything fixed, its depth is compared.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import Literal

from cabdraw.frozen import Frozen
from cabdraw.resolve.bodies import FAR, Box
from cabdraw.resolve.near import Near
from cabdraw.units import ZERO, Length

#: In the order in which they are tried. `slip`: with its splines drawn back into its own grooves, which are then
#: slid out; `from-above`: a spline let down from over its tier's head.
Kind = Literal["straight", "drop", "shift", "shift-drop", "slip", "slip-drop", "from-above"]
#: What may touch: less than this in mm is no overlap.
NOTHING = 1e-4


class Way(Frozen):
    """In from the room so far to the right (`across`; to the left if less than zero) and so far above its place."""

    kind: Kind
    across: Length = ZERO
    raised: Length = ZERO
    lower_first: bool = True

    @property
    def stops(self) -> tuple[tuple[float, float, float], ...]:
        """Where it is at each turn, as (x, y, z) from its place."""
        x, y = float(self.across), float(self.raised)
        found = [(x, y, FAR), (x, y, 0.0)]
        if x and y:
            found.append((x, 0.0, 0.0) if self.lower_first else (0.0, y, 0.0))
        if x or y:
            found.append((0.0, 0.0, 0.0))
        return tuple(found)


class Blocked(Frozen):
    """A way that is not free: what is in it, how far, in mm, and which way it would have to give."""

    way: Way
    by: str
    overlap: float
    axis: Literal["x", "y"]

    @property
    def needs(self) -> Length:
        """How much room the move takes; zero for one that is straight in."""
        return abs(self.way.across if self.axis == "x" else self.way.raised)


def _swept(box: Box, start: tuple[float, float, float], stop: tuple[float, float, float]) -> Box:
    (x, y, z), (u, v, w) = start, stop
    return (
        box[0] + min(x, u), box[1] + max(x, u), box[2] + min(y, v), box[3] + max(y, v),
        box[4] + min(z, w), box[5] + max(z, w),
    )  # fmt: skip


class Space:
    """Everything that will stand on a wall, each in its place, and which of it stands already."""

    def __init__(self, solids: Iterable[tuple[str, Box]]) -> None:
        self._solids = list(solids)
        self._near = Near([box for _, box in self._solids])
        self._bodies: dict[str, list[Box]] = {}
        for name, box in self._solids:
            self._bodies.setdefault(name, []).append(box)
        self.fixed: set[str] = set()

    def body(self, name: str) -> list[Box]:
        """The boxes of a part in its place."""
        return self._bodies.get(name, [])

    def blocked(self, moving: Sequence[Box], way: Way, without: Sequence[str] = ()) -> Blocked | None:
        """What is in the way of some boxes, the one that is most in it; None if the way is free.

        `without` names what moves along and blocks nothing.
        """
        stops = way.stops
        swept = [_swept(box, start, stop) for start, stop in pairwise(stops) for box in moving]
        pairs = [(box, *solid) for box in swept for solid in self._met(box, without)]
        return _worst(way, pairs)

    def meets(self, moving: Sequence[Box], without: Sequence[str] = ()) -> tuple[str, float] | None:
        """What some boxes overlap where they are, and how far in depth, in mm: the deepest; None if nothing."""
        found = [
            (name, min(box[5] - other[4], other[5] - box[4]))
            for box in moving
            for name, other in self._met(box, without)
            if _overlap(box, other) is not None
        ]
        return max(found, key=lambda hit: (hit[1], hit[0]), default=None)

    def _met(self, box: Box, without: Sequence[str]) -> Iterator[tuple[str, Box]]:
        """What stands already where a box is or is swept."""
        for number in self._near.met(box):
            name, other = self._solids[number]
            if name in self.fixed and name not in without:
                yield name, other


def overlapping(moving: Sequence[Box], way: Way, standing: Sequence[tuple[str, Box]]) -> Blocked | None:
    """What some boxes overlap that move along a way together with others, the one most in the way; None if nothing."""
    return _worst(way, [(box, name, other) for box in moving for name, other in standing])


def _worst(way: Way, pairs: Iterable[tuple[Box, str, Box]]) -> Blocked | None:
    found = [
        Blocked(way, name, *_axis(way, hit)) for box, name, other in pairs if (hit := _overlap(box, other)) is not None
    ]
    return max(found, key=lambda block: (block.overlap, block.by), default=None)


def _axis(way: Way, hit: tuple[float, float]) -> tuple[float, Literal["x", "y"]]:
    """How far an overlap is along the move, and along which axis that is."""
    x, y = hit
    if way.across and not way.raised:
        return x, "x"
    if way.raised and not way.across:
        return y, "y"
    return (x, "x") if x <= y else (y, "y")


def _overlap(a: Box, b: Box) -> tuple[float, float] | None:
    """How far two boxes overlap, across and up; None if they do not."""
    if min(a[5], b[5]) - max(a[4], b[4]) <= NOTHING:
        return None
    x = min(a[1] - b[0], b[1] - a[0])
    y = min(a[3] - b[2], b[3] - a[2])
    return (x, y) if x > NOTHING and y > NOTHING else None


def moved(boxes: Iterable[Box], x: float) -> list[Box]:
    """Boxes, so far to the right."""
    return [(b[0] + x, b[1] + x, *b[2:]) for b in boxes]


def ways(shifts: Iterable[Length], raises: Iterable[Length]) -> Iterator[Way]:
    """Every plain way, the simplest first: straight in, down, sideways either way, and both."""
    ups, across = list(raises), [s for shift in shifts for s in (shift, -shift)]
    yield Way("straight")
    for up in ups:
        yield Way("drop", raised=up)
    for shift in across:
        yield Way("shift", across=shift)
    for up in ups:
        for shift in across:
            yield Way("shift-drop", shift, up)
            yield Way("shift-drop", shift, up, False)

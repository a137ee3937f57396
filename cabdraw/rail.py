"""A resolved handrail: where it is, its standoffs and how they were placed, its bolt; and old holes in a shell."""

from __future__ import annotations

from itertools import pairwise
from typing import Literal

from cabdraw.frozen import Frozen
from cabdraw.units import Length


class Standoff(Frozen):
    """One standoff of a rail; numbered from the left, from 1."""

    number: int
    x: Length
    y: Length


class Bolt(Frozen):
    """The bolt: what it goes through, and the shortest stock length that fits, None if none does.

    `shortest` and `longest` bound the lengths that would fit; `longest` is None where nothing bounds it.
    `thread` is the least and greatest engagement in the standoff, `anchor` what the anchor needs past the shell.
    """

    stack: Length
    length: Length | None
    shortest: Length
    longest: Length | None
    thread: tuple[Length, Length]
    anchor: Length


class OldHole(Frozen):
    """A hole that is in the shell already; its diameter is None where nobody measured it."""

    x: Length
    y: Length
    diameter: Length | None


#: How a rail's standoffs come by their places: by the format's rule, moved clear of what is in the way, in old holes.
PlacedBy = Literal["rule", "clear", "existing"]


class Placing(Frozen):
    """How a rail's standoffs are placed, and within which limits."""

    by: PlacedBy
    overhang: Length
    """Nominal: from the end of the rail to the first standoff."""
    least_overhang: Length
    greatest_overhang: Length
    least_spacing: Length
    greatest_spacing: Length
    step: Length
    """What the distances between standoffs are whole numbers of, the increment."""


class Rail(Frozen):
    """A wall's handrail: its left end `x`, its centre line `y`, its standoffs and its fixing."""

    length: Length
    x: Length
    y: Length
    shape: Literal["round", "flat"]
    height: Length
    thickness: Length
    standoff: Length
    standoffs: tuple[Standoff, ...]
    placing: Placing
    pilot: Length
    hole: Length
    bolted: bool
    """Whether the spec names a bolt for it."""
    bolt: Bolt | None
    insertion: Length | None
    flange: Length | None
    through: str
    """The kind of band that it is bolted through: backer or full."""

    @property
    def right(self) -> Length:
        """Its right end."""
        return self.x + self.length

    @property
    def bays(self) -> tuple[Length, ...]:
        """The distances from each standoff to the next, from the left."""
        return tuple(b.x - a.x for a, b in pairwise(self.standoffs))

    @property
    def spacing(self) -> Length | None:
        """The distance between any two neighbours; None where distances differ."""
        return self.bays[0] if len(set(self.bays)) == 1 else None

    @property
    def overhang(self) -> Length | None:
        """How far the rail reaches past its first and its last standoff; None where the two differ."""
        left, right = self.standoffs[0].x - self.x, self.right - self.standoffs[-1].x
        return left if left == right else None

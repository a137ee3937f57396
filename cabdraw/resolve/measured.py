"""From readings to governing sizes, and what was measured between the readings."""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.rational import Fraction
from cabdraw.units import Length, between, greatest, least

#: What a height reading is called once it counts from the floor's high point.
ABOVE = "height reading {} above the floor's high point"


def above_high_point(heights: Sequence[Length], falls: Sequence[Length] | None) -> tuple[Length, ...]:
    """Each height reading less the fall of the floor at its place, so that all count from the floor's high point.

    One height alone was read at no known place and loses the greatest fall.
    """
    if falls is None:
        return tuple(heights)
    if len(heights) == 1:
        most = greatest(falls).called("greatest fall of the floor")
        return ((heights[0] - most).called(ABOVE.format(1)),)
    last = len(heights) - 1
    fallen = [
        between(falls, Fraction(i, last)).called(f"fall of the floor at height reading {i + 1}")
        for i in range(last + 1)
    ]
    return tuple((height - fallen[i]).called(ABOVE.format(i + 1)) for i, height in enumerate(heights))


def governing(readings: Sequence[Length], uncertainty: Length, of: str = "size") -> Length:
    """The size that everything is made to: the least reading less the survey's uncertainty; `of` is what was read."""
    return least(readings).called(f"least reading of the {of}") - uncertainty

"""The fewest block sizes that set every gap within a tolerance."""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.rational import Fraction
from cabdraw.units import Length


def fewest(gaps: Sequence[Length], tolerance: Length, step: Length, given: Sequence[Length] = ()) -> tuple[Length, ...]:
    """A size for each gap, none further from it than the tolerance, of as few sizes as can be, whole numbers of steps.

    `given` are sizes that are there anyway. The rest is the stabbing of intervals with the fewest points: the
    point that lies as high as the lowest-ending interval allows, again and again. No set is smaller, since each
    of the intervals that called for a point lies wholly above the point before (a classic exchange argument).
    The tolerance must be at least half a step. Raises ValueError where it is less.
    """
    if 2 * tolerance < step:
        raise ValueError("the tolerance is less than half of the step that blocks are cut to")
    sizes: dict[int, Length] = {}
    for index, gap in enumerate(gaps):
        near = [size for size in given if abs(size - gap) <= tolerance]
        if near:
            sizes[index] = min(near, key=lambda size: (abs(size - gap), size))
    waiting = sorted((i for i in range(len(gaps)) if i not in sizes), key=lambda i: gaps[i])
    while waiting:
        point = (gaps[waiting[0]] + tolerance).floor_to(step)
        group = [i for i in waiting if gaps[i] - tolerance <= point]
        size = _middle([gaps[i] for i in group], tolerance, step)
        for i in group:
            sizes[i] = size
        waiting = waiting[len(group) :]
    return tuple(sizes[i] for i in range(len(gaps)))


def _middle(gaps: Sequence[Length], tolerance: Length, step: Length) -> Length:
    """The size within the tolerance of all gaps of a group, rising, that is least far from the furthest of them."""
    low, high = gaps[-1] - tolerance, gaps[0] + tolerance
    size = ((gaps[0] + gaps[-1]) * Fraction(1, 2)).nearest_to(step)
    if size > high:
        size -= step
    return size + step if size < low else size

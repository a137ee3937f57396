"""Fixtures cut out of parts, and what parts so cut leave open of a wall: what is not one-dimensional.

shapely works here in floating millimetres; what comes out are values: rectangles' own exact edges.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from typing import Literal

from cabdraw.cab import Cut, Fixture, Part, Point, Rect, Ring, Shape
from cabdraw.frozen import replace
from cabdraw.stop import undisturbed
from cabdraw.units import Length

# It loads numpy from within C, where Ctrl-C would be printed, and then taken for numpy not being there.
with undisturbed():
    import shapely
from shapely.geometry import MultiPolygon, Polygon, box
from shapely.geometry.base import BaseGeometry

#: Areas in square mm under which two edges that touch count as touching, not overlapping.
NOTHING = 1e-3


def polygon(rect: Rect) -> Polygon:
    """A rectangle in floating millimetres."""
    return box(float(rect.x), float(rect.y), float(rect.right), float(rect.top))


def pieces(shape: BaseGeometry) -> tuple[Polygon, ...]:
    """The polygons that a geometry is made of, from the left, then from the floor; lines and points are left out."""
    found = [g for g in shapely.get_parts(shape) if isinstance(g, Polygon) and g.area > NOTHING]
    return tuple(sorted(found, key=lambda g: (g.bounds[0], g.bounds[1])))


class Edges:
    """Finds the exact length that a floating coordinate stands for."""

    def __init__(self, lengths: Iterable[Length]) -> None:
        self._exact = sorted(set(lengths))
        self._floats = [float(length) for length in self._exact]

    def __call__(self, value: float) -> Length:
        at = bisect_left(self._floats, value)
        near = [i for i in (at - 1, at) if 0 <= i < len(self._floats)]
        return self._exact[min(near, key=lambda i: abs(self._floats[i] - value))]


def cut(part: Part, fixtures: Sequence[Fixture]) -> Part:
    """A part with each fixture's opening cut out of it that it meets."""
    if part.visible is None:
        return part
    whole = polygon(part.visible)
    cuts: list[Cut] = []
    left: BaseGeometry = whole
    rects = [part.visible]
    for index, fixture in enumerate(fixtures):
        opening = polygon(fixture.opening)
        if whole.intersection(opening).area <= NOTHING:
            continue
        rest = pieces(whole.difference(opening))
        cuts.append(Cut(fixture.what, index, _kind(rest), fixture.opening))
        left = left.difference(opening)
        rects.append(fixture.opening)
    if not cuts:
        return part
    across = Edges(edge for rect in rects for edge in (rect.x, rect.right))
    up = Edges(edge for rect in rects for edge in (rect.y, rect.top))

    def ring(coords: Iterable[tuple[float, ...]]) -> Ring:
        return tuple(Point(across(c[0]), up(c[1])) for c in list(coords)[:-1])

    shapes = tuple(
        Shape(ring(shapely.normalize(p).exterior.coords), tuple(ring(hole.coords) for hole in p.interiors))
        for p in pieces(left)
    )
    return replace(part, cuts=tuple(cuts), shapes=shapes)


def _kind(rest: Sequence[Polygon]) -> Literal["hole", "notch", "split", "all"]:
    if len(rest) != 1:
        return "split" if rest else "all"
    return "hole" if rest[0].interiors else "notch"


def seen(part: Part) -> BaseGeometry:
    """What of a part shows on its wall, fixtures cut out, in floating millimetres."""
    if part.visible is None:
        return MultiPolygon()
    if not part.cuts:
        return polygon(part.visible)
    return MultiPolygon(
        [
            Polygon(
                [(float(p.x), float(p.y)) for p in shape.outline],
                [[(float(p.x), float(p.y)) for p in hole] for hole in shape.holes],
            )
            for shape in part.shapes
        ]
    )


def overlaps(parts: Sequence[Part], near: Iterable[tuple[int, int]]) -> Iterator[tuple[str, str, float]]:
    """Where parts overlap, as (mark, mark, square mm), of the pairs whose rectangles do."""
    for first, second in near:
        area = seen(parts[first]).intersection(seen(parts[second])).area
        if area > NOTHING:
            yield parts[first].mark, parts[second].mark, area


def left_open(row: Rect, parts: Sequence[Part], meant: Sequence[Rect]) -> Iterator[tuple[str, str, float]]:
    """What parts leave open of a row besides what is meant to be, as (place, "", square mm), from the left."""
    covered = shapely.union_all([*(seen(part) for part in parts), *(polygon(rect) for rect in meant)])
    for rest in pieces(polygon(row).difference(covered)):
        x0, y0, x1, y1 = rest.bounds
        yield f"x {x0:.1f} to {x1:.1f}, y {y0:.1f} to {y1:.1f} mm", "", rest.area

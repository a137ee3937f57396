"""What is not one-dimensional: fixtures cut out of parts, and whether the visible parts cover a wall without overlap.

shapely works here in floating millimetres; what comes out are values: rectangles' own exact edges.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from typing import Literal

import shapely
from shapely.geometry import MultiPolygon, Polygon, box
from shapely.geometry.base import BaseGeometry

from cabdraw.cab import Cut, Fixture, Part, Point, Rect, Ring, Shape, Wall
from cabdraw.frozen import replace
from cabdraw.units import Length

#: Areas in square mm under which two edges that touch count as touching, not overlapping.
NOTHING = 1e-3
#: Parts that are cut round what stands on the wall.
CUT_KINDS = ("panel", "backer", "bumper", "crown", "frieze", "base")


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


def cut_parts(parts: Sequence[Part], fixtures: Sequence[Fixture]) -> tuple[Part, ...]:
    """The parts with each fixture's opening cut out of those that it meets."""
    if not fixtures:
        return tuple(parts)
    return tuple(_cut(part, fixtures) for part in parts)


def _cut(part: Part, fixtures: Sequence[Fixture]) -> Part:
    if part.kind not in CUT_KINDS or part.visible is None:
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


def coverage(wall: Wall) -> tuple[tuple[str, str, float], ...]:
    """Where visible parts of a wall overlap, as (mark, mark, square mm), and what they leave open, as (place, "", ...).

    The rail stands off the wall and is left out; margins, gap bands and fixtures' openings are meant to be open.
    """
    parts = [part for part in wall.parts if part.visible is not None and part.kind != "handrail"]
    shapes = [seen(part) for part in parts]
    bounds = [shape.bounds for shape in shapes]
    wrong: list[tuple[str, str, float]] = []
    for i, j in _near(shapes, bounds):
        area = shapes[i].intersection(shapes[j]).area
        if area > NOTHING:
            wrong.append((parts[i].mark, parts[j].mark, area))
    row = (float(wall.margins[0]), 0.0, float(wall.row_end), float(wall.height))
    gaps = [polygon(Rect(wall.margins[0], band.y, wall.run, band.height)) for band in wall.bands if band.kind == "gap"]
    whole = box(*row)
    apart = not wrong and not wall.fixtures and all(_inside(bound, row) for bound in bounds)
    if apart and abs(whole.area - sum(shape.area for shape in (*shapes, *gaps))) <= NOTHING:
        # Shapes inside the row that do not overlap leave nothing open if their areas add up to it.
        return ()
    meant = [*gaps, *(polygon(fixture.opening) for fixture in wall.fixtures)]
    for rest in pieces(whole.difference(shapely.union_all([*shapes, *meant]))):
        x0, y0, x1, y1 = rest.bounds
        wrong.append((f"x {x0:.1f} to {x1:.1f}, y {y0:.1f} to {y1:.1f} mm", "", rest.area))
    return tuple(wrong)


#: A shape's least x and y, then its greatest, in floating millimetres.
Bounds = tuple[float, float, float, float]


def _near(shapes: Sequence[BaseGeometry], bounds: Sequence[Bounds]) -> list[tuple[int, int]]:
    """Pairs of shapes whose bounds do more than touch, in order."""
    if not shapes:
        return []
    pairs = zip(*shapely.STRtree(shapes).query(shapes).tolist(), strict=True)
    return sorted((i, j) for i, j in pairs if i < j and _overlap(bounds[i], bounds[j]) > NOTHING)


def _overlap(a: Bounds, b: Bounds) -> float:
    across, up = min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])
    return across * up if across > 0 and up > 0 else 0.0


def _inside(a: Bounds, b: Bounds) -> bool:
    slack = 1e-6
    return a[0] >= b[0] - slack and a[1] >= b[1] - slack and a[2] <= b[2] + slack and a[3] <= b[3] + slack

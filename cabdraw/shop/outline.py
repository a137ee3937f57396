"""What openings leave of a rectangle: exact rings of upright edges."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence

from cabdraw.cab import Point, Rect, Ring, Shape
from cabdraw.rational import Fraction
from cabdraw.units import ZERO, Length

_Cell = tuple[int, int]


def without(rect: Rect, openings: Sequence[Rect]) -> tuple[Shape, ...]:
    """The pieces that are left, from the left, then from below; empty if nothing is.

    Outlines run anticlockwise from their lowest left corner, holes clockwise.
    """
    openings = [o for o in openings if o.x < rect.right and rect.x < o.right and o.y < rect.top and rect.y < o.top]
    if not openings and rect.width > ZERO and rect.height > ZERO:
        corners = ((rect.x, rect.y), (rect.right, rect.y), (rect.right, rect.top), (rect.x, rect.top))
        return (Shape(tuple(Point(x, y) for x, y in corners), ()),)
    across = sorted({rect.x, rect.right} | {x for o in openings for x in (o.x, o.right) if rect.x < x < rect.right})
    up = sorted({rect.y, rect.top} | {y for o in openings for y in (o.y, o.top) if rect.y < y < rect.top})
    left = {(i, j) for i in range(len(across) - 1) for j in range(len(up) - 1)}
    for o in openings:
        columns = range(bisect_left(across, o.x), bisect_left(across, min(o.right, rect.right)))
        rows = range(bisect_left(up, o.y), bisect_left(up, min(o.top, rect.top)))
        left.difference_update((i, j) for i in columns for j in rows)
    shapes = []
    while left:
        piece = _connected(left, min(left))
        left -= piece
        rings = [_ring(course, across, up) for course in _courses(piece)]
        # The outline holds the lowest left corner of all.
        outline = min(rings, key=lambda ring: min((p.x, p.y) for p in ring))
        shapes.append(Shape(outline, tuple(ring for ring in rings if ring is not outline)))
    return tuple(shapes)


def _connected(cells: set[_Cell], start: _Cell) -> set[_Cell]:
    found, waiting = {start}, [start]
    while waiting:
        i, j = waiting.pop()
        for near in ((i + 1, j), (i - 1, j), (i, j + 1), (i, j - 1)):
            if near in cells and near not in found:
                found.add(near)
                waiting.append(near)
    return found


def _courses(piece: set[_Cell]) -> list[list[_Cell]]:
    """The closed courses of grid corners round a piece, with the piece on the left of each step."""
    steps: dict[_Cell, list[_Cell]] = {}
    for i, j in piece:
        for outside, start, end in (
            ((i, j - 1), (i, j), (i + 1, j)),
            ((i + 1, j), (i + 1, j), (i + 1, j + 1)),
            ((i, j + 1), (i + 1, j + 1), (i, j + 1)),
            ((i - 1, j), (i, j + 1), (i, j)),
        ):
            if outside not in piece:
                steps.setdefault(start, []).append(end)
    courses = []
    while steps:
        start = min(steps)
        course, at, came = [start], start, (0, 0)
        while True:
            ways = steps[at]
            # Where two openings touch at a corner, turn right, which keeps their rings apart.
            way = min(ways, key=lambda end: came[0] * (end[1] - at[1]) - came[1] * (end[0] - at[0]))
            ways.remove(way)
            if not ways:
                del steps[at]
            came, at = (way[0] - at[0], way[1] - at[1]), way
            if at == start:
                break
            course.append(at)
        courses.append(course)
    return courses


def _ring(course: list[_Cell], across: list[Length], up: list[Length]) -> Ring:
    corners = []
    for n, (i, j) in enumerate(course):
        before, after = course[n - 1], course[(n + 1) % len(course)]
        straight = before[0] == i == after[0] or before[1] == j == after[1]
        if not straight:
            corners.append(Point(across[i], up[j]))
    first = min(range(len(corners)), key=lambda n: (corners[n].x, corners[n].y))
    return tuple(corners[first:] + corners[:first])


def bounds(ring: Ring) -> Rect:
    """The upright rectangle round a ring."""
    x, y = min(p.x for p in ring), min(p.y for p in ring)
    return Rect(x, y, max(p.x for p in ring) - x, max(p.y for p in ring) - y)


def area(shape: Shape) -> Fraction:
    """The area of a shape in square mm, holes taken off, exactly."""
    return sum((_signed(ring) for ring in (shape.outline, *shape.holes)), Fraction(0))


def _signed(ring: Ring) -> Fraction:
    pairs = zip(ring, (*ring[1:], ring[0]), strict=True)
    return sum((a.x.mm * b.y.mm - b.x.mm * a.y.mm for a, b in pairs), Fraction(0)) / 2


def moved(shape: Shape, x: Length, y: Length) -> Shape:
    """The shape, moved by so much to the left and down."""

    def ring(points: Ring) -> Ring:
        return tuple(Point(p.x - x, p.y - y) for p in points)

    return Shape(ring(shape.outline), tuple(ring(hole) for hole in shape.holes))

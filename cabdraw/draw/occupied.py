"""What is already drawn on a view, so that a label finds a place where it touches nothing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain, pairwise, product
from math import ceil, cos, floor, radians, sin
from typing import Generic, TypeVar

from cabdraw.draw.measure import text_box
from cabdraw.draw.shapes import XY, Arc, Circle, Dimension, Hatch, Line, Polyline, Shape, Text
from cabdraw.draw.strokes import dimension_strokes, dimension_text, hatch_lines

Box = tuple[float, float, float, float]
Segment = tuple[XY, XY]
Thing = TypeVar("Thing")
#: Paper mm along the side of a cell in which things are looked up.
CELL = 12.0


def segments(shape: Shape, scale: float) -> Iterator[Segment]:
    """The straight strokes of a shape, curves as short chords, in the coordinates of its view; none for text."""
    if isinstance(shape, Line):
        yield shape.start, shape.end
    elif isinstance(shape, Polyline):
        yield from pairwise((*shape.points, *shape.points[:1]) if shape.closed else shape.points)
    elif isinstance(shape, Dimension):
        yield from dimension_strokes(shape, scale)
    elif isinstance(shape, Hatch):
        yield from hatch_lines(shape, scale)
    elif isinstance(shape, (Circle, Arc)):
        yield from pairwise(chords(shape))


def chords(shape: Circle | Arc, steps: int = 24) -> list[XY]:
    """Points along a circle or an arc, first to last."""
    start, end = (0.0, 360.0) if isinstance(shape, Circle) else (shape.start, shape.end)
    if end <= start:
        end += 360.0
    count = max(2, ceil((end - start) / 360.0 * steps))
    angles = [radians(start + (end - start) * i / count) for i in range(count + 1)]
    return [(shape.centre[0] + shape.radius * cos(a), shape.centre[1] + shape.radius * sin(a)) for a in angles]


def extent(shapes: Iterable[Shape], scale: float) -> Box:
    """Left, lower, right and upper end of everything drawn, texts too, in the coordinates of its view."""
    points: list[XY] = []
    for shape in shapes:
        if isinstance(shape, Polyline):
            points += shape.points
        else:
            for start, end in segments(shape, scale):
                points += (start, end)
            for text in texts(shape):
                left, low, right, top = text_box(text, scale)
                points += ((left, low), (right, top))
    if not points:
        return (0.0, 0.0, 0.0, 0.0)
    xs, ys = zip(*points, strict=True)
    return (min(xs), min(ys), max(xs), max(ys))


def texts(shape: Shape) -> Iterator[Text]:
    """The text of a shape, a dimension's figure too."""
    if isinstance(shape, Text):
        yield shape
    elif isinstance(shape, Dimension):
        yield dimension_text(shape)


def crosses(segment: Segment, box: Box) -> bool:
    """Whether a segment passes through the inside of a box (Liang and Barsky's clipping)."""
    (x0, y0), (x1, y1) = segment
    left, low, right, high = box
    if max(x0, x1) <= left or min(x0, x1) >= right or max(y0, y1) <= low or min(y0, y1) >= high:
        return False
    enter, leave = 0.0, 1.0
    for delta, near, far in ((x1 - x0, left - x0, right - x0), (y1 - y0, low - y0, high - y0)):
        if abs(delta) < 1e-12:
            continue
        a, b = near / delta, far / delta
        if a > b:
            a, b = b, a
        enter, leave = max(enter, a), min(leave, b)
    return enter < leave - 1e-9


def meet(a: Box, b: Box) -> bool:
    """Whether two boxes overlap."""
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


class _Cells(Generic[Thing]):
    """Things by the cells of a grid that their bounds reach into, so that few need a close look."""

    def __init__(self, size: float) -> None:
        self._size = size
        self._cells: dict[tuple[int, int], list[Thing]] = {}

    def _reach(self, box: Box) -> Iterable[tuple[int, int]]:
        left, low, right, high = box
        size = self._size
        x0, y0, x1, y1 = floor(left / size), floor(low / size), floor(right / size), floor(high / size)
        if x0 == x1 and y0 == y1:
            return ((x0, y0),)
        return product(range(x0, x1 + 1), range(y0, y1 + 1))

    def add(self, box: Box, thing: Thing) -> None:
        """Keep a thing with its bounds."""
        for cell in self._reach(box):
            self._cells.setdefault(cell, []).append(thing)

    def near(self, box: Box) -> Iterator[Thing]:
        """Everything whose bounds share a cell with a box, some of it more than once."""
        cells = self._cells
        return chain.from_iterable(cells.get(cell, ()) for cell in self._reach(box))


class Occupied:
    """Strokes and texts of a view, in its own coordinates; `around` paper mm are kept clear of each."""

    def __init__(self, scale: float, around: float = 0.5) -> None:
        self.scale = scale
        self.around = around / scale
        self._segments: _Cells[Segment] = _Cells(CELL / scale)
        self._boxes: _Cells[Box] = _Cells(CELL / scale)

    def add(self, shapes: Iterable[Shape]) -> None:
        """Take note of what is drawn."""
        for shape in shapes:
            for segment in segments(shape, self.scale):
                self._segments.add(_bounds(segment), segment)
            for text in texts(shape):
                box = text_box(text, self.scale)
                self._boxes.add(box, box)

    def free(self, box: Box) -> bool:
        """Whether a box, with a little room round it, touches nothing."""
        left, low, right, high = wide = _grown(box, self.around)
        # Thousands of places are tried on a crowded wall: most are told from here, without a call for each thing near.
        for x0, y0, x1, y1 in self._boxes.near(wide):
            if left < x1 and x0 < right and low < y1 and y0 < high:
                return False
        return not any(crosses(segment, wide) for segment in self._segments.near(wide))

    def meets_text(self, segment: Segment) -> bool:
        """Whether a line would run through a text, or too near to one."""
        by = self.around
        left, low, right, high = _bounds(segment)
        for x0, y0, x1, y1 in self._boxes.near((left - by, low - by, right + by, high + by)):
            near = left < x1 + by and x0 - by < right and low < y1 + by and y0 - by < high
            if near and crosses(segment, (x0 - by, y0 - by, x1 + by, y1 + by)):
                return True
        return False

    def place(self, options: Iterable[tuple[Text, ...]], within: Box | None = None) -> tuple[Text, ...]:
        """The first of the options whose texts all stand free, and inside `within`; it is noted. () if none does."""
        for option in options:
            boxes = [text_box(text, self.scale) for text in option]
            if within is not None and not all(inside(box, within) for box in boxes):
                continue
            if all(self.free(box) for box in boxes):
                for box in boxes:
                    self._boxes.add(box, box)
                return option
        return ()


def _grown(box: Box, by: float) -> Box:
    return (box[0] - by, box[1] - by, box[2] + by, box[3] + by)


def _bounds(segment: Segment) -> Box:
    (ax, ay), (bx, by) = segment
    return (min(ax, bx), min(ay, by), max(ax, bx), max(ay, by))


def inside(box: Box, outer: Box) -> bool:
    """Whether a box lies inside another."""
    return box[0] >= outer[0] and box[1] >= outer[1] and box[2] <= outer[2] and box[3] <= outer[3]

"""A printed form: rows of boxes to write in, filled from the top of a page, each with its number; black on white."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import hypot
from typing import TypeGuard

from cabdraw.draw.measure import text_box, text_width
from cabdraw.draw.occupied import Box, Segment
from cabdraw.draw.paper import SIZES, Area
from cabdraw.draw.shapes import XY, Line, Polyline, Shape, Text
from cabdraw.draw.style import NOTE
from cabdraw.draw.words import fitted, wrapped
from cabdraw.survey import Reading

#: Height of the words beside and above boxes.
FIGURE = NOTE
SMALL = 1.8
#: Radius of a number's circle on a sketch, and paper mm that a number takes before a row's words.
BUBBLE, NUMBER = 3.1, 9.5
#: Office paper, upright, by the names that the command takes.
OFFICE = {"A4": "A4", "Letter": "ANSI A"}


def portrait(size: str) -> Area:
    """A whole sheet of office paper, upright."""
    long, short = SIZES[OFFICE[size]]
    return Area(0.0, 0.0, short, long)


def bubble(at: XY, number: str) -> Iterator[Shape]:
    """A reading's number in a box of its own."""
    half = max(BUBBLE, text_width(number, FIGURE, True) / 2 + 0.9)
    box = Area(at[0] - half, at[1] - BUBBLE + 0.6, at[0] + half, at[1] + BUBBLE - 0.6)
    yield Polyline("TITLE", box.corners)
    yield Text("TEXT", at, number, FIGURE, "centre", "middle", 0.0, True)


def interrupted(shapes: Iterable[Shape]) -> list[Shape]:
    """A sketch whose lines leave out what its texts and their boxes cover."""
    drawn = list(shapes)
    boxes = [_grown(text_box(shape), 0.5) for shape in drawn if isinstance(shape, Text)]
    boxes += [_grown((*shape.points[0], *shape.points[2]), 0.0) for shape in drawn if _holds_text(shape)]
    found: list[Shape] = []
    for shape in drawn:
        if isinstance(shape, Line):
            found += (Line(shape.layer, a, b) for a, b in _outside((shape.start, shape.end), boxes))
        else:
            found.append(shape)
    return found


def _holds_text(shape: Shape) -> TypeGuard[Polyline]:
    return isinstance(shape, Polyline) and shape.layer == "TITLE"


def _grown(box: tuple[float, ...], by: float) -> Box:
    return (box[0] - by, box[1] - by, box[2] + by, box[3] + by)


def _outside(segment: Segment, boxes: Sequence[Box]) -> Iterator[Segment]:
    """The pieces of a segment that lie outside all boxes."""
    (x0, y0), (x1, y1) = segment
    spans = [span for box in boxes if (span := _inside(segment, box)) is not None]
    at = 0.0
    for enter, leave in [*sorted(spans), (1.0, 1.0)]:
        if enter > at:
            yield (x0 + (x1 - x0) * at, y0 + (y1 - y0) * at), (x0 + (x1 - x0) * enter, y0 + (y1 - y0) * enter)
        at = max(at, leave)


def _inside(segment: Segment, box: Box) -> tuple[float, float] | None:
    """The shares of the way at which a segment enters and leaves a box (Liang and Barsky); None if it misses it."""
    (x0, y0), (x1, y1) = segment
    enter, leave = 0.0, 1.0
    for start, delta, near, far in ((x0, x1 - x0, box[0], box[2]), (y0, y1 - y0, box[1], box[3])):
        if abs(delta) < 1e-9:
            if not near < start < far:
                return None
            continue
        a, b = sorted(((near - start) / delta, (far - start) / delta))
        enter, leave = max(enter, a), min(leave, b)
    return (enter, leave) if enter < leave else None


def double_arrow(a: XY, b: XY) -> Iterator[Shape]:
    """A line with a head at either end."""
    long = hypot(b[0] - a[0], b[1] - a[1])
    way = ((b[0] - a[0]) / long, (b[1] - a[1]) / long)
    yield Line("LEADER", a, b)
    for tip, sign in ((a, 1.0), (b, -1.0)):
        foot = (tip[0] + way[0] * sign * 2.4, tip[1] + way[1] * sign * 2.4)
        side = (-way[1] * 0.7, way[0] * 0.7)
        points = (tip, (foot[0] + side[0], foot[1] + side[1]), (foot[0] - side[0], foot[1] - side[1]))
        yield Polyline("LEADER", points, True, "solid")


class Form:
    """A part of a page that is filled with rows from its top."""

    def __init__(self, area: Area) -> None:
        self.rest = area
        self.shapes: list[Shape] = []

    def add(self, shapes: Iterable[Shape]) -> None:
        """Put in shapes that stand somewhere on the page already."""
        self.shapes += shapes

    def take(self, height: float) -> Area:
        """The uppermost strip of what is left."""
        rest = self.rest
        self.rest = Area(rest.left, rest.low, rest.right, rest.high - height)
        return Area(rest.left, rest.high - height, rest.right, rest.high)

    def gap(self, height: float) -> None:
        """Leave some paper free."""
        self.take(height)

    def head(self, title: str, under: str, page: int, pages: int, to_fill: str = "") -> None:
        """The title of a page, what holds on it, and which page it is; `to_fill` ends in a line to write on."""
        area = self.take(14.5)
        self.add([Text("TEXT", (area.left, area.high - 5.0), title, 5.0, bold=True)])
        self.add([Text("TEXT", (area.right, area.high - 5.0), f"page {page} of {pages}", FIGURE, "right")])
        if to_fill:
            at = (area.right - text_width(f"page {page} of {pages}", FIGURE) - 8.0, area.high - 5.0)
            self.add([Text("TEXT", at, to_fill, FIGURE, "right")])
        text, size = fitted(under, area.width, FIGURE)
        self.add([Text("TEXT", (area.left, area.high - 10.0), text, size)])
        self.add([Line("SHELL", (area.left, area.low + 1.5), (area.right, area.low + 1.5))])

    def title(self, words: str) -> None:
        """A heading over what follows."""
        area = self.take(6.0)
        text, size = fitted(words, area.width, FIGURE, True)
        self.add([Text("TEXT", (area.left, area.high - 3.6), text, size, bold=True)])

    def fields(self, readings: Sequence[tuple[Reading, float]], height: float) -> None:
        """Boxes side by side, as wide as their shares, each with its number and its words inside at the top."""
        area = self.take(height)
        total = sum(share for _, share in readings)
        left = area.left
        for reading, share in readings:
            box = Area(left, area.low, left + area.width * share / total, area.high)
            self.shapes += _field(box, reading)
            left = box.right

    def heads(self, heads: Sequence[str], widths: Sequence[float], title: str = "") -> None:
        """What the boxes of the rows below are for, over them, and a title over their words."""
        area = self.take(8.0)
        if title:
            self.add([Text("TEXT", (area.left, area.low + 1.6), title, FIGURE, bold=True)])
        left = area.right - sum(widths)
        for head, width in zip(heads, widths, strict=True):
            lines = wrapped(head, width, SMALL)
            for i, line in enumerate(reversed(lines)):
                at = (left + width / 2, area.low + 1.4 + i * 2.9)
                self.add([Text("TEXT", at, line, SMALL, "centre")])
            left += width

    def row(
        self, reading: Reading, widths: Sequence[float], height: float, within: Sequence[Reading | None] = ()
    ) -> None:
        """One reading: its number and words, and boxes at the right; `within` are readings of some boxes' own."""
        area = self.take(height)
        left = area.right - sum(widths)
        self.shapes += _words(Area(area.left, area.low, left - 1.5, area.high), reading.number, reading.what)
        self.shapes += _boxes(Area(left, area.low, area.right, area.high), widths, within)

    def pair(self, what: str, readings: Sequence[Reading], widths: Sequence[float], height: float) -> None:
        """Several readings in one row, each box with its number in its corner."""
        area = self.take(height)
        left = area.right - sum(widths)
        self.shapes += _words(Area(area.left, area.low, left - 1.5, area.high), "", what)
        self.shapes += _boxes(Area(left, area.low, area.right, area.high), widths, readings)

    def grid(self, readings: Sequence[Reading], heads: Sequence[str], shares: Sequence[float], height: float) -> None:
        """A table of numbered rows, each with several boxes as wide as their shares."""
        unit = (self.rest.width - NUMBER) / sum(shares)
        widths = [share * unit for share in shares]
        area = self.take(4.6)
        left = area.left + NUMBER
        for head, width in zip(heads, widths, strict=True):
            self.add([Text("TEXT", (left + width / 2, area.low + 1.3), head, SMALL, "centre")])
            left += width
        for reading in readings:
            area = self.take(height)
            self.shapes += _words(Area(area.left, area.low, area.left + NUMBER, area.high), reading.number, "")
            self.shapes += _boxes(Area(area.left + NUMBER, area.low, area.right, area.high), widths)


def _field(box: Area, reading: Reading) -> Iterator[Shape]:
    yield Polyline("TITLE", box.corners)
    yield Text("TEXT", (box.left + 1.2, box.high - 1.2), reading.number, FIGURE, up="top", bold=True)
    left = box.left + 2.6 + text_width(reading.number, FIGURE, True)
    room = box.right - 1.0 - left
    # Words too long for one line of the larger size take up to two of the smaller.
    lines, size = [reading.what], FIGURE
    if text_width(reading.what, FIGURE) > room:
        lines, size = wrapped(reading.what, room, SMALL), SMALL
    for i, line in enumerate(lines):
        yield Text("TEXT", (left, box.high - 1.2 - i * 2.7), line, size, up="top")


def _words(area: Area, number: str, what: str) -> Iterator[Shape]:
    middle = (area.low + area.high) / 2
    left = area.left
    if number:
        yield Text("TEXT", (left, middle), number, FIGURE, up="middle", bold=True)
        left += NUMBER
    if not what:
        return
    size = FIGURE
    lines = wrapped(what, area.right - left, size)
    if len(lines) > 2:
        size = SMALL
        lines = wrapped(what, area.right - left, size)
    step = size * 1.6
    for i, line in enumerate(lines):
        yield Text("TEXT", (left, middle + ((len(lines) - 1) / 2 - i) * step), line, size, up="middle")


def _boxes(area: Area, widths: Sequence[float], within: Sequence[Reading | None] = ()) -> Iterator[Shape]:
    left = area.left
    for i, width in enumerate(widths):
        yield Polyline("TITLE", Area(left, area.low, left + width, area.high).corners)
        if within and (reading := within[i]) is not None:
            yield Text("TEXT", (left + 0.9, area.high - 1.0), reading.number, SMALL, up="top", bold=True)
        left += width

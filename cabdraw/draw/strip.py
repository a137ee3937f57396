"""The strip of blocks over a template: title, check bars, how to use it, cautions, a table of holes."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from cabdraw.cab import Cab, Wall
from cabdraw.draw.measure import text_box
from cabdraw.draw.occupied import segments, texts
from cabdraw.draw.paper import Area
from cabdraw.draw.shapes import XY, Line, Polyline, Shape, Text
from cabdraw.draw.words import fitted, wrapped

#: Makes a block's shapes from its upper left corner.
Block = Callable[[float, float], list[Shape]]
#: The least height of a row of blocks, and what is kept clear under its highest block.
BLOCK_HEIGHT, BETWEEN = 126.0, 8.0
#: The greatest and the least height of a row in the table of holes.
ROW_HIGH, ROW_LOW = 12.0, 9.0
TEXT = 5.0
STEP = 8.2
BARS = (("100 mm", 100.0), ("4 in", 101.6))


class Strip:
    """Blocks side by side, in as many rows as the width needs, each row as high as its highest block."""

    def __init__(self, width: float) -> None:
        self._width = width
        self._rows: list[list[tuple[float, Block]]] = [[]]

    @property
    def room(self) -> float:
        """The width that is left at the right of the last row."""
        return self._width - sum(width for width, _ in self._rows[-1])

    def add(self, width: float, block: Block) -> None:
        """Add a block of some width at the right, or in a new row below."""
        if self._rows[-1] and width > self.room:
            self._rows.append([])
        self._rows[-1].append((width, block))

    def shapes(self, left: float, low: float) -> tuple[list[Shape], float]:
        """Every block's shapes over a height on the paper, first row on top; and the height over them."""
        found: list[Shape] = []
        y = low
        for row in reversed(self._rows):
            made = [block(0.0, 0.0) for _, block in row]
            y += max(BLOCK_HEIGHT, max(map(_depth, made)) + BETWEEN)
            x = left
            for width, block in row:
                found += block(x, y)
                x += width
        return found, y


def _depth(shapes: Sequence[Shape]) -> float:
    """How far shapes reach below their block's upper edge at zero."""
    ends = [y for shape in shapes for segment in segments(shape, 1.0) for _, y in segment]
    ends += [text_box(text)[1] for shape in shapes for text in texts(shape)]
    return -min(ends, default=0.0)


def title_block(cab: Cab, wall: Wall, not_for_fabrication: bool) -> Block:
    """What the template is and of which car."""

    def make(x: float, y: float) -> list[Shape]:
        job = cab.job
        units = "inches" if cab.printing.system == "inch" else "millimetres"
        lines: list[tuple[str, float, bool]] = [
            ("Drilling template", 10.0, True),
            (f"{wall.name.capitalize()} wall", 10.0, True),
            (job.project, 5.0, True),
            (job.car, 5.0, True),
            (f"Number {job.number or '–'}", TEXT, False),
            (f"Revision {job.revision or '–'}    Date {job.date or '–'}", TEXT, False),
            (f"Drawn by {job.drawn_by or '–'}", TEXT, False),
            (f"Checked by {job.checked_by or '–'}", TEXT, False),
            (f"Full size, 1:1. Dimensions in {units}.", TEXT, False),
            ("Seen from inside the car.", TEXT, False),
        ]
        shapes: list[Shape] = []
        top = y
        for words, height, bold in lines:
            text, size = fitted(words, 140.0, height, bold)
            shapes.append(Text("TEXT", (x, top), text, size, "left", "top", 0.0, bold))
            top -= height * 1.75
        if not_for_fabrication:
            box = Area(x, top - 12.0, x + 135.0, top)
            shapes.append(Polyline("CAUTION", box.corners, True, "caution"))
            at = ((box.left + box.right) / 2, (box.low + box.high) / 2)
            shapes.append(Text("CAUTION", at, "NOT FOR FABRICATION", 7.0, "centre", "middle", 0.0, True))
        return shapes

    return make


def bar(start: XY, way: XY, length: float, words: str) -> list[Shape]:
    """A bar of a stated length with a stroke across each end, to be measured before use."""
    end = (start[0] + way[0] * length, start[1] + way[1] * length)
    side = (-way[1] * 2.5, way[0] * 2.5)
    shapes: list[Shape] = [Line("CHECK", start, end)]
    for x, y in (start, end):
        shapes.append(Line("CHECK", (x - side[0], y - side[1]), (x + side[0], y + side[1])))
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    if way[1]:
        shapes.append(Text("CHECK", (middle[0] - 4.6, middle[1]), words, TEXT, "centre", "middle", 90.0))
    else:
        shapes.append(Text("CHECK", (middle[0], middle[1] + 4.6), words, TEXT, "centre", "middle"))
    return shapes


def bars(axes: tuple[str, str] = ("x", "y")) -> Block:
    """Check bars of 100 mm and 4 in, both ways; each with the name of its axis, across and up."""

    def make(x: float, y: float) -> list[Shape]:
        shapes: list[Shape] = []
        foot = y - 108.0
        for i, (words, length) in enumerate(BARS):
            shapes += bar((x + 8.0 + i * 12.0, foot), (0.0, 1.0), length, words)
            shapes += bar((x + 30.0, foot + 4.0 + i * 14.0), (1.0, 0.0), length, words)
            up, across = (x + 3.4 + i * 12.0, foot + 6.0), (x + 38.0, foot + 8.6 + i * 14.0)
            shapes.append(Text("CHECK", up, axes[1], TEXT, "centre", "middle", 90.0, True))
            shapes.append(Text("CHECK", across, axes[0], TEXT, "centre", "middle", 0.0, True))
        centre = x + 80.0
        shapes.append(Text("CHECK", (centre, y - 40.0), "MEASURE BEFORE USE", 5.0, "centre", "middle", 0.0, True))
        for i, line in enumerate(("each bar, across and up:", "all must be right, or", "the print is not full size")):
            shapes.append(Text("CHECK", (centre, y - 50.0 - i * STEP), line, TEXT, "centre", "middle"))
        return shapes

    return make


def text_block(title: str, lines: Sequence[str], width: float, layer: str = "TEXT") -> Block:
    """A heading and numbered lines of text."""

    def make(x: float, y: float) -> list[Shape]:
        shapes: list[Shape] = [Text(layer, (x, y), title, 7.0, "left", "top", 0.0, True)]
        top = y - 13.0
        for number, words in enumerate(lines, 1):
            for i, line in enumerate(wrapped(words, width - 20.0, TEXT)):
                if i == 0:
                    shapes.append(Text(layer, (x, top), f"{number}", TEXT, "left", "top"))
                shapes.append(Text(layer, (x + 10.0, top), line, TEXT, "left", "top"))
                top -= STEP
            top -= 1.5
        return shapes

    return make


def hole_table(cab: Cab, wall: Wall) -> Block:
    """A row for each hole: its distance from the wall's left end, and room to sign that it is clear behind."""

    def make(x: float, y: float) -> list[Shape]:
        assert wall.rail is not None
        size = cab.printing.size
        shapes: list[Shape] = [Text("TEXT", (x, y), "Clear behind? Sign each hole", 7.0, "left", "top", 0.0, True)]
        widths = (18.0, 48.0, 22.0, 68.0)
        heads = ("hole", "from left end", "clear", "initials, date")
        rows = [heads, *((str(s.number), size(s.x), "", "") for s in wall.rail.standoffs)]
        high = max(ROW_LOW, min(ROW_HIGH, (BLOCK_HEIGHT - 16.0) / len(rows)))
        top = y - 13.0
        for cells in rows:
            left = x
            for cell, wide in zip(cells, widths, strict=True):
                area = Area(left, top - high, left + wide, top)
                shapes.append(Polyline("TITLE", area.corners, True))
                text, height = fitted(cell, wide - 3.0, TEXT)
                if text:
                    at = (left + 1.5, (area.low + area.high) / 2)
                    shapes.append(Text("TEXT", at, text, height, "left", "middle"))
                left += wide
            top -= high
        return shapes

    return make

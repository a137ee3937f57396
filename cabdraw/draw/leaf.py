"""The small pages that an installer prints: their paper, what stands on every one of them, and pages of words."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from cabdraw.cab import Cab, TileSize, Wall
from cabdraw.draw.measure import text_width
from cabdraw.draw.paper import Area
from cabdraw.draw.shapes import XY, Line, Polyline, Shape, Sheet, Text, View
from cabdraw.draw.words import fitted, wrapped
from cabdraw.frozen import Frozen
from cabdraw.print_scale import AGAIN, PrintScale
from cabdraw.units import INCH

_IN = float(INCH)
#: Papers of small printers, upright, in mm (ISO 216; ANSI A and B as ASME Y14.1 has them).
PAPERS: dict[TileSize, XY] = {
    "A4": (210.0, 297.0),
    "Letter": (8.5 * _IN, 11 * _IN),
    "A3": (297.0, 420.0),
    "Tabloid": (11 * _IN, 17 * _IN),
}
#: The lengths that are measured before use, with a stroke across each end.
BARS = (("100 mm", 100.0), ("4 in", 4 * _IN))
MEASURE = "Print at 100 %, not fitted to the page. Measure every bar, both ways, before use."
#: Heights of the head, of the bars at the foot, and of a line of words over them; width of the bars at the right.
HEAD, FOOT, LINE, SIDE = 6.0, 15.0, 5.2, 18.0
WORDS, SMALL = 3.5, 2.5


class Leaf(Frozen):
    """A small page before anything stands on it: its size at which it prints true, and what is usable of it.

    `stopped` says that nothing on it may be drilled.
    """

    cab: Cab
    wall: Wall
    name: str
    title: str
    width: float
    height: float
    margin: float
    stopped: bool
    scale: PrintScale

    @property
    def usable(self) -> Area:
        """What a printer reaches."""
        return Area(0.0, 0.0, self.width, self.height).inset(self.margin)

    @property
    def cautions(self) -> list[str]:
        """What every page must say."""
        found = ["DO NOT DRILL: page 1 says why."] if self.stopped else []
        return found if self.scale.true else [*found, self.scale.stamp]

    @property
    def lines(self) -> list[tuple[str, str]]:
        """Layer and words of the lines over a page's bars."""
        return [("CHECK", self.measure), *(("CAUTION", words) for words in self.cautions)]

    @property
    def measure(self) -> str:
        """How a page is printed, and that its bars are measured."""
        return MEASURE if self.scale.true else f"Print at 100 %, not fitted to the page. {AGAIN}"

    @property
    def foot(self) -> float:
        """How high the bars and the lines over them stand."""
        return FOOT + LINE * len(self.lines)

    @property
    def inner(self) -> Area:
        """What head, foot and the bars at the side leave."""
        area = self.usable
        return Area(area.left, area.low + self.foot, area.right - SIDE, area.high - HEAD)

    @property
    def page_of_words(self) -> Area:
        """Where words stand on a page of nothing else."""
        area = self.inner
        return Area(area.left, area.low, area.right, area.high - 3.0)

    def sheet(self, page: str, number: int, count: int, paper: Sequence[Shape], views: Sequence[View]) -> Sheet:
        """A page of so many, with its head, its bars and its lines; `page` is what it shows, in words."""
        area = self.usable
        named = f"{page} · page {number} of {count}"
        job = self.cab.job
        rest = f"{job.project} · {job.car} · {self.wall.name} wall · drilling template"
        rest += f" · revision {job.revision}" if job.revision else ""
        room = area.width - text_width(named, WORDS, True) - 6.0
        text, size = fitted(rest, room, WORDS)
        y = area.high - 3.0
        shapes: list[Shape] = [
            Text("TEXT", (area.left, y), text, size, "left", "middle"),
            Text("TEXT", (area.right, y), named, WORDS, "right", "middle", 0.0, True),
            *bars(area, self.axes),
        ]
        for i, (layer, words) in enumerate(reversed(self.lines)):
            at = (area.left, area.low + FOOT + LINE * i + 1.6)
            text, size = fitted(words, area.width - SIDE - 2.0, WORDS, layer == "CAUTION")
            shapes.append(Text(layer, at, text, size, "left", "base", 0.0, layer == "CAUTION"))
        return Sheet(
            f"{self.name}-{number}",
            f"{self.title}, page {number} of {count}",
            self.width,
            self.height,
            (*shapes, *paper),
            tuple(views),
            self.about,
            self.scale.stretch(self.width, self.height),
        )

    @property
    def axes(self) -> tuple[str, str]:
        """The names of the axes across and up: x goes along the shorter side of the paper."""
        return ("x", "y") if self.width <= self.height else ("y", "x")

    @property
    def about(self) -> tuple[tuple[str, str], ...]:
        """What the file says of itself."""
        job = self.cab.job
        return (
            ("title", f"{job.project}, {job.car}: {self.title}"),
            ("subject", "Full-size drilling template"),
            ("author", job.drawn_by or ""),
            ("revision", job.revision or ""),
            ("date", job.date or ""),
        )


def leaf(
    cab: Cab, wall: Wall, name: str, title: str, paper: XY, margin: float, stopped: bool, scale: PrintScale
) -> Leaf:
    """A page on paper of a size in mm, as large as it comes out where the printer is corrected for."""
    across, up = scale.stretch(*paper)
    return Leaf(cab, wall, name, title, paper[0] / across, paper[1] / up, margin, stopped, scale)


def bars(area: Area, axes: tuple[str, str]) -> Iterator[Shape]:
    """Bars of 100 mm and 4 in: across at the left of an area's foot, up at its right; each with its axis."""
    for i, (words, length) in enumerate(BARS):
        y = area.low + 1.5 + i * 7.6
        yield from _bar((area.left + 0.3, y), (1.0, 0.0), length)
        yield Text("CHECK", (area.left + length / 2, y + 3.2), f"{words}   {axes[0]}", SMALL, "centre", "middle")
        x = area.right - 1.5 - i * 8.2
        yield from _bar((x, area.low + 0.3), (0.0, 1.0), length)
        yield Text("CHECK", (x - 3.2, area.low + length / 2), f"{words}   {axes[1]}", SMALL, "centre", "middle", 90.0)


def _bar(start: XY, way: XY, length: float) -> Iterator[Line]:
    end = (start[0] + way[0] * length, start[1] + way[1] * length)
    yield Line("CHECK", start, end)
    for x, y in (start, end):
        yield Line("CHECK", (x - way[1] * 1.4, y - way[0] * 1.4), (x + way[1] * 1.4, y + way[0] * 1.4))


#: Makes the shapes of a block from its upper left corner.
Maker = Callable[[float, float], list[Shape]]


class Block(Frozen):
    """Something on a page of words: how high it is, and whether the next one must stand on the same page."""

    height: float
    make: Maker
    keep: bool = False


def heading(words: str, width: float, layer: str = "TEXT", height: float = 5.0) -> Block:
    """A heading, kept with what follows."""
    text, size = fitted(words, width, height, True)

    def make(x: float, y: float) -> list[Shape]:
        return [Text(layer, (x, y - 3.0), text, size, "left", "top", 0.0, True)]

    return Block(height + 6.0, make, True)


def paragraphs(lines: Sequence[str], width: float, layer: str = "TEXT", numbered: bool = True) -> Iterator[Block]:
    """Lines of text, each numbered, wrapped to a width; long ones go on on the next page."""
    step = WORDS * 1.6
    for number, words in enumerate(lines, 1):
        pieces = wrapped(words, width - 8.0, WORDS)
        for i, piece in enumerate(pieces):
            first = i == 0 and numbered

            def make(x: float, y: float, piece: str = piece, label: str = str(number) if first else "") -> list[Shape]:
                found: list[Shape] = [Text(layer, (x + 8.0, y), piece, WORDS, "left", "top")]
                return [*found, Text(layer, (x, y), label, WORDS, "left", "top")] if label else found

            yield Block(step + (1.2 if i == len(pieces) - 1 else 0.0), make, i == 0 and len(pieces) > 1)


def rows(cells: Sequence[Sequence[str]], widths: Sequence[float], high: float = 7.0) -> Iterator[Block]:
    """The rows of a table with lines round every cell, the first its heads."""
    for index, row in enumerate(cells):

        def make(x: float, y: float, row: Sequence[str] = row, bold: bool = index == 0) -> list[Shape]:
            found: list[Shape] = []
            for cell, wide in zip(row, widths, strict=True):
                area = Area(x, y - high, x + wide, y)
                found.append(Polyline("TABLE", area.corners, True, "band" if bold else ""))
                text, size = fitted(cell, wide - 3.0, WORDS, bold)
                if text:
                    found.append(Text("TEXT", (x + 1.5, y - high / 2), text, size, "left", "middle", 0.0, bold))
                x += wide
            return found

        yield Block(high, make, index == 0)


def flowed(blocks: Sequence[Block], area: Area) -> list[list[Shape]]:
    """Blocks one under another in an area, page after page: the shapes of each page."""
    pages: list[list[Shape]] = [[]]
    y = area.high
    for index, block in enumerate(blocks):
        wanted, after = block.height, index
        while blocks[after].keep and after + 1 < len(blocks):
            after += 1
            wanted += blocks[after].height
        if y - wanted < area.low and y < area.high:
            pages.append([])
            y = area.high
        pages[-1] += block.make(area.left, y)
        y -= block.height
    return pages

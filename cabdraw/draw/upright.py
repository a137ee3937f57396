"""Upright pages for the hand: their frame, head and foot, and boxes of words and tables that fill them."""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.cab import Cab
from cabdraw.draw.paper import SIZES, Area
from cabdraw.draw.shapes import Line, Polyline, Shape, Sheet, Text, View
from cabdraw.draw.title import rectangle
from cabdraw.draw.words import fitted, wrapped
from cabdraw.frozen import Frozen

#: Paper mm round a page, and of its head and foot.
MARGIN, HEAD, FOOT = 9.0, 22.0, 8.0
#: From one line of words to the next, as a multiple of their height.
LEADING = 1.65


class Page(Frozen):
    """An upright page: A4 or Letter by the spec's units."""

    width: float
    height: float

    @property
    def frame(self) -> Area:
        """What is inside its margin."""
        return Area(MARGIN, MARGIN, self.width - MARGIN, self.height - MARGIN)

    @property
    def body(self) -> Area:
        """What is left between head and foot."""
        frame = self.frame
        return Area(frame.left + 2.0, frame.low + FOOT + 1.5, frame.right - 2.0, frame.high - HEAD - 2.0)


def upright_page(cab: Cab) -> Page:
    """The page of a car's papers."""
    high, wide = SIZES["ANSI A" if cab.printing.system == "inch" else "A4"]
    return Page(wide, high)


def head_and_foot(cab: Cab, page: Page, number: str, title: str, under: str, sheet: str) -> list[Shape]:
    """The frame; a head with a large number or letter, the title and a line under it; a foot with the job."""
    frame, job = page.frame, cab.job
    low = frame.high - HEAD
    shapes: list[Shape] = [rectangle("FRAME", frame), Line("TITLE", (frame.left, low), (frame.right, low))]
    left = frame.left + 3.0
    if number:
        box = Area(frame.left, low, frame.left + 24.0, frame.high)
        shapes.append(Line("TITLE", (box.right, low), (box.right, frame.high)))
        words, size = fitted(number, 20.0, 10.0, True)
        shapes.append(Text("TITLE", ((box.left + box.right) / 2, low + HEAD / 2), words, size, "centre", "middle", 0.0,
                           True))  # fmt: skip
        left = box.right + 3.0
    room = frame.right - left - 3.0
    words, size = fitted(title, room, 7.0, True)
    shapes.append(Text("TITLE", (left, frame.high - 4.5), words, size, "left", "top", 0.0, True))
    words, size = fitted(under, room, 3.5)
    shapes.append(Text("TITLE", (left, low + 3.6), words, size))
    foot = frame.low + FOOT
    shapes.append(Line("TITLE", (frame.left, foot), (frame.right, foot)))
    revision = f", revision {job.revision}" if job.revision else ""
    date = f", {job.date}" if job.date else ""
    number = f", {job.number}" if job.number else ""
    words, size = fitted(f"{job.project}, {job.car}{number}{revision}{date}", frame.width - 42.0, 2.5)
    shapes.append(Text("TITLE", (frame.left + 3.0, frame.low + 3.0), words, size))
    shapes.append(Text("TITLE", (frame.right - 3.0, frame.low + 3.0), sheet, 2.5, "right"))
    return shapes


def paragraphs(
    area: Area, y: float, lines: Sequence[str], height: float, layer: str = "TEXT", bold: bool = False
) -> tuple[list[Shape], float]:
    """Sentences one under another from a height down, each on its own lines; and the height under them."""
    shapes: list[Shape] = []
    for words in lines:
        for line in wrapped(words, area.width, height, bold):
            shapes.append(Text(layer, (area.left, y), line, height, "left", "top", 0.0, bold))
            y -= height * LEADING
        y -= height * 0.5
    return shapes, y


def boxed(area: Area, lines: Sequence[str], height: float) -> tuple[list[Shape], float]:
    """A red box with cautions at the foot of an area, as high as they need; and the height over it."""
    inner = Area(area.left + 3.0, area.low, area.right - 3.0, area.high)
    _, under = paragraphs(inner, 0.0, lines, height, "CAUTION")
    high = -under + height * 0.9
    box = Area(area.left, area.low, area.right, area.low + high)
    shapes: list[Shape] = [Polyline("CAUTION", box.corners, True, "caution")]
    shapes += paragraphs(inner, box.high - height * 0.8, lines, height, "CAUTION")[0]
    return shapes, box.high


def page_sheet(cab: Cab, page: Page, name: str, title: str, shapes: Sequence[Shape], views: Sequence[View]) -> Sheet:
    """A finished page."""
    job = cab.job
    full = f"{job.project}, {job.car}: {title}"
    about = (
        ("title", full),
        ("subject", title),
        ("author", job.drawn_by or ""),
        ("revision", job.revision or ""),
        ("date", job.date or ""),
    )
    return Sheet(name, full, page.width, page.height, tuple(shapes), tuple(views), about)

"""A sheet for each standoff: what surrounds its hole at full size, and how far it is from all that it is set out by."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cabdraw.cab import Cab, Standoff, TileSize, WallName
from cabdraw.draw.around import around
from cabdraw.draw.leaf import FOOT, LINE, PAPERS, SIDE, SMALL, WORDS, Leaf, bars, flowed, leaf
from cabdraw.draw.leaf_words import cover
from cabdraw.draw.paper import Area
from cabdraw.draw.shapes import Line, Polyline, Shape, Sheet, Text, View
from cabdraw.draw.template import sentence, stopped
from cabdraw.draw.words import fitted, wrapped
from cabdraw.errors import Finding
from cabdraw.print_scale import TRUE, PrintScale
from cabdraw.units import INCH, Length, mm

#: Paper that printers do not reach, at every edge, in mm, so that what surrounds a hole is shown at full size.
MARGINS: dict[TileSize, float] = {"A4": 5.0, "Letter": 6.3}
#: How far round a hole its surroundings are shown.
AROUND: dict[TileSize, Length] = {"A4": mm(100), "Letter": Length(4 * INCH)}
#: Height of the words under a hole's surroundings, over the bars; and of a line of them.
ABOUT, STEP = 43.0, 5.4
#: Size of the box that is signed when a hole was found clear.
SIGNED = (50.0, 23.0)


def local(cab: Cab, name: WallName, findings: Sequence[Finding], scale: PrintScale = TRUE) -> tuple[Sheet, ...]:
    """First what must be read, then a sheet for each standoff, from the left."""
    wall = cab.walls[name]
    rail = wall.rail
    assert rail is not None
    paper: TileSize = "A4" if cab.tile in ("A4", "A3") else "Letter"
    stops = stopped(findings, name)
    title = f"{name} wall, a drilling template for each hole"
    page = leaf(cab, wall, f"local-drill-{name}", title, PAPERS[paper], MARGINS[paper], bool(stops), scale)
    words = flowed(cover(page, findings, _printed(cab, paper), None), page.page_of_words)
    count = len(words) + len(rail.standoffs)
    sheets = [page.sheet("read first", number, count, shapes, ()) for number, shapes in enumerate(words, 1)]
    for standoff in rail.standoffs:
        number = len(words) + standoff.number
        sheets.append(_sheet(page, standoff, stops, _half(page, AROUND[paper]), number, count))
    return tuple(sheets)


def _printed(cab: Cab, paper: str) -> list[str]:
    return [
        f"Print every page on {paper} at 100 %, with no fitting to the page. Measure the check bars of every page, both"
        " ways; if one is off, do not use the print.",
        "Mark each hole's distance from the wall's left end along the level line with a steel tape, from the end each"
        " time and not from hole to hole; then check the distances between holes. Lay the sheet's cross on the mark.",
        "Each sheet is for its own hole only. Cut the paper along the outline to come close to an edge or a corner.",
    ]


def _half(page: Leaf, wanted: Length) -> float:
    """How far round the hole the paper shows: as wanted, or less where a correction leaves less paper."""
    area = page.usable
    under = FOOT + LINE * len(page.cautions) + ABOUT
    return min(float(wanted), area.width / 2, (area.height - under) / 2)


def _sheet(page: Leaf, standoff: Standoff, stops: Sequence[Finding], half: float, number: int, count: int) -> Sheet:
    usable = page.usable
    middle = (usable.left + usable.right) / 2
    window = Area(middle - half, usable.high - 2 * half, middle + half, usable.high)
    # The bars at the side reach into a corner of the window, which is left to them: the far end of the diagonal.
    notch = Area(window.right - SIDE - 1.0, window.low, window.right, usable.low + 4 * float(INCH) + 2.0)
    at = (middle - float(standoff.x), window.high - half - float(standoff.y))
    name = f"local-drill-{page.wall.name}-{standoff.number}"
    shapes = around(page, standoff, stops, half, notch, at)
    if notch.high <= window.low:
        views = [View(name, 1.0, at, shapes, ((window.left, window.low), (window.right, window.high)), True)]
        outline = window.corners
    else:
        views = [
            View(name, 1.0, at, shapes, ((window.left, window.low), (notch.left, window.high)), True),
            View(f"{name}-right", 1.0, at, shapes, ((notch.left, notch.high), (window.right, window.high)), True),
        ]
        outline = (
            (window.left, window.low), (notch.left, window.low), (notch.left, notch.high), (window.right, notch.high),
            (window.right, window.high), (window.left, window.high),
        )  # fmt: skip
    paper: list[Shape] = [Polyline("CHECK", outline, True)]
    paper += _words(page, standoff, stops, window, number, count)
    stretch = page.scale.stretch(page.width, page.height)
    title = f"{page.title}: hole {standoff.number}"
    return Sheet(name, title, page.width, page.height, tuple(paper), tuple(views), page.about, stretch)


def _words(
    page: Leaf, standoff: Standoff, stops: Sequence[Finding], window: Area, number: int, count: int
) -> Iterator[Shape]:
    """What stands under a hole's surroundings: which hole it is, what is drilled, the box to sign, the bars."""
    cab, wall, usable = page.cab, page.wall, page.usable
    rail = wall.rail
    assert rail is not None
    both, job = cab.printing.both, cab.job
    top, right = window.low - 2.0, usable.right - SIDE - 3.0
    named = f"page {number} of {count}"
    yield Text("TEXT", (right, top - 4.0), named, WORDS, "right", "middle", 0.0, True)
    head = f"Hole {standoff.number} of {len(rail.standoffs)}, {wall.name} wall"
    yield Text("TEXT", (usable.left, top - 4.0), head, 7.0, "left", "middle", 0.0, True)
    job_line = f"{job.project} · {job.car} · revision {job.revision or '–'} · {job.date or '–'}"
    text, height = fitted(job_line, right - usable.left, SMALL)
    yield Text("TEXT", (usable.left, top - 11.8), text, height, "left", "middle")
    lines = [
        f"From the wall's left end: {both(standoff.x)}",
        f"Level line: {both(rail.y)} above finished floor",
        f"Drill {both(rail.pilot)} pilot, then {both(rail.hole)}",
    ]
    if rail.bolt is not None and rail.bolt.length is not None:
        decimal = cab.printing.decimal
        lines.append(f"Bolt {decimal(rail.bolt.length)} long, through {decimal(rail.bolt.stack)}")
    reasons = [f for f in stops if not f.marks or f"hole-{wall.name}-{standoff.number}" in f.marks]
    wide = right - SIGNED[0] - 4.0 - usable.left
    y = top - 17.4
    for words in lines:
        text, height = fitted(words, wide, WORDS)
        yield Text("TEXT", (usable.left, y), text, height, "left", "middle", 0.0, words == lines[0])
        y -= STEP
    if reasons:
        told = wrapped(f"Because: {sentence(reasons[0].message)}", right - usable.left, SMALL)
        more = len(told) > 1 or len(reasons) > 1
        text, height = fitted(told[0] + (" … see page 1" if more else ""), right - usable.left, SMALL)
        # Under the box that is signed, however few lines stand beside it.
        at = (usable.left, min(y, top - 14.0 - SIGNED[1] - 2.2))
        yield Text("CAUTION", at, text, height, "left", "middle")
    yield from _signed(Area(right - SIGNED[0], top - 14.0 - SIGNED[1], right, top - 14.0))
    for i, words in enumerate(reversed(page.cautions)):
        text, height = fitted(words, right - usable.left, WORDS, True)
        yield Text(
            "CAUTION", (usable.left, usable.low + FOOT + LINE * i + 0.6), text, height, "left", "base", 0.0, True
        )
    beside = usable.left + 4 * float(INCH) + 8.0
    for i, words in enumerate(wrapped(page.measure, right - beside, SMALL)):
        yield Text("CHECK", (beside, usable.low + FOOT - 4.0 - 4.2 * i), words, SMALL, "left", "top")
    yield from bars(usable, page.axes)


def _signed(box: Area) -> Iterator[Shape]:
    """The box that is ticked and signed when the space behind this very hole was found clear."""
    yield Polyline("TABLE", box.corners, True)
    yield Text("TEXT", (box.left + 2.0, box.high - 4.0), "Clear behind?", WORDS, "left", "middle", 0.0, True)
    tick = Area(box.right - 9.0, box.high - 8.0, box.right - 2.0, box.high - 1.0)
    yield Polyline("TABLE", tick.corners, True)
    for i, words in enumerate(("initials", "date")):
        y = box.high - 14.5 - i * 7.0
        yield Text("TEXT", (box.left + 2.0, y), words, SMALL, "left", "base")
        yield Line("TABLE", (box.left + 16.0, y - 0.5), (box.right - 2.0, y - 0.5))

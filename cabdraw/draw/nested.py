"""A nested sheet: for the saw or the router as a flat, and for people as a drawing with its cuts in order."""

from __future__ import annotations

from collections.abc import Iterator

from cabdraw.draw.flat import NOTE, box, plain
from cabdraw.draw.loops import FlatDrawing, Loop
from cabdraw.draw.measure import text_width
from cabdraw.draw.paper import Area, paper
from cabdraw.draw.shapes import Circle, Hatch, Line, Polyline, Shape, Sheet, Text, View
from cabdraw.draw.style import HEADING, LABEL
from cabdraw.draw.style import NOTE as NOTE_HEIGHT
from cabdraw.draw.title import rectangle
from cabdraw.draw.words import fitted, wrapped
from cabdraw.rational import Fraction
from cabdraw.shop.nesting import Cut, Rect, SheetLayout
from cabdraw.shop.stock import Stock
from cabdraw.units import Length, Printing, fixed_text

BLANK, OFF_CUT, SHEET, SAW = "OUTSIDE_CUT_BLANK", "MARK_OFF_CUT", "MARK_SHEET", "SAW_LINE"


def nested_flat(name: str, layout: SheetLayout, stock: Stock) -> FlatDrawing:
    """The sheet with its blanks as closed loops, the middle of each saw cut as a line, and marks as notes."""
    width, height = float(layout.sheet.width), float(layout.sheet.height)
    shapes: list[Loop | Circle | Line | Text] = [box(SHEET, 0.0, 0.0, width, height)]
    for piece in layout.placed:
        at = _box(piece.at)
        shapes.append(box(BLANK, *at))
        tall = max(3.0, min(25.0, (at[2] - at[0]) / (len(piece.mark) + 1), (at[3] - at[1]) * 0.5))
        shapes.append(Text(NOTE, (at[0] + tall, (at[1] + at[3]) / 2), plain(piece.mark), tall))
    shapes += (box(OFF_CUT, *_box(rest, 2.0)) for rest in layout.off_cuts if min(rest.width, rest.height) > 10)
    shapes += (Line(SAW, start, end) for start, end in saw_lines(layout, stock))
    return FlatDrawing(name, width, height, tuple(shapes))


def _box(at: Rect, inset: float = 0.0) -> tuple[float, float, float, float]:
    x, y = float(at.x), float(at.y)
    return x + inset, y + inset, x + float(at.width) - inset, y + float(at.height) - inset


def saw_lines(layout: SheetLayout, stock: Stock) -> Iterator[tuple[tuple[float, float], tuple[float, float]]]:
    """The middle of each saw cut, in the order in which they are made."""
    for cut, board in boards(layout, stock):
        at = cut.at + stock.kerf.mm / 2
        if cut.line == "vertical":
            x = float(board.x + min(at, board.width))
            yield (x, float(board.y)), (x, float(board.y + board.height))
        else:
            y = float(board.y + min(at, board.height))
            yield (float(board.x), y), (float(board.x + board.width), y)


def boards(layout: SheetLayout, stock: Stock) -> Iterator[tuple[Cut, Rect]]:
    """Each saw cut with the piece of board that it goes through, the edges of the sheet being trimmed."""
    trim, sheet = stock.edge_trim.mm, layout.sheet
    trimmed = {"0": Rect(trim, trim, sheet.width - 2 * trim, sheet.height - 2 * trim)}
    for cut in layout.cuts:
        board = trimmed.pop(cut.of)
        yield cut, board
        beyond = cut.at + stock.kerf.mm
        if cut.line == "vertical":
            trimmed[cut.near] = Rect(board.x, board.y, cut.at, board.height)
            if cut.far is not None:
                trimmed[cut.far] = Rect(board.x + beyond, board.y, board.width - beyond, board.height)
        else:
            trimmed[cut.near] = Rect(board.x, board.y, board.width, cut.at)
            if cut.far is not None:
                trimmed[cut.far] = Rect(board.x, board.y + beyond, board.width, board.height - beyond)


def nested_sheet(name: str, title: str, layout: SheetLayout, printing: Printing) -> Sheet:
    """The drawing of a nested sheet on A3: pieces with marks and sizes, off-cuts hatched, saw cuts listed in order."""
    page = paper("A3")
    frame = page.frame
    column = Area(frame.right - 108.0, frame.low, frame.right, frame.high)
    area = Area(frame.left, frame.low, column.left, frame.high).inset(8.0)
    width, height = float(layout.sheet.width), float(layout.sheet.height)
    scale = min(area.width / width, area.height / height)
    at = (area.left + (area.width - width * scale) / 2, area.low + (area.height - height * scale) / 2)
    view = View(
        name, scale, at, tuple(_view(layout, printing, scale)), ((area.left, area.low), (area.right, area.high))
    )
    shapes: list[Shape] = [rectangle("FRAME", frame), rectangle("TITLE", column)]
    shapes += _column(column.inset(4.0), title, layout, printing)
    return Sheet(name, title, page.width, page.height, tuple(shapes), (view,), (("title", title),))


def _view(layout: SheetLayout, printing: Printing, scale: float) -> Iterator[Shape]:
    width, height = float(layout.sheet.width), float(layout.sheet.height)
    yield Polyline("SHELL", ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height)))
    for rest in layout.off_cuts:
        x0, y0, x1, y1 = _box(rest)
        ring = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        yield Hatch("HATCH", (ring,), "open")
        yield Polyline("HIDDEN", ring)
    for piece in layout.placed:
        x0, y0, x1, y1 = _box(piece.at)
        yield Polyline("PANEL", ((x0, y0), (x1, y0), (x1, y1), (x0, y1)), True, "board", piece.mark)
        size = f"{printing.decimal(Length(piece.at.width))} x {printing.decimal(Length(piece.at.height))}"
        yield from _label((x0, y0, x1, y1), (piece.mark, size + (", turned" if piece.turned else "")), scale)


def _label(at: tuple[float, float, float, float], lines: tuple[str, ...], scale: float) -> Iterator[Text]:
    """A piece's mark and size within it, along its longer side, as many of the lines as there is room for."""
    x0, y0, x1, y1 = at
    upright = (y1 - y0) > (x1 - x0) and (x1 - x0) * scale < 40
    long, short = ((y1 - y0), (x1 - x0)) if upright else ((x1 - x0), (y1 - y0))
    room, high = long * scale - 3.0, short * scale - 1.5
    height = next((h for h in (LABEL, NOTE_HEIGHT, 1.8) if h * 1.7 * len(lines) <= high), 1.8)
    fitting = lines if height * 1.7 * len(lines) <= high else lines[:1] if height * 1.2 <= high else ()
    pitch = height * 1.7 / scale
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    for n, line in enumerate(fitting):
        words, size = fitted(line, room, height, n == 0)
        off = ((len(fitting) - 1) / 2 - n) * pitch
        place = (x - off, y) if upright else (x, y + off)
        if text_width(words, size, n == 0) <= room:
            yield Text("MARK", place, words, size, "centre", "middle", 90.0 if upright else 0.0, n == 0)


def _column(area: Area, title: str, layout: SheetLayout, printing: Printing) -> Iterator[Shape]:
    def said(mm: Fraction) -> str:
        return printing.decimal(Length(mm))

    y = area.high - HEADING
    for line in wrapped(title, area.width, HEADING, True):
        yield Text("TITLE", (area.left, y), line, HEADING, bold=True)
        y -= HEADING * 1.7
    largest = layout.off_cuts[0] if layout.off_cuts else None
    lines = [
        f"Sheet {said(layout.sheet.width)} x {said(layout.sheet.height)}, {len(layout.placed)}"
        f" {'piece' if len(layout.placed) == 1 else 'pieces'},"
        f" {fixed_text(layout.used * 100, 1)} % of it used.",
        f"Largest off-cut {said(largest.width)} x {said(largest.height)}." if largest is not None else "No off-cut.",
        f"Sizes are blanks{'' if printing.system == 'inch' else ', in mm'}, larger than cores. Saw only to these lines,"
        " never to visible sizes.",
        "",
        "Saw cuts in order. Each goes right across one piece of board: 0 is the sheet with its edges trimmed; cut 1"
        " makes 1a (left or lower) and 1b. The size is what a keeps.",
    ]
    ends = {name: mark for name, mark in layout.ends if mark is not None}
    lines += (
        f"{cut.number}  {'upright' if cut.line == 'vertical' else 'level'}, {cut.of} at {said(cut.at)}"
        + "".join(f"; {name} is {ends[name]}" for name in (cut.near, cut.far) if name in ends)
        for cut in layout.cuts
    )
    laid = [part for line in lines for part in (wrapped(line, area.width, NOTE_HEIGHT) or [""])]
    height = NOTE_HEIGHT if len(laid) * NOTE_HEIGHT * 1.7 <= y - area.low else 1.8
    if height < NOTE_HEIGHT:
        laid = [part for line in lines for part in (wrapped(line, area.width, height) or [""])]
    room = int((y - area.low) / (height * 1.7))
    if len(laid) > room:
        laid = [*laid[: room - 1], "and more: see nesting.csv"]
    for line in laid:
        if line:
            yield Text("TEXT", (area.left, y), line, height)
        y -= height * 1.7

"""Labels for parts, on sheets of stock: where the part goes first, then its mark, then what else is to be known."""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.cab import Cab
from cabdraw.draw.paper import SIZES, Area
from cabdraw.draw.qr import qr
from cabdraw.draw.shapes import Polyline, Shape, Sheet, Text
from cabdraw.draw.title import arrow
from cabdraw.draw.words import fitted, wrapped
from cabdraw.install.parts import Piece

#: Kept clear inside a label's edge, where the printer or the die may be off.
INSET = 2.5
#: The longest revision mark that a code holds.
_LONGEST_MARK = 40


def code_of(cab: Cab, piece: Piece) -> str:
    """What a label's code holds: the part's mark and the revision."""
    revision = (cab.job.revision or "none")[:_LONGEST_MARK]
    return f"{piece.mark} rev {revision}"


def label_sheets(cab: Cab, pieces: Sequence[Piece]) -> list[Sheet]:
    """A label for each piece, in the order given, on as many sheets as that takes."""
    stock = cab.site.labels
    high, wide = SIZES["ANSI A" if stock.paper == "Letter" else "A4"]
    width, height = float(stock.width), float(stock.height)
    each = stock.columns * stock.rows
    sheets = []
    for first in range(0, len(pieces), each):
        shapes: list[Shape] = []
        for place, piece in enumerate(pieces[first : first + each]):
            row, column = divmod(place, stock.columns)
            left = float(stock.left) + column * (width + float(stock.gap_x))
            top = high - float(stock.top) - row * (height + float(stock.gap_y))
            shapes += _label(cab, piece, Area(left, top - height, left + width, top))
        number = first // each + 1
        title = f"{cab.job.project}, {cab.job.car}: labels"
        about = (("title", title), ("subject", "Part labels"), ("revision", cab.job.revision or ""))
        sheets.append(Sheet(f"labels-{number}", title, wide, high, tuple(shapes), (), about))
    return sheets


def front_arrow(cab: Cab, piece: Piece) -> tuple[float, str]:
    """Which way an arrow points on a label on a part's back, arrow up: -1 left, 1 right; and what lies there.

    Seen from behind, a wall's left end is at the right.
    """
    wall = piece.part.wall
    if wall == "back":
        return 1.0, "LEFT WALL"
    return (1.0, "FRONT") if wall == "left" else (-1.0, "FRONT")


def _label(cab: Cab, piece: Piece, area: Area) -> list[Shape]:
    """One label; a faint outline shows where it is on plain paper."""
    inner = area.inset(INSET)
    shapes: list[Shape] = [Polyline("FAINT", area.corners, True, "", "")]
    side = min(inner.height * 0.62, inner.width * 0.34)
    code = Area(inner.right - side, inner.low, inner.right, inner.low + side)
    shapes.append(qr(code_of(cab, piece), (code.left, code.low), side))
    foot, room = inner.low + _ARROWS, code.left - inner.left - 1.0
    made: list[Shape] = []
    for large in (5.0, 3.5, 2.5, 1.8):
        made, whole = _words(cab, piece, Area(inner.left, foot, inner.right, inner.high), (code, room), large)
        if whole:
            break
    shapes += made
    shapes += _arrows(cab, piece, Area(inner.left, inner.low, code.left - 1.0, foot))
    return shapes


def _words(cab: Cab, piece: Piece, area: Area, beside: tuple[Area, float], large: float) -> tuple[list[Shape], bool]:
    """A label's words with its first ones so large, and whether all are there.

    Where it goes stands over the whole width as far as the code leaves it, the rest beside the code; what
    matters least is left out where there is no room.
    """
    code, room = beside
    shapes: list[Shape] = []
    y = area.high
    lines = wrapped(_sentence(piece.where), area.width, large, True)
    if y - len(lines) * large * 1.7 < code.high:
        lines = wrapped(_sentence(piece.where), room, large, True)
    for line in lines:
        shapes.append(Text("TEXT", (area.left, y), line, large, "left", "top", 0.0, True))
        y -= large * 1.7
    size, job = cab.printing.size, cab.job
    mass = ""
    if piece.mass is not None and piece.mass.kg >= 1:
        pounds = cab.printing.system == "inch"
        mass = f", {round(float(piece.mass.lb if pounds else piece.mass.kg))} {'lb' if pounds else 'kg'}"
    number = f"{job.number}, " if job.number else ""
    small = min(large, 2.5)
    rows = (
        (piece.mark, large, True),
        (f"rev {job.revision or '–'}, step {piece.stage + 1}", small, True),
        (f"{size(piece.width)} × {size(piece.height)}{mass}", min(large, 3.5), False),
        (f"{number}{job.project}, {job.car}", small, False),
    )
    for words, most, bold in rows:
        text, height = fitted(words, room, most, bold)
        if y - height * 1.35 < area.low:
            return shapes, False
        shapes.append(Text("TEXT", (area.left, y), text, height, "left", "top", 0.0, bold))
        y -= height * 1.6
    return shapes, True


#: Paper mm at a label's foot for its arrows.
_ARROWS = 8.2


def _arrows(cab: Cab, piece: Piece, area: Area) -> list[Shape]:
    """Up, and towards the front: true for a label on the part's back."""
    way, words = front_arrow(cab, piece)
    middle = area.low + 3.6
    shapes: list[Shape] = [*arrow("TEXT", (area.left + 2.0, area.low), (0.0, 1.0), 7.6)]
    shapes.append(Text("TEXT", (area.left + 5.0, middle), "UP", 2.5, "left", "middle", 0.0, True))
    left = area.left + 14.0
    start = left if way > 0 else left + 9.0
    shapes += arrow("TEXT", (start, middle), (way, 0.0), 9.0)
    text, size = fitted(words, area.right - left - 10.5, 2.5, True)
    shapes.append(Text("TEXT", (left + 10.5, middle), text, size, "left", "middle", 0.0, True))
    return shapes


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]

"""The drawing that blocks, props and gauges are cut from: each one at full size where it fits, with its letter."""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.cab import Cab
from cabdraw.draw.layout import lane, overall_across, overall_up
from cabdraw.draw.measure import text_width
from cabdraw.draw.paper import Area
from cabdraw.draw.shapes import Line, Polyline, Shape, Sheet, Text, View
from cabdraw.draw.steps import Sizes
from cabdraw.draw.strip import BARS, bar
from cabdraw.draw.table import Press, Table
from cabdraw.draw.title import stops_fabrication
from cabdraw.draw.upright import Page, head_and_foot, page_sheet, paragraphs, upright_page
from cabdraw.draw.words import fitted
from cabdraw.errors import Finding
from cabdraw.frozen import replace
from cabdraw.install.kit import CALLED, LEG, Kit, KitRow, nose

#: A block's other side as drawn: any stock that the hand holds well.
WIDE = 30.0
#: A prop is drawn broken, so long.
BROKEN = 64.0
#: The field of a block on the page, and what of it stands over and under the block.
FIELD, OVER, UNDER = 64.0, 13.0, 12.0
GAUGE = 93.0
#: Most of a corner gauge's gaps and of its noses for which its field has room; one with more is drawn to no scale.
WIDEST_GAP, LONGEST_NOSE = 30.0, 9.0
#: A block over this is a prop, and drawn broken.
LONGEST = 150.0

NOTES = (
    "Full size: measure both bars first. Cut to the figure, never to the paper.",
    "Hard, stable stock: plywood, acrylic, aluminium. Mark each with its letter and its size.",
    "Cut as many as are used at once, or as many as are listed to leave them in place while splines go in.",
)


def blocks_sheets(cab: Cab, kit: Kit, findings: Sequence[Finding]) -> list[Sheet]:
    """The list of the kit, then every block drawn."""
    page = upright_page(cab)
    pages: list[tuple[list[Shape], list[View]]] = [(shapes, []) for shapes in _lists(cab, page, kit, findings)]
    pages += _drawn(cab, page, kit.rows)
    sheets = []
    for number, (shapes, views) in enumerate(pages, 1):
        under = "the set that is worked with" if not views else "to cut from, full size"
        head = head_and_foot(cab, page, "", "Spacer blocks", under, f"page {number} of {len(pages)}")
        sheets.append(page_sheet(cab, page, f"blocks-{number}", "spacer blocks", [*head, *shapes], views))
    return sheets


def _lists(cab: Cab, page: Page, kit: Kit, findings: Sequence[Finding]) -> list[list[Shape]]:
    sizes = Sizes(cab)
    body = page.body
    notes = list(NOTES)
    within = cab.printing.size(kit.tolerance)
    if kit.fewest:
        notes.append(f"These are the fewest sizes that keep each gap within {within}; each gap's own follow.")
    else:
        notes.append(f"Each gap has a block of its own size. The fewest that keep each gap within {within} follow:")
        notes.append(f"{len(kit.other)} sizes in place of {len(kit.rows)}; say tolerances: block to work with them.")
    first: list[Shape] = []
    top = body.high
    if stops_fabrication(findings):
        first.append(Text("CAUTION", (body.left, top - 1.0), "NOT FOR FABRICATION", 7.0, "left", "top", 0.0, True))
        top -= 12.0
    drawn, under = paragraphs(Area(body.left, body.low, body.right, top), top - 1.0, notes, 2.5)
    first += drawn
    rows = tuple(
        (row.letter, _size(sizes, row), ", ".join(CALLED[kind] for kind in row.kinds), str(row.count),
         str(row.at_once)) for row in kit.rows
    )  # fmt: skip
    heads = ("", "Size", "What", "Places", "At once")
    right = (False, False, False, True, True)
    title = "Worked with: the fewest sizes" if kit.fewest else "Worked with: each gap's own size"
    working = Table(title, heads, rows, right, (2,))
    title = "For comparison: each gap's own size" if kit.fewest else "Proposed: the fewest sizes"
    others = tuple((_size(sizes, row), str(row.count)) for row in kit.other)
    other = Table(f"{title}, within {within}", ("Size", "Places"), others, (False, True))
    press = Press(1.0, 16.0)
    area = Area(body.left, body.low, body.right, under - 2.0)
    split = area.left + area.width * 0.66
    made = [
        press.draw(working, Area(area.left, area.low, split, area.high)),
        press.draw(other, Area(split + 4.0, area.low, area.right, area.high)),
    ]
    if [rows for _, _, rows in made] == [len(working.rows), len(other.rows)]:
        return [[*first, *made[0][0], *made[1][0]]]
    pages = press.flow([working, other], area)
    pages[0] = [*first, *pages[0]]
    return pages


def _size(sizes: Sizes, row: KitRow) -> str:
    return sizes(row.size) + (f" × {sizes(row.across)}" if row.across is not None else "")


def _drawn(cab: Cab, page: Page, rows: Sequence[KitRow]) -> list[tuple[list[Shape], list[View]]]:
    """Pages of blocks in their order from the top left, each in a field of its own; check bars on every page."""
    body = page.body
    pages: list[tuple[list[Shape], list[View]]] = []
    bars = 26.0
    x, y, row_high = body.left, 0.0, 0.0
    for row in rows:
        wide, high = _field(row)
        if pages and x + wide > body.right:
            x, y, row_high = body.left, y - row_high, 0.0
        if not pages or y - high < body.low + bars:
            pages.append((_bars(body), []))
            x, y, row_high = body.left, body.high, 0.0
        _block(cab, pages[-1], row, Area(x, y - high, x + wide, y))
        x += wide
        row_high = max(row_high, high)
    return pages


def _bars(body: Area) -> list[Shape]:
    shapes: list[Shape] = []
    for number, (words, length) in enumerate(BARS):
        shapes += bar((body.left + 2.0, body.low + 3.0 + number * 13.0), (1.0, 0.0), length, words)
    x = body.left + 112.0
    for number, line in enumerate(("MEASURE BOTH BARS", "before a size is taken", "from the paper.")):
        shapes.append(Text("CHECK", (x, body.low + 18.0 - number * 6.0), line, 3.5, "left", "middle", 0.0, not number))
    return shapes


def _field(row: KitRow) -> tuple[float, float]:
    if row.across is not None:
        return GAUGE, float(LEG) + 37.0
    size = float(row.size)
    if size > LONGEST:
        return FIELD, BROKEN + OVER + UNDER + 4.0
    return (FIELD if size <= FIELD - 22.0 else size + 24.0), WIDE + OVER + UNDER + 4.0


def _block(cab: Cab, page: tuple[list[Shape], list[View]], row: KitRow, area: Area) -> None:
    shapes, views = page
    shapes.append(Text("MARK", (area.left + 1.0, area.high - 2.0), row.letter, 7.0, "left", "top", 0.0, True))
    what = ", ".join(CALLED[kind] for kind in row.kinds)
    left = area.left + 4.0 + text_width(row.letter, 7.0, True)
    words, size = fitted(what, area.right - left - 2.0, 2.5)
    shapes.append(Text("TEXT", (left, area.high - 2.0), words, size, "left", "top"))
    many = f"{row.count} places, {row.at_once} at once" if row.count > 1 else "1 place"
    words, size = fitted(many, area.right - left - 2.0, 2.5)
    shapes.append(Text("TEXT", (left, area.high - 6.6), words, size, "left", "top"))
    if row.across is not None:
        views.append(_gauge(cab, row, area))
    elif float(row.size) > LONGEST:
        views.append(_prop(cab, row, area))
    else:
        views.append(_plain(cab, row, area))


def _named(row: KitRow, at: tuple[float, float], shapes: Sequence[Shape], area: Area) -> View:
    window = ((area.left, area.low), (area.right, area.high))
    return View(f"block-{row.letter}", 1.0, at, tuple(shapes), window)


def _plain(cab: Cab, row: KitRow, area: Area) -> View:
    """A block face on: its size across, any width up."""
    size = float(row.size)
    box = ((0.0, 0.0), (size, 0.0), (size, WIDE), (0.0, WIDE))
    shapes: list[Shape] = [Polyline("PANEL", box, True, "board")]
    figure = Sizes(cab)(row.size)
    shapes.append(_across(size, figure, 0.0))
    return _named(row, (area.left + (area.width - size) / 2, area.low + UNDER), shapes, area)


def _across(size: float, figure: str, edge: float) -> Shape:
    """A dimension under something, its figure under the line where it is wider than what it measures."""
    found = overall_across(0.0, size, figure, edge - 5.0, edge, 1.0)
    if text_width(figure, found.height) + 2.0 < size:
        return found
    return replace(found, text_at=(size / 2, edge - 5.0 - lane(found.height)))


def _prop(cab: Cab, row: KitRow, area: Area) -> View:
    """A long prop upright, broken in the middle."""
    wide, middle = 20.0, BROKEN / 2
    shapes: list[Shape] = []
    for low, high in ((0.0, middle - 3.0), (middle + 3.0, BROKEN)):
        shapes.append(Polyline("TINT", ((0.0, low), (wide, low), (wide, high), (0.0, high)), True, "board"))
        shapes += [Line("PANEL", (x, low), (x, high)) for x in (0.0, wide)]
    shapes += [Line("PANEL", (0.0, y), (wide, y)) for y in (0.0, BROKEN)]
    for y in (middle - 3.0, middle + 3.0):
        zig = ((-3.0, y), (wide / 2 - 2.0, y), (wide / 2 - 1.0, y + 2.0), (wide / 2 + 1.0, y - 2.0),
               (wide / 2 + 2.0, y), (wide + 3.0, y))  # fmt: skip
        shapes.append(Polyline("BREAK", zig, False))
    shapes.append(overall_up(0.0, BROKEN, Sizes(cab)(row.size), -6.0, 0.0, 1.0))
    return _named(row, (area.left + 40.0, area.low + UNDER - 4.0), shapes, area)


def _gauge(cab: Cab, row: KitRow, area: Area) -> View:
    """A corner gauge in plan: one leg along each wall's panels, their noses in the corner.

    The upright leg is as thick as the back wall's gap, the level leg as the side wall's.
    """
    assert row.across is not None
    sizes = Sizes(cab)
    true = (float(row.size), float(row.across), float(nose(cab)))
    gap, across, reach = min(true[0], WIDEST_GAP), min(true[1], WIDEST_GAP), min(true[2], LONGEST_NOSE)
    leg = float(LEG)
    points = (
        (-reach, 0.0), (0.0, 0.0), (0.0, reach), (gap, reach), (gap, 0.0), (leg, 0.0), (leg, -across), (gap, -across),
        (gap, -leg), (0.0, -leg), (0.0, -across), (-reach, -across),
    )  # fmt: skip
    shapes: list[Shape] = [Polyline("PANEL", points, True, "board")]
    shapes.append(_across(gap, sizes(row.size), -leg))
    shapes.append(_at_right(across, sizes(row.across), leg))
    noses = f"nose {sizes(nose(cab))}"
    shapes.append(Text("TEXT", (gap + 2.0, max(reach / 2, 2.6)), noses, 2.5, "left", "middle"))
    words = ("this leg along the side", "wall's panels, the other", "along the back wall's,", "noses in the corner")
    no_scale = () if (gap, across, reach) == true else ("DRAWN TO NO SCALE",)
    for number, line in enumerate((*words, *no_scale)):
        shapes.append(Text("TEXT", (gap + 4.0, -across - 16.0 - number * 4.4), line, 2.5, "left", "middle"))
    return _named(row, (area.left + 16.0, area.high - 20.0), shapes, area)


def _at_right(across: float, figure: str, leg: float) -> Shape:
    """The thickness of the level leg, its figure under the leg's end."""
    dimension = overall_up(-across, 0.0, figure, leg + 4.0, leg, 1.0)
    at = (leg - 10.0, -across - 5.0)
    return replace(dimension, text_at=at, leader=((leg + 4.0, -across / 2), (leg - 1.0, -across - 3.2)))

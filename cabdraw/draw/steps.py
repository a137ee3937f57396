"""The step sheet: one step of the work a page, in type that is read at arm's length."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence

from cabdraw.cab import Cab
from cabdraw.draw.cautions import named
from cabdraw.draw.paper import Area
from cabdraw.draw.shapes import Polyline, Shape, Sheet, Text, View
from cabdraw.draw.step_view import signed, step_view, trims_view
from cabdraw.draw.table import GAP, Press, Table
from cabdraw.draw.title import stops_fabrication
from cabdraw.draw.upright import Page, boxed, head_and_foot, page_sheet, paragraphs, upright_page
from cabdraw.errors import Finding
from cabdraw.frozen import Frozen
from cabdraw.install.hardware import Need
from cabdraw.install.packing import Bundle
from cabdraw.install.steps import Step
from cabdraw.rational import Fraction
from cabdraw.units import ZERO, Length, Mass, decimal_text


class Setting(Frozen):
    """How a page is set: how much larger than notes the lists in hand and the others are, how high the capitals of
    its cautions and its sentences, and the share of its height that the elevation takes.

    1.4 makes capitals of 3.5 mm, which are read at arm's length. `brief` leaves mm off the sizes of parts, which are
    known by their marks, and of checks, which stand among the places too.
    """

    in_hand: float
    other: float
    words: float
    upper: float
    brief: bool = False


#: Best first.
SETTINGS = (
    Setting(2.0, 1.4, 3.5, 0.44),
    Setting(1.4, 1.4, 3.5, 0.44),
    Setting(1.4, 1.0, 3.5, 0.44),
    Setting(1.4, 1.0, 3.5, 0.36),
    Setting(1.4, 1.0, 2.5, 0.36),
    Setting(1.0, 1.0, 2.5, 0.42),
    Setting(1.0, 1.0, 2.5, 0.37),
    Setting(1.0, 1.0, 2.5, 0.5),
    Setting(1.0, 1.0, 2.5, 0.42, True),
    Setting(1.0, 1.0, 2.5, 0.5, True),
    Setting(1.0, 1.0, 2.5, 0.34, True),
)
#: Lists that are read with a part or a block in hand.
IN_HAND = ("On, in this order", "Blocks")
#: Share of a page's width that the elevation takes.
LEFT = 0.5
#: The least width of a column of sizes, whose mm stand under the inches where there is little room.
SQUEEZED = 14.0
#: To what share of its width a list may be squeezed to stand beside another.
_SQUEEZE = 0.65
_EMPTY = "           "


class Sizes:
    """Sizes as they stand on a step: in fractions of an inch with mm beside, or in mm."""

    def __init__(self, cab: Cab) -> None:
        self.printing = cab.printing

    def __call__(self, length: Length) -> str:
        """One size."""
        return self.printing.both(length) if self.printing.system == "inch" else self.printing.size(length)

    def mass(self, mass: Mass | None) -> str:
        """A mass in lb or kg, empty where it is not known."""
        if mass is None:
            return ""
        value, unit = (mass.lb, "lb") if self.printing.system == "inch" else (mass.kg, "kg")
        return f"{decimal_text(value, 1 if value >= 1 else 2)} {unit}"


def step_sheets(cab: Cab, steps: Sequence[Step], findings: Sequence[Finding]) -> list[Sheet]:
    """Every step's page, and the pages that a long list goes on to."""
    page = upright_page(cab)
    done: set[str] = set()
    made: list[tuple[Step, int, list[Shape], list[View]]] = []
    for step in steps:
        for index, (shapes, views) in enumerate(_pages(cab, page, step, done, findings)):
            made.append((step, index, shapes, views))
        done |= {piece.part.mark for piece in step.pieces}
    sheets = []
    for number, (step, index, shapes, views) in enumerate(made, 1):
        also = ", continued" if index else ""
        under = f"Step {step.number} of {len(steps)}{also}"
        head = head_and_foot(cab, page, str(step.number), step.title, under, f"page {number} of {len(made)}")
        name = f"step-{step.number}" + (f"-{index + 1}" if index else "")
        sheets.append(page_sheet(cab, page, name, f"step {step.number}, {step.title.lower()}", [*head, *shapes], views))
    return sheets


def _pages(
    cab: Cab, page: Page, step: Step, done: Collection[str], findings: Sequence[Finding]
) -> list[tuple[list[Shape], list[View]]]:
    """The shapes of a step's page; more pages where its lists are too long for one."""
    body = page.body
    shapes: list[Shape] = []
    stops = [f for f in findings if step.drills and f.stops == "drilling" and f.wall == step.wall]
    top = body.high
    if stops_fabrication(findings):
        top = _banner(shapes, Area(body.left, body.low, body.right, top), "NOT FOR FABRICATION", ())
    if stops:
        reasons = [f"{f.message[:1].upper()}{f.message[1:]}." for f in stops[:2]]
        if len(stops) > 2:
            reasons.append(f"{len(stops) - 2} more findings stop drilling here: see the report.")
        top = _banner(shapes, Area(body.left, body.low, body.right, top), "DO NOT DRILL", reasons)
    room = Area(body.left, body.low, body.right, top)
    told = {brief: step_tables(cab, step, brief) for brief in (False, True)}
    for setting in SETTINGS:
        found = _set(cab, step, done, told[setting.brief], room, setting)
        if found is not None:
            return [([*shapes, *found[0]], found[1])]
    # What is too long for one page at any size goes on pages of its own; what is read with a part in hand stays.
    tables, rest = told[bool(step.pieces)], list[Table]()
    while found is None:
        longest = max((t for t in tables if t.title not in IN_HAND), key=lambda t: len(t.rows), default=tables[0])
        tables = [table for table in tables if table is not longest]
        rest.append(longest)
        found = _set(cab, step, done, tables, room, SETTINGS[-1] if step.pieces else SETTINGS[1])
    pages = [([*shapes, *found[0]], found[1])]
    pages += [(more, []) for more in Press(1.0, SQUEEZED).flow(rest, body)]
    return pages


def _set(
    cab: Cab, step: Step, done: Collection[str], tables: Sequence[Table], room: Area, setting: Setting
) -> tuple[list[Shape], list[View]] | None:
    """A page in one setting; None where not everything fits."""
    shapes: list[Shape] = []
    low = room.low
    if step.cautions:
        drawn, over = boxed(room, [named(name) for name in step.cautions], setting.words)
        shapes += drawn
        low = over + 2.5
    areas = [Area(room.left, low, room.right, room.high)]
    seen = None
    if step.wall is not None or step.kind in ("corner-trims", "front-trims"):
        split, middle = room.left + room.width * LEFT, room.high - (room.high - low) * setting.upper
        seen = Area(room.left, middle, split - 2.0, room.high)
        areas = [Area(split + 1.0, low, room.right, room.high), Area(room.left, low, split - 2.0, middle - 2.0)]
    placed = _placed(step, tables, areas, setting)
    if placed is None:
        return None
    views: list[View] = []
    if seen is not None:
        views.append(step_view(cab, step, done, seen) if step.wall is not None else trims_view(cab, step, seen))
    return [*shapes, *placed], views


def _banner(shapes: list[Shape], area: Area, words: str, reasons: Sequence[str]) -> float:
    """A red bar across the top of an area; the height under it."""
    inner = Area(area.left + 3.0, area.low, area.right - 3.0, area.high)
    _, under = paragraphs(inner, 0.0, reasons, 2.5, "CAUTION")
    high = 13.0 - under
    box = Area(area.left, area.high - high, area.right, area.high)
    shapes.append(Polyline("CAUTION", box.corners, True, "caution"))
    middle = (box.left + box.right) / 2
    shapes.append(Text("CAUTION", (middle, box.high - 5.4), words, 7.0, "centre", "middle", 0.0, True))
    shapes += paragraphs(inner, box.high - 12.5, reasons, 2.5, "CAUTION")[0]
    return box.low - 2.5


def _placed(step: Step, tables: Sequence[Table], areas: Sequence[Area], setting: Setting) -> list[Shape] | None:
    """What is said and the tables; None where one has no room in any of the ways to fill a page.

    The tables stand in two columns, each in the first with room for it or in the one with the most room; or
    those in hand stand beside the elevation and the others on shelves under it.
    """
    if len(areas) == 1:
        return _filled(step, tables, areas, setting, False)
    for found in (
        _filled(step, tables, areas, setting, False),
        _filled(step, tables, areas, setting, True),
        _shelved(step, tables, areas, setting),
    ):
        if found is not None:
            return found
    return None


def _shelved(step: Step, tables: Sequence[Table], areas: Sequence[Area], setting: Setting) -> list[Shape] | None:
    """What is read with a part in hand beside the elevation; the rest side by side under it, each as wide as it is."""
    right, left = areas
    middle = left.high
    shapes: list[Shape] = []
    top, waiting = right.high, []
    for table in tables:
        drawn, under, rows = _press(table, setting).draw(table, Area(right.left, middle, right.right, top))
        if table.title in IN_HAND and rows == len(table.rows):
            shapes += drawn
            top = under - GAP * 0.7
        else:
            waiting.append(table)
    lower = Area(left.left, left.low, right.right, middle - 1.0)
    said, y = paragraphs(lower, lower.high, [" ".join(step.how)], setting.words)
    shapes += said
    x, foot = lower.left, y - 1.0
    y = foot
    for table in waiting:
        press = _press(table, setting)
        wide = min(sum(press.natural(table)), lower.width) + 0.1
        room = lower.right - x
        if x > lower.left and wide > room:
            if press.least(table) <= room and wide * _SQUEEZE <= room:
                wide = room
            else:
                x, y = lower.left, foot - GAP * 0.7
        drawn, under, rows = press.draw(table, Area(x, lower.low, min(x + wide, lower.right), y))
        if rows < len(table.rows):
            return None
        shapes += drawn
        x, foot = x + wide + GAP, min(foot, under)
    return shapes


def _press(table: Table, setting: Setting) -> Press:
    return Press(setting.in_hand if table.title in IN_HAND else setting.other, SQUEEZED)


def _filled(
    step: Step, tables: Sequence[Table], areas: Sequence[Area], setting: Setting, roomiest: bool
) -> list[Shape] | None:
    tops = [area.high for area in areas]
    last = len(areas) - 1
    shapes: list[Shape] = []
    if step.how:
        shapes, under = paragraphs(areas[last], tops[last] - 1.0, step.how, setting.words)
        tops[last] = under - 2.0
    for table in tables:
        press = _press(table, setting)
        order = list(range(len(areas)))
        if roomiest and table.title not in IN_HAND:
            order.sort(key=lambda index: areas[index].low - tops[index])
        for index in order:
            area = areas[index]
            if press.least(table) > area.width + 0.01:
                continue
            drawn, under, rows = press.draw(table, Area(area.left, area.low, area.right, tops[index]))
            if rows == len(table.rows):
                shapes += drawn
                tops[index] = under - GAP * 0.7
                break
        else:
            return None
    return shapes


def step_tables(cab: Cab, step: Step, brief: bool = False) -> list[Table]:
    """The tables of a step that are not empty: parts, blocks, places, hardware, checks, packing, what comes off.

    `brief` leaves mm off the sizes of parts and of checks.
    """
    sizes = Sizes(cab)
    found = [_order(cab, step, brief), _blocks(step, sizes), _places(cab, step, sizes),
             _hardware(cab, step), _checks(cab, step, brief), _packing(step, sizes), _removals(step)]  # fmt: skip
    return [table for table in found if table.rows]


def _order(cab: Cab, step: Step, brief: bool) -> Table:
    sizes: Callable[[Length], str] = cab.printing.size if brief else Sizes(cab)
    rows = tuple(
        (str(number), piece.mark, f"{sizes(piece.width)} × {sizes(piece.height)}")
        for number, piece in enumerate(step.pieces, 1)
    )
    return Table("On, in this order", ("", "Part", "Size"), rows, (True, False, False), (2,))


def _blocks(step: Step, sizes: Sizes) -> Table:
    rows = []
    for use in step.blocks:
        size = sizes(use.size) + (f" × {sizes(use.across)}" if use.across is not None else "")
        kinds: dict[str, list[str]] = {}
        for place in use.places:
            name = "joints" if place.kind == "joint" else place.what if place.kind != "end" else ""
            kinds.setdefault(name, []).append(place.spot)
        where = "; ".join(_spots(name, spots) for name, spots in kinds.items())
        rows.append((use.letter, size, str(len(use.places)), where))
    return Table("Blocks", ("", "Size", "No.", "Where"), tuple(rows), (False, False, True, False), (1, 3))


def _spots(name: str, spots: Sequence[str]) -> str:
    if name == "joints" or (name.startswith(("level reveal", "floor")) and len(spots) > 2):
        return name if name != "joints" else f"joints, {len(spots)} in all"
    return ", ".join(([name] if name else []) + list(dict.fromkeys(spots)))


def _places(cab: Cab, step: Step, sizes: Sizes) -> Table:
    """Heights from the floor and from the level line, and places left and right of the plumb line."""
    line = cab.site.level_line
    rows = [(h.words, sizes(h.y), _from(cab, sizes, h.y - line)) for h in step.heights]
    middle = cab.walls[step.wall].width / 2 if step.wall is not None else ZERO
    for place in step.across:
        off = place.x - middle
        side = "left" if off < ZERO else "right"
        rows.append((place.words, f"{sizes(abs(off))} {side}" if off else "on it", ""))
    title = f"Places, level line at {cab.printing.size(line)}"
    return Table(title, ("To", "Floor, plumb line", "Level line"), tuple(rows), (False, True, True), (0, 1, 2))


def _from(cab: Cab, sizes: Sizes, length: Length) -> str:
    return f"{signed(cab, length)[:1]}{sizes(abs(length))}" if length else "0"


def _hardware(cab: Cab, step: Step) -> Table:
    rows = tuple((need.item, need.size, amount_words(cab, need), _brief(need)) for need in step.hardware)
    return Table("Hardware", ("What", "Size", "No.", "Where"), _merged(rows), (False, False, True, False), (1, 3))


def _brief(need: Need) -> str:
    """A note as it stands on a step: the drawing shows where each screw goes."""
    return need.note if need.item not in ("self-drilling screw", "pad stud", "standoff") else "as drawn"


def _merged(rows: Sequence[tuple[str, ...]]) -> tuple[tuple[str, ...], ...]:
    """Rows that differ only in a whole number, added up."""
    found: dict[tuple[str, str, str], int] = {}
    kept: list[tuple[str, ...]] = []
    for item, size, amount, where in rows:
        if amount.isdecimal():
            if (item, size, where) not in found:
                kept.append((item, size, "", where))
            found[item, size, where] = found.get((item, size, where), 0) + int(amount)
        else:
            kept.append((item, size, amount, where))
    return tuple((item, size, amount or str(found[item, size, where]), where) for item, size, amount, where in kept)


def amount_words(cab: Cab, need: Need) -> str:
    """An amount as printed: pieces, a length, or ml of sealant."""
    if need.unit == "pieces":
        return str(int(need.amount))
    if need.unit == "length":
        return cab.printing.size(Length(Fraction(need.amount)))
    return f"{decimal_text(need.amount, 0)} ml"


def _checks(cab: Cab, step: Step, brief: bool) -> Table:
    sizes: Callable[[Length], str] = cab.printing.size if brief else Sizes(cab)
    rows = tuple((c.words, sizes(c.should) if c.should is not None else "", _EMPTY) for c in step.checks)
    return Table("Check, and write down", ("What", "Should", "Measured"), rows, (False, True, False), (0, 1))


def _packing(step: Step, sizes: Sizes) -> Table:
    return packing_table(step.bundles, sizes)


def packing_table(bundles: Sequence[Bundle], sizes: Sizes) -> Table:
    """The bundles in the order in which they are packed."""
    rows = tuple(
        (str(b.number), f"{b.what}, {b.wall}", str(len(b.pieces)), sizes(b.length), sizes.mass(b.mass),
         str(b.stage + 1)) for b in bundles
    )  # fmt: skip
    heads = ("Bundle", "What", "Pieces", "Longest", "Mass", "For step")
    title = "Packing list, in the order of packing: the last on top"
    return Table(title, heads, rows, (True, False, True, True, True, True), (1, 3))


def _removals(step: Step) -> Table:
    rows = []
    for removal in step.removals:
        if removal.alone:
            words = "comes off alone"
        elif not removal.first:
            words = f"does not come off as it hangs: {removal.why}"
        elif len(removal.first) == 1:
            words = f"top-down only: after {removal.first[0]}"
        else:
            words = f"top-down only: after {len(removal.first)} parts, {removal.first[0]} to {removal.first[-1]}"
        rows.append((removal.mark, words))
    return Table("Taken off again later", ("Panel", "How"), tuple(rows), wraps=(1,))

"""Details on sheets: how they are named and dimensioned, and how many stand on one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cabdraw.cab import Cab
from cabdraw.draw.column import Column
from cabdraw.draw.details import Detail, details
from cabdraw.draw.figures import Figures
from cabdraw.draw.layout import chain_across, chain_up, spread
from cabdraw.draw.measure import text_width
from cabdraw.draw.paper import Area, Paper, paper
from cabdraw.draw.scales import Scale, preferred
from cabdraw.draw.shapes import XY, Across, Circle, Line, Shape, Sheet, Text, View
from cabdraw.draw.style import LABEL, NOTE
from cabdraw.draw.title import Title
from cabdraw.errors import Finding

#: Paper mm that dimensions, names and the caption take: left, below, right, above.
AROUND = (22.0, 30.0, 46.0, 8.0)


def _size(detail: Detail, s: float) -> tuple[float, float]:
    left, low, right, high = detail.extent
    a, below, c, above = _around(detail, s)
    return (right - left) * s + a + c, (high - low) * s + below + above


def _around(detail: Detail, s: float) -> tuple[float, float, float, float]:
    """Paper mm beside a detail, as its own figures and names need."""
    _, below, _, above = AROUND
    figures = [text_width(word, NOTE) for _, words, _ in detail.left for word in words]
    names = [text_width(words, NOTE) for _, words in detail.names]
    names_left = [text_width(words, NOTE) for _, words in detail.names_left]
    left = max(max(figures, default=4.0) + 13.0, max(names_left, default=0.0) + 10.0)
    right = max(names, default=10.0) + 12.0
    # The caption stands under the middle of the drawing and may be wider than it.
    half = text_width(f"M  {detail.title}", LABEL, True) / 2 + 2.0 - (detail.extent[2] - detail.extent[0]) * s / 2
    return max(left, half), below, max(right, half), above


def _view(detail: Detail, letter: str, area: Area, scale: Scale) -> View:
    s = scale.ratio
    left, low, right, high = detail.extent
    shapes = list(detail.shapes)
    for stations, words, edge in detail.below:
        made, _ = chain_across(stations, words, low - 8.0 / s, min(edge, low), s, bounded=False)
        shapes += made
    for stations, words, edge in detail.left:
        shapes += chain_up(stations, words, left - 7.0 / s, min(edge, left), s)
    shapes += _leaders(detail, s)
    middle = (left + right) / 2
    foot = low - 23.5 / s
    shapes.append(Text("TEXT", (middle, foot), f"{letter}  {detail.title}", LABEL, "centre", "middle", 0.0, True))
    shapes.append(Text("TEXT", (middle, foot - 5.0 / s), scale.text, NOTE, "centre", "middle"))
    a, below, c, above = _around(detail, s)
    wide, tall = (right - left) * s + a + c, (high - low) * s + below + above
    x = area.left + (area.width - wide) / 2 + a - left * s
    y = area.low + (area.height - tall) / 2 + below - low * s
    name = f"detail-{letter}"
    return View(name, s, (x, y), tuple(shapes), ((area.left, area.low), (area.right, area.high)))


def _leaders(detail: Detail, s: float) -> Iterator[Shape]:
    """Names beside the drawing, each with a leader that ends in a dot on what it names."""
    left, low, right, high = detail.extent
    inside = [name for name in detail.placed if text_width(name[3], NOTE) + 1.0 <= name[2] * s]
    sides: tuple[tuple[list[tuple[XY, str]], float, float, Across], ...] = (
        (detail.names, right + 8.0 / s, -1.0, "left"),
        (detail.names_left, left - 6.0 / s, 1.0, "right"),
    )
    for names, x, way, across in sides:
        if across == "left":
            names = [*names, *((name[0], name[3]) for name in detail.placed if name not in inside)]
        order = sorted(names, key=lambda pair: pair[0][1])
        sizes = [NOTE + 2.2] * len(order)
        ups = spread([point[1] * s for point, _ in order], sizes, low * s - 2.0, high * s + 6.0)
        for (point, words), up in zip(order, ups, strict=True):
            yield from _leader(point, (x + way * 0.8 / s, up / s), s)
            yield Text("TEXT", (x, up / s), words, NOTE, across, "middle")
    for point, at, _, words in inside:
        up = at[1] < point[1]
        yield from _leader(point, (at[0], at[1] + (1.9 if up else -1.9) / s), s)
        yield Text("TEXT", at, words, NOTE, "centre", "middle")


def _leader(point: XY, end: XY, s: float) -> Iterator[Shape]:
    yield Line("LEADER", point, end)
    yield Circle("LEADER", point, 0.4 / s, "solid")


#: Rows from the top, each of stacks from the left, each of details from the top, by their index.
Arrangement = list[list[list[int]]]


def _arrange(found: Sequence[Detail], area: Area, s: float) -> Arrangement | None:
    """An arrangement of all the details in the area at a scale; None where there is no room for it.

    Each detail goes where the whole stays lowest: beside or under one already placed, or into a new row.
    """
    sizes = [_size(detail, s) for detail in found]
    rows: Arrangement = []
    for index in range(len(found)):
        options: list[tuple[float, int, Arrangement]] = []
        for r, row in enumerate(rows):
            options.append((0.0, 0, [*rows[:r], [*row, [index]], *rows[r + 1 :]]))
            for k, stack in enumerate(row):
                options.append((0.0, 2, [*rows[:r], [*row[:k], [*stack, index], *row[k + 1 :]], *rows[r + 1 :]]))
        options.append((0.0, 1, [*rows, [[index]]]))
        fitting = [
            (height, order, option)
            for _, order, option in options
            if (height := _height(option, sizes)) <= area.height and _width(option, sizes) <= area.width
        ]
        if not fitting:
            return None
        rows = min(fitting, key=lambda entry: (round(entry[0], 3), entry[1]))[2]
    return rows


def _stack_width(stack: Sequence[int], sizes: Sequence[tuple[float, float]]) -> float:
    return max(sizes[i][0] for i in stack)


def _row_height(row: Sequence[Sequence[int]], sizes: Sequence[tuple[float, float]]) -> float:
    return max(sum(sizes[i][1] for i in stack) for stack in row)


def _height(rows: Arrangement, sizes: Sequence[tuple[float, float]]) -> float:
    return sum(_row_height(row, sizes) for row in rows)


def _width(rows: Arrangement, sizes: Sequence[tuple[float, float]]) -> float:
    return max(sum(_stack_width(stack, sizes) for stack in row) for row in rows)


def pages(cab: Cab, page: Paper) -> list[tuple[Scale, list[Detail]]]:
    """The details on one or two sheets, as large as that allows: full size, else half size, else smaller."""
    found = sorted(details(cab), key=lambda detail: -_size(detail, 0.5)[1])
    area = page.drawing.inset(3.0)
    for scale in preferred(cab.printing.system)[:4]:
        s = scale.ratio
        if _arrange(found, area, s) is not None:
            return [(scale, found)]
        # Two sheets only where both are well filled, as evenly as can be.
        middle = len(found) // 2
        for count in sorted(range(3, len(found) - 2), key=lambda n: (abs(n - middle), n)):
            halves = found[:count], found[count:]
            if all(_arrange(half, area, s) is not None for half in halves):
                return [(scale, half) for half in halves]
    smallest = preferred(cab.printing.system)[4]
    return [(smallest, [detail]) for detail in found]


def detail_sheet(
    cab: Cab, findings: Sequence[Finding], number: str, scale: Scale, found: Sequence[Detail], first: int
) -> Sheet:
    """One sheet of details; `first` is the place of its first detail in the alphabet."""
    page = paper(cab.sheet.size)
    area = page.drawing.inset(3.0)
    s = scale.ratio
    rows = _arrange(found, area, s) or [[[i]] for i in range(len(found))]
    sizes = [_size(detail, s) for detail in found]
    spare = (area.height - _height(rows, sizes)) / len(rows)
    views: list[View] = []
    y = area.high
    for row in rows:
        tall = _row_height(row, sizes) + spare
        extra = (area.width - sum(_stack_width(stack, sizes) for stack in row)) / len(row)
        x = area.left
        for stack in row:
            wide = _stack_width(stack, sizes) + extra
            slack = (tall - sum(sizes[i][1] for i in stack)) / len(stack)
            top = y
            for i in stack:
                cell = Area(x, top - sizes[i][1] - slack, x + wide, top)
                views.append(_view(found[i], "CDEFGHJKLMNP"[first + len(views)], cell, scale))
                top = cell.low
            x += wide
        y -= tall
    title = Title("Details", "Made from this car's own joint sizes", scale.text, "Detail", number)
    column = Column(cab, page, title, findings)
    column.notes("Notes", _notes(cab))
    column.legend([("PANEL", "board", "board, cut"), ("CUT", "steel", "metal, cut"), ("CUT", "spline", "spline, cut")])
    return column.sheet(f"details-{first + 1}", "Details", views)


def _notes(cab: Cab) -> list[str]:
    figures = Figures(cab)
    joint = cab.joint
    return [
        f"Groove {figures(joint.groove_depth)} deep, {figures.decimal(joint.groove_width)} wide; spline"
        f" {figures.decimal(joint.spline_thickness)}, strip {figures.decimal(joint.strip_thickness)},"
        f" tab {figures.decimal(joint.tab_thickness)} thick.",
        "Sheet metal is shown in principle; its legs and bends are in the bend table where profiles are given.",
        "Strips lie loose in their grooves. Deburr every edge; edges that show are hemmed or eased.",
        "Packers fill the air gap round each bolt, so that tightening neither dishes the shell nor bows the board.",
    ]

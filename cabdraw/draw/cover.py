"""The cover: the job, the sheets, the revisions, where the dimensions come from, cautions and what is by others."""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.cab import Cab
from cabdraw.draw.cautions import CAR
from cabdraw.draw.column import Column
from cabdraw.draw.figures import Figures
from cabdraw.draw.paper import Area, paper
from cabdraw.draw.shapes import Shape, Sheet, Text
from cabdraw.draw.style import NOTE
from cabdraw.draw.table import Press, Table
from cabdraw.draw.title import LEADING, SMALL, Title, rectangle
from cabdraw.draw.words import fitted, wrapped
from cabdraw.errors import Finding
from cabdraw.units import ZERO


def _paragraphs(
    area: Area, y: float, title: str, lines: Sequence[str], layer: str, k: float
) -> tuple[list[Shape], float]:
    """Numbered lines under a heading, `k` times as large as on A3; and the height under them."""
    head, size = fitted(title, area.width, 3.5 * k, True)
    shapes: list[Shape] = [Text(layer, (area.left, y), head, size, "left", "top", 0.0, True)]
    y -= 7.5 * k
    high = NOTE * k
    for number, words in enumerate(lines, 1):
        for i, line in enumerate(wrapped(words, area.width - 7.0 * k, high)):
            if i == 0:
                shapes.append(Text(layer, (area.left, y), f"{number}", high, "left", "top"))
            shapes.append(Text(layer, (area.left + 6.0 * k, y), line, high, "left", "top"))
            y -= high * LEADING
        y -= 0.8 * k
    return shapes, y


def _sources(cab: Cab) -> list[str]:
    figures = Figures(cab)
    survey = cab.survey
    who = f" by {survey.by}" if survey.by else ""
    when = f" on {survey.date}" if survey.date else ""
    found = [f"Field survey of the bare shell{who}{when}; every part is made to the least reading."]
    if survey.uncertainty > ZERO:
        found.append(f"{figures(survey.uncertainty)} of survey uncertainty is taken off every width and height.")
    if survey.floor_finish > ZERO:
        laid = figures(survey.floor_finish)
        found.append(f"{laid} of flooring is still to be laid; heights count from the finished floor.")
    for name, wall in cab.walls.items():
        widths = ", ".join(figures(reading) for reading in wall.readings.width)
        state = (
            f"space behind verified by {wall.verified.by}, {wall.verified.date}"
            if wall.verified is not None
            else "space behind the shell not recorded as verified"
        )
        found.append(f"{name.capitalize()} wall: width read {widths}; {state}.")
    return found


def _sizes(cab: Cab) -> Table:
    figures = Figures(cab)
    clear = cab.clear
    rows = [
        ("clear inside, width", figures(clear.width) if clear.width is not None else "not surveyed"),
        ("clear inside, depth", figures(clear.depth) if clear.depth is not None else "not surveyed"),
        ("clear inside, height", figures(clear.height)),
    ]
    for name, wall in cab.walls.items():
        rows.append((f"{name} wall, shell", f"{figures(wall.width)} × {figures(wall.height)}"))
        if wall.rail is not None:
            rows.append((f"{name} rail, top above floor", figures(wall.rail.y + wall.rail.height / 2)))
    return Table("Main sizes", ("Size", "Finished car"), tuple(rows))


def _revisions(cab: Cab) -> Table:
    rows = tuple((r.mark, r.date, r.by or "–", r.note or "–") for r in cab.job.revisions)
    if not rows:
        rows = ((cab.job.revision or "–", cab.job.date or "–", cab.job.drawn_by or "–", "first issue"),)
    return Table("Revisions", ("Rev.", "Date", "By", "What changed"), rows, wraps=(3,))


Block = tuple[str, Sequence[str], str]


def _blocks(cab: Cab) -> list[Block]:
    """Where the dimensions come from, cautions, what is by others: each with its lines and its layer."""
    return [
        ("Where the dimensions come from", _sources(cab), "TEXT"),
        ("Cautions", CAR, "CAUTION"),
        ("By others, and before work", _others(), "TEXT"),
    ]


def _column(area: Area, blocks: Sequence[Block], k: float) -> tuple[list[Shape], list[Block]]:
    """As many blocks as an area holds, `k` times as large as on A3 or a size smaller; and those left over."""
    shapes: list[Shape] = []
    y = area.high
    for index, (title, lines, layer) in enumerate(blocks):
        for size in (k, k * SMALL / NOTE):
            made, under = _paragraphs(area, y, title, lines, layer, size)
            if under >= area.low:
                break
        else:
            return shapes, list(blocks[index:])
        shapes += made
        y = under - 4.0 * k
    return shapes, []


def _room(cab: Cab) -> tuple[Area, Area, float]:
    """The two columns of the cover under its headings, and how much larger than on A3 its words are."""
    page = paper(cab.sheet.size)
    k, area = page.times, page.drawing.inset(9.0)
    y = area.high
    for _, size, _ in _headings(cab, area, k):
        y -= size * 1.7
    y -= 3.0 * k
    half = (area.width - 9.0 * k) / 2
    return Area(area.left, area.low, area.left + half, y), Area(area.right - half, area.low, area.right, y), k


def _headings(cab: Cab, area: Area, k: float) -> list[tuple[str, float, bool]]:
    job = cab.job
    about = ", ".join(word for word in (job.client, job.address) if word)
    lines = ((job.project, 10.0, True), (f"{job.car}: new wall panelling", 7.0, False), (about, 3.5, False))
    return [(*fitted(words, area.width, high * k, bold), bold) for words, high, bold in lines if words]


def overflow(cab: Cab) -> list[Block]:
    """What the cover has no room for, which then stands on a sheet of its own."""
    _, right, k = _room(cab)
    return _column(right, _blocks(cab), k)[1]


def notes_sheet(cab: Cab, findings: Sequence[Finding], number: str) -> Sheet:
    """The notes and cautions that the cover has no room for."""
    page = paper(cab.sheet.size)
    area, k = page.drawing.inset(9.0), page.times
    half = (area.width - 9.0 * k) / 2
    left, rest = _column(Area(area.left, area.low, area.left + half, area.high), overflow(cab), k)
    right, _ = _column(Area(area.right - half, area.low, area.right, area.high), rest, k)
    title = Title("Notes and cautions", "Continued from the cover", "none", "Notes", number)
    return Column(cab, page, title, findings).sheet("notes", "Notes and cautions", (), [*left, *right])


def cover(cab: Cab, findings: Sequence[Finding], number: str, index: Sequence[tuple[str, str]]) -> Sheet:
    """The cover sheet; `index` holds the number and title of every sheet."""
    page = paper(cab.sheet.size)
    left, right, k = _room(cab)
    press = Press(k)
    shapes: list[Shape] = []
    area = page.drawing.inset(9.0)
    y = area.high
    for text, size, bold in _headings(cab, area, k):
        shapes.append(Text("TEXT", (area.left, y), text, size, "left", "top", 0.0, bold))
        y -= size * 1.7
    y, half = left.high, left.width
    for table in (Table("Sheets", ("No.", "Sheet"), tuple(index)), _revisions(cab), _sizes(cab)):
        made, under, _ = press.draw(table, Area(left.left, left.low, left.right, y))
        shapes += made
        y = under - 6.0 * k
    stamp = Area(left.left, left.low, left.left + min(half, 90.0 * k), min(y, left.low + 42.0 * k))
    if stamp.height > 22.0:
        shapes += _stamp_box(stamp)
    made, _ = _column(right, _blocks(cab), k)
    shapes += made
    head = Title("Cover", "Sheets, revisions, cautions", "none", "Drawing set", number)
    column = Column(cab, page, head, findings)
    column.key_plan("")
    column.findings(None)
    return column.sheet("cover", "Cover of the drawing set", (), shapes)


def _others() -> list[str]:
    return [
        "Removal of existing finishes fastened from outside the shell, all electrical work and everything outside the"
        " car are for the licensed mechanic.",
        "Check every governing size on the bare shell before cutting.",
        "Finishes need fire-test evidence for the assembly as built.",
        "Changes to this design are agreed in writing before fabrication.",
    ]


def _stamp_box(area: Area) -> list[Shape]:
    shapes: list[Shape] = [rectangle("TITLE", area)]
    shapes.append(Text("TEXT", (area.left + 2.0, area.high - 2.0), "For the approver's stamp", NOTE, "left", "top"))
    return shapes

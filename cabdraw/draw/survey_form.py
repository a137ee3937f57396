"""The survey form: what to measure on a bare cab, where and how often, with boxes to write in.

Black on white, upright pages: the car and its front first, then a page for each wall.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from cabdraw.draw.form import FIGURE, Form, bubble, double_arrow, interrupted, portrait
from cabdraw.draw.paper import Area
from cabdraw.draw.shapes import Across, Line, Polyline, Shape, Sheet, Text
from cabdraw.draw.title import arrow
from cabdraw.draw.words import wrapped
from cabdraw.survey import CarReadings, Survey, WallReadings

#: What to do, in the trade's order; {level} and {step} are the survey's own.
_ORDER = (
    "The licensed mechanic parks the car, locks and tags it out. Work in the car only.",
    "Photograph the plate, the certificate and each side.",
    "Strip the walls; weigh what comes out. What is screwed from outside is for the mechanic. Guard every opening to"
    " the hoistway.",
    "Strike a level line all round, usually {level} above the floor at the sill (C{level_number}), and plumb lines at"
    " the ends of each wall. Every reading refers to these.",
    "Read to {step}, each reading twice, the tape set anew. The greatest difference goes into C{difference}.",
    "The front, then wall by wall: widths, heights, floor, plumb, diagonals, bow, fixtures.",
    "Behind the shell only the mechanic looks. Nothing written: not verified, and no drilling.",
    "Every box filled or struck through; photograph the pages.",
)
#: Height of a box that holds its own words, and width of one beside its words.
FIELD, BOX = 10.5, 21.0
#: Paper mm left free at the edges.
EDGE = 11.0
#: Photographs to tick.
_PHOTOS = ("data plate", "certificate", "back", "left", "right", "front", "ceiling", "sill")


def survey_form(survey: Survey, size: str) -> list[Sheet]:
    """The pages of the form on upright paper of a size by name."""
    paper = portrait(size)
    pages = 1 + len(survey.walls)
    return [_first(survey, paper, pages)] + [
        _wall_page(survey, wall, paper, number, pages) for number, wall in enumerate(survey.walls, 2)
    ]


def _sheet(name: str, title: str, paper: Area, shapes: Sequence[Shape]) -> Sheet:
    about = (("title", f"Survey form: {title.lower()}"), ("subject", "Survey of a bare elevator car"))
    return Sheet(name, title, paper.width, paper.height, tuple(shapes), (), about)


# --- the car and its front ---


def _filled(build: Callable[[Form, float], None], rows: int, paper: Area) -> list[Shape]:
    """A page whose rows are as high as there is paper for: tried with none, then with what that leaves to each."""
    trial = Form(paper.inset(EDGE))
    build(trial, 0.0)
    form = Form(paper.inset(EDGE))
    build(form, trial.rest.height / rows)
    return form.shapes


def _first(survey: Survey, paper: Area, pages: int) -> Sheet:
    car = survey.car
    under = f"Lengths in {_units(survey)}. Left and right as seen on entering the car, facing the back wall."

    def build(form: Form, row: float) -> None:
        form.head("Survey of a bare elevator car", under, 1, pages)
        form.fields(((car.project, 1.4), (car.car, 1.0)), FIELD)
        form.fields(((car.by, 1.0), (car.date, 0.8), (car.level, 1.2)), FIELD)
        form.gap(3.0)
        area = form.take(2 * row + 81.0)
        left, right = area.left + area.width * 0.56, area.left + area.width * 0.56 + 3.0
        form.add(_order(survey, Area(area.left, area.low, left, area.high)))
        form.add(interrupted(_plan(survey, Area(right, area.low, area.right, area.high))))
        area = form.take(4 * row + 8.0)
        form.add(_whole(car, area, row))
        form.gap(2.0)
        form.fields(((car.rated_load, 1.0), (car.mass, 1.0), (car.removed, 1.25)), FIELD)
        form.gap(3.0)
        form.title("The front, from inside, facing the door: what is left on entering stands at the right")
        area = form.take(7 * row + 5.0)
        split = area.left + 66.0
        form.add(interrupted(_front(car, Area(area.left, area.low, split, area.high))))
        form.add(_front_table(car, Area(split + 4.0, area.low, area.right, area.high), row))

    return _sheet("survey-car", "The car and its front", paper, _filled(build, 13, paper))


def _whole(car: CarReadings, area: Area, row: float) -> Iterator[Shape]:
    half = area.left + (area.width - 5.0) * 0.53
    left, right = (
        Form(Area(area.left, area.low, half, area.high)),
        Form(Area(half + 5.0, area.low, area.right, area.high)),
    )
    left.heads(("",), (BOX,), "The whole car")
    whole = [car.uncertainty, car.floor_finish, car.middle, *([car.across] if car.across is not None else [])]
    for reading in whole:
        left.row(reading, (BOX,), row)
    right.heads(("first", "again"), (BOX, BOX), "Plan diagonals")
    for reading in car.diagonals:
        right.row(reading, (BOX, BOX), row)
    yield from left.shapes
    yield from right.shapes


def _units(survey: Survey) -> str:
    return "inches" if survey.units == "inch" else "millimetres"


def _order(survey: Survey, area: Area) -> Iterator[Shape]:
    """The work in its order, each step with a box to tick, and the photographs."""
    yield Text("TEXT", (area.left, area.high), "In this order", 3.5, up="top", bold=True)
    y = area.high - 7.0
    numbers = {"level_number": survey.car.level.number[1:], "difference": survey.car.uncertainty.number[1:]}
    lines = [
        wrapped(step.format(level=survey.level, step=survey.step, **numbers), area.width - 7.0, FIGURE)
        for step in _ORDER
    ]
    room = y - area.low - 12.0
    leading = min(4.6, room / (sum(map(len, lines)) + 0.35 * len(lines)))
    for step in lines:
        yield Polyline("TABLE", Area(area.left, y - 3.2, area.left + 3.2, y).corners)
        for i, words in enumerate(step):
            yield Text("TEXT", (area.left + 5.5, y - 0.3 - i * leading), words, FIGURE, up="top")
        y -= (len(step) + 0.35) * leading
    y = area.low + 9.0
    yield Text("TEXT", (area.left, y), "Photographs", FIGURE, up="top", bold=True)
    wide = (area.width - 26.0) / 4
    for i, what in enumerate(_PHOTOS):
        x, at = area.left + 26.0 + i % 4 * wide, y - i // 4 * 4.6
        yield Polyline("TABLE", Area(x, at - 3.0, x + 3.0, at).corners)
        yield Text("TEXT", (x + 4.0, at - 1.5), what, 1.8, up="middle")


def _plan(survey: Survey, area: Area) -> Iterator[Shape]:
    """The bare car from above: walls by name, diagonals, door, and which way one looks on entering."""
    yield Text("TEXT", (area.left, area.high), "Plan", 3.5, up="top", bold=True)
    names = [wall.name for wall in survey.walls]
    top, low = area.high - 14.0, area.low + 19.0
    left, right = area.left + 13.0, area.right - 13.0
    middle, centre = (left + right) / 2, (low + top) / 2
    door = (right - left) * 0.26
    yield Polyline("SHELL", ((middle - door, low), (left, low), (left, top)), False)
    yield Polyline("SHELL", ((right, top), (right, low), (middle + door, low)), False)
    if "back" in names:
        yield Line("SHELL", (left, top), (right, top))
        yield Text("TEXT", (middle, top + 4.5), "back wall, B", 3.5, "centre", "middle", 0.0, True)
    else:
        yield Line("SHELL", (left, top), (middle - door, top))
        yield Line("SHELL", (middle + door, top), (right, top))
        yield Text("TEXT", (middle, top + 4.5), "rear opening", FIGURE, "centre", "middle")
    for name, x in (("left", left - 5.0), ("right", right + 5.0)):
        words = f"{name} wall, {name[0].upper()}" if name in names else f"{name} wall, no panels"
        yield Text(
            "TEXT", (x, centre), words, 3.5 if name in names else FIGURE, "centre", "middle", 90.0, name in names
        )
    inner = 2.0
    ends = ((left + inner, right - inner), (right - inner, left + inner))
    for a, b in ends:
        yield Line("CENTRE", (a, low + inner), (b, top - inner))
    floor, head = survey.car.diagonals[:2], survey.car.diagonals[2:]
    for i, (a, b) in enumerate(ends):
        for share, reading in ((0.24, floor[i]), (0.76, head[i])):
            at = (a + (b - a) * share, low + inner + (top - low - 2 * inner) * share)
            yield from bubble(at, reading.number)
    for x, words in ((left, "left return"), (right, "right return")):
        across: Across = "left" if x == left else "right"
        yield Text("TEXT", (x, low - 3.5), words, FIGURE, across, "middle")
    yield Text("TEXT", (middle, low - 3.5), "door", FIGURE, "centre", "middle")
    yield from arrow("TEXT", (middle, low - 14.0), (0.0, 1.0), 7.5)
    yield Text("TEXT", (middle + 4.0, low - 11.5), "entering", FIGURE, "left", "middle")
    if survey.car.across is not None:
        yield from double_arrow((left + 1.0, centre + 9.0), (right - 1.0, centre + 9.0))
        yield from bubble((left + (right - left) * 0.5, centre + 9.0), survey.car.across.number)


def _front(car: CarReadings, area: Area) -> Iterator[Shape]:
    """The front as seen from inside the car, facing the door: the return that is left on entering stands right."""
    low, top = area.low + 1.0, area.high - 5.0
    left, right = area.left + 9.0, area.right - 9.0
    width = (right - left) * 0.27
    head = low + (top - low) * 0.72
    yield Line("FLOOR", (left - 5.0, low), (right + 5.0, low))
    yield Polyline("SHELL", ((left, low), (left, top), (right, top), (right, low)), False)
    for x in (left + width, right - width):
        yield Line("SHELL", (x, low), (x, head))
    yield Line("SHELL", (left + width, head), (right - width, head))
    # Seen from inside, facing the door, left and right change places.
    for start, (across, up) in ((right - width, car.returns[0]), (left, car.returns[1])):
        y = low + (head - low) * 0.32
        yield from double_arrow((start, y), (start + width, y))
        yield from bubble((start + width / 2, y), across.number)
        x = start + width * 0.5
        yield from double_arrow((x, low), (x, top))
        yield from bubble((x, low + (top - low) * 0.62), up.number)
    middle = (left + right) / 2
    x = middle - (right - left) * 0.1
    yield from double_arrow((x, low), (x, head))
    yield from bubble((x, low + (head - low) * 0.7), car.underside.number)
    y = low + (head - low) * 0.28
    yield from double_arrow((left + width, y), (right - width, y))
    yield from bubble((middle + (right - left) * 0.1, y), car.door.number)
    yield from bubble((middle, (head + top) / 2), car.projects.number)
    yield Text("TEXT", (left - 4.0, (low + top) / 2), "right return", FIGURE, "centre", "middle", 90.0)
    yield Text("TEXT", (right + 4.0, (low + top) / 2), "left return", FIGURE, "centre", "middle", 90.0)


#: Widths of the boxes for three readings and the least of them.
_THREE = (15.0, 15.0, 15.0, 17.0)


def _front_table(car: CarReadings, area: Area, row: float) -> Iterator[Shape]:
    form = Form(area)
    form.heads(("low", "middle", "high", "least"), _THREE)
    (left, left_up), (right, right_up) = car.returns
    rows = ((left, 4), (left_up, 1), (right, 4), (right_up, 1), (car.underside, 4), (car.projects, 1), (car.door, 1))
    for reading, boxes in rows:
        form.row(reading, _THREE if boxes == 4 else _THREE[-1:], row)
    return iter(form.shapes)


# --- one wall ---

#: Shares of the columns of what stands on a wall or lies behind it.
_SHARES = (2.6, 1.0, 1.0, 1.0, 1.0, 1.0)


def _wall_page(survey: Survey, wall: WallReadings, paper: Area, number: int, pages: int) -> Sheet:
    left, right = wall.ends
    under = f"Seen from inside: {left} at the left, {right} at the right. Lengths in {_units(survey)}."

    def build(form: Form, row: float) -> None:
        form.head(f"{wall.name.capitalize()} wall, {wall.name[0].upper()}", under, number, pages, f"Car {'_' * 24}")
        area = form.take(8 * row + 19.0)
        split = area.left + 76.0
        form.add(interrupted(_elevation(wall, Area(area.left, area.low, split, area.high))))
        form.add(_sizes(wall, Area(split + 5.0, area.low, area.right, area.high), row))
        form.gap(2.0)
        area = form.take(4 * row + 11.0)
        split = area.left + 58.0
        form.add(interrupted(_out_of_true(wall, Area(area.left, area.low, split, area.high))))
        form.add(_checks(wall, Area(split + 5.0, area.low, area.right, area.high), row))
        form.gap(2.5)
        form.fields([(reading, 1.0) for reading in (*wall.diagonals, *wall.bow, wall.shell)], FIELD)
        form.gap(2.5)
        form.title(
            "Fixtures that stay; x from the wall's left end to the left edge, y from the floor to the lower edge"
        )
        heads = ("what", "x", "y", "width", "height", "room round")
        form.grid(wall.fixtures, heads, _SHARES, row)
        form.gap(2.5)
        form.title("Behind the shell, by the mechanic only; nothing written: not verified, and no drilling")
        form.fields(((wall.verified_by, 1.6), (wall.verified_on, 1.1), (wall.depth, 1.3)), FIELD)
        form.gap(1.0)
        heads = ("what lies there", "x", "y", "width", "height", "how far behind")
        form.grid(wall.obstructions, heads, _SHARES, row)

    return _sheet(f"survey-{wall.name}", f"{wall.name.capitalize()} wall", paper, _filled(build, 19, paper))


def _elevation(wall: WallReadings, area: Area) -> Iterator[Shape]:
    """The bare wall with the places of its widths, heights and falls, and the level line."""
    left, right = area.left + 8.0, area.right - 8.0
    low, top = area.low + 17.0, area.high - 5.0
    yield Line("FLOOR", (left - 6.0, low), (right + 6.0, low))
    yield Line("FLOOR", (left - 6.0, top), (right + 6.0, top))
    yield Line("SHELL", (left, low), (left, top))
    yield Line("SHELL", (right, low), (right, top))
    xs = [left + (right - left) * at for at in (0.1, 0.5, 0.9)]
    ys = [low + (top - low) * (0.04 + 0.92 * i / (len(wall.widths) - 1)) for i in range(len(wall.widths))]
    for x in xs:
        yield from double_arrow((x, low), (x, top))
    for reading, y in zip(wall.widths, ys, strict=True):
        yield from double_arrow((left, y), (right, y))
        yield from bubble((left + (right - left) * 0.3, y), reading.number)
    for reading, x in zip(wall.heights, xs, strict=True):
        yield from bubble((x, (ys[2] + ys[3]) / 2), reading.number)
    for reading, x in zip(wall.falls, xs, strict=True):
        yield Line("LEADER", (x, low), (x, low - 3.0))
        yield from bubble((x, low - 6.0), reading.number)
    level = ys[2] + (ys[3] - ys[2]) * 0.16
    yield Line("CENTRE", (left - 6.0, level), (right + 6.0, level))
    yield Text("TEXT", ((xs[1] + xs[2]) / 2, level + 1.2), "level line", FIGURE, "centre", "base")
    for x, words in ((left, wall.ends[0]), (right, wall.ends[1])):
        words = words.upper() if words == "front" else words
        across: Across = "left" if x == left else "right"
        way = -1.0 if x == left else 1.0
        yield from arrow("TEXT", (x + way * 1.0, area.low + 2.0), (way, 0.0), 6.0)
        at = (x - way * 1.0, area.low + 2.0)
        yield Text("TEXT", at, words, FIGURE, across, "middle", 0.0, words.isupper())


def _sizes(wall: WallReadings, area: Area, row: float) -> Iterator[Shape]:
    form = Form(area)
    form.heads(("first", "again"), (BOX, BOX), "Clear width, shell to shell")
    for reading in wall.widths:
        form.row(reading, (BOX, BOX), row)
    form.gap(2.0)
    widths = (BOX, BOX, 16.0, 16.0)
    form.heads(("floor to ceiling", "again", "line to floor", "fall of floor"), widths, "Height")
    for reading, fall in zip(wall.heights, wall.falls, strict=True):
        form.row(reading, widths, row, (None, None, None, fall))
    yield from form.shapes
    at = (area.right, form.rest.high - 0.8)
    yield Text("TEXT", at, "fall: line to floor, less the least of them in the whole car", 1.8, "right", "top")


def _out_of_true(wall: WallReadings, area: Area) -> Iterator[Shape]:
    """The same wall with its plumb lines and its own diagonals."""
    left, right, low, top = area.left + 16.0, area.right - 16.0, area.low + 4.0, area.high - 4.0
    yield Polyline("SHELL", ((left, low), (right, low), (right, top), (left, top)))
    yield Line("CENTRE", (left, low), (right, top))
    yield Line("CENTRE", (left, top), (right, low))
    first, second = wall.diagonals
    yield from bubble((left + (right - left) * 0.76, low + (top - low) * 0.76), first.number)
    yield from bubble((left + (right - left) * 0.24, low + (top - low) * 0.76), second.number)
    for x, way, readings in ((left, -1.0, wall.plumb[:3]), (right, 1.0, wall.plumb[3:])):
        line = x + way * 4.0
        yield Line("LEADER", (line, low - 3.0), (line, top + 3.0))
        for reading, y in zip(readings, (low + 2.0, low + (top - low) * 0.4, top - 2.0), strict=True):
            yield Line("LEADER", (x, y), (line, y))
            yield from bubble((line + way * 5.0, y), reading.number)


def _checks(wall: WallReadings, area: Area, row: float) -> Iterator[Shape]:
    """Plumb, off a line at each end, and the holes that are in the shell already."""
    split = area.left + area.width * 0.45
    left = Form(Area(area.left, area.low, split, area.high))
    right = Form(Area(split + 6.0, area.low, area.right, area.high))
    left.heads(("left end", "right end"), (17.0, 17.0), "Off plumb")
    for i, level in enumerate(("ceiling", "rail", "floor")):
        left.pair(level, (wall.plumb[2 - i], wall.plumb[5 - i]), (17.0, 17.0), row)
    right.title("Old holes, to their middles")
    right.grid(wall.holes, ("x", "y", "diameter"), (1.0, 1.0, 1.0), row)
    yield from left.shapes
    yield from right.shapes

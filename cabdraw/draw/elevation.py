"""The elevation of one wall, as seen from inside, with every dimension that an approver and a shop ask for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import accumulate

from cabdraw.cab import Cab, Part, Rect, Wall, WallName
from cabdraw.compare import Comparison
from cabdraw.draw.clouds import cloud_key, wall_clouds
from cabdraw.draw.column import Column
from cabdraw.draw.figures import Figures
from cabdraw.draw.fitting import CLEAR, fitted, place
from cabdraw.draw.labels import labels
from cabdraw.draw.layout import (
    APART,
    LANE_STEP,
    chain_across,
    chain_up,
    overall_across,
    overall_up,
    running_across,
    running_up,
    shown,
)
from cabdraw.draw.measure import text_width
from cabdraw.draw.paper import Paper, paper
from cabdraw.draw.scales import Scale, read_scale
from cabdraw.draw.shapes import XY, Across, Circle, Dimension, Line, Polyline, Shape, Sheet, Text, View
from cabdraw.draw.style import FIGURE, LABEL, NOTE
from cabdraw.draw.swatch import finish_tint
from cabdraw.draw.title import SMALL, Title, arrow
from cabdraw.errors import Finding
from cabdraw.units import ZERO, Length

#: Paper mm from the wall to the first dimension line on each side.
CHAIN_BELOW, RUNNING_ABOVE, CHAIN_LEFT, RUNNING_RIGHT = 6.5, 6.0, 8.0, 7.0
LOOKS: dict[str, tuple[str, str]] = {
    "panel": ("PANEL", "board"),
    "backer": ("BAND", "band"),
    "bumper": ("BAND", "band"),
    "crown": ("BAND", "band"),
    "base": ("METAL", "metal"),
    "frieze": ("METAL", "metal"),
    "vertical-reveal": ("REVEAL", "reveal"),
    "horizontal-reveal": ("REVEAL", "reveal"),
    "handrail": ("RAIL", "rail"),
}


def corners(rect: Rect) -> tuple[XY, ...]:
    """The corners of a rectangle in mm, anticlockwise from the lower left."""
    x, y, right, top = float(rect.x), float(rect.y), float(rect.right), float(rect.top)
    return (x, y), (right, y), (right, top), (x, top)


def part_tint(cab: Cab, part: Part) -> str:
    """The fill of a part: lightly its finish's colour, or a tint by what it is where it has no finish."""
    finish = cab.finish(part)
    return finish_tint(finish) if finish is not None else LOOKS[part.kind][1]


def part_shapes(cab: Cab, part: Part) -> Iterator[Shape]:
    """What of a part shows in an elevation: its outline, and the holes that fixtures make in it."""
    if part.visible is None or part.kind not in LOOKS:
        return
    layer, tint = LOOKS[part.kind][0], part_tint(cab, part)
    if not part.cuts:
        yield Polyline(layer, corners(part.visible), True, tint, part.mark)
        return
    for shape in part.shapes:
        yield Polyline(layer, tuple((float(p.x), float(p.y)) for p in shape.outline), True, tint, part.mark)
        for hole in shape.holes:
            yield Polyline(layer, tuple((float(p.x), float(p.y)) for p in hole), True, "paper")


def row_lengths(wall: Wall) -> tuple[list[Length], list[bool]]:
    """The lengths along the row (margins, panels, joints), and which of them take what printing rounds off."""
    lengths, absorbs = [wall.margins[0]], [True]
    for index, (_, width) in enumerate(wall.columns):
        if index:
            lengths.append(wall.reveal)
            absorbs.append(False)
        lengths.append(width)
        absorbs.append(False)
    lengths.append(wall.margins[1])
    absorbs.append(True)
    kept = [i for i, length in enumerate(lengths) if length > ZERO]
    return [lengths[i] for i in kept], [absorbs[i] for i in kept]


def stack_lengths(wall: Wall) -> tuple[list[Length], list[bool]]:
    """The heights up the stack, butt joints left out, and which of them take what printing rounds off."""
    bands = [band for band in wall.bands if band.height > ZERO]
    return [band.height for band in bands], [band.kind == "gap" for band in bands]


def stations(lengths: Sequence[Length]) -> list[float]:
    """Where a chain's parts begin and end, in mm from its start."""
    return [0.0, *(float(x) for x in accumulate(lengths))]


def wall_dimensions(cab: Cab, wall: Wall, scale: float) -> list[Dimension]:
    """Every dimension of an elevation: the row and the stack with their overalls, heights, standoffs."""
    figures = Figures(cab)
    width, height = float(wall.width), float(wall.height)
    lengths, absorbs = row_lengths(wall)
    row = figures.chain(lengths, absorbs)
    line = -CHAIN_BELOW / scale
    found, lanes = chain_across(stations(lengths), row.parts, line, 0.0, scale)
    below = line - (6.0 + lanes * LANE_STEP * FIGURE) / scale
    found.append(overall_across(0.0, width, row.overall, below, 0.0, scale))

    lengths, absorbs = stack_lengths(wall)
    stack = figures.chain(lengths, absorbs)
    line = -CHAIN_LEFT / scale
    found += chain_up(stations(lengths), stack.parts, line, 0.0, scale)
    column = max(text_width(figure, FIGURE) for figure in stack.parts) + 6.0
    found.append(overall_up(0.0, height, stack.overall, line - column / scale, 0.0, scale))

    ups = list(zip(stations(lengths)[1:], stack.running, strict=True))
    if wall.rail is not None:
        top = wall.rail.y + wall.rail.height / 2
        ups.append((float(top), f"{figures(top)} rail top"))
        ups.append((float(wall.rail.y), f"{figures(wall.rail.y)} rail centre"))
        ups.sort(key=lambda pair: pair[0])
    right = width + RUNNING_RIGHT / scale
    found += running_up(0.0, [y for y, _ in ups], [figure for _, figure in ups], right, width, scale)
    if wall.rail is not None:
        xs = [wall.rail.standoffs[index].x for index in standoffs_shown(cab, wall, scale)]
        above = height + RUNNING_ABOVE / scale
        found += running_across(0.0, [float(x) for x in xs], [figures(x) for x in xs], above, height, scale)
    return found


def standoffs_shown(cab: Cab, wall: Wall, scale: float) -> list[int]:
    """The standoffs whose places have room to be printed over the wall; the template has them all."""
    assert wall.rail is not None
    figures, standoffs = Figures(cab), wall.rail.standoffs
    widest = max(text_width(figures(standoff.x), FIGURE) for standoff in standoffs)
    return shown(len(standoffs), float(wall.width) * scale + 20.0, widest + APART)


def _rail_shapes(cab: Cab, wall: Wall, scale: float) -> Iterator[Shape]:
    rail = wall.rail
    if rail is None:
        return
    body = Rect(rail.x, rail.y - rail.height / 2, rail.length, rail.height)
    finish = cab.finish_on(wall.name, "rail")
    tint = finish_tint(finish) if finish is not None else LOOKS["handrail"][1]
    yield Polyline("RAIL", corners(body), True, tint, f"rail-{wall.name}")
    y = float(rail.y)
    radius = float(rail.flange or rail.hole * 2) / 2
    past = 3.0 / scale
    for standoff in rail.standoffs:
        x = float(standoff.x)
        yield Circle("RAIL", (x, y), radius)
        reach = float(rail.height) / 2 + past
        yield Line("CENTRE", (x, y - reach), (x, y + reach))
    yield Line("CENTRE", (float(rail.x) - past, y), (float(rail.right) + past, y))


def _adjoining(cab: Cab, wall: Wall) -> Iterator[Shape]:
    """The panelling of the walls at either end, cut where it meets this wall."""
    for end, name in zip((0, 1), cab.neighbours(wall.name), strict=True):
        other = cab.walls.get(name)  # type: ignore[call-overload]
        if other is None:
            continue
        deep = other.projection
        x = ZERO if end == 0 else wall.width - deep
        bands = [band for band in other.bands if band.kind != "gap"]
        rect = Rect(x, bands[0].y, deep, bands[-1].top - bands[0].y)
        yield Polyline("HIDDEN", corners(rect), True, "here")


def wall_shapes(cab: Cab, wall: Wall, scale: float) -> list[Shape]:
    """The wall itself: shell, floor and ceiling, every visible part, rail, fixtures, what lies behind."""
    width, height = float(wall.width), float(wall.height)
    past = 4.0 / scale
    shapes: list[Shape] = list(_adjoining(cab, wall))
    order = {"handrail": 2}
    for part in sorted(wall.parts, key=lambda p: order.get(p.kind, 0)):
        if part.kind != "handrail":
            shapes += part_shapes(cab, part)
    for fixture in wall.fixtures:
        if fixture.clearance > ZERO:
            shapes.append(Polyline("FIXTURE", corners(fixture.opening), True))
        shapes.append(Polyline("FIXTURE", corners(fixture.rect), True, "fixture"))
    shapes += _rail_shapes(cab, wall, scale)
    for thing in wall.obstructions:
        shapes.append(Polyline("HIDDEN", corners(thing.rect), True))
    shapes.append(Polyline("SHELL", ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height)), True))
    shapes.append(Line("FLOOR", (-past, 0.0), (width + past, 0.0)))
    shapes.append(Line("FLOOR", (-past, height), (width + past, height)))
    return shapes


SEEN = {
    "back": "seen from inside, facing the back",
    "left": "seen from inside; the front is at the left",
    "right": "seen from inside; the front is at the right",
}


def _ends(cab: Cab, wall: Wall, scale: float, low: float) -> list[Shape]:
    """What stands at each end of the wall, beside its overall dimension; which end of a side wall is the front."""
    names = cab.neighbours(wall.name)
    shapes: list[Shape] = []
    ends: tuple[tuple[str, float, float, Across], ...] = (
        (names[0], 0.0, -1.0, "right"),
        (names[1], float(wall.width), 1.0, "left"),
    )
    for name, x, way, across in ends:
        if wall.name == "back":
            words = f"{name} wall"
        else:
            words = {"front": "FRONT", "rear": "REAR", "back": "back wall"}[name]
        bold = words.isupper()
        at = (x + way * 10.0 / scale, low)
        shapes += arrow("TEXT", (x + way * 2.5 / scale, low), (way, 0.0), 6.0 / scale)
        shapes.append(Text("TEXT", at, words, LABEL if bold else NOTE, across, "middle", 0.0, bold))
    return shapes


def _drawn(cab: Cab, wall: Wall, scale: Scale) -> list[Shape]:
    """The wall with its dimensions, in its own axes; marks and names come on top."""
    s = scale.ratio
    shapes = wall_shapes(cab, wall, s)
    dimensions = wall_dimensions(cab, wall, s)
    lowest = min(d.line for d in dimensions if d.axis == "x")
    ends = _ends(cab, wall, s, lowest)
    width, height = float(wall.width), float(wall.height)
    highest = max(d.text_at[1] for d in dimensions if d.axis == "y")
    over = max(height + 4.5 / s, highest + 2.4 / s)
    captions: list[Shape] = [Text("DIMENSION", (width + RUNNING_RIGHT / s, over), "above floor", SMALL)]
    if wall.rail is not None:
        at = (-1.5 / s, height + RUNNING_ABOVE / s)
        many, few = len(wall.rail.standoffs), len(standoffs_shown(cab, wall, s))
        words = "standoffs" if few == many else f"{few} of {many} standoffs"
        captions.append(Text("DIMENSION", at, words, SMALL, "right", "middle"))
    return [*shapes, *dimensions, *ends, *captions]


def fitted_wall(cab: Cab, wall: Wall, sheet: Paper) -> tuple[Scale, list[Shape]]:
    """The scale at which a wall is drawn on a sheet, and what is drawn of it before its labels."""
    least = (float(wall.width), float(wall.height))
    return fitted(cab, lambda scale: _drawn(cab, wall, scale), sheet.drawing, least)


def wall_view(cab: Cab, name: WallName) -> View:
    """One wall's elevation by itself, just as it stands on its sheet."""
    wall, sheet = cab.walls[name], paper(cab.sheet.size)
    return elevation_view(cab, wall, sheet, *fitted_wall(cab, wall, sheet))


def elevation_view(
    cab: Cab, wall: Wall, sheet: Paper, scale: Scale, drawn: list[Shape], since: Comparison | None = None
) -> View:
    """What is drawn of a wall with its labels, in the middle of a sheet's drawing area, and what changed in clouds."""
    s, area = scale.ratio, sheet.drawing
    at = place(drawn, s, sheet)
    if since is not None:
        # Marks and names then keep clear of the clouds.
        corners = ((area.left + CLEAR - at[0]) / s, (area.low + CLEAR - at[1]) / s,
                   (area.right - CLEAR - at[0]) / s, (area.high - CLEAR - at[1]) / s)  # fmt: skip
        drawn += wall_clouds(since, wall, drawn, s, corners)
    inner = area.inset(CLEAR)
    edges = ((inner.left - at[0]) / s, (inner.low - at[1]) / s, (inner.right - at[0]) / s, (inner.high - at[1]) / s)
    drawn += labels(cab, wall, drawn, s, edges)
    return View(f"elevation-{wall.name}", s, at, tuple(drawn), ((area.left, area.low), (area.right, area.high)))


def elevation_notes(cab: Cab, wall: Wall, scale: Scale) -> list[str]:
    """What a reader of an elevation must know."""
    survey = cab.survey
    measured = " ".join(
        word for word in ("on " + survey.date if survey.date else "", "by " + survey.by if survey.by else "") if word
    )
    found = [
        "Sizes are visible sizes. Core and cut sizes are in the shop's lists.",
        f"Heights are from the finished floor{_finish(cab)}.",
        f"Made to the least reading of a field survey{' ' + measured if measured else ''};"
        " check on site before cutting.",
        "Left and right are as seen entering the car.",
    ]
    if (stated := read_scale(cab.sheet.scale)) and stated.factor != scale.factor:
        found.append(f"The spec asks for {stated.text}, at which the wall does not fit this paper.")
    if wall.rail is not None:
        found.append("Drill only from the drilling template, and only where its cautions are met.")
    return found


def _finish(cab: Cab) -> str:
    finish = cab.survey.floor_finish
    return f", {cab.printing.size(finish)} of flooring still to be laid" if finish > ZERO else ""


def elevation(
    cab: Cab,
    name: WallName,
    findings: Sequence[Finding],
    number: str = "1 of 1",
    since: Comparison | None = None,
) -> Sheet:
    """The sheet with one wall's elevation, on the paper that the spec names; `number` is its place in the set.

    What changed `since` an earlier spec stands in clouds.
    """
    wall = cab.walls[name]
    sheet = paper(cab.sheet.size)
    scale, drawn = fitted_wall(cab, wall, sheet)
    view = elevation_view(cab, wall, sheet, scale, drawn, since)
    title = Title(f"{name.capitalize()} wall", f"Elevation, {SEEN[name]}", scale.text, "Elevation", number)
    column = Column(cab, sheet, title, findings)
    column.key_plan(name)
    column.notes("Notes", elevation_notes(cab, wall, scale))
    column.legend(_legend(cab, wall) + (cloud_key(since, view) if since is not None else []))
    column.findings(name)
    return column.sheet(view.name, "Dimensioned elevation", (view,))


def _legend(cab: Cab, wall: Wall) -> list[tuple[str, str, str]]:
    finishes = {finish: part for part in wall.parts if part.visible and (finish := cab.finish(part)) is not None}
    entries = [
        (LOOKS[finishes[finish].kind][0], finish_tint(finish), f"{finish.code}  {finish.name}")
        for finish, _ in cab.every_finish
        if finish in finishes
    ]
    kinds = {part.kind for part in wall.parts if cab.finish(part) is None}
    if "panel" in kinds:
        entries.append(("PANEL", "board", "panel"))
    if kinds & {"backer", "bumper", "crown"}:
        entries.append(("BAND", "band", ", ".join(k for k in ("backer", "bumper", "crown") if k in kinds)))
    if kinds & {"base", "frieze"}:
        entries.append(("METAL", "metal", ", ".join(k for k in ("base", "frieze") if k in kinds)))
    if kinds & {"vertical-reveal", "horizontal-reveal"}:
        entries.append(("REVEAL", "reveal", "metal reveal"))
    if "handrail" in kinds:
        entries.append(("RAIL", "rail", "handrail"))
    if any(name in cab.walls for name in cab.neighbours(wall.name)):
        entries.append(("HIDDEN", "here", "panelling of the next wall"))
    if wall.fixtures:
        entries.append(("FIXTURE", "fixture", "fixture that stays"))
    if wall.obstructions:
        entries.append(("HIDDEN", "", "behind the shell"))
    return entries

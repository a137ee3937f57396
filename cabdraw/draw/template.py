"""The full-size drilling template of one wall: what the installer tapes to the backer, and what must be true first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import accumulate, pairwise

from cabdraw.cab import Cab, Rail, Rect, Standoff, Wall, WallName
from cabdraw.draw.layout import chain_across, running_across
from cabdraw.draw.measure import text_box
from cabdraw.draw.occupied import Box, Occupied
from cabdraw.draw.paper import Area
from cabdraw.draw.shapes import XY, Across, Circle, Hatch, Line, Polyline, Shape, Sheet, Text, View
from cabdraw.draw.strip import Strip, bars, hole_table, text_block, title_block
from cabdraw.draw.title import arrow, stops_fabrication
from cabdraw.draw.words import fitted
from cabdraw.errors import Finding
from cabdraw.frozen import Frozen, replace
from cabdraw.print_scale import AGAIN, TRUE, PrintScale
from cabdraw.units import ZERO, Length, mm

#: Paper left round the template.
MARGIN = 15.0
#: Half the height drawn round the rail's line where it is bolted through a full-height panel.
HALF_BAND = mm(100)
FIGURE, IN_TILES = 5.0, 3.5
#: Half the length of a crosshair's lines, and of the strokes through a hole that must not be drilled.
CROSS, STRIKE = 28.0, 17.0
#: How near to a crosshair's line a hole's number may come where there is little room.
CLOSE = 2.0

CAUTIONS = (
    "Do not drill any hole until what lies behind that very hole has been verified clear: travelling cables, wireways,"
    " car frame, junction boxes.",
    "The licensed elevator mechanic locks out the car first. Car top, pit and hoistway are the mechanic's.",
    "Drill the pilot first, with a depth stop, no deeper than the shell; look and probe through it before the full"
    " hole.",
    "Step up to the full hole slowly, and stop as soon as it is through. Deburr, and catch every chip.",
    "Hand-tighten the bolts with the air gap packed at each; no impact driver.",
    "Wear eye protection and cut-resistant gloves: sheet edges are sharp.",
    "Local code and the authority that has jurisdiction decide what may be done and by whom.",
)


def stopped(findings: Sequence[Finding], wall: str) -> tuple[Finding, ...]:
    """The findings that stop drilling on a wall."""
    return tuple(f for f in findings if f.stops == "drilling" and f.wall == wall)


def band_rect(wall: Wall, rail: Rail, half: Length = HALF_BAND) -> Rect:
    """What is drawn of the band that the rail is bolted through: all of a backer, so much of a panel on each side."""
    band = wall.band(rail.through)
    assert band is not None
    low, high = band.y, band.top
    if rail.through != "backer":
        low, high = max(low, rail.y - half), min(high, rail.y + half)
    return Rect(wall.margins[0], low, wall.run, high - low)


def _outline(wall: Wall, rail: Rail, band: Rect) -> Iterator[Shape]:
    x0, x1, low, high = float(band.x), float(band.right), float(band.y), float(band.top)
    yield Polyline("BAND", ((x0, low), (x1, low), (x1, high), (x0, high)), True, "board")
    if rail.through != "backer":
        for x, width in wall.columns[:-1]:
            for edge in (x + width, x + width + wall.reveal):
                yield Line("REVEAL", (float(edge), low), (float(edge), high))
    for end in (0.0, float(wall.width)):
        yield Line("SHELL", (end, low - 22.0), (end, high + 24.0))
    y = float(rail.y)
    yield Line("CENTRE", (-8.0, y), (float(wall.width) + 8.0, y))
    middle = float(rail.x + rail.length / 2)
    yield Line("CENTRE", (middle, low - 6.0), (middle, high + 4.0))


def hole_shapes(rail: Rail, standoff: Standoff) -> Iterator[Shape]:
    """A hole: its flange, its drills and its crosshair."""
    x, y = float(standoff.x), float(standoff.y)
    if rail.flange is not None:
        yield Circle("HIDDEN", (x, y), float(rail.flange) / 2)
    yield Circle("DRILL", (x, y), float(rail.hole) / 2)
    yield Circle("DRILL", (x, y), float(rail.pilot) / 2)
    yield Line("DRILL", (x - CROSS, y), (x + CROSS, y))
    yield Line("DRILL", (x, y - CROSS), (x, y + CROSS))


def _hole_label(cab: Cab, rail: Rail, standoff: Standoff) -> tuple[tuple[Text, ...], ...]:
    """The hole's number and its drills, at each corner of the crosshair in turn."""
    x, y = float(standoff.x), float(standoff.y)
    size = cab.printing.size
    words = f"{size(rail.pilot)} pilot, then {size(rail.hole)}"
    off = max(float(rail.flange or rail.hole) / 2, 8.0) + 4.0
    options: list[tuple[Text, Text]] = []
    sides: tuple[tuple[int, Across], ...] = ((1, "left"), (-1, "right"))
    for up in (1, -1):
        for way, across in sides:
            number = Text(
                "DRILL", (x + way * off, y + up * (off + 10.0)), str(standoff.number), 10.0, across, "middle", 0.0, True
            )
            drills = Text("DRILL", (x + way * off, y + up * (off - 1.0)), words, FIGURE, across, "middle")
            options.append((number, drills))
    numbers = [(number,) for number, _ in options]
    near: tuple[tuple[float, float, Across], ...] = tuple(
        (way * CLOSE, up * away, across)
        for away in (float(rail.hole) / 2 + 10.0, float(rail.hole) / 2 + 16.0, CROSS + 10.0)
        for up in (1, -1)
        for way, across in sides
    )
    closer = [
        (Text("DRILL", (x + dx, y + dy), str(standoff.number), 10.0, a, "middle", 0.0, True),) for dx, dy, a in near
    ]
    return (*options, *numbers, *closer)


def _clipped(rect: Rect, window: Rect) -> Rect | None:
    x0, x1 = max(rect.x, window.x), min(rect.right, window.right)
    y0, y1 = max(rect.y, window.y), min(rect.top, window.top)
    return Rect(x0, y0, x1 - x0, y1 - y0) if x0 < x1 and y0 < y1 else None


def corners(rect: Rect) -> tuple[XY, ...]:
    """The corners of a rectangle, anticlockwise from the lower left."""
    x0, x1, y0, y1 = float(rect.x), float(rect.right), float(rect.y), float(rect.top)
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


class Thing(Frozen):
    """Something in the template's way: an obstruction behind the shell, or a fixture on it, as far as it reaches in."""

    words: str
    rect: Rect
    hidden: bool


def things_in(wall: Wall, window: Rect) -> Iterator[Thing]:
    """What is in the way within a part of the wall, as far as it reaches into it."""
    for thing in wall.obstructions:
        if part := _clipped(thing.rect, window):
            yield Thing(f"{thing.what}, behind the shell", part, True)
    for fixture in wall.fixtures:
        if part := _clipped(fixture.opening, window):
            yield Thing(fixture.what, part, False)


def thing_inside(occupied: Occupied, thing: Thing) -> tuple[Text, ...]:
    """The name of a thing within it, level or upright; () where there is no room."""
    x0, x1, low, high = (float(v) for v in (thing.rect.x, thing.rect.right, thing.rect.y, thing.rect.top))
    box = (x0 + 2.0, low + 2.0, x1 - 2.0, high - 2.0)
    middle = (low + high) / 2
    ups = [middle, *(middle + way * step * 4.0 for step in range(1, int((high - low) / 8.0)) for way in (1, -1))]
    return occupied.place(
        (
            (Text("TEXT", ((x0 + x1) / 2, y), thing.words, FIGURE, "centre", "middle", angle),)
            for angle in (0.0, 90.0)
            for y in ups
        ),
        box,
    )


def _thing_beside(occupied: Occupied, thing: Thing, band: Rect, page: Box, high: float) -> list[Shape]:
    """The name of a thing over or under the band, with a leader from the band's edge."""
    x = float(thing.rect.x + thing.rect.right) / 2
    words, height = fitted(thing.words, 160.0, high)
    steps = [0.0, *(way * step * 12.0 for step in range(1, 30) for way in (1, -1))]
    for edge, away in ((float(band.top), (9.5, 28.0, 35.0)), (float(band.y), (-9.5,))):
        for off in away:
            for dx in steps:
                foot = (x + dx, edge + off - (4.2 if off > 0 else -4.2))
                if occupied.meets_text(((x, edge), foot)):
                    continue
                text = Text("TEXT", (x + dx, edge + off), words, height, "centre", "middle")
                if placed := occupied.place([(text,)], page):
                    leader = Line("TEXT", (x, edge), foot)
                    occupied.add([leader])
                    return [*placed, leader]
    return []


def hatched(thing: Thing, labels: Sequence[Text]) -> Hatch:
    """The hatch over a thing behind the shell, clear of the texts that stand in it."""
    outline = corners(thing.rect)
    (left, low), (right, high) = outline[0], outline[2]
    holes: list[tuple[XY, ...]] = []
    for text in labels:
        x0, y0, x1, y1 = text_box(text)
        x0, y0, x1, y1 = max(left, x0 - 1.0), max(low, y0 - 1.0), min(right, x1 + 1.0), min(high, y1 + 1.0)
        if x0 < x1 and y0 < y1:
            holes.append(((x0, y0), (x1, y0), (x1, y1), (x0, y1)))
    return Hatch("HATCH", (outline, *holes), "obstruction")


def distances(cab: Cab, wall: Wall, rail: Rail) -> tuple[Length, ...]:
    """From the wall's left end to the first hole, from each to the next, and on to the right end, as printed."""
    stations = [ZERO, *(standoff.x for standoff in rail.standoffs), wall.width]
    if rail.placing.by == "existing":
        # Old holes stand anywhere: each is told from the left end, and the rest follows.
        stations = [cab.printing.rounded(station) for station in stations]
    lengths = [b - a for a, b in pairwise(stations)]
    # The last distance takes what printing rounds off, so that running distances print as they stand elsewhere.
    return cab.printing.chain(lengths, [False] * (len(lengths) - 1) + [True])


def _dimensions(cab: Cab, wall: Wall, rail: Rail, band: Rect) -> list[Shape]:
    """Distances between neighbours below the band, running distances from the wall's left end above it."""
    size = cab.printing.size
    xs = [standoff.x for standoff in rail.standoffs]
    stations = [ZERO, *xs, wall.width]
    printed = distances(cab, wall, rail)
    low, high = float(band.y), float(band.top)
    chain, _ = chain_across([float(s) for s in stations], [size(p) for p in printed], low - 16.0, low, 1.0, FIGURE)
    running = list(accumulate(printed))[:-1]
    across = running_across(0.0, [float(x) for x in xs], [size(r) for r in running], high + 12.0, high, 1.0, FIGURE)
    return [*chain, *across]


def _arrows(cab: Cab, wall: Wall, band: Rect, occupied: Occupied) -> list[Shape]:
    """Up and front arrows at both ends of the band, where they touch nothing."""
    found: list[Shape] = []
    left_name, right_name = cab.neighbours(wall.name)
    low, high = float(band.y), float(band.top)
    names = {"front": "FRONT", "rear": "REAR"}
    for name, x, way in ((left_name, float(band.x), -1.0), (right_name, float(band.right), 1.0)):
        words = names.get(name, f"{name} wall")
        for step in range(40):
            foot = x - way * (34.0 + step * 6.0)
            y = (low + high) / 2
            box = (foot - 30.0, y + 5.0, foot + 30.0, y + 31.0)
            if not occupied.free(box):
                continue
            shapes: list[Shape] = [
                *arrow("TEXT", (foot - 24.0, y + 6.0), (0.0, 1.0), 24.0),
                Text("TEXT", (foot - 19.0, y + 18.0), "UP", FIGURE, "left", "middle", 0.0, True),
                *arrow("TEXT", (foot + 13.0 - way * 12.0, y + 23.0), (way, 0.0), 24.0),
                Text("TEXT", (foot + 13.0, y + 12.0), words, FIGURE, "centre", "middle", 0.0, words.isupper()),
            ]
            occupied.add(shapes)
            found += shapes
            break
    return found


def _stamp(wall: Wall, rail: Rail, band: Rect) -> Iterator[Shape]:
    """DO NOT DRILL across the band, between the holes and past them."""
    low, high = float(band.y), float(band.top)
    xs = [float(band.x), *(float(s.x) for s in rail.standoffs), float(band.right)]
    for a, b in pairwise(xs):
        height = min((b - a) * 0.085, (high - low) * 0.3, 25.0)
        if height >= 4.0:
            # The upper half of the band is left to hole numbers and the level line's label.
            at = ((a + b) / 2, low + (high - low) * 0.25)
            yield Text("CAUTION", at, "DO NOT DRILL", height, "centre", "middle", 0.0, True)
    yield Line("CAUTION", (xs[0], low), (xs[-1], high))
    yield Line("CAUTION", (xs[0], high), (xs[-1], low))


def _strikes(wall: Wall, rail: Rail, marks: set[str]) -> Iterator[Shape]:
    for standoff in rail.standoffs:
        if f"hole-{wall.name}-{standoff.number}" in marks:
            x, y = float(standoff.x), float(standoff.y)
            yield Line("CAUTION", (x - STRIKE, y - STRIKE), (x + STRIKE, y + STRIKE))
            yield Line("CAUTION", (x - STRIKE, y + STRIKE), (x + STRIKE, y - STRIKE))


def _level(cab: Cab, rail: Rail, band: Rect, occupied: Occupied) -> tuple[Text, ...]:
    """The words on the level line."""
    spots = ((float(band.x) + 20.0 + 15.0 * i, float(rail.y) + 6.0) for i in range(int(float(band.width) / 15)))
    words = level_words(cab, rail)
    return occupied.place((Text("TEXT", at, words, FIGURE, "left", "middle", 0.0, True),) for at in spots)


def _lines(wall: Wall, rail: Rail, band: Rect, occupied: Occupied, page: Box) -> list[Shape]:
    """The words on the centre line and the wall's ends."""
    low, high = float(band.y), float(band.top)
    found: list[Shape] = []
    middle = float(rail.x + rail.length / 2)
    for x, note in (
        (middle, "middle of rail"),
        (0.0, "left end of wall (shell)"),
        (float(wall.width), "right end of wall (shell)"),
    ):
        options = []
        for dy in (high + 7.0, low - 5.0, high + 19.0, low - 19.0):
            options += [
                (Text("TEXT", (x + 2.0, dy), note, 3.5, "left", "middle"),),
                (Text("TEXT", (x - 2.0, dy), note, 3.5, "right", "middle"),),
            ]
        found += occupied.place(options, page)
    return found


def level_words(cab: Cab, rail: Rail) -> str:
    """What stands on the level line."""
    return f"LEVEL LINE, {cab.printing.size(rail.y)} above the finished floor"


def template_view(
    cab: Cab, wall: Wall, findings: Sequence[Finding], half: Length = HALF_BAND, in_tiles: bool = False
) -> tuple[View, Rect]:
    """The template at full size, its origin at the wall's left end and the finished floor; and the band it shows.

    `half` is how much of a full-height panel is shown on each side of the rail's line. In tiles the level line is not
    named, as each tile names it, and other names are smaller, so that fewer are cut.
    """
    rail = wall.rail
    assert rail is not None
    band = band_rect(wall, rail, half)
    stops = stopped(findings, wall.name)
    shapes: list[Shape] = list(_outline(wall, rail, band))
    if stops:
        shapes.append(Polyline("CAUTION", corners(band.grown(mm(3))), True))
    for standoff in rail.standoffs:
        shapes += hole_shapes(rail, standoff)
    shapes += _dimensions(cab, wall, rail, band)
    things = list(things_in(wall, Rect(ZERO, band.y, wall.width, band.height)))
    for thing in things:
        edge = ("HIDDEN", "") if thing.hidden else ("FIXTURE", "fixture")
        shapes.append(Polyline(edge[0], corners(thing.rect), True, edge[1]))
    occupied = Occupied(1.0, 1.0)
    occupied.add(shapes)
    inside: list[Text] = []
    for standoff in rail.standoffs:
        inside += occupied.place(_hole_label(cab, rail, standoff))
    unnamed = []
    for thing in things:
        label = thing_inside(occupied, thing)
        inside += label
        if not label:
            unnamed.append(thing)
    hatches = [hatched(thing, inside) for thing in things if thing.hidden]
    occupied.add(hatches)
    shapes += [*inside, *hatches]
    page = (-MARGIN, float(band.y) - MARGIN - 30.0, float(wall.width) + MARGIN, float(band.top) + 39.0)
    for thing in unnamed:
        shapes += _thing_beside(occupied, thing, band, page, IN_TILES if in_tiles else FIGURE)
    shapes += _arrows(cab, wall, band, occupied)
    shapes += () if in_tiles else _level(cab, rail, band, occupied)
    shapes += _lines(wall, rail, band, occupied, page)
    if stops:
        shapes += _stamp(wall, rail, band)
        shapes += _strikes(wall, rail, {mark for finding in stops for mark in finding.marks})
    return View(f"drill-{wall.name}", 1.0, (0.0, 0.0), tuple(shapes)), band


#: What to do where a bar is off: figures by the letters that stand at the bars.
CORRECT = (
    "If a bar is off, draw again with --print-scale and what its length measures, the figure of bars marked x first:"
    " e.g. --print-scale 99.4/100x99.8/100. That print is right on this printer only."
)


def use_notes(cab: Cab, wall: Wall, rail: Rail) -> list[str]:
    """How the template is laid on the wall, and what goes into its holes."""
    size = cab.printing.size
    found = [
        f"Strike the level line {size(rail.y)} above the finished floor and lay the template's level line on it.",
        "Lay the end line on the shell at the wall's left end as seen from inside. Check the first and the last hole"
        " with a steel tape: paper creeps.",
    ]
    if rail.placing.by == "existing":
        found.append("The standoffs go in holes that are there already: the template shows where they were measured.")
    elif rail.spacing is None:
        found.append("The holes are not evenly spaced: they stand clear of what is in the way.")
    if rail.bolt is not None and rail.bolt.length is not None:
        decimal = cab.printing.decimal
        found.append(
            f"Bolt {decimal(rail.bolt.length)} long, through {decimal(rail.bolt.stack)} of panel, air gap and shell."
        )
    if wall.verified is not None:
        found.append(f"Space behind verified by {wall.verified.by}, {wall.verified.date}. Verify again at each hole.")
    else:
        found.append("Space behind the shell: not recorded as verified.")
    return found


def sentence(text: str) -> str:
    """A finding's words as a sentence of their own."""
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def template(cab: Cab, name: WallName, findings: Sequence[Finding], scale: PrintScale = TRUE) -> Sheet:
    """The full-size template of a wall with a rail, on one sheet just as large as it needs."""
    sheet = _one_sheet(cab, name, findings, scale, ("x", "y"))
    # The axes of a printer go by the sides of its paper: x along the shorter one.
    return sheet if sheet.width <= sheet.height else _one_sheet(cab, name, findings, scale, ("y", "x"))


def _one_sheet(
    cab: Cab, name: WallName, findings: Sequence[Finding], scale: PrintScale, axes: tuple[str, str]
) -> Sheet:
    wall = cab.walls[name]
    assert wall.rail is not None
    view, band = template_view(cab, wall, findings)
    stops = stopped(findings, name)
    width = max(float(wall.width) + 2 * MARGIN + 16.0, 380.0)
    strip = Strip(width - 2 * MARGIN)
    strip.add(150.0, title_block(cab, wall, stops_fabrication(findings)))
    strip.add(142.0, bars(axes))
    if not scale.true:
        strip.add(170.0, text_block("Corrected", [scale.stamp, AGAIN], 170.0, "CAUTION"))
    printed = (
        "Print at 100 %, on one sheet, with no fitting to the page. Measure every check bar before use; if one is off,"
        " do not use the print."
    )
    strip.add(250.0, text_block("How to use", [printed, *use_notes(cab, wall, wall.rail), CORRECT], 250.0))
    strip.add(340.0, text_block("Cautions", CAUTIONS, 340.0, "CAUTION"))
    strip.add(170.0, hole_table(cab, wall))
    if stops:
        reasons = [f"{sentence(finding.message)} {sentence(finding.hint)}" for finding in stops]
        strip.add(250.0, text_block("Do not drill, because", reasons, 250.0, "CAUTION"))
    if strip.room >= 142.0:
        strip.add(142.0, bars(axes))
    below = MARGIN + 34.0
    low = float(band.y) - below
    top = float(band.top) + 40.0
    placed, high = strip.shapes(MARGIN, top - low)
    height = high + MARGIN
    at = (MARGIN + 8.0, -low)
    about = (
        ("title", f"{cab.job.project}, {cab.job.car}: {name} wall, drilling template"),
        ("subject", "Full-size drilling template"),
        ("author", cab.job.drawn_by or ""),
        ("revision", cab.job.revision or ""),
        ("date", cab.job.date or ""),
    )
    edge = Area(5.0, 5.0, width - 5.0, height - 5.0)
    frame = Polyline("TITLE", edge.corners, True)
    window = ((0.0, 0.0), (width, top - low))
    views = (replace(view, at=at, window=window),)
    stretch = scale.stretch(width, height)
    return Sheet(view.name, about[0][1], width, height, (frame, *placed), views, about, stretch)


def on_screen(sheet: Sheet) -> Sheet:
    """The template as it is looked at, not printed: it says which file to print."""
    words = "FOR LOOKING AT. Print the PDF of the same name: a browser changes the size of this file when it prints."
    note = Text("CAUTION", (sheet.width / 2, 11.0), words, FIGURE, "centre", "middle", 0.0, True)
    return replace(sheet, paper=(*sheet.paper, note))

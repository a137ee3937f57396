"""Details at full or half size, made from the joint's own numbers: joints, base, top, corners, the rail's mount."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from cabdraw.cab import GROOVED, TIERS, Cab, Wall
from cabdraw.draw.column import Column
from cabdraw.draw.figures import Figures
from cabdraw.draw.layout import chain_across, chain_up, spread
from cabdraw.draw.measure import text_width
from cabdraw.draw.outline import SHELL, Depths, board, break_line, plan_up, shell_section, solid, upright
from cabdraw.draw.paper import Area, Paper, paper
from cabdraw.draw.scales import Scale, preferred
from cabdraw.draw.section import band_section, rail_section
from cabdraw.draw.shapes import XY, Across, Circle, Line, Polyline, Shape, Sheet, Text, View
from cabdraw.draw.style import LABEL, NOTE
from cabdraw.draw.title import Title
from cabdraw.errors import Finding
from cabdraw.units import ZERO

#: How far a board goes on beyond a joint before it is broken off, in model mm.
REACH = 38.0
#: The least scale at which a name has room within a detail.
INLINE = 0.45
#: Paper mm that dimensions, names and the caption take: left, below, right, above.
AROUND = (22.0, 30.0, 46.0, 8.0)


@dataclass
class Detail:
    """One detail in its own axes: what is drawn, its extent (left, low, right, high, in mm), its names."""

    title: str
    shapes: list[Shape] = field(default_factory=list)
    extent: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    names: list[tuple[XY, str]] = field(default_factory=list)
    #: Names that stand at the left, and names with a place of their own.
    names_left: list[tuple[XY, str]] = field(default_factory=list)
    placed: list[tuple[XY, XY, str]] = field(default_factory=list)
    #: Chains, made once the scale is known: below, along x; left, along y.
    below: list[tuple[list[float], list[str], float]] = field(default_factory=list)
    left: list[tuple[list[float], list[str], float]] = field(default_factory=list)


def vertical_joint(cab: Cab, wall: Wall) -> Detail:
    """A vertical joint in plan: two panel edges, the spline in their grooves, the reveal strip before it."""
    figures, at, joint = Figures(cab), Depths(cab, wall), cab.joint
    v = float(wall.reveal)
    found = Detail("Vertical joint, plan" if v else "Butt joint, plan")
    found.shapes += shell_section(plan_up, at, (-REACH, v + REACH))
    found.shapes += board(plan_up, at, (-REACH, 0.0), (False, True), (True, False))
    found.shapes += board(plan_up, at, (v, v + REACH), (True, False), (False, True))
    found.shapes.append(solid("CUT", plan_up, at.spline, (-at.engagement, v + at.engagement), "spline"))
    if v:
        found.shapes.append(solid("CUT", plan_up, at.strip, (-at.engagement * 0.6, v + at.engagement * 0.6)))
    found.extent = (-REACH, -at.shell, v + REACH, at.face)
    e, g = joint.engagement, joint.groove_depth
    stations = [-float(g), -float(e), 0.0]
    words = [figures(g - e), figures(e)]
    if v:
        stations.append(v)
        words.append(figures(wall.reveal))
    stations.append(v + float(e))
    words.append(figures(e))
    found.below.append((stations, words, -at.shell))
    depths = [0.0, at.back, at.groove_back, at.groove_front, at.face]
    lengths = [wall.air_gap, wall.thickness - joint.groove_offset - joint.groove_width, joint.groove_width]
    lengths.append(joint.groove_offset)
    found.left.append((depths, [figures.decimal(length) for length in lengths], -REACH))
    found.names = [
        ((v + REACH * 0.55, at.face), "panel"),
        ((v + at.engagement * 0.8, at.spline[0]), "spline"),
        ((v / 2, at.strip[1]), "reveal strip") if v else ((0.0, at.face), "eased edges"),
        ((v + REACH * 0.7, at.back / 2), "air gap"),
        ((v + REACH * 0.8, -at.shell / 2), "shell"),
    ]
    return found


def _upright(cab: Cab, wall: Wall, index: int, low: float, high: float, title: str, top: bool = True) -> Detail:
    """The stack between two heights, boards at its ends broken off."""
    figures, at = Figures(cab), Depths(cab, wall)
    found = Detail(title)
    found.shapes += shell_section(upright, at, (low, high))
    stations: list[float] = []
    words: list[str] = []
    for i, band in enumerate(wall.bands):
        b, t = float(band.y), float(band.top)
        if t < low - 1e-6 or b > high + 1e-6 or (t - b and (t <= low + 1e-6 or b >= high - 1e-6)):
            continue
        cut = (b < low - 1e-6, t > high + 1e-6)
        found.shapes += band_section(cab, wall, upright, i, cut, (max(b, low), min(t, high)))
        if band.kind in GROOVED or band.kind in ("base", "frieze"):
            middle = (max(b, low) + min(t, high)) / 2
            words_for = f"{band.kind} panel" if band.kind in TIERS else band.kind
            found.names.append(((at.face, middle), words_for))
        if not any(cut) and band.height > ZERO:
            stations = stations or [b]
            stations.append(t)
            words.append(figures(band.height))
    if stations:
        found.left.append((stations, words, -at.shell))
    found.extent = (-at.shell, low, at.face, high)
    lengths = [wall.air_gap, wall.thickness]
    found.below.append(([0.0, at.back, at.face], [figures.decimal(length) for length in lengths], low))
    return found


def horizontal_reveal(cab: Cab, wall: Wall) -> Detail | None:
    """The first horizontal joint between two boards."""
    for index, band in enumerate(wall.bands):
        above = wall.bands[index + 1] if index + 1 < len(wall.bands) else None
        if band.kind != "reveal" or index == 0 or above is None or above.kind == "frieze":
            continue
        at = Depths(cab, wall)
        found = _upright(
            cab, wall, index, float(band.y) - REACH, float(band.top) + REACH, "Horizontal joint, upright section"
        )
        middle = float(band.y + band.top) / 2
        found.names.append(((at.strip[1], middle), "reveal strip" if band.height > ZERO else "butt joint"))
        found.names.append(((at.spline[0], float(band.top) + at.engagement * 0.7), "spline"))
        figures = Figures(cab)
        e = cab.joint.engagement
        b, t = float(band.y), float(band.top)
        stations, words = [b - float(e), b], [figures(e)]
        if band.height > ZERO:
            stations.append(t)
            words.append(figures(band.height))
        stations.append(t + float(e))
        words.append(figures(e))
        found.left = [(stations, words, -at.shell)]
        return found
    return None


def base_detail(cab: Cab, wall: Wall) -> Detail | None:
    """The base with its tab, held off the floor."""
    index = next((i for i, band in enumerate(wall.bands) if band.kind == "base"), None)
    if index is None:
        return None
    base = wall.bands[index]
    at = Depths(cab, wall)
    high = float(base.top + cab.joint.base_tab + cab.joint.spline_lift) + REACH * 0.6
    found = _upright(cab, wall, index, 0.0, high, "Base, upright section")
    figures = Figures(cab)
    found.shapes.append(Line("FLOOR", (-at.shell - 8.0, 0.0), (at.face + 6.0, 0.0)))
    found.names += [
        ((at.tab[1], float(base.top + cab.joint.base_tab * 2 / 3)), f"tab, {figures(cab.joint.base_tab)} up"),
        ((at.face * 0.5, float(base.y)), "vents in the foot, kept open"),
        ((at.face + 4.0, 0.0), "finished floor"),
    ]
    return found


def top_detail(cab: Cab, wall: Wall) -> Detail | None:
    """Crown and frieze under the ceiling."""
    index = next((i for i, band in enumerate(wall.bands) if band.kind in ("crown", "frieze")), None)
    if index is None:
        return None
    at = Depths(cab, wall)
    first = wall.bands[index]
    below = wall.bands[index - 1] if index else first
    low = float(below.y if below.kind == "reveal" else first.y) - REACH
    high = float(wall.height)
    kinds = " and ".join(k for k in ("crown", "frieze") if wall.band(k) is not None)
    found = _upright(cab, wall, index, max(low, 0.0), high, f"{kinds.capitalize()}, upright section")
    found.shapes.append(Line("FLOOR", (-at.shell - 8.0, high), (at.face + 6.0, high)))
    frieze = wall.band("frieze")
    if frieze is not None:
        figures = Figures(cab)
        point = (at.tab[1], float(frieze.y) - float(cab.joint.engagement) * 0.7)
        found.names.append((point, f"tab, {figures(cab.joint.engagement)} down"))
    found.names.append(((at.face + 4.0, high), "ceiling"))
    return found


def corner_detail(cab: Cab) -> Detail | None:
    """An inside corner in plan: both walls' panelling, their gaps and the corner trim."""
    back = cab.walls.get("back")
    side = cab.walls.get("left") or cab.walls.get("right")
    if back is None or side is None:
        return None
    figures = Figures(cab)
    a, b = Depths(cab, back), Depths(cab, side)
    # Drawn as the back left corner: the back shell along the top, the side shell down the left.
    end = 0 if side.name == "left" else 1
    margin = float(back.margins[end])
    side_margin = float(side.margins[1] if side.name == "left" else side.margins[0])
    reach = max(margin, side_margin) + REACH

    def behind(depth: float, along: float) -> XY:
        return along, -depth

    def beside(depth: float, along: float) -> XY:
        return depth, -along

    hand = "" if side.name == "left" else ", mirrored at the right"
    found = Detail(f"Inside corner, plan{hand}")
    found.shapes.append(solid("CUT", behind, (-a.shell, 0.0), (-b.shell, reach)))
    found.shapes.append(solid("CUT", beside, (-b.shell, 0.0), (0.0, reach)))
    found.shapes += board(behind, a, (margin, reach), (True, False), (False, True))
    found.shapes += board(beside, b, (side_margin, reach), (True, False), (False, True))
    trim = next((t for t in cab.trims if t.kind == "corner-trim"), None)
    if trim is not None:
        t = b.sheet
        at = (b.groove_front, a.groove_front)
        e = a.engagement
        points = (
            (at[0], -side_margin - e), (at[0] - t, -side_margin - e), (at[0] - t, -at[1] + t),
            (margin + e, -at[1] + t), (margin + e, -at[1]), (at[0], -at[1]),
        )  # fmt: skip
        found.shapes.append(Polyline("CUT", points, True, "steel"))
        found.names.append((((at[0] + margin) / 2, -at[1]), f"corner trim, {figures(trim.width)}"))
    found.extent = (-b.shell, -reach, reach, a.shell)
    gap = back.gaps[end]
    lengths = [side.projection, gap]
    found.below.append(([0.0, b.face, margin], [figures(length) for length in lengths], -reach))
    side_gap = side.margins[1] - back.projection if side.name == "left" else side.margins[0] - back.projection
    found.left.append(([-side_margin, -a.face, 0.0], [figures(side_gap), figures(back.projection)], -b.shell))
    found.names += [((reach - 12.0, -a.face), "back wall"), ((b.face, -reach + 12.0), f"{side.name} wall")]
    return found


def front_trim_detail(cab: Cab) -> Detail | None:
    """The front trim at the return, in plan."""
    side = cab.walls.get("left") or cab.walls.get("right")
    if side is None or cab.front is None or not any(t.kind == "front-trim" for t in cab.trims):
        return None
    figures = Figures(cab)
    at = Depths(cab, side)
    margin = side.margins[0] if side.name == "left" else side.margins[1]
    gap = float(margin)
    reach = gap + REACH

    def beside(depth: float, along: float) -> XY:
        return depth, along

    found = Detail("Front trim at the return, plan")
    found.shapes.append(solid("CUT", beside, (-at.shell, 0.0), (0.0, reach)))
    deep = at.face + 55.0
    found.shapes.append(solid("CUT", beside, (-at.shell, deep), (-SHELL, 0.0)))
    found.shapes += break_line(lambda d, a: (a, d), (-SHELL - 6.0, 6.0), deep)
    found.shapes += board(beside, at, (gap, reach), (False, False), (False, True))
    width = float(cab.front.trim_width or ZERO)
    t = at.sheet
    foot = at.face + 1.0
    points = (
        (foot, 0.5), (foot + width, 0.5), (foot + width, 0.5 + t), (foot + t, 0.5 + t),
        (foot + t, gap + 6.0), (foot, gap + 6.0),
    )  # fmt: skip
    found.shapes.append(Polyline("CUT", points, True, "steel"))
    found.extent = (-at.shell, -SHELL, max(deep, foot + width), reach)
    found.left.append(([0.0, gap], [figures(margin)], -at.shell))
    found.below.append(([0.0, at.face], [figures(side.projection)], -SHELL))
    found.names = [
        ((foot + width * 0.8, 0.5 + t), f"front trim, {figures(cab.front.trim_width or ZERO)}"),
        ((deep * 0.92, -SHELL / 2), "front return"),
        ((at.face, reach - 10.0), f"{side.name} wall"),
    ]
    return found


def rail_detail(cab: Cab) -> Detail | None:
    """The handrail's mount: rail, standoff, bolt through board, air gap and shell."""
    wall = next((w for w in cab.walls.values() if w.rail is not None), None)
    if wall is None or wall.rail is None:
        return None
    figures, at, rail = Figures(cab), Depths(cab, wall), wall.rail
    y = float(rail.y)
    half = max(float(rail.height), float(rail.flange or rail.hole * 2)) / 2 + 22.0
    found = Detail("Handrail mount, upright section")
    found.shapes += shell_section(upright, at, (y - half, y + half))
    band = wall.band(rail.through)
    assert band is not None
    low, high = max(float(band.y), y - half), min(float(band.top), y + half)
    cut = (float(band.y) < low - 1e-6, float(band.top) > high + 1e-6)
    index = wall.bands.index(band)
    found.shapes += band_section(cab, wall, upright, index, cut, (low, high))
    found.shapes += rail_section(cab, wall, upright)
    far = at.face + float(rail.standoff + rail.thickness)
    behind = 22.0
    found.extent = (-at.shell - behind, y - half, far + 14.0, y + half)
    lengths = [wall.air_gap, wall.thickness, rail.standoff, rail.thickness]
    stations = [0.0, at.back, at.face, at.face + float(rail.standoff), far]
    words = [figures(lengths[0]), figures.decimal(lengths[1]), figures(lengths[2]), figures(lengths[3])]
    found.below.append((stations, words, y - half))
    top = y + float(rail.height) / 2
    found.names = [
        ((far - float(rail.thickness) / 2, top), f"rail, top at {figures(rail.y + rail.height / 2)}"),
        ((at.back / 2, y + half * 0.85), "packer round each bolt"),
    ]
    middle = at.face + float(rail.standoff) / 2
    found.placed.append(((middle, y - float(rail.hole) / 2), (middle, y - half * 0.62), "standoff"))
    if rail.bolt is not None and rail.bolt.length is not None:
        words_for = f"bolt {figures.decimal(rail.bolt.length)}, hole {figures(rail.hole)}"
        found.names_left.append(((-at.shell - 4.0, y), words_for))
    found.names_left.append(((-at.shell / 2, y - half * 0.6), "shell: verify behind"))
    return found


def details(cab: Cab) -> list[Detail]:
    """Every detail that the car has."""
    wall = next(iter(cab.walls.values()))
    jointed = next((w for w in cab.walls.values() if len(w.columns) > 1), None)
    makers: list[Callable[[], Detail | None]] = [
        lambda: vertical_joint(cab, jointed) if jointed is not None else None,
        lambda: next((d for w in cab.walls.values() if (d := horizontal_reveal(cab, w)) is not None), None),
        lambda: base_detail(cab, wall),
        lambda: top_detail(cab, wall),
        lambda: corner_detail(cab),
        lambda: front_trim_detail(cab),
        lambda: rail_detail(cab),
    ]
    return [found for make in makers if (found := make()) is not None]


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
    sides: tuple[tuple[list[tuple[XY, str]], float, float, Across], ...] = (
        (detail.names, right + 8.0 / s, -1.0, "left"),
        (detail.names_left, left - 6.0 / s, 1.0, "right"),
    )
    for names, x, way, across in sides:
        if s < INLINE and across == "left":
            names = [*names, *((point, words) for point, _, words in detail.placed)]
        order = sorted(names, key=lambda pair: pair[0][1])
        sizes = [NOTE + 2.2] * len(order)
        ups = spread([point[1] * s for point, _ in order], sizes, low * s - 2.0, high * s + 6.0)
        for (point, words), up in zip(order, ups, strict=True):
            yield from _leader(point, (x + way * 0.8 / s, up / s), s)
            yield Text("TEXT", (x, up / s), words, NOTE, across, "middle")
    for point, at, words in detail.placed if s >= INLINE else ():
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

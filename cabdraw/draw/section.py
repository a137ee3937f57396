"""Upright sections through the walls, floor to ceiling: every band with its grooves and what is in them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from cabdraw.cab import BOARD_BANDS, TIERS, Band, Cab, Wall
from cabdraw.draw.column import Column
from cabdraw.draw.elevation import stack_lengths, stations
from cabdraw.draw.figures import Figures
from cabdraw.draw.fitting import fits, place
from cabdraw.draw.layout import chain_across, chain_up, overall_up, running_up, spread
from cabdraw.draw.outline import Depths, Turn, board, shell_section, solid, upright
from cabdraw.draw.paper import Area, paper
from cabdraw.draw.scales import Scale, preferred, read_scale
from cabdraw.draw.shapes import XY, Circle, Dimension, Line, Shape, Sheet, Text, View
from cabdraw.draw.style import LABEL, NOTE
from cabdraw.draw.title import Title
from cabdraw.errors import Finding
from cabdraw.units import ZERO

#: The share of a section's width on the sheet that the whole section takes; the broken one has the rest.
WHOLE = 0.4
#: Paper mm to which a broken tier is shortened.
TIER = 26.0
#: How far the floor and the ceiling are drawn past the section, in model mm.
PAST = 20.0


def grooves(bands: Sequence[Band], index: int) -> tuple[bool, bool]:
    """Whether a board band has a groove in its lower and in its upper edge."""
    below = bands[index - 1].kind if index else ""
    above = bands[index + 1].kind if index + 1 < len(bands) else ""
    return below in ("base", "reveal"), above in ("reveal", "frieze")


def band_section(
    cab: Cab,
    wall: Wall,
    turn: Turn,
    index: int,
    cut: tuple[bool, bool] = (False, False),
    reach: tuple[float, float] | None = None,
) -> Iterator[Shape]:
    """One band in section; `cut` and `reach` shorten a board that goes on beyond a detail."""
    at = Depths(cab, wall)
    joint = cab.joint
    band = wall.bands[index]
    low, high = reach or (float(band.y), float(band.top))
    if band.kind in (*TIERS, *BOARD_BANDS):
        below, above = grooves(wall.bands, index)
        yield from board(turn, at, (low, high), (below and not cut[0], above and not cut[1]), cut)
    elif band.kind == "reveal":
        over = wall.bands[index + 1].kind if index + 1 < len(wall.bands) else ""
        if over != "frieze":
            yield solid("CUT", turn, at.spline, (low - at.engagement, high + at.engagement), "spline")
            if band.height > ZERO:
                yield solid("CUT", turn, at.strip, (low - at.engagement, high + at.engagement))
    elif band.kind == "base":
        tab = float(joint.base_tab)
        yield solid("CUT", turn, (at.face - at.sheet, at.face), (low, high))
        yield solid("CUT", turn, (at.tab[0], at.face), (high - at.sheet, high))
        yield solid("CUT", turn, at.tab, (high - at.sheet, high + tab))
        yield solid("CUT", turn, (0.0, at.face), (low, low + at.sheet))
        yield solid("CUT", turn, (0.0, at.sheet), (low, low + (high - low) * 0.35))
    elif band.kind == "frieze":
        under = wall.bands[index - 1] if index else None
        reveal = float(under.height) if under is not None and under.kind == "reveal" else 0.0
        yield solid("CUT", turn, (at.face - at.sheet, at.face), (low, high))
        yield solid("CUT", turn, (at.tab[0], at.face), (low, low + at.sheet))
        yield solid("CUT", turn, at.tab, (low - reveal - at.engagement, low + at.sheet))
        yield solid("CUT", turn, (0.0, at.face), (high - at.sheet, high))
        yield solid("CUT", turn, (0.0, at.sheet), (high - (high - low) * 0.35, high))


def bolt_behind(wall: Wall) -> float:
    """How far a rail's bolt is drawn past the shell, in mm: half of what it is longer than what it goes through."""
    bolt = wall.rail.bolt if wall.rail is not None else None
    return float(bolt.length - bolt.stack) / 2 if bolt is not None and bolt.length is not None else 0.0


def edge_of(cab: Cab, wall: Wall) -> float:
    """Where the dimensions of a section begin behind its shell, past the rail's centre line, in mm."""
    return -Depths(cab, wall).shell - bolt_behind(wall) - 8.0


def rail_section(cab: Cab, wall: Wall, turn: Turn) -> Iterator[Shape]:
    """The rail, its standoff and its bolt in section, where the wall has a rail."""
    rail = wall.rail
    if rail is None:
        return
    at = Depths(cab, wall)
    y = float(rail.y)
    near = at.face + float(rail.standoff)
    far = near + float(rail.thickness)
    half = float(rail.flange or rail.hole * 2) / 2
    bolt = float(rail.hole) / 4
    neck = float(rail.hole) / 2
    yield solid("RAIL", turn, (at.face, at.face + 3.0), (y - half, y + half), "rail")
    yield solid("RAIL", turn, (at.face + 3.0, near + 1.0), (y - neck, y + neck), "rail")
    behind = bolt_behind(wall)
    if rail.bolt is not None:
        yield solid("RAIL", turn, (-at.shell - behind, at.face + 3.0 + behind), (y - bolt, y + bolt), "steel")
    if rail.shape == "round":
        centre = turn((near + far) / 2, y)
        yield Circle("RAIL", centre, float(rail.thickness) / 2, "rail")
    else:
        yield solid("RAIL", turn, (near, far), (y - float(rail.height) / 2, y + float(rail.height) / 2), "rail")
    yield Line("CENTRE", turn(-at.shell - behind - 4.0, y), turn(far + 14.0, y))


def wall_section(cab: Cab, wall: Wall, turn: Turn = upright) -> list[Shape]:
    """A whole wall in section, floor to ceiling."""
    at = Depths(cab, wall)
    height = float(wall.height)
    shapes: list[Shape] = list(shell_section(turn, at, (0.0, height)))
    for index in range(len(wall.bands)):
        shapes += band_section(cab, wall, turn, index)
    shapes += rail_section(cab, wall, turn)
    reach = at.face + PAST
    shapes.append(Line("FLOOR", turn(-at.shell - 10.0, 0.0), turn(reach, 0.0)))
    shapes.append(Line("FLOOR", turn(-at.shell - 10.0, height), turn(reach, height)))
    return shapes


def reach_of(cab: Cab, wall: Wall) -> float:
    """How far a section reaches into the car, its rail and the rail's centre line too, in model mm."""
    face, rail = Depths(cab, wall).face, wall.rail
    return max(face + PAST, face + float(rail.standoff + rail.thickness) + 16.0 if rail is not None else 0.0)


def _full(cab: Cab, wall: Wall, letter: str, scale: Scale) -> list[Shape]:
    """A whole wall in section at its true height, with the heights of every joint."""
    s = scale.ratio
    figures = Figures(cab)
    at = Depths(cab, wall)
    shapes = wall_section(cab, wall)
    lengths, absorbs = stack_lengths(wall)
    chain = figures.chain(lengths, absorbs)
    ups = stations(lengths)
    edge = edge_of(cab, wall)
    shapes.append(overall_up(0.0, float(wall.height), chain.overall, edge - 6.0 / s, edge, s))
    heights = list(zip(ups[1:], chain.running, strict=True))
    if wall.rail is not None:
        heights.append((float(wall.rail.y), f"{figures(wall.rail.y)} rail"))
        heights.sort()
    reach = reach_of(cab, wall)
    shapes += running_up(0.0, [y for y, _ in heights], [t for _, t in heights], reach + 3.0 / s, reach, s)
    caption = f"{letter}–{letter}  {wall.name} wall"
    shapes += _caption(caption, scale.text, (at.face / 2, -9.0 / s), s)
    return shapes


def _caption(words: str, scale: str, at: XY, s: float) -> list[Shape]:
    return [
        Text("TEXT", at, words, LABEL, "centre", "middle", 0.0, True),
        Text("TEXT", (at[0], at[1] - 5.5 / s), scale, NOTE, "centre", "middle"),
    ]


class Broken:
    """A wall in section with its tiers broken off, so that what lies between them can be drawn large.

    `places` holds where each band stands on the drawing, in model mm: only tiers are shorter than they are.
    """

    def __init__(self, cab: Cab, wall: Wall, scale: float) -> None:
        self.cab, self.wall, self.scale = cab, wall, scale
        self.places: list[tuple[float, float]] = []
        y = 0.0
        for band in wall.bands:
            high = float(band.height)
            if band.kind in TIERS:
                high = min(high, TIER / scale)
            self.places.append((y, y + high))
            y += high
        self.height = y

    def shapes(self) -> list[Shape]:
        """Shell, boards, metal and rail in section."""
        cab, wall = self.cab, self.wall
        at = Depths(cab, wall)
        shapes: list[Shape] = list(shell_section(upright, at, (0.0, self.height)))
        for index, band in enumerate(wall.bands):
            low, high = self.places[index]
            if high - low < float(band.height) - 1e-6:
                below, above = grooves(wall.bands, index)
                stub = (high - low) * 0.42
                shapes += board(upright, at, (low, low + stub), (below, False), (False, True))
                shapes += board(upright, at, (high - stub, high), (False, above), (True, False))
            else:
                shapes += band_section(cab, wall, upright, index, reach=(low, high))
        if wall.rail is not None:
            index = next(i for i, band in enumerate(wall.bands) if band.kind == wall.rail.through)
            low, high = self.places[index]
            off = low - float(wall.bands[index].y)
            if wall.rail.through in TIERS:
                off = (low + high) / 2 - float(wall.rail.y)
            shapes += rail_section(cab, wall, lambda d, a: upright(d, a + off))
        reach = at.face + PAST
        for y in (0.0, self.height):
            shapes.append(Line("FLOOR", (-at.shell - 10.0, y), (reach, y)))
        return shapes

    def dimensions(self) -> list[Dimension]:
        """The height of every band, the true one of a broken tier too; the depths below."""
        cab, wall, s = self.cab, self.wall, self.scale
        figures = Figures(cab)
        lengths, absorbs = stack_lengths(wall)
        chain = figures.chain(lengths, absorbs)
        at = Depths(cab, wall)
        edge = edge_of(cab, wall)
        ups = [0.0, *(high for low, high in self.places if high > low)]
        found = chain_up(ups, chain.parts, edge - 5.0 / s, edge, s)
        words = [figures(wall.air_gap), figures.decimal(wall.thickness)]
        made, _ = chain_across([0.0, at.back, at.face], words, -7.0 / s, 0.0, s, bounded=False)
        return found + made

    def names(self) -> list[Shape]:
        """What each band and joint is, at the right, each with a leader to it."""
        wall, s = self.wall, self.scale
        at = Depths(self.cab, wall)
        reach = reach_of(self.cab, self.wall)
        wanted: list[tuple[float, str, float]] = []
        kinds = [*(band.kind for band in wall.bands[1:]), ""]
        for (low, high), band, over in zip(self.places, wall.bands, kinds, strict=True):
            words = NAMES.get(band.kind, f"{band.kind} panel" if band.kind in TIERS else band.kind)
            if band.kind == "reveal" and over == "frieze":
                words = "strip, tab behind"
            elif band.kind == "reveal" and high <= low:
                words = "butt joint, spline"
            wanted.append(((low + high) / 2, words, at.face if band.kind != "gap" else at.face * 0.7))
        found = spread([y * s for y, _, _ in wanted], [NOTE + 1.6] * len(wanted), 0.0, self.height * s)
        shapes: list[Shape] = []
        for (y, words, x), up in zip(wanted, found, strict=True):
            end = (reach + 5.0 / s, up / s)
            shapes.append(Line("LEADER", (x, y), (reach, y)))
            shapes.append(Line("LEADER", (reach, y), (end[0] - 0.8 / s, end[1])))
            shapes.append(Text("TEXT", end, words, NOTE, "left", "middle"))
        return shapes


NAMES = {
    "gap": "open gap",
    "reveal": "strip, spline behind",
    "base": "base, tab above",
    "frieze": "frieze, tab below",
}


def _broken(cab: Cab, wall: Wall, letter: str, scale: Scale) -> list[Shape]:
    """The same section larger, with its tiers broken off."""
    s = scale.ratio
    broken = Broken(cab, wall, s)
    shapes = [*broken.shapes(), *broken.dimensions(), *broken.names()]
    at = Depths(cab, wall)
    shapes += _caption(f"{letter}–{letter}  broken", scale.text, (at.face / 2, -15.0 / s), s)
    return shapes


def sectioned(cab: Cab) -> list[tuple[str, Wall]]:
    """The walls that are cut: A through the back wall, B through a side wall, as the plan marks them."""
    found: list[tuple[str, Wall]] = []
    if "back" in cab.walls:
        found.append(("A", cab.walls["back"]))
    for name in ("right", "left"):
        if name in cab.walls:
            found.append(("B", cab.walls[name]))
            break
    return found


#: The walls on one sheet of sections, each with its letter.
Group = list[tuple[str, Wall]]
Cells = list[tuple[Area, Area]]


def _cells(area: Area, count: int) -> Cells:
    """For each of some walls the area of its whole section and that of its broken one, side by side."""
    wide = area.width / count
    found = []
    for i in range(count):
        start = area.left + i * wide
        split = start + WHOLE * wide
        found.append((Area(start, area.low, split, area.high), Area(split, area.low, start + wide, area.high)))
    return found


def _scales(cab: Cab, group: Group, cells: Cells) -> tuple[Scale, Scale]:
    """The largest preferred scales at which every whole and every broken section fits its area."""
    scales = preferred(cab.printing.system)
    stated = read_scale(cab.sheet.scale)

    def all_fit(draw: Callable[[Cab, Wall, str, Scale], list[Shape]], scale: Scale, which: int) -> bool:
        return all(
            fits(draw(cab, wall, letter, scale), scale.ratio, cell[which])
            for (letter, wall), cell in zip(group, cells, strict=True)
        )

    small = next((s for s in (*([stated] if stated else []), *scales) if all_fit(_full, s, 0)), scales[-1])
    large = next((s for s in scales if all_fit(_broken, s, 1)), scales[-1])
    return small, large


def section_pages(cab: Cab) -> list[Group]:
    """The sections by sheet: all on one, or a wall a sheet where that lets them be larger."""
    walls = sectioned(cab)
    area = paper(cab.sheet.size).drawing
    together = _scales(cab, walls, _cells(area, len(walls)))[0]
    alone = _scales(cab, walls[:1], _cells(area, 1))[0]
    return [walls] if together.factor <= alone.factor else [[wall] for wall in walls]


def section_sheet(cab: Cab, findings: Sequence[Finding], number: str, group: Group) -> Sheet:
    """One sheet with upright sections, whole and broken."""
    page = paper(cab.sheet.size)
    cells = _cells(page.drawing, len(group))
    small, large = _scales(cab, group, cells)
    views = []
    for (letter, wall), (first, second) in zip(group, cells, strict=True):
        for name, draw, scale, cell in (("", _full, small, first), ("-broken", _broken, large, second)):
            drawn = draw(cab, wall, letter, scale)
            at = place(drawn, scale.ratio, page, cell)
            window = ((cell.left, cell.low), (cell.right, cell.high))
            views.append(View(f"section-{wall.name}{name}", scale.ratio, at, tuple(drawn), window))
    title = Title("Sections", "Upright, cut as marked on the plan", "as shown", "Section", number)
    column = Column(cab, page, title, findings)
    column.notes("Notes", _notes(cab))
    column.legend(_legend(group))
    name = "sections" if len(group) > 1 or len(sectioned(cab)) == 1 else f"section-{group[0][1].name}"
    return column.sheet(name, "Upright sections", views)


def _notes(cab: Cab) -> list[str]:
    figures = Figures(cab)
    joint = cab.joint
    return [
        f"Grooves {figures(joint.groove_depth)} deep, {figures.decimal(joint.groove_width)} wide,"
        f" {figures(joint.groove_offset)} behind the face.",
        f"Splines, strips and tabs enter {figures(joint.engagement)}, the base's tab {figures(joint.base_tab)};"
        f" at least {figures(joint.clearance)} stays free at the bottom of a groove.",
        "Never glue a spline or strip into both its grooves: panels must be free to move, and to come off again.",
        "The air gap stays open from the vents in the base to the gap at the ceiling.",
        "Sheet metal is drawn after its profile where one is given; else its legs are shown in principle.",
    ]


def _legend(walls: Sequence[tuple[str, Wall]]) -> list[tuple[str, str, str]]:
    entries = [("PANEL", "board", "board, cut"), ("CUT", "steel", "sheet metal, shell, cut")]
    entries.append(("CUT", "spline", "spline, cut"))
    if any(wall.rail is not None for _, wall in walls):
        entries.append(("RAIL", "rail", "handrail, standoff"))
    return entries

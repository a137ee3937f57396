"""A wall's drilling template in tiles for a small printer: overlapping pages that are trimmed and joined."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cabdraw.cab import Cab, Wall, WallName
from cabdraw.draw.leaf import PAPERS, SIDE, SMALL, WORDS, Block, Leaf, flowed, leaf
from cabdraw.draw.leaf_words import cover
from cabdraw.draw.occupied import Occupied, extent
from cabdraw.draw.paper import Area
from cabdraw.draw.shapes import XY, Across, Circle, Line, Polyline, Shape, Sheet, Text, View
from cabdraw.draw.template import CROSS, level_words, stopped, template_view
from cabdraw.draw.tiling import OVERLAP, Hole, Tile, Tiling, fewest, tiling, within
from cabdraw.draw.words import fitted
from cabdraw.errors import Finding
from cabdraw.frozen import Frozen
from cabdraw.print_scale import TRUE, PrintScale
from cabdraw.rational import Fraction
from cabdraw.units import INCH, Length, Printing, mm

#: Paper that printers do not reach, at every edge, in mm; height of the line of words under a tile.
MARGIN, UNDER = 8.0, 5.0
#: How much of a full-height panel is shown on each side of the rail's line: what is worked on, in one row of tiles.
HALF = mm(70)
#: Room for the crosses that are measured after joining, beyond all else that is drawn.
LANE = 11.0
#: Half the length of a register cross, half of one to measure between, and of the circle round it.
REGISTER, CHECK, RING = 5.0, 4.0, 2.0
#: As much room as the words at a cross ever need.
TOLD = 115.0
#: Whole numbers of these are measured between crosses, in mm: the longest first, the shortest where no more fits.
MEASURED = (50 * INCH, 10 * INCH, INCH)


class Tiled(Frozen):
    """A template in tiles: the page, the shapes of all of it, how it is divided, and what is measured after joining."""

    leaf: Leaf
    shapes: tuple[Shape, ...]
    tiling: Tiling
    measured: tuple[str, ...]


def tiled(cab: Cab, name: WallName, findings: Sequence[Finding], scale: PrintScale = TRUE) -> tuple[Sheet, ...]:
    """The pages of a wall's template in tiles: first what must be read, then tile by tile, row by row from the top."""
    made = divided(cab, name, findings, scale)
    page, tiles = made.leaf, made.tiling.tiles
    words = flowed(cover(page, findings, _printed(made), _map_figure(made)), page.page_of_words)
    count = len(words) + len(tiles)
    sheets = [page.sheet("read first", n, count, shapes, ()) for n, shapes in enumerate(words, 1)]
    for number, tile in enumerate(tiles, len(words) + 1):
        sheets.append(_page(made, tile, number, count))
    return tuple(sheets)


def divided(cab: Cab, name: WallName, findings: Sequence[Finding], scale: PrintScale = TRUE) -> Tiled:
    """A wall's template divided into tiles, upright or lying, whichever takes fewer."""
    wall = cab.walls[name]
    rail = wall.rail
    assert rail is not None
    view, _ = template_view(cab, wall, findings, HALF, in_tiles=True)
    x0, y0, x1, y1 = extent(view.shapes, 1.0)
    across, up = PAPERS[cab.tile]
    title = f"{name} wall, drilling template in tiles"
    leaves = [
        leaf(cab, wall, f"tiled-drill-{name}", title, paper, MARGIN, bool(stopped(findings, name)), scale)
        for paper in ((across, up), (up, across))
    ]
    cells = [_cell(page) for page in leaves]
    # Crosses to measure upwards are needed only where tiles stand one over the other.
    region = (x0 - 1.0, y0 - LANE - 1.0, x1 + 1.0, y1 + 1.0)
    best = fewest(cells, region[2] - region[0], region[3] - region[1])
    if region[3] - region[1] > cells[best][1]:
        region = (region[0] - LANE, *region[1:])
    holes = [Hole(float(s.x), float(s.y), float(rail.flange or rail.hole) / 2, CROSS) for s in rail.standoffs]
    cut = tiling(view.shapes, holes, region, cells[best])
    shapes = list(view.shapes)
    measured: list[str] = []
    for crosses, said in _checks(cut, region, cab.printing):
        shapes += crosses
        measured.append(said)
    shapes += _levels(cab, wall, cut, shapes)
    return Tiled(leaves[best], tuple(shapes), cut, tuple(measured))


def _window(page: Leaf) -> Area:
    """Where a tile is printed on its page."""
    area = page.inner
    return Area(area.left, area.low + UNDER, area.right, area.high)


def _cell(page: Leaf) -> tuple[float, float]:
    area = _window(page)
    return area.width - OVERLAP, area.height - OVERLAP


def _checks(
    cut: Tiling, region: tuple[float, float, float, float], printing: Printing
) -> Iterator[tuple[list[Shape], str]]:
    """Pairs of crosses to measure between after joining: across in a lane below all else, up in one left of it."""
    x0, y0, x1, y1 = region
    pair = _pair(x0 + 8.0, x1 - 8.0, cut.xs)
    if pair is not None:
        a, length = pair
        y = y0 + LANE / 2
        yield from _measured(("A", "B"), ((a, y), (a + float(length), y)), length, printing, cut)
    if cut.rows > 1 and (pair := _pair(y0 + LANE + 6.0, y1 - 8.0, cut.ys)) is not None:
        a, length = pair
        x = x0 + LANE / 2
        yield from _measured(("C", "D"), ((x, a), (x, a + float(length))), length, printing, cut)


def _pair(low: float, high: float, cuts: Sequence[float]) -> tuple[float, Length] | None:
    """Where the first of two crosses stands and how far from the other: the longest that is easily measured."""
    for step in MEASURED:
        for count in range(int((high - low) / float(step)), 0, -1):
            length = Length(step * count)
            starts = [low + i for i in range(int(high - low - float(length)) + 1)]
            best = max(starts, key=lambda start: min(_roomy(start, cuts), _roomy(start + float(length), cuts)))
            if min(_roomy(best, cuts), _roomy(best + float(length), cuts)) > 0:
                return best, length
    return None


def _roomy(place: float, cuts: Sequence[float]) -> float:
    """How much room for words there is beside a cross, at its better side; 0 where a cut is too near."""
    before, after = max(cut for cut in cuts if cut <= place), min(cut for cut in cuts if cut >= place)
    near = OVERLAP / 2 + CHECK + 1.0
    if min(place - before, after - place) <= near:
        return 0.0
    return min(max(place - before, after - place), TOLD)


def _measured(
    names: tuple[str, str], ends: tuple[XY, XY], length: Length, printing: Printing, cut: Tiling
) -> Iterator[tuple[list[Shape], str]]:
    decimals = (Printing("inch").decimal(length)[:-2], f"{float(length):.1f} mm")
    inches = f"{decimals[0]} in"
    told = f"{inches} ({decimals[1]})" if printing.system == "inch" else f"{decimals[1]} ({inches})"
    shapes: list[Shape] = []
    upright = ends[0][0] == ends[1][0]
    for name, other, (x, y) in zip(names, reversed(names), ends, strict=True):
        shapes += [
            Line("CHECK", (x - CHECK, y), (x + CHECK, y)),
            Line("CHECK", (x, y - CHECK), (x, y + CHECK)),
            Circle("CHECK", (x, y), RING),
        ]
        tile = within(cut, (x, y), CHECK)
        if tile is None:
            continue
        edge = (tile.cell[3] - y if upright else tile.cell[2] - x) - OVERLAP / 2 - 2.0
        back = (y - tile.cell[1] if upright else x - tile.cell[0]) - OVERLAP / 2 - 2.0
        forward = edge >= back
        words, size = fitted(f"{name}: to {other} {told} after joining", max(edge, back) - CHECK - 2.0, WORDS)
        off = (CHECK + 2.0) * (1 if forward else -1)
        at = (x, y + off) if upright else (x + off, y)
        shapes.append(
            Text("CHECK", at, words, size, "left" if forward else "right", "middle", 90.0 if upright else 0.0)
        )
    yield shapes, f"{names[0]} to {names[1]}: {told}"


def _levels(cab: Cab, wall: Wall, cut: Tiling, shapes: Sequence[Shape]) -> list[Shape]:
    """The level line's name on each tile that it runs through."""
    rail = wall.rail
    assert rail is not None
    y = float(rail.y)
    occupied = Occupied(1.0, 1.0)
    occupied.add(shapes)
    found: list[Shape] = []
    for tile in cut.tiles:
        x0, y0, x1, y1 = tile.cell
        room = (x0 + OVERLAP / 2 + 1.0, y0 + OVERLAP / 2, x1 - OVERLAP / 2 - 1.0, y1 - OVERLAP / 2)
        if not y0 < y < y1:
            continue
        places = [room[0] + 2.0 * i for i in range(int((room[2] - room[0]) / 2.0))]
        found += occupied.place(
            (
                (Text("TEXT", (x, y + off), words, height, "left", "middle", 0.0, True),)
                for words in (level_words(cab, rail), f"LEVEL LINE, {cab.printing.size(rail.y)}", "LEVEL LINE")
                for height in (5.0, WORDS, SMALL)
                for off in (height / 2 + 3.5, -height / 2 - 3.5)
                for x in places
            ),
            room,
        )
    return found


def _page(made: Tiled, tile: Tile, number: int, count: int) -> Sheet:
    page, cut = made.leaf, made.tiling
    window = _window(page)
    x0, y0, x1, y1 = tile.printed
    at = (window.left - x0, window.low - y0)
    corner = (window.left + x1 - x0, window.low + y1 - y0)
    name = f"drill-{page.wall.name}-{tile.name}"
    art = View(name, 1.0, at, made.shapes, ((window.left, window.low), corner), True)
    marks = View(f"{name}-marks", 1.0, at, tuple(_marks(cut, tile)), ((window.left, window.low), corner))
    map_area = Area(page.usable.left + 112.0, page.usable.low, page.usable.right - SIDE - 3.0, page.usable.low + 14.5)
    words, size = fitted(_joining(cut, tile), window.width, SMALL)
    paper: list[Shape] = [
        *_map(cut, map_area, tile),
        Text("CHECK", (window.left, window.low - 3.6), words, size, "left", "base"),
    ]
    return page.sheet(f"tile {tile.name}", number, count, paper, (art, marks))


def _marks(cut: Tiling, tile: Tile) -> Iterator[Shape]:
    """Register crosses at the corners of a cell, and the lines along which its neighbours are joined."""
    x0, y0, x1, y1 = tile.cell
    px0, py0, px1, py1 = tile.printed
    for x in (x0, x1):
        for y in (y0, y1):
            yield Line("CHECK", (x - REGISTER, y), (x + REGISTER, y))
            yield Line("CHECK", (x, y - REGISTER), (x, y + REGISTER))
            yield Circle("CHECK", (x, y), REGISTER / 2)
    # A tile is trimmed at its right and its upper edge; there it lies on its neighbour's line, which is dashed.
    for layer, beside, line in (
        ("CHECK", cut.at(tile.row, tile.column + 1), ((x1, py0), (x1, py1))),
        ("CHECK", cut.at(tile.row - 1, tile.column), ((px0, y1), (px1, y1))),
        ("HIDDEN", cut.at(tile.row, tile.column - 1), ((x0, py0), (x0, py1))),
        ("HIDDEN", cut.at(tile.row + 1, tile.column), ((px0, y0), (px1, y0))),
    ):
        if beside is not None:
            yield Line(layer, *line)


def _joining(cut: Tiling, tile: Tile) -> str:
    """What is trimmed and where it is laid."""
    right, over = cut.at(tile.row, tile.column + 1), cut.at(tile.row - 1, tile.column)
    edges = [
        (f"right line, lay it on {right.name}" if right else ""),
        (f"upper line, lay it on {over.name}" if over else ""),
    ]
    said = " and ".join(edge for edge in edges if edge)
    dashed = [t.name for t in (cut.at(tile.row, tile.column - 1), cut.at(tile.row + 1, tile.column)) if t is not None]
    found = [f"Trim at the {said}, cross on cross." if said else ""]
    found.append(f"{' and '.join(dashed)} come{'s' if len(dashed) == 1 else ''} on the dashed line." if dashed else "")
    return " ".join(part for part in found if part)


def _map(cut: Tiling, area: Area, here: Tile | None) -> Iterator[Shape]:
    """All tiles in small, as they lie, this one marked."""
    wide = min(area.width / cut.columns, area.height / cut.rows * 1.6)
    high = min((area.height - 5.0) / cut.rows, wide * 1.2)
    for tile in cut.tiles:
        x = area.left + tile.column * wide
        y = area.high - (tile.row + 1) * high
        box = Area(x, y, x + wide, y + high)
        yield Polyline("TABLE", box.corners, True, "here" if tile == here else "")
        words, size = fitted(tile.name, wide - 1.6, WORDS if high > 6.5 else SMALL)
        if words == tile.name and size >= SMALL and high > 4.4:
            yield Text("TEXT", (x + wide / 2, y + high / 2), words, size, "centre", "middle", 0.0, tile == here)
        elif tile == here:
            side: Across = "right" if tile.column * 2 > cut.columns else "left"
            at = (x + wide if side == "right" else x, area.high - cut.rows * high - 1.5)
            yield Text("TEXT", at, tile.name, SMALL, side, "top", 0.0, True)


def _map_figure(made: Tiled) -> Block:
    """The map on the first page: the tiles at a small scale with the band's holes in their places."""
    page, cut = made.leaf, made.tiling
    rail = page.wall.rail
    assert rail is not None
    wide, high = cut.xs[-1] - cut.xs[0], cut.ys[-1] - cut.ys[0]
    scale = min(page.inner.width / wide, 42.0 / high)

    def make(x: float, y: float) -> list[Shape]:
        def at(point: XY) -> XY:
            return (x + (point[0] - cut.xs[0]) * scale, y - 4.0 - (cut.ys[-1] - point[1]) * scale)

        shapes: list[Shape] = []
        for standoff in rail.standoffs:
            shapes.append(Circle("DRILL", at((float(standoff.x), float(standoff.y))), 1.0, "solid"))
        boxes = [(tile, at(tile.cell[:2]), at(tile.cell[2:])) for tile in cut.tiles]
        shapes += [Polyline("TABLE", ((a, b), (c, b), (c, d), (a, d)), True) for _, (a, b), (c, d) in boxes]
        occupied = Occupied(1.0, 0.3)
        occupied.add(shapes)
        for tile, (a, b), (c, d) in boxes:
            shapes += occupied.place(
                (Text("TEXT", (left, up), tile.name, size, "left", "middle"),)
                for size in (WORDS, SMALL, 1.8)
                for left in (a + 1.0, (a + c) / 2 + 1.5)
                for up in (d - 1.0 - size / 2, b + 1.5 + size / 2)
            )
        return shapes

    return Block(high * scale + 8.0, make)


def _printed(made: Tiled) -> list[str]:
    page, cut = made.leaf, made.tiling
    tiles = f"{len(cut.tiles)} tiles" if len(cut.tiles) > 1 else "1 tile"
    found = [
        f"Print every page on {page.cab.tile} at 100 %, with no fitting to the page: {tiles}, as the map shows. Measure"
        " the check bars of every page, both ways; if one is off, do not use the print.",
    ]
    if len(cut.tiles) > 1:
        found.append(
            "Trim each tile along its full lines, at the right and above, lay it on the next one up to that one's"
            " dashed line, register cross on register cross, and tape the join."
        )
    if made.measured:
        found.append(
            "Before use measure with a steel tape between the crosses named by letters, after joining: "
            + "; ".join(made.measured)
            + f", to within {_within(page.cab.printing)}."
        )
    return found


def _within(printing: Printing) -> str:
    """How far a joined template may be off (common practice: 1/32 in)."""
    return printing.size(Length(INCH * Fraction(1, 32)))

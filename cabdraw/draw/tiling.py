"""How a large drawing is divided into tiles: as few as can be, cut where no hole is and, if it can be, no text."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from math import ceil

from cabdraw.draw.measure import text_box
from cabdraw.draw.occupied import Box, crosses, extent, meet, segments, texts
from cabdraw.draw.shapes import Shape, Text
from cabdraw.frozen import Frozen

#: How far two tiles overlap (common practice: 1/2 in), and what is kept clear beside a cut besides, in mm.
OVERLAP, BESIDE = 12.0, 1.5
#: The steps in which places to cut are tried, in mm, and the least size of a cell.
STEP, LEAST = 2.0, 4 * OVERLAP
#: What it costs to cut through a hole, through the lines that cross at it, through a figure or what is said of a hole,
#: and through a name; and what one more tile costs.
HOLE, CROSSHAIR, FIGURE, NAME, TILE = 1000.0, 3.0, 150.0, 50.0, 35.0

#: What a cut at a place would cost.
Cost = Callable[[float], float]


class Tile(Frozen):
    """One tile: its row from the top and its column from the left, both from 0, and its cell of the drawing.

    What is printed reaches half the overlap past the cell on every side.
    """

    row: int
    column: int
    cell: Box

    @property
    def name(self) -> str:
        """The row's letter and the column's number."""
        return f"{chr(ord('A') + self.row)}{self.column + 1}"

    @property
    def printed(self) -> Box:
        """All that is printed of the drawing."""
        x0, y0, x1, y1 = self.cell
        by = OVERLAP / 2
        return (x0 - by, y0 - by, x1 + by, y1 + by)


class Tiling(Frozen):
    """Cuts from left to right and from the lowest up, and the tiles on which anything is drawn, row by row."""

    xs: tuple[float, ...]
    ys: tuple[float, ...]
    tiles: tuple[Tile, ...]

    @property
    def rows(self) -> int:
        """How many rows there are."""
        return len(self.ys) - 1

    @property
    def columns(self) -> int:
        """How many columns there are."""
        return len(self.xs) - 1

    def at(self, row: int, column: int) -> Tile | None:
        """The tile at a place, None where nothing is drawn or there is no such place."""
        return next((tile for tile in self.tiles if (tile.row, tile.column) == (row, column)), None)


class Hole(Frozen):
    """Something round that must not be cut, and how far the lines reach that cross at it."""

    x: float
    y: float
    radius: float
    arms: float


def tiling(shapes: Sequence[Shape], holes: Sequence[Hole], region: Box, most: tuple[float, float]) -> Tiling:
    """Divide a region into cells no larger than `most`, across and up."""
    words = [
        (text_box(text), NAME if shape.layer == "TEXT" else FIGURE)
        for shape in shapes
        if shape.layer != "CAUTION"
        for text in texts(shape)
    ]
    # Arrows and leaders are read with the words that they belong to.
    words += [(extent([shape], 1.0), NAME) for shape in shapes if shape.layer == "TEXT" and not isinstance(shape, Text)]
    xs = _cuts(region[0], region[2], most[0], _cost(words, holes, 0))
    ys = _cuts(region[1], region[3], most[1], _cost(words, holes, 1))
    rows = len(ys) - 1
    every = (
        Tile(row, column, (xs[column], ys[rows - 1 - row], xs[column + 1], ys[rows - row]))
        for row in range(rows)
        for column in range(len(xs) - 1)
    )
    return Tiling(xs, ys, tuple(tile for tile in every if drawn_in(shapes, tile.cell)))


def drawn_in(shapes: Sequence[Shape], cell: Box) -> bool:
    """Whether anything is drawn within a cell."""
    return any(
        any(meet(text_box(text), cell) for text in texts(shape))
        or (not isinstance(shape, Text) and any(crosses(segment, cell) for segment in segments(shape, 1.0)))
        for shape in shapes
    )


def _cost(words: Sequence[tuple[Box, float]], holes: Sequence[Hole], axis: int) -> Cost:
    near = OVERLAP / 2 + BESIDE

    def cost(cut: float) -> float:
        found = sum(price for box, price in words if box[axis] - near < cut < box[axis + 2] + near)
        for hole in holes:
            away = abs(cut - (hole.x, hole.y)[axis])
            found += HOLE if away < hole.radius + near else CROSSHAIR if away < hole.arms + near else 0.0
        return found

    return cost


def _cuts(low: float, high: float, most: float, cost: Cost) -> tuple[float, ...]:
    """Where to cut from low to high, no cell larger than `most`: at the least cost, and then as evenly as can be.

    The cheapest way to each place that is tried comes from the cheapest to those within one cell of it.
    """
    count = ceil((high - low) / most - 1e-9)
    if count <= 1:
        return (low, high)
    even = (high - low) / count
    places = [low + STEP * i for i in range(ceil((high - low) / STEP))] + [high]
    costs = [0.0, *map(cost, places[1:-1]), 0.0]
    ways: list[tuple[float, int]] = [(0.0, 0)]
    least = min(LEAST, most / 2)
    first = 0
    for i in range(1, len(places)):
        while places[i] - places[first] > most + 1e-9:
            first += 1
        place, own, best, back = places[i], costs[i], float("inf"), 0
        for j in range(first, i):
            wide = place - places[j]
            if wide < least:
                break
            price = ways[j][0] + own + TILE + ((wide - even) / most) ** 2
            if price < best:
                best, back = price, j
        ways.append((best, back))
    cuts, i = [high], len(places) - 1
    while i:
        i = ways[i][1]
        cuts.append(places[i])
    return tuple(reversed(cuts))


def fewest(cells: Sequence[tuple[float, float]], wide: float, high: float) -> int:
    """Which of several sizes of cell covers a width and a height with the fewest tiles, the first of those alike."""
    counts = [ceil(wide / w - 1e-9) * ceil(high / h - 1e-9) for w, h in cells]
    return counts.index(min(counts))


def within(tiles: Tiling, place: tuple[float, float], room: float) -> Tile | None:
    """The tile that holds a place with some room round it, None where a cut is nearer."""
    x, y = place
    columns = [i for i, (a, b) in enumerate(pairwise(tiles.xs)) if a + room <= x <= b - room]
    rows = [tiles.rows - 1 - i for i, (a, b) in enumerate(pairwise(tiles.ys)) if a + room <= y <= b - room]
    return tiles.at(rows[0], columns[0]) if columns and rows else None

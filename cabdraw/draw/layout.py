"""Where dimensions and their figures go: one engine for every view.

Figures read from the foot of the sheet. One that has no room between its extension lines moves out by
rule, never onto a line or another figure: an end figure outward along the dimension line, any other into
a lane beside the chain, spread just so far that none touch, with a leader where it had to move away.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from cabdraw.draw.measure import text_width
from cabdraw.draw.shapes import XY, Dimension
from cabdraw.draw.style import EXTENSION_PAST, FIGURE, FIGURE_GAP

LAYER = "DIMENSION"
#: Paper mm kept between two figures, and between a figure and a line that passes it.
APART = 1.2
#: From one lane of figures to the next, as a multiple of their height.
LANE_STEP = 1.5


def _over(height: float) -> float:
    """Paper mm from a dimension line to the middle of a figure over it: brackets reach below the figures."""
    return FIGURE_GAP * height / FIGURE + height / 2


def lane(height: float) -> float:
    """Paper mm from a dimension line to the middle of a figure in the lane beneath it."""
    return EXTENSION_PAST + 0.48 * height + height / 2


def spread(
    wanted: Sequence[float], sizes: Sequence[float], low: float = float("-inf"), high: float = float("inf")
) -> list[float]:
    """Middles for a row of things so that none overlap, each as near as can be to where it is wanted.

    `wanted` rises; the order is kept. Things stay between `low` and `high` where there is room for all.
    """
    blocks: list[list[float]] = []  # sum of wanted starts, how many, length, first index
    firsts: list[int] = []

    def start(block: list[float]) -> float:
        at = block[0] / block[1]
        return max(low, min(at, high - block[2]))

    for index, (middle, size) in enumerate(zip(wanted, sizes, strict=True)):
        blocks.append([middle - size / 2, 1, size])
        firsts.append(index)
        while len(blocks) > 1 and start(blocks[-2]) + blocks[-2][2] > start(blocks[-1]) + 1e-9:
            last = blocks.pop()
            firsts.pop()
            before = blocks[-1]
            before[0] += last[0] - before[2] * last[1]
            before[1] += last[1]
            before[2] += last[2]
    middles: list[float] = []
    for block in blocks:
        at = start(block)
        for size in sizes[len(middles) : len(middles) + int(block[1])]:
            middles.append(at + size / 2)
            at += size
    return middles


def stacked(middles: Sequence[float], sizes: Sequence[float]) -> list[int] | None:
    """A lane for each figure, 0 the nearest, so that every one stands under its own middle and none touch.

    A plumb leader leads to each in a further lane, and meets nothing on its way. None where that cannot be done.
    """
    lanes: list[list[tuple[float, float]]] = []
    found = [0] * len(middles)
    for i in sorted(range(len(middles)), key=lambda i: (sizes[i], i)):
        low, high = middles[i] - sizes[i] / 2, middles[i] + sizes[i] / 2
        for depth in range(len(middles)):
            if depth == len(lanes):
                lanes.append([])
            if all(high <= a or b <= low for a, b in lanes[depth]):
                found[i] = depth
                lanes[depth].append((low, high))
                break
            if any(a < middles[i] < b for a, b in lanes[depth]):
                return None
            lanes[depth].append((middles[i], middles[i]))
    return found


def chain_across(
    stations: Sequence[float],
    figures: Sequence[str],
    line: float,
    edge: float,
    scale: float,
    height: float = FIGURE,
    bounded: bool = True,
) -> tuple[list[Dimension], int]:
    """A chain of dimensions below an object, along x, and how many lanes of figures had to be made beneath it.

    Stations, `line` (y of the dimension line) and `edge` (y of the object's edge) are in model mm. Figures in
    a lane stay between the ends of the chain where it is `bounded`: by the extension lines of an overall below.
    """
    widths = [text_width(figure, height) for figure in figures]
    last = len(figures) - 1
    places: list[tuple[XY, tuple[XY, ...]] | None] = []
    moved: list[int] = []
    for i, width in enumerate(widths):
        a, b = stations[i], stations[i + 1]
        middle = (a + b) / 2
        if width + 2 * APART <= (b - a) * scale:
            places.append(((middle, line + _over(height) / scale), ()))
        elif i in (0, last) and last > 0:
            sign, end = (-1, a) if i == 0 else (1, b)
            near = end + sign * (APART + 0.6) / scale
            places.append(((near + sign * width / 2 / scale, line), ((end, line), (near - sign * 0.6 / scale, line))))
        else:
            places.append(None)
            moved.append(i)
    middles = [(stations[i] + stations[i + 1]) / 2 * scale for i in moved]
    sizes = [widths[i] + APART for i in moved]
    low, high = stations[0] * scale + APART / 2, stations[-1] * scale - APART / 2
    if not bounded:
        low, high = float("-inf"), float("inf")
    depths = [0] * len(moved)
    found = list(middles)
    if sum(sizes) <= high - low:
        found = spread(middles, sizes, low, high)
    elif (deeper := stacked(middles, sizes)) is not None:
        depths = deeper
    else:
        found = spread(middles, sizes, low, high)
    for i, want, got, depth in zip(moved, middles, found, depths, strict=True):
        y = line - (lane(height) + depth * LANE_STEP * height) / scale
        foot = (got / scale, y + (height / 2 + 0.5) / scale)
        top = (want / scale, line - (EXTENSION_PAST + 0.7) / scale)
        places[i] = ((got / scale, y), (top, foot) if depth or abs(got - want) > 0.4 else ())
    dimensions = []
    for i, place in enumerate(places):
        assert place is not None
        begin, finish = (stations[i], edge), (stations[i + 1], edge)
        dimensions.append(Dimension(LAYER, "x", begin, finish, line, figures[i], place[0], height, place[1]))
    return dimensions, max(depths, default=-1) + 1


def overall_across(
    a: float, b: float, figure: str, line: float, edge: float, scale: float, height: float = FIGURE
) -> Dimension:
    """One dimension along x over a whole object, its figure over the line."""
    at = ((a + b) / 2, line + _over(height) / scale)
    return Dimension(LAYER, "x", (a, edge), (b, edge), line, figure, at, height)


def chain_up(
    stations: Sequence[float], figures: Sequence[str], line: float, edge: float, scale: float, height: float = FIGURE
) -> list[Dimension]:
    """A chain of dimensions left of an object, along y, its figures in a column left of the dimension line."""
    middles = [(a + b) / 2 * scale for a, b in pairwise(stations)]
    sizes = [height + APART] * len(figures)
    found = spread(middles, sizes, stations[0] * scale + 0.6, stations[-1] * scale - 0.6)
    right = line - (EXTENSION_PAST + APART) / scale
    dimensions = []
    for i, figure in enumerate(figures):
        x = right - text_width(figure, height) / 2 / scale
        leader: tuple[XY, ...] = ()
        if abs(found[i] - middles[i]) > 0.4:
            leader = ((line - 0.3 / scale, middles[i] / scale), (right + 0.5 / scale, found[i] / scale))
        start, end = (edge, stations[i]), (edge, stations[i + 1])
        dimensions.append(Dimension(LAYER, "y", start, end, line, figure, (x, found[i] / scale), height, leader))
    return dimensions


def overall_up(
    a: float, b: float, figure: str, line: float, edge: float, scale: float, height: float = FIGURE
) -> Dimension:
    """One dimension along y over a whole object, its figure left of the line at half height."""
    x = line - (APART + text_width(figure, height) / 2) / scale
    return Dimension(LAYER, "y", (edge, a), (edge, b), line, figure, (x, (a + b) / 2), height)


def shown(number: int, room: float, each: float) -> list[int]:
    """Which of so many figures in a row are printed, each so wide: all, or the ends and every nth between them."""
    most = max(2, int(room // each))
    if number <= most:
        return list(range(number))
    every = -(-(number - 1) // (most - 1))
    return [*range(0, number - 1, every), number - 1]


def running_up(
    zero: float,
    stations: Sequence[float],
    figures: Sequence[str],
    line: float,
    edge: float,
    scale: float,
    height: float = FIGURE,
) -> list[Dimension]:
    """Running dimensions along y from one origin, right of an object, each figure at its own extension line."""
    sizes = [height + APART] * len(figures)
    found = spread([station * scale for station in stations], sizes)
    left = line + (EXTENSION_PAST + 2.2) / scale
    dimensions = []
    for i, (station, figure) in enumerate(zip(stations, figures, strict=True)):
        x = left + text_width(figure, height) / 2 / scale
        past = line + (EXTENSION_PAST + 0.2) / scale
        moved = abs(found[i] - station * scale) > 0.4
        leader = ((past, station), (left - 0.4 / scale, found[i] / scale)) if moved else ()
        dimensions.append(
            Dimension(
                LAYER, "y", (edge, zero), (edge, station), line, figure, (x, found[i] / scale), height, leader,
                (i == 0, True),
            )
        )  # fmt: skip
    return dimensions


def running_across(
    zero: float,
    stations: Sequence[float],
    figures: Sequence[str],
    line: float,
    edge: float,
    scale: float,
    height: float = FIGURE,
) -> list[Dimension]:
    """Running dimensions along x from one origin, above an object, each figure over its own extension line."""
    sizes = [text_width(figure, height) + APART for figure in figures]
    found = spread([station * scale for station in stations], sizes)
    shifted = [abs(got - station * scale) > 0.4 for got, station in zip(found, stations, strict=True)]
    under = 0.36 * height
    y = line + (EXTENSION_PAST + (1.6 if any(shifted) else 0.4) + under + height / 2) / scale
    dimensions = []
    for i, (station, figure) in enumerate(zip(stations, figures, strict=True)):
        past = line + (EXTENSION_PAST + 0.2) / scale
        leader = ((station, past), (found[i] / scale, y - (height / 2 + under) / scale)) if shifted[i] else ()
        dimensions.append(
            Dimension(
                LAYER, "x", (zero, edge), (station, edge), line, figure, (found[i] / scale, y), height, leader,
                (i == 0, True),
            )
        )  # fmt: skip
    return dimensions

"""How finishes look, as painted shapes at true size: wood grain, brushed metal, stone, mirror and plain colour.

All is made up from the finish's own colour and a number that says which piece it is, so that each piece looks
like itself on every run and no two look alike. Nothing here is a photograph or a maker's pattern.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise
from math import cos, floor, pi, sin, sqrt
from random import Random
from zlib import crc32

from cabdraw.draw.shapes import RGB, XY, Gradient, Painted, Shape, Strands
from cabdraw.finish import Finish

LAYER = "FINISH"
#: Left, lower, right and upper edge in mm.
Box = tuple[float, float, float, float]
WHITE: RGB = (255, 255, 255)
BLACK: RGB = (0, 0, 0)
#: The length in mm over which the arches of a leaf of veneer run out.
_LEAF = 1100.0
_Place = Callable[[float, float], XY]


def mixed(colour: RGB, other: RGB, share: float) -> RGB:
    """A colour with a share (0 to 1) of another in it."""
    red, green, blue = (round(a + (b - a) * share) for a, b in zip(colour, other, strict=True))
    return red, green, blue


def shade(colour: RGB, by: float) -> RGB:
    """A colour made lighter (up to 1, white) or darker (down to -1, black)."""
    return mixed(colour, WHITE if by > 0 else BLACK, abs(by))


def hexed(colour: RGB) -> str:
    """A colour as a fill, `#7a5538`."""
    return "#{:02x}{:02x}{:02x}".format(*colour)


def luminance(colour: RGB) -> float:
    """How light a colour looks, 0 to 1 (the weights of ITU-R BT.709, on the coded values)."""
    return (0.2126 * colour[0] + 0.7152 * colour[1] + 0.0722 * colour[2]) / 255


def ring(box: Box) -> tuple[XY, ...]:
    """The corners of a box, anticlockwise from the lower left."""
    left, low, right, high = box
    return (left, low), (right, low), (right, high), (left, high)


def area(box: Box, paint: RGB | Gradient, opacity: float = 1.0) -> Painted:
    """A box painted."""
    return Painted(LAYER, (ring(box),), paint, opacity)


def texture(finish: Finish, box: Box, upright: bool, piece: str) -> list[Shape]:
    """A finish on a rectangle, its grain or brush upright or level; `piece` names the piece that it is on."""
    chance = Random(crc32(f"{finish.code} {piece}".encode()))
    if finish.texture == "wood":
        return list(_wood(finish.colour, box, upright, chance))
    if finish.texture == "brushed":
        return list(_brushed(finish.colour, box, upright, chance))
    if finish.texture == "stone":
        return list(_stone(finish.colour, box, chance))
    if finish.texture == "mirror":
        return [_mirror(finish.colour, box)]
    return [_plain(finish.colour, box)]


def _plain(colour: RGB, box: Box) -> Shape:
    run = Gradient((box[0], box[3]), (box[0], box[1]), ((0.0, shade(colour, 0.05)), (1.0, shade(colour, -0.05))))
    return area(box, run)


def _mirror(colour: RGB, box: Box) -> Shape:
    left, low, right, high = box
    reach = min(right - left, high - low)
    # Broad bands across the glass, as a mirror is drawn by hand: soft within, with an edge to each.
    bands = ((0.0, 0.10), (0.22, 0.34), (0.22, 0.52), (0.34, 0.44), (0.34, 0.20), (0.56, 0.06), (0.56, 0.30),
             (0.62, 0.26), (0.62, 0.08), (0.85, 0.18), (1.0, 0.32))  # fmt: skip
    stops = tuple((share, shade(colour, by)) for share, by in bands)
    # Two thirds as far up as across, so that the bands stand steeply on any panel.
    span = ((right - left) + (high - low) * 0.45) / 2 + reach * 0.05
    middle = ((left + right) / 2, (low + high) / 2)
    way = (0.913, 0.408)
    start = (middle[0] - way[0] * span, middle[1] - way[1] * span)
    end = (middle[0] + way[0] * span, middle[1] + way[1] * span)
    return area(box, Gradient(start, end, stops))


def _placed(box: Box, upright: bool) -> tuple[_Place, float, float]:
    """From across and along the grain to a point of the box, and how far the box reaches both ways."""
    left, low, right, high = box
    if upright:
        return (lambda u, v: (left + u, low + v)), right - left, high - low
    return (lambda u, v: (left + v, low + u)), high - low, right - left


def _noise(chance: Random, amplitude: float, length: float, reach: float) -> Callable[[float], float]:
    """A smooth random course along a line, even over about `length`."""
    values = [chance.uniform(-amplitude, amplitude) for _ in range(int(reach / length) + 3)]

    def at(v: float) -> float:
        place = min(max(v / length, 0.0), len(values) - 1.001)
        first = floor(place)
        share = (1 - cos((place - first) * pi)) / 2
        return values[first] * (1 - share) + values[first + 1] * share

    return at


def _brushed(colour: RGB, box: Box, upright: bool, chance: Random) -> Iterator[Shape]:
    place, across, along = _placed(box, upright)
    # Light on a brushed face spreads across the brush, so that bands of it follow one another along it.
    count = max(3, min(9, round(along / 220)))
    stops = []
    for i in range(count + 1):
        swing = 0.17 if i % 2 else -0.03
        stops.append((i / count, shade(colour, swing * chance.uniform(0.55, 1.0))))
    yield area(box, Gradient(place(0, 0), place(0, along), tuple(stops)))
    dark: list[tuple[XY, ...]] = []
    light: list[tuple[XY, ...]] = []
    pitch = max(1.1, across / 420)
    lines = int(across / pitch)
    for i in range(lines):
        u = (i + chance.uniform(0.1, 0.9)) * across / lines
        for lot, share in ((dark, 0.75), (light, 0.55)):
            if chance.random() < share:
                length = along * chance.uniform(0.12, 0.65)
                start = chance.uniform(-length * 0.4, along - length * 0.6)
                lot.append((place(u, max(0.0, start)), place(u, min(along, start + length))))
                u = min(across, u + pitch * 0.4)
    yield Strands(LAYER, tuple(dark), shade(colour, -0.45), 0.55, 0.22)
    yield Strands(LAYER, tuple(light), shade(colour, 0.75), 0.5, 0.3)


def _wood(colour: RGB, box: Box, upright: bool, chance: Random) -> Iterator[Shape]:
    place, across, along = _placed(box, upright)
    count = max(1, round(across / 210))
    edges = [i * across / count for i in range(count + 1)]
    for i in range(1, count):
        edges[i] += chance.uniform(-0.16, 0.16) * across / count
    for left, right in pairwise(edges):
        yield from _leaf(colour, place, left, right, along, chance)


def _leaf(colour: RGB, place: _Place, left: float, right: float, along: float, chance: Random) -> Iterator[Shape]:
    """One leaf of veneer, cut flat through a tapering trunk: nested arches in the middle, straight grain beside."""
    tone = chance.uniform(-0.045, 0.045)
    own = shade(colour, tone)
    steps = 6
    stops = tuple((i / steps, shade(own, chance.uniform(-0.05, 0.05))) for i in range(steps + 1))
    corners = (place(left, 0), place(right, 0), place(right, along), place(left, along))
    yield Painted(LAYER, (corners,), Gradient(place(left, 0), place(right, 0), stops))
    width = right - left
    heart = left + width * chance.uniform(0.3, 0.7)
    upward = chance.random() < 0.5
    nearest, farthest = chance.uniform(3, 14), chance.uniform(0.55, 0.95) * width
    if along < _LEAF:
        # A short piece is cut from somewhere along the leaf.
        slope = (farthest - nearest) / _LEAF
        nearest += slope * chance.uniform(0.2, 0.8) * (_LEAF - along)
        farthest = nearest + slope * along
    sway = _noise(chance, min(9.0, width * 0.06), max(170.0, along / 9), along)
    reach = max(heart - left, right - heart) + farthest
    groups: dict[int, list[tuple[XY, ...]]] = {0: [], 1: [], 2: [], 3: []}
    radius = nearest + chance.uniform(1, 4)
    while radius < reach * 1.05:
        group = chance.choices((0, 1, 2, 3), (4, 4, 3, 1))[0]
        ripple = _noise(chance, 1.8, max(60.0, along / 22), along)
        for run in _arch(radius, nearest, farthest, along, upward):
            course = [(heart + u + sway(v) + ripple(v), v) for u, v in run]
            groups[group] += [tuple(place(u, v) for u, v in kept) for kept in _within(course, left + 1.2, right - 1.2)]
        radius += chance.uniform(3.0, 8.5) * (1.0 + radius / (reach * 2.2))
    looks = (
        (shade(own, -0.42), 1.1, 0.40),
        (shade(own, -0.30), 2.6, 0.24),
        (shade(own, -0.20), 5.0, 0.17),
        (shade(own, 0.25), 3.0, 0.16),
    )
    for group in (2, 3, 1, 0):
        if groups[group]:
            dark, wide, opacity = looks[group]
            yield Strands(LAYER, tuple(groups[group]), dark, wide, opacity)
    pores = []
    for _ in range(int(width * along / 3600)):
        u, v = chance.uniform(left + 1, right - 1), chance.uniform(0, along)
        pores.append((place(u, v), place(u, min(along, v + chance.uniform(8, 30)))))
    if pores:
        yield Strands(LAYER, tuple(pores), shade(own, -0.5), 0.6, 0.28)


def _arch(radius: float, nearest: float, farthest: float, along: float, upward: bool) -> Iterator[list[XY]]:
    """Where a growth ring of a radius shows on a leaf whose distance from the heart runs from `nearest` to `farthest`.

    A ring is met at u from the heart where u squared is the radius squared less the distance squared.
    """
    slope = (farthest - nearest) / along
    tip = min(along, (radius - nearest) / slope)
    closed = tip < along
    steps = max(6, min(16, round(tip / 110)))

    def at(i: int) -> XY:
        # Closer together towards the tip, where the course turns.
        v = tip * (1 - (1 - i / steps) ** 2) if closed else tip * i / steps
        u = sqrt(max(0.0, radius * radius - (nearest + slope * v) ** 2))
        return u, v

    side = [at(i) for i in range(steps + 1)]
    if closed:
        side[-1] = (0.0, tip)
        runs = [[(-u, v) for u, v in side] + side[-2::-1]]
    else:
        runs = [[(-u, v) for u, v in side], side]
    for run in runs:
        yield run if upward else [(u, along - v) for u, v in run]


def _within(course: list[XY], left: float, right: float) -> Iterator[list[XY]]:
    """The parts of a course that lie between two edges, cut at them."""
    kept: list[XY] = []
    for i, point in enumerate(course):
        here = left <= point[0] <= right
        if i:
            before = course[i - 1]
            for edge in (left, right):
                if (before[0] - edge) * (point[0] - edge) < 0:
                    share = (edge - before[0]) / (point[0] - before[0])
                    crossing = (edge, before[1] + (point[1] - before[1]) * share)
                    if here:
                        kept = [crossing]
                    elif kept:
                        kept.append(crossing)
                        if len(kept) > 1:
                            yield kept
                        kept = []
        if here:
            kept.append(point)
    if len(kept) > 1:
        yield kept


def _stone(colour: RGB, box: Box, chance: Random) -> Iterator[Shape]:
    left, low, right, high = box
    width, height = right - left, high - low
    yield _plain(colour, box)
    lots: tuple[tuple[RGB, float, list[tuple[XY, ...]]], ...] = (
        (shade(colour, -0.28), 0.5, []),
        (shade(colour, 0.45), 0.5, []),
        (shade(colour, -0.5), 0.45, []),
    )
    for _ in range(min(2600, int(width * height / 330))):
        _, _, lot = lots[chance.choices((0, 1, 2), (5, 4, 2))[0]]
        size = chance.uniform(0.8, 3.4) if chance.random() < 0.85 else chance.uniform(3, 6)
        x, y = chance.uniform(left + size, right - size), chance.uniform(low + size, high - size)
        turn, sides = chance.uniform(0, pi), chance.choice((4, 5, 6))
        lot.append(
            tuple(
                (x + size * cos(turn + i * 2 * pi / sides) * reach, y + size * sin(turn + i * 2 * pi / sides) * reach)
                for i, reach in ((i, chance.uniform(0.55, 1.0)) for i in range(sides))
            )
        )
    for tone, opacity, lot in lots:
        if lot:
            yield Painted(LAYER, tuple(lot), tone, opacity)

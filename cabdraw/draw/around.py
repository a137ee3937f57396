"""What surrounds one hole of a template, at full size: the band, what is in the way, the level line, its neighbours."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cabdraw.cab import Rail, Rect, Standoff, Wall
from cabdraw.draw.leaf import SIDE, SMALL, WORDS, Leaf
from cabdraw.draw.occupied import Box, Occupied
from cabdraw.draw.paper import Area
from cabdraw.draw.shapes import XY, Across, Circle, Line, Polyline, Shape, Text
from cabdraw.draw.template import (
    STRIKE,
    band_rect,
    corners,
    distances,
    hatched,
    hole_shapes,
    level_words,
    thing_inside,
    things_in,
)
from cabdraw.draw.title import arrow
from cabdraw.draw.words import HEIGHTS, fitted
from cabdraw.errors import Finding
from cabdraw.rational import Fraction
from cabdraw.units import Length

SMALLEST = HEIGHTS[0]
#: Texts that stand together, at one of the places where they may.
Options = Iterator[tuple[Text, ...]]
SIDES: tuple[tuple[int, Across], ...] = ((1, "left"), (-1, "right"))


def around(
    page: Leaf, standoff: Standoff, stops: Sequence[Finding], half: float, notch: Area, at: XY
) -> tuple[Shape, ...]:
    """What surrounds a hole by `half` on every side, in the wall's own axes, whose origin stands `at` on the paper.

    `notch` is a part of the paper that is left to other things.
    """
    wall = page.wall
    rail = wall.rail
    assert rail is not None
    x, y = float(standoff.x), float(standoff.y)
    edge = (x - half, y - half, x + half, y + half)
    reach = Length(Fraction(round(half * 1000), 1000))
    things = list(things_in(wall, Rect(standoff.x - reach, standoff.y - reach, 2 * reach, 2 * reach)))
    drawn = [*_lines(wall, rail, standoff, edge, reach), *_holes(wall, rail)]
    for thing in things:
        layer, fill = ("HIDDEN", "") if thing.hidden else ("FIXTURE", "fixture")
        drawn.append(Polyline(layer, corners(thing.rect), True, fill))
    struck = f"hole-{wall.name}-{standoff.number}" in {mark for finding in stops for mark in finding.marks}
    if struck:
        for way in (1, -1):
            drawn.append(Line("CAUTION", (x - STRIKE, y - way * STRIKE), (x + STRIKE, y + way * STRIKE)))
    occupied = Occupied(1.0, 1.2)
    occupied.add(drawn)
    corner = Area(notch.left - at[0], notch.low - at[1], notch.right - at[0], notch.high - at[1])
    if corner.high > edge[1]:
        occupied.add([Polyline("CHECK", corner.corners, True), Line("CHECK", corner.corners[0], corner.corners[2])])
    room = (edge[0] + 2.0, edge[1] + 2.0, edge[2] - 2.0, edge[3] - 2.0)
    inside: list[Text] = []
    for other in rail.standoffs:
        inside += occupied.place(_numbers(page, other, other == standoff), room)
    for options in _labels(page, standoff, edge):
        inside += occupied.place(options, room)
    for thing in things:
        inside += thing_inside(occupied, thing) or occupied.place(_beside(thing.words, thing.rect, edge), room)
    for number, hole in enumerate(wall.holes, 1):
        inside += occupied.place(_old(number, (float(hole.x), float(hole.y))), room)
    hatches = [hatched(thing, inside) for thing in things if thing.hidden]
    occupied.add(hatches)
    found = [*drawn, *inside, *hatches, *_arrows(page, occupied, edge)]
    if page.stopped:
        words = "DO NOT DRILL THIS HOLE" if struck else "DO NOT DRILL"
        found.append(Text("CAUTION", (x - SIDE / 2, y - half * 0.62), words, 10.0, "centre", "middle", 0.0, True))
    return tuple(found)


def _lines(wall: Wall, rail: Rail, standoff: Standoff, edge: Box, reach: Length) -> Iterator[Shape]:
    """The band, its joints, the ends of wall and rail, the level line and a plumb line through the hole."""
    x, y = float(standoff.x), float(rail.y)
    band = band_rect(wall, rail, reach)
    low, high = float(band.y), float(band.top)
    yield Polyline("BAND", corners(band), True, "board")
    if rail.through != "backer":
        for left, width in wall.columns[:-1]:
            for joint in (left + width, left + width + wall.reveal):
                yield Line("REVEAL", (float(joint), low), (float(joint), high))
    for end in (0.0, float(wall.width)):
        yield Line("SHELL", (end, edge[1]), (end, edge[3]))
    for end in (float(rail.x), float(rail.right)):
        yield Line("HIDDEN", (end, y - 20.0), (end, y + 20.0))
    yield Line("CENTRE", (edge[0], y), (edge[2], y))
    yield Line("CENTRE", (x, edge[1]), (x, edge[3]))


def _holes(wall: Wall, rail: Rail) -> Iterator[Shape]:
    for standoff in rail.standoffs:
        yield from hole_shapes(rail, standoff)
    for hole in wall.holes:
        yield Circle("HIDDEN", (float(hole.x), float(hole.y)), float(hole.diameter or rail.hole) / 2)


def _numbers(page: Leaf, hole: Standoff, mine: bool) -> Options:
    """A hole's number at each corner of its crosshair, with its drills where it is the sheet's own."""
    rail, size = page.wall.rail, page.cab.printing.size
    assert rail is not None
    x, y = float(hole.x), float(hole.y)
    off = max(float(rail.flange or rail.hole) / 2, 8.0) + 4.0
    tall = 14.0 if mine else 7.0
    drills = f"{size(rail.pilot)} pilot, then {size(rail.hole)}"
    for up in (1, -1):
        for way, side in SIDES:
            at = (x + way * off, y + up * (off + tall))
            number = Text("DRILL", at, str(hole.number), tall, side, "middle", 0.0, True)
            below = Text("DRILL", (at[0], y + up * (off - 1.0)), drills, 5.0, side, "middle")
            yield (number, below) if mine else (number,)
    if mine:
        yield from (
            (Text("DRILL", (x + way * off, y + up * (off + tall)), str(hole.number), 10.0, side, "middle"),)
            for up in (1, -1)
            for way, side in SIDES
        )


def _labels(page: Leaf, standoff: Standoff, edge: Box) -> Iterator[Options]:
    """What is said along the level line: its height, and how far it is to the neighbours."""
    cab, wall = page.cab, page.wall
    rail = wall.rail
    assert rail is not None
    y, both = float(rail.y), cab.printing.both
    between = distances(cab, wall, rail)
    before, after = f"hole {standoff.number - 1}", f"hole {standoff.number + 1}"
    if standoff.number == 1:
        before = "wall's left end"
    if standoff.number == len(rail.standoffs):
        after = "wall's right end"
    ins = [4.0 + 4.0 * i for i in range(20)]
    ups = [-9.0, *(way * (9.0 + 6.0 * i) for i in range(12) for way in (1, -1))]
    level = (level_words(cab, rail), f"LEVEL LINE, {cab.printing.size(rail.y)}", "LEVEL LINE")
    yield (
        (Text("TEXT", (edge[0] + dx, y + way * 5.0), words, height, "left", "middle", 0.0, True),)
        for words in level
        for height in (WORDS, SMALL)
        for way in (1, -1)
        for dx in ins
    )
    left, right = f"← {before}: {both(between[standoff.number - 1])}", f"{after}: {both(between[standoff.number])} →"
    yield _along(left, [(edge[0] + dx, y + dy) for dy in ups for dx in ins[:8]], "left")
    yield _along(right, [(edge[2] - dx, y + dy) for dy in ups for dx in ins[:8]], "right")


def _along(words: str, places: Sequence[XY], across: Across) -> Options:
    return ((Text("TEXT", place, words, WORDS, across, "middle"),) for place in places)


def _old(number: int, at: XY) -> Options:
    return (
        (Text("TEXT", (at[0], at[1] + dy), f"old hole {number}", WORDS, "centre", "middle"),)
        for dy in (way * (12.0 + 5.0 * i) for i in range(6) for way in (1, -1))
    )


def _beside(words: str, rect: Rect, edge: Box) -> Options:
    """The name of a thing in which it has no room at its full height: beside it, or smaller within."""
    left, right, low, high = float(rect.x), float(rect.right), float(rect.y), float(rect.top)
    ups = [edge[3] - 6.0 - 4.0 * i for i in range(int((edge[3] - edge[1]) / 4.0))]
    for size in (WORDS, SMALL, SMALLEST):
        text, height = fitted(words, 90.0, size)
        for y in ups:
            yield (Text("TEXT", (right + 2.0, y), f"← {text}", height, "left", "middle"),)
            yield (Text("TEXT", (left - 2.0, y), f"{text} →", height, "right", "middle"),)
        for angle, x, y in (
            *((0.0, (left + right) / 2, y) for y in ups if low < y < high),
            *((90.0, left + 4.0 * i, y) for i in range(1, int((right - left) / 4.0)) for y in ups if low < y < high),
        ):
            yield (Text("TEXT", (x, y), text, height, "centre", "middle", angle),)


def _arrows(page: Leaf, occupied: Occupied, edge: tuple[float, float, float, float]) -> list[Shape]:
    """Which way is up, and what is to the left and to the right."""
    left_name, right_name = page.cab.neighbours(page.wall.name)
    called = {"front": "FRONT", "rear": "REAR"}
    found: list[Shape] = []
    for name, way in ((left_name, -1.0), (right_name, 1.0)):
        words = called.get(name, f"{name} wall")
        for step in range(int((edge[3] - edge[1] - 34.0) / 4.0)):
            y = edge[3] - 30.0 - 4.0 * step
            foot = (edge[0] + 34.0) if way < 0 else (edge[2] - 34.0)
            box = (foot - 31.0, y, foot + 31.0, y + 26.0)
            if not occupied.free(box):
                continue
            found += [
                *arrow("TEXT", (foot - 24.0, y + 1.0), (0.0, 1.0), 24.0),
                Text("TEXT", (foot - 19.0, y + 13.0), "UP", 5.0, "left", "middle", 0.0, True),
                *arrow("TEXT", (foot + 13.0 - way * 12.0, y + 18.0), (way, 0.0), 24.0),
                Text("TEXT", (foot + 13.0, y + 7.0), words, 5.0, "centre", "middle", 0.0, words.isupper()),
            ]
            break
    return found

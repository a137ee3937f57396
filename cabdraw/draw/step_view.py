"""The small elevation of a step: its parts bold and numbered in their order, the others faint, and where they go."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from math import hypot

from cabdraw.cab import BOARD_BANDS, Cab, Part, Rect, Wall
from cabdraw.draw.elevation import corners
from cabdraw.draw.layout import APART, shown, spread
from cabdraw.draw.measure import text_box, text_width
from cabdraw.draw.occupied import Box, Occupied, extent, inside
from cabdraw.draw.paper import Area
from cabdraw.draw.scales import preferred
from cabdraw.draw.shapes import XY, Circle, Hatch, Line, Polyline, Shape, Text, View
from cabdraw.draw.words import fitted
from cabdraw.install.parts import Piece
from cabdraw.install.steps import Step
from cabdraw.rational import Fraction
from cabdraw.units import ZERO, Length

#: Heights of figures and of the numbers on parts, in paper mm.
FIGURE, NUMBER = 2.5, 5.0
#: Radius of the dot at a leader's end, in paper mm.
DOT = 0.5


def step_view(cab: Cab, step: Step, done: Collection[str], area: Area) -> View:
    """A step's wall in an area of the paper, at the largest preferred scale that fits. `done` are marks that stand."""
    assert step.wall is not None
    wall = cab.walls[step.wall]
    scales = [scale.ratio for scale in preferred(cab.printing.system)]
    # Smaller than any preferred scale a wall is drawn as large as it fits: nothing is measured from these.
    scales = [*(s for s in scales if s <= 0.2), 1 / 120, 1 / 150, 1 / 200]
    drawn: list[Shape] = []
    box = (0.0, 0.0, 0.0, 0.0)
    scale = scales[-1]
    for ratio in (s for pair in zip(scales, (s * 0.8 for s in scales), strict=True) for s in pair):
        scale = ratio
        drawn = list(_drawn(cab, wall, step, done, ratio))
        box = extent(drawn, ratio)
        if (box[2] - box[0]) * ratio <= area.width and (box[3] - box[1]) * ratio <= area.height:
            break
    at = (
        (area.left + area.right - (box[0] + box[2]) * scale) / 2,
        (area.low + area.high - (box[1] + box[3]) * scale) / 2,
    )
    occupied = Occupied(scale, 0.5)
    occupied.add(drawn)
    x, y = at
    room = ((area.left - x) / scale, (area.low - y) / scale, (area.right - x) / scale, (area.high - y) / scale)
    drawn += _numbers(step, occupied, scale, room)
    window = ((area.left, area.low), (area.right, area.high))
    return View(f"step-{step.number}", scale, at, tuple(drawn), window)


def _drawn(cab: Cab, wall: Wall, step: Step, done: Collection[str], scale: float) -> Iterator[Shape]:
    here = {piece.part.mark for piece in step.pieces}
    width, height = float(wall.width), float(wall.height)
    for part in wall.parts:
        if part.mark not in here and part.visible is not None and part.kind != "handrail":
            yield Polyline("FAINT", corners(part.visible), True, "board" if part.mark in done else "", part.mark)
    for fixture in wall.fixtures:
        layer = "STEP" if step.kind == "fixtures" else "FAINT"
        yield Polyline(layer, corners(fixture.rect), True, "here" if step.kind == "fixtures" else "fixture")
    for part in wall.parts:
        if part.mark in here:
            yield from _bold(part)
    yield Polyline("FAINT", ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height)), True)
    yield Line("FLOOR", (-3.0 / scale, 0.0), (width + 3.0 / scale, 0.0))
    yield from _datums(cab, wall, scale)
    if step.drills:
        for thing in wall.obstructions:
            yield Polyline("HIDDEN", corners(thing.rect), True)
            yield Hatch("HATCH", (corners(thing.rect),), "obstruction")
    for line in step.lines:
        for fixing in line.fixings:
            yield Circle("DRILL", (float(fixing.x), float(fixing.y)), 0.9 / scale)
    if step.kind == "rail" and wall.rail is not None:
        for standoff in wall.rail.standoffs:
            yield Circle("DRILL", (float(standoff.x), float(standoff.y)), 1.6 / scale)
    heights = list(_heights(cab, wall, step, scale))
    yield from heights
    yield from _places(cab, wall, step, scale)
    figures = [shape.at[1] * scale for shape in heights if isinstance(shape, Text)]
    yield from _ends(cab, wall, scale, min([-4.5, *(figure - FIGURE - 2.0 for figure in figures if figure < 0.0)]))


def _bold(part: Part) -> Iterator[Shape]:
    """A part of the step: what shows of it, and dashed where a spline does not."""
    if part.visible is None:
        if part.body is not None:
            yield Polyline("HIDDEN", corners(part.body), True, "spline")
        return
    if part.cuts:
        for shape in part.shapes:
            yield Polyline("STEP", tuple((float(p.x), float(p.y)) for p in shape.outline), True, "here", part.mark)
            for hole in shape.holes:
                yield Polyline("STEP", tuple((float(p.x), float(p.y)) for p in hole), True, "paper")
    else:
        yield Polyline("STEP", corners(part.visible), True, "here", part.mark)


def _datums(cab: Cab, wall: Wall, scale: float) -> Iterator[Shape]:
    """The level line and the plumb line."""
    width, height = float(wall.width), float(wall.height)
    y, x = float(cab.site.level_line), width / 2
    if y < height:
        yield Line("CENTRE", (-2.0 / scale, y), (width + 2.0 / scale, y))
    yield Line("CENTRE", (x, -2.0 / scale), (x, height + 2.0 / scale))


def _heights(cab: Cab, wall: Wall, step: Step, scale: float) -> Iterator[Shape]:
    """Heights at the right from the floor, at the left from the level line: up with a plus, down with a minus."""
    size = cab.printing.size
    line = cab.site.level_line
    heights = sorted({height.y for height in step.heights})
    pairs: tuple[tuple[float, int, str, list[str]], ...] = (
        (float(wall.width), 1, "from floor", [size(y) for y in heights]),
        (0.0, -1, "from level", [signed(cab, y - line) for y in heights]),
    )
    for edge, way, caption, figures in pairs:
        wanted = [float(y) * scale for y in heights]
        middles = spread(wanted, [FIGURE + APART + 0.6] * len(wanted))
        for y, middle, figure in zip(wanted, middles, figures, strict=True):
            start, bend = edge + way * 1.0 / scale, edge + way * 6.0 / scale
            foot = (edge + way * 8.0 / scale, middle / scale)
            yield Line("DIMENSION", (start, y / scale), (bend, y / scale))
            yield Line("DIMENSION", (bend, y / scale), foot)
            at = (foot[0] + way * 0.8 / scale, foot[1])
            yield Text("DIMENSION", at, figure, FIGURE, "left" if way > 0 else "right", "middle")
        if heights:
            at = (edge + way * 8.8 / scale, (middles[-1] + 4.5) / scale)
            yield Text("DIMENSION", at, caption, 1.8, "left" if way > 0 else "right")


def signed(cab: Cab, length: Length) -> str:
    """A distance from a datum with its sign."""
    if not length:
        return "0"
    return ("+" if length > ZERO else "−") + cab.printing.size(abs(length))


def _places(cab: Cab, wall: Wall, step: Step, scale: float) -> Iterator[Shape]:
    """Distances from the plumb line, upright over the wall, as many as there is room for; the table has them all."""
    xs = sorted({place.x for place in step.across})
    xs = [xs[index] for index in shown(len(xs), float(wall.width) * scale + 24.0, FIGURE + APART + 0.6)]
    size, middle, edge = cab.printing.size, wall.width / 2, float(wall.height)
    wanted = [float(x) * scale for x in xs]
    found = spread(wanted, [FIGURE + APART + 0.6] * len(wanted))
    for x, at, length in zip(wanted, found, xs, strict=True):
        start, bend, foot = edge + 1.5 / scale, edge + 4.0 / scale, edge + 7.0 / scale
        yield Line("DIMENSION", (x / scale, start), (x / scale, bend))
        yield Line("DIMENSION", (x / scale, bend), (at / scale, foot))
        figure = size(abs(length - middle))
        yield Text("DIMENSION", (at / scale, foot + 0.8 / scale + _half(figure) / scale), figure, FIGURE, "centre",
                   "middle", 90.0)  # fmt: skip


def _half(words: str) -> float:
    return text_width(words, FIGURE) / 2


def _ends(cab: Cab, wall: Wall, scale: float, low: float) -> Iterator[Shape]:
    """What stands at each end of the wall, under it; so `low`, in paper mm, where it reaches the figures."""
    names = cab.neighbours(wall.name)
    words = {"front": "FRONT", "rear": "REAR"}
    left, right = (words.get(name, f"{name} wall") for name in names)
    wide = text_width(left, 2.5, left.isupper()) + text_width(right, 2.5, right.isupper()) + 4.0
    spare = max(0.0, (wide - float(wall.width) * scale) / 2) / scale
    y = (low if spare * scale > 7.0 else -4.5) / scale
    yield Text("TEXT", (-spare, y), left, 2.5, "left", "middle", 0.0, left.isupper())
    yield Text("TEXT", (float(wall.width) + spare, y), right, 2.5, "right", "middle", 0.0, right.isupper())


def _numbers(step: Step, occupied: Occupied, scale: float, room: Box) -> list[Shape]:
    """The number of each part in the order in which they go on, on it or beside it with a leader.

    A spline and the strip over it, which go on together, are numbered together.
    """
    found: list[Shape] = []
    groups: list[tuple[Part, list[str]]] = []
    for number, piece in enumerate(step.pieces, 1):
        part = piece.part
        if groups and part.kind.endswith("-reveal") and _covers(part, groups[-1][0]):
            groups[-1] = (part, [*groups[-1][1], str(number)])
        else:
            groups.append((part, [str(number)]))
    # What has room for its number within itself comes first.
    for part, numbers in sorted(groups, key=lambda group: group[0].kind not in ("panel", *BOARD_BANDS)):
        rect = _seen(part)
        if rect is not None:
            found += _number(occupied, ", ".join(numbers), rect, scale, room)
    return found


def _covers(strip: Part, spline: Part) -> bool:
    """Whether a strip lies over a spline: in the middle of it, along its joint."""
    if not spline.kind.endswith("-spline") or strip.body is None or spline.body is None:
        return False
    over, under = strip.body.centre, spline.body.centre
    return over.x == under.x if strip.kind == "vertical-reveal" else over.y == under.y


def _seen(part: Part) -> Rect | None:
    return part.visible or part.body


def _number(occupied: Occupied, words: str, rect: Rect, scale: float, room: Box) -> list[Shape]:
    x0, y0, x1, y1 = float(rect.x), float(rect.y), float(rect.right), float(rect.top)
    box = (x0, y0, x1, y1)
    for height in (NUMBER, 3.5, 2.5):
        spots = [(x0 + (x1 - x0) * a, y0 + (y1 - y0) * b) for b in _SHARES for a in _SHARES]
        options = ((Text("MARK", spot, words, height, "centre", "middle", 0.0, True),) for spot in spots)
        if placed := occupied.place(options, box):
            return list(placed)
    # Beside a thin part, from a point on it, where the leader meets no text.
    for share in (0.3, 0.7, 0.2, 0.8, 0.4, 0.6, 0.1, 0.9, 0.5, 0.04, 0.96):
        point = (x0 + (x1 - x0) * share, y0 + (y1 - y0) * share)
        if x1 - x0 > y1 - y0:
            point = (point[0], (y0 + y1) / 2)
        else:
            point = ((x0 + x1) / 2, point[1])
        (x, y), dot = point, DOT / scale
        if occupied.meets_text(((x - dot, y), (x + dot, y))) or occupied.meets_text(((x, y - dot), (x, y + dot))):
            continue
        for away, high in _AWAY:
            for dx, dy in _WAYS:
                middle = (point[0] + dx * away / scale, point[1] + dy * away / scale)
                text = Text("MARK", middle, words, high, "centre", "middle", 0.0, True)
                box = text_box(text, scale)
                if not inside(box, room) or occupied.meets_text((point, middle)):
                    continue
                if placed := occupied.place([(text,)], room):
                    foot = _short_of(point, middle, _clear_of(text, (dx, dy)) / scale)
                    leader = (Line("LEADER", point, foot), Circle("LEADER", point, DOT / scale, "solid"))
                    occupied.add(leader)
                    return [*placed, *leader]
    return []


#: How far from a part its number stands, in paper mm, and how high it is.
_AWAY = (
    *((away, 3.5) for away in (4.0, 6.0, 8.5, 11.0, 14.0)),
    *((away, 2.5) for away in (3.0, 4.0, 5.5, 7.5, 10.0, 13.0, 16.0, 20.0, 25.0, 31.0)),
)
_SHARES = (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9)
_WAYS: Sequence[XY] = (
    (1, 0), (-1, 0), (0, 1), (0, -1), (0.7, 0.7), (-0.7, 0.7), (0.7, -0.7), (-0.7, -0.7),
    (0.4, 0.9), (-0.4, 0.9), (0.4, -0.9), (-0.4, -0.9), (0.9, 0.4), (-0.9, 0.4), (0.9, -0.4), (-0.9, -0.4),
)  # fmt: skip


def _clear_of(text: Text, way: XY) -> float:
    """How far from a text's middle, in paper mm, a leader must stop that comes from the opposite way."""
    x0, y0, x1, y1 = text_box(text)
    half_wide, half_high = (x1 - x0) / 2 + 0.5, max(y1 - text.at[1], text.at[1] - y0) + 0.5
    far = hypot(*way)
    reaches = [half / abs(part / far) for half, part in ((half_wide, way[0]), (half_high, way[1])) if part]
    return min(reaches)


def _short_of(start: XY, end: XY, by: float) -> XY:
    """A point on the way from one to the other, short of its end."""
    far = hypot(end[0] - start[0], end[1] - start[1])
    share = max(0.0, 1 - by / far) if far else 0.0
    return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share


def trims_view(cab: Cab, step: Step, area: Area) -> View:
    """The trims of a step side by side where they stand, at one scale, with their lengths."""
    front = cab.front if step.kind == "front-trims" else None
    cut = front.cut if front is not None and front.cut is not None else ZERO
    places: dict[str, list[tuple[int, Piece, float]]] = {}
    for number, piece in enumerate(step.pieces, 1):
        low = float(cut) if piece.part.order == 2 else 0.0
        places.setdefault(piece.part.wall, []).append((number, piece, low))
    high = max(low + float(piece.height) for found in places.values() for _, piece, low in found)
    scale = (area.height - 12.0) / high
    pitch = area.width / len(places) / scale
    shapes: list[Shape] = [Line("FLOOR", (0.0, 0.0), (pitch * len(places), 0.0))]
    for index, found in enumerate(places.values()):
        x = pitch * (index + 0.5)
        for number, piece, low in found:
            shapes += _trim(cab, number, piece, (x, low), scale)
    window = ((area.left, area.low), (area.right, area.high))
    return View(f"step-{step.number}", scale, (area.left, area.low + 6.0), tuple(shapes), window)


def _trim(cab: Cab, number: int, piece: Piece, at: XY, scale: float) -> list[Shape]:
    """One trim upright, its number and mark at its left, its length at its right."""
    x, low = at
    wide, long = max(float(piece.width), 4.0 / scale), float(piece.height)
    box = Rect(Length(Fraction(x - wide / 2)), Length(Fraction(low)), Length(Fraction(wide)), piece.height)
    room = long * scale - 2.0
    mark, mark_size = fitted(f"{number}  {piece.mark}", room, 3.5, True)
    figure, figure_size = fitted(cab.printing.size(piece.height), room, 3.5)
    middle, off = low + long / 2, wide / 2 + 4.0 / scale
    return [
        Polyline("STEP", corners(box), True, "here", piece.mark),
        Text("MARK", (x - off, middle), mark, mark_size, "centre", "middle", 90.0, True),
        Text("DIMENSION", (x + off, middle), figure, figure_size, "centre", "middle", 90.0),
    ]

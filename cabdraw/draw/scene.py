"""One wall as a customer would see it: its parts in their finishes, with light and shadow; no lines, no sizes."""

from __future__ import annotations

from collections.abc import Iterator
from math import cos, pi, sin

from cabdraw.cab import Cab, Part, Rect, Wall
from cabdraw.draw.shapes import RGB, XY, Gradient, Painted, Shape, Strands
from cabdraw.draw.textures import BLACK, LAYER, WHITE, Box, area, shade, texture
from cabdraw.finish import Finish

#: What a part without a finish of its own is shown in.
_BARE: dict[str, Finish] = {
    "board": Finish("", "", None, (226, 222, 214), "", "plain", None),
    "metal": Finish("", "", None, (196, 199, 201), "", "brushed", None),
}
#: The bare shell, dark in the gaps round the panelling.
SHELL: RGB = (52, 53, 55)
#: How far floor and ceiling are shown, and how far past the ends of the wall, in mm.
FLOOR, CEILING, BEYOND = 120.0, 90.0, 95.0
_LONG_SIDE = 2.0


def box(rect: Rect) -> Box:
    """A rectangle of a wall in mm."""
    return float(rect.x), float(rect.y), float(rect.right), float(rect.top)


def scene(cab: Cab, wall: Wall) -> list[Shape]:
    """Everything of a wall that is painted, from the back to the front."""
    shapes: list[Shape] = [*_room(cab, wall)]
    for part in wall.parts:
        if part.visible is not None and part.kind in ("vertical-reveal", "horizontal-reveal"):
            shapes += _reveal(cab, part)
    for part in wall.parts:
        if part.visible is None or part.kind in ("vertical-reveal", "horizontal-reveal", "handrail"):
            continue
        shapes += _board(cab, part)
    shapes += _falls(wall)
    shapes += _corners(cab, wall)
    for fixture in wall.fixtures:
        shapes += _fixture(box(fixture.opening), box(fixture.rect))
    shapes += _light(wall)
    shapes += _rail(cab, wall)
    return shapes


def _finish(cab: Cab, part: Part) -> Finish:
    metal = part.kind in ("base", "frieze", "vertical-reveal", "horizontal-reveal", "handrail")
    return cab.finish(part) or _BARE["metal" if metal else "board"]


def _down(top: float, low: float, left: float, *stops: RGB) -> Gradient:
    return Gradient((left, top), (left, low), tuple((i / (len(stops) - 1), stop) for i, stop in enumerate(stops)))


def _room(cab: Cab, wall: Wall) -> Iterator[Shape]:
    """Floor and ceiling, the bare shell, and the ends of the walls on either side."""
    width, height = float(wall.width), float(wall.height)
    ends = cab.neighbours(wall.name)
    left, right = -BEYOND, width + BEYOND
    yield area((left, -FLOOR, right, 0.0), _down(0.0, -FLOOR, 0.0, (148, 146, 143), (196, 194, 191), (246, 245, 244)))
    yield area((left, height, right, height + CEILING), _down(height + CEILING, height, 0.0, (252, 252, 251), WHITE,
                                                              (232, 231, 229)))  # fmt: skip
    for way, start, far in ((0, 0.0, left), (1, width, right)):
        run = Gradient((start, 0.0), (far, 0.0), ((0.0, (206, 204, 201)), (1.0, (248, 247, 246))))
        yield area((min(start, far), 0.0, max(start, far), height), run)
        if ends[way] == "front":
            yield area((min(start, far), 0.0, max(start, far), height), (178, 182, 185), 0.35)
    yield area((0.0, 0.0, width, height), SHELL)


def _corners(cab: Cab, wall: Wall) -> Iterator[Shape]:
    """The panelling of the walls at either end, edge on, with the trim between, and the shade in each corner."""
    width, height = float(wall.width), float(wall.height)
    for end, name in enumerate(cab.neighbours(wall.name)):
        other = cab.walls.get(name)  # type: ignore[call-overload]
        if other is None:
            continue
        deep = float(other.projection)
        inner, outer = (deep, 0.0) if end == 0 else (width - deep, width)
        trim = cab.finish_on(wall.name, "trim")
        side = "left" if (wall.name, end) in (("back", 0), ("left", 1)) else "right"
        if trim is not None and any(part.mark == f"corner-trim-{side}" for part in cab.trims):
            row = float(wall.margins[0]) if end == 0 else float(wall.row_end)
            tone = shade(trim.colour, -0.5)
            yield area((min(inner, row), 0.0, max(inner, row), height), tone)
        for band in other.bands:
            finish = cab.finish_on(other.name, band.kind)
            if band.kind == "gap" or not band.height:
                continue
            colour = (finish or _BARE["board"]).colour
            run = Gradient((inner, 0.0), (outer, 0.0), ((0.0, shade(colour, -0.42)), (1.0, shade(colour, -0.16))))
            yield area((min(inner, outer), float(band.y), max(inner, outer), float(band.top)), run)
        way = 1.0 if end == 0 else -1.0
        for near, far, opacity in _fading(190.0, 0.2):
            a, b = inner + way * near, inner + way * far
            yield area((min(a, b), 0.0, max(a, b), height), BLACK, opacity)


def _board(cab: Cab, part: Part) -> Iterator[Shape]:
    """A panel, a band, a base or a frieze: its finish, and an edge of light above and of shade below."""
    assert part.visible is not None
    left, low, right, high = box(part.visible)
    if high - low < 0.5:
        return
    finish = _finish(cab, part)
    # Panels and boards keep the grain that the layout gives them; metal is brushed along its length.
    upright = part.grain == "vertical" if part.grain in ("vertical", "horizontal") else high - low > right - left
    yield from texture(finish, (left, low, right, high), upright, part.mark)
    edge = min(_LONG_SIDE, (high - low) / 8)
    yield area((left, high - edge, right, high), WHITE, 0.35)
    yield area((left, low, left + edge * 0.7, high), WHITE, 0.18)
    yield area((left, low, right, low + edge), BLACK, 0.28)
    yield area((right - edge * 0.7, low, right, high), BLACK, 0.2)


def _reveal(cab: Cab, part: Part) -> Iterator[Shape]:
    """A strip that lies deeper than the panels: darker, and in their shadow at its edges."""
    assert part.visible is not None
    left, low, right, high = box(part.visible)
    finish = _finish(cab, part)
    own = finish.colour
    level = right - left > high - low
    dark, mid = shade(own, -0.55), shade(own, -0.18)
    if level:
        run = _down(high, low, left, dark, shade(own, -0.4), mid, shade(own, 0.06))
    else:
        stops = ((0.0, dark), (0.35, mid), (0.7, mid), (1.0, shade(own, -0.4)))
        run = Gradient((left, low), (right, low), stops)
    yield area((left, low, right, high), run)


def _fading(reach: float, most: float) -> Iterator[tuple[float, float, float]]:
    """Slices side by side over a distance, each with its near and far end and an opacity that falls to nothing."""
    count = 22
    for i in range(count):
        yield reach * i / count, reach * (i + 1) / count, round(most * (1 - (i + 0.5) / count) ** 2, 4)


def _falls(wall: Wall) -> Iterator[Shape]:
    """The shadow that falls from the ceiling, and the dark under the base."""
    left, right = float(wall.margins[0]), float(wall.row_end)
    top = max(float(band.top) for band in wall.bands if band.kind != "gap")
    for near, far, opacity in _fading(90.0, 0.16):
        yield area((left, top - far, right, top - near), BLACK, opacity)
    for band in wall.bands:
        if band.kind == "base":
            for near, far, opacity in _fading(30.0, 0.16):
                yield area((left, float(band.y) + near, right, float(band.y) + far), BLACK, opacity)


def _light(wall: Wall) -> Iterator[Shape]:
    """Light from the ceiling, stronger above than below."""
    height = float(wall.height)
    run = _down(height, 0.0, 0.0, (255, 250, 240), (255, 250, 240), (128, 126, 124), BLACK)
    yield area((0.0, 0.0, float(wall.width), height), run, 0.09)


def _fixture(opening: Box, plate: Box) -> Iterator[Shape]:
    """What stands on the wall and stays, as a plain plate, with the joint that the panelling leaves round it."""
    if opening != plate:
        yield area(opening, SHELL)
    left, low, right, high = plate
    for i in range(4):
        off = 2.0 + i * 2.5
        yield area((left + off * 0.4, low - off, right + off * 0.6, high - off), BLACK, 0.07)
    plate_finish = Finish("plate", "", None, (202, 205, 207), "", "brushed", None)
    yield from texture(plate_finish, plate, True, "plate")
    for inset, tone, opacity in ((0.0, BLACK, 0.35), (2.0, WHITE, 0.6)):
        outer = _ring(plate, inset)
        yield Painted(LAYER, (outer, _ring(plate, inset + 2.0)), tone, opacity)


def _ring(frame: Box, inset: float) -> tuple[XY, ...]:
    left, low, right, high = frame
    return (
        (left + inset, low + inset),
        (right - inset, low + inset),
        (right - inset, high - inset),
        (left + inset, high - inset),
    )


def rounded(frame: Box, radius: float) -> tuple[XY, ...]:
    """A box with round corners."""
    left, low, right, high = frame
    points: list[XY] = []
    centres = ((right - radius, high - radius), (left + radius, high - radius), (left + radius, low + radius),
               (right - radius, low + radius))  # fmt: skip
    for quarter, (x, y) in enumerate(centres):
        for step in range(7):
            angle = (quarter + step / 6) * pi / 2
            points.append((x + radius * cos(angle), y + radius * sin(angle)))
    return tuple(points)


def _disc(centre: XY, radius: float) -> tuple[XY, ...]:
    turns = (2 * pi * i / 36 for i in range(36))
    return tuple((centre[0] + radius * cos(turn), centre[1] + radius * sin(turn)) for turn in turns)


def _rail(cab: Cab, wall: Wall) -> Iterator[Shape]:
    """The handrail before the wall: its shadow below, its standoffs, and the light along a round bar or a flat one."""
    rail = wall.rail
    if rail is None:
        return
    part = next(part for part in wall.parts if part.kind == "handrail")
    finish = _finish(cab, part)
    own = finish.colour
    left, right, y = float(rail.x), float(rail.right), float(rail.y)
    half, off = float(rail.height) / 2, float(rail.standoff)
    drop = off * 0.75
    for grow in (11.0, 8.0, 5.5, 3.0, 1.0, -1.5):
        frame = (left - grow + drop * 0.2, y - half - drop - grow, right + grow + drop * 0.2, y + half - drop + grow)
        yield Painted(LAYER, (rounded(frame, max(1.0, half + grow) * 0.9),), BLACK, 0.06)
    radius = float(rail.flange or rail.hole * 2) / 2
    for standoff in rail.standoffs:
        x = float(standoff.x)
        for grow in (4.0, 2.0, 0.0):
            yield Painted(LAYER, (_disc((x + drop * 0.1, y - drop * 0.5), radius + grow),), BLACK, 0.08)
        yield Painted(LAYER, (_disc((x, y), radius),), shade(own, -0.3))
    frame = (left, y - half, right, y + half)
    if rail.shape == "round":
        tones = (-0.22, 0.12, 0.72, 0.3, -0.05, -0.3, -0.52, -0.34)
        ring = rounded(frame, half * 0.35)
    else:
        tones = (0.55, 0.22, 0.12, 0.04, -0.04, -0.1, -0.16, -0.4)
        ring = rounded(frame, half * 0.08)
    yield Painted(LAYER, (ring,), _down(y + half, y - half, left, *(shade(own, tone) for tone in tones)))
    lines = tuple(((left + 3, y + half * place), (right - 3, y + half * place)) for place in (0.62, 0.2, -0.3, -0.6))
    if finish.texture == "brushed":
        yield Strands(LAYER, lines, shade(own, -0.4), 0.5, 0.2)
    # The turned ends of the bar catch less light.
    for inner, outer in ((left + half * 0.35, left), (right - half * 0.35, right)):
        yield Painted(LAYER, (rounded((min(inner, outer), y - half, max(inner, outer), y + half), half * 0.16),),
                      BLACK, 0.18)  # fmt: skip

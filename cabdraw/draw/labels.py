"""Marks, names and grain arrows in a view, each where it touches nothing that is drawn already."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product

from cabdraw.cab import TIERS, Cab, Part, Rect, Wall
from cabdraw.draw.measure import text_width
from cabdraw.draw.occupied import Box, Occupied
from cabdraw.draw.shapes import XY, Circle, Line, Polyline, Shape, Text
from cabdraw.draw.style import NOTE
from cabdraw.draw.title import SMALL
from cabdraw.rational import Fraction
from cabdraw.units import ZERO, mm

#: Paper mm kept between a label and the edge of what it stands in.
LABEL_EDGE = 0.6
#: Characters of a name that stand on a drawing.
LONGEST_NAME = 30
#: The ways in which a label is tried beside what it names, the best looking first.
WAYS: tuple[tuple[float, float], ...] = (
    (1, 1), (-1, 1), (1, -1), (-1, -1), (0, 1), (0, -1), (1, 0), (-1, 0), (1, 0.5), (-1, 0.5), (1, -0.5), (-1, -0.5),
)  # fmt: skip
#: Paper mm over a rail within which its mark stands.
NEAR_RAIL = 6.0


def _short(name: str) -> str:
    """A name as it stands on a drawing, cut where it is longer than any label should be."""
    return name if len(name) <= LONGEST_NAME else f"{name[: LONGEST_NAME - 1].rstrip()}…"


def _stacked(
    layer: str, at: XY, lines: Sequence[str], height: float, scale: float, angle: float = 0.0
) -> tuple[Text, ...]:
    """Lines of text one under another, centred on a point."""
    step = height * 1.8 / scale
    texts = []
    for i, line in enumerate(lines):
        off = ((len(lines) - 1) / 2 - i) * step
        where = (at[0] - off, at[1]) if angle else (at[0], at[1] + off)
        texts.append(Text(layer, where, line, height, "centre", "middle", angle))
    return tuple(texts)


def _spots(box: tuple[float, float, float, float], scale: float, step: float = 2.0) -> Iterator[XY]:
    """Points in a box to try for a label: its middle first, then up and down, then to the sides."""
    x0, y0, x1, y1 = box
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    pitch = step / scale
    for across in (0.0, -0.25, 0.25, -0.36, 0.36):
        x = middle[0] + across * (x1 - x0)
        yield x, middle[1]
        for i in range(1, int((y1 - y0) / 2 / pitch) + 1):
            yield x, middle[1] + i * pitch
            yield x, middle[1] - i * pitch


def _label(
    occupied: Occupied, layer: str, rect: Rect, variants: Sequence[Sequence[str]], scale: float
) -> tuple[Text, ...]:
    """A label inside a rectangle, as large and as level as there is room for; () where there is none."""
    edge = LABEL_EDGE / scale
    box = (float(rect.x) + edge, float(rect.y) + edge, float(rect.right) - edge, float(rect.top) - edge)
    for angle in (0.0, 90.0):
        for lines in variants:
            for height in (NOTE, SMALL):
                options = (_stacked(layer, spot, lines, height, scale, angle) for spot in _spots(box, scale))
                if placed := occupied.place(options, box):
                    return placed
    return ()


def _beside(
    occupied: Occupied, layer: str, rect: Rect, lines: Sequence[str], scale: float, within: Box | None
) -> list[Shape]:
    """A label near a rectangle that it does not fit into, with a leader to it."""
    centre = (float(rect.x + rect.right) / 2, float(rect.y + rect.top) / 2)
    for height, away, (dx, dy) in product((NOTE, SMALL), (10.0, 16.0, 24.0, 34.0, 46.0, 60.0, 75.0, 90.0), WAYS):
        at = (centre[0] + dx * away / scale * 1.4, centre[1] + dy * away / scale)
        half = len(lines) * height * 0.9 / scale + 0.6 / scale
        foot = (at[0], at[1] - half if dy > 0 else at[1] + half)
        if dy == 0:
            wide = max(text_width(line, height) for line in lines) / 2 / scale + 0.8 / scale
            foot = (at[0] - dx * wide, at[1])
        if occupied.meets_text((centre, foot)):
            continue
        if placed := occupied.place([_stacked(layer, at, lines, height, scale)], within):
            leader = Line("TEXT", centre, foot)
            occupied.add([leader])
            return [*placed, leader, Circle("TEXT", centre, 0.5 / scale, "solid")]
    return []


def labels(cab: Cab, wall: Wall, drawn: Sequence[Shape], scale: float, within: Box | None = None) -> list[Shape]:
    """Marks, sizes and grain arrows, and the names of fixtures and obstructions, where each touches nothing.

    `within` is the area, in the axes of the wall, that labels beside the wall must not leave.
    """
    occupied = Occupied(scale)
    occupied.add(drawn)
    size = cab.printing.size
    found: list[Shape] = []
    for fixture in wall.fixtures:
        rect = fixture.rect
        measures = f"{size(rect.width)} × {size(rect.height)}"
        lines = [_short(fixture.what), measures, f"{size(rect.x)} from left", f"{size(rect.y)} up"]
        placed = _label(occupied, "TEXT", rect, [lines, lines[:2], lines[:1]], scale)
        found += placed or _beside(occupied, "TEXT", rect, lines[:1], scale, within)
    for thing in wall.obstructions:
        name = _short(thing.what)
        words = f"{name}, behind shell"
        inside = _label(occupied, "HIDDEN", thing.rect, [[words]], scale)
        found += inside or _beside(occupied, "HIDDEN", thing.rect, [name, "behind shell"], scale, within)
    # Panels come first to the room that there is: each must have its mark.
    for part in sorted(wall.parts, key=lambda part: part.tier not in TIERS):
        if part.visible is None or part.kind in ("vertical-reveal", "horizontal-reveal", "handrail"):
            continue
        measures = f"{size(part.visible.width)} × {size(part.visible.height)}"
        variants = [[part.mark, measures], [part.mark]] if part.tier in TIERS else [[part.mark]]
        placed = _label(occupied, "MARK", part.visible, variants, scale)
        found += placed or _beside(occupied, "MARK", part.visible, [part.mark], scale, within)
        if part.tier in TIERS and part.grain in ("vertical", "horizontal"):
            found += _grain(occupied, part, scale)
        if (finish := cab.finish(part)) is not None:
            found += _finish_tag(occupied, part.visible, finish.code, scale)
    if wall.rail is not None:
        found += _label(occupied, "MARK", _above_rail(wall, scale), [[f"rail-{wall.name}"]], scale)
    return found


def _finish_tag(occupied: Occupied, rect: Rect, code: str, scale: float) -> list[Shape]:
    """The code of a part's finish in a small box in one of its corners, so that finishes differ without colour too."""
    wide, high, edge = (text_width(code, SMALL) + 1.8) / scale, 3.6 / scale, 1.2 / scale
    left, low, right, top = float(rect.x), float(rect.y), float(rect.right), float(rect.top)
    if right - left < wide + 2 * edge or top - low < high + 2 * edge:
        return []
    level = (low + top - high) / 2
    corners = ((right - edge - wide, low + edge), (left + edge, low + edge), (right - edge - wide, top - edge - high),
               (left + edge, top - edge - high), (right - edge - wide, level), (left + edge, level))  # fmt: skip
    for x, y in corners:
        box = (x, y, x + wide, y + high)
        if occupied.free(box):
            outline = ((x, y), (x + wide, y), (x + wide, y + high), (x, y + high))
            middle = (x + wide / 2, y + high / 2)
            tag: list[Shape] = [
                Polyline("GRAIN", outline),
                Text("MARK", middle, code, SMALL, "centre", "middle"),
            ]
            occupied.add(tag)
            return tag
    return []


def _above_rail(wall: Wall, scale: float) -> Rect:
    assert wall.rail is not None
    rail = wall.rail
    band = wall.band(rail.through)
    assert band is not None
    low = rail.y + rail.height / 2
    high = min(band.top, low + mm(Fraction(NEAR_RAIL / scale)))
    return Rect(rail.x, low, rail.length, max(high - low, ZERO))


def _grain(occupied: Occupied, part: Part, scale: float) -> list[Shape]:
    """A double arrow along the grain, a third of the way up the panel or where there is room."""
    assert part.visible is not None
    rect = part.visible
    upright = part.grain == "vertical"
    along = rect.height if upright else rect.width
    half = min(12.0 / scale, float(along) * 0.6) / 2
    barb = 1.6 / scale
    box = (float(rect.x), float(rect.y), float(rect.right), float(rect.top))
    for x, y in _grain_spots(box):
        a, b = ((x, y - half), (x, y + half)) if upright else ((x - half, y), (x + half, y))
        wide = (min(a[0], b[0]) - barb, min(a[1], b[1]) - barb, max(a[0], b[0]) + barb, max(a[1], b[1]) + barb)
        if wide[0] < box[0] or wide[1] < box[1] or wide[2] > box[2] or wide[3] > box[3] or not occupied.free(wide):
            continue
        lines: list[Shape] = [Line("GRAIN", a, b)]
        for tip, sign in ((a, 1), (b, -1)):
            for side in (-0.5, 0.5):
                end = (
                    (tip[0] + side * barb, tip[1] + sign * barb)
                    if upright
                    else (tip[0] + sign * barb, tip[1] + side * barb)
                )
                lines.append(Line("GRAIN", tip, end))
        occupied.add(lines)
        return lines
    return []


def _grain_spots(box: tuple[float, float, float, float]) -> Iterator[XY]:
    x0, y0, x1, y1 = box
    for up in (0.25, 0.75, 0.15, 0.85, 0.5):
        for across in (0.5, 0.25, 0.75, 0.1, 0.9):
            yield x0 + (x1 - x0) * across, y0 + (y1 - y0) * up

"""Revision clouds: arcs round what a revision changed, each cloud with the revision's mark in a triangle."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import atan2, ceil, degrees, hypot, sqrt

from cabdraw.cab import Rect, Wall
from cabdraw.compare import Comparison
from cabdraw.draw.measure import ASCENT, text_box, text_width
from cabdraw.draw.occupied import Box, Occupied, crosses, inside, segments, texts
from cabdraw.draw.shapes import XY, Arc, Dimension, Line, Polyline, Shape, Sheet, Text, View
from cabdraw.draw.style import NOTE
from cabdraw.draw.words import fitted
from cabdraw.frozen import replace

LAYER = "REVISION"
#: What a cloud keeps from what it is round, and the length of its arcs, in paper mm; the first pair that meets no
#: text is taken.
_SIZES = ((1.4, 5.0), (1.0, 4.0), (0.6, 3.0), (0.3, 2.0), (0.2, 1.4))
#: Radius of an arc as a share of its chord: a little more than half, so that arcs meet at an angle.
_RADIUS = 0.56
#: Where the middle of the mark stands in its triangle, as a share of its height.
_MIDDLE = 0.37
#: Widest mark in paper mm that a triangle is drawn for.
_WIDEST = 14.0


def wall_clouds(
    comparison: Comparison, wall: Wall, drawn: Sequence[Shape], scale: float, within: Box | None = None
) -> list[Shape]:
    """The clouds of one wall's view, in its own mm: round parts and fixtures that changed, where removed ones stood,
    and round the dimensions of the wall's own sizes that changed. `drawn` is what the view holds already.
    """
    boxes = [_box(rect) for rect in comparison.on(wall.name)]
    figures = [
        text_box(text, scale) for dimension in changed_dimensions(comparison, wall, drawn) for text in texts(dimension)
    ]
    if wall.name not in comparison.old.walls:
        boxes, figures = [(0.0, 0.0, float(wall.width), float(wall.height))], []
    return clouds(boxes, comparison.mark, drawn, scale, figures, within)


def cloud_key(comparison: Comparison, view: View) -> list[tuple[str, str, str]]:
    """What the clouds of a view mean, as an entry of its key; none where it has no cloud."""
    if not any(shape.layer == LAYER for shape in view.shapes):
        return []
    mark = comparison.mark
    return [(LAYER, "", f"changed by revision {mark}" if mark else "changed")]


def revised(sheet: Sheet, comparison: Comparison) -> Sheet:
    """A sheet with clouds round every part that is outlined in its views by its mark, and that was added or altered."""
    changed = {change.mark for change in comparison.changes if change.what == "part" and change.kind != "removed"}
    views = []
    for view in sheet.views:
        outlined = [shape for shape in view.shapes if isinstance(shape, Polyline) and shape.mark in changed]
        boxes = [_bounds(shape.points) for shape in outlined]
        (left, low), (right, high) = view.window
        within = None
        if right > left and high > low:
            x, y = view.at
            s = view.scale
            within = ((left - x) / s, (low - y) / s, (right - x) / s, (high - y) / s)
        added = clouds(boxes, comparison.mark, view.shapes, view.scale, (), within)
        views.append(replace(view, shapes=(*view.shapes, *added)))
    return replace(sheet, views=tuple(views))


def _bounds(points: Sequence[XY]) -> Box:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def changed_dimensions(comparison: Comparison, wall: Wall, drawn: Iterable[Shape]) -> Iterator[Dimension]:
    """The dimensions of a view that give a size of the wall itself which changed."""
    altered = comparison.altered(wall.name)
    width, height = float(wall.width), float(wall.height)
    left, right = float(wall.margins[0]), float(wall.row_end)
    spans = {"width": ("x", 0.0, width), "height": ("y", 0.0, height), "margin left": ("x", 0.0, left),
             "margin right": ("x", right, width)}  # fmt: skip
    wanted = [span for field, span in spans.items() if field in altered]
    for shape in drawn:
        if isinstance(shape, Dimension):
            along = 0 if shape.axis == "x" else 1
            ends = sorted((shape.start[along], shape.end[along]))
            if any(axis == shape.axis and _near(ends, (low, high)) for axis, low, high in wanted):
                yield shape


def _near(a: Sequence[float], b: Sequence[float]) -> bool:
    return all(abs(one - other) < 1e-6 for one, other in zip(a, b, strict=True))


def _box(rect: Rect) -> Box:
    return float(rect.x), float(rect.y), float(rect.right), float(rect.top)


def clouds(
    boxes: Sequence[Box],
    mark: str,
    drawn: Sequence[Shape],
    scale: float,
    alone: Sequence[Box] = (),
    within: Box | None = None,
) -> list[Shape]:
    """Clouds round boxes in a view, those that nearly touch in one; `alone` are boxes that get a cloud each.

    Arcs cross no text of `drawn` where that can be, and each mark stands where it touches nothing, inside `within`.
    """
    if not boxes and not alone:
        return []
    found: list[Shape] = []
    words = [text_box(text, scale) for shape in drawn for text in texts(shape)]
    rings: list[tuple[XY, ...]] = []
    for cluster in _clusters(boxes, 3.0 / scale):
        rings += _clouded(cluster, words, scale, found)
    for box in alone:
        rings += _clouded([box], [word for word in words if not inside(word, box)], scale, found)
    occupied = Occupied(scale)
    occupied.add(drawn)
    occupied.add(found)
    for ring in rings:
        if mark and _turns_left(ring):
            found += _marked(ring, mark, occupied, words, scale, within)
    return found


def _clusters(boxes: Sequence[Box], near: float) -> list[list[Box]]:
    """The boxes in groups, each of those that lie within `near` of one another."""
    groups: list[list[Box]] = []
    for box in boxes:
        touching = [group for group in groups if any(_meet(_grown(box, near), other) for other in group)]
        merged = [box] + [other for group in touching for other in group]
        groups = [group for group in groups if group not in touching] + [merged]
    return [sorted(group) for group in groups]


def _meet(a: Box, b: Box) -> bool:
    return a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3]


def _clouded(boxes: Sequence[Box], words: Sequence[Box], scale: float, found: list[Shape]) -> list[tuple[XY, ...]]:
    """Add the arcs round a group of boxes; returns the rings that they follow.

    Where a text stands so close that even the smallest arcs would cross it, the cloud is open there.
    """

    def clear(arc: Arc) -> bool:
        return not any(crosses(stroke, word) for stroke in segments(arc, scale) for word in words)

    for gap, chord in _SIZES:
        rings = outlines([_grown(box, gap / scale) for box in boxes], 3.0 / scale)
        arcs = [arc for ring in rings for arc in scallops(ring, chord / scale)]
        if all(map(clear, arcs)):
            break
    found += (arc for arc in arcs if clear(arc))
    return rings


def outlines(boxes: Sequence[Box], bridge: float = 0.0) -> list[tuple[XY, ...]]:
    """The outlines of boxes taken together, outer ones anticlockwise, holes clockwise.

    A gap between two boxes no wider than `bridge` is taken as closed.
    """
    xs = sorted({x for box in boxes for x in (box[0], box[2])})
    ys = sorted({y for box in boxes for y in (box[1], box[3])})
    filled = {
        (i, j)
        for i in range(len(xs) - 1)
        for j in range(len(ys) - 1)
        for box in boxes
        if box[0] <= xs[i] and xs[i + 1] <= box[2] and box[1] <= ys[j] and ys[j + 1] <= box[3]
    }
    filled |= {
        (i, j)
        for i in range(len(xs) - 1)
        for j in range(len(ys) - 1)
        if (xs[i + 1] - xs[i] <= bridge and {(i - 1, j), (i + 1, j)} <= filled)
        or (ys[j + 1] - ys[j] <= bridge and {(i, j - 1), (i, j + 1)} <= filled)
    }
    # Each side of a filled cell that no other filled cell shares, with the inside on its left.
    after: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for i, j in sorted(filled):
        sides = (((i, j), (i + 1, j), (i, j - 1)), ((i + 1, j), (i + 1, j + 1), (i + 1, j)),
                 ((i + 1, j + 1), (i, j + 1), (i, j + 1)), ((i, j + 1), (i, j), (i - 1, j)))  # fmt: skip
        for start, end, beyond in sides:
            if beyond not in filled:
                after.setdefault(start, []).append(end)
    rings: list[tuple[XY, ...]] = []
    while after:
        first = min(after)
        corners, at, came = [], first, (0, 0)
        while True:
            ends = after[at]
            # Where two corners touch, turn left, so that each outline stays by itself.
            left = (at[0] - came[1], at[1] + came[0])
            to = left if left in ends and len(ends) > 1 else ends[0]
            ends.remove(to)
            if not ends:
                del after[at]
            way = (to[0] - at[0], to[1] - at[1])
            if way != came:
                corners.append(at)
            at, came = to, way
            if at == first:
                break
        rings.append(tuple((xs[i], ys[j]) for i, j in _straightened(corners)))
    return rings


def _straightened(corners: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Corners without a first one that lies in the middle of a side."""
    before, first, after = corners[-1], corners[0], corners[1]
    flat = (before[0] == first[0] == after[0]) or (before[1] == first[1] == after[1])
    return corners[1:] if flat else corners


def _turns_left(ring: tuple[XY, ...]) -> bool:
    pairs = zip(ring, (*ring[1:], ring[0]), strict=True)
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs) > 0


def scallops(ring: tuple[XY, ...], chord: float) -> Iterator[Arc]:
    """Arcs of about a chord's length along each side of a ring, bulging away from its inside."""
    for start, end in zip(ring, (*ring[1:], ring[0]), strict=True):
        length = hypot(end[0] - start[0], end[1] - start[1])
        count = max(1, ceil(length / chord - 0.5))
        step = ((end[0] - start[0]) / count, (end[1] - start[1]) / count)
        span = length / count
        radius = span * _RADIUS
        deep = sqrt(radius * radius - span * span / 4)
        left = (-step[1] / span, step[0] / span)
        for i in range(count):
            a = (start[0] + step[0] * i, start[1] + step[1] * i)
            b = (a[0] + step[0], a[1] + step[1])
            centre = ((a[0] + b[0]) / 2 + left[0] * deep, (a[1] + b[1]) / 2 + left[1] * deep)
            yield Arc(LAYER, centre, radius, _angle(centre, a), _angle(centre, b))


def _angle(centre: XY, point: XY) -> float:
    return round(degrees(atan2(point[1] - centre[1], point[0] - centre[0])) % 360, 9)


def _grown(box: Box, by: float) -> Box:
    return box[0] - by, box[1] - by, box[2] + by, box[3] + by


def _side_lost(side: float, height: float) -> float:
    """How much narrower a triangle is at the top of its text than at its foot, in paper mm."""
    return side * _MIDDLE + height * (ASCENT - 0.5) * 2 / sqrt(3)


def _marked(
    ring: tuple[XY, ...], mark: str, occupied: Occupied, words: list[Box], scale: float, within: Box | None
) -> list[Shape]:
    """The triangle with the mark near a cloud, with a line to it where it had to stand away; [] if nowhere is free."""
    text, height = fitted(mark, _WIDEST, NOTE, True)
    side = 8.0
    while side - _side_lost(side, height) < text_width(text, height, True) + 0.6:
        side += 0.5
    tall = side * sqrt(3) / 2
    for x, y, near in _spots(ring, side / scale, tall / scale, scale):
        box = (x - side / 2 / scale, y, x + side / 2 / scale, y + tall / scale)
        if not occupied.free(box) or (within is not None and not inside(box, within)):
            continue
        shapes: list[Shape] = [
            Polyline(LAYER, ((box[0], y), (box[2], y), (x, box[3])), True),
            Text(LAYER, (x, y + tall * _MIDDLE / scale), text, height, "centre", "middle", bold=True),
        ]
        foot = min(
            ((box[0], y), (box[2], y), (x, box[3])), key=lambda corner: hypot(corner[0] - near[0], corner[1] - near[1])
        )
        if hypot(foot[0] - near[0], foot[1] - near[1]) * scale > 4.0:
            leader = Line(LAYER, foot, near)
            if any(crosses((foot, near), _grown(word, 0.8 / scale)) for word in words):
                continue
            shapes.append(leader)
        occupied.add(shapes)
        words.append(box)
        return shapes
    return []


def _spots(ring: tuple[XY, ...], side: float, tall: float, scale: float) -> Iterator[tuple[float, float, XY]]:
    """Where a triangle may stand, the middle of its foot, with the point of the cloud that it belongs to.

    At a corner first, outside and then inside; then anywhere round the cloud, the nearest place first.
    """
    left, low, right, high = _bounds(ring)
    corners = sorted(ring, key=lambda point: (-(point[0] + point[1]), point))
    for out, inward in ((3.2 / scale, 2.0 / scale), (6.0 / scale, 5.0 / scale)):
        for corner in corners:
            across = 1 if corner[0] > (left + right) / 2 else -1
            up = corner[1] > (low + high) / 2
            x = corner[0] + across * (out + side / 2)
            y = corner[1] + (out if up else -out - tall)
            yield x, corner[1] - tall / 2, corner
            yield corner[0], y, corner
            yield x, y, corner
        for corner in corners:
            across = -1 if corner[0] > (left + right) / 2 else 1
            up = corner[1] > (low + high) / 2
            yield corner[0] + across * (inward + side / 2), corner[1] + (-inward - tall if up else inward), corner
    yield from _round_about((left, low, right, high), side, tall, scale)


def _round_about(ring: Box, side: float, tall: float, scale: float) -> Iterator[tuple[float, float, XY]]:
    """Places for a triangle round a box, up to 40 paper mm away, each with the nearest point of the box."""
    left, low, right, high = ring
    step, reach, bulge = 2.0 / scale, 40.0 / scale, 3.2 / scale
    places = []
    for i in range(int((right - left + 2 * reach) / step) + 1):
        x = left - reach + i * step
        for j in range(int((high - low + 2 * reach) / step) + 1):
            y = low - reach + j * step
            near = (min(max(x, left), right), min(max(y + tall / 2, low), high))
            away = max(left - x - side / 2, x - side / 2 - right, low - y - tall, y - high)
            if away >= bulge:
                far = hypot(x - near[0], y + tall / 2 - near[1])
                places.append((round(far * scale, 3), -x, -y, near))
    for _, x, y, near in sorted(places):
        yield -x, -y, near

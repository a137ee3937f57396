"""A part flat on the machine's bed: what is cut, drilled, bent and marked, each on a layer that says so.

Layers: OUTSIDE_CUT_THROUGH and INSIDE_CUT_THROUGH; DRILL_<diameter>_THROUGH; BEND_UP_<angle>,
BEND_DOWN_<angle>, HEM_UP and HEM_DOWN, lines on the flat; SAW_TO_LENGTH, the side view of a tube;
MARK_..., to engrave or to leave out; NOTE, NOTE_FACE and NOTE_BACK, texts. Sizes in layers' names are in
the file's unit. Nothing is cut along a MARK or a NOTE layer.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Sequence
from math import tan

from cabdraw.cab import Cab, Ring
from cabdraw.draw.loops import Corner, FlatDrawing, Loop
from cabdraw.draw.shapes import XY, Circle, Line, Text
from cabdraw.rational import Fraction
from cabdraw.shop.developed import Developed
from cabdraw.shop.grooves import Groove
from cabdraw.shop.parts import Hole, ShopPart
from cabdraw.units import INCH, Length, System, fixed_text

OUTSIDE, INSIDE, SAW = "OUTSIDE_CUT_THROUGH", "INSIDE_CUT_THROUGH", "SAW_TO_LENGTH"
NOTE, NOTE_FACE, NOTE_BACK = "NOTE", "NOTE_FACE", "NOTE_BACK"
UP, GRAIN, STANDOFF, UNBORED = "MARK_UP", "MARK_GRAIN", "MARK_STANDOFF", "MARK_HOLE_NOT_CLEARED"
#: Bulge of a quarter circle, clockwise.
_QUARTER = -tan(3.141592653589793 / 8)
#: What a groove's mark keeps from the core's edge, so that no line lies on another, in mm.
_INSIDE = 0.5
#: Greatest and least height of a text, in mm, and its width by its height (a plain drafting font).
_TALLEST, _LOWEST, _WIDE = 12.0, 1.5, 0.95


def flat(cab: Cab, part: ShopPart) -> FlatDrawing | None:
    """The part as it is cut; None for one that is bought."""
    if part.made == "bought":
        return None
    system = cab.printing.system
    width, height = float(part.core.width), float(part.core.height)
    tube = part.made == "bar" and cab.walls[part.wall].rail.shape == "round"  # type: ignore[index, union-attr]
    radius = float(cab.practice.corner_radius)
    shapes: list[Loop | Circle | Line | Text] = [Loop(SAW if tube else OUTSIDE, rounded(part.outline.outline, radius))]
    shapes += (Loop(INSIDE, rounded(hole, radius)) for hole in part.outline.holes)
    shapes += (_hole(hole, system, part.made == "bar") for hole in part.holes)
    shapes += _bends(part, part.developed) if part.developed is not None else ()
    shapes += (_groove(part, groove, system) for groove in part.grooves)
    shapes += _marks(part)
    shapes += _notes(cab, part)
    return FlatDrawing(part.mark, width, height, tuple(shapes))


def size_name(length: Length, system: System) -> str:
    """A size as it stands in a layer's name: 0.5000IN or 12.70MM."""
    return fixed_text(length.mm / INCH, 4) + "IN" if system == "inch" else fixed_text(length.mm, 2) + "MM"


def rounded(ring: Ring, radius: float) -> tuple[Corner, ...]:
    """A ring with the radius that a cutter leaves in the corners that it cannot reach into, the part on its left.

    Where a side is too short for two radii, the radius is half the side.
    """
    points = [(float(p.x), float(p.y)) for p in ring]
    corners: list[Corner] = []
    for n, (x, y) in enumerate(points):
        (x0, y0), (x1, y1) = points[n - 1], points[(n + 1) % len(points)]
        before, after = (x - x0, y - y0), (x1 - x, y1 - y)
        reach = [abs(before[0]) + abs(before[1]), abs(after[0]) + abs(after[1])]
        r = min(radius, reach[0] / 2, reach[1] / 2)
        if before[0] * after[1] - before[1] * after[0] >= 0 or r <= 0:
            corners.append((x, y, 0.0))
            continue
        a, b = r / reach[0], r / reach[1]
        corners.append((x - before[0] * a, y - before[1] * a, _QUARTER))
        corners.append((x + after[0] * b, y + after[1] * b, 0.0))
    return tuple(_apart(corners))


def _apart(corners: Sequence[Corner]) -> Iterator[Corner]:
    """The corners without a side of no length between two arcs that meet."""
    for n, corner in enumerate(corners):
        after = corners[(n + 1) % len(corners)]
        if corner[2] or abs(corner[0] - after[0]) + abs(corner[1] - after[1]) > 1e-9:
            yield corner


def box(layer: str, x0: float, y0: float, x1: float, y1: float) -> Loop:
    """An upright rectangle."""
    return Loop(layer, ((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0)))


def _hole(hole: Hole, system: System, on_rail: bool) -> Loop | Circle:
    at = (float(hole.x), float(hole.y))
    if hole.bored:
        return Circle(f"DRILL_{size_name(hole.diameter, system)}_THROUGH", at, float(hole.diameter) / 2)
    return _cross(STANDOFF if on_rail else UNBORED, at, max(float(hole.diameter) / 2, 5.0))


def _cross(layer: str, at: XY, arm: float) -> Loop:
    """A thin closed cross: a centre to see, and no circle that a drill could be sent to."""
    (x, y), t = at, 0.25
    return Loop(
        layer,
        tuple(
            (x + dx, y + dy, 0.0)
            for dx, dy in (
                (-t, -arm), (t, -arm), (t, -t), (arm, -t), (arm, t), (t, t),
                (t, arm), (-t, arm), (-t, t), (-arm, t), (-arm, -t), (-t, -t),
            )
        ),
    )  # fmt: skip


def angle_name(angle: Fraction) -> str:
    """An angle as it stands in a layer's name: 90 or 22.5."""
    return fixed_text(angle, 3).rstrip("0").rstrip(".")


def _bends(part: ShopPart, developed: Developed) -> Iterator[Line]:
    width, height = float(part.core.width), float(part.core.height)
    for line in developed.bends:
        if line.kind == "hem":
            layer = f"HEM_{line.direction.upper()}"
        else:
            layer = f"BEND_{line.direction.upper()}_{angle_name(line.angle)}"
        at = float(line.position)
        if part.along == "x":
            yield Line(layer, (0.0, at), (width, at))
        else:
            yield Line(layer, (at, 0.0), (at, height))


def _groove(part: ShopPart, groove: Groove, system: System) -> Loop:
    """Where an edge is grooved: from just inside the core's edge to the groove's bottom."""
    width, height = float(part.core.width), float(part.core.height)
    depth = groove.depth - (part.edge if groove.edge in part.banded else part.edge * 0)
    layer = f"MARK_EDGE_GROOVE_{size_name(depth, system)}_DEEP"
    deep = float(depth)
    upright = groove.edge in ("left", "right")
    lower, long = ("bottom", height) if upright else ("left", width)
    shift = float(part.edge) if lower in part.banded else 0.0
    low = max(0.0, float(groove.start) - shift) + _INSIDE
    high = min(long, float(groove.stop) - shift) - _INSIDE
    near = min(_INSIDE, deep / 4)
    if groove.edge == "left":
        return box(layer, near, low, deep, high)
    if groove.edge == "right":
        return box(layer, width - deep, low, width - near, high)
    if groove.edge == "bottom":
        return box(layer, low, near, high, deep)
    return box(layer, low, height - deep, high, height - near)


def _arrow(layer: str, at: XY, length: float, upright: bool, double: bool) -> Loop:
    """An arrow as a closed loop, its middle at a point; double is an arrow with two heads."""
    half, head = length / 2, length / 4
    t, w = length / 40, length / 8
    right = [(0.0, half), (w, half - head), (t, half - head)]
    if double:
        right += [(t, head - half), (w, head - half), (0.0, -half)]
        turned = [*right, (-w, head - half), (-t, head - half), (-t, half - head), (-w, half - head)]
    else:
        turned = [*right, (t, -half), (-t, -half), (-t, half - head), (-w, half - head)]
    return Loop(layer, tuple((at[0] + (x if upright else y), at[1] + (y if upright else -x), 0.0) for x, y in turned))


def _marks(part: ShopPart) -> Iterator[Loop]:
    """Which way is up, and which way the grain or the brushing runs."""
    width, height = float(part.core.width), float(part.core.height)
    length = min(60.0, width * 0.6, height * 0.6)
    spots = _spots(part, length, 1 if part.grain == "none" else 2)
    if spots:
        yield _arrow(UP, spots[0], length, True, False)
    if len(spots) > 1:
        yield _arrow(GRAIN, spots[1], length, part.grain == "vertical", True)


def _spots(part: ShopPart, size: float, count: int) -> list[XY]:
    """Places for marks of a size that no opening, hole or groove takes, from the middle outward."""
    width, height = float(part.core.width), float(part.core.height)
    taken = [
        (min(float(p.x) for p in ring), min(float(p.y) for p in ring),
         max(float(p.x) for p in ring), max(float(p.y) for p in ring))
        for ring in part.outline.holes
    ]  # fmt: skip
    around = [(float(h.x) - 10, float(h.y) - 10, float(h.x) + 10, float(h.y) + 10) for h in part.holes]
    found: list[XY] = []
    half = size / 2
    places = [(width * i / 12, height * j / 12) for i in range(1, 12) for j in range(1, 12)]
    for x, y in sorted(places, key=lambda p: (abs(p[0] / width - 0.5) + abs(p[1] / height - 0.5), p)):
        mine = (x - half, y - half, x + half, y + half)
        others = [*taken, *around, *((a - half, b - half, a + half, b + half) for a, b in found)]
        inside = half <= x <= width - half and half <= y <= height - half
        if inside and all(mine[2] < o[0] or o[2] < mine[0] or mine[3] < o[1] or o[3] < mine[1] for o in others):
            found.append((x, y))
            if len(found) == count:
                break
    return found


def _notes(cab: Cab, part: ShopPart) -> Iterator[Text]:
    face = "FACE SIDE, AS SEEN HERE"
    bent = part.developed is not None and part.developed.bends
    if bent:
        face += "; UP IS TOWARDS YOU"
    if part.square:
        face += "; SQUARE THE CORNERS OF THE OPENING BY HAND"
    if any(not hole.bored and hole.diameter.mm for hole in part.holes):
        face += "; HOLES NOT BORED: SPACE BEHIND THE SHELL NOT CLEARED"
    back = " ".join(
        plain(word)
        for word in (part.mark, part.class_id, cab.job.car, f"REV {cab.job.revision}" if cab.job.revision else "")
        if word
    )
    width, height = float(part.core.width), float(part.core.height)
    upright = height > 3 * width
    long, short = (height, width) if upright else (width, height)
    tall = max(_LOWEST, min(_TALLEST, short * 0.16, long * 0.9 / (_WIDE * max(len(face), len(back)))))
    for layer, text, share in ((NOTE_FACE, face, 0.14), (NOTE_BACK, f"ON THE BACK: {back}", 0.78)):
        tall = min(tall, max(_LOWEST, long * 0.9 / (_WIDE * len(text))))
        start = long * 0.05
        for at in sorted(float(hole.y if upright else hole.x) for hole in part.holes):
            # No text across a hole: on a narrow part it begins behind it.
            if short < 150 and start - 15 < at < start + _WIDE * tall * len(text) + 15:
                start = at + 15
        if upright:
            yield Text(layer, (width * (1 - share), start), text, tall, angle=90)
        else:
            yield Text(layer, (start, height * share), text, tall)


def plain(text: str) -> str:
    """A text in ASCII, as every machine's reader takes it: accents dropped, other signs as question marks."""
    return unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode() or "?"

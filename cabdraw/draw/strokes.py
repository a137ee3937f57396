"""What dimensions and hatches look like, as plain strokes, so that every format draws the same ones.

Strokes are in the coordinates of the view, in model mm; sizes given in paper mm are divided by its scale.
"""

from __future__ import annotations

from itertools import pairwise
from math import ceil, cos, radians, sin, sqrt

from cabdraw.draw.shapes import XY, Dimension, Hatch, Text
from cabdraw.draw.style import EXTENSION_GAP, EXTENSION_PAST, HATCHES, STROKE

Segment = tuple[XY, XY]
_NOTHING = 1e-9


def dimension_ends(dimension: Dimension) -> Segment:
    """The two ends of the dimension line."""
    if dimension.axis == "x":
        return (dimension.start[0], dimension.line), (dimension.end[0], dimension.line)
    return (dimension.line, dimension.start[1]), (dimension.line, dimension.end[1])


def extensions(dimension: Dimension, scale: float) -> tuple[Segment | None, Segment | None]:
    """The extension line of either end; None where it is not wanted or the point is within the gap of the line."""
    across = 1 if dimension.axis == "x" else 0
    found: list[Segment | None] = []
    for point, wanted in zip((dimension.start, dimension.end), dimension.extend, strict=True):
        away = dimension.line - point[across]
        gap, past = EXTENSION_GAP / scale, EXTENSION_PAST / scale
        if not wanted or abs(away) <= gap + _NOTHING:
            found.append(None)
            continue
        sign = 1.0 if away > 0 else -1.0
        near, far = point[across] + sign * gap, dimension.line + sign * past
        found.append(((point[0], near), (point[0], far)) if across else ((near, point[1]), (far, point[1])))
    return found[0], found[1]


def dimension_strokes(dimension: Dimension, scale: float) -> tuple[Segment, ...]:
    """The lines of a dimension: extension lines, dimension line, oblique strokes, leader."""
    first, last = dimension_ends(dimension)
    half = STROKE / scale / 2 / sqrt(2)
    # The stroke turns with the dimension line, as CAD programs draw it.
    lean = half if dimension.axis == "x" else -half
    strokes = [line for line in extensions(dimension, scale) if line]
    strokes.append((first, last))
    strokes.extend(((x - lean, y - half), (x + lean, y + half)) for x, y in (first, last))
    strokes.extend(pairwise(dimension.leader))
    return tuple(strokes)


def dimension_text(dimension: Dimension) -> Text:
    """The figure of a dimension, reading from the foot of the sheet."""
    return Text(dimension.layer, dimension.text_at, dimension.text, dimension.height, "centre", "middle")


def hatch_lines(hatch: Hatch, scale: float) -> tuple[Segment, ...]:
    """The lines of a hatch, clipped to its rings (even-odd); hatches of one pattern run on through a view."""
    lines: list[Segment] = []
    for angle, pitch in HATCHES[hatch.pattern]:
        lines.extend(_clipped(hatch.rings, angle, pitch / scale))
    return tuple(lines)


def _clipped(rings: tuple[tuple[XY, ...], ...], angle: float, pitch: float) -> list[Segment]:
    c, s = cos(radians(angle)), sin(radians(angle))
    edges: list[Segment] = []
    for ring in rings:
        turned = [(x * c + y * s, y * c - x * s) for x, y in ring]
        edges.extend((a, b) if a[1] < b[1] else (b, a) for a, b in pairwise((*turned, *turned[:1])) if a[1] != b[1])
    crossings: dict[int, list[float]] = {}
    for (x0, y0), (x1, y1) in edges:
        # Each edge owns its lower end and not its upper, so that a corner on a line counts once.
        for n in range(ceil(y0 / pitch), ceil(y1 / pitch)):
            crossings.setdefault(n, []).append(x0 + (x1 - x0) * (n * pitch - y0) / (y1 - y0))
    lines: list[Segment] = []
    for n in sorted(crossings):
        y = n * pitch
        marks = sorted(crossings[n])
        for left, right in zip(marks[::2], marks[1::2], strict=True):
            if right - left > _NOTHING:
                lines.append(((left * c - y * s, left * s + y * c), (right * c - y * s, right * s + y * c)))
    return lines

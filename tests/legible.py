"""What must hold on every sheet that anyone reads: nothing on top of a text, nothing outside the frame."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from cabdraw.draw.measure import text_box
from cabdraw.draw.occupied import Box, Segment, crosses, meet, segments, texts
from cabdraw.draw.shapes import XY, Circle, Dimension, Line, Polyline, Shape, Sheet, Text, View
from cabdraw.draw.style import LAYERS

#: Paper mm by which boxes may touch: what rounding of sizes and descenders that are not there leave.
TOUCH = 0.05
SMALLEST = 1.8


@dataclass(frozen=True)
class Word:
    """A text on the paper, and the shape it belongs to."""

    text: str
    box: Box
    shape: Shape
    stamp: bool


@dataclass(frozen=True)
class Stroke:
    """A straight stroke on the paper, and the shape it belongs to."""

    segment: Segment
    shape: Shape
    stamp: bool


def _is_page(sheet: Sheet) -> bool:
    """Whether a sheet is one page of a longer one, which overlaps the next."""
    return "-page-" in sheet.name


def _is_stamp(sheet: Sheet, view: View | None, shape: Shape) -> bool:
    """Whether a shape is part of the mark across a template that must not be drilled from."""
    if view is not None and view.name.endswith("-marks"):
        # Tiles are joined along these, also where a name is wider than any tile.
        return isinstance(shape, Line | Circle)
    drilling = view is not None and ("drill" in view.name or _is_page(sheet))
    return drilling and shape.layer == "CAUTION" and isinstance(shape, Text | Line)


def words(sheet: Sheet) -> list[Word]:
    """Every text of a sheet with its box on the paper; on a page of a longer sheet, those that show."""
    found = []
    for view, shape in sheet.shapes():
        scale, (dx, dy) = (view.scale, view.at) if view else (1.0, (0.0, 0.0))
        for text in texts(shape):
            if text.text:
                x0, y0, x1, y1 = text_box(text, scale)
                box = (x0 * scale + dx, y0 * scale + dy, x1 * scale + dx, y1 * scale + dy)
                if _is_page(sheet) and (box[0] < 0 or box[2] > sheet.width):
                    continue
                if view is not None and view.clip:
                    (left, low), (right, high) = view.window
                    box = (max(box[0], left), max(box[1], low), min(box[2], right), min(box[3], high))
                    if box[0] >= box[2] or box[1] >= box[3]:
                        continue
                found.append(Word(text.text, box, shape, _is_stamp(sheet, view, shape)))
    return found


def cut_off(segment: Segment, window: tuple[XY, XY]) -> Segment | None:
    """What of a segment a window shows; None where it shows nothing (Liang and Barsky's clipping)."""
    (ax, ay), (bx, by) = segment
    enter, leave = 0.0, 1.0
    (left, down), (right, up) = window
    for start, delta, low, high in ((ax, bx - ax, left, right), (ay, by - ay, down, up)):
        if abs(delta) < 1e-12:
            if not low < start < high:
                return None
            continue
        first, second = sorted(((low - start) / delta, (high - start) / delta))
        enter, leave = max(enter, first), min(leave, second)
    if enter >= leave:
        return None
    return ((ax + (bx - ax) * enter, ay + (by - ay) * enter), (ax + (bx - ax) * leave, ay + (by - ay) * leave))


def strokes(sheet: Sheet) -> list[Stroke]:
    """Every stroke of a sheet on the paper."""
    found = []
    for view, shape in sheet.shapes():
        scale, (dx, dy) = (view.scale, view.at) if view else (1.0, (0.0, 0.0))
        for (ax, ay), (bx, by) in segments(shape, scale):
            segment = ((ax * scale + dx, ay * scale + dy), (bx * scale + dx, by * scale + dy))
            if view is not None and view.clip:
                inside = cut_off(segment, view.window)
                if inside is None:
                    continue
                segment = inside
            found.append(Stroke(segment, shape, _is_stamp(sheet, view, shape)))
    return found


def _grown(box: Box, by: float) -> Box:
    return (box[0] - by, box[1] - by, box[2] + by, box[3] + by)


def _at(box: Box) -> str:
    return f"({box[0]:.0f}, {box[1]:.0f})"


def texts_that_meet(sheet: Sheet) -> Iterator[str]:
    """Texts that stand on other texts."""
    found = sorted(words(sheet), key=lambda word: word.box[0])
    for i, word in enumerate(found):
        box = _grown(word.box, -TOUCH)
        for other in found[i + 1 :]:
            if other.box[0] >= box[2]:
                break
            if meet(box, other.box) and word.stamp == other.stamp:
                yield f"{sheet.name}: {word.text!r} and {other.text!r} meet at {_at(other.box)}"


def texts_on_lines(sheet: Sheet) -> Iterator[str]:
    """Texts through which a line runs; a line counts with half its weight."""
    drawn = strokes(sheet)
    for word in words(sheet):
        if word.stamp:
            continue
        for stroke in drawn:
            own = isinstance(stroke.shape, Dimension) and stroke.shape is word.shape
            if own or stroke.stamp:
                continue
            if crosses(stroke.segment, _grown(word.box, LAYERS[stroke.shape.layer].weight / 2 - TOUCH)):
                yield f"{sheet.name}: a line of {stroke.shape.layer} runs through {word.text!r} at {_at(word.box)}"
                break


def figures_on_their_own_dimension(sheet: Sheet) -> Iterator[str]:
    """Figures on the strokes of their own dimension, which they stand beside or past the end of."""
    for word in words(sheet):
        if isinstance(word.shape, Dimension):
            for stroke in strokes(sheet):
                if stroke.shape is word.shape and crosses(stroke.segment, _grown(word.box, -0.2)):
                    yield f"{sheet.name}: {word.text!r} stands on its own dimension at {_at(word.box)}"
                    break


def frame(sheet: Sheet) -> Box:
    """The frame of a sheet: the largest closed outline on the paper, or the paper where there is none."""
    boxes = []
    for shape in sheet.paper:
        if isinstance(shape, Polyline) and shape.closed and shape.layer in ("FRAME", "TITLE"):
            xs, ys = zip(*shape.points, strict=True)
            boxes.append((min(xs), min(ys), max(xs), max(ys)))
    largest = max(boxes, key=lambda box: (box[2] - box[0]) * (box[3] - box[1]), default=(0.0, 0.0, 0.0, 0.0))
    if (largest[2] - largest[0]) * (largest[3] - largest[1]) < 0.5 * sheet.width * sheet.height:
        return (0.0, 0.0, sheet.width, sheet.height)
    return largest


def outside(sheet: Sheet) -> Iterator[str]:
    """What runs over the frame or the paper's edge."""
    if _is_page(sheet):
        return
    edge = frame(sheet)
    if not (edge[0] >= 0 and edge[1] >= 0 and edge[2] <= sheet.width and edge[3] <= sheet.height):
        yield f"{sheet.name}: the frame runs off the paper"
    for word in words(sheet):
        if word.shape.layer != "ZONE" and not (
            word.box[0] > edge[0] and word.box[1] > edge[1] and word.box[2] < edge[2] and word.box[3] < edge[3]
        ):
            yield f"{sheet.name}: {word.text!r} runs over the frame at {_at(word.box)}"
    for stroke in strokes(sheet):
        # Zones and centring marks stand between the frame and the paper's edge.
        border = stroke.shape.layer in ("ZONE", "FRAME")
        wide = _grown((0.0, 0.0, sheet.width, sheet.height) if border else edge, 1e-6)
        for x, y in stroke.segment:
            if not (wide[0] <= x <= wide[2] and wide[1] <= y <= wide[3]):
                yield f"{sheet.name}: a line of {stroke.shape.layer} runs over the frame at ({x:.0f}, {y:.0f})"
                break


def small_texts(sheet: Sheet) -> Iterator[str]:
    """Texts too small to be read when printed."""
    for _, shape in sheet.shapes():
        for text in texts(shape):
            if text.height < SMALLEST - 1e-9:
                yield f"{sheet.name}: {text.text!r} is {text.height} mm high"


def unmarked_panels(sheet: Sheet) -> Iterator[str]:
    """Panels whose mark does not stand within them, nor at a leader from them."""
    for view in sheet.views:
        marks = {text.text for shape in view.shapes for text in texts(shape)}
        for shape in view.shapes:
            if isinstance(shape, Polyline) and shape.layer == "PANEL" and shape.mark and shape.mark not in marks:
                yield f"{sheet.name}: {shape.mark} has no mark"


def unnumbered_holes(sheet: Sheet) -> Iterator[str]:
    """Holes of a template without their number: as many large numbers as holes must stand on it."""
    for view in sheet.views:
        if view.name.startswith("drill") and not _is_page(sheet):
            holes = {shape.centre for shape in view.shapes if isinstance(shape, Circle) and shape.layer == "DRILL"}
            numbers = {s.text for s in view.shapes if isinstance(s, Text) and s.layer == "DRILL" and s.height == 10.0}
            if {str(n) for n in range(1, len(holes) + 1)} != numbers:
                yield f"{sheet.name}: {len(holes)} holes, and the numbers {sorted(numbers)}"


RULES = (
    texts_that_meet,
    texts_on_lines,
    figures_on_their_own_dimension,
    outside,
    small_texts,
    unmarked_panels,
    unnumbered_holes,
)


def faults(sheet: Sheet) -> list[str]:
    """Everything on a sheet that cannot be read as it should."""
    return [fault for rule in RULES for fault in rule(sheet)]

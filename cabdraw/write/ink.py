"""The order in which a sheet is painted, for every writer: shapes brought onto the paper, dimensions and
hatches taken apart into strokes, paint under fills under hatches under lines under text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import Literal

from cabdraw.draw.measure import legible
from cabdraw.draw.shapes import (
    XY,
    Arc,
    Circle,
    Dimension,
    Gradient,
    Hatch,
    Line,
    Painted,
    Polyline,
    Shape,
    Sheet,
    Strands,
    Text,
    View,
)
from cabdraw.draw.strokes import Segment, dimension_strokes, dimension_text, hatch_lines
from cabdraw.draw.style import HATCHES, LAYERS, tint
from cabdraw.frozen import Frozen, replace

Stage = Literal["paint", "fill", "hatch", "line", "text"]
STAGES: tuple[Stage, ...] = ("paint", "fill", "hatch", "line", "text")
#: Shapes on this layer are painted without an outline.
TINT = "TINT"


class Strokes(Frozen):
    """Straight lines that belong together, in paper mm."""

    layer: str
    segments: tuple[Segment, ...]


Ink = Line | Polyline | Circle | Arc | Text | Strokes | Painted | Strands


class Run(Frozen):
    """Neighbours on one layer in one stage of painting, in paper mm; in stage fill only the inside is meant."""

    stage: Stage
    layer: str
    items: tuple[Ink, ...]


class Coat(Frozen):
    """All runs of one view, or of the sheet itself where `view` is empty, from the bottom up.

    `clip` is the lower left and the upper right corner of the window at which they are cut off, None if they are not.
    """

    view: str
    runs: tuple[Run, ...]
    clip: tuple[XY, XY] | None = None


def checked(sheet: Sheet) -> Sheet:
    """The sheet itself; raises ValueError where it names a layer, tint or hatch that the style table lacks."""
    for _, shape in sheet.shapes():
        if shape.layer not in LAYERS:
            raise ValueError(f"sheet {sheet.name!r}: there is no layer {shape.layer!r}")
        if isinstance(shape, Polyline | Circle) and shape.fill and tint(shape.fill) is None:
            raise ValueError(f"sheet {sheet.name!r}: there is no tint {shape.fill!r}")
        if isinstance(shape, Hatch) and shape.pattern not in HATCHES:
            raise ValueError(f"sheet {sheet.name!r}: there is no hatch {shape.pattern!r}")
    return sheet


def coats(sheet: Sheet) -> Iterator[Coat]:
    """What is painted on a sheet, in order: the paper's own shapes, then view after view."""
    checked(sheet)
    for view in (View("", 1.0, (0.0, 0.0), sheet.paper), *sheet.views):
        yield Coat(view.name, tuple(runs(view)), view.window if view.clip else None)


def runs(view: View) -> Iterator[Run]:
    """What is painted of one view, on the paper and in order."""
    stages: dict[Stage, list[Ink]] = {stage: [] for stage in STAGES}
    for shape in view.shapes:
        for stage, ink in _inks(shape, view):
            stages[stage].append(ink)
    for stage, inks in stages.items():
        for layer, run in groupby(inks, key=lambda ink: ink.layer):
            yield Run(stage, layer, tuple(run))


def _inks(shape: Shape, view: View) -> Iterable[tuple[Stage, Ink]]:
    if isinstance(shape, Dimension):
        yield "line", _strokes(shape.layer, dimension_strokes(shape, view.scale), view)
        yield "text", _text(dimension_text(shape), view)
    elif isinstance(shape, Hatch):
        yield "hatch", _strokes(shape.layer, hatch_lines(shape, view.scale), view)
    elif isinstance(shape, Text):
        if shape.text:
            yield "text", _text(shape, view)
    elif isinstance(shape, Line):
        yield "line", replace(shape, start=view.on_paper(shape.start), end=view.on_paper(shape.end))
    elif isinstance(shape, Painted | Strands):
        yield "paint", _paint(shape, view)
    elif isinstance(shape, Arc):
        yield "line", replace(shape, centre=view.on_paper(shape.centre), radius=shape.radius * view.scale)
    else:
        moved: Polyline | Circle
        if isinstance(shape, Polyline):
            moved = replace(shape, points=tuple(view.on_paper(point) for point in shape.points))
        else:
            moved = replace(shape, centre=view.on_paper(shape.centre), radius=shape.radius * view.scale)
        if shape.fill:
            yield "fill", moved
        if shape.layer != TINT:
            yield "line", moved


def _paint(shape: Painted | Strands, view: View) -> Ink:
    if isinstance(shape, Strands):
        runs = tuple(tuple(view.on_paper(point) for point in run) for run in shape.runs)
        return replace(shape, runs=runs, width=shape.width * view.scale)
    rings = tuple(tuple(view.on_paper(point) for point in ring) for ring in shape.rings)
    paint = shape.paint
    if isinstance(paint, Gradient):
        paint = replace(paint, start=view.on_paper(paint.start), end=view.on_paper(paint.end))
    return replace(shape, rings=rings, paint=paint)


def curves(points: Sequence[XY]) -> Iterator[tuple[XY, XY, XY]]:
    """Cubic curves from point to point that pass smoothly through all of them, each as two controls and its end.

    The tangent at a point is half of the way from the one before to the one after (Catmull and Rom, 1974).
    """
    for i in range(len(points) - 1):
        before, start, end = points[max(i - 1, 0)], points[i], points[i + 1]
        after = points[min(i + 2, len(points) - 1)]
        yield (
            (start[0] + (end[0] - before[0]) / 6, start[1] + (end[1] - before[1]) / 6),
            (end[0] - (after[0] - start[0]) / 6, end[1] - (after[1] - start[1]) / 6),
            end,
        )


def _strokes(layer: str, segments: Iterable[Segment], view: View) -> Strokes:
    return Strokes(layer, tuple((view.on_paper(start), view.on_paper(end)) for start, end in segments))


def _text(text: Text, view: View) -> Text:
    return replace(text, at=view.on_paper(text.at), text=legible(text.text))

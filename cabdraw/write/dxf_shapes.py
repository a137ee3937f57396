"""Shapes as DXF entities, in a layout that the document hands over; knows no document and no library."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from math import cos, radians, sin
from typing import Any

from cabdraw.draw.measure import legible
from cabdraw.draw.shapes import (
    RGB,
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
    Strands,
    Text,
)
from cabdraw.draw.strokes import dimension_ends, dimension_strokes, extensions
from cabdraw.draw.style import FIGURE, HATCHES, tint
from cabdraw.frozen import replace
from cabdraw.write.dxf_text import BYLAYER, Entities, LibrarySpace, Space
from cabdraw.write.ink import TINT

STYLE, BOLD = "CABDRAW", "CABDRAW-BOLD"
_ACROSS = {"left": 0, "centre": 1, "right": 2}
_UP = {"base": 0, "middle": 2, "top": 3}
#: Pitch of the pattern ANSI31, lines at 45 degrees, in the programs that know it only by name.
_ANSI31 = 3.175
#: Groups of a dimension style: no extension line at the first end, at the second, and the height of the figure.
_NO_EXTENSION = (75, 76)
_TEXT_HEIGHT = 140


@dataclass(slots=True)
class Plot:
    """Where shapes go, and how mm become its drawing units.

    `size` is drawing units for each mm of the shapes, `paper` drawing units for each mm of paper, `origin`
    the point that comes to stand at `to`. Hatches and tints wait in `areas` until `finish`, because some
    programs lose the entity that follows a run of them.
    """

    space: Space
    size: float
    paper: float
    origin: XY = (0.0, 0.0)
    to: XY = (0.0, 0.0)
    dimension_style: str = STYLE
    areas: list[Polyline | Circle | Hatch | Painted | Strands] = field(default_factory=list)

    def at(self, point: XY) -> XY:
        """A point in drawing units, free of float noise."""
        x, y = (
            self.to[0] + (point[0] - self.origin[0]) * self.size,
            self.to[1] + (point[1] - self.origin[1]) * self.size,
        )
        return (round(x, 10) + 0.0, round(y, 10) + 0.0)

    def length(self, mm: float) -> float:
        """A length of the shapes in drawing units."""
        return round(mm * self.size, 10)

    def on_paper(self, mm: float) -> float:
        """A length on paper in drawing units."""
        return round(mm * self.paper, 10)

    def add(self, shapes: Iterable[Shape]) -> None:
        """Draw shapes: lines and texts at once, fills and hatches with `finish`."""
        drawn = self.space.entities()
        for shape in shapes:
            if isinstance(shape, Hatch | Painted | Strands):
                self.areas.append(shape)
            elif isinstance(shape, Text):
                if shape.text:
                    text(drawn, shape, self.at(shape.at), self.on_paper(shape.height))
            elif isinstance(shape, Dimension):
                _dimension(self, drawn, shape)
            else:
                if isinstance(shape, Polyline | Circle) and shape.fill:
                    self.areas.append(shape)
                if shape.layer != TINT:
                    self._outline(drawn, shape)
        drawn.finish(self.space)

    def _outline(self, drawn: Entities, shape: Line | Polyline | Circle | Arc) -> None:
        if isinstance(shape, Line):
            drawn.line(self.at(shape.start), self.at(shape.end), shape.layer)
        elif isinstance(shape, Polyline):
            drawn.polyline([self.at(point) for point in shape.points], shape.closed, shape.layer)
        elif isinstance(shape, Circle):
            drawn.circle(self.at(shape.centre), self.length(shape.radius), shape.layer)
        else:
            drawn.arc(self.at(shape.centre), self.length(shape.radius), shape.start, shape.end, shape.layer)

    def finish(self) -> list[str]:
        """Draw what waits: hatches, tints and paint; returns their handles from the bottom up."""
        drawn = self.space.entities()
        hatches = [handle for area in self.areas if isinstance(area, Hatch) for handle in self._hatch(drawn, area)]
        tints = [self._tint(drawn, area) for area in self.areas if isinstance(area, Polyline | Circle)]
        drawn.finish(self.space)
        paint = [
            entity.dxf.handle
            for area in self.areas
            if isinstance(area, Painted | Strands)
            for entity in self._paint(area)
        ]
        self.areas.clear()
        return [*paint, *tints, *hatches]

    def _paint(self, shape: Painted | Strands) -> Iterable[Any]:
        """An area in one colour, that of its gradient's middle; fine lines as polylines through their points."""
        assert isinstance(self.space, LibrarySpace), "paint is drawn by the library itself"
        layout, attributes = self.space.layout, {"layer": shape.layer}
        if isinstance(shape, Painted):
            entity = layout.add_hatch(dxfattribs=attributes)
            entity.set_solid_fill(color=BYLAYER, style=0, rgb=_mean(shape.paint))
            for ring in shape.rings:
                entity.paths.add_polyline_path([self.at(point) for point in ring], is_closed=True)
            entity.transparency = round(1 - shape.opacity, 2)
            yield entity
            return
        for run in shape.runs:
            entity = layout.add_lwpolyline([self.at(point) for point in run], dxfattribs=attributes)
            entity.rgb = shape.colour
            entity.transparency = round(1 - shape.opacity, 2)
            yield entity

    def _hatch(self, drawn: Entities, hatch: Hatch) -> Iterable[str]:
        rings = [[self.at(point) for point in ring] for ring in hatch.rings]
        for angle, pitch in HATCHES[hatch.pattern]:
            across = radians(angle + 90)
            step = self.on_paper(pitch)
            # Programs draw the lines given here, or their own pattern of that name at that scale.
            lines = (angle, self.at((0.0, 0.0)), (step * cos(across), step * sin(across)))
            yield drawn.hatch(rings, hatch.layer, (angle - 45) % 180, step / _ANSI31, lines)

    def _tint(self, drawn: Entities, shape: Polyline | Circle) -> str:
        solid = shape.fill == "solid"
        layer, rgb = shape.layer if solid else TINT, None if solid else tint(shape.fill)
        if isinstance(shape, Polyline):
            return drawn.filled([[self.at(point) for point in shape.points]], (), layer, rgb)
        return drawn.filled((), [(self.at(shape.centre), self.length(shape.radius))], layer, rgb)


def _mean(paint: RGB | Gradient) -> RGB:
    if not isinstance(paint, Gradient):
        return paint
    red, green, blue = (round(sum(colour[i] for _, colour in paint.stops) / len(paint.stops)) for i in range(3))
    return red, green, blue


def text(drawn: Entities, shape: Text, at: XY, height: float) -> None:
    """Add one line of text at a point, in drawing units."""
    style, place = BOLD if shape.bold else STYLE, (_ACROSS[shape.across], _UP[shape.up])
    drawn.text(_plain(shape.text), at, height, shape.layer, style, shape.angle, place)


def _plain(value: str) -> str:
    # Programs read %%x, ^X, \U+ and \M+ as codes: a space between keeps them text.
    return re.sub(r"(\^|%(?=%)|\\(?=[UM]\+))", r"\1 ", legible(value))


def _figure(value: str) -> str:
    # A dimension's text is read as formatted text, with <> for the measurement and a space for no text.
    return re.sub(r"([\\{}])", r"\\\1", _plain(value)).replace("<>", "< >") or " "


def _dimension(plot: Plot, drawn: Entities, shape: Dimension) -> None:
    scale = plot.paper / plot.size
    start, end = dimension_ends(shape)
    override: dict[int, float] = {}
    for group, line in zip(_NO_EXTENSION, extensions(shape, 1 / scale), strict=True):
        if line is None:
            override[group] = 1
    if shape.height != FIGURE:
        override[_TEXT_HEIGHT] = plot.on_paper(shape.height)
    name = plot.space.name()
    drawn.dimension(
        shape.axis == "y",
        (plot.at(end), plot.at(shape.text_at), plot.at(shape.start), plot.at(shape.end)),
        abs(plot.length(end[0] - start[0] + end[1] - start[1])),
        _figure(shape.text),
        shape.layer,
        plot.dimension_style,
        name,
        override,
    )
    block = plot.space.new(name)
    inside = block.entities()
    for a, b in dimension_strokes(replace(shape, leader=()) if shape.leader else shape, 1 / scale):
        inside.line(plot.at(a), plot.at(b), shape.layer)
    figure = Text(shape.layer, shape.text_at, shape.text, shape.height, "centre", "middle")
    if shape.text:
        text(inside, figure, plot.at(shape.text_at), plot.on_paper(shape.height))
    block.finish(inside)
    # The leader stands beside the dimension, which cannot hold its course.
    if shape.leader:
        drawn.polyline([plot.at(point) for point in shape.leader], False, shape.layer)

"""Shapes as DXF entities, in a layout that the document hands over; knows no document and no library."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
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
from cabdraw.write.ink import TINT

STYLE, BOLD = "CABDRAW", "CABDRAW-BOLD"
_ACROSS = {"left": 0, "centre": 1, "right": 2}
_UP = {"base": 0, "middle": 2, "top": 3}
#: Pitch of the pattern ANSI31, lines at 45 degrees, in the programs that know it only by name.
_ANSI31 = 3.175
_BYLAYER = 256
_USER_PLACED_TEXT = 128


@dataclass(slots=True)
class Plot:
    """Where shapes go: a layout, and how mm become its drawing units.

    `size` is drawing units for each mm of the shapes, `paper` drawing units for each mm of paper, `origin`
    the point that comes to stand at `to`. Hatches and tints wait in `areas` until `finish`, because some
    programs lose the entity that follows a run of them.
    """

    layout: Any
    blocks: Any
    size: float
    paper: float
    origin: XY = (0.0, 0.0)
    to: XY = (0.0, 0.0)
    dimension_style: str = STYLE
    areas: list[Polyline | Circle | Hatch | Painted | Strands] = field(default_factory=list)
    order: list[tuple[int, str]] = field(default_factory=list)

    def at(self, point: XY) -> XY:
        """A point in drawing units, free of float noise."""
        x, y = (self.to[i] + (point[i] - self.origin[i]) * self.size for i in (0, 1))
        return (round(x, 10) + 0.0, round(y, 10) + 0.0)

    def length(self, mm: float) -> float:
        """A length of the shapes in drawing units."""
        return round(mm * self.size, 10)

    def on_paper(self, mm: float) -> float:
        """A length on paper in drawing units."""
        return round(mm * self.paper, 10)

    def add(self, shapes: Iterable[Shape]) -> None:
        """Draw shapes: lines and texts at once, fills and hatches with `finish`."""
        for shape in shapes:
            if isinstance(shape, Hatch | Painted | Strands):
                self.areas.append(shape)
            elif isinstance(shape, Text):
                if shape.text:
                    text(self.layout, shape, self.at(shape.at), self.on_paper(shape.height))
            elif isinstance(shape, Dimension):
                _dimension(self, shape)
            else:
                if isinstance(shape, Polyline | Circle) and shape.fill:
                    self.areas.append(shape)
                if shape.layer != TINT:
                    self._outline(shape)

    def _outline(self, shape: Line | Polyline | Circle | Arc) -> None:
        layer = {"layer": shape.layer}
        if isinstance(shape, Line):
            self.layout.add_line(self.at(shape.start), self.at(shape.end), dxfattribs=layer)
        elif isinstance(shape, Polyline):
            points = [self.at(point) for point in shape.points]
            self.layout.add_lwpolyline(points, close=shape.closed, dxfattribs=layer)
        elif isinstance(shape, Circle):
            self.layout.add_circle(self.at(shape.centre), self.length(shape.radius), dxfattribs=layer)
        else:
            self.layout.add_arc(
                self.at(shape.centre), self.length(shape.radius), shape.start, shape.end, dxfattribs=layer
            )

    def finish(self) -> list[str]:
        """Draw what waits: hatches, tints and paint; returns their handles from the bottom up."""
        hatches = [entity for area in self.areas if isinstance(area, Hatch) for entity in self._hatch(area)]
        tints = [self._tint(area) for area in self.areas if isinstance(area, Polyline | Circle)]
        paint = [entity for area in self.areas if isinstance(area, Painted | Strands) for entity in self._paint(area)]
        self.areas.clear()
        return [entity.dxf.handle for entity in (*paint, *tints, *hatches)]

    def _paint(self, shape: Painted | Strands) -> Iterable[Any]:
        """An area in one colour, that of its gradient's middle; fine lines as polylines through their points."""
        attributes = {"layer": shape.layer}
        if isinstance(shape, Painted):
            entity = self.layout.add_hatch(dxfattribs=attributes)
            entity.set_solid_fill(color=_BYLAYER, style=0, rgb=_mean(shape.paint))
            for ring in shape.rings:
                entity.paths.add_polyline_path([self.at(point) for point in ring], is_closed=True)
            entity.transparency = round(1 - shape.opacity, 2)
            yield entity
            return
        for run in shape.runs:
            entity = self.layout.add_lwpolyline([self.at(point) for point in run], dxfattribs=attributes)
            entity.rgb = shape.colour
            entity.transparency = round(1 - shape.opacity, 2)
            yield entity

    def _hatch(self, hatch: Hatch) -> Iterable[Any]:
        for angle, pitch in HATCHES[hatch.pattern]:
            entity = self.layout.add_hatch(color=_BYLAYER, dxfattribs={"layer": hatch.layer})
            across = radians(angle + 90)
            step = self.on_paper(pitch)
            lines: list[Any] = [(angle, self.at((0.0, 0.0)), (step * cos(across), step * sin(across)), [])]
            # Programs draw the lines given here, or their own pattern of that name at that scale.
            entity.set_pattern_fill("ANSI31", color=_BYLAYER, style=0, pattern_type=1, definition=lines)
            entity.set_pattern_definition(lines)
            entity.dxf.pattern_angle = (angle - 45) % 180
            entity.dxf.pattern_scale = step / _ANSI31
            for ring in hatch.rings:
                entity.paths.add_polyline_path([self.at(point) for point in ring], is_closed=True)
            yield entity

    def _tint(self, shape: Polyline | Circle) -> Any:
        solid = shape.fill == "solid"
        entity = self.layout.add_hatch(dxfattribs={"layer": shape.layer if solid else TINT})
        entity.set_solid_fill(color=_BYLAYER, rgb=None if solid else tint(shape.fill))
        if isinstance(shape, Polyline):
            entity.paths.add_polyline_path([self.at(point) for point in shape.points], is_closed=True)
        else:
            edges = entity.paths.add_edge_path()
            edges.add_arc(self.at(shape.centre), self.length(shape.radius), 0, 360)
        return entity


def _mean(paint: RGB | Gradient) -> RGB:
    if not isinstance(paint, Gradient):
        return paint
    red, green, blue = (round(sum(colour[i] for _, colour in paint.stops) / len(paint.stops)) for i in range(3))
    return red, green, blue


def text(layout: Any, shape: Text, at: XY, height: float) -> None:
    """Add one line of text at a point, in drawing units."""
    attributes = {
        "layer": shape.layer,
        "style": BOLD if shape.bold else STYLE,
        "height": height,
        "rotation": shape.angle,
        "insert": at,
        "halign": _ACROSS[shape.across],
        "valign": _UP[shape.up],
    }
    if attributes["halign"] or attributes["valign"]:
        attributes["align_point"] = at
    layout.add_text(_plain(shape.text), dxfattribs=attributes)


def _plain(value: str) -> str:
    # Programs read %%x, ^X, \U+ and \M+ as codes: a space between keeps them text.
    return re.sub(r"(\^|%(?=%)|\\(?=[UM]\+))", r"\1 ", legible(value))


def _figure(value: str) -> str:
    # A dimension's text is read as formatted text, with <> for the measurement and a space for no text.
    return re.sub(r"([\\{}])", r"\\\1", _plain(value)).replace("<>", "< >") or " "


def _dimension(plot: Plot, shape: Dimension) -> None:
    layer = {"layer": shape.layer}
    scale = plot.paper / plot.size
    start, end = dimension_ends(shape)
    override: dict[str, float] = {}
    for n, line in enumerate(extensions(shape, 1 / scale), start=1):
        if line is None:
            override[f"dimse{n}"] = 1
    if shape.height != FIGURE:
        override["dimtxt"] = plot.on_paper(shape.height)
    style = plot.layout.add_linear_dim(
        base=plot.at(end),
        p1=plot.at(shape.start),
        p2=plot.at(shape.end),
        angle=0 if shape.axis == "x" else 90,
        text=_figure(shape.text),
        dimstyle=plot.dimension_style,
        override=override,
        dxfattribs=layer,
    )
    if override:
        style.commit()
    entity = style.dimension
    entity.dxf.text_midpoint = plot.at(shape.text_at)
    entity.dxf.dimtype |= _USER_PLACED_TEXT
    entity.dxf.attachment_point = 5
    entity.dxf.actual_measurement = abs(plot.length(end[0] - start[0] + end[1] - start[1]))
    block = plot.blocks.new_anonymous_block(type_char="D")
    entity.dxf.geometry = block.name
    for a, b in dimension_strokes(replace(shape, leader=()), 1 / scale):
        block.add_line(plot.at(a), plot.at(b), dxfattribs=layer)
    figure = Text(shape.layer, shape.text_at, shape.text, shape.height, "centre", "middle")
    if shape.text:
        text(block, figure, plot.at(shape.text_at), plot.on_paper(shape.height))
    # The leader stands beside the dimension, which cannot hold its course.
    if shape.leader:
        plot.layout.add_lwpolyline([plot.at(point) for point in shape.leader], dxfattribs=layer)

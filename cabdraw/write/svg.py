"""Sheets as SVG at true size: one file a sheet, in mm, y down."""

from __future__ import annotations

import re
from collections.abc import Iterable
from math import cos, radians, sin
from typing import Any

import svgwrite

from cabdraw.draw.measure import legible, text_base, text_width
from cabdraw.draw.shapes import XY, Arc, Circle, Line, Polyline, Sheet, Text
from cabdraw.draw.style import CAPITALS, DASHES, FONT, LAYERS, TINTS
from cabdraw.write.ink import TINT, Ink, Run, Strokes, coats

_FAMILY = f"{FONT}, Arial, sans-serif"


def svg_bytes(sheet: Sheet) -> bytes:
    """One sheet as an SVG document, UTF-8; raises ValueError for a layer, tint or hatch without a style."""
    return _Page(sheet).document()


def number(value: float) -> str:
    """A number with at most four decimals, without trailing zeros and never -0."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _colour(rgb: tuple[int, int, int]) -> str:
    return "#{:02x}{:02x}{:02x}".format(*rgb)


def _name(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-") or "x"


class _Page:
    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self.drawing: Any = svgwrite.Drawing(
            size=(f"{number(sheet.width)}mm", f"{number(sheet.height)}mm"),
            viewBox=f"0 0 {number(sheet.width)} {number(sheet.height)}",
            debug=False,
        )

    def document(self) -> bytes:
        drawing = self.drawing
        about = "\n".join(legible(f"{key}: {value}") for key, value in self.sheet.about)
        drawing.set_desc(title=legible(self.sheet.title), desc=about or None)
        width, height = number(self.sheet.width), number(self.sheet.height)
        drawing.add(drawing.rect(insert=("0", "0"), size=(width, height), fill="#ffffff", class_="paper"))
        sheet = _name(self.sheet.name)
        for n, coat in enumerate(coats(self.sheet)):
            view = f"{sheet}-{n}-{_name(coat.view)}" if coat.view else f"{sheet}-sheet"
            group = drawing.g(id=view, class_="view" if coat.view else "sheet")
            for i, run in enumerate(coat.runs):
                layer = self._run(run)
                layer["id"] = f"{view}-{i}"
                group.add(layer)
            drawing.add(group)
        return f'<?xml version="1.0" encoding="UTF-8"?>\n{drawing.tostring()}\n'.encode()

    def _run(self, run: Run) -> Any:
        style = LAYERS[run.layer]
        group = self.drawing.g(class_=f"{run.stage} {run.layer}")
        if run.stage == "text":
            group["fill"] = _colour(style.colour)
            group["font-family"] = _FAMILY
        elif run.stage != "fill":
            group["fill"] = "none"
            group["stroke"] = _colour(style.colour)
            group["stroke-width"] = number(style.weight)
            if run.stage == "line" and style.line != "continuous":
                group["stroke-dasharray"] = " ".join(number(length) for length in DASHES[style.line])
        for ink in run.items:
            element = self._element(ink)
            if run.stage == "fill" and isinstance(ink, Polyline | Circle):
                element["fill"] = _colour(TINTS[ink.fill])
            if isinstance(ink, Polyline) and ink.mark and (run.stage == "line" or ink.layer == TINT):
                element["data-mark"] = legible(ink.mark)
            group.add(element)
        return group

    def _at(self, point: XY) -> tuple[str, str]:
        return number(point[0]), number(self.sheet.height - point[1])

    def _course(self, points: Iterable[XY]) -> str:
        return "M" + "L".join(" ".join(self._at(point)) for point in points)

    def _element(self, ink: Ink) -> Any:
        drawing = self.drawing
        if isinstance(ink, Line):
            return drawing.line(self._at(ink.start), self._at(ink.end))
        if isinstance(ink, Polyline):
            return drawing.path(d=self._course(ink.points) + ("Z" if ink.closed else ""))
        if isinstance(ink, Strokes):
            return drawing.path(d="".join(self._course(segment) for segment in ink.segments))
        if isinstance(ink, Circle):
            return drawing.circle(self._at(ink.centre), number(ink.radius))
        if isinstance(ink, Arc):
            return drawing.path(d=self._arc(ink))
        return self._text(ink)

    def _arc(self, arc: Arc) -> str:
        sweep = (arc.end - arc.start) % 360
        ends = [
            (arc.centre[0] + arc.radius * cos(radians(a)), arc.centre[1] + arc.radius * sin(radians(a)))
            for a in (arc.start, arc.end)
        ]
        radius, to = number(arc.radius), " ".join(self._at(ends[1]))
        return f"M{' '.join(self._at(ends[0]))}A{radius} {radius} 0 {int(sweep > 180)} 0 {to}"

    def _text(self, text: Text) -> Any:
        x, y = self._at(text_base(text))
        element = self.drawing.text(text.text, insert=(x, y))
        element["font-size"] = number(text.height / CAPITALS)
        # A machine without the font still gives each text its measured width.
        element["textLength"] = number(text_width(text.text, text.height, text.bold))
        element["lengthAdjust"] = "spacingAndGlyphs"
        if text.bold:
            element["font-weight"] = "bold"
        if text.angle:
            element["transform"] = f"rotate({number(-text.angle)} {x} {y})"
        return element

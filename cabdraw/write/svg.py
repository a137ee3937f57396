"""Sheets as SVG at true size: one file a sheet, in mm, y down."""

from __future__ import annotations

import re
from collections.abc import Iterable
from math import cos, radians, sin
from typing import Any, TypeGuard
from xml.sax.saxutils import escape

import svgwrite

from cabdraw.draw.measure import legible, text_base, text_width
from cabdraw.draw.shapes import XY, Arc, Circle, Gradient, Line, Painted, Polyline, Sheet, Strands, Text
from cabdraw.draw.style import CAPITALS, DASHES, FONT, LAYERS, tint
from cabdraw.write.ink import TINT, Ink, Run, Stage, Strokes, coats, curves

#: Where the library's document takes what is painted.
_PLACE = "painted"
_FAMILY = f"{FONT}, Arial, sans-serif"


def svg_bytes(sheet: Sheet) -> bytes:
    """One sheet as an SVG document, UTF-8; raises ValueError for a layer, tint or hatch without a style."""
    return _Page(sheet).document()


def svg_content(sheet: Sheet) -> str:
    """What stands inside the svg element of one sheet, without title or description, for a page that frames it itself.

    Ids begin with the sheet's name, so sheets of different names can stand on one page. Raises ValueError as
    `svg_bytes` does.
    """
    return _Page(sheet).content()


def number(value: float) -> str:
    """A number with at most four decimals, without trailing zeros and never -0."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def _shortened(course: str) -> str:
    """A course of numbers with decimals, each without trailing zeros and none -0."""
    return _MINUS_ZERO.sub("0", _ZEROS.sub(r"\1", course))


#: A decimal point with nothing but zeros after it, or zeros after other decimals; what is left of zero below zero.
_ZEROS = re.compile(r"\.0+(?![0-9])|(\.[0-9]*?[1-9])0+(?![0-9])")
_MINUS_ZERO = re.compile(r"-0(?![0-9.])")


def _colour(rgb: tuple[int, int, int]) -> str:
    return "#{:02x}{:02x}{:02x}".format(*rgb)


def _attribute(text: str) -> str:
    return escape(legible(text), {'"': "&quot;"})


def _filled(ink: Ink) -> TypeGuard[Polyline | Circle]:
    return isinstance(ink, Polyline | Circle)


def _put(painted: str, document: str) -> str:
    before, after = document.rsplit(f'<g id="{_PLACE}" />', 1)
    return f"{before}{painted}{after}"


def _name(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-") or "x"


class _Page:
    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self.gradients: dict[Gradient, str] = {}
        self.drawing: Any = svgwrite.Drawing(
            size=(f"{number(sheet.width * sheet.stretch[0])}mm", f"{number(sheet.height * sheet.stretch[1])}mm"),
            viewBox=f"0 0 {number(sheet.width)} {number(sheet.height)}",
            debug=False,
        )
        if sheet.stretch[0] != sheet.stretch[1]:
            self.drawing["preserveAspectRatio"] = "none"

    def document(self) -> bytes:
        about = "\n".join(legible(f"{key}: {value}") for key, value in self.sheet.about)
        self.drawing.set_desc(title=legible(self.sheet.title), desc=about or None)
        painted = self._painted()
        self.drawing.add(self.drawing.g(id=_PLACE))
        return f'<?xml version="1.0" encoding="UTF-8"?>\n{_put(painted, self.drawing.tostring())}\n'.encode()

    def content(self) -> str:
        painted = self._painted()
        return "".join([*(element.tostring() for element in self.drawing.elements), painted])

    def _painted(self) -> str:
        """The paper and what is painted on it; a library's object for each element takes three times as long."""
        sheet = _name(self.sheet.name)
        width, height = number(self.sheet.width), number(self.sheet.height)
        parts = [f'<rect class="paper" fill="#ffffff" height="{height}" width="{width}" x="0" y="0" />']
        for n, coat in enumerate(coats(self.sheet)):
            view = f"{sheet}-{n}-{_name(coat.view)}" if coat.view else f"{sheet}-sheet"
            clip = "" if coat.clip is None else f' clip-path="url(#{self._window(view, coat.clip)})"'
            head = f'<g class="{"view" if coat.view else "sheet"}"{clip} id="{view}"'
            runs = [self._run(run, f"{view}-{i}") for i, run in enumerate(coat.runs)]
            parts.append(f"{head}>{''.join(runs)}</g>" if runs else f"{head} />")
        return "".join(parts)

    def _window(self, view: str, window: tuple[XY, XY]) -> str:
        """Define the window at which a view is cut off; its name."""
        (x0, y0), (x1, y1) = window
        path = self.drawing.clipPath(id=f"{view}-window")
        path.add(self.drawing.rect(insert=self._at((x0, y1)), size=(number(x1 - x0), number(y1 - y0))))
        self.drawing.defs.add(path)
        return f"{view}-window"

    def _run(self, run: Run, name: str) -> str:
        style = LAYERS[run.layer]
        colour = _colour(style.colour)
        font = fill = stroke = ""
        if run.stage == "text":
            font = f' fill="{colour}" font-family="{_FAMILY}"'
        elif run.stage in ("hatch", "line"):
            fill, dashes = ' fill="none"', ""
            if run.stage == "line" and style.line != "continuous":
                dashes = f' stroke-dasharray="{" ".join(number(length) for length in DASHES[style.line])}"'
            stroke = f' stroke="{colour}"{dashes} stroke-width="{number(style.weight)}"'
        elements = "".join(self._element(ink, run.stage) for ink in run.items)
        return f'<g class="{run.stage} {run.layer}"{fill}{font} id="{name}"{stroke}>{elements}</g>'

    def _at(self, point: XY) -> tuple[str, str]:
        return number(point[0]), number(self.sheet.height - point[1])

    def _course(self, points: Iterable[XY]) -> str:
        return "M" + "L".join(" ".join(self._at(point)) for point in points)

    def _element(self, ink: Ink, stage: Stage) -> str:
        if isinstance(ink, Text):
            return self._text(ink)
        fill = f' fill="{_colour(tint(ink.fill) or (0, 0, 0))}"' if stage == "fill" and _filled(ink) else ""
        if isinstance(ink, Line):
            (x1, y1), (x2, y2) = self._at(ink.start), self._at(ink.end)
            return f'<line x1="{x1}" x2="{x2}" y1="{y1}" y2="{y2}" />'
        if isinstance(ink, Polyline):
            mark = f' data-mark="{_attribute(ink.mark)}"' if ink.mark and (stage == "line" or ink.layer == TINT) else ""
            return f'<path d="{self._course(ink.points)}{"Z" if ink.closed else ""}"{mark}{fill} />'
        if isinstance(ink, Strokes):
            return f'<path d="{"".join(self._course(segment) for segment in ink.segments)}" />'
        if isinstance(ink, Circle):
            x, y = self._at(ink.centre)
            return f'<circle cx="{x}" cy="{y}"{fill} r="{number(ink.radius)}" />'
        if isinstance(ink, Arc):
            return f'<path d="{self._arc(ink)}" />'
        return self._area(ink) if isinstance(ink, Painted) else self._strands(ink)

    def _area(self, ink: Painted) -> str:
        course = "".join(self._course(ring) + "Z" for ring in ink.rings)
        fill = self._gradient(ink.paint) if isinstance(ink.paint, Gradient) else _colour(ink.paint)
        opacity = f' fill-opacity="{number(ink.opacity)}"' if ink.opacity < 1 else ""
        rule = ' fill-rule="evenodd"' if len(ink.rings) > 1 else ""
        return f'<path d="{course}" fill="{fill}"{opacity}{rule} />'

    def _gradient(self, gradient: Gradient) -> str:
        if gradient not in self.gradients:
            name = f"{_name(self.sheet.name)}-paint-{len(self.gradients) + 1}"
            made = self.drawing.linearGradient(
                self._at(gradient.start), self._at(gradient.end), id=name, gradientUnits="userSpaceOnUse"
            )
            for share, colour in gradient.stops:
                made.add_stop_color(number(share), _colour(colour))
            self.drawing.defs.add(made)
            self.gradients[gradient] = name
        return f"url(#{self.gradients[gradient]})"

    def _strands(self, ink: Strands) -> str:
        height = self.sheet.height
        pieces: list[str] = []
        values: list[float] = []
        for run in ink.runs:
            if len(run) == 2:
                pieces.append("M%.2f %.2fL%.2f %.2f")
                points: Iterable[XY] = run
            else:
                pieces.append("M%.2f %.2f" + "C%.2f %.2f %.2f %.2f %.2f %.2f" * (len(run) - 1))
                points = (run[0], *(point for curve in curves(run) for point in curve))
            values += (value for x, y in points for value in (x, height - y))
        # All numbers of a texture at once: each by itself takes five times as long, and there are 50,000.
        course = _shortened("".join(pieces) % tuple(values))
        opacity = f' stroke-opacity="{number(ink.opacity)}"' if ink.opacity < 1 else ""
        stroke = f'stroke="{_colour(ink.colour)}"{opacity} stroke-width="{number(ink.width)}"'
        return f'<path d="{course}" fill="none" {stroke} />'

    def _arc(self, arc: Arc) -> str:
        sweep = (arc.end - arc.start) % 360
        ends = [
            (arc.centre[0] + arc.radius * cos(radians(a)), arc.centre[1] + arc.radius * sin(radians(a)))
            for a in (arc.start, arc.end)
        ]
        radius, to = number(arc.radius), " ".join(self._at(ends[1]))
        return f"M{' '.join(self._at(ends[0]))}A{radius} {radius} 0 {int(sweep > 180)} 0 {to}"

    def _text(self, text: Text) -> str:
        x, y = self._at(text_base(text))
        weight = ' font-weight="bold"' if text.bold else ""
        turned = f' transform="rotate({number(-text.angle)} {x} {y})"' if text.angle else ""
        # A machine without the font still gives each text its measured width.
        width = number(text_width(text.text, text.height, text.bold))
        size = number(text.height / CAPITALS)
        place = (
            f'font-size="{size}"{weight} lengthAdjust="spacingAndGlyphs" textLength="{width}"{turned} x="{x}" y="{y}"'
        )
        return f"<text {place}>{escape(text.text)}</text>"

"""Sheets as PDF at true size: one page a sheet, all vector, both fonts within."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from pathlib import Path
from typing import Any

from reportlab.lib.colors import Color
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from cabdraw.draw.measure import legible, text_base
from cabdraw.draw.shapes import RGB, Arc, Circle, Gradient, Line, Painted, Polyline, Sheet, Strands, Text
from cabdraw.draw.style import CAPITALS, DASHES, LAYERS, tint
from cabdraw.write.ink import Ink, Run, Strokes, coats, curves

_POINTS = 72 / 25.4
_FONTS = Path(__file__).parent.parent / "fonts"
_REGULAR, _BOLD = "DejaVuSans", "DejaVuSans-Bold"
_EVEN_ODD = 0
#: PDF viewers refuse pages of more than 200 inches.
LONGEST_PAGE = 5080.0


def pdf_bytes(sheets: Sequence[Sheet]) -> bytes:
    """Sheets as pages of their own size with a bookmark each, the same bytes each time.

    The document's properties are those of the first sheet. Raises ValueError without a sheet, for a page
    over 5080 mm, and for a layer, tint or hatch without a style.
    """
    if not sheets:
        raise ValueError("a PDF needs at least one sheet")
    for sheet in sheets:
        if max(sheet.width, sheet.height) > LONGEST_PAGE:
            raise ValueError(
                f"sheet {sheet.name!r} is {max(sheet.width, sheet.height):.0f} mm long; "
                f"a PDF page can be {LONGEST_PAGE:.0f} mm at most"
            )
    _register_fonts()
    out = BytesIO()
    canvas: Any = Canvas(out, invariant=1, pageCompression=1, initialFontName=_REGULAR)
    about = {key.lower(): legible(value) for key, value in sheets[0].about}
    canvas.setTitle(about.get("title") or legible(sheets[0].title))
    canvas.setSubject(about.get("subject", ""))
    canvas.setAuthor(about.get("author", ""))
    canvas.setKeywords(about.get("keywords", ""))
    canvas.setCreator(about.get("creator", "cabdraw"))
    canvas.setProducer("cabdraw")
    canvas.setViewerPreference("PrintScaling", "None")
    for n, sheet in enumerate(sheets):
        _page(canvas, sheet, f"sheet-{n}")
    canvas.save()
    return out.getvalue()


def _register_fonts() -> None:
    for name in (_REGULAR, _BOLD):
        if name not in pdfmetrics.getRegisteredFontNames():
            pdfmetrics.registerFont(TTFont(name, str(_FONTS / f"{name}.ttf")))


def _page(canvas: Any, sheet: Sheet, key: str) -> None:
    canvas.setPageSize((sheet.width * _POINTS, sheet.height * _POINTS))
    canvas.bookmarkPage(key)
    canvas.addOutlineEntry(legible(f"{sheet.name} {sheet.title}".strip()), key)
    canvas.scale(_POINTS, _POINTS)
    for coat in coats(sheet):
        for run in coat.runs:
            _run(canvas, run)
    canvas.showPage()


def _run(canvas: Any, run: Run) -> None:
    style = LAYERS[run.layer]
    canvas.setFillColorRGB(*(share / 255 for share in style.colour))
    if run.stage in ("hatch", "line"):
        canvas.setStrokeColorRGB(*(share / 255 for share in style.colour))
        canvas.setLineWidth(style.weight)
        canvas.setDash(list(DASHES[style.line]) if run.stage == "line" else [])
    for ink in run.items:
        if isinstance(ink, Text):
            _text(canvas, ink)
            continue
        if isinstance(ink, Painted | Strands):
            _paint(canvas, ink)
            continue
        if run.stage == "fill" and isinstance(ink, Polyline | Circle):
            canvas.setFillColorRGB(*(share / 255 for share in tint(ink.fill) or (0, 0, 0)))
        canvas.drawPath(_path(canvas, ink), stroke=run.stage != "fill", fill=run.stage == "fill")


def _paint(canvas: Any, ink: Painted | Strands) -> None:
    canvas.saveState()
    if isinstance(ink, Strands):
        canvas.setStrokeColor(_colour(ink.colour))
        canvas.setLineWidth(ink.width)
        canvas.setStrokeAlpha(ink.opacity)
        canvas.drawPath(_path(canvas, ink), stroke=1, fill=0)
    elif isinstance(ink.paint, Gradient):
        canvas.setFillAlpha(ink.opacity)
        canvas.clipPath(_path(canvas, ink), stroke=0, fill=0, fillMode=_EVEN_ODD)
        shares, colours = zip(*ink.paint.stops, strict=True)
        canvas.linearGradient(*ink.paint.start, *ink.paint.end, [_colour(c) for c in colours], shares, extend=True)
    else:
        canvas.setFillColor(_colour(ink.paint))
        canvas.setFillAlpha(ink.opacity)
        canvas.drawPath(_path(canvas, ink), stroke=0, fill=1, fillMode=_EVEN_ODD)
    canvas.restoreState()


def _colour(rgb: RGB) -> Any:
    return Color(*(share / 255 for share in rgb))


def _path(canvas: Any, ink: Ink) -> Any:
    path = canvas.beginPath()
    if isinstance(ink, Polyline):
        path.moveTo(*ink.points[0])
        for point in ink.points[1:]:
            path.lineTo(*point)
        if ink.closed:
            path.close()
    elif isinstance(ink, Circle):
        path.circle(*ink.centre, ink.radius)
    elif isinstance(ink, Arc):
        (x, y), r = ink.centre, ink.radius
        path.arc(x - r, y - r, x + r, y + r, ink.start, (ink.end - ink.start) % 360)
    elif isinstance(ink, Line):
        path.moveTo(*ink.start)
        path.lineTo(*ink.end)
    elif isinstance(ink, Painted):
        for ring in ink.rings:
            path.moveTo(*ring[0])
            for point in ring[1:]:
                path.lineTo(*point)
            path.close()
    elif isinstance(ink, Strands):
        for run in ink.runs:
            path.moveTo(*run[0])
            if len(run) == 2:
                path.lineTo(*run[1])
            else:
                for first, second, end in curves(run):
                    path.curveTo(*first, *second, *end)
    elif isinstance(ink, Strokes):
        for start, end in ink.segments:
            path.moveTo(*start)
            path.lineTo(*end)
    return path


def _text(canvas: Any, text: Text) -> None:
    x, y = text_base(text)
    line = canvas.beginText()
    line.setFont(_BOLD if text.bold else _REGULAR, text.height / CAPITALS)
    if text.angle:
        line.setTextTransform(0, 1, -1, 0, x, y)
    else:
        line.setTextOrigin(x, y)
    line.textOut(text.text)
    canvas.drawText(line)

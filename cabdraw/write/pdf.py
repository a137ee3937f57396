"""Sheets as PDF at true size: one page a sheet, all vector, both fonts within."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from typing import Any

from reportlab.lib.colors import Color
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from cabdraw.draw.measure import legible, text_base
from cabdraw.draw.shapes import RGB, XY, Arc, Circle, Gradient, Line, Painted, Polyline, Sheet, Strands, Text, View
from cabdraw.draw.style import CAPITALS, DASHES, LAYERS, tint
from cabdraw.write.ink import Ink, Run, Strokes, checked, curves, runs

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
        longest = max(sheet.width * sheet.stretch[0], sheet.height * sheet.stretch[1])
        if longest > LONGEST_PAGE:
            raise ValueError(
                f"sheet {sheet.name!r} is {longest:.0f} mm long; a PDF page can be {LONGEST_PAGE:.0f} mm at most"
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
    art = _Art(canvas, sheets)
    for n, sheet in enumerate(sheets):
        _page(canvas, sheet, f"sheet-{n}", art)
    canvas.save()
    return out.getvalue()


def _register_fonts() -> None:
    for name in (_REGULAR, _BOLD):
        if name not in pdfmetrics.getRegisteredFontNames():
            pdfmetrics.registerFont(TTFont(name, str(_FONTS / f"{name}.ttf")))


class _Art:
    """What cut-off views show: the shapes that several of them share are put into the document once."""

    def __init__(self, canvas: Any, sheets: Sequence[Sheet]) -> None:
        self._canvas = canvas
        #: By what is drawn and at which scale: its name, and all that any window shows of it, from the view's origin.
        self._forms: dict[tuple[int, float], tuple[str, list[float]]] = {}
        self._made: set[str] = set()
        for sheet in sheets:
            for view in sheet.views:
                if view.clip:
                    (x0, y0), (x1, y1) = _from_origin(view)
                    _, box = self._forms.setdefault(_key(view), (f"art-{len(self._forms)}", [x0, y0, x1, y1]))
                    box[:] = [min(box[0], x0), min(box[1], y0), max(box[2], x1), max(box[3], y1)]

    def show(self, view: View) -> None:
        """Draw what a view's window shows."""
        canvas = self._canvas
        name, box = self._forms[_key(view)]
        if name not in self._made:
            self._made.add(name)
            canvas.beginForm(name, *box)
            for run in runs(replace(view, at=(0.0, 0.0))):
                _run(canvas, run)
            canvas.endForm()
        (x0, y0), (x1, y1) = view.window
        canvas.saveState()
        window = canvas.beginPath()
        window.rect(x0, y0, x1 - x0, y1 - y0)
        canvas.clipPath(window, stroke=0, fill=0)
        canvas.translate(*view.at)
        canvas.doForm(name)
        canvas.restoreState()


def _key(view: View) -> tuple[int, float]:
    return id(view.shapes), view.scale


def _from_origin(view: View) -> tuple[XY, XY]:
    (x0, y0), (x1, y1) = view.window
    return (x0 - view.at[0], y0 - view.at[1]), (x1 - view.at[0], y1 - view.at[1])


def _page(canvas: Any, sheet: Sheet, key: str, art: _Art) -> None:
    across, up = (_POINTS * stretch for stretch in sheet.stretch)
    canvas.setPageSize((sheet.width * across, sheet.height * up))
    canvas.bookmarkPage(key)
    canvas.addOutlineEntry(legible(f"{sheet.name} {sheet.title}".strip()), key)
    canvas.scale(across, up)
    checked(sheet)
    for view in (View("", 1.0, (0.0, 0.0), sheet.paper), *sheet.views):
        if view.clip:
            art.show(view)
        else:
            for run in runs(view):
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

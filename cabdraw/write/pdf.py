"""Sheets as PDF at true size: one page a sheet, all vector, both fonts within."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path
from typing import Any

from cabdraw.draw.measure import legible, text_base
from cabdraw.draw.shapes import RGB, XY, Arc, Circle, Gradient, Line, Painted, Polyline, Sheet, Strands, Text, View
from cabdraw.draw.style import CAPITALS, DASHES, LAYERS, tint
from cabdraw.frozen import replace
from cabdraw.write.alone import undated
from cabdraw.write.ink import Ink, Run, Strokes, checked, curves, runs
from cabdraw.write.pdf_library import Canvas, Color, PDFPathObject, TTFont, pdfmetrics, rl_config

_POINTS = 72 / 25.4
_FONTS = Path(__file__).parent.parent / "fonts"
_REGULAR, _BOLD = "DejaVuSans", "DejaVuSans-Bold"
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
    with _plain_streams():
        return _written(sheets)


def _written(sheets: Sequence[Sheet]) -> bytes:
    out = BytesIO()
    with undated():
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


@contextmanager
def _plain_streams() -> Iterator[None]:
    """While a document is made: its streams are compressed, and not spelled out in letters besides.

    That is a quarter more to write and to read, and slow to make, for the sake of mail of the nineties.
    """
    before = rl_config.useA85
    rl_config.useA85 = 0
    try:
        yield
    finally:
        rl_config.useA85 = before


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
            _Pen(canvas).draw(runs(replace(view, at=(0.0, 0.0))))
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
            _Pen(canvas).draw(runs(view))
    canvas.showPage()


class _Pen:
    """Writes what is painted as the operators of PDF, handed to the canvas a view at a time.

    The library's own calls, one for each corner of each line, take three times as long: a car has 50,000 corners.
    What is rarer than lines, areas and texts is left to them.
    """

    def __init__(self, canvas: Any) -> None:
        self._canvas = canvas
        self._code: list[str] = []
        self._font: tuple[bool, int, float] | None = None

    def draw(self, painted: Iterable[Run]) -> None:
        """Paint runs, from the bottom up."""
        for run in painted:
            self._run(run)
        self._hand_over()

    def _hand_over(self) -> None:
        if self._code:
            self._canvas.drawText(_Code("\n".join(self._code)))
            self._code.clear()
            self._font = None

    def _run(self, run: Run) -> None:
        style = LAYERS[run.layer]
        write = self._code.append
        write(f"{_rgb(style.colour)} rg")
        if run.stage in ("hatch", "line"):
            dashes = " ".join(f"{length:g}" for length in DASHES[style.line]) if run.stage == "line" else ""
            write(f"{_rgb(style.colour)} RG {style.weight:g} w [{dashes}] 0 d")
        for ink in run.items:
            if isinstance(ink, Text):
                self._text(ink)
            elif isinstance(ink, Painted | Strands):
                self._paint(ink)
            elif run.stage == "fill":
                if isinstance(ink, Polyline | Circle):
                    write(f"{_rgb(tint(ink.fill) or (0, 0, 0))} rg")
                write(f"{_course(ink)} f")
            else:
                write(f"{_course(ink)} S")

    def _paint(self, ink: Painted | Strands) -> None:
        if isinstance(ink, Painted) and not isinstance(ink.paint, Gradient) and ink.opacity == 1:
            self._code.append(f"q {_rgb(ink.paint)} rg\n{_course(ink)} f* Q")
            return
        self._hand_over()
        canvas = self._canvas
        canvas.saveState()
        if isinstance(ink, Strands):
            canvas.setStrokeAlpha(ink.opacity)
            self._code.append(f"{_rgb(ink.colour)} RG {ink.width:.4f} w\n{_course(ink)} S")
        elif isinstance(ink.paint, Gradient):
            canvas.setFillAlpha(ink.opacity)
            self._code.append(f"{_course(ink)} W* n")
            self._hand_over()
            shares, colours = zip(*ink.paint.stops, strict=True)
            inks = [Color(*(share / 255 for share in colour)) for colour in colours]
            canvas.linearGradient(*ink.paint.start, *ink.paint.end, inks, shares, extend=True)
        else:
            canvas.setFillAlpha(ink.opacity)
            self._code.append(f"{_rgb(ink.paint)} rg\n{_course(ink)} f*")
        self._hand_over()
        canvas.restoreState()

    def _text(self, text: Text) -> None:
        x, y = text_base(text)
        size = text.height / CAPITALS
        document = self._canvas._doc
        font = pdfmetrics.getFont(_BOLD if text.bold else _REGULAR)
        code = f"BT {'0 1 -1 0' if text.angle else '1 0 0 1'} {x:.3f} {y:.3f} Tm"
        for subset, signs in font.splitString(text.text, document):
            if (text.bold, subset, size) != self._font:
                self._font = (text.bold, subset, size)
                code += f" {font.getSubsetInternalName(subset, document)} {size:.4f} Tf"
            code += f" ({_escaped(signs)}) Tj"
        self._code.append(code + " ET")


class _Code:
    """Operators in the form in which a canvas takes a text or a path."""

    def __init__(self, code: str) -> None:
        self._code = code

    def getCode(self) -> str:
        return self._code


def _rgb(colour: RGB) -> str:
    return " ".join(f"{share / 255:.4g}" for share in colour)


_ESCAPES = {code: f"\\{code:03o}" for code in (*range(32), *range(127, 256))} | {ord(c): f"\\{c}" for c in "()\\"}


def _escaped(signs: bytes) -> str:
    return signs.decode("latin-1").translate(_ESCAPES)


def _course(ink: Ink) -> str:
    """The operators that lay a path, to 0.001 mm, without those that paint it."""
    if isinstance(ink, Polyline):
        return _ring(ink.points, ink.closed)
    if isinstance(ink, Line):
        return _ring((ink.start, ink.end), False)
    if isinstance(ink, Strokes):
        course = "%.3f %.3f m %.3f %.3f l " * len(ink.segments)
        return course % tuple(value for start, end in ink.segments for value in (*start, *end))
    if isinstance(ink, Painted):
        return " ".join(_ring(ring, True) for ring in ink.rings)
    if isinstance(ink, Strands):
        return " ".join(_strand(run) for run in ink.runs)
    path: Any = PDFPathObject()
    if isinstance(ink, Circle):
        path.circle(*ink.centre, ink.radius)
    elif isinstance(ink, Arc):
        (x, y), r = ink.centre, ink.radius
        path.arc(x - r, y - r, x + r, y + r, ink.start, (ink.end - ink.start) % 360)
    code: str = path.getCode()
    return code


def _ring(points: Sequence[XY], closed: bool) -> str:
    course = "%.3f %.3f m" + " %.3f %.3f l" * (len(points) - 1) + (" h" if closed else "")
    return course % tuple(value for point in points for value in point)


def _strand(run: Sequence[XY]) -> str:
    if len(run) == 2:
        return _ring(run, False)
    course = "%.3f %.3f m" + " %.3f %.3f %.3f %.3f %.3f %.3f c" * (len(run) - 1)
    return course % (*run[0], *(value for curve in curves(run) for point in curve for value in point))

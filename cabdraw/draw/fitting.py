"""How large a view is drawn and where it stands: measured from everything in it, its figures and names too."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from cabdraw.cab import Cab
from cabdraw.draw.measure import text_box
from cabdraw.draw.occupied import Occupied, extent, texts
from cabdraw.draw.paper import Area, Paper
from cabdraw.draw.scales import Scale, preferred, read_scale
from cabdraw.draw.shapes import XY, Line, Shape
from cabdraw.draw.title import frame

#: Paper mm kept clear between a view and the frame, and between its figures and the frame's centring marks.
CLEAR = 1.8
#: Paper mm by which a view is moved aside to clear a centring mark, the least first: a title's half width and more.
_ASIDE = tuple(3.0 * n for n in range(1, 14))


def fitted(
    cab: Cab, draw: Callable[[Scale], Sequence[Shape]], area: Area, least: XY = (0.0, 0.0)
) -> tuple[Scale, list[Shape]]:
    """The sheet's stated scale, or the largest preferred one where that is auto or too large; and what is drawn at it.

    `least` is across and up what is drawn at every scale, in mm: where that alone does not fit, nothing is drawn.
    """
    stated = read_scale(cab.sheet.scale)
    scales = [*([stated] if stated else []), *preferred(cab.printing.system)]
    across, up = area.width - 2 * CLEAR, area.height - 2 * CLEAR
    for scale in scales:
        if least[0] * scale.ratio <= across and least[1] * scale.ratio <= up:
            drawn = draw(scale)
            if fits(drawn, scale.ratio, area):
                return scale, list(drawn)
    return scales[-1], list(draw(scales[-1]))


def fits(drawn: Sequence[Shape], scale: float, area: Area) -> bool:
    """Whether everything drawn fits an area of the paper."""
    x0, y0, x1, y1 = extent(drawn, scale)
    return (x1 - x0) * scale <= area.width - 2 * CLEAR and (y1 - y0) * scale <= area.height - 2 * CLEAR


def place(drawn: Sequence[Shape], scale: float, sheet: Paper, area: Area | None = None) -> XY:
    """Where the origin of what is drawn comes to stand: in the middle of an area, or the drawing area.

    It moves so far aside that no figure meets a centring mark of the frame.
    """
    area = area or sheet.drawing
    x0, y0, x1, y1 = extent(drawn, scale)
    middle = ((area.left + area.right - (x0 + x1) * scale) / 2, (area.low + area.high - (y0 + y1) * scale) / 2)
    marks = Occupied(1.0, CLEAR)
    marks.add(shape for shape in frame(sheet) if isinstance(shape, Line) and shape.layer == "FRAME")
    boxes = [text_box(text, scale) for shape in drawn for text in texts(shape)]
    room = (area.width - (x1 - x0) * scale) / 2 - CLEAR
    for aside in (0.0, *(way * step for step in _ASIDE for way in (1, -1))):
        x, y = middle[0] + aside, middle[1]
        if abs(aside) <= room and all(
            marks.free((x + a * scale, y + b * scale, x + c * scale, y + d * scale)) for a, b, c, d in boxes
        ):
            return x, y
    return middle

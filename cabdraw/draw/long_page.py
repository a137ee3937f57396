"""A sheet longer than any page may be, as pages that overlap and are joined at a line."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from cabdraw.draw.measure import text_box
from cabdraw.draw.occupied import texts
from cabdraw.draw.shapes import Line, Shape, Sheet, Text, View

#: The longest page in mm that programs open is 5080 (200 in, from memory of the PDF reference); some room is left.
LONGEST = 5000.0
#: How far two pages overlap, in mm: room for the join to stand where it meets no text.
OVERLAP = 240.0


def pages(sheet: Sheet) -> tuple[Sheet, ...]:
    """The sheet itself if a page can hold it, else equal pages from the left, with a line at which to join two."""
    longest = LONGEST / max(1.0, sheet.stretch[0])
    if sheet.width <= longest:
        return (sheet,)
    count = ceil((sheet.width - OVERLAP) / (longest - OVERLAP))
    step = (sheet.width - OVERLAP) / count
    joins = [_join(sheet, step * number + OVERLAP / 2) for number in range(1, count)]
    return tuple(_page(sheet, index, step, joins) for index in range(count))


def _join(sheet: Sheet, wanted: float) -> float:
    """A place for a join, as near as can be to where it is wanted, at which it crosses no text of the views."""
    spans = []
    for view in sheet.views:
        # The mark across a template may be crossed.
        for text in (text for shape in view.shapes if shape.layer != "CAUTION" for text in texts(shape)):
            x0, _, x1, _ = text_box(text, view.scale)
            spans.append((view.at[0] + x0 * view.scale - 2.0, view.at[0] + x1 * view.scale + 2.0))
    places = (wanted + way * off * 2.0 for off in range(int(OVERLAP / 4) - 5) for way in (1, -1))
    return next((x for x in places if not any(a < x < b for a, b in spans)), wanted)


def _page(sheet: Sheet, index: int, step: float, joins: Sequence[float]) -> Sheet:
    left, count = index * step, len(joins) + 1
    views = [View("paper", 1.0, (-left, 0.0), sheet.paper)]
    views += [View(view.name, view.scale, (view.at[0] - left, view.at[1]), view.shapes) for view in sheet.views]
    marks: list[Shape] = []
    high = max((view.window[1][1] for view in sheet.views), default=sheet.height)
    for join in range(max(0, index - 1), min(index + 1, len(joins))):
        x, other = joins[join] - left, index + 2 if join == index else index
        marks.append(Line("CHECK", (x, 0.0), (x, high)))
        words = f"page {index + 1}: join to page {other}"
        marks.append(Text("CHECK", (x - 3.0, 11.0), words, 5.0, "right", "middle"))
    about = tuple((key, _numbered(value, index, count) if key == "title" else value) for key, value in sheet.about)
    return Sheet(
        f"{sheet.name}-page-{index + 1}",
        _numbered(sheet.title, index, count),
        step + OVERLAP,
        sheet.height,
        tuple(marks),
        tuple(views),
        about,
        sheet.stretch,
    )


def _numbered(title: str, index: int, count: int) -> str:
    return f"{title}, page {index + 1} of {count}"

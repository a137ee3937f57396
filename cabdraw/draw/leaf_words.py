"""The first pages of a template in small pages: what it is, how to use it, cautions, and a table of its holes."""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.draw.leaf import Block, Leaf, heading, paragraphs, rows
from cabdraw.draw.template import CAUTIONS, CORRECT, sentence, stopped, use_notes
from cabdraw.draw.title import stops_fabrication
from cabdraw.errors import Finding


def cover(page: Leaf, findings: Sequence[Finding], printed: Sequence[str], figure: Block | None) -> list[Block]:
    """The blocks of the first pages.

    `printed` says how these papers are put to use, `figure` is a picture of the whole, if there is one.
    """
    cab, wall, width = page.cab, page.wall, page.inner.width
    assert wall.rail is not None
    job, size = cab.job, cab.printing.size
    units = "inches" if cab.printing.system == "inch" else "millimetres"
    blocks = [heading(f"Drilling template: {wall.name} wall", width, "TEXT", 7.0)]
    about = [
        f"{job.project}, {job.car}",
        f"Number {job.number or '–'}, revision {job.revision or '–'}, date {job.date or '–'}",
        f"Drawn by {job.drawn_by or '–'}, checked by {job.checked_by or '–'}",
        f"Full size, 1:1, seen from inside the car. Dimensions in {units}.",
    ]
    blocks += paragraphs(about, width, "TEXT", False)
    if stops_fabrication(findings):
        blocks.append(heading("NOT FOR FABRICATION", width, "CAUTION"))
    reasons = [f"{sentence(f.message)} {sentence(f.hint)}" for f in stopped(findings, wall.name)]
    if reasons:
        blocks.append(heading("DO NOT DRILL, because", width, "CAUTION"))
        blocks += paragraphs(reasons, width, "CAUTION")
    if figure is not None:
        blocks.append(figure)
    blocks.append(heading("How to use", width))
    blocks += paragraphs([*printed, *use_notes(cab, wall, wall.rail), CORRECT], width)
    blocks.append(heading("Cautions", width, "CAUTION"))
    blocks += paragraphs(CAUTIONS, width, "CAUTION")
    blocks.append(heading("Clear behind? Sign each hole", width))
    heads = ("hole", "from left end", "clear", "initials, date")
    cells = [heads, *((str(s.number), size(s.x), "", "") for s in wall.rail.standoffs)]
    blocks += rows(cells, (16.0, 40.0, 18.0, min(70.0, width - 74.0)))
    return blocks

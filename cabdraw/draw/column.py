"""A whole sheet: frame, title column and views put together, the same way for every kind of drawing."""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.cab import Cab
from cabdraw.draw.paper import Paper
from cabdraw.draw.shapes import Shape, Sheet, View
from cabdraw.draw.title import (
    Title,
    banner,
    finding_lines,
    frame,
    heading,
    key_plan,
    legend,
    notes,
    stops_fabrication,
    title_block,
)
from cabdraw.errors import Finding


class Column:
    """The title column of one sheet, filled from the top; what does not fit over the title block is left out."""

    def __init__(self, cab: Cab, paper: Paper, title: Title, findings: Sequence[Finding]) -> None:
        self._cab, self._paper, self._title, self._findings = cab, paper, title, findings
        block, self._top = title_block(cab, title, paper, findings)
        self.shapes: list[Shape] = list(block)
        self._y = paper.column.high - 3.0
        if stops_fabrication(findings):
            self._put(banner(paper.column, self._y, "NOT FOR FABRICATION"))

    def _put(self, made: tuple[list[Shape], float]) -> bool:
        drawn, under = made
        if under < self._top:
            return False
        self.shapes += drawn
        self._y = under
        return True

    def key_plan(self, seen: str) -> None:
        """A small plan that shows which wall is seen."""
        self._put(key_plan(self._cab, self._paper.column, self._y, seen))

    def notes(self, title: str, lines: Sequence[str]) -> None:
        """Numbered notes under a heading, as many as there is room for."""
        area = self._paper.column
        first, under = heading(area, self._y, title)
        for count in range(len(lines), 0, -1):
            rest, low = notes(area, under, lines[:count])
            if self._put(([*first, *rest], low - 2.0)):
                return

    def legend(self, entries: Sequence[tuple[str, str, str]]) -> None:
        """What tints and lines mean."""
        area = self._paper.column
        first, under = heading(area, self._y, "Key")
        rest, under = legend(area, under, entries)
        self._put(([*first, *rest], under - 2.0))

    def findings(self, wall: str | None) -> None:
        """The open findings of one wall, or of the whole car; those without room are counted."""
        found = finding_lines(self._findings, wall)
        area = self._paper.column
        first, under = heading(area, self._y, "Findings")
        for count in range(len(found), 0, -1):
            more = [f"{len(found) - count} more in the report"] if count < len(found) else []
            rest, low = notes(area, under, found[:count] + more)
            if self._put(([*first, *rest], low)):
                return

    def sheet(self, name: str, subject: str, views: Sequence[View], shapes: Sequence[Shape] = ()) -> Sheet:
        """The finished sheet; `shapes` stand on the paper beside the views."""
        job = self._cab.job
        title = f"{job.project}, {job.car}: {self._title.title.lower()}"
        about = (
            ("title", title),
            ("subject", subject),
            ("author", job.drawn_by or ""),
            ("revision", job.revision or ""),
            ("date", job.date or ""),
        )
        paper = self._paper
        return Sheet(
            name, title, paper.width, paper.height, (*frame(paper), *self.shapes, *shapes), tuple(views), about
        )

"""Tables on a sheet: columns as wide as they need, rows that never overlap, as many pieces as the height asks for."""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.draw.measure import text_width
from cabdraw.draw.paper import Area
from cabdraw.draw.shapes import Line, Polyline, Shape, Text
from cabdraw.draw.style import NOTE
from cabdraw.draw.swatch import finish_swatch
from cabdraw.draw.words import fitted, wrapped
from cabdraw.finish import Finish
from cabdraw.frozen import Frozen

ROW, HEAD, TITLE = 5.2, 6.0, 8.0
PAD = 1.6
#: Between two tables.
GAP = 6.0
#: The least width to which a column whose text may be broken into lines is squeezed.
SQUEEZED = 24.0
#: The width of a column of swatches.
SWATCH = 15.0


class Table(Frozen):
    """A titled table; `right` marks the columns whose cells stand at the right, figures say.

    `wraps` are the columns whose text may be broken into lines where the table must be narrower. With `swatches`,
    one a row, the first column, whose cells are empty, shows them.
    """

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: tuple[bool, ...] = ()
    wraps: tuple[int, ...] = ()
    swatches: tuple[Finish, ...] = ()


class Press:
    """Draws tables; `times` is how much larger than usual, 1 on a sheet as large as A3.

    `squeezed` is the least width, at that size, of a column whose text may be broken into lines.
    """

    def __init__(self, times: float = 1.0, squeezed: float = SQUEEZED) -> None:
        self.times = times
        self.squeezed = squeezed
        self.text = NOTE * times

    def natural(self, table: Table) -> list[float]:
        """The width that each column's longest cell needs."""
        found = []
        for i, head in enumerate(table.heads):
            cells = [text_width(head, self.text, True), *(text_width(row[i], self.text) for row in table.rows)]
            found.append(max(cells) + 2 * PAD * self.times)
        if table.swatches:
            found[0] = max(found[0], SWATCH * self.times)
        return found

    def least(self, table: Table) -> float:
        """The least width of a table without shrinking any text."""
        return sum(
            min(w, self._squeezed(table, i)) if i in table.wraps else w for i, w in enumerate(self.natural(table))
        )

    def _squeezed(self, table: Table, column: int) -> float:
        head = text_width(table.heads[column], self.text, True) + 2 * PAD * self.times
        return max(self.squeezed * self.times, head)

    def widths(self, table: Table, room: float) -> list[float]:
        """The width of each column: its natural one, or squeezed by breaking lines, or all in proportion."""
        found = self.natural(table)
        over = sum(found) - room
        if over <= 0:
            return found
        give = {i: more for i in table.wraps if (more := found[i] - self._squeezed(table, i)) > 0}
        if give:
            share = min(1.0, over / sum(give.values()))
            for i, most in give.items():
                found[i] -= most * share
        whole = sum(found)
        return [width * min(1.0, room / whole) for width in found]

    def draw(self, table: Table, area: Area, first: int = 0) -> tuple[list[Shape], float, int]:
        """A table from its row `first` on, from the top of an area: its shapes, the height under it, the rows drawn."""
        k = self.times
        wide = self.widths(table, area.width)
        right = area.left + sum(wide)
        y = area.high - TITLE * k
        if y - (HEAD + ROW) * k < area.low:
            return [], area.high, 0
        title = table.title + (", continued" if first else "")
        words, size = fitted(title, area.width, 3.5 * k, True)
        shapes: list[Shape] = [Text("TEXT", (area.left, area.high - 2.0 * k), words, size, "left", "top", 0.0, True)]
        edges = [area.left]
        for w in wide:
            edges.append(edges[-1] + w)
        band = Area(area.left, y - HEAD * k, right, y)
        shapes.append(Polyline("TABLE", band.corners, True, "band"))
        for i, head in enumerate(table.heads):
            self._cell(shapes, table, i, head, edges, y - HEAD * k / 2, True)
        top, y = y, y - HEAD * k
        drawn = 0
        for row in table.rows[first:]:
            lines = self._lines(table, row, wide)
            high = ROW * k + (max(len(cell) for cell in lines) - 1) * self.text * 1.5
            if y - high < area.low:
                break
            for i, cell in enumerate(lines):
                for n, text in enumerate(cell):
                    self._cell(shapes, table, i, text, edges, y - ROW * k / 2 - n * self.text * 1.5, False)
            if table.swatches:
                swatch = Area(edges[0], y - ROW * k, edges[1], y).inset(0.9 * k)
                shapes += finish_swatch(table.swatches[first + drawn], swatch)
            y -= high
            shapes.append(Line("TABLE", (area.left, y), (right, y)))
            drawn += 1
        shapes += [Line("TABLE", (x, y), (x, top)) for x in edges]
        return shapes, y, drawn

    def _lines(self, table: Table, row: Sequence[str], wide: Sequence[float]) -> list[list[str]]:
        return [
            wrapped(cell, w - 2 * PAD * self.times + 0.01, self.text) if i in table.wraps and cell else [cell]
            for i, (cell, w) in enumerate(zip(row, wide, strict=True))
        ]

    def _cell(
        self, shapes: list[Shape], table: Table, column: int, text: str, edges: Sequence[float], y: float, bold: bool
    ) -> None:
        if not text:
            return
        pad = PAD * self.times
        left, right = edges[column], edges[column + 1]
        words, size = fitted(text, right - left - 2 * pad + 0.01, self.text, bold)
        if table.right and table.right[column]:
            shapes.append(Text("TEXT", (right - pad, y), words, size, "right", "middle", 0.0, bold))
        else:
            shapes.append(Text("TEXT", (left + pad, y), words, size, "left", "middle", 0.0, bold))

    def flow(self, tables: Sequence[Table], area: Area) -> list[list[Shape]]:
        """Tables one under another in columns, sheet after sheet: the shapes of each sheet."""
        gap = GAP * self.times
        sheets: list[list[Shape]] = [[]]
        x, y, column = area.left, area.high, 0.0
        waiting = [(table, 0) for table in tables if table.rows]
        while waiting:
            # The next table that fits the rest of this column goes there, else the first of all into a new column.
            for place, (table, done) in enumerate(waiting):
                room = area.right - x
                if self.least(table) > room + 0.01 and not (x == area.left and y == area.high):
                    continue
                shapes, under, drawn = self.draw(table, Area(x, area.low, x + min(room, area.width), y), done)
                if drawn == 0 or (drawn < min(3, len(table.rows) - done) and y < area.high):
                    continue
                sheets[-1] += shapes
                title = text_width(table.title + (", continued" if done else ""), 3.5 * self.times, True)
                column = max(column, sum(self.widths(table, room)), min(title, room))
                y = under - gap
                waiting[place : place + 1] = [(table, done + drawn)] if done + drawn < len(table.rows) else []
                break
            else:
                x, y = x + column + gap, area.high
                if column == 0.0 or all(self.least(table) > area.right - x for table, _ in waiting):
                    sheets.append([])
                    x = area.left
                column = 0.0
        return [sheet for sheet in sheets if sheet]

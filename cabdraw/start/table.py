"""A table of readings as it was kept in a spreadsheet: cells that know their places, from CSV or from a workbook."""

from __future__ import annotations

import csv
import io
import os
import stat
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Literal

from cabdraw.frozen import Frozen
from cabdraw.spec.source import why_unread
from cabdraw.units import quoted

#: Bounds on a table: the readings of a car are a hundred rows of ten cells.
MOST_BYTES = 5_000_000
MOST_CSV_BYTES = 1_000_000
MOST_ROWS = 2_000
MOST_COLUMNS = 60
LONGEST_CELL = 1_000
_AT_ONCE = getattr(os, "O_NONBLOCK", 0)
_SEPARATORS = (",", ";", "\t")

Kind = Literal["text", "number", "date", "wrong"]


class BadTable(Exception):
    """A table that is refused, with everything that is wrong in it, a line each."""

    def __init__(self, *lines: str) -> None:
        super().__init__("\n".join(lines))
        self.lines = lines


class Cell(Frozen):
    """One cell: its place as errors show it, what it holds, and whether that is a date or is wrong of itself."""

    place: str
    text: str
    kind: Kind = "text"


class Table(Frozen):
    """The rows of a table, blank cells among them; `commas` tells that its decimals may be written with commas."""

    name: str
    rows: tuple[tuple[Cell, ...], ...]
    remark: str = ""
    """What its maker should know of how it was read; empty for nothing."""


def letters(column: int) -> str:
    """A column's name in a spreadsheet, from 0: A, B, … Z, AA."""
    name = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        name = chr(65 + rest) + name
    return name


def read_table(path: Path) -> Table:
    """A file's table. Raises `BadTable`."""
    name = quoted(path.name, 80)[1:-1]
    try:
        # Without a wait for whoever writes into a pipe: a file comes all the same.
        with open(path, "rb", opener=lambda place, flags: os.open(place, flags | _AT_ONCE)) as file:
            if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
                raise BadTable(f"{name}: is no file on a disk; name a table that ends in .csv or .xlsx")
            data = file.read(MOST_BYTES + 1)
    except IsADirectoryError:
        raise BadTable(f"{name}: is a folder; name a table in it that ends in .csv or .xlsx") from None
    except (OSError, ValueError) as problem:
        what, mend = why_unread(problem)
        raise BadTable(f"{name}: {what}" + (f"; {mend}" if mend else "")) from None
    if len(data) > MOST_BYTES:
        raise BadTable(
            f"{name}: is larger than {MOST_BYTES // 1_000_000} MB, and no survey is; is this the right file?"
        )
    if data.startswith(b"PK"):
        from cabdraw.start.workbook import workbook_table

        return workbook_table(data, name)
    if data.startswith(b"\xd0\xcf\x11\xe0"):
        raise BadTable(f"{name}: is a workbook of an old kind, or has a password; save it as .xlsx without one")
    return csv_table(data, name)


def csv_table(data: bytes, name: str) -> Table:
    """The table of a CSV file, whatever a spreadsheet separates its cells with. Raises `BadTable`."""
    if len(data) > MOST_CSV_BYTES:
        raise BadTable(f"{name}: is larger than 1 MB, and no survey is; is this the right file?")
    text, remark = _decoded(data, name)
    if "\0" in text:
        raise BadTable(f"{name}: is no table: it holds bytes that no text has")
    first, _, rest = text.partition("\n")
    separator = ""
    skipped = 0
    if first.strip().lower().startswith("sep=") and len(first.strip()) == 5:
        separator, text, skipped = first.strip()[4], rest, 1
    separator = separator or _separator(text)
    rows = []
    try:
        every = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
        for number, row in enumerate(every, 1 + skipped):
            rows.append(tuple(_cells(name, number, row)))
            if len(rows) > MOST_ROWS:
                raise BadTable(f"{name}:{number}: has more than {MOST_ROWS} rows, and no survey does")
    except csv.Error:
        raise BadTable(f"{name}: is no table: a quote is opened and never closed, or a cell is too long") from None
    return Table(name, tuple(rows), remark)


def _cells(name: str, number: int, row: Sequence[str]) -> Iterator[Cell]:
    if len(row) > MOST_COLUMNS and any(cell.strip() for cell in row[MOST_COLUMNS:]):
        raise BadTable(f"{name}:{number}: has more than {MOST_COLUMNS} cells, and no row of a survey does")
    for column, text in enumerate(row[:MOST_COLUMNS]):
        place = f"{name}:{number}:{letters(column)}"
        if len(text) > LONGEST_CELL:
            raise BadTable(f"{place}: holds {len(text)} characters, and no reading does")
        yield Cell(place, text.strip())


def _separator(text: str) -> str:
    """The sign that there is most of in the line that heads the columns, else in the first line that has any."""
    for line in text.splitlines()[:50]:
        if "reading" in line.lower() and any(sign in line for sign in _SEPARATORS):
            return max(_SEPARATORS, key=line.count)
    return next(
        (max(_SEPARATORS, key=line.count) for line in text.splitlines() if any(map(line.count, _SEPARATORS))), ","
    )


def _decoded(data: bytes, name: str) -> tuple[str, str]:
    """The text, and a remark where its encoding was a guess."""
    for mark, encoding in ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16")):
        if data.startswith(mark):
            try:
                return data.decode(encoding), ""
            except UnicodeDecodeError:
                raise BadTable(f"{name}: is no UTF-16 text, though it begins like one; save it as CSV UTF-8") from None
    if data[1:2] == b"\0" or data[:1] == b"\0":
        try:
            return data.decode("utf-16-le" if data[1:2] == b"\0" else "utf-16-be"), ""
        except UnicodeDecodeError:
            raise BadTable(f"{name}: is no text; save it as CSV UTF-8") from None
    try:
        return data.decode("utf-8-sig"), ""
    except UnicodeDecodeError:
        pass
    try:
        text = data.decode("cp1252")
    except UnicodeDecodeError as error:
        what = f"the byte 0x{data[error.start]:02X} is of no text; save the table again as CSV UTF-8"
        raise BadTable(f"{name}:{data[: error.start].count(bytes((10,))) + 1}: {what}") from None
    return text, f"{name}: is not UTF-8 and was read as Windows-1252; look at its names, or save it again as CSV UTF-8"

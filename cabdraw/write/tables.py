"""Lists as CSV and values as JSON, the same bytes each time."""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Iterable, Sequence
from io import StringIO

Cell = str | int | float | None
#: What makes a spreadsheet take a text for a formula, in plain and full width.
_FORMULA = r"[=+\-@\t\r\n\uff1d\uff0b\uff0d\uff20]"
#: Where a cell may start: also at what other spreadsheets than those of the comma take for the end of the one before.
_STARTS = re.compile(rf"(^|[;\t|]\s*)(?={_FORMULA})")
_NUMBER = re.compile(r"[+-]?[0-9]+(\.[0-9]+)?")


def csv_bytes(header: Sequence[str], rows: Iterable[Sequence[Cell]]) -> bytes:
    """A table as CSV (RFC 4180): UTF-8, lines end in CR LF, cells quoted where they must be.

    A text that a spreadsheet would run as a formula gets an apostrophe before it; numbers stay as they are. So does
    one that would stand at the start of a cell where a spreadsheet reads `;` or a tab as the separator.
    Raises ValueError for a row that is not as long as the header.
    """
    out = StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([_cell(name) for name in header])
    for row in rows:
        if len(row) != len(header):
            raise ValueError(f"a row has {len(row)} cells where the header has {len(header)}")
        writer.writerow([_cell(cell) for cell in row])
    return out.getvalue().encode("utf-8", "replace")


def json_bytes(value: object) -> bytes:
    """A value as JSON: UTF-8, indented, keys in the order given, a line end last; raises ValueError for NaN."""
    text = json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False)
    return (text + "\n").encode("utf-8", "replace")


def _cell(cell: Cell) -> Cell:
    if not isinstance(cell, str) or _NUMBER.fullmatch(cell):
        return cell
    return _STARTS.sub(r"\1'", cell)

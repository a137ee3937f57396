"""A survey out of a spreadsheet: its file read, its readings put into the form's spec."""

from __future__ import annotations

import re
from pathlib import Path

from cabdraw.errors import BadSpec
from cabdraw.frozen import Frozen, replace
from cabdraw.spec.json_schema import FIRST_LINE
from cabdraw.start.filled import blanks, filled_text
from cabdraw.start.readings import readings
from cabdraw.start.table import BadTable, read_table
from cabdraw.start.wanted import Units


class Imported(Frozen):
    """The spec of a table of readings, its lines that are still blank, and what to know of how it was read."""

    text: str
    blank: tuple[tuple[int, str], ...]
    remark: str


def imported(path: Path, units: Units | None = None) -> Imported:
    """The readings of a spreadsheet as a spec. Raises `BadTable` with everything that is wrong, each at its cell."""
    found = readings(read_table(path), units)
    text = f"{FIRST_LINE}\n{filled_text(found)}"
    return Imported(text, tuple(blanks(text)), found.remark)


def in_table(bad: BadSpec, found: Imported, path: Path) -> BadTable:
    """What is wrong in the spec of a table, said by the form's numbers, which the table has: nobody sees that spec."""
    lines = found.text.splitlines()
    said = []
    for error in bad.errors:
        line = lines[error.line - 1] if 0 < error.line <= len(lines) else ""
        number = re.search(r"# ([A-Z][0-9]+)\b", line)
        place = f"{path}: {number[1]}" if number else str(path)
        said.append(str(replace(error, file=place, line=0, column=0)))
    return BadTable(*said)


def is_table(path: Path) -> bool:
    """Whether a file is a spreadsheet by its name, and no spec."""
    return path.suffix.lower() in (".csv", ".tsv", ".txt", ".xlsx", ".xlsm", ".xls")

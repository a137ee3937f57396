"""Reading a table out of an XLSX workbook: values as they were saved, nothing worked out, nothing followed."""

from __future__ import annotations

import datetime
import io
import zipfile
from typing import Any

import openpyxl

from cabdraw.start.table import LONGEST_CELL, MOST_COLUMNS, MOST_ROWS, BadTable, Cell, Kind, Table, letters
from cabdraw.units import quoted

#: Bounds on what a workbook holds once it is unpacked.
MOST_UNPACKED = 20_000_000
MOST_MEMBERS = 300
#: Tags of one part of it: what a reader makes of each takes a hundred times its room. A sheet of rows that were only
#: given a height, as some programs save them, has the most.
MOST_TAGS = 310_000
#: Tags of what is no sheet: styles, and texts that cells share.
MOST_OTHER_TAGS = 50_000
#: Rows that follow one another without a value.
MOST_BLANK = 400_000
_MORE = "holds more than any survey does, once unpacked; is this the right file?"
#: Decimal places that are kept of a number: what a spreadsheet has beyond them is noise.
_PLACES = 6


def workbook_table(data: bytes, name: str) -> Table:
    """The one sheet of a workbook that has a column of readings. Raises `BadTable`."""
    _bounded(data, name)
    try:
        sheets = _sheets(data, name)
    except BadTable:
        raise
    except Exception:  # whatever a reader of another make makes of a broken file
        raise BadTable(f"{name}: is no workbook that can be read; save it again as .xlsx, or as CSV UTF-8") from None
    found = [
        (title, rows)
        for title, rows in sheets
        if any(cell.text.lower().startswith("reading") for row in rows for cell in row)
    ]
    if not found:
        raise BadTable(
            f"{name}: no sheet has a column called reading 1; cabdraw survey --table xlsx writes one that has"
        )
    if len(found) > 1:
        titles = ", ".join(quoted(title, 40) for title, _ in found)
        raise BadTable(f"{name}: several sheets have readings, {titles}; keep the one of this car")
    return Table(name, found[0][1])


def _bounded(data: bytes, name: str) -> None:
    """Raises `BadTable` for what takes much room to unpack, or could have a reader of XML fetch or repeat things."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            members = packed.infolist()
            if len(members) > MOST_MEMBERS or sum(member.file_size for member in members) > MOST_UNPACKED:
                raise BadTable(f"{name}: {_MORE}")
            for member in members:
                if member.filename.lower().endswith((".xml", ".rels", ".vml")):
                    held = packed.read(member)
                    if b"<!DOCTYPE" in held or b"<!ENTITY" in held or b"\0" in held[:200]:
                        raise BadTable(f"{name}: holds what no spreadsheet program writes; save it again as .xlsx")
                    if held.count(b"<") > (MOST_TAGS if "sheets/" in member.filename else MOST_OTHER_TAGS):
                        raise BadTable(f"{name}: {_MORE}")
    except (zipfile.BadZipFile, RuntimeError, NotImplementedError, OSError, EOFError, ValueError):
        raise BadTable(f"{name}: is broken, or has a password; save it again as .xlsx without one") from None
    except Exception as problem:
        if isinstance(problem, BadTable):
            raise
        raise BadTable(f"{name}: is broken; save it again as .xlsx") from None


def _sheets(data: bytes, name: str) -> list[tuple[str, tuple[tuple[Cell, ...], ...]]]:
    sheets = []
    values = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
    typed = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=False, keep_links=False)
    for sheet in values.worksheets:
        shown = quoted(sheet.title, 40)[1:-1]
        sheet.reset_dimensions()
        other = typed[sheet.title]
        other.reset_dimensions()
        rows: list[tuple[Cell, ...]] = []
        blank = 0
        for number, (row, formulas) in enumerate(zip(sheet.iter_rows(), other.iter_rows(), strict=True), 1):
            cells = tuple(
                _cell(f"{name}:{shown}!{letters(column)}{number}", cell, formulas[column])
                for column, cell in enumerate(row[:MOST_COLUMNS])
            )
            if not any(cell.text for cell in cells):
                blank += 1  # a sheet may go on blank for long
                if blank > MOST_BLANK:
                    raise BadTable(f"{name}:{shown}: {_MORE}")
                continue
            rows += [()] * blank if blank < MOST_ROWS else []
            blank = 0
            rows.append(cells)
            if len(rows) > MOST_ROWS:
                raise BadTable(f"{name}:{shown}!A{number}: has more than {MOST_ROWS} rows, and no survey does")
        sheets.append((sheet.title, tuple(rows)))
    return sheets


def _cell(place: str, cell: Any, formula: Any) -> Cell:
    value = cell.value
    if value is None:
        unsaved = isinstance(formula.value, str) and formula.value.startswith("=")
        if unsaved or getattr(formula, "data_type", "") == "f":
            return Cell(place, "a formula whose value was not saved; open the workbook, and save it again", "wrong")
        return Cell(place, "")
    text, kind = _value(value)
    if getattr(cell, "data_type", "") == "e":
        text, kind = f"{text} is an error of the spreadsheet; mend its formula", "wrong"
    if len(text) > LONGEST_CELL:
        raise BadTable(f"{place}: holds {len(text)} characters, and no reading does")
    return Cell(place, text, kind)


def _value(value: Any) -> tuple[str, Kind]:
    if isinstance(value, bool):
        return f"{str(value).upper()} is a truth value, and a reading is none; type what was read", "wrong"
    if isinstance(value, datetime.datetime):
        return (value.date().isoformat() if value.time() == datetime.time() else value.isoformat()), "date"
    if isinstance(value, datetime.date):
        return value.isoformat(), "date"
    if isinstance(value, datetime.time | datetime.timedelta):
        return str(value), "date"
    if isinstance(value, int | float):
        text = f"{value:.{_PLACES}f}" if isinstance(value, float) else str(value)
        return (text.rstrip("0").rstrip(".") if "." in text else text), "number"
    return str(value).strip(), "text"

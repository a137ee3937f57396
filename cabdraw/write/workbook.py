"""Lists as one XLSX workbook, a sheet each, the same bytes each time."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from io import BytesIO
from typing import Any

import xlsxwriter

from cabdraw.write.tables import Cell

#: What the file says of its making: the same always, so that the same lists are the same bytes.
_MADE = datetime(2000, 1, 1)
_WIDEST, _NARROWEST = 60, 8
_SIGNS_IN_A_NAME = 31


def workbook_bytes(
    sheets: Sequence[tuple[str, Sequence[str], Sequence[Sequence[Cell]]]], title: str, typed: bool = False
) -> bytes:
    """Sheets, each a name, a header and rows, as a workbook: headers frozen, with a filter; texts are never formulas.

    Where they are to be `typed` into, what is typed stays as it was typed: 3/4 becomes no date.
    Raises ValueError for a row that is not as long as its header.
    """
    out = BytesIO()
    book: Any = xlsxwriter.Workbook(out, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False})
    book.set_properties({"title": title, "author": "", "comments": "Written by cabdraw", "created": _MADE})
    bold = book.add_format({"bold": True, "bottom": 1})
    as_text = book.add_format({"num_format": "@"}) if typed else None
    for name, header, rows in sheets:
        sheet = book.add_worksheet(name[:_SIGNS_IN_A_NAME])
        widths = [len(column) for column in header]
        for column, text in enumerate(header):
            sheet.write_string(0, column, text, bold)
        for n, row in enumerate(rows, 1):
            if len(row) != len(header):
                raise ValueError(f"a row has {len(row)} cells where the header has {len(header)}")
            for column, cell in enumerate(row):
                if cell is None:
                    continue
                widths[column] = max(widths[column], len(str(cell)))
                if isinstance(cell, str) and (cell or not typed):
                    sheet.write_string(n, column, cell, as_text)
                elif isinstance(cell, str):
                    sheet.write_blank(n, column, None, as_text)
                else:
                    sheet.write_number(n, column, cell)
        for column, width in enumerate(widths):
            sheet.set_column(column, column, min(_WIDEST, max(_NARROWEST, width + 2)), as_text)
        sheet.freeze_panes(1, 1)
        if rows:
            sheet.autofilter(0, 0, len(rows), len(header) - 1)
        sheet.set_landscape()
        sheet.fit_to_pages(1, 0)
        sheet.repeat_rows(0)
    book.close()
    return out.getvalue()

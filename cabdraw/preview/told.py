"""What the page is told, as plain values: texts stay texts, and only drawings are markup."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from html import escape
from pathlib import Path
from typing import Any

from cabdraw.draw.page import Card, Cell, Drawing, Figure, Jump, Mark, PartList, Piece, Place, Stamp, Step, Table
from cabdraw.errors import SpecError
from cabdraw.write.svg import number, svg_content

#: Largest part of a file that is shown, in bytes; no spec is larger.
MOST_BYTES = 1_000_000
_LINE_END = re.compile("\r\n|[\r\n\x85\u2028\u2029]")
_UNSEEN = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u200b-\u200f\u202a-\u202e\u2060-\u2069\ud800-\udfff\ufeff]")


def drawing(drawn: Drawing) -> dict[str, Any]:
    """A drawing as markup for inside an svg element, and where the model stands in it."""
    sheet, view = drawn.sheet, drawn.sheet.views[0]
    return {
        "name": drawn.name,
        "title": drawn.title,
        "under": drawn.under,
        "width": round(sheet.width, 4),
        "height": round(sheet.height, 4),
        "scale": view.scale,
        "at": [round(view.at[0], 4), round(view.at[1], 4)],
        "ink": svg_content(sheet),
        "places": "".join(_place(place, sheet.height) for place in drawn.places),
    }


def _place(place: Place, height: float) -> str:
    course = "".join("M" + "L".join(f"{number(x)} {number(height - y)}" for x, y in ring) + "Z" for ring in place.rings)
    mark = escape(place.mark)
    # What a drawing does not show is shown when it is chosen, but cannot be touched.
    more = ' class="out" aria-hidden="true"' if place.hidden else f' role="button" tabindex="-1" aria-label="{mark}"'
    return f'<g data-part="{mark}"{more}><path fill-rule="evenodd" d="{course}"/></g>'


def file(name: str, path: Path) -> dict[str, Any]:
    """A file of the spec, line by line, as it stands on the disk."""
    try:
        with path.open("rb") as opened:
            text = opened.read(MOST_BYTES).decode("utf-8-sig", "replace")
    except (OSError, ValueError):
        text = ""
    lines = _LINE_END.split(text)
    if lines and not lines[-1]:
        lines.pop()
    return {"name": name, "lines": [seen(line) for line in lines]}


def seen(text: str) -> str:
    """A text in which nothing hides: signs that show nothing, or turn what follows round, as a mark of their own."""
    return _UNSEEN.sub("\ufffd", text)


def error(found: SpecError) -> dict[str, Any]:
    """A mistake in the spec, with its place."""
    return {
        "file": seen(found.file),
        "line": found.line,
        "column": found.column,
        "path": seen(found.path),
        "what": seen(found.what),
        "hint": seen(found.hint),
    }


def stamp(found: Stamp) -> dict[str, str]:
    """A mark over everything, and why it is there."""
    return {"text": found.text, "why": found.why}


def card(found: Card, file_name: str, line: int) -> dict[str, Any]:
    """A finding, with the line that mends it."""
    return {
        "severity": found.severity,
        "code": found.code,
        "message": seen(found.message),
        "stops": found.stops,
        "where": seen(found.where),
        "hint": seen(found.hint),
        "wall": found.wall,
        "about": [_piece(thing) for thing in found.about],
        "file": file_name,
        "line": line,
    }


def parts(listed: PartList) -> dict[str, Any]:
    """The list of parts."""
    return {
        "heads": listed.heads,
        "note": listed.note,
        "rows": [
            {"mark": row.mark, "kind": row.kind, "wall": row.wall, "cells": [_cell(cell) for cell in row.cells]}
            for row in listed.rows
        ],
    }


def step(found: Step) -> dict[str, Any]:
    """A step of the work."""
    return {
        "number": found.number,
        "title": seen(found.title),
        "marks": found.marks,
        "how": [seen(line) for line in found.how],
        "cautions": [seen(line) for line in found.cautions],
        "stamps": found.stamps,
        "tables": [_table(table) for table in found.tables],
    }


def _table(table: Table) -> dict[str, Any]:
    return {
        "title": seen(table.title),
        "heads": table.heads,
        "right": table.right or (False,) * len(table.heads),
        "rows": [[_cell(cell) for cell in row] for row in table.rows],
        "note": table.note,
    }


def _cell(cell: Cell) -> list[str | Mapping[str, Any]]:
    pieces: Sequence[Piece] = cell if isinstance(cell, tuple) else (cell,)
    return [_piece(piece) for piece in pieces]


def _piece(piece: Piece) -> str | Mapping[str, Any]:
    if isinstance(piece, Figure):
        return {"figure": piece.text, "value": piece.value}
    if isinstance(piece, Mark):
        return {"mark": piece.mark}
    if isinstance(piece, Jump):
        return {"step": piece.step}
    return seen(piece)


def facts(pairs: Iterable[tuple[str, str]]) -> list[list[str]]:
    """Names and what they stand for."""
    return [[seen(name), seen(value)] for name, value in pairs]

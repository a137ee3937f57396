"""Putting a new spec down, and beside it the schema that its first line names."""

from __future__ import annotations

import codecs
import json
import os
from collections.abc import Sequence
from pathlib import Path
from typing import Literal

from cabdraw.place import CannotPlace, put_new, put_renewed
from cabdraw.spec.json_schema import FILE, FIRST_LINE, json_schema, schema_text
from cabdraw.start.readings import blank_rows
from cabdraw.start.wanted import Units
from cabdraw.survey import survey
from cabdraw.write.tables import csv_bytes

FOR_EDITORS = "written, for editors that complete and check what is typed"
TAKEN = (
    "nothing was written: there is something under this name already, and it may be somebody's work; "
    "choose another name"
)


def free(place: Path, how: str = "") -> Path:
    """The place of a new spec; raises `CannotPlace` if something stands there, with how another is chosen."""
    if os.path.lexists(place):
        raise CannotPlace(f"{place}: {TAKEN}{how}")
    return place


def schema_beside(folder: Path) -> dict[str, bytes]:
    """The schema by the name of its file, where the folder has none."""
    return {} if os.path.lexists(folder / FILE) else {FILE: schema_text().encode()}


def named_schema(spec: bytes) -> bytes:
    """A spec with the first line that names the schema."""
    return f"{FIRST_LINE}\n".encode() + spec


def put_spec(place: Path, text: str) -> bool:
    """Write a new spec, and the schema beside it where none is; whether it wrote that. Raises `CannotPlace`."""
    free(place)
    beside = schema_beside(place.parent)
    put_new({place.name: text.encode(), **beside}, place.parent)
    return bool(beside)


def blank_table(units: Units, walls: Sequence[str], kind: Literal["csv", "xlsx"]) -> dict[str, bytes]:
    """A table to type readings into, by the name of its file."""
    header, *rows = blank_rows(survey(units, walls))
    if kind == "xlsx":
        from cabdraw.write.workbook import workbook_bytes

        return {"survey.xlsx": workbook_bytes([("readings", header, rows)], "Survey of an elevator car", typed=True)}
    # Without the mark a spreadsheet may take the file for another encoding.
    return {"survey.csv": codecs.BOM_UTF8 + csv_bytes(header, rows)}


def put_schema(place: Path) -> Literal["new", "same", "renewed"]:
    """Write the schema, also over an earlier one; raises `CannotPlace` where something else stands there."""
    return put_renewed(place, schema_text().encode(), _is_schema)


def _is_schema(held: bytes) -> bool:
    try:
        there = json.loads(held)
    except (ValueError, RecursionError):
        return False
    return isinstance(there, dict) and there.get("title") == json_schema()["title"]

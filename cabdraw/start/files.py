"""Putting a new spec down, and beside it the schema that its first line names."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Literal

from cabdraw.place import CannotPlace, put_new, put_renewed
from cabdraw.spec.json_schema import FILE, json_schema, schema_text

TAKEN = "nothing was written: there is something under this name already, and it may be somebody's work"


def free(place: Path) -> Path:
    """The place of a new spec; raises `CannotPlace` if something stands there."""
    if os.path.lexists(place):
        raise CannotPlace(f"{place}: {TAKEN}")
    return place


def put_spec(place: Path, text: str) -> bool:
    """Write a new spec, and the schema beside it where none is; whether it wrote that. Raises `CannotPlace`."""
    free(place)
    lacking = not os.path.lexists(place.parent / FILE)
    files = {place.name: text.encode()} | ({FILE: schema_text().encode()} if lacking else {})
    put_new(files, place.parent)
    return lacking


def put_schema(place: Path) -> Literal["new", "same", "renewed"]:
    """Write the schema, also over an earlier one; raises `CannotPlace` where something else stands there."""
    return put_renewed(place, schema_text().encode(), _is_schema)


def _is_schema(held: bytes) -> bool:
    try:
        there = json.loads(held)
    except ValueError:
        return False
    return isinstance(there, dict) and there.get("title") == json_schema()["title"]

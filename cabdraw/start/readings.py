"""From the rows of a table to readings in their places, with every error at its cell."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from cabdraw.errors import Path
from cabdraw.frozen import Frozen
from cabdraw.spec.part import part_problems
from cabdraw.start.figures import Unusable, as_date, as_length, as_mass, as_text, uses_commas
from cabdraw.start.items import Item, items
from cabdraw.start.table import BadTable, Cell, Table
from cabdraw.start.wanted import Refused, Units, read_units
from cabdraw.survey import WALLS, Survey, survey
from cabdraw.units import quoted

#: As many errors as are worth reading.
MOST_ERRORS = 200
_KNOWN = ("number", "item", "how", "reading 1, reading 2 and so on", "unit", "note")
_ALIKE = {"no": "number", "no.": "number", "nr": "number", "units": "unit", "notes": "note", "remark": "note",
          "reading": "reading 1", "what": "item", "value": "reading 1"}  # fmt: skip
_PARTS = ("job", "survey", "install")


class Taken(Frozen):
    """What one row says: its item, its readings as a spec has them, its note, and whether it has the form's number."""

    item: Item
    values: tuple[str, ...]
    note: str
    numbered: bool


class Readings(Frozen):
    """What a table says of a car: the form that it goes by, and the rows that have readings."""

    survey: Survey
    rows: tuple[Taken, ...]
    remark: str


@dataclass(slots=True)
class _Row:
    """A row by the columns' names; `at` is its first cell, where a row as a whole is wrong."""

    at: Cell
    number: Cell
    item: Cell
    readings: list[Cell]
    unit: Cell
    note: Cell


def readings(table: Table, units: Units | None = None) -> Readings:
    """The readings of a table; `units` counts where it does not say so itself. Raises `BadTable` with every error."""
    reading = _Reading(table)
    rows = reading.rows()
    named = reading.units(rows) or units
    if named is None:
        reading.wrong(rows[0].at if rows else Cell(table.name, ""), "no row says what the readings are in",
                      "add a row with the item units and inch or mm, or say it with --units")  # fmt: skip
        raise BadTable(*reading.errors)
    walls = [wall for wall in WALLS if any(_is_of(wall, row) for row in rows)]
    if not walls:
        reading.wrong(Cell(table.name, ""), "no wall has any reading", "add rows such as back width")
        raise BadTable(*reading.errors)
    asked = survey(named, walls)
    taken = reading.taken(rows, asked)
    if reading.errors:
        raise BadTable(*list(dict.fromkeys(reading.errors))[:MOST_ERRORS])
    return Readings(asked, taken, table.remark)


def _is_of(wall: str, row: _Row) -> bool:
    """Whether a row has readings of a wall, by its item or by the form's number."""
    if not any(cell.text for cell in row.readings):
        return False
    item = _plain(row.item.text)
    return (
        item.startswith(f"{wall} ") and "return" not in item if item else row.number.text[:1].upper() == wall[0].upper()
    )


def _plain(text: str) -> str:
    return " ".join(text.lower().replace("_", " ").split())


@dataclass(slots=True)
class _Reading:
    """Goes through a table, and keeps every error with its cell."""

    table: Table
    errors: list[str] = field(default_factory=list)
    places: dict[Path, Cell] = field(default_factory=dict)

    def wrong(self, cell: Cell, what: str, hint: str = "") -> None:
        self.errors.append(f"{cell.place}: {what}; {hint}" if hint else f"{cell.place}: {what}")

    def rows(self) -> list[_Row]:
        """The rows below the one that heads the columns."""
        for number, row in enumerate(self.table.rows[:50]):
            heads = [_head(cell.text) for cell in row]
            if "reading 1" in heads and ("item" in heads or "number" in heads):
                columns = self._columns(row, heads)
                return [found for below in self.table.rows[number + 1 :] if (found := self._row(below, columns))]
        what = f"{self.table.name}: no row heads columns called item and reading 1"
        raise BadTable(f"{what}; cabdraw survey --table csv writes a table that has them")

    def _columns(self, row: tuple[Cell, ...], heads: list[str]) -> dict[str, int]:
        columns: dict[str, int] = {}
        for column, head in enumerate(heads):
            if not head:
                continue
            if head in columns:
                self.wrong(row[column], f"{quoted(head)} heads a second column", "take one of them out")
            elif head not in _KNOWN and not re.fullmatch(r"reading [1-9][0-9]?", head):
                self.wrong(
                    row[column], f"{quoted(row[column].text)} is no column here", f"they are {', '.join(_KNOWN)}"
                )
            columns.setdefault(head, column)
        return columns

    def _row(self, row: tuple[Cell, ...], columns: dict[str, int]) -> _Row | None:
        if not any(cell.text for cell in row):
            return None

        def cell(name: str) -> Cell:
            at = columns.get(name, -1)
            return row[at] if 0 <= at < len(row) else Cell(row[0].place, "")

        found = [name for name in columns if name.startswith("reading ")]
        listed = [cell(name) for name in sorted(found, key=lambda name: int(name[8:]))]
        for column, extra in enumerate(row):
            if extra.text and column not in columns.values():
                self.wrong(extra, "stands in a column that has no head", "give it one, or take this out")
        return _Row(row[0], cell("number"), cell("item"), listed, cell("unit"), cell("note"))

    def units(self, rows: list[_Row]) -> Units | None:
        """What the row of units says, which is then gone from the rows."""
        for row in [row for row in rows if _plain(row.item.text) == "units"]:
            rows.remove(row)
            if row.readings[0].text:
                try:
                    return read_units(row.readings[0].text)
                except Refused as refused:
                    self.wrong(row.readings[0], str(refused))
                    raise BadTable(*self.errors) from None
        return None

    def taken(self, rows: list[_Row], asked: Survey) -> tuple[Taken, ...]:
        """Every row's readings, tried against the format."""
        every = items(asked)
        commas = any(uses_commas(cell.text) for row in rows for cell in row.readings)
        found: list[Taken] = []
        tree: dict[str, Any] = {}
        for row in rows:
            item = self._item(row, every)
            if item is None:
                continue
            values = self._values(row, item, asked.units, commas)
            note = _note(row.note.text)
            if values is None or not any(values):
                continue
            taken = Taken(item, values, note, bool(row.number.text))
            if item.kind != "thing" and any(other.item == item for other in found):
                self.wrong(
                    row.item if row.item.text else row.at, f"{item.name} stands in an earlier row too", "keep one"
                )
                continue
            found.append(taken)
            self._put(tree, taken, row)
        self._try(tree, asked.units)
        return tuple(found)

    def _item(self, row: _Row, every: tuple[Item, ...]) -> Item | None:
        name = _plain(row.item.text)
        first = (re.match(r"[A-Za-z][0-9]+", row.number.text.strip()) or [""])[0].upper()
        filled = [cell for cell in row.readings if cell.text]
        by_name = [item for item in every if item.name == name]
        by_number = next((item for item in every if first and first in item.numbers), None)
        if name and not by_name:
            if filled:
                known = ", ".join(dict.fromkeys(item.name for item in every))
                self.wrong(row.item, f"{quoted(row.item.text)} is no item here", f"they are {known}")
            return None
        if by_name and by_number is not None and by_number not in by_name and filled:
            what = f"{quoted(row.number.text)} is the number of {by_number.name}, and this row is {by_name[0].name}"
            self.wrong(row.number, what, "one of them is wrong")
            return None
        if by_name:
            return by_number if by_number in by_name else by_name[0]
        if by_number is None and filled:
            self.wrong(row.item if row.item.text else row.at, "this row says neither its item nor a number of the form")
        return by_number

    def _values(self, row: _Row, item: Item, units: Units, commas: bool) -> tuple[str, ...] | None:
        cells = row.readings
        filled = [number for number, cell in enumerate(cells) if cell.text]
        if not filled:
            return None
        if item.most is not None and filled[-1] >= item.most:
            has = "one reading" if item.most == 1 else f"{item.most} readings"
            self.wrong(cells[filled[-1]], f"{item.name} has {has}, and this is another", f"it takes {item.how}")
            return None
        values: list[str] = []
        for number, cell in enumerate(cells[: filled[-1] + 1]):
            if not cell.text:
                if item.kind == "lengths":
                    self.wrong(cell, "is blank, and a later reading is not", "readings stand one after the other")
                values.append("")
                continue
            try:
                values.append(_value(cell, item, number, _unit(row.unit.text), units, commas))
            except Unusable as unusable:
                self.wrong(cell, str(unusable))
                values.append("")
        return tuple(values)

    def _put(self, tree: dict[str, Any], taken: Taken, row: _Row) -> None:
        """Put a row's readings into the tree of the format, and note which cell each place comes from."""
        item, path = taken.item, taken.item.path
        place: Any = tree
        for step in path[:-1]:
            place = place.setdefault(step, {})
        last = path[-1]
        self.places[path] = row.readings[0]
        if item.kind == "lengths":
            place[last] = [value for value in taken.values if value]
            self.places |= {(*path, number): cell for number, cell in enumerate(row.readings)}
        elif item.kind in ("thing", "verified"):
            keys = item.keys or ("by", "date")
            sizes = {key: value for key, value in zip(keys, taken.values, strict=False) if value}
            if item.named:
                sizes["what"] = taken.note
            inside: Path = path
            if item.kind == "thing":
                place.setdefault(last, []).append(sizes)
                inside = (*path, len(place[last]) - 1)
            else:
                place[last] = sizes
            self.places[inside] = row.at
            self.places |= {(*inside, key): cell for key, cell in zip(keys, row.readings, strict=False)}
            self.places[(*inside, "what")] = row.note
        else:
            place[last] = taken.values[0]

    def _try(self, tree: dict[str, Any], units: Units) -> None:
        for part in _PARTS:
            wrong, missing = part_problems(part, tree.get(part, {}), units)
            for problem in wrong:
                self._say(problem.path, problem.what, problem.hint)
            for problem in missing:
                # What a form leaves blank is asked for later; a thing that was begun is not.
                if any(step in ("fixtures", "holes", "obstructions", "verified") for step in problem.path[:-1]):
                    self._say(problem.path, f"{problem.path[-1]} is missing", problem.hint)

    def _say(self, path: Path, what: str, hint: str) -> None:
        at = next((self.places[path[:end]] for end in range(len(path), 0, -1) if path[:end] in self.places), None)
        if at is None or not any(line.startswith(f"{at.place}: ") for line in self.errors):
            self.wrong(at or Cell(self.table.name, ""), what, hint)


def _head(text: str) -> str:
    plain = _plain(text)
    return _ALIKE.get(plain, plain)


def _unit(text: str) -> str:
    return text.strip() if text.strip() not in ("-", "–") else ""


def _value(cell: Cell, item: Item, number: int, unit: str, units: Units, commas: bool) -> str:
    if item.kind == "date" or (item.kind == "verified" and number == 1):
        return as_date(cell)
    if item.kind in ("text", "verified"):
        return as_text(cell)
    if item.kind == "mass":
        return as_mass(cell, unit, commas)
    return as_length(cell, unit, units, commas)


def _note(text: str) -> str:
    """A note on one line, without signs that cannot be printed."""
    kept = "".join(sign if not unicodedata.category(sign).startswith("C") else " " for sign in text)
    return " ".join(kept.split())[:200]


def blank_rows(asked: Survey) -> Iterator[tuple[str, ...]]:
    """A table to type readings into: its head, then a row for each item, as many reading columns as any item has."""
    most = max(len(item.keys or item.numbers) for item in items(asked))
    yield ("number", "item", "how", *(f"reading {n}" for n in range(1, most + 1)), "unit", "note")
    blank = ("",) * (most + 1)
    yield ("", "units", "what a reading without a unit is in: inch or mm", asked.units, *blank)
    for item in items(asked):
        yield (item.number, item.name, item.how, *blank, "")

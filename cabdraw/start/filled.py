"""The form's spec with readings filled in; what was not read stays blank, to be refused by its line until it is."""

from __future__ import annotations

import re
from collections.abc import Iterator

from cabdraw.start.items import Item
from cabdraw.start.readings import Readings, Taken
from cabdraw.start.words import length, scalar
from cabdraw.survey import line, share, spec_text

_BLANK = re.compile(r"^(?P<key> *(?:-|[a-z_]+:)) +# (?P<number>[A-Z][0-9]+) (?P<rest>.*)$")
_WALL = re.compile(r"^    (back|left|right):")
_OFF = re.compile(r"^#( {6,}.*)$")


def filled_text(found: Readings) -> str:
    """A spec with all readings in their places, each with the form's number and its note."""
    lines = list(_Filling(found).lines())
    if not any(row.numbered for row in found.rows):
        lines = _without_blanks(lines)
    return "\n".join(lines) + "\n"


def blanks(text: str) -> list[tuple[int, str]]:
    """The lines that are still blank, from 1, each with the number of the reading that belongs there."""
    found = ((number, _BLANK.match(each)) for number, each in enumerate(text.splitlines(), 1))
    return [(number, match["number"]) for number, match in found if match]


#: What no spec can do without, by the key and the indent of its line.
_NEEDED = ("  project:", "  car:", "  height:", "      width:")


def _without_blanks(lines: list[str]) -> list[str]:
    """The lines with those off that are blank, for a table that is not the form's: what was not read is left out."""
    needed, kept = "", []
    walls = lines.index("  walls:")
    front = lines.index("  front:")
    for at, each in enumerate(lines):
        if re.match(r" +\w+:", each):
            needed = next((key for key in _NEEDED if each.startswith(key)), "")
            if len(needed) - len(needed.lstrip()) == 6 and not walls < at < front:
                needed = ""  # a return has a width as well
        blank = _BLANK.match(each) and not (needed and (each.startswith(needed) or each.lstrip().startswith("-")))
        kept.append(f"#{each}" if blank else each)
    # A section of which nothing is left, from the innermost out.
    for at in range(len(kept) - 1, -1, -1):
        section = None if _BLANK.match(kept[at]) else re.match(r"( *)\w+:( +#.*)?$", kept[at])
        if section and not _holds(kept[at + 1 :], len(section[1])):
            kept[at] = f"#{kept[at]}"
    if not any(each.startswith("      height:") for each in kept[walls:front]):
        kept = [line("  height:", "floor to ceiling") if each.startswith("  height:") else each for each in kept]
    if "  front:" not in kept:
        kept = [f"#{each}" if each.startswith("  front_trim:") else each for each in kept]
    return kept


def _holds(below: list[str], indent: int) -> bool:
    """Whether lines begin with one that is inside a section with so much indent."""
    for each in below:
        if each.strip() and not each.lstrip().startswith("#"):
            return len(each) - len(each.lstrip()) > indent
    return False


class _Filling:
    def __init__(self, found: Readings) -> None:
        self.form = spec_text(found.survey).splitlines()
        self.rows = found.rows
        self.ones: dict[str, tuple[str, str]] = {}
        self.lists: dict[str, Taken | None] = {}
        for row in found.rows:
            self._note_numbers(row)

    def _note_numbers(self, row: Taken) -> None:
        numbers = row.item.numbers
        given = len(row.values)
        if row.item.kind == "lengths" and (given > len(numbers) or (given < len(numbers) and not row.numbered)):
            # Not the form's readings: as many as there are, evenly spaced.
            self.lists |= dict.fromkeys(numbers)
            self.lists[numbers[0]] = row
            return
        if row.item.kind in ("lengths", "length"):
            for at, value in enumerate(row.values):
                self.ones[numbers[at]] = (length(value), row.note if at == 0 else "")
        elif row.item.kind in ("text", "date", "mass"):
            self.ones[numbers[0]] = (row.values[0] if row.item.kind == "date" else scalar(row.values[0]), row.note)

    def lines(self) -> Iterator[str]:
        wall = ""
        for each in self.form:
            if match := _WALL.match(each):
                wall = match[1]
            if match := _BLANK.match(each):
                yield from self._filled(match)
            elif match := _OFF.match(each):
                yield from self._off(match[1], each, wall)
            else:
                yield each

    def _filled(self, match: re.Match[str]) -> Iterator[str]:
        number, rest = match["number"], match["rest"]
        if number in self.lists:
            row = self.lists[number]
            for at, value in enumerate(row.values if row is not None else ()):
                where = share(at, len(row.values)) if row and len(row.values) > 1 and "width" in row.item.name else ""
                note = row.note if row and at == 0 else ""
                yield line(f"{match['key']} {length(value)}", _remark("", where, note))
        elif number in self.ones:
            value, note = self.ones[number]
            yield line(f"{match['key']} {value}", _remark(f"{number:<4}", rest.strip(), note))
        else:
            yield match[0]

    def _off(self, inside: str, each: str, wall: str) -> Iterator[str]:
        """A block of what stands on a wall: in force where there is any, else as it is."""
        key = inside.strip().partition(":")[0]
        if key in ("fixtures", "holes"):
            yield from self._things(inside, each, wall, key, 8)
        elif key == "behind":
            known = any(self._of(wall, part) for part in ("verified", "depth", "obstructions"))
            yield line("      behind:", "what is known of the space behind the shell") if known else each
        elif key == "verified" and (rows := self._of(wall, "verified")):
            by, on = (*rows[0].values, "")[:2]
            remark = inside.partition("# ")[2]
            yield line(f"        verified: {{by: {scalar(by)}, date: {on}}}", _remark("", remark, rows[0].note))
        elif key == "depth" and (rows := self._of(wall, "depth")):
            yield line(
                f"        depth: {length(rows[0].values[0])}", _remark("", inside.partition("# ")[2], rows[0].note)
            )
        elif key == "obstructions":
            yield from self._things(inside, each, wall, key, 10)
        elif inside.lstrip().startswith("- {"):
            section = "obstructions" if "behind:" in inside else "holes" if "diameter:" in inside else "fixtures"
            if not self._of(wall, section):
                yield each
        else:
            yield each

    def _things(self, inside: str, each: str, wall: str, key: str, indent: int) -> Iterator[str]:
        rows = self._of(wall, key)
        yield inside if rows else each
        for row in rows:
            what = [f"what: {scalar(row.note)}"] if row.item.named else []
            sizes = [
                f"{name}: {length(value)}" for name, value in zip(row.item.keys, row.values, strict=False) if value
            ]
            said = _remark("", row.item.numbers[0] if row.numbered else "", "" if row.item.named else row.note)
            yield line(f"{' ' * indent}- {{{', '.join([*what, *sizes])}}}", said)

    def _of(self, wall: str, key: str) -> list[Taken]:
        return [row for row in self.rows if self._is(row.item, wall, key)]

    @staticmethod
    def _is(item: Item, wall: str, key: str) -> bool:
        return item.path[:3] == ("survey", "walls", wall) and item.path[-1] == key


def _remark(number: str, rest: str, note: str) -> str:
    said = f"{number} {rest}".strip() if number else rest
    return "; ".join(part for part in (said, note) if part)

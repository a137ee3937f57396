"""Files of published rules: those that come with cabdraw, and a shop's own, with every error at its line."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path as FilePath
from typing import Any

from cabdraw.errors import BadSpec, Path, SpecError
from cabdraw.rational import Fraction
from cabdraw.rule import KNOWN, Rule
from cabdraw.spec.source import parse_source, read_bytes, read_source
from cabdraw.spec.tree import Source, spec_error
from cabdraw.units import INCH, NotALength, parse_length, parse_mass, quoted

#: Where the files that come with cabdraw stand.
FOLDER = FilePath(__file__).parent.parent / "rules"
#: Held against every car.
ALWAYS = "always"
_SQUARE_FOOT = (INCH * 12) ** 2
_AREA = re.compile(r"([0-9]{1,6}(?:\.[0-9]{1,6})?)\s*(sq ft|sq in|m2|cm2|mm2)")
_AREAS = {
    "sq ft": _SQUARE_FOOT,
    "sq in": INCH**2,
    "m2": Fraction(10**6),
    "cm2": Fraction(100),
    "mm2": Fraction(1),
}


def read_area(text: str) -> Fraction:
    """An area with its unit as exact square mm: `16 sq ft`, `1.3 m2`. Raises `NotALength` for anything else."""
    match = _AREA.fullmatch(str(text).strip())
    if match is None:
        raise NotALength(f"{quoted(str(text))} is not an area with its unit", "write e.g. 16 sq ft, 1.3 m2")
    return Fraction(match[1]) * _AREAS[match[2]]


def _share(text: str) -> Fraction:
    match = re.fullmatch(r"([0-9]{1,3}(?:\.[0-9]{1,4})?)\s*%", str(text).strip())
    if match is None:
        raise NotALength(f"{quoted(str(text))} is not a percentage", "write e.g. 1.75%")
    return Fraction(match[1]) / 100


def _length(text: str) -> Any:
    if not re.search(r"[a-z\"']", str(text).lower()):
        raise NotALength(f"{quoted(str(text))} has no unit", "a rule's lengths carry their units, e.g. 34in, 900mm")
    return parse_length(str(text), "mm")


def _number(text: str) -> Fraction:
    if not re.fullmatch(r"[0-9]{1,6}(\.[0-9]{1,4})?", str(text).strip()):
        raise NotALength(f"{quoted(str(text))} is not a number", "write e.g. 75")
    return Fraction(str(text).strip())


def _yes_no(text: str) -> bool:
    if str(text).strip().lower() not in ("yes", "no", "true", "false"):
        raise NotALength(f"{quoted(str(text))} is neither yes nor no", "write yes or no")
    return str(text).strip().lower() in ("yes", "true")


def _words(*names: str) -> Callable[[str], str]:
    def read(text: str) -> str:
        if str(text).strip() not in names:
            raise NotALength(f"{quoted(str(text))} is not known here", "write one of " + ", ".join(names))
        return str(text).strip()

    return read


Reader = Callable[[str], Any]
_DOOR: dict[str, Reader] = {
    "door": _words("centred", "side", "any"),
    "door_width": _length,
    "door_tolerance": _length,
    "width": _length,
    "depth": _length,
    "to_door": _length,
}
#: What each kind of rule takes: its own values, and which of them may be left out.
KINDS: dict[str, dict[str, Any]] = {
    "clear-size": {"sizes": _DOOR},
    "existing-size": {"area": read_area, "depth": _length, "width": _length},
    "rail-height": {"low": _length, "high": _length},
    "rail-clearance": {"least": _length},
    "rail-section": {"low": _length, "high": _length},
    "rail-end": {"most": _length},
    "area-load-formula": {"formula": _words("platform-area")},
    "area-load-table": {"rows": (parse_mass, read_area), "beyond": {"load": parse_mass, "area": read_area}},
    "ventilation": {"low": _share, "high": _share},
    "finish-evidence": {"flame": _number, "smoke": _number, "class": str},
    "clear-height": {"least": _length},
    "car-type": {"finish": _length, "types": {"type": str, "width": _length, "depth": _length}},
    "mass-change": {"share": _share},
    "lifting": {"load": parse_mass},
}
_OPTIONAL = {"door_tolerance", "to_door", "flame", "smoke", "class", "binding"}
_ABOUT = ("name", "kind", "says", "source", "clause", "edition", "known")


def shipped() -> tuple[str, ...]:
    """The names of the sets of rules that come with cabdraw and that a spec can name."""
    return tuple(sorted(path.stem for path in FOLDER.glob("*.yaml") if path.stem != ALWAYS))


def shipped_rules(name: str) -> tuple[Rule, ...]:
    """The rules of a set that comes with cabdraw."""
    return read_rules(FOLDER / f"{name}.yaml")


def read_rules(path: FilePath, name: str = "") -> tuple[Rule, ...]:
    """The rules in a file; raises `BadSpec` with everything that is wrong in it.

    `name` is what a spec calls the file, if one names it.
    """
    source = parse_source(read_bytes(path, name), name, path) if name else read_source(path)
    reading = _Reading(source)
    rules = tuple(reading.rules())
    if source.flaws or reading.errors:
        raise BadSpec((*source.flaws, *reading.errors))
    return rules


class _Reading:
    """Reads one file of rules and keeps every error with its place."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self.errors: list[SpecError] = []

    def wrong(self, path: Path, what: str, hint: str) -> None:
        line, column = self.source.place(path)
        self.errors.append(spec_error(self.source.name, line, column, self.source.existing(path), what, hint))

    def rules(self) -> Iterator[Rule]:
        tree = self.source.plain()
        if not isinstance(tree, dict):
            self.wrong((), "is not a file of rules", "begin with rules: and a name")
            return
        for key in tree:
            if key not in ("rules", "about", "list"):
                self.wrong((key,), f'"{key}" is not a key here', "the keys are rules, about, list")
        name, listed = tree.get("rules"), tree.get("list")
        if not isinstance(name, str) or not name.strip():
            self.wrong(("rules",), "has no name for this set of rules", "write e.g. rules: my-shop")
            return
        if not isinstance(listed, list) or not listed:
            self.wrong(("list",), "holds no rules", "list them under list:")
            return
        for index, entry in enumerate(listed):
            path: Path = ("list", index)
            if not isinstance(entry, dict):
                self.wrong(path, "is not a rule", "write its keys, e.g. name: rail-height")
            elif (rule := self._rule(name.strip(), entry, path)) is not None:
                yield rule

    def _rule(self, rule_set: str, entry: dict[str, Any], path: Path) -> Rule | None:
        about: dict[str, str] = {}
        for key in _ABOUT:
            value = entry.get(key)
            if not isinstance(value, str) or not value.strip():
                self.wrong((*path, key), f"{key} is missing", f"a rule says its {', '.join(_ABOUT)}")
            else:
                about[key] = value.strip()
        if len(about) < len(_ABOUT):
            return None
        if about["known"] not in KNOWN:
            self.wrong((*path, "known"), f"{quoted(about['known'])} is not a way to know", "write " + ", ".join(KNOWN))
            return None
        takes = KINDS.get(about["kind"])
        if takes is None:
            self.wrong((*path, "kind"), f"{quoted(about['kind'])} is not a kind of rule", "write " + ", ".join(KINDS))
            return None
        own = {key: value for key, value in entry.items() if key not in _ABOUT}
        limits = self._values({**takes, "binding": _yes_no}, own, path)
        known = next(word for word in KNOWN if word == about["known"])
        return Rule(
            about["name"], rule_set, about["kind"], about["says"], about["source"], about["clause"],
            about["edition"], known, limits,
        )  # fmt: skip

    def _values(self, takes: dict[str, Any], given: dict[str, Any], path: Path) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for key in given:
            if key not in takes:
                self.wrong((*path, key), f'"{key}" is not a key here', "the keys are " + ", ".join(takes))
        for key, reader in takes.items():
            if key not in given:
                if key not in _OPTIONAL:
                    self.wrong((*path, key), f"{key} is missing", "give it")
                continue
            found[key] = self._value(reader, given[key], (*path, key))
        return found

    def _value(self, reader: Any, value: Any, path: Path) -> Any:
        if isinstance(reader, dict) and isinstance(value, list):
            return tuple(
                self._values(reader, row, (*path, i)) if isinstance(row, dict) else self._row(path, i)
                for i, row in enumerate(value)
            )
        if isinstance(reader, dict) and isinstance(value, dict):
            return self._values(reader, value, path)
        if isinstance(reader, tuple) and isinstance(value, list):
            return tuple(self._cells(reader, row, (*path, i)) for i, row in enumerate(value))
        if isinstance(reader, (dict, tuple)) or not isinstance(value, str):
            self.wrong(path, "is of another shape than belongs here", "look at the rules that come with cabdraw")
            return None
        try:
            return reader(value)
        except NotALength as error:
            self.wrong(path, error.what, error.hint)
            return None

    def _cells(self, readers: tuple[Reader, ...], row: Any, path: Path) -> Any:
        if not isinstance(row, list) or len(row) != len(readers):
            return self._row(path[:-1], int(path[-1]))
        pairs = zip(readers, row, strict=True)
        return tuple(self._value(reader, cell, (*path, i)) for i, (reader, cell) in enumerate(pairs))

    def _row(self, path: Path, index: int) -> dict[str, Any]:
        self.wrong((*path, index), "is of another shape than the other rows", "give a value for each column")
        return {}

"""What is said of a value that does not fit the format, in a drafter's words."""

from __future__ import annotations

import difflib
from functools import cache
from typing import Any

from cabdraw.errors import Path, path_text
from cabdraw.frozen import Frozen
from cabdraw.spec.fields import shown
from cabdraw.spec.include import SHARED
from cabdraw.spec.schema import Spec
from cabdraw.spec.section import Key, Kind, ListOf, Mistake, PairOf, Section, SectionOf
from cabdraw.units import System, quoted


class Slot(Frozen):
    """A place in the format: the kind of value that belongs there, and its key where it has one."""

    kind: Kind[Any]
    key: Key[Any] | None = None

    @property
    def section(self) -> type[Section] | None:
        """The section that belongs there, if one does."""
        return self.kind.section if isinstance(self.kind, SectionOf) else None


def slot(path: Path) -> Slot:
    """What the format has at a path, or at its nearest ancestor that the format knows."""
    found = Slot(SectionOf(Spec))
    for step in path:
        kind = found.kind
        if isinstance(kind, SectionOf) and step in kind.section.format_keys:
            key = kind.section.format_keys[str(step)]
            found = Slot(key.kind, key)
        elif isinstance(kind, ListOf) and isinstance(step, int):
            found = Slot(kind.item)
        elif isinstance(kind, PairOf) and isinstance(step, int):
            found = Slot(kind.second if step else kind.first)
        else:
            break
    return found


def example(key: Key[Any], units: System) -> Any:
    """A key's example as plain values, the second of two where they are the inch one and the mm one."""
    if key.examples:
        return key.examples[-1 if units == "mm" else 0]
    return sample(key.kind.section, units) if isinstance(key.kind, SectionOf) else {}


def sample(section: type[Section], units: System) -> dict[str, Any]:
    """A small section that fits the format: the keys that it needs, and those that stand for a choice."""
    return {
        name: example(key, units) for name, key in section.format_keys.items() if key.needed or key.examples is not None
    }


def say(mistake: Mistake, units: System) -> tuple[str, str]:
    """What is wrong, and what to do."""
    path, value = mistake.path, mistake.value
    here = slot(path)
    if mistake.fault == "said":
        return mistake.what, mistake.hint
    if mistake.fault == "unknown":
        return _unknown(path)
    if mistake.fault == "missing":
        return _missing(str(path[-1]), here, units)
    if mistake.fault == "no section":
        assert here.section is not None
        return _not_a_section(value, here.section, units)
    if mistake.fault == "no list":
        return _not_a_list(value, path, units)
    hint = f"give {here.key.description}" if here.key is not None else ""
    if mistake.fault == "not so many":
        return f"{shown(value)} has {_count(len(value))}, but 2 belong here", hint
    if mistake.fault == "too many":
        return f"holds {_count(len(value))}, but {mistake.most} are the most", hint
    return f"{shown(value)} is an empty list", hint


def keys_of(section: type[Section]) -> str:
    """The keys of a section, for a message."""
    return f"keys here: {', '.join(_keys(section))}"


def _keys(section: type[Section] | None) -> tuple[str, ...]:
    """The keys that may stand in a section, at the top those too that say which parts a spec has."""
    if section is None:
        return ()
    return (*section.format_keys, *(SHARED if section is Spec else ()))


@cache
def _homes() -> dict[str, tuple[str, ...]]:
    """For each key of the format the sections that have it."""
    found: dict[str, list[str]] = {name: ["the top level"] for name in SHARED}

    def visit(section: type[Section], path: Path) -> None:
        for name, key in section.format_keys.items():
            found.setdefault(name, []).append(path_text(path) or "the top level")
            kind = key.kind.item if isinstance(key.kind, ListOf) else key.kind
            if isinstance(kind, SectionOf) and len(path) < 6:
                visit(kind.section, (*path, name))

    visit(Spec, ())
    return {name: tuple(places) for name, places in found.items()}


def nearest(path: Path) -> str | None:
    """The key of the format that a key at a path is most like, if any."""
    section = slot(path[:-1]).section
    tidy = str(path[-1])[:40].strip().lower().replace(" ", "_").replace("-", "_")
    near = difflib.get_close_matches(tidy, _keys(section), 1)
    return near[0] if near else None


def _unknown(path: Path) -> tuple[str, str]:
    key, section = str(path[-1]), slot(path[:-1]).section
    what = f"{quoted(key)} is not a key here"
    if near := nearest(path):
        what += f'; did you mean "{near}"?'
    elif key in _homes():
        what += f"; it belongs in {_homes()[key][0]}"
    return (what if section is None else f"{what} ({keys_of(section)})"), ""


def _missing(name: str, here: Slot, units: System) -> tuple[str, str]:
    assert here.key is not None
    said = here.key.description
    if here.section is not None:
        return "is missing", f"write its keys below it: {', '.join(sample(here.section, units))} ({said})"
    if here.key.examples:
        return "is missing", f"write e.g. {name}: {_written(example(here.key, units))} ({said})"
    return "is missing", said


def _written(value: Any) -> str:
    return value if isinstance(value, str) else shown(value, 80)


def _not_a_section(value: Any, section: type[Section], units: System) -> tuple[str, str]:
    first = next(iter(sample(section, units).items()), None)
    hint = f"write e.g. {first[0]}: {_written(first[1])}" if first is not None else "write its keys below it"
    if isinstance(value, str) and not value.strip():
        return "is empty, but keys belong here", f"{hint}, or take the line out ({keys_of(section)})"
    kind = "a list" if isinstance(value, list) else "a single value"
    return f"{shown(value)} is {kind}, but keys belong here", f"{hint} ({keys_of(section)})"


def _not_a_list(value: Any, path: Path, units: System) -> tuple[str, str]:
    here = slot(path)
    item = slot((*path, 0))
    belongs: Any = example(here.key, units) if here.key is not None and here.key.examples else None
    if item.section is not None:
        belongs = [sample(item.section, units)]
    hint = f"write e.g. {_written(belongs)}" if isinstance(belongs, list) else "write it in brackets"
    if isinstance(value, str) and not value.strip():
        return "is empty, but a list belongs here", hint
    if isinstance(value, dict):
        return f"{shown(value)} is a section with keys, but a list belongs here", hint
    if not isinstance(belongs, list) and isinstance(value, str):
        hint = f"write [{quoted(value.strip())[1:-1]}]"
    return f"{shown(value)} is a single value, but a list belongs here", hint


def _count(number: int) -> str:
    return "1 value" if number == 1 else f"{number} values"

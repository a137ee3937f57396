"""What is said of a value that does not fit the format, in a drafter's words, from the models' own complaints."""

from __future__ import annotations

import difflib
import types
import typing
from collections.abc import Iterator, Sequence
from functools import cache
from typing import Any

from pydantic.fields import FieldInfo

from cabdraw.errors import Path, path_text
from cabdraw.frozen import Frozen
from cabdraw.spec.fields import shown
from cabdraw.spec.include import SHARED
from cabdraw.spec.schema import Section, Spec
from cabdraw.units import System, quoted


class Slot(Frozen):
    """A place in the format: the kind of value that belongs there, and the key's field where it has one."""

    kind: Any
    field: FieldInfo | None

    @property
    def section(self) -> type[Section] | None:
        """The model that belongs there, if it is a section."""
        return self.kind if isinstance(self.kind, type) and issubclass(self.kind, Section) else None


def _bare(kind: Any) -> Any:
    """A type without its annotations and without None."""
    while True:
        origin = typing.get_origin(kind)
        if origin is typing.Annotated:
            kind = typing.get_args(kind)[0]
        elif origin in (typing.Union, types.UnionType):
            kind = next(arg for arg in typing.get_args(kind) if arg is not type(None))
        else:
            return kind


def slot(path: Path) -> Slot:
    """What the format has at a path, or at its nearest ancestor that the format knows."""
    found = Slot(Spec, None)
    for step in path:
        section, items = found.section, typing.get_args(found.kind)
        if section is not None and step in section.model_fields:
            info = section.model_fields[str(step)]
            found = Slot(_bare(info.annotation), info)
        elif typing.get_origin(found.kind) is tuple and isinstance(step, int):
            found = Slot(_bare(items[min(step, len(items) - 1)] if items[-1] is not Ellipsis else items[0]), None)
        else:
            break
    return found


def example(info: FieldInfo, units: System) -> Any:
    """A field's example as plain values, the second of two where they are the inch one and the mm one."""
    if info.examples:
        return info.examples[-1 if units == "mm" else 0]
    section = Slot(_bare(info.annotation), info).section
    return {} if section is None else sample(section, units)


def sample(section: type[Section], units: System) -> dict[str, Any]:
    """A small section that fits the format: its required keys, and those that stand for a choice."""
    return {
        name: example(info, units)
        for name, info in section.model_fields.items()
        if info.is_required() or info.examples is not None
    }


def say(error: Any, units: System) -> tuple[str, str]:
    """What is wrong, and what to do, from one of pydantic's errors."""
    path: Path = tuple(error["loc"])
    kind, value = error["type"], error["input"]
    context = error.get("ctx", {})
    here = slot(path)
    if kind == "spec":
        return context["what"], context["hint"]
    if kind == "extra_forbidden":
        return _unknown(path)
    if kind == "missing" and not isinstance(path[-1], int):
        return _missing(str(path[-1]), here, units)
    if kind in ("model_type", "model_attributes_type", "dict_type") and here.section is not None:
        return _not_a_section(value, here.section, units)
    if kind == "tuple_type":
        return _not_a_list(value, path, units)
    if kind in ("missing", "too_long", "too_short"):
        return _wrong_number(value, path, context, units)
    return f"{shown(value)} does not belong here", ""


def keys_of(section: type[Section]) -> str:
    """The keys of a section, for a message."""
    return f"keys here: {', '.join(_keys(section))}"


def _keys(section: type[Section] | None) -> tuple[str, ...]:
    """The keys that may stand in a section, at the top those too that say which parts a spec has."""
    if section is None:
        return ()
    return (*section.model_fields, *(SHARED if section is Spec else ()))


@cache
def _homes() -> dict[str, tuple[str, ...]]:
    """For each key of the format the sections that have it."""
    found: dict[str, list[str]] = {name: ["the top level"] for name in SHARED}

    def visit(section: type[Section], path: Path) -> None:
        for name, info in section.model_fields.items():
            found.setdefault(name, []).append(path_text(path) or "the top level")
            kind = _bare(info.annotation)
            if typing.get_origin(kind) is tuple:
                kind = _bare(typing.get_args(kind)[0])
            if isinstance(kind, type) and issubclass(kind, Section) and len(path) < 6:
                visit(kind, (*path, name))

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


def _missing(key: str, here: Slot, units: System) -> tuple[str, str]:
    said = here.field.description if here.field is not None else ""
    if here.section is not None:
        return "is missing", f"write its keys below it: {', '.join(sample(here.section, units))} ({said})"
    if here.field is not None and here.field.examples:
        return "is missing", f"write e.g. {key}: {_written(example(here.field, units))} ({said})"
    return "is missing", said or ""


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
    belongs: Any = example(here.field, units) if here.field is not None and here.field.examples else None
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


def _wrong_number(value: Any, path: Path, context: dict[str, Any], units: System) -> tuple[str, str]:
    whole = path[:-1] if isinstance(path[-1], int) else path
    here = slot(whole)
    items = typing.get_args(here.kind)
    hint = f"give {here.field.description}" if here.field is not None and here.field.description else ""
    if Ellipsis not in items:
        given = len(value) if isinstance(value, list) else 1
        return f"{shown(value)} has {_count(given)}, but {len(items)} belong here", hint
    if "max_length" in context:
        return f"holds {_count(len(value))}, but {context['max_length']} are the most", hint
    return f"{shown(value)} is an empty list", hint


def _count(number: int) -> str:
    return "1 value" if number == 1 else f"{number} values"


def once(errors: Sequence[Any]) -> Iterator[Any]:
    """The errors without echoes: a pair of which both values are missing, a list counted without its wrong items."""
    seen = set()
    for error in errors:
        loc = tuple(error["loc"])
        if error["type"] == "missing" and isinstance(loc[-1], int):
            loc = loc[:-1]
        if error["type"] == "too_short" and error["input"]:
            continue
        if (loc, error["type"]) not in seen:
            seen.add((loc, error["type"]))
            yield error

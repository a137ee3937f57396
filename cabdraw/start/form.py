"""A spec with a survey, as a filled-in form leaves it: its text up to where the panelling begins."""

from __future__ import annotations

from pathlib import Path

from cabdraw.errors import BadSpec, SpecError
from cabdraw.frozen import Frozen
from cabdraw.spec.source import parse_source, read_source
from cabdraw.spec.tree import Mapping, Scalar, Source
from cabdraw.start.text import layout_lines
from cabdraw.start.wanted import Refused, Units, Wanted, WantedWall, read_units, tried
from cabdraw.survey import NOT_MEASURED, WALLS, spec_text, survey


class Begun(Frozen):
    """A survey's text, every reading and remark as it was, and what it says that the rest has to fit."""

    text: str
    name: str
    folder: Path
    units: Units
    walls: tuple[str, ...]
    front: bool


def begun(path: Path) -> Begun:
    """What a file with a survey says; raises `BadSpec` where it cannot be gone on from."""
    source = read_source(path)
    return _begun(source, path.read_text(encoding="utf-8-sig"), path.parent)


def begun_of(text: str, name: str) -> Begun:
    """The same of a text that stands in no file; `name` is what errors call it."""
    return _begun(parse_source(text.encode(), name), text, Path())


def _begun(source: Source, text: str, folder: Path) -> Begun:
    named = _keys(source, "survey", "walls")
    walls = tuple(name for name in WALLS if name in named)
    try:
        units = read_units(_text(source, "units"))
    except Refused as refused:
        raise _wrong(source, ("units",), f"its units cannot be used: {refused}", "") from None
    if not walls:
        raise _wrong(source, ("survey",), "no wall is measured in it", "write survey: and its walls:")
    lines = text.splitlines()
    if NOT_MEASURED in lines:
        at = lines.index(NOT_MEASURED)
        if _layout(lines[at:]) == _untouched(units, walls):
            return Begun("\n".join(lines[:at]) + "\n", source.name, folder, units, walls, _front(source))
    for key in ("layout", "handrail", "cars"):
        if key in source.root.entries:
            hint = "draw it as it is, or take that out first"
            raise _wrong(source, (key,), f"it has a {key} of its own already", hint)
    return Begun(text, source.name, folder, units, walls, _front(source))


def _untouched(units: Units, walls: tuple[str, ...]) -> list[str]:
    """The panelling that a form's spec comes with, as long as nobody changed it."""
    lines = spec_text(survey(units, walls)).splitlines()
    return _layout(lines[lines.index(NOT_MEASURED) :])


def _layout(lines: list[str]) -> list[str]:
    """Lines of panelling, but for the trims that go with the front that was measured or not."""
    return [each for each in lines if each.strip() and not each.lstrip("# ").startswith("front_trim:")]


def _front(source: Source) -> bool:
    return {"left", "right"} <= set(_keys(source, "survey", "front"))


def _keys(source: Source, *path: str) -> tuple[str, ...]:
    node = source.node(path)
    return tuple(node.entries) if isinstance(node, Mapping) and source.existing(path) == path else ()


def _text(source: Source, key: str) -> str:
    node = source.node((key,))
    return node.text if isinstance(node, Scalar) else ""


def _wrong(source: Source, path: tuple[str, ...], what: str, hint: str) -> BadSpec:
    line, column = source.key_place(path)
    return BadSpec((SpecError(source.name, line, column, "", what, hint),))


def complete(found: Begun) -> None:
    """See whether all that was to be filled in has been. Raises `BadSpec`, each error at its line of the file."""
    plainest = Wanted(found.units, walls=tuple(WantedWall(name) for name in found.walls), front=found.front)
    tried("\n".join([*found.text.splitlines(), *layout_lines(plainest)]) + "\n", found.name, found.folder)

"""Whatever stands at any key of the format, what is said of it is in our words and names the place."""

from __future__ import annotations

import json
import re
import typing
from typing import Any

import pytest

from cabdraw.errors import BadSpec, Path, path_text
from cabdraw.spec import document, loads
from cabdraw.spec.fields import Text
from cabdraw.spec.known import replaced
from cabdraw.spec.said import slot
from cabdraw.spec.schema import Spec
from cabdraw.spec.section import ListOf, PairOf, Section

#: Words of the libraries underneath, which a drafter should never meet.
FOREIGN = re.compile(
    r"pydantic|https?:|Traceback|Input should|Extra inputs|Field required|Value error|validation|valid |"
    r"\b(?:dict|dictionary|tuple|NoneType|str|instance|mapping|scalar|token|Fraction|Length|PosixPath)\b|type=|\bctx\b"
)
ODD: list[Any] = [
    "", " ", "odd", "fill", "0", "-1", "1/0", "99999", "9" * 500, "½½", "\u202e", "{}", "%s {what}", "~",
    [], ["odd"], [[]], [{}], ["1", "2", "3", "4"], {}, {"odd": "1"}, {"height": []}, [[["1"]]], {"": ""},
]  # fmt: skip


def _full(kind: type[Section], path: Path) -> dict[str, Any]:
    """A section with every key it can have."""
    found = {}
    for name, key in kind.format_keys.items():
        here, below = slot((*path, name)), slot((*path, name, 0))
        if here.section is not None:
            found[name] = _full(here.section, (*path, name))
        elif below.section is not None:
            found[name] = [_full(below.section, (*path, name, 0))]
        elif key.examples:
            found[name] = key.examples[-1]
        else:
            found[name] = ["1"] if isinstance(here.kind, ListOf | PairOf) else "1"
    return found


FULL = _full(Spec, ())
FULL["units"] = "mm"
for part in ("survey", "layout"):
    del FULL[part]["walls"]["back"], FULL[part]["walls"]["right"]


def _paths(value: Any, path: Path) -> typing.Iterator[Path]:
    yield path
    if isinstance(value, dict):
        for key, item in value.items():
            yield from _paths(item, (*path, key))
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from _paths(item, (*path, index))


def _is_section(path: Path) -> bool:
    return slot(path).section is not None


def _is_list(path: Path) -> bool:
    return isinstance(slot(path).kind, ListOf | PairOf) and not isinstance(path[-1], int)


PATHS = [path for path in _paths(FULL, ()) if path]
LISTS_AND_SECTIONS = [path for path in PATHS if _is_section(path) or _is_list(path)]
VALUES = [path for path in PATHS if path not in LISTS_AND_SECTIONS and path[0] not in ("units", "cabdraw")]


@pytest.fixture(autouse=True)
def every_error(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(document, "MOST_ERRORS", 10_000)


def said(tree: Any) -> list[Any]:
    try:
        loads(json.dumps(tree, ensure_ascii=False), "car.yaml")
    except BadSpec as refused:
        return list(refused.errors)
    return []


def with_everywhere(paths: list[Path], odd: Any) -> Any:
    tree: Any = FULL
    for path in paths:
        tree = replaced(tree, path, odd)
    return tree


def assert_ours(errors: list[Any]) -> None:
    for error in errors:
        text = str(error)
        assert not FOREIGN.search(text), text
        assert text.isprintable(), text
        assert len(text) < 700, text
        assert error.line > 0, text
        assert error.what, text


def test_every_key_of_the_format_is_tried() -> None:
    names = {step for path in PATHS for step in path if isinstance(step, str)}
    assert {"cabdraw", "standoff_thread", "obstructions", "layers", "margins", "rail_top", "pad_stud_end"} <= names
    assert len(VALUES) > 90
    assert len(LISTS_AND_SECTIONS) > 40


@pytest.mark.parametrize("odd", ODD, ids=lambda odd: json.dumps(odd)[:20])
def test_odd_values_are_refused_in_our_words(odd: Any) -> None:
    errors = said(with_everywhere(VALUES, odd))
    assert errors
    assert_ours(errors)
    assert_ours(said(replaced(FULL, ("units",), odd)))
    assert_ours(said(replaced(FULL, ("cabdraw",), odd)))


@pytest.mark.parametrize("depth", sorted({len(path) for path in LISTS_AND_SECTIONS}))
def test_odd_lists_and_sections_are_refused_in_our_words(depth: int) -> None:
    paths = [path for path in LISTS_AND_SECTIONS if len(path) == depth]
    for odd in ("", "odd", [], ["odd"], [[]], {"odd": "1"}, ["1"] * 200):
        errors = said(with_everywhere(paths, odd))
        assert errors
        assert_ours(errors)


def test_each_wrong_value_is_named_at_its_own_place() -> None:
    wrong = {error.path: error.what for error in said(with_everywhere(VALUES, "[oddity]"))}
    named = {path_text(path) for path in VALUES if slot(path).kind != Text}
    assert {path for path, what in wrong.items() if '"[oddity]"' in what} >= named


def test_each_section_in_place_of_a_value_is_refused_at_its_own_place() -> None:
    wrong = {error.path for error in said(with_everywhere(VALUES, {"odd": "1"}))}
    for path in VALUES:
        assert any(place.startswith(path_text(path)) for place in wrong), path

"""The complete spec of a car: a spec itself, of the very same car, each value with where it is from."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import grammar
import odd_cars
import pytest
from cars import cars
from conftest import JOB, SPECS
from hypothesis import HealthCheck, given, reject, settings
from hypothesis import strategies as st
from spec_texts import text as yaml_text

from cabdraw import cli
from cabdraw.complete import complete_text, quote
from cabdraw.errors import BadSpec
from cabdraw.install.blocks import blocks
from cabdraw.package import look_at
from cabdraw.record import record
from cabdraw.resolve import resolve
from cabdraw.spec import Document, load, load_cars, loads
from cabdraw.spec.source import parse_source
from cabdraw.units import Length, length_text, parse_length
from cabdraw.write.tables import json_bytes

WORKED = sorted((Path(__file__).parent / "worked").glob("*.yaml"))
QUICK = settings(max_examples=40, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))


def every() -> Iterator[Document]:
    """The shipped specs and the format's own examples, cars of one file too."""
    for path in (*SPECS, *WORKED, JOB):
        yield from load_cars(path)


EVERY = list(every())


def resolved_json(document: Document) -> bytes:
    looked = look_at(document)
    return json_bytes(record(looked.cab, looked.findings, blocks(looked.cab)))


def again(document: Document) -> tuple[str, Document]:
    """A spec in full, and the same read again from the folder that it is of."""
    text = complete_text(document, resolve(document))
    return text, loads(text, document.source.name, document.source.files[0].path.parent)


@pytest.mark.parametrize("document", EVERY, ids=lambda document: document.name)
def test_what_is_shown_resolves_to_the_very_same(document: Document) -> None:
    _, read = again(document)
    assert resolved_json(read) == resolved_json(document)


@pytest.mark.parametrize("document", EVERY, ids=lambda document: document.name)
def test_what_is_shown_in_full_is_full(document: Document) -> None:
    text, read = again(document)

    def values(shown: str) -> list[str]:
        return [line.split("  #")[0].rstrip() for line in shown.splitlines()[1:] if not line.strip().startswith("#")]

    shown = complete_text(read, resolve(read))
    assert values(shown) == values(text)
    # Nothing is left to be filled in.
    assert [line for line in shown.splitlines() if line.endswith("# default") and "{}" not in line] == []


@pytest.mark.parametrize("document", EVERY, ids=lambda document: document.name)
def test_each_value_is_typed_where_its_comment_says(document: Document) -> None:
    text, _ = again(document)
    lines = {file.name: file.path.read_text(encoding="utf-8").splitlines() for file in document.source.files}
    seen = set()
    for line in text.splitlines()[1:]:
        if not (found := re.fullmatch(r"\s*(?:- )?(?:\w+: )?(\S.*?)\s+# (\S+):(\d+)", line)):
            assert line.strip().startswith("#") or line.endswith((":", "# default")), line
            continue
        typed, file, number = found.groups()
        typed = typed.strip('"').removesuffix(" in")
        assert typed.strip("[]").split(", ")[0].strip('"').removesuffix(" in") in lines[file][int(number) - 1], line
        seen.add(file)
    assert seen == set(lines)


@pytest.mark.parametrize("name", odd_cars.ODD)
def test_odd_cars_are_shown_too(name: str, tmp_path: Path) -> None:
    document = load(odd_cars.write(name, tmp_path))
    _, read = again(document)
    assert resolved_json(read) == resolved_json(document)


@settings(QUICK, max_examples=10)
@given(cars(), st.data())
def test_any_car_is_shown_and_is_the_same(spec: dict[str, Any], data: st.DataObject) -> None:
    if changes := data.draw(st.integers(0, 12)):
        spec = data.draw(grammar.grown(spec, changes))
    try:
        document = loads(yaml_text(spec))
        cab = resolve(document)
    except BadSpec:
        reject()
    read = loads(complete_text(document, cab))
    assert resolve(read) == cab
    assert resolved_json(read) == resolved_json(document)


def test_what_comes_of_no_car_is_shown_as_it_was_typed() -> None:
    document = EVERY[0]
    read = loads(complete_text(document, None))
    assert read.spec == document.spec


TEXTS = st.one_of(
    st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=20),
    st.text(st.sampled_from("abc 0.:#-,[]{}&*!|>'\"%@`~=?\\\t\n½"), max_size=8),
)


@settings(QUICK, max_examples=400)
@given(TEXTS, TEXTS)
def test_any_text_is_read_as_it_was_quoted(text: str, other: str) -> None:
    source = f"a: {quote(text)}  # b\nb: [{quote(text)}, {quote(other)}]  # c\n- x"[:-4]
    assert parse_source(source.encode(), "a.yaml").plain() == {"a": text, "b": [text, other]}


@QUICK
@given(st.fractions(0, 700, max_denominator=4096), st.sampled_from(["inch", "mm"]))
def test_a_length_is_typed_exactly(value: Any, units: Any) -> None:
    assert parse_length(length_text(Length(value), units), units) == Length(value)


def test_the_command_prints_it(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(JOB.parent)
    monkeypatch.setattr("sys.argv", ["cabdraw", "show", "mill-row.yaml", "--car", "car-1"])
    assert cli.run() == 0
    said = capsys.readouterr().out
    assert said == complete_text(load(JOB, "car-1"), resolve(load(JOB, "car-1")))
    assert "  reveal: 1/2 in                                  # shop/defaults.yaml:14\n" in said
    assert "increment: 0.5                                    # default\n" in said


def test_the_command_says_what_is_wrong(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    text = SPECS[1].read_text(encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.argv", ["cabdraw", "show", "car.yaml"])
    Path("car.yaml").write_text(text.replace("front_gap: 1", "front_gap: x"), encoding="utf-8")
    assert cli.run() == 1
    said = capsys.readouterr()
    assert (said.out, said.err.count("\n")) == ("", 1)
    # One that has no room for all that it wants is shown as well.
    Path("car.yaml").write_text(
        text.replace("- crown: 3", "- crown: 39").replace("frieze: 4 1/2", "frieze: 30"), encoding="utf-8"
    )
    assert cli.run() == 1
    said = capsys.readouterr()
    assert "- crown: 39" in said.out
    assert said.err.startswith("car.yaml:")

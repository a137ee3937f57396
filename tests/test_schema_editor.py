"""What a drafter sees in an editor that speaks a YAML language server: keys, what they mean, and what is wrong."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from itertools import count
from pathlib import Path

import pytest
from conftest import REPOSITORY, SPECS
from editor import Editor, editor

from cabdraw.spec.json_schema import FILE, FIRST_LINE

#: A server knows a file by its name.
NUMBERS = count()
GOOD = (REPOSITORY / "specs" / "larkspur-car-2.yaml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the schema that the first line of a spec names."""
    folder = tmp_path_factory.mktemp("editor")
    shutil.copy(REPOSITORY / "specs" / FILE, folder)
    return folder


@pytest.fixture(scope="module")
def opened(desk: Path) -> Iterator[Editor]:
    with editor(desk) as one:
        yield one


def place(text: str, mark: str) -> tuple[int, int]:
    """Line and column, from 0, of a mark in a text."""
    before = text[: text.index(mark)]
    return before.count("\n"), len(before) - before.rfind("\n") - 1


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.stem)
def test_nothing_is_wrong_with_a_shipped_spec(opened: Editor, desk: Path, spec: Path) -> None:
    assert opened.open(desk / spec.name, spec.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("standoff: 1 1/2", "standof: 1 1/2", "Property standof is not allowed."),
        ("corner_gap: 1/2", "corner_gap: wide", "This is no length: write e.g. 34 1/2, 3/8"),
        ("- base: 4", "- base: four", "This is no length: write e.g. 34 1/2, 3/8, 3' 4-1/2\", 864mm, or fill"),
        ("units: inch", "units: inches", 'Valid values: "inch", "mm"'),
        ("thickness: 3/4, ", "", "thickness"),
        ("  max_spacing: 20\n", "", 'Missing property "max_spacing".'),
        ("date: 2026-03-02", "date: 2 March", "Write a date, year-month-day"),
        ("round: 1 1/2", "round: ", "Incorrect type"),
    ],
)
def test_a_slip_is_marked_at_its_line(opened: Editor, desk: Path, old: str, new: str, said: str) -> None:
    text = GOOD.replace(old, new, 1)
    wrong = opened.open(desk / f"slip-{next(NUMBERS)}.yaml", text)
    assert [fault["message"] for fault in wrong if said in fault["message"]], wrong
    line = place(GOOD, old)[0]
    # What is missing is said at the section that lacks it.
    assert any(fault["range"]["start"]["line"] in (line, *range(line - 6, line)) for fault in wrong)


def test_the_keys_of_a_section_are_offered_with_what_they_mean(opened: Editor, desk: Path) -> None:
    text = GOOD[: GOOD.index("  panel:")] + "  \n"
    opened.open(desk / "keys.yaml", text)
    offered = opened.completions(desk / "keys.yaml", text.count("\n") - 1, 2)
    assert {"panel", "joint", "reveal", "corner_gap", "rear_gap", "stack", "walls", "front_trim"} <= set(offered)
    assert "standoff" not in offered
    assert offered["corner_gap"].startswith("Visible gap that each wall leaves at an inside corner. Write a length")


@pytest.mark.parametrize(
    ("below", "offered"),
    [
        ("layout:\n  stack:\n    - ", {"gap", "base", "lower", "backer", "frieze"}),
        ("layout:\n  panel:\n    grain: ", {"vertical", "horizontal", "none"}),
        ("units: ", {"inch", "mm"}),
        ("handrail:\n  standoffs: ", {"rule", "clear", "existing"}),
        ("", {"cabdraw", "units", "job", "survey", "layout", "handrail", "include", "cars"}),
    ],
)
def test_what_can_stand_there_is_offered(opened: Editor, desk: Path, below: str, offered: set[str]) -> None:
    text = f"{FIRST_LINE}\n{below}"
    path = desk / f"offer-{next(NUMBERS)}.yaml"
    opened.open(path, text)
    line, column = text.count("\n"), len(text) - text.rfind("\n") - 1
    assert offered <= set(opened.completions(path, line, column))


@pytest.mark.parametrize(
    ("mark", "said"),
    [
        ("corner_gap", "Visible gap that each wall leaves at an inside corner. Write a length, e.g. 1/2 in or 12 mm."),
        ("spline_lift", "Left out: 3/4 in."),
        ("backer", "The band that the handrail is bolted through."),
        ("overhang", "End of the rail to the first standoff, nominal."),
    ],
)
def test_resting_on_a_key_tells_what_it_means(opened: Editor, desk: Path, mark: str, said: str) -> None:
    path = desk / "larkspur.yaml"
    opened.open(path, GOOD)
    line, column = place(GOOD, mark)
    assert said in opened.hover(path, line, column + 1)


def test_anchors_and_merges_are_followed(opened: Editor, desk: Path) -> None:
    text = GOOD.replace("  rail: *bronze", "  rail:\n    <<: *bronze\n    code: S3")
    assert text != GOOD
    assert opened.open(desk / "merge.yaml", text) == []
    (wrong,) = opened.open(desk / "merge-wrong.yaml", text.replace("code: S3", "cod: S3"))
    assert wrong["message"] == "Property cod is not allowed."


def test_what_includes_a_shops_file_need_not_be_complete(opened: Editor, desk: Path) -> None:
    text = f"{FIRST_LINE}\ninclude: shop.yaml\ncabdraw: 1\nlayout:\n  reveal: 1/2\n  handrail: ~\n"
    (wrong,) = opened.open(desk / "short.yaml", text)
    assert wrong["message"] == "Property handrail is not allowed."

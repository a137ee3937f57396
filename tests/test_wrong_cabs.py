"""Fifty wrong cabs, each found for what is wrong with it; and the right ones, with nothing that stops them."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from conftest import SPECS
from wrong_cabs import RIGHT, WRONG, Wrong, changed

from cabdraw.check import all_codes, findings
from cabdraw.errors import Finding
from cabdraw.resolve import resolve
from cabdraw.spec import load, loads

PAGE = Path(__file__).parent.parent / "docs" / "checks.md"
BEGIN, END = "<!-- made by the tests: begin -->", "<!-- made by the tests: end -->"


def found(text: str) -> tuple[Finding, ...]:
    return findings(resolve(loads(text)))


def test_right_cab_has_nothing_but_notes() -> None:
    assert {finding.severity for finding in found(RIGHT)} <= {"note"}


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.stem)
def test_shipped_cars_have_no_error(spec: Path) -> None:
    assert [f for f in findings(resolve(load(spec))) if f.severity == "error"] == []


def test_there_are_fifty_and_each_is_another() -> None:
    assert len(WRONG) == 50
    assert len({wrong.what for wrong in WRONG}) == 50
    assert len({(wrong.old, wrong.new) for wrong in WRONG}) == 50


@pytest.mark.parametrize("wrong", WRONG, ids=lambda wrong: wrong.what)
def test_wrong_cab_is_found_for_what_is_wrong_with_it(wrong: Wrong) -> None:
    first = found(changed(wrong))[0]
    assert first.code == wrong.code
    assert first.message
    assert first.hint
    assert first.where


def table() -> str:
    """The table of wrong cabs: what is wrong, the finding that comes first, its severity and what it stops."""
    kinds = {code.code: code for code in all_codes()}
    lines = ["| what is wrong with it | first finding | severity | stops |", "| --- | --- | --- | --- |"]
    for wrong in WRONG:
        kind = kinds[wrong.code]
        lines.append(f"| {wrong.what} | `{wrong.code}` | {kind.severity} | {kind.stops} |")
    return "\n".join(lines)


def test_page_of_the_checks_shows_them_all() -> None:
    page = PAGE.read_text(encoding="utf-8")
    before, rest = page.split(BEGIN)
    _, after = rest.split(END)
    wanted = f"{before}{BEGIN}\n{table()}\n{END}{after}"
    if os.environ.get("CABDRAW_RENEW") == "1":
        PAGE.write_text(wanted, encoding="utf-8")
    assert PAGE.read_text(encoding="utf-8") == wanted

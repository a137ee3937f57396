"""Every kind of bad spec beside the errors that it gives, word for word; `CABDRAW_RENEW=1` rewrites the words."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from cabdraw.errors import BadSpec
from cabdraw.spec import load

FOLDER = Path(__file__).parent / "bad_specs"


def errors_of(path: Path) -> list[str]:
    """Every error of a spec as it is shown, from its text and values or else from its sizes."""
    from cabdraw.resolve import resolve

    with pytest.raises(BadSpec) as refused:
        resolve(load(path))
    return [str(error) for error in refused.value.errors]


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.yaml")), ids=lambda path: path.stem)
def test_bad_spec_says_what_is_wrong(path: Path) -> None:
    errors = errors_of(path)
    golden = path.with_suffix(".txt")
    if os.environ.get("CABDRAW_RENEW") == "1":
        golden.write_text("\n".join(errors) + "\n", encoding="utf-8")
    assert errors == golden.read_text(encoding="utf-8").splitlines()
    assert all(error.startswith(f"{path.name}:") for error in errors)


def test_every_expected_text_has_its_spec() -> None:
    assert {path.stem for path in FOLDER.glob("*.txt")} == {path.stem for path in FOLDER.glob("*.yaml")}


def test_several_errors_are_all_reported_in_the_order_of_the_file() -> None:
    with pytest.raises(BadSpec) as refused:
        load(FOLDER / "many_at_once.yaml")
    places = [(error.line, error.column) for error in refused.value.errors]
    assert places == sorted(places)
    said = str(refused.value)
    for word in (
        '"colour" is not a key',
        '"car" is given twice',
        '"1/0" is not a length',
        '"-1" is negative',
        "handrail.overhang: is missing",
        '"left" is to get panels',
        '"right" is measured',
        "a reveal cannot be fill",
        "[3] is a list",
    ):
        assert word in said
    assert len(places) == 9

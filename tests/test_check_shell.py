"""The shell as it stands, and what boards are made of: each finding just at its limit and just past it."""

from __future__ import annotations

import pytest
from wrong_cabs import RIGHT

from cabdraw.cab import Cab
from cabdraw.check.boards import boards
from cabdraw.check.shell import shell
from cabdraw.resolve import resolve
from cabdraw.spec import loads


def car(*changes: tuple[str, str]) -> Cab:
    text = RIGHT
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return resolve(loads(text))


WALL = "      width: [68 1/8, 68, 68 1/16]\n"


@pytest.mark.parametrize(
    ("said", "found"),
    [
        ("bow: 7/16", []),
        ("bow: 15/32", ["survey-air-gap"]),
        ("twist: 1/4\n      heads: 3/16", []),
        ("twist: 1/4\n      heads: 1/4", ["survey-air-gap"]),
    ],
)
def test_air_gap_takes_bow_twist_and_heads_with_a_sixteenth_free(said: str, found: list[str]) -> None:
    cab = car((WALL, f"{WALL}      {said}\n"))
    assert [finding.code for finding in shell(cab)] == found


def test_air_gap_says_what_it_needs() -> None:
    (finding,) = shell(car((WALL, f"{WALL}      bow: 1/2\n      heads: 1/8\n")))
    assert 'bow 1/2", heads 1/8" and 1/16" free need 11/16"' in finding.message
    assert finding.stops == "fabrication"


# 68 by 51 11/32 in on the mean has diagonals of 85.206 in; out of square by e they are longer and shorter. Two
# diagonals of 85.456 and 84.954 in: sin e = (85.456² - 84.954²) / (4 · 68 · 51.344) = 0.00613, 0.315 in in the depth.
@pytest.mark.parametrize(
    ("diagonals", "found"),
    [
        ("[85.206, 85.206]", []),
        ("[85.39, 85.02]", []),
        ("[85.456, 84.954]", ["survey-out-of-square"]),
        ("[84.954, 85.456]", ["survey-out-of-square"]),
        ("[86.1, 86.1]", ["survey-diagonals"]),
        ("[58.2, 85.2]", ["survey-diagonals"]),
    ],
)
def test_diagonals_close_with_the_sides(diagonals: str, found: list[str]) -> None:
    cab = car(("  uncertainty: 0\n", f"  uncertainty: 0\n  diagonals: {diagonals}\n"))
    assert [finding.code for finding in shell(cab)] == found


def test_skew_is_said_as_a_size() -> None:
    (finding,) = shell(car(("  uncertainty: 0\n", "  uncertainty: 0\n  diagonals: [85.456, 84.954]\n")))
    assert '5/16"' in finding.message


def test_board_faced_on_one_side_bows() -> None:
    assert list(boards(car())) == []
    cab = car(("      - {material: laminate, thickness: 0.020}\n", ""))
    assert [finding.code for finding in boards(cab)] == ["board-unbalanced"]


def test_mirror_needs_more_than_adhesive() -> None:
    finish = "finishes: {upper: {name: Mirror, colour: steel, texture: mirror, fire: none needed}}\nhandrail:\n"
    (finding,) = boards(car(("handrail:\n", finish)))
    assert finding.code == "board-mirror"
    assert finding.path == ("finishes", "upper")


@pytest.mark.parametrize(("middle", "found"), [("3", []), ("2 31/32", ["board-narrow"])])
def test_panel_keeps_board_between_its_two_grooves(middle: str, found: list[str]) -> None:
    # Grooves of 1/2 in each and 2 in of board between: 3 in. The end panels have one groove only.
    cab = car(("back:  {panels: 3}", f"back:  {{widths: [fill, {middle}, fill]}}"))
    narrow = [finding for finding in boards(cab) if finding.code == "board-narrow"]
    assert [finding.code for finding in narrow] == found
    assert all(mark.split("-")[-1] == "2" for finding in narrow for mark in finding.marks)

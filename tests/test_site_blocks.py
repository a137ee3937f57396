"""The kit of blocks: each gap's own size, the fewest sizes within a tolerance, letters, and what is drawn of them."""

from __future__ import annotations

import csv
import io
from fractions import Fraction
from itertools import combinations
from typing import Any

import pytest
from conftest import Shipped
from hypothesis import given, settings
from hypothesis import strategies as st
from legible import faults
from spec_texts import cab

from cabdraw.draw.blocks_drawing import blocks_sheets
from cabdraw.draw.shapes import Polyline
from cabdraw.install.blocks import blocks
from cabdraw.install.fewest import fewest
from cabdraw.install.kit import Kit, kit, letter, nose
from cabdraw.units import Length, inch, mm

ALONE: dict[str, Any] = {
    "survey.walls": {"back": {"width": ["68"]}},
    "layout.walls": {"back": {"panels": "1", "margins": ["1 1/2", "1 1/2"]}},
    "handrail.walls": ["back"],
}
LEANING: dict[str, Any] = {**ALONE, "survey.walls.back.width": ["68", "69"]}


def sizes(found: Kit, *kinds: str) -> set[Length]:
    return {row.size for row in found.rows if set(kinds) & set(row.kinds)}


# --- the fewest sizes ---


def fewest_by_trying(gaps: list[int], tolerance: int) -> int:
    """How few whole sizes are each within a tolerance of every gap, by trying all sets."""
    points = range(min(gaps) - tolerance, max(gaps) + tolerance + 1)
    for count in range(1, len(gaps) + 1):
        for chosen in combinations(points, count):
            if all(any(abs(gap - size) <= tolerance for size in chosen) for gap in gaps):
                return count
    raise AssertionError


@settings(max_examples=150, deadline=None)
@given(st.lists(st.integers(0, 14), min_size=1, max_size=6), st.integers(1, 3))
def test_no_set_is_smaller_than_the_one_proposed(gaps: list[int], tolerance: int) -> None:
    found = fewest([mm(gap) for gap in gaps], mm(tolerance), mm(1))
    assert all(abs(size - mm(gap)) <= mm(tolerance) for size, gap in zip(found, gaps, strict=True))
    assert len(set(found)) == fewest_by_trying(gaps, tolerance)


@settings(max_examples=100, deadline=None)
@given(st.lists(st.fractions(0, 50), min_size=1, max_size=12), st.integers(1, 8))
def test_sizes_are_whole_steps_and_within_the_tolerance(gaps: list[Fraction], eighths: int) -> None:
    tolerance = mm(Fraction(eighths, 2))
    found = fewest([mm(gap) for gap in gaps], tolerance, mm(1))
    assert all(size.mm.denominator == 1 for size in found)
    assert all(abs(size - mm(gap)) <= tolerance for size, gap in zip(found, gaps, strict=True))


def test_a_size_that_is_there_anyway_is_used() -> None:
    assert fewest([mm(10), mm(12), mm(20)], mm(1), mm(1), [mm(11)]) == (mm(11), mm(11), mm(20))


def test_a_size_stands_in_the_middle_of_what_it_sets() -> None:
    assert fewest([mm(10), mm(13)], mm(2), mm(1)) == (mm(12), mm(12))
    assert fewest([mm(10)], mm(3), mm(1)) == (mm(10),)


def test_a_tolerance_under_half_a_step_is_refused() -> None:
    with pytest.raises(ValueError, match="half"):
        fewest([mm(1)], mm("0.4"), mm(1))


# --- the kit ---


def test_the_kit_has_the_format_s_end_blocks_and_more_at_the_head_and_foot_of_tall_tiers() -> None:
    car = cab(LEANING)
    ends = {place.where: place.size for place in kit(car).places if place.kind == "end"}
    fixed = {use.removeprefix("back: "): block.size for block in blocks(car) for use in block.used if "end" in use}
    assert {where: size.nearest_to(inch("1/32")) for where, size in ends.items() if where in fixed} == fixed
    # The upper tier stands from 37 1/2 to 83 1/2 in; 6 in from its head the wall is 77 1/2 / 92 1/4 in wider.
    assert ends["upper, left end at the head"] == inch(Fraction(3, 2) + Fraction("77.5") / Fraction("92.25") / 2)
    assert ends["upper, left end at the foot"] == inch(Fraction(3, 2) + Fraction("43.5") / Fraction("92.25") / 2)


def test_floor_blocks_follow_the_fall_of_the_floor() -> None:
    falling = cab({**ALONE, "survey.walls.back.floor": ["0", "1/8"], "survey.height": ["93"]})
    places = [place for place in kit(falling).places if place.kind == "floor"]
    # The row runs from 1 1/2 to 66 1/2 in of 68: three blocks, each higher by the fall where it stands.
    assert [place.size - inch("7/8") for place in places] == [
        inch(Fraction(1, 8) * x / 68) for x in (Fraction("1.5"), Fraction(34), Fraction("66.5"))
    ]


def test_props_carry_the_backer_and_the_rail() -> None:
    found = {place.where: place.size for place in kit(cab(ALONE)).places if place.kind in ("prop", "clear")}
    assert found["finished floor to the underside of the backer, left"] == inch(31)
    assert found["finished floor to the underside of the rail, right"] == inch("33.25")
    assert found["between panel face and rail, left end"] == inch("3/2")


def test_a_corner_gauge_sets_both_walls_gaps() -> None:
    car = cab()
    gauges = [place for place in kit(car).places if place.kind == "gauge"]
    assert {place.what for place in gauges} == {"left back corner", "right back corner"}
    back, left = car.walls["back"], car.walls["left"]
    base = next(place for place in gauges if place.where == "left back corner, base")
    assert base.size == back.margins[0] - left.projection
    assert base.across == left.margins[1] - back.projection
    assert nose(car) < car.joint.groove_offset


def test_without_a_back_wall_there_is_no_corner() -> None:
    sides = {"survey.walls": {"left": {"width": ["51"]}}, "layout.walls": {"left": {"panels": "2"}}}
    found = kit(cab({**sides, "handrail.walls": ["left"], "survey.width": "68"}))
    assert not sizes(found, "gauge")


def test_each_gap_has_its_own_block_and_the_fewest_are_proposed_beside_them() -> None:
    found = kit(cab(LEANING))
    assert not found.fewest
    assert found.tolerance == inch("1/32")
    assert len(found.other) < len(found.rows)
    assert all(row.letter == "" for row in found.other)
    assert all(
        abs(found.row(name).size - place.size) <= inch("1/64")
        for name, place in zip(found.letters, found.places, strict=True)
    )


def test_a_stated_tolerance_is_worked_with() -> None:
    found = kit(cab({**LEANING, "tolerances.block": "1/8"}))
    assert found.fewest
    # The gaps run from 1 1/2 to 1 31/32 in: two sizes, beside the 1 1/2 in that keeps the rail off the panels anyway.
    assert len(sizes(found, "end")) == 3
    for name, place in zip(found.letters, found.places, strict=True):
        loose = place.kind in ("floor", "end")
        assert abs(found.row(name).size - place.size) <= (inch("1/8") if loose else inch("1/64"))


def test_joint_blocks_are_never_off_since_their_errors_add_up() -> None:
    found = kit(cab({"tolerances.block": "1/4", "layout.reveal": "17/32"}))
    joints = {
        found.row(name).size for name, place in zip(found.letters, found.places, strict=True) if place.kind == "joint"
    }
    assert joints == {inch("17/32")}


def test_one_size_is_one_row_with_a_letter_a_count_and_every_place() -> None:
    found = kit(cab())
    plain = [row for row in found.rows if row.across is None]
    assert len({row.size for row in plain}) == len(plain)
    assert len({row.letter for row in found.rows}) == len(found.rows)
    assert sum(row.count for row in found.rows) == len(found.places)
    assert all(row.count == len(row.used) for row in found.rows)
    assert all(1 <= row.at_once <= row.count for row in found.rows)


def test_letters_read_as_no_figure() -> None:
    letters = [letter(number) for number in range(60)]
    assert letters[:9] == ["A", "B", "C", "D", "E", "F", "G", "H", "J"]
    assert letters[24:26] == ["AA", "AB"]
    assert len(set(letters)) == 60
    assert not set("".join(letters)) & {"I", "O"}


def test_a_tolerance_that_blocks_cannot_be_cut_to_is_refused() -> None:
    from spec_texts import plain, text

    from cabdraw.errors import BadSpec
    from cabdraw.spec import loads

    with pytest.raises(BadSpec, match="at least half the increment"):
        loads(text(plain({"tolerances.block": "0.01"})), "car.yaml")


# --- the files ---


def test_the_list_prints_both_sets(shipped: Shipped) -> None:
    rows = list(csv.DictReader(io.StringIO(shipped.files["site/blocks.csv"].decode())))
    found = kit(shipped.looked.cab)
    worked = [row for row in rows if row["set"].startswith("worked with")]
    assert [row["letter"] for row in worked] == [row.letter for row in found.rows]
    assert [row["size"].lstrip("'") for row in worked] == [
        shipped.looked.cab.printing.size(row.size) for row in found.rows
    ]
    assert len(rows) - len(worked) == len(found.other)
    assert sum(int(row["places"]) for row in worked) == len(found.places)


def test_every_block_is_drawn_once_at_full_size(shipped: Shipped) -> None:
    car = shipped.looked.cab
    found = kit(car)
    sheets = blocks_sheets(car, found, shipped.looked.findings)
    views = {view.name: view for sheet in sheets for view in sheet.views}
    assert list(views) == [f"block-{row.letter}" for row in found.rows]
    for row in found.rows:
        view = views[f"block-{row.letter}"]
        assert view.scale == 1.0
        outline = next((s for s in view.shapes if isinstance(s, Polyline) and s.layer == "PANEL"), None)
        if row.across is not None:
            assert outline is not None
            xs = sorted({x for x, _ in outline.points if x > 0})
            assert xs[0] == pytest.approx(float(row.size), abs=1e-9)
        elif row.size <= mm(150):
            assert outline is not None
            assert max(x for x, _ in outline.points) == pytest.approx(float(row.size), abs=1e-9)
    assert [fault for sheet in sheets for fault in faults(sheet)] == []

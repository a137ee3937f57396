"""Screws and pad studs: spread evenly, moved clear of what is behind the shell, left out where nothing is clear."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from spec_texts import GONE, cab

from cabdraw.check import findings
from cabdraw.errors import Finding
from cabdraw.install.screws import FixingLine, fixing_lines, spread
from cabdraw.units import Length, inch, mm

FIXED: dict[str, Any] = {
    "fixings": {"base_screws": "12", "spline_screws": "12", "pad_studs": "18", "pad_stud_end": "6", "spares": "10%"}
}


def behind(*things: dict[str, str]) -> dict[str, Any]:
    clear = {"verified": {"by": "R. Vance", "date": "2026-02-20"}, "depth": "3", "obstructions": list(things)}
    return {**FIXED, "survey.walls.back.behind": clear}


def thing(x: str, y: str, width: str, height: str, **more: str) -> dict[str, str]:
    return {"what": "cable", "x": x, "y": y, "width": width, "height": height, **more}


def found(changes: dict[str, Any]) -> tuple[Finding, ...]:
    return findings(cab(changes))


def codes(changes: dict[str, Any]) -> list[str]:
    return [finding.code for finding in found(changes)]


def line(changes: dict[str, Any], mark: str) -> FixingLine:
    car = cab(changes)
    (one,) = [each for wall in car.walls.values() for each in fixing_lines(car, wall) if each.mark == mark]
    return one


@settings(max_examples=200, deadline=None)
@given(st.integers(1, 4000), st.integers(20, 900), st.integers(0, 300))
def test_spread_keeps_spacing_and_ends(length: int, spacing: int, end: int) -> None:
    places = spread(mm(length), mm(spacing), mm(end), mm("0.5"))
    assert all(b - a <= mm(spacing) for a, b in pairwise(places))
    assert places[0] + places[-1] == mm(length)
    if length > 2 * end:
        assert places[0] <= mm(end)
        assert len(places) == max(1, -(-(length - 2 * end) // spacing)) + 1
    else:
        assert len(places) == 1


def test_pad_studs_of_the_trade_s_example() -> None:
    # 18 in apart at most, 6 in from the ends: five on a run of 76 7/16 in, four on 61 3/4 (trade practice).
    assert len(spread(inch("1223/16"), inch(18), inch(6), inch("1/32"))) == 5
    assert len(spread(inch("247/4"), inch(18), inch(6), inch("1/32"))) == 4


def test_nothing_is_asked_nothing_is_there() -> None:
    car = cab()
    assert car.fixings is None
    assert all(fixing_lines(car, wall) == () for wall in car.walls.values())


def test_where_each_kind_stands() -> None:
    car = cab(FIXED)
    wall = car.walls["back"]
    base, studs = line(FIXED, "base-back"), line(FIXED, "frieze-back")
    assert {f.y for f in base.fixings} == {inch("23/8")}
    assert {f.y for f in studs.fixings} == {inch("357/4")}
    spline = line(FIXED, "spline-lower-back-1")
    x, width = wall.columns[0]
    assert {f.x for f in spline.fixings} == {x + width + wall.reveal / 2}
    # Through spline, gap behind it and shell: 1 1/4 less 1/4, less the groove's 5/32, more the spline's 1/8.
    assert spline.through == inch("1") - inch("5/32") + inch("1/8") + inch("0.0781")


def test_a_butt_joint_has_no_room_for_a_screw() -> None:
    car = cab({**FIXED, "layout.reveal": "0"})
    marks = {each.mark for each in fixing_lines(car, car.walls["back"])}
    assert "spline-lower-back-1" not in marks
    assert "spline-back-1" in marks


def test_a_screw_moves_clear_of_an_obstruction_and_says_so() -> None:
    before = line(FIXED, "base-back")
    at = before.fixings[2].x
    low = at - inch("1/2")
    changes = behind(thing(f"{float(low / 1) / 25.4:.4f}", "1", "1 1/4", "10"))
    after = line(changes, "base-back")
    moved = [f for f in after.fixings if f.moved is not None]
    assert [f.wanted for f in moved] == [at]
    assert all(abs(f.x - at) < inch(2) for f in moved)
    note = next(f for f in found(changes) if f.code == "fixing-moved")
    assert "clear of the cable" in note.message
    assert note.where == "survey.walls.back.behind.obstructions[0]"


def test_what_lies_deeper_than_a_screw_reaches_is_not_met() -> None:
    assert "fixing-moved" not in codes(behind(thing("10", "0", "50", "10", behind="1/2")))
    reach = {**behind(thing("10", "0", "50", "10", behind="1/2")), "fixings.screw_reach": "5/8"}
    assert "fixing-left-out" in codes(reach)


def test_no_screw_ever_stands_within_reach_of_an_obstruction() -> None:
    things = [thing(str(x), "0", "3", "90") for x in (8, 20, 31, 44, 57)]
    car = cab(behind(*things))
    wall = car.walls["back"]
    count = 0
    for each in fixing_lines(car, wall):
        for fixing in each.fixings:
            count += 1
            for other in wall.obstructions:
                grown = other.rect.grown(inch("1/4"))
                assert not (grown.x < fixing.x < grown.right and grown.y < fixing.y < grown.top)
    assert count > 20


def test_where_nothing_near_is_clear_the_screw_is_left_out() -> None:
    changes = behind(thing("2", "0", "64", "6"))
    each = line(changes, "base-back")
    assert each.left_out
    warning = next(f for f in found(changes) if f.code == "fixing-left-out")
    assert (warning.severity, warning.stops) == ("warning", "nothing")


def test_pad_studs_keep_off_joints_where_a_frieze_is_pieced() -> None:
    car = cab({**FIXED, "layout.walls.back.panels": "2", "fixings.pad_studs": "30"})
    wall = car.walls["back"]
    (studs,) = [each for each in fixing_lines(car, wall) if each.kind == "pad-stud"]
    x, width = wall.columns[0]
    joint = x + width + wall.reveal / 2
    assert all(abs(f.x - joint) >= wall.reveal / 2 + inch(1) for f in studs.fixings)
    assert any(f.moved is not None and f.moved.source == "joint" for f in studs.fixings)


@pytest.mark.parametrize(("rail", "expected"), [(True, "drill-unverified"), (False, "fixing-unverified")])
def test_an_unverified_shell_stops_drilling_for_screws_too(rail: bool, expected: str) -> None:
    changes: dict[str, Any] = {**FIXED, "survey.walls.left.behind": GONE}
    if not rail:
        changes["handrail.walls"] = ["back", "right"]
    (finding,) = [f for f in found(changes) if f.wall == "left" and f.stops == "drilling"]
    assert finding.code == expected


def test_screws_stay_within_their_reach() -> None:
    from cabdraw.install.hardware import screw_length

    car = cab(FIXED)
    for wall in car.walls.values():
        for each in fixing_lines(car, wall):
            longest = screw_length(car, each)
            assert longest is not None
            assert each.through is not None
            assert each.through < longest <= each.through + inch("1/2")
            assert longest.ratio(inch("1/8")).denominator == 1


def test_widest_bay_counts_what_is_left_out() -> None:
    each = line(behind(thing("20", "0", "30", "6")), "base-back")
    places = [f.x for f in each.fixings]
    assert each.widest == max(b - a for a, b in pairwise(places))
    assert each.widest > Length(Fraction(30) * 25)

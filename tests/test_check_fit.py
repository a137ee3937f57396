"""Findings about fit: each at its limit, where there is none, and just past it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from spec_texts import GONE, alike, cab, codes, findings, found, only

from cabdraw.cab import Cab, Part, Rect
from cabdraw.check import all_codes
from cabdraw.frozen import replace
from cabdraw.resolve import resolve
from cabdraw.spec import loads
from cabdraw.units import Length, mm

SPECS = Path(__file__).parent.parent / "specs"


def test_the_plain_car_has_no_findings() -> None:
    assert found() == ()


def test_every_code_is_its_own() -> None:
    named = [code.code for code in all_codes()]
    assert len(named) == len(set(named))
    assert all(code.meaning and not code.meaning.endswith(".") for code in all_codes())


def test_groove_as_deep_as_engagement_and_clearance_is_enough() -> None:
    assert codes({"layout.joint.groove_depth": "7/16"}) == []


@pytest.mark.parametrize(
    ("changes", "what"),
    [
        ({"layout.joint.groove_depth": "0.4374", "layout.joint.base_tab": "1/4"}, "the spline"),
        ({"layout.joint.base_tab": "0.4376"}, "the base's tab"),
    ],
)
def test_groove_too_shallow(changes: dict[str, Any], what: str) -> None:
    finding = only(changes, "fit-groove-depth")
    assert (finding.severity, finding.stops) == ("error", "fabrication")
    assert finding.where == "layout.joint.groove_depth"
    assert finding.message.startswith(f"{what} enters")
    assert finding.message.count("deep") == 1


def test_a_base_tab_counts_only_where_there_is_a_base() -> None:
    no_base = {"layout.stack.1": {"gap": "4"}, "layout.joint.base_tab": "1"}
    assert "fit-groove-depth" not in codes(no_base)


#: With one panel a row's width is a whole number of increments, and every margin is the stated gap.
ONE_PANEL = {f"layout.walls.{wall}.panels": "1" for wall in ("back", "left", "right")}


@pytest.mark.parametrize(
    ("key", "walls"),
    [("corner_gap", ["back", "back", "left", "right"]), ("front_gap", ["left", "right"])],
)
def test_end_gap_under_engagement_and_clearance(key: str, walls: list[str]) -> None:
    assert codes({**ONE_PANEL, f"layout.{key}": "7/16"}) == []
    every = found({**ONE_PANEL, f"layout.{key}": "13/32"})
    assert {(finding.code, finding.severity, finding.stops) for finding in every} == {
        ("fit-end-gap", "error", "fabrication")
    }
    assert {finding.where for finding in every} == {f"layout.{key}"}
    assert sorted(finding.wall or "" for finding in every) == walls
    assert '13/32" free' in every[0].message
    assert '7/16" (engagement 3/8" and clearance 1/16")' in every[0].message
    assert every[0].hint == f'make {key} at least 1/32" wider'


def test_end_gap_at_a_rear_opening_names_the_gap_that_is_given() -> None:
    no_back: dict[str, Any] = {
        "survey.walls.back": GONE,
        "layout.walls.back": GONE,
        "handrail.walls": ["left", "right"],
        **{f"layout.walls.{wall}.panels": "1" for wall in ("left", "right")},
    }
    ends = [f for f in found({**no_back, "layout.rear_gap": "3/8"}) if f.code == "fit-end-gap"]
    assert [(finding.where, finding.wall) for finding in ends] == [
        ("layout.rear_gap", "left"),
        ("layout.rear_gap", "right"),
    ]
    assert "the left wall's right end" in ends[0].message
    assert "the right wall's left end" in ends[1].message
    every = found({**no_back, "layout.front_gap": "3/8"})
    assert {finding.where for finding in every} == {"layout.front_gap"}
    assert len(every) == 4


def test_end_gap_of_a_walls_own_margins_is_less_by_the_neighbours_panels() -> None:
    assert codes({**ONE_PANEL, "layout.walls.left.margins": ["7/16", "1 11/16"]}) == []
    finding = only({**ONE_PANEL, "layout.walls.left.margins": ["7/16", "1 21/32"]}, "fit-end-gap")
    assert finding.where == "layout.walls.left.margins[1]"
    assert 'right end has 13/32" free beside the back wall\'s panels, which stand 1 1/4" off' in finding.message
    inside = only({**ONE_PANEL, "layout.walls.left.margins": ["1", "1"]}, "fit-end-gap")
    assert "its outer panels 1/4\" inside the back wall's panelling" in inside.message
    assert inside.hint == 'make the margin at least 11/16" wider'


def stack(*top: dict[str, Any]) -> dict[str, Any]:
    """The plain car with another top over its upper tier, and the fill under it left to close the stack."""
    return {
        "layout.stack": [
            {"gap": "7/8"}, {"base": "4"}, {"lower": "fill"}, {"reveal": "1/2"},
            {"backer": {"height": "6", "centre": "34"}}, {"reveal": "1/2"}, {"upper": "fill"}, *top,
        ]
    }  # fmt: skip


@pytest.mark.parametrize("under", [[], [{"reveal": "1/2"}]], ids=["on the tier", "on a reveal"])
def test_frieze_needs_headroom_to_drop_its_tab_in(under: list[dict[str, Any]]) -> None:
    assert codes(stack(*under, {"frieze": "4 1/2"}, {"gap": "7/16"})) == []
    every = alike(stack(*under, {"frieze": "4 1/2"}, {"gap": "13/32"}), "fit-frieze-headroom")
    assert [finding.wall for finding in every] == ["back", "left", "right"]
    finding = every[0]
    assert (finding.severity, finding.stops) == ("error", "fabrication")
    assert 'there is 13/32" above the frieze' in finding.message
    assert 'takes 7/16"' in finding.message
    assert finding.where == f"layout.stack[{8 + len(under)}].gap"
    assert finding.marks == ("frieze-back",)


def test_frieze_under_the_ceiling_has_no_headroom_unless_it_drops_into_nothing() -> None:
    finding = alike(stack({"frieze": "4 1/2"}), "fit-frieze-headroom")[0]
    assert finding.where == "layout.stack[7].frieze"
    assert codes(stack({"gap": "1/2"}, {"frieze": "4 1/2"})) == []


def test_too_little_never_reads_as_enough() -> None:
    close = {**stack({"frieze": "4 1/2"}, {"gap": "0.4365"}), "survey.uncertainty": "0.0005"}
    finding = alike(close, "fit-frieze-headroom")[0]
    assert 'there is 0.4370" above the frieze' in finding.message
    assert 'takes 0.4375"' in finding.message


@pytest.mark.parametrize(
    ("readings", "code", "severity", "stops"),
    [
        (["68", "68 3/8"], None, "", ""),
        (["68", "68 25/64"], "survey-spread", "warning", "nothing"),
        (["68", "70"], "survey-spread", "warning", "nothing"),
        (["68", "70 1/64"], "survey-reading", "error", "fabrication"),
    ],
)
def test_readings_of_a_width_that_differ(readings: list[str], code: str | None, severity: str, stops: str) -> None:
    changes = {"survey.walls.back.width": readings}
    if code is None:
        assert codes(changes) == []
        return
    finding = only(changes, code)
    assert (finding.severity, finding.stops, finding.wall) == (severity, stops, "back")
    assert finding.where == "survey.walls.back.width"
    assert f'reads from 68" to {readings[1]}"' in finding.message


def test_heights_read_for_every_wall_are_looked_at_once_and_as_they_were_read() -> None:
    finding = only({"survey.height": ["92 1/4", "92 3/4"], "survey.floor_finish": "1/4"}, "survey-spread")
    assert finding.where == "survey.height"
    assert finding.wall is None
    assert finding.message.startswith('the height reads from 92 1/4" to 92 3/4", 1/2" apart')


def test_a_walls_own_heights_are_its_own() -> None:
    finding = only({"survey.walls.left.height": ["92 1/4", "92 3/4"]}, "survey-spread")
    assert (finding.where, finding.wall) == ("survey.walls.left.height", "left")


def test_heights_are_compared_above_the_floors_high_point() -> None:
    fall = {"survey.walls.left.height": ["92 1/4", "92 3/4"], "survey.walls.left.floor": ["0", "1/8"]}
    assert codes(fall) == []
    rising = {**fall, "survey.walls.left.floor": ["1/8", "0"], "survey.walls.left.height": ["92 3/8", "92 5/8"]}
    assert codes({**rising, "survey.walls.left.height": ["92 3/8", "92 5/8"]}) == []
    finding = only({**rising, "survey.walls.left.height": ["92 3/8", "92 21/32"]}, "survey-spread")
    assert "less its floor's fall" in finding.message
    assert '13/32" apart' in finding.message


@pytest.mark.parametrize(
    ("floor", "gap", "along"),
    [
        (["0", "1/8"], "7/8", None),
        (["0", "9/64"], "7/8", 'runs from 7/8" to 1 1/64" along the wall'),
        (None, "1", None),
        (None, "1 1/32", 'is 1 1/32"'),
        (None, "27/32", 'is 27/32"'),
        (["1/32", "1/32"], "27/32", None),
    ],
)
def test_floor_gap_out_of_its_range(floor: list[str] | None, gap: str, along: str | None) -> None:
    changes: dict[str, Any] = {
        **{f"layout.walls.{wall}.stack": stack({"gap": "1/2"})["layout.stack"] for wall in ("left", "right")},
        "layout.stack.0.gap": gap,
        "layout.stack.2": {"lower": "fill"},
    }
    if floor is not None:
        changes["survey.walls.back.floor"] = floor
    if along is None:
        assert codes(changes) == []
        return
    finding = only(changes, "fit-floor-gap")
    assert (finding.severity, finding.stops, finding.wall) == ("warning", "nothing", "back")
    assert finding.where == ("survey.walls.back.floor" if floor else "layout.stack[0].gap")
    assert along in finding.message
    assert '7/8" to 1" is common practice' in finding.message


@pytest.mark.parametrize(
    ("gap", "rail_top", "within"),
    [("22", "900", True), ("20.5", "900", False), ("26", "901", True), ("26.5", "900", False)],
)
def test_floor_gap_in_mm_is_held_to_round_figures(gap: str, rail_top: str, within: bool) -> None:
    text = (SPECS / "quayside-lift-b.yaml").read_text(encoding="utf-8")
    text = text.replace("- gap: 25\n", f"- gap: {gap}\n").replace("rail_top: 900", f"rail_top: {rail_top}")
    every = [f for f in findings(resolve(loads(text))) if f.code == "fit-floor-gap"]
    assert [finding.wall for finding in every] == ([] if within else ["left", "right"])
    assert all(f"is {gap}; 22 to 26 is common practice" in finding.message for finding in every)


def tampered(cab: Cab, mark: str, **changes: Any) -> Cab:
    """A car with one part of its back wall changed behind the resolver's back."""
    wall = cab.walls["back"]
    parts = tuple(replace(part, **changes) if part.mark == mark else part for part in wall.parts)
    assert parts != wall.parts
    return replace(cab, walls={**cab.walls, "back": replace(wall, parts=parts)})


def visible(cab: Cab, mark: str) -> Rect:
    part: Part = next(part for part in cab.parts if part.mark == mark)
    assert part.visible is not None
    return part.visible


def test_parts_that_overlap_are_found() -> None:
    car = cab()
    rect = visible(car, "lower-back-1")
    wider = tampered(car, "lower-back-1", visible=replace(rect, width=rect.width + mm(1)))
    (finding,) = findings(wider)
    assert (finding.code, finding.severity, finding.stops) == ("fit-overlap", "error", "fabrication")
    assert finding.marks == ("lower-back-1", "reveal-lower-back-1")
    assert f"by {float(rect.height):.1f} square mm" in finding.message


@pytest.mark.parametrize(("by", "leaves"), [(mm(1), True), (mm("0.0000001"), False)])
def test_a_place_that_nothing_covers_is_found(by: Length, leaves: bool) -> None:
    car = cab()
    rect = visible(car, "crown-back")
    lower = tampered(car, "crown-back", visible=replace(rect, height=rect.height - by))
    every = findings(lower)
    assert [finding.code for finding in every] == ["fit-leftover"] * leaves
    if leaves:
        assert (every[0].severity, every[0].stops, every[0].wall) == ("error", "fabrication", "back")
        assert f"y {float(rect.top - by):.1f} to {float(rect.top):.1f} mm" in every[0].message


def test_a_part_that_is_gone_leaves_its_place_uncovered() -> None:
    car = cab()
    assert [f.code for f in findings(tampered(car, "base-back", visible=None))] == ["fit-leftover"]


def test_a_stack_of_nothing_but_gaps_has_nothing_to_find() -> None:
    empty = cab({"layout.stack": [{"gap": "fill"}], "handrail": GONE})
    assert findings(empty) == ()
    assert not any(wall.parts for wall in empty.walls.values())


def test_an_overlap_that_makes_up_for_an_open_place_hides_neither() -> None:
    car = cab()
    rect = visible(car, "lower-back-1")
    moved = tampered(car, "lower-back-1", visible=replace(rect, x=rect.x + mm(1)))
    assert [finding.code for finding in findings(moved)] == ["fit-overlap", "fit-leftover"]
    outside = tampered(car, "lower-back-1", visible=replace(rect, x=rect.x - mm(1)))
    assert [finding.code for finding in findings(outside)] == ["fit-leftover"]

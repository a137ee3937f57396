"""Findings about holes and bolts: each at its limit, where there is none, and just past it."""

from __future__ import annotations

from typing import Any

import pytest
from spec_texts import GONE, ONE_TIER, alike, cab, codes, found, only

from cabdraw.errors import Finding
from cabdraw.units import inch

BACK_ONLY: dict[str, Any] = {"handrail.walls": ["back"]}
BEHIND = "survey.walls.back.behind"


def of(changes: dict[str, Any], code: str) -> list[Finding]:
    """Those found with a code, whatever else is found."""
    return [finding for finding in found(changes) if finding.code == code]


def test_space_behind_that_nobody_verified_stops_drilling_only() -> None:
    finding = only({f"{BEHIND}.verified": GONE}, "drill-unverified")
    assert (finding.severity, finding.stops, finding.wall) == ("warning", "drilling", "back")
    assert finding.where == "survey.walls.back.behind"
    assert "verified: {by, date}" in finding.hint
    assert codes({f"{BEHIND}.verified": GONE, "handrail.walls": ["left", "right"]}) == []


def obstruction(behind: str = "0", **place: str) -> dict[str, Any]:
    """Something behind the back wall, whose first hole is 11 49/64 in across and 34 in up."""
    at = {"what": "wireway", "x": "2", "y": "20", "width": "2", "height": "30", "behind": behind, **place}
    return {f"{BEHIND}.obstructions": [at]}


@pytest.mark.parametrize(
    ("place", "meets"),
    [
        ({"x": "9.390625"}, False),  # its right edge is 3/8 in from the middle of a hole of 1/2 in: 1/8 in clear
        ({"x": "9.390626"}, True),
        ({"x": "12.140625"}, False),
        ({"x": "12.140624"}, True),
        ({"x": "10", "width": "4", "y": "34 3/8", "height": "5"}, False),
        ({"x": "10", "width": "4", "y": "34.374999", "height": "5"}, True),
        ({"x": "10", "width": "4", "y": "28", "height": "5 5/8"}, False),
        ({"x": "10", "width": "4", "y": "28", "height": "5.625001"}, True),
        # Past its corner, 0.225 in across and 0.3 in up from it: 3/8 in away.
        ({"x": "11.990625", "width": "4", "y": "34.3", "height": "5"}, False),
        ({"x": "11.990624", "width": "4", "y": "34.3", "height": "5"}, True),
    ],
)
def test_obstruction_within_reach_of_a_hole(place: dict[str, str], meets: bool) -> None:
    if not meets:
        assert codes(obstruction(**place)) == []
        return
    finding = only(obstruction(**place), "drill-obstruction")
    assert (finding.severity, finding.stops, finding.wall) == ("error", "drilling", "back")
    assert finding.where == "survey.walls.back.behind.obstructions[0]"
    assert finding.marks == ("hole-back-1",)
    assert finding.message.startswith('hole 1 of the back wall, 11 49/64" from its left end, meets the wireway')


def test_obstruction_counts_as_deep_as_the_anchor_goes_in() -> None:
    assert codes(obstruction("1 3/4", x="10")) == []
    finding = only(obstruction("1.7499", x="10"), "drill-obstruction")
    assert 'wireway 1 3/4" behind the shell' in finding.message


def test_obstruction_counts_as_deep_as_a_long_bolt_may_reach() -> None:
    bolt = {"handrail.bolt.lengths": ["4"]}
    assert codes({**obstruction("2.6719", x="10"), **bolt}) == []
    assert codes({**obstruction("2.6718", x="10"), **bolt}) == ["drill-obstruction"]


def test_obstruction_counts_at_any_depth_where_the_reach_is_not_known() -> None:
    assert codes({**obstruction("20", x="10"), "handrail.bolt": GONE}) == ["drill-obstruction"]


def test_obstructions_are_taken_from_the_finished_floor() -> None:
    raised = {"survey.floor_finish": "1/8", "survey.height": ["92 3/8"]}
    assert codes({**obstruction(x="10", y="34 1/2"), **raised}) == []
    assert codes({**obstruction(x="10", y="34.4999"), **raised}) == ["drill-obstruction"]


def test_less_depth_than_the_anchor_needs() -> None:
    assert codes({f"{BEHIND}.depth": "1 3/4"}) == []
    finding = only({f"{BEHIND}.depth": "1.7499"}, "drill-depth")
    assert (finding.severity, finding.stops, finding.where) == ("error", "drilling", f"{BEHIND}.depth")
    assert 'there is 1.7499" clear, and the anchor needs 1.7500"' in finding.message


def test_hole_near_the_edge_of_its_backer() -> None:
    height = "layout.stack.4.backer.height"
    assert codes({height: "2", "handrail.bolt.flange": "2"}) == []
    every = alike({height: "1 31/32"}, "drill-edge")
    assert [finding.marks[0] for finding in every] == [
        f"hole-{wall}-{hole}"
        for wall, holes in (("back", 3), ("left", 2), ("right", 2))
        for hole in range(1, holes + 1)
    ]
    assert {(f.severity, f.stops, f.where) for f in every} == {("error", "drilling", "layout.stack[4].backer")}
    assert 'is 63/64" from the upper or lower edge of the backer, and needs 1"' in every[0].message
    assert {f.marks for f in alike({height: "2", "handrail.bolt.flange": "2 1/64", **BACK_ONLY}, "drill-edge")} == {
        ("hole-back-1",), ("hole-back-2",), ("hole-back-3",),
    }  # fmt: skip


def test_hole_near_the_end_of_its_backer() -> None:
    near = {**BACK_ONLY, "handrail.end_clearance": "0"}
    assert codes({**near, "handrail.overhang": "1"}) == []
    every = alike({**near, "handrail.overhang": "15/16"}, "drill-edge")
    assert [finding.marks for finding in every] == [("hole-back-1",), ("hole-back-4",)]
    assert {finding.where for finding in every} == {"handrail.overhang"}
    assert "from the end of the backer" in every[0].message


def test_hole_near_the_edge_of_a_full_tier() -> None:
    low = {**ONE_TIER, "handrail.centre": "5 7/8", "handrail.section.round": "1"}
    assert codes(low) == []
    every = alike({**low, "handrail.centre": "5.8749"}, "drill-edge")
    assert {finding.where for finding in every} == {"handrail"}
    assert {finding.hint for finding in every} == {"move the rail up or down"}


def test_hole_through_a_joint_of_a_full_tier() -> None:
    two = {**ONE_TIER, **BACK_ONLY, "layout.walls.back.widths": ["30", "fill"], "layout.walls.back.panels": GONE}
    car = cab(two)
    wall = car.walls["back"]
    assert wall.rail is not None
    x, width = wall.columns[0]
    off = abs(wall.rail.standoffs[1].x - (x + width + inch("1/4")))
    # What is kept: half the reveal, the groove, half the flange and 1/8 in.
    most = (off - inch("7/8")) * 2
    assert codes({**two, "handrail.bolt.flange": f"{float(most):.6f}mm"}) == []
    finding = only({**two, "handrail.bolt.flange": f"{float(most) + 0.001:.6f}mm"}, "drill-spline")
    assert (finding.severity, finding.stops, finding.marks) == ("error", "drilling", ("hole-back-2",))
    assert finding.where == "handrail.max_spacing"
    assert f"from the middle of the joint at {car.printing.size(x + width + inch('1/4'))}" in finding.message


def test_a_hole_through_a_backer_meets_no_upright_joint() -> None:
    one_joint = {"layout.walls.back.panels": "2", **BACK_ONLY}
    wall = cab(one_joint).walls["back"]
    assert wall.rail is not None
    x, width = wall.columns[0]
    assert x + width < wall.rail.standoffs[1].x < wall.columns[1][0]
    assert codes(one_joint) == []


def test_hole_near_the_opening_for_a_fixture() -> None:
    def button(y: str) -> dict[str, Any]:
        fixture = {"what": "button", "x": "33", "y": y, "width": "2", "height": "1", "clearance": "1/8"}
        return {"survey.walls.back.fixtures": [fixture]}

    assert of(button("35 3/8"), "drill-fixture") == []
    (finding,) = of(button("35.3749"), "drill-fixture")
    assert (finding.severity, finding.stops, finding.marks) == ("error", "drilling", ("hole-back-2",))
    assert finding.where == "survey.walls.back.fixtures[0]"
    assert 'is within 1" of the opening for the button' in finding.message


LENGTHS = "handrail.bolt.lengths"


def test_stock_bolts_too_short() -> None:
    assert codes({LENGTHS: ["2.0781"]}) == []
    every = alike({LENGTHS: ["2", "2.0780"]}, "bolt-none")
    assert [finding.wall for finding in every] == ["back", "left", "right"]
    assert {(f.severity, f.stops, f.where) for f in every} == {("error", "drilling", LENGTHS)}
    assert 'must be at least 2.0781" and at most 4.9531" long; no stock length is' in every[0].message
    assert every[0].hint == 'stock a bolt at least 2.0781" and at most 4.9531" long'


def test_stock_bolts_too_long_for_the_depth_that_was_verified() -> None:
    assert codes({LENGTHS: ["4.9531"]}) == []
    assert codes({LENGTHS: ["2", "4.9532"]}) == ["bolt-none"] * 3
    unverified = {f"survey.walls.{wall}.behind.verified": GONE for wall in ("back", "left", "right")}
    assert codes({LENGTHS: ["4.9532"], **unverified}) == ["drill-unverified"] * 3


def test_the_shortest_bolt_that_fits_is_taken() -> None:
    rail = cab({LENGTHS: ["3", "2 1/4", "2", "2 1/2"]}).walls["back"].rail
    assert rail is not None
    assert rail.bolt is not None
    assert (rail.bolt.length, rail.bolt.stack) == (inch("9/4"), inch("1.3281"))
    assert (rail.bolt.shortest, rail.bolt.longest) == (inch("2.0781"), inch("4.9531"))


def test_no_bolt_is_possible() -> None:
    shallow = {f"{BEHIND}.depth": "1/8", "handrail.bolt.insertion": GONE}
    assert codes(shallow) == ["bolt-none"]
    finding = only({**shallow, f"{BEHIND}.depth": "0.1249", LENGTHS: ["2.0781", "2.5"]}, "bolt-none")
    assert 'must be at least 2.0781" and at most 2.0780" long; no length is' in finding.message
    assert finding.hint == "use another standoff or anchor"


def test_a_shell_of_unknown_thickness_has_no_bolt() -> None:
    finding = only({"survey.walls.back.shell": GONE}, "bolt-no-shell")
    assert (finding.severity, finding.stops, finding.wall) == ("warning", "nothing", "back")
    assert codes({"survey.walls.back.shell": GONE, "handrail.bolt": GONE}) == []

"""Findings about what stands on the walls, and what is cut out of the parts that it meets."""

from __future__ import annotations

from typing import Any

import pytest
from spec_texts import cab, codes, found, only

from cabdraw.cab import Cab, Part
from cabdraw.errors import Finding
from cabdraw.resolve.openings import coverage
from cabdraw.units import inch

# On the back wall upper-back-2 stands from x 23 13/32 to 44 9/16 in, y 37 1/2 to 83 1/2 in, between two joints.


def fixtures(*places: tuple[str, str, str, str], clearance: str = "0") -> dict[str, Any]:
    """Fixtures on the back wall: what is called box-1, box-2 and so on, by x, y, width and height."""
    return {
        "survey.walls.back.fixtures": [
            {"what": f"box-{number}", "x": x, "y": y, "width": width, "height": height, "clearance": clearance}
            for number, (x, y, width, height) in enumerate(places, 1)
        ]
    }


def part(car: Cab, mark: str) -> Part:
    return next(part for part in car.parts if part.mark == mark)


def of(changes: dict[str, Any], code: str) -> list[Finding]:
    """Those found with a code, whatever else is found."""
    return [finding for finding in found(changes) if finding.code == code]


def test_a_fixture_within_a_panel_is_a_hole_in_it_with_its_clearance() -> None:
    changes = fixtures(("30", "50", "6", "10"), clearance="1/8")
    assert codes(changes) == []
    panel = part(cab(changes), "upper-back-2")
    (cut,) = panel.cuts
    assert (cut.fixture, cut.index, cut.kind) == ("box-1", 0, "hole")
    assert (cut.opening.x, cut.opening.width) == (inch("239/8"), inch("25/4"))
    (shape,) = panel.shapes
    (hole,) = shape.holes
    assert {(corner.x, corner.y) for corner in hole} == {
        (x, y) for x in (inch("239/8"), inch("289/8")) for y in (inch("399/8"), inch("481/8"))
    }
    assert len(shape.outline) == 4


def test_a_fixture_over_an_edge_is_a_notch_and_is_said_to_cross_what_runs_there() -> None:
    changes = fixtures(("30", "75", "6", "10"))
    finding = only(changes, "fixture-crosses")
    assert (finding.severity, finding.stops) == ("warning", "nothing")
    assert finding.where == "survey.walls.back.fixtures[0]"
    assert finding.marks == ("spline-back-3", "reveal-back-3")
    car = cab(changes)
    assert {p.mark: [cut.kind for cut in p.cuts] for p in car.parts if p.cuts} == {
        "upper-back-2": ["notch"],
        "crown-back": ["notch"],
    }
    assert coverage(car.walls["back"]) == ()


def test_a_fixture_that_only_touches_a_part_leaves_it_whole() -> None:
    assert [p.mark for p in cab(fixtures(("30", "60", "6", "23 1/2"))).parts if p.cuts] == ["upper-back-2"]
    assert not any(p.cuts for p in cab(fixtures(("0", "40", "1 3/4", "10"))).parts)


def test_a_fixture_across_a_panel_splits_it() -> None:
    (finding,) = of(fixtures(("23", "50", "22", "10")), "fixture-split")
    assert (finding.severity, finding.stops, finding.marks) == ("warning", "nothing", ("upper-back-2",))
    assert finding.message == "the opening for the box-1 splits upper-back-2 into 2 pieces"
    pieces = part(cab(fixtures(("23", "50", "22", "10"))), "upper-back-2").shapes
    assert [len(piece.outline) for piece in pieces] == [4, 4]
    assert pieces[0].outline[0].y < pieces[1].outline[0].y


def test_two_fixtures_that_split_a_panel_between_them() -> None:
    changes = fixtures(("30", "37", "4", "20"), ("30", "57", "4", "27"))
    (finding,) = of(changes, "fixture-split")
    assert finding.message == "the openings for the box-1 and the box-2 split upper-back-2 into 2 pieces"
    assert finding.where == "survey.walls.back.fixtures[1]"
    assert [cut.kind for cut in part(cab(changes), "upper-back-2").cuts] == ["notch", "notch"]


@pytest.mark.parametrize("places", [[("1", "84", "66", "3")], [("1", "84", "33", "3"), ("34", "84", "33", "3")]])
def test_fixtures_that_leave_nothing_of_a_part(places: list[tuple[str, str, str, str]]) -> None:
    (finding,) = of(fixtures(*places), "fixture-covers")
    assert (finding.severity, finding.stops, finding.marks) == ("error", "fabrication", ("crown-back",))
    assert "nothing of crown-back" in finding.message
    assert finding.where == f"survey.walls.back.fixtures[{len(places) - 1}]"
    assert of(fixtures(("2", "84", "62", "3")), "fixture-covers") == []


@pytest.mark.parametrize(
    ("place", "said"),
    [
        (("644.51875mm", "50", "3", "10"), None),  # the panel's left edge is at 594.51875 mm
        (("644.51874mm", "50", "3", "10"), "left of the box-1"),
        (("30", "1002.5mm", "3", "10"), None),  # its lower edge is at 952.5 mm
        (("30", "1002.4mm", "3", "10"), "below the box-1"),
        (("30", "2020.9mm", "3", "50mm"), None),  # its upper edge is at 2120.9 mm
        (("30", "2020.9mm", "3", "50.1mm"), "above the box-1"),
        (("1000mm", "50", "81.8875mm", "10"), None),  # its right edge is at 1131.8875 mm
        (("1000mm", "50", "82mm", "10"), "right of the box-1"),
    ],
)
def test_a_narrow_strip_beside_a_fixture(place: tuple[str, str, str, str], said: str | None) -> None:
    if said is None:
        assert codes(fixtures(place)) == []
        return
    finding = only(fixtures(place), "fixture-strip")
    assert (finding.severity, finding.stops, finding.marks) == ("warning", "nothing", ("upper-back-2",))
    assert finding.where == "survey.walls.back.fixtures[0]"
    assert f"of upper-back-2 is left {said}; a strip under" in finding.message


def test_a_clearance_counts_as_part_of_the_opening() -> None:
    assert codes(fixtures(("644.51875mm", "50", "3", "10"), clearance="0.1mm")) == ["fixture-strip"]


def test_a_narrow_strip_between_two_fixtures() -> None:
    assert codes(fixtures(("700mm", "50", "50mm", "10"), ("800mm", "50", "50mm", "10"))) == []
    finding = only(fixtures(("700mm", "50", "50mm", "10"), ("799mm", "55", "50mm", "10")), "fixture-strip")
    assert "left between the box-1 and the box-2" in finding.message
    over = fixtures(("700mm", "1300mm", "50mm", "50mm"), ("720mm", "1399mm", "50mm", "50mm"))
    assert codes(over) == ["fixture-strip"]
    across_a_corner = fixtures(("700mm", "1300mm", "50mm", "50mm"), ("760mm", "1360mm", "50mm", "50mm"))
    assert codes(across_a_corner) == []


def test_two_fixtures_of_one_name_are_told_apart() -> None:
    twice = fixtures(("30", "50", "4", "4"), ("24", "60", "4", "4"))
    for fixture in twice["survey.walls.back.fixtures"]:
        fixture["what"] = "hook"
    assert only(twice, "fixture-strip").where == "survey.walls.back.fixtures[1]"


def test_a_rail_across_a_fixture() -> None:
    def high(y: str) -> dict[str, Any]:
        return fixtures(("24", y, "4", "2"))

    assert of(high("34 3/4"), "fixture-rail") == []
    (finding,) = of(high("34.7499"), "fixture-rail")
    assert (finding.severity, finding.stops) == ("error", "fabrication")
    assert finding.marks == ("rail-back",)
    assert finding.where == "survey.walls.back.fixtures[0]"


def test_fixtures_are_taken_from_the_finished_floor() -> None:
    raised = {"survey.floor_finish": "1/4", "survey.height": ["92 1/2"]}
    wall = cab({**fixtures(("30", "50", "6", "10")), **raised}).walls["back"]
    assert wall.fixtures[0].rect.y == inch("199/4")


def test_parts_cut_round_fixtures_still_cover_the_wall() -> None:
    changes = fixtures(("10", "20", "30", "30"), ("40", "60", "20", "30"), ("0", "0", "5", "10"), clearance="1/8")
    assert coverage(cab(changes).walls["back"]) == ()

"""The steps: they follow from the car, each with its parts, blocks, places and cautions on one legible page."""

from __future__ import annotations

from typing import Any

import pytest
from conftest import Shipped
from legible import faults
from spec_texts import GONE, ONE_TIER, cab

from cabdraw.check import findings
from cabdraw.check.assembly import assembly
from cabdraw.draw.shapes import Polyline, Text
from cabdraw.draw.steps import step_sheets
from cabdraw.install.steps import Step
from cabdraw.resolve.assembly import removal
from cabdraw.site_package import site_plan
from cabdraw.units import inch

FRONT = {"left": {"width": "10", "height": "92"}, "right": {"width": "10", "height": "92"}}


def kinds(changes: dict[str, Any] | None = None) -> list[str]:
    return [step.title for step in site_plan(cab(changes)).steps]


def step(title: str, changes: dict[str, Any] | None = None) -> Step:
    (one,) = [each for each in site_plan(cab(changes)).steps if each.title == title]
    return one


def test_the_steps_of_the_plain_car_in_order() -> None:
    titles = kinds()
    assert titles[:5] == [
        "Make safe, and count the parts",
        "Strip, and measure the bare shell again",
        "Level line and plumb line, back wall",
        "Level line and plumb line, left wall",
        "Level line and plumb line, right wall",
    ]
    walls = ("back", "left", "right")
    assert titles[5:-2] == [
        f"{what}, {wall} wall"
        for what in ("Base", "Lower tier", "Backer", "Upper tier", "Crown", "Frieze", "Handrail")
        for wall in walls
    ]
    assert titles[-2:] == ["Peel the film, and gauge every gap", "Hand back to the mechanic"]


def test_what_the_car_has_not_makes_no_step() -> None:
    titles = kinds({"layout.stack": ONE_TIER["layout.stack"], "handrail": GONE})
    assert not any("Crown" in t or "Handrail" in t or "Backer" in t or "trims" in t for t in titles)
    assert "Full tier, back wall" in titles
    with_fixture = {"survey.walls.left.fixtures": [
        {"what": "panel", "x": "10", "y": "50", "width": "9", "height": "12"}]}  # fmt: skip
    assert "Fixtures back on, left wall" in kinds(with_fixture)


def test_a_front_trim_is_cut_where_the_transom_stands_proud() -> None:
    trims = {"survey.front": {**FRONT, "transom": {"underside": "84", "projects": "1/4"}},
             "layout.front_trim": {"width": "1 1/2", "stock": "96"}}  # fmt: skip
    proud = step("Front trims", trims)
    assert [piece.height for piece in proud.pieces] == [inch(84), inch(8), inch(84), inch(8)]
    assert 'cut each trim at 84"' in proud.how[0]
    flush = step("Front trims", {**trims, "survey.front.transom.projects": "0"})
    assert len(flush.pieces) == 2
    assert "cut" not in flush.how[0]


def test_every_part_goes_on_exactly_once(shipped: Shipped) -> None:
    plan = site_plan(shipped.looked.cab)
    placed = [piece.mark for each in plan.steps for piece in each.pieces]
    assert sorted(placed) == sorted(piece.mark for piece in plan.pieces)
    assert len(placed) == len(set(placed))
    stages = [mark for stage in plan.stages for mark in stage.marks]
    assert sorted(stages) == sorted(part.mark for part in shipped.looked.cab.parts)


def test_a_joint_is_in_before_the_panel_that_closes_it() -> None:
    order = [piece.mark for piece in step("Lower tier, back wall").pieces]
    assert sorted(order[:1]) == ["lower-back-2"]
    for joint, panels in ((1, (1, 2)), (2, (2, 3))):
        places = sorted(order.index(f"lower-back-{n}") for n in panels)
        assert places[0] < order.index(f"spline-lower-back-{joint}") < order.index(f"reveal-lower-back-{joint}")
        assert order.index(f"reveal-lower-back-{joint}") < places[1]


def test_a_level_joint_goes_on_with_what_stands_on_it() -> None:
    assert [piece.mark for piece in step("Backer, left wall").pieces] == [
        "spline-left-1", "reveal-left-1", "backer-left",
    ]  # fmt: skip


def test_heights_and_places_of_a_step() -> None:
    upper = step("Upper tier, back wall")
    assert [(h.words, h.y) for h in upper.heights] == [
        ("level reveal, foot", inch(37)), ("upper, foot", inch("75/2")), ("upper, head", inch("167/2")),
    ]  # fmt: skip
    car = cab()
    wall = car.walls["back"]
    middles = [x + width + wall.reveal / 2 for x, width in wall.columns[:-1]]
    assert [place.x for place in upper.across] == [wall.margins[0], *middles, wall.row_end]


def test_blocks_of_a_step_are_those_of_its_own_height() -> None:
    plan = site_plan(cab({"survey.walls.back.width": ["68", "69"]}))
    frieze = next(each for each in plan.steps if each.title == "Frieze, back wall")
    for use in frieze.blocks:
        assert plan.kit.row(use.letter).size == use.size
        assert {place.band for place in use.places} <= {9}
    assert {place.spot for use in frieze.blocks for place in use.places if place.kind == "end"} == {
        "left end", "right end",
    }  # fmt: skip


def test_cautions_belong_to_their_steps() -> None:
    assert step("Make safe, and count the parts").cautions[0] == "lock-out"
    assert step("Handrail, back wall").cautions == ("drill",)
    assert "drill" not in step("Base, back wall").cautions
    screwed = step("Base, back wall", {"fixings": {"base_screws": "12"}})
    assert screwed.cautions[0] == "drill"
    assert screwed.drills


# --- what comes off again ---


def test_a_panel_that_cannot_be_lifted_off_comes_off_from_the_top_down() -> None:
    by_mark = {each.mark: each for each in removal(cab())}
    upper = by_mark["upper-back-1"]
    assert not upper.alone
    assert upper.first == ("frieze-back", "crown-back", "reveal-back-3", "spline-back-3")
    middle = by_mark["upper-back-2"]
    assert middle.first == (*upper.first, "upper-back-1")
    assert by_mark["lower-back-1"].first[0] == "rail-back"


def test_deep_grooves_let_a_panel_off_alone() -> None:
    # Groove 7/8, spline 3/8: the panel lifts 1/2 in, and 3/8 and 1/16 frees its foot.
    deep = {each.mark: each for each in removal(cab({"layout.joint.groove_depth": "7/8"}))}
    assert deep["upper-back-1"].alone
    assert deep["lower-back-3"].alone
    assert not deep["upper-back-2"].alone
    assert deep["upper-back-2"].first == ("upper-back-1",)
    shallow = {each.mark: each for each in removal(cab({"layout.joint.groove_depth": "25/32"}))}
    assert not shallow["upper-back-1"].alone


def test_under_an_open_gap_a_panel_lifts_out() -> None:
    stack = [{"gap": "7/8"}, {"base": "4"}, {"full": "fill"}, {"gap": "3/4"}]
    alone = {each.mark: each for each in removal(cab({"layout.stack": stack, "handrail.centre": "34"}))}
    assert alone["full-left-1"].alone


def test_against_the_bare_ceiling_a_panel_that_cannot_be_lifted_is_said_to_stay() -> None:
    car = cab({"layout.stack": [{"gap": "7/8"}, {"base": "4"}, {"full": "fill"}], "handrail.centre": "34"})
    (outer, *_) = removal(car)
    assert (outer.alone, outer.first) == (False, ())
    (told,) = [finding for finding in assembly(car) if finding.code == "assembly-removal"]
    assert "lifts 0" in told.message
    sheets = step_sheets(car, site_plan(car).steps, findings(car))
    texts = [shape.text for sheet in sheets for _, shape in sheet.shapes() if isinstance(shape, Text)]
    assert any("does not come off as it hangs" in words for words in texts)


# --- the pages ---


def test_every_page_is_legible(shipped: Shipped) -> None:
    sheets = step_sheets(shipped.looked.cab, site_plan(shipped.looked.cab).steps, shipped.looked.findings)
    assert [fault for sheet in sheets for fault in faults(sheet)] == []


def test_only_lists_go_on_to_a_second_page(shipped: Shipped) -> None:
    steps = site_plan(shipped.looked.cab).steps
    sheets = step_sheets(shipped.looked.cab, steps, shipped.looked.findings)
    first = [sheet for sheet in sheets if sheet.name.count("-") == 1]
    assert len(first) == len(steps)
    more = {int(sheet.name.split("-")[1]) for sheet in sheets} - {
        each.number for each in steps if each.kind not in ("ready", "strip", "finish")
    }
    assert {int(s.name.split("-")[1]) for s in sheets if s.name.count("-") == 2} <= more


def test_only_this_step_s_parts_are_bold(shipped: Shipped) -> None:
    steps = site_plan(shipped.looked.cab).steps
    sheets = {s.name: s for s in step_sheets(shipped.looked.cab, steps, shipped.looked.findings)}
    for each in steps:
        if each.wall is None or each.kind in ("fixtures", "rail"):
            continue
        (view,) = sheets[f"step-{each.number}"].views
        bold = {s.mark for s in view.shapes if isinstance(s, Polyline) and s.layer == "STEP" and s.mark}
        assert bold == {p.part.mark for p in each.pieces if p.part.visible is not None}
        numbers = {n for s in view.shapes if isinstance(s, Text) and s.layer == "MARK" for n in s.text.split(", ")}
        assert numbers == {str(n) for n in range(1, len(each.pieces) + 1)}


def test_a_step_that_must_not_be_drilled_says_so() -> None:
    changes = {"survey.walls.left.behind": GONE, "fixings": {"base_screws": "12"}}
    car = cab(changes)
    plan = site_plan(car)
    banned = {
        sheet.name
        for sheet in step_sheets(car, plan.steps, findings(car))
        if any(isinstance(s, Text) and s.text == "DO NOT DRILL" for s in sheet.paper)
    }
    expected = {f"step-{s.number}" for s in plan.steps if s.drills and s.wall == "left"}
    assert banned == expected
    assert len(expected) == 2


@pytest.mark.parametrize("name", ["ten narrow panels", "a tight stack", "long texts", "tiny reveals in inches"])
def test_odd_cars_have_legible_papers(name: str, tmp_path: Any) -> None:
    from odd_cars import write

    from cabdraw.draw.blocks_drawing import blocks_sheets
    from cabdraw.draw.labels_sheet import label_sheets
    from cabdraw.package import look

    looked = look(write(name, tmp_path))
    plan = site_plan(looked.cab)
    sheets = [
        *step_sheets(looked.cab, plan.steps, looked.findings),
        *blocks_sheets(looked.cab, plan.kit, looked.findings),
        *label_sheets(looked.cab, plan.pieces),
    ]
    assert [fault for sheet in sheets for fault in faults(sheet)] == []

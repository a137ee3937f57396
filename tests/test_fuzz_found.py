"""Cars that the fuzzer found something wrong with, each kept with the least that shows it."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest
from legible import faults
from spec_texts import GONE, cab

from cabdraw.check import findings
from cabdraw.draw.blocks_drawing import blocks_sheets
from cabdraw.draw.layout import shown
from cabdraw.draw.shapes import Dimension, Text
from cabdraw.draw.sheet_set import sheet_set
from cabdraw.draw.steps import step_sheets
from cabdraw.site_package import site_plan
from cabdraw.units import mm

FAR_RAIL = {"handrail.standoff": "4", "handrail.max_spacing": "5", "handrail.overhang": "1"}


@pytest.mark.parametrize("walls", [("back",), ("left",), ("right",), ("back", "left", "right")], ids="-".join)
def test_section_letters_stand_clear_of_a_rail_that_stands_far_off(walls: tuple[str, ...]) -> None:
    gone = {
        f"{section}.walls.{name}": GONE
        for section in ("survey", "layout")
        for name in ("back", "left", "right")
        if name not in walls
    }
    car = cab({**FAR_RAIL, **gone, "handrail.walls": list(walls)})
    (plan,) = [sheet for sheet in sheet_set(car, findings(car)) if sheet.name == "plan"]
    assert faults(plan) == []


@pytest.mark.parametrize("gap", ["1/2", "1 1/8", "1 1/4", "3", "8"])
@pytest.mark.parametrize("offset", ["1/32", "1/4", "5/8"])
def test_a_corner_gauge_of_any_size_is_legible_and_says_when_it_is_to_no_scale(gap: str, offset: str) -> None:
    changes: dict[str, Any] = {"layout.corner_gap": gap, "layout.joint.groove_offset": offset}
    car = cab({**changes, "layout.joint.groove_width": "1/16", "layout.joint.spline_thickness": "1/32"})
    kit = site_plan(car).kit
    assert any(row.across is not None for row in kit.rows)
    sheets = blocks_sheets(car, kit, findings(car))
    assert [fault for sheet in sheets for fault in faults(sheet)] == []
    said = {shape.text for sheet in sheets for _, shape in sheet.shapes() if isinstance(shape, Text)}
    assert ("DRAWN TO NO SCALE" in said) == (gap in ("1 1/4", "3", "8") or offset == "5/8")


def test_a_rail_on_many_standoffs_has_the_places_of_some_printed() -> None:
    car = cab({"handrail.max_spacing": "1 1/4", "handrail.overhang": "2"})
    assert car.walls["back"].rail is not None
    assert len(car.walls["back"].rail.standoffs) > 40
    sheets = [*sheet_set(car, findings(car)), *step_sheets(car, site_plan(car).steps, findings(car))]
    wanted = [sheet for sheet in sheets if sheet.name.startswith(("elevation", "step"))]
    assert [fault for sheet in wanted for fault in faults(sheet)] == []
    said = {shape.text for sheet in wanted for _, shape in sheet.shapes() if isinstance(shape, Text)}
    assert any("standoffs" in words and " of " in words for words in said)


@pytest.mark.parametrize("number", [1, 2, 3, 5, 28, 1000])
def test_of_too_many_figures_the_ends_and_even_ones_between_are_printed(number: int) -> None:
    for room in (0.0, 10.0, 75.0, 1e6):
        found = shown(number, room, 5.0)
        assert found[0] == 0
        assert found[-1] == number - 1
        assert len(found) <= max(2, room / 5.0)
        assert len({b - a for a, b in pairwise(found[:-1])}) <= 1


def test_what_stands_at_a_walls_ends_is_named_under_the_figures() -> None:
    car = cab({"survey.height": ["150"], "layout.stack.2.lower": "fill"})
    sheets = step_sheets(car, site_plan(car).steps, findings(car))
    assert [fault for sheet in sheets for fault in faults(sheet)] == []


@pytest.mark.parametrize("where", ["corner", "joint"])
def test_a_detail_says_by_how_much_parts_overlap(where: str) -> None:
    changes = {"corner": {"layout.walls.back.margins": ["1/2", "1/2"]}, "joint": {"layout.joint.engagement": "5/8"}}
    car = cab(changes[where])
    sheets = [sheet for sheet in sheet_set(car, findings(car)) if sheet.name.startswith("details")]
    assert [fault for sheet in sheets for fault in faults(sheet)] == []
    said = [shape.text for sheet in sheets for _, shape in sheet.shapes() if isinstance(shape, Dimension)]
    groove = car.joint.groove_depth - car.joint.engagement
    over = -car.walls["back"].gaps[0] if where == "corner" else -groove
    assert f"{car.printing.size(over)} overlap" in said
    assert [text for text in said if text.startswith("-")] == []


@pytest.mark.parametrize("side", ["left", "right"])
def test_section_letters_stand_beyond_a_back_wall_that_is_askew(side: str) -> None:
    car = cab({f"survey.walls.{side}.width": "40"})
    assert abs(car.walls["left"].width - car.walls["right"].width) > mm(200)
    (plan,) = [sheet for sheet in sheet_set(car, findings(car)) if sheet.name == "plan"]
    assert faults(plan) == []
    (view,) = plan.views
    letters = [shape.at[1] for shape in view.shapes if isinstance(shape, Text) and shape.text == "A"]
    shell = sum(float(car.walls[name].width) * share for name, share in (("left", 0.44), ("right", 0.56)))
    assert max(letters) > shell + 50


@pytest.mark.parametrize("standoff", ["5/32", "1/2", "1", "1 1/2", "4"])
def test_the_name_of_a_standoff_stands_in_it_only_where_it_has_room(standoff: str) -> None:
    car = cab({"handrail.standoff": standoff, "handrail.section": {"round": "2"}})
    sheets = [sheet for sheet in sheet_set(car, findings(car)) if sheet.name.startswith("details")]
    assert [fault for sheet in sheets for fault in faults(sheet)] == []

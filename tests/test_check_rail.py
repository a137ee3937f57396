"""Findings about rails that meet in a corner."""

from __future__ import annotations

from typing import Any

import pytest
from spec_texts import GONE, alike, codes, only

CLEARANCE = "handrail.end_clearance"


def test_rails_that_touch_in_the_corners() -> None:
    # The front of each rail stands 4 1/4 in off its shell, and the row ends 1 3/4 in from the other one.
    every = alike({CLEARANCE: "2 1/2", "layout.walls.back.panels": "1"}, "rail-corner")
    assert [(f.wall, f.marks) for f in every] == [
        ("left", ("rail-back", "rail-left")),
        ("right", ("rail-back", "rail-right")),
    ]
    assert {(f.severity, f.stops, f.where) for f in every} == {("error", "fabrication", CLEARANCE)}
    assert 'rail-back ends 0" beyond the front of rail-left' in every[0].message
    deeper = alike({CLEARANCE: "2", "layout.walls.back.panels": "1"}, "rail-corner")[0]
    assert 'rail-back ends 1/2" beyond the front of rail-left, and rail-left 1/2" beyond' in deeper.message


@pytest.mark.parametrize(("clearance", "near"), [("3.57", False), ("3.55", True), ("2.51", True)])
def test_rails_too_near_for_a_hand(clearance: str, near: bool) -> None:
    changes = {CLEARANCE: clearance, "layout.walls.back.panels": "1"}
    if not near:
        assert codes(changes) == []
        return
    every = alike(changes, "rail-corner-near")
    assert {(f.severity, f.stops, f.where) for f in every} == {("warning", "nothing", CLEARANCE)}
    assert 'apart in the corner, and a hand needs 1 1/2"' in every[0].message


@pytest.mark.parametrize(("margin", "apart"), [("3 1/4", '1"'), ("3 3/4", None)])
def test_a_rail_that_ends_beside_another_is_as_near_as_its_end(margin: str, apart: str | None) -> None:
    changes: dict[str, Any] = {
        CLEARANCE: "2",
        "handrail.walls": ["back", "left"],
        "layout.walls.back.panels": "1",
        "layout.walls.back.margins": [margin, "4"],
    }
    if apart is None:
        assert codes(changes) == []
    else:
        assert f"are {apart} apart" in only(changes, "rail-corner-near").message


def test_rails_at_different_heights_pass() -> None:
    low = [
        {"gap": "7/8"}, {"base": "4"}, {"lower": "fill"}, {"reveal": "1/2"},
        {"backer": {"height": "6", "centre": "32 1/2"}}, {"reveal": "1/2"}, {"upper": "fill"}, {"reveal": "1/2"},
        {"crown": "3"}, {"frieze": "4 1/2"}, {"gap": "3/4"},
    ]  # fmt: skip
    sides = {f"layout.walls.{wall}.stack": low for wall in ("left", "right")}
    assert codes({CLEARANCE: "1", **sides}) == []


def test_a_rail_alone_meets_none() -> None:
    assert codes({CLEARANCE: "0", "handrail.walls": ["left", "right"]}) == []
    assert codes({CLEARANCE: "0", "handrail.walls": ["back"]}) == []
    no_back = {"survey.walls.back": GONE, "layout.walls.back": GONE, "handrail.walls": ["left", "right"]}
    assert codes({CLEARANCE: "0", **no_back}) == []

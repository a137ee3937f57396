"""Cars put together part by part: each kind of way where it is just free, and just not."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from spec_texts import GONE, cab

from cabdraw.cab import Cab, Rect
from cabdraw.frozen import replace
from cabdraw.install.said import how
from cabdraw.resolve import resolve
from cabdraw.resolve.assembly import assembled, assembly, wall_stages
from cabdraw.resolve.hidden import hidden, meetings
from cabdraw.resolve.simulate import Assembled, Step
from cabdraw.spec import loads
from cabdraw.units import ZERO, inch

SPECS = sorted((Path(__file__).parent.parent / "specs").glob("*.yaml"))
WALLS = ("back", "left", "right")


def shipped(path: Path) -> Cab:
    return resolve(loads(path.read_text(encoding="utf-8"), path.name))


def done(car: Cab, wall: str = "back") -> Assembled:
    return assembled(car, car.walls[wall])  # type: ignore[index]


def step(found: Assembled, mark: str) -> Step:
    (one,) = [step for step in found.steps if mark in step.marks]
    return one


def trapped(car: Cab) -> list[str]:
    return [part.mark for name in car.walls for part in done(car, name).trapped]


@pytest.mark.parametrize("path", SPECS, ids=lambda path: path.stem)
def test_shipped_cars_go_together_in_the_default_order(path: Path) -> None:
    car = shipped(path)
    for wall in car.walls.values():
        found = assembled(car, wall)
        assert found.trapped == ()
        assert found.stages == tuple(wall_stages(wall))
        gone_on = [mark for step in found.steps for mark in step.marks]
        assert sorted(gone_on) == sorted(part.mark for part in wall.parts if part.kind != "handrail")


def test_ways_of_the_plain_car() -> None:
    found = done(cab())
    e_and_c = inch("7/16")
    assert step(found, "base-back").way.kind == "straight"
    foot = step(found, "lower-back-2").way
    assert (foot.kind, foot.across, foot.raised) == ("drop", ZERO, e_and_c)
    right = step(found, "lower-back-3").way
    assert (right.kind, right.across, right.raised) == ("shift-drop", e_and_c, e_and_c)
    left = step(found, "lower-back-1").way
    assert (left.across, left.raised) == (-e_and_c, e_and_c)
    assert step(found, "spline-lower-back-2").way.kind == "shift"
    assert step(found, "spline-back-1").way.kind == "drop"
    assert step(found, "frieze-back").way.raised == e_and_c


#: With one panel width a row is a whole number of increments, so that every margin is the stated gap.
EVEN = {f"survey.walls.{wall}.width": ["70"] for wall in WALLS} | {
    f"layout.walls.{wall}": {"widths": ["20", "fill", "20"]} for wall in WALLS
}


def gaps(size: str) -> dict[str, Any]:
    return {**EVEN, "layout.corner_gap": size, "layout.front_gap": size}


def test_shift_onto_a_spline_takes_engagement_and_clearance_at_the_end() -> None:
    assert trapped(cab(gaps("7/16"))) == []
    assert [done(cab(gaps("7/16")), wall).orders[1][1].manner for wall in WALLS] == ["outward"] * 3
    short = cab(gaps("27/64"))
    assert trapped(short) == ["upper-back-3", "upper-left-3", "upper-right-3"]
    # The lower tier is low enough to let its splines down from above once its panels stand.
    (tier, order), _ = done(short).orders
    assert (tier, order.manner) == ("lower", "joints-last")
    assert step(done(short), "spline-lower-back-1").way.kind == "from-above"


def test_room_at_one_end_is_enough_in_another_order() -> None:
    one = cab({**EVEN, "layout.walls.back.margins": ["1 1/4", "1 11/16"]})
    assert trapped(one) == []
    assert [(order.manner, order.start) for _, order in done(one).orders] == [("outward", 0)] * 2


def test_closing_panel_goes_straight_in_with_its_splines_drawn_back_into_deep_grooves() -> None:
    deep = cab({**gaps("1/4"), "layout.joint.groove_depth": "13/16"})
    assert trapped(deep) == []
    assert [(order.manner, order.start) for _, order in done(deep).orders] == [("inward", 1)] * 2
    closing = step(done(deep), "upper-back-2")
    assert closing.way.kind == "slip-drop"
    assert set(closing.marks) == {"upper-back-2", "spline-upper-back-1", "spline-upper-back-2"}
    assert trapped(cab({**gaps("1/4"), "layout.joint.groove_depth": "51/64"})) != []


def test_splines_are_slid_out_only_through_a_joint_that_a_hook_enters() -> None:
    deep = {**gaps("1/4"), "layout.joint.groove_depth": "13/16"}
    assert trapped(cab({**deep, "layout.reveal": "3/16"})) == []
    assert "upper-back-3" in trapped(cab({**deep, "layout.reveal": "11/64"}))


def test_without_clearance_at_the_ends_the_closing_panel_is_trapped() -> None:
    none = cab(gaps("0"))
    assert [mark for mark in trapped(none) if mark.startswith("upper")] == [f"upper-{wall}-3" for wall in WALLS]
    (found,) = done(none).trapped
    beside = next(block for block in found.tried if block.by == "the right wall's panels")
    assert beside.overlap == pytest.approx(11.1125)
    assert beside.needs == inch("7/16")
    assert found.nearest.by == "spline-upper-back-2"
    assert found.nearest.overlap == pytest.approx(9.525)


TOP: list[dict[str, Any]] = [
    {"gap": "7/8"}, {"base": "4"}, {"lower": "fill"}, {"reveal": "1/2"}, {"backer": {"height": "6", "centre": "34"}},
    {"reveal": "1/2"}, {"upper": "fill"}, {"reveal": "1/2"},
]  # fmt: skip


def test_dropping_a_board_over_its_spline_takes_headroom() -> None:
    assert trapped(cab({"layout.stack": [*TOP, {"crown": "3"}, {"gap": "7/16"}]})) == []
    short = cab({"layout.stack": [*TOP, {"crown": "3"}, {"gap": "13/32"}]})
    assert trapped(short) == [f"crown-{wall}" for wall in WALLS]
    assert done(short).trapped[0].nearest.by == "the ceiling"


def test_a_board_goes_straight_in_over_a_spline_pushed_down_into_a_deep_groove() -> None:
    low = {"layout.stack": [*TOP, {"crown": "3"}, {"gap": "1/16"}], "layout.joint.groove_depth": "13/16"}
    # The splines of upright joints below end too near: the level one is pushed down only where there are none.
    assert trapped(cab(low)) == [f"crown-{wall}" for wall in WALLS]
    single = {**low, **{f"layout.walls.{wall}.panels": "1" for wall in WALLS}}
    assert trapped(cab(single)) == []
    assert step(done(cab(single)), "crown-back").way.kind == "slip"
    assert trapped(cab({**single, "layout.joint.groove_depth": "51/64"})) == [f"crown-{wall}" for wall in WALLS]


def test_a_strip_in_front_of_a_friezes_tab_goes_down_with_it() -> None:
    car = shipped(next(path for path in SPECS if "service" in path.stem))
    assert step(done(car), "frieze-back").marks == ("reveal-back-6", "frieze-back")


def lipped(leg: str, **changes: Any) -> dict[str, Any]:
    """Front trims whose leg runs along the side walls, in front of the panels' edges."""
    return {
        "survey.front": {
            "left": {"width": "10", "height": "90"},
            "right": {"width": "10", "height": "90"},
            "transom": {"underside": "84"},
        },
        "layout.front_trim": {"width": "2", "stock": "96"},
        "profiles.front_trim": {
            "thickness": "0.05", "legs": ["face", leg], "bends": [{"angle": "90", "direction": "up"}]
        },
        **changes,
    }  # fmt: skip


def test_panels_slide_behind_a_trim_from_the_front() -> None:
    # Margins are the stated gaps: 1 in at the front, of which the leg covers all and 3/8 more.
    car = cab({**EVEN, **lipped("1 3/8")})
    assert trapped(car) == []
    front = step(done(car, "right"), "lower-right-3")
    assert (front.way.kind, front.way.across) == ("shift-drop", -inch("7/16"))
    assert [order.start for _, order in done(car, "right").orders] == [2, 2]
    assert [order.start for _, order in done(car, "left").orders] == [0, 0]
    assert step(done(car, "left"), "base-left").way.across == inch("7/16")


def test_a_full_run_band_is_trapped_behind_a_trim_by_the_other_end() -> None:
    assert trapped(cab({**EVEN, **lipped("1 7/16")})) == []
    held = cab({**EVEN, **lipped("1 29/64")})
    assert {"base-left", "backer-right"} <= set(trapped(held))
    assert not any(mark.startswith("base-back") for mark in trapped(held))


def test_a_leg_bent_away_from_the_room_holds_nothing() -> None:
    down = lipped("2")
    down["profiles.front_trim"]["bends"][0]["direction"] = "down"
    assert trapped(cab({**EVEN, **down})) == []


def test_a_corner_trim_behind_the_panels_takes_the_air_gap() -> None:
    trim = {
        "layout.corner_trim": {"width": "2"},
        "profiles.corner_trim": {"thickness": "0.05", "legs": ["face", "2"], "bends": ["90"]},
    }
    assert trapped(cab({**trim, "layout.panel.air_gap": "0.05"})) == []
    tight = cab({**trim, "layout.panel.air_gap": "0.0499"})
    assert "lower-back-3" in trapped(tight)
    assert done(tight).trapped[0].meets == ("corner-trim-right", pytest.approx(0.00254))


def test_the_order_that_was_found_is_the_order_of_the_work_and_its_words() -> None:
    car = cab({**EVEN, **lipped("1 3/8")})
    (stage,) = [s for s in assembly(car) if s.kind == "tier" and s.wall == "right" and "lower-right-1" in s.marks]
    panels = [mark for mark in stage.marks if mark.startswith("lower")]
    assert panels == ["lower-right-3", "lower-right-2", "lower-right-1"]
    assert any(words.startswith("From panel 3 outward") for words in how(car, stage, car.walls["right"], False))
    deep = cab({**gaps("1/4"), "layout.joint.groove_depth": "13/16"})
    (stage,) = [s for s in assembly(deep) if s.kind == "tier" and s.wall == "back" and "lower-back-1" in s.marks]
    assert (stage.manner, stage.marks[-1]) == ("inward", "lower-back-2")
    assert any(words.startswith("Panel 2 last, straight in") for words in how(deep, stage, deep.walls["back"], False))


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    start=st.integers(0, 48),
    wider=st.integers(0, 48),
    top=st.integers(20, 40),
    higher=st.integers(0, 32),
    depth=st.sampled_from(["7/16", "1/2", "13/16"]),
)
def test_a_car_that_goes_together_still_does_when_gaps_grow(
    start: int, wider: int, top: int, higher: int, depth: str
) -> None:
    def car(gap: int, ceiling: int) -> Cab:
        stack = [*TOP, {"crown": "3"}, {"frieze": "4"}, {"gap": f"{ceiling}/64"}]
        return cab({**gaps(f"{gap}/64"), "layout.stack": stack, "layout.joint.groove_depth": depth})

    if not trapped(car(start, top)):
        assert trapped(car(start + wider, top + higher)) == []


@pytest.mark.parametrize("path", SPECS, ids=lambda path: path.stem)
def test_hidden_parts_of_shipped_cars_do_not_clash(path: Path) -> None:
    car = shipped(path)
    for wall in car.walls.values():
        found = [meeting for meeting in meetings(car, wall) if meeting.excess > ZERO]
        # A flange and a spline share a groove on purpose; the default ones are 0.00625 in thicker than it is wide.
        assert all(meeting.layered and meeting.excess == inch(Fraction(625, 100000)) for meeting in found)
        assert {thing.sort for thing in hidden(car, wall)} <= {"spline", "strip", "tab"}


@pytest.mark.parametrize(
    ("mark", "grow"),
    [("spline-lower-back-1", "top"), ("spline-upper-back-1", "bottom"), ("spline-lower-back-1", "bottom")],
)
def test_a_splines_setback_keeps_it_clear(mark: str, grow: str) -> None:
    car = cab()
    part = next(part for part in car.walls["back"].parts if part.mark == mark)
    assert part.body is not None
    body = part.body

    def clashes(by: str) -> int:
        more = inch(by)
        longer = Rect(body.x, body.y - (more if grow == "bottom" else ZERO), body.width, body.height + more)
        parts = tuple(replace(p, body=longer) if p.mark == mark else p for p in car.walls["back"].parts)
        found = meetings(car, replace(car.walls["back"], parts=parts))
        return len([meeting for meeting in found if meeting.excess > ZERO and not meeting.layered])

    # By the clearance, or the lift over a base's tab, it may grow and just touches.
    room = "3/4" if mark.startswith("spline-lower") and grow == "bottom" else "1/16"
    assert clashes(room) == 0
    assert clashes(f"{float(Fraction(room)) + 0.001}") == 1


def test_one_panel_has_no_splines_and_no_order_to_look_for() -> None:
    one = {f"layout.walls.{wall}.panels": "1" for wall in WALLS}
    no_ends = {**one, "layout.corner_gap": "1/16", "layout.front_gap": "1/16"}
    assert trapped(cab(no_ends)) == []
    alone = cab({"survey.walls.left": GONE, "layout.walls.left": GONE, "survey.walls.right": GONE,
                 "layout.walls.right": GONE, "handrail": GONE})  # fmt: skip
    assert trapped(alone) == []

"""Front and corner trims, the clear size, and what is taken off every height that was surveyed."""

from __future__ import annotations

from typing import Any

import pytest
from spec_texts import GONE, cab

from cabdraw.cab import Cab, Part
from cabdraw.errors import BadSpec
from cabdraw.units import ZERO, Length, inch

FRONT: dict[str, Any] = {
    "survey.front": {
        "left": {"width": "10 1/2", "height": "92"},
        "right": {"width": "12", "height": "91"},
        "transom": {"underside": "84", "projects": "1/4"},
    },
    "layout.front_trim": {"width": "1 1/2", "stock": "96", "kerf": "1/8"},
}


def trims(car: Cab, kind: str = "front-trim") -> dict[str, tuple[str, int | None, Length, Length]]:
    return {part.mark: (part.wall, part.order, part.width, part.height) for part in car.parts if part.kind == kind}


def test_a_front_trim_is_cut_where_the_transom_stands_proud() -> None:
    wide = inch("3/2")
    assert trims(cab(FRONT)) == {
        "front-trim-left-1": ("left", 1, wide, inch(84)),
        "front-trim-left-2": ("left", 2, wide, inch(8)),
        "front-trim-right-1": ("right", 1, wide, inch(84)),
        "front-trim-right-2": ("right", 2, wide, inch(7)),
    }


@pytest.mark.parametrize(
    "changes",
    [
        {"survey.front.transom.projects": "0"},
        {"survey.front.transom.projects": GONE},
        {"survey.front.transom": GONE},
        {"survey.front.transom.underside": "92"},
    ],
)
def test_a_front_trim_in_one_piece(changes: dict[str, Any]) -> None:
    found = trims(cab({**FRONT, **changes}))
    assert found["front-trim-left-1"][3] == inch(92)
    assert "front-trim-left-2" not in found


def test_front_heights_are_taken_from_the_finished_floor() -> None:
    car = cab({**FRONT, "survey.floor_finish": "1/4", "survey.height": ["92 1/2"]})
    assert [size[3] for size in trims(car).values()] == [inch("335/4"), inch(8), inch("335/4"), inch(7)]
    assert car.front is not None
    assert (car.front.underside, car.front.cut) == (inch("335/4"), inch("335/4"))
    assert [side.height for side in car.front.returns] == [inch("367/4"), inch("363/4")]


def test_both_pieces_and_the_cut_come_out_of_one_stock_length() -> None:
    exact = {**FRONT, "layout.front_trim.stock": "92 1/8"}
    assert len(trims(cab(exact))) == 4
    with pytest.raises(BadSpec) as refused:
        cab({**exact, "layout.front_trim.stock": "92 7/64"})
    (error,) = refused.value.errors
    assert error.path == "layout.front_trim.stock"
    assert "the left front trim" in error.what
    whole = {**FRONT, "survey.front.transom.projects": "0"}
    assert len(trims(cab({**whole, "layout.front_trim.stock": "92"}))) == 2


def test_a_saw_cut_is_an_eighth_unless_told_otherwise() -> None:
    assert cab({**FRONT, "layout.front_trim.kerf": GONE}).front == cab(FRONT).front


def test_no_front_trim_unless_the_layout_wants_one() -> None:
    car = cab({"survey.front": FRONT["survey.front"]})
    assert trims(car) == {}
    assert car.front is not None


def test_a_return_beside_a_wall_without_panels_has_its_trim() -> None:
    one = {**FRONT, "survey.walls.right": GONE, "layout.walls.right": GONE, "handrail.walls": ["back"]}
    marks = [part.mark for part in cab(one).parts if part.wall == "right"]
    assert marks == ["front-trim-right-1", "front-trim-right-2"]


def test_corner_trims_are_as_high_as_the_lower_of_their_walls() -> None:
    heights = {
        "layout.corner_trim": {"width": "2"},
        "survey.walls.left.height": ["92"],
        "survey.walls.right.height": ["93"],
    }
    assert trims(cab(heights), "corner-trim") == {
        "corner-trim-left": ("left", None, inch(2), inch(92)),
        "corner-trim-right": ("right", None, inch(2), inch("369/4")),
    }
    alone = {**heights, "survey.walls.right": GONE, "layout.walls.right": GONE, "handrail.walls": ["back"]}
    del alone["survey.walls.right.height"]
    assert list(trims(cab(alone), "corner-trim")) == ["corner-trim-left"]


def without(*names: str) -> dict[str, Any]:
    """The plain car without some of its walls."""
    gone = {f"{section}.walls.{name}": GONE for name in names for section in ("survey", "layout")}
    left = [name for name in ("back", "left", "right") if name not in names]
    return {**gone, "handrail.walls": left}


@pytest.mark.parametrize(
    ("changes", "width", "depth", "height"),
    [
        ({}, "131/2", "401/8", "369/4"),
        (without("left"), "267/4", "401/8", "369/4"),
        (without("left", "right"), "68", None, "369/4"),
        (without("back"), None, "411/8", "369/4"),
        ({**without("back"), "survey.width": ["68", "68 1/4"], "survey.uncertainty": "1/8"}, "523/8", "205/4", "737/8"),
        ({**without("back", "left"), "survey.width": "68"}, "267/4", "411/8", "369/4"),
        ({"survey.walls.left.width": ["52"], "survey.walls.right.height": ["90"]}, "131/2", "401/8", "90"),
        ({"layout.walls.left.panel": {"thickness": "1", "air_gap": "1"}}, "259/4", "401/8", "369/4"),
    ],
)
def test_clear_size(changes: dict[str, Any], width: str | None, depth: str | None, height: str) -> None:
    clear = cab(changes).clear
    for size, wanted in ((clear.width, width), (clear.depth, depth), (clear.height, height)):
        assert size == (inch(wanted) if wanted is not None else None)


@pytest.mark.parametrize(
    ("heights", "falls", "height"),
    [
        (["92", "92 1/4", "92 1/8"], ["0", "1/4", "1/2"], "733/8"),  # 92, 92 and 91 5/8 in above the high point
        (["92", "92 1/4", "92 1/2"], ["0", "1/2"], "92"),  # the fall half way along is 1/4 in
        (["92", "92 1/2"], ["0", "1", "0"], "92"),  # the readings are at the ends, the low place between them
        (["92"], ["0", "1/4"], "367/4"),  # read at no known place: the greatest fall counts
        (["92", "92 1/4"], ["1/8"], "735/8"),
    ],
)
def test_heights_count_from_the_floors_high_point(heights: list[str], falls: list[str], height: str) -> None:
    car = cab({"survey.walls.left.height": heights, "survey.walls.left.floor": falls})
    assert car.walls["left"].height == inch(height)
    assert car.walls["back"].height == inch("369/4")
    same = cab({"survey.height": heights, "survey.walls.left.floor": falls})
    assert same.walls["left"].height == inch(height)
    assert same.walls["right"].height == inch(92)


def test_floor_finish_and_uncertainty_come_off_every_height() -> None:
    car = cab({"survey.floor_finish": "1/2", "survey.uncertainty": "1/8"})
    assert {wall.height for wall in car.walls.values()} == {inch("733/8")}
    assert {wall.readings.height for wall in car.walls.values()} == {(inch("367/4"),)}
    assert car.walls["back"].width == inch("543/8")
    # The layout counts from the finished floor.
    backer = car.walls["back"].band("backer")
    assert backer is not None
    assert backer.y + backer.height / 2 == inch(34)


def test_obstructions_and_fixtures_count_from_the_floor_as_surveyed() -> None:
    thing = {"what": "box", "x": "20", "y": "40", "width": "4", "height": "5"}
    car = cab(
        {
            "survey.floor_finish": "1/2",
            "survey.walls.left.fixtures": [thing],
            "survey.walls.left.behind.obstructions": [{**thing, "behind": "1"}],
        }
    )
    wall = car.walls["left"]
    (fixture,), (obstruction,) = wall.fixtures, wall.obstructions
    assert fixture.rect == obstruction.rect
    assert (fixture.rect.x, fixture.rect.y) == (inch(20), inch("79/2"))
    assert obstruction.behind == inch(1)


@pytest.mark.parametrize("key", ["fixtures", "behind.obstructions"])
def test_what_stands_on_a_wall_may_reach_its_edges_but_not_beyond(key: str) -> None:
    def reaching(width: str, height: str) -> Cab:
        return cab(
            {f"survey.walls.left.{key}": [{"what": "box", "x": "0", "y": "0", "width": width, "height": height}]}
        )

    assert reaching("51 3/8", "92 1/4")
    for width, height in (("51 25/64", "5"), ("5", "92 17/64")):
        with pytest.raises(BadSpec) as refused:
            reaching(width, height)
        (error,) = refused.value.errors
        assert error.path == f"survey.walls.left.{key}[0]"


def test_a_butt_joint_has_a_spline_and_no_strip() -> None:
    car = cab({"layout.reveal": "0", "layout.stack.3": {"reveal": "0"}})
    parts: dict[str, Part] = {part.mark: part for part in car.walls["back"].parts}
    assert not any(mark.startswith(("reveal-lower-", "reveal-upper-")) for mark in parts)
    assert parts["spline-lower-back-1"].width == inch("3/4")
    assert parts["spline-back-1"].height == inch("3/4")
    # Splines are counted by their joint, strips by their own number.
    assert [mark for mark in parts if mark.startswith("spline-back")] == [
        "spline-back-1",
        "spline-back-2",
        "spline-back-3",
    ]
    assert [mark for mark in parts if mark.startswith("reveal-back")] == ["reveal-back-1", "reveal-back-2"]
    assert parts["reveal-back-1"].visible is not None
    assert parts["reveal-back-1"].visible.y == inch(37)


def test_the_joint_under_a_frieze_has_its_strip_and_the_friezes_tab_for_a_spline() -> None:
    top = {"layout.stack.9": {"reveal": "1/2"}, "layout.stack.10": {"frieze": "4 1/2"}}
    parts = {part.mark: part for part in cab(top).walls["back"].parts}
    assert "spline-back-4" not in parts
    assert parts["reveal-back-4"].height == inch("1/2")
    frieze = parts["frieze-back"]
    assert frieze.height == inch("43/8")
    assert frieze.body is not None
    assert frieze.visible is not None
    assert (frieze.body.top, frieze.visible.height) == (frieze.visible.top, inch("9/2"))
    assert frieze.visible.y - frieze.body.y == inch("7/8")


def test_a_fill_that_rounds_down_to_nothing_takes_what_is_left() -> None:
    stack = [{"base": "6"}, {"full": "86.24"}, {"gap": "fill"}]
    bands = cab({"layout.stack": stack, "handrail": GONE}).walls["back"].bands
    assert bands[-1].height == inch("0.01")
    assert bands[-1].height > ZERO
    with pytest.raises(BadSpec):
        cab({"layout.stack": [{"base": "6"}, {"full": "86.25"}, {"gap": "fill"}], "handrail": GONE})


def test_bands_that_say_where_they_stand_may_touch_one_another_the_floor_and_the_ceiling() -> None:
    touching = [
        {"bumper": {"height": "10", "centre": "5"}}, {"reveal": "0"}, {"bumper": {"height": "21", "centre": "20 1/2"}},
        {"reveal": "0"}, {"backer": {"height": "6", "centre": "34"}}, {"reveal": "1/2"}, {"upper": "fill"},
        {"reveal": "0"}, {"crown": {"height": "4", "centre": "90 1/4"}},
    ]  # fmt: skip
    bands = cab({"layout.stack": touching}).walls["back"].bands
    assert [band.y for band in bands if band.kind != "reveal"] == [
        ZERO,
        inch(10),
        inch(31),
        inch("75/2"),
        inch("353/4"),
    ]
    assert bands[-1].top == inch("369/4")

"""Every piece as the shop makes it: four sizes, a cut list that goes back together, grooves with mates, classes."""

from __future__ import annotations

from collections import Counter
from typing import Any

import put_back
import pytest
from conftest import SPECS
from spec_texts import cab

from cabdraw.cab import Cab, Rect
from cabdraw.shop.lists import Table, cut_list, edge_table
from cabdraw.shop.outline import area, without
from cabdraw.shop.parts import ShopPart, Size, shop_parts
from cabdraw.units import INCH, ZERO, inch, mm

CARS = [path.stem for path in SPECS]


@pytest.fixture(scope="module")
def shipped_cars() -> dict[str, Cab]:
    from cabdraw.resolve import resolve
    from cabdraw.spec import load

    return {path.stem: resolve(load(path)) for path in SPECS}


def by_mark(parts: tuple[ShopPart, ...]) -> dict[str, ShopPart]:
    return {part.mark: part for part in parts}


def part(changes: dict[str, Any], mark: str) -> ShopPart:
    return by_mark(shop_parts(cab(changes)))[mark]


def test_the_four_sizes_of_a_panel_are_four() -> None:
    found = part({"layout.panel": {"thickness": "3/4", "air_gap": "1/2", "edge": "0.02"}}, "lower-back-1")
    assert found.visible == found.finished
    w, h = found.finished.width, found.finished.height
    assert found.core == Size(w - inch("0.04"), h - inch("0.04"))
    assert found.blank == Size(w - inch("0.04") + inch("0.5"), h - inch("0.04") + inch("0.5"))
    assert part({"shop": {"oversize": "0"}}, "lower-back-1").blank == found.core


def test_the_four_sizes_of_a_bent_base_are_four() -> None:
    found = part({"profiles.base": {"legs": ["7/8", "face"], "bends": ["90"]}}, "base-back")
    assert found.visible is not None
    assert found.visible.height == inch(4)
    assert found.finished.height == inch("4.375")
    assert found.developed is not None
    assert found.core.height == found.developed.width != found.finished.height
    assert found.core == found.blank
    assert found.core.width == found.finished.width


def rows(table: Table) -> list[dict[str, Any]]:
    return [dict(zip(table.header, row, strict=True)) for row in table.rows]


@pytest.mark.parametrize("name", CARS)
def test_the_cut_list_goes_back_together_into_each_wall(shipped_cars: dict[str, Cab], name: str) -> None:
    """Rows close on the wall's width and stacks on its height, with every listed piece used once and nothing over."""
    car = shipped_cars[name]
    table = cut_list(car, shop_parts(car))
    every = [{column: "" if value is None else str(value) for column, value in row.items()} for row in rows(table)]
    assert list(put_back.misfits(car, every)) == []
    panel = next(row for row in every if row["kind"] == "panel")
    for column in ("visible_width", "visible_height"):
        longer = [row if row is not panel else {**row, column: str(float(row[column]) + 0.001)} for row in every]
        assert list(put_back.misfits(car, longer))
    assert list(put_back.misfits(car, [row for row in every if row is not panel]))
    assert list(put_back.misfits(car, [*every, {**panel, "wall": ""}])) == [f"{panel['mark']} is over, 1 times"]


@pytest.mark.parametrize("name", CARS)
def test_the_cores_go_back_together_with_their_edge_bands(shipped_cars: dict[str, Cab], name: str) -> None:
    car = shipped_cars[name]
    for found in shop_parts(car):
        if found.made == "board":
            bands = Counter(found.banded)
            assert found.core.width + found.edge * (bands["left"] + bands["right"]) == found.finished.width
            assert found.core.height + found.edge * (bands["top"] + bands["bottom"]) == found.finished.height
            assert found.blank.width - found.core.width == 2 * car.practice.oversize


@pytest.mark.parametrize("name", CARS)
def test_every_resolved_part_is_a_shop_part_and_marks_are_their_own(shipped_cars: dict[str, Cab], name: str) -> None:
    car = shipped_cars[name]
    found = shop_parts(car)
    assert {part.of for part in found} == {part.mark for part in car.parts}
    assert len({part.mark for part in found}) == len(found)
    standoffs = [part for part in found if part.kind == "standoff"]
    assert len(standoffs) == sum(len(wall.rail.standoffs) for wall in car.walls.values() if wall.rail is not None)


@pytest.mark.parametrize("name", CARS)
def test_grooves_match_joints_and_each_has_a_mate(shipped_cars: dict[str, Cab], name: str) -> None:
    car = shipped_cars[name]
    found = shop_parts(car)
    marks = {part.mark for part in car.parts}
    edges = rows(edge_table(car, found))
    cut = {part.of for part in found if part.openings}
    upright = [row for row in edges if row["edge"] in ("left", "right") and row["mark"] not in cut]
    splines = [part for part in car.parts if part.kind == "vertical-spline"]
    both = Counter(row["enters"] for row in edges if row["edge"] in ("left", "right"))
    assert both == {spline.mark: 2 for spline in splines}
    for row in upright:
        (mate,) = row["mates"].split()
        (other,) = (there for there in edges if there["mark"] == mate and there["enters"] == row["enters"])
        assert {row["edge"], other["edge"]} == {"left", "right"}
    for row in edges:
        assert row["enters"] in marks
        assert set(row["mates"].split()) <= marks
        if row["enters"].startswith("spline"):
            assert row["mates"], f"{row['mark']}: nothing is across from its {row['edge']} groove"
    lying = Counter(row["enters"] for row in edges if row["edge"] in ("top", "bottom"))
    for spline in (part for part in car.parts if part.kind == "horizontal-spline"):
        assert lying[spline.mark] >= 2
    for metal in (part for part in car.parts if part.kind in ("base", "frieze")):
        assert lying[metal.mark] >= 1


def test_a_groove_runs_the_finished_edge_and_is_less_deep_in_the_core() -> None:
    car = cab({"layout.panel.edge": "0.02"})
    (row,) = (r for r in rows(edge_table(car, shop_parts(car))) if (r["mark"], r["edge"]) == ("lower-back-1", "right"))
    assert (row["depth"], row["core_depth"], row["width"], row["face_offset"]) == (0.5, 0.48, 0.15625, 0.25)
    found = by_mark(shop_parts(car))["lower-back-1"]
    assert (row["start"], row["stop"]) == (0, float(found.finished.height.mm / INCH))


BOX = {"what": "box", "x": "8", "y": "10", "width": "4", "height": "6"}


def test_an_opening_is_cut_out_of_the_core_at_its_own_size() -> None:
    found = part({"survey.walls.back.fixtures": [BOX]}, "lower-back-1")
    (hole,) = found.outline.holes
    assert found.openings == ("box",)
    core = found.core.width.mm * found.core.height.mm
    assert area(found.outline) == core - 24 * INCH**2
    xs = {point.x for point in hole}
    assert max(xs) - min(xs) == inch(4)
    assert found.square
    assert not part({"survey.walls.back.fixtures": [{**BOX, "clearance": "1/8"}]}, "lower-back-1").square


def test_a_notch_interrupts_the_groove_of_its_edge() -> None:
    car = cab({"survey.walls.back.fixtures": [{**BOX, "x": "16", "width": "20"}]})
    found = by_mark(shop_parts(car))["lower-back-1"]
    right = [groove for groove in found.grooves if groove.edge == "right"]
    assert len(right) == 2
    assert sorted((groove.start, groove.stop) for groove in right)[0][0] == ZERO
    gap = sorted(groove.start for groove in right)[1] - sorted(groove.stop for groove in right)[0]
    assert gap == inch(6)


def test_a_part_that_is_split_becomes_pieces_with_ids_of_their_own() -> None:
    car = cab({"survey.walls.back.fixtures": [{**BOX, "x": "1", "width": "66"}]})
    found = by_mark(shop_parts(car))
    assert {"lower-back-1-a", "lower-back-1-b"} <= set(found)
    low, high = found["lower-back-1-a"], found["lower-back-1-b"]
    assert "top" not in low.banded
    assert "bottom" not in high.banded
    whole = by_mark(shop_parts(cab()))["lower-back-1"]
    assert low.finished.height + high.finished.height + inch(6) == whole.finished.height
    assert low.mass is None or low.mass.kg > 0


def test_identical_pieces_share_a_class_and_different_ones_do_not() -> None:
    found = by_mark(shop_parts(cab({"layout.walls.back": {"panels": "4"}})))
    two, three = found["lower-back-2"], found["lower-back-3"]
    assert two.class_id == three.class_id
    assert two.mark != three.mark
    # The outer panels are of the same size, and have a groove on one side only.
    assert found["lower-back-1"].core == two.core
    assert len({found[f"lower-back-{n}"].class_id for n in (1, 2, 4)}) == 3
    assert by_mark(shop_parts(cab({"layout.walls.back": {"panels": "4"}, "layout.panel.edge": "0.03"})))[
        "lower-back-2"
    ].class_id != two.class_id  # fmt: skip


def test_a_class_is_the_same_in_another_car() -> None:
    other = by_mark(shop_parts(cab({"job": {"project": "Other", "car": "Car 9"}, "layout.walls.back.panels": "3"})))
    assert other["lower-back-2"].class_id == by_mark(shop_parts(cab()))["lower-back-2"].class_id


def test_holes_are_bored_in_the_shop_only_where_nothing_stops_drilling() -> None:
    car = cab()
    backer = {mark: p for mark, p in by_mark(shop_parts(car, ("back",))).items() if p.kind == "backer"}
    assert all(hole.bored for hole in backer["backer-back"].holes)
    assert not any(hole.bored for hole in backer["backer-left"].holes)
    assert len(backer["backer-back"].holes) == len(car.walls["back"].rail.standoffs)  # type: ignore[union-attr]
    assert {hole.diameter for hole in backer["backer-back"].holes} == {inch("0.5")}


def test_rings_of_what_openings_leave() -> None:
    def rect(x: int, y: int, w: int, h: int) -> Rect:
        return Rect(mm(x), mm(y), mm(w), mm(h))

    whole = rect(0, 0, 10, 10)
    assert without(whole, [whole]) == ()
    (notched,) = without(whole, [rect(-1, 2, 4, 3)])
    assert (len(notched.outline), area(notched)) == (8, 91)
    pieces = without(whole, [rect(-1, 4, 12, 2)])
    assert [area(piece) for piece in pieces] == [40, 40]
    (pinched,) = without(whole, [rect(2, 2, 3, 3), rect(5, 5, 2, 2)])
    assert sorted(len(hole) for hole in pinched.holes) == [4, 4]
    assert area(pinched) == 100 - 9 - 4
    assert [area(piece) for piece in without(whole, [rect(0, 0, 5, 5), rect(5, 5, 5, 5)])] == [25, 25]

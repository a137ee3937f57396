"""Hardware: counted from the geometry, with its spares; bolts with the thread they leave at both ends; packing."""

from __future__ import annotations

import csv
import io
from fractions import Fraction
from math import ceil, pi
from typing import Any

import pytest
from conftest import Shipped
from spec_texts import cab

from cabdraw.cab import Cab
from cabdraw.install.hardware import Bought, Need, bolt_words, engagement, hardware, to_bring
from cabdraw.install.screws import fixing_lines
from cabdraw.resolve.assembly import assembly
from cabdraw.site_package import site_plan
from cabdraw.units import inch, mm

FULL: dict[str, Any] = {
    "fixings": {
        "base_screws": "12", "spline_screws": "12", "pad_studs": "18", "pad_stud_end": "6", "packers": "24",
        "shims": "2", "tape": ["trims", "reveals"], "sealant": {"bead": "1/4"}, "spares": "10%",
    },
    "layout.corner_trim": {"width": "2"},
}  # fmt: skip


def needs_of(car: Cab) -> tuple[Need, ...]:
    return hardware(car, assembly(car))


def amount(needs: tuple[Need, ...], item: str, wall: str | None = None) -> Fraction:
    return sum((n.amount for n in needs if n.item == item and wall in (None, n.wall)), Fraction(0))


def brought(car: Cab, item: str) -> Bought:
    (one,) = [each for each in to_bring(car, needs_of(car)) if each.item == item]
    return one


def test_screws_and_studs_are_those_that_are_placed() -> None:
    car = cab(FULL)
    needs = needs_of(car)
    for name, wall in car.walls.items():
        lines = fixing_lines(car, wall)
        screws = sum(len(each.fixings) for each in lines if each.kind != "pad-stud")
        studs = sum(len(each.fixings) for each in lines if each.kind == "pad-stud")
        assert amount(needs, "self-drilling screw", name) == screws > 0
        assert amount(needs, "pad stud", name) == studs > 0


def test_each_standoff_has_its_bolt_anchor_and_sleeve() -> None:
    car = cab()
    for name, wall in car.walls.items():
        assert wall.rail is not None
        for item in ("standoff", "bolt", "anchor", "compression sleeve"):
            assert amount(needs_of(car), item, name) == len(wall.rail.standoffs)
    sleeve = next(n for n in needs_of(car) if n.item == "compression sleeve")
    assert sleeve.size == '1/2" long'


def test_a_bolt_s_length_is_worked_out_with_the_thread_it_leaves() -> None:
    car = cab()
    wall = car.walls["back"]
    assert wall.rail is not None
    bolt = wall.rail.bolt
    assert bolt is not None
    # 3/4 panel, 1/2 air gap and 0.0781 shell; a 2 1/4 in bolt leaves 0.9219 in for both ends.
    assert bolt.length == inch("9/4")
    assert engagement(wall, bolt) == (
        (inch("3/8"), inch("0.5469")), (inch("3/8"), inch("0.5469")),
    )  # fmt: skip
    assert bolt_words(car, bolt) == (
        'through 1.3281"; standoff takes 0.3750" to 0.5469", leaving 0.5469" to 0.3750" past the shell'
    )


def test_depth_behind_the_shell_asks_for_more_thread_in_the_standoff() -> None:
    car = cab({"survey.walls.back.behind.depth": "1/2"})
    wall = car.walls["back"]
    assert wall.rail is not None
    assert wall.rail.bolt is not None
    ends = engagement(wall, wall.rail.bolt)
    assert ends is not None
    assert ends[0][0] == inch("0.4219")
    assert ends[1][1] == inch("1/2")


def test_no_bolt_named_is_said() -> None:
    from spec_texts import GONE

    bolt = next(n for n in needs_of(cab({"handrail.bolt": GONE})) if n.item == "bolt")
    assert bolt.note == "the spec names no bolt"


def test_spares_are_a_share_rounded_up_and_at_least_two() -> None:
    car = cab(FULL)
    for each in to_bring(car, needs_of(car)):
        if each.unit == "pieces":
            assert each.spares == max(2, ceil(each.needed / 10))
    assert all(each.spares == 0 for each in to_bring(cab(), needs_of(cab())))


def test_tape_runs_along_both_legs_of_a_corner_trim_and_along_each_strip() -> None:
    car = cab(FULL)
    needs = needs_of(car)
    trims = sum((trim.height for trim in car.trims), mm(0)) * 2
    of_trims = [n for n in needs if n.item == "double-sided tape" and n.size == "for trims"]
    assert sum(n.amount for n in of_trims) == trims.mm
    strips = sum(
        (part.height if part.kind == "vertical-reveal" else part.width).mm
        for part in car.parts
        if part.kind in ("vertical-reveal", "horizontal-reveal")
    )
    assert sum(n.amount for n in needs if n.size == "for reveals") == strips


def test_sealant_is_a_round_bead_in_whole_cartridges() -> None:
    car = cab(FULL)
    volume = sum(float(wall.height) for name, wall in car.walls.items() if name != "back") * pi / 4 * 6.35**2 / 1000
    needs = [n for n in needs_of(car) if n.item == "sealant"]
    assert float(sum(n.amount for n in needs)) == pytest.approx(volume, rel=1e-5)
    one = brought(car, "sealant")
    assert one.needed == ceil(volume / 300)
    assert one.brought == ceil(volume * 1.1 / 300)
    fine = cab({**FULL, "fixings.sealant": {"bead": "1/4", "cartridge": "20 ml"}})
    assert brought(fine, "sealant").brought == ceil(volume * 1.1 / 20)


def test_sealant_never_closes_the_vents_at_the_floor() -> None:
    from spec_texts import plain, text

    from cabdraw.errors import BadSpec
    from cabdraw.spec import loads

    with pytest.raises(BadSpec, match="floor"):
        loads(text(plain({**FULL, "fixings.sealant": {"bead": "1/4", "along": ["floor"]}})), "car.yaml")


def test_packers_stand_at_every_joint_and_shims_go_with_them() -> None:
    car = cab(FULL)
    packers = [n for n in needs_of(car) if n.item == "air-gap packer" and n.wall == "back"]
    # Four lines a tier of three panels: the lower (25 5/8 in) takes 3 rows, the upper (46 in) 3.
    assert [int(n.amount) for n in packers] == [4, 12, 4, 12, 4, 4]
    assert amount(needs_of(car), "shim") == 2 * amount(needs_of(car), "air-gap packer")


def test_the_list_counts_by_step_and_wall_and_in_all(shipped: Shipped) -> None:
    rows = list(csv.DictReader(io.StringIO(shipped.files["site/hardware.csv"].decode())))
    steps = [row for row in rows if row["step"] != "all"]
    for whole in (row for row in rows if row["step"] == "all"):
        of = [row for row in steps if (row["item"], row["size"]) == (whole["item"], whole["size"])]
        if whole["unit"] == "pieces":
            assert sum(int(row["needed"]) for row in of) == int(whole["needed"])
            assert int(whole["needed"]) + int(whole["spares"]) == int(whole["bring"])
    assert {row["wall"] for row in steps if row["item"] == "bolt"} == {
        name for name, wall in shipped.looked.cab.walls.items() if wall.rail is not None
    }


def test_what_goes_on_last_is_packed_first(shipped: Shipped) -> None:
    rows = list(csv.DictReader(io.StringIO(shipped.files["site/packing.csv"].decode())))
    steps = [int(row["for_step"]) for row in rows]
    assert steps == sorted(steps, reverse=True)
    assert [int(row["packed"]) for row in rows] == list(range(1, len(rows) + 1))
    plan = site_plan(shipped.looked.cab)
    packed = [mark for row in rows if row["what"] != "bag of hardware" for mark in row["marks"].split()]
    assert sorted(packed) == sorted(piece.mark for piece in plan.pieces)


def test_a_bundle_weighs_what_is_in_it_or_nothing_is_said(shipped: Shipped) -> None:
    plan = site_plan(shipped.looked.cab)
    for bundle in plan.bundles:
        masses = [piece.mass for piece in bundle.pieces]
        if any(mass is None for mass in masses):
            assert bundle.mass is None
        else:
            assert bundle.mass is not None
            assert bundle.mass.kg == sum(mass.kg for mass in masses if mass is not None)
    assert any(bundle.mass is not None for bundle in plan.bundles)

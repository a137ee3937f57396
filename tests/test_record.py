"""`resolved.json`: every key that it promises, in the order that it promises, to six places."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from spec_texts import GONE, ONE_TIER, cab

from cabdraw.cab import Cab
from cabdraw.check import findings
from cabdraw.install.blocks import blocks
from cabdraw.record import millimetres, record
from cabdraw.resolve import resolve
from cabdraw.spec import load
from cabdraw.units import Length, inch, mm

SPECS = sorted((Path(__file__).parent.parent / "specs").glob("*.yaml"))

#: What each thing in the file must hold; more keys may stand there.
PROMISED: dict[str, tuple[str, ...]] = {
    "": ("cabdraw", "units", "job", "walls", "clear", "parts", "blocks", "findings"),
    "wall": ("width", "height", "projection", "margins", "run", "bands", "panels", "rail"),
    "band": ("kind", "y", "height"),
    "panel": ("mark", "tier", "order", "x", "y", "width", "height"),
    "rail": ("length", "x", "y", "spacing", "overhang", "standoffs", "bolt"),
    "clear": ("width", "depth", "height"),
    "part": ("mark", "kind", "wall", "tier", "order", "width", "height", "thickness", "core", "mass"),
    "block": ("size", "count", "used"),
    "finding": ("code", "severity", "message", "where", "hint"),
}
KINDS = {
    "panel", "vertical-spline", "vertical-reveal", "horizontal-spline", "horizontal-reveal", "backer", "bumper",
    "crown", "base", "frieze", "front-trim", "corner-trim", "handrail",
}  # fmt: skip


def of(car: Cab) -> dict[str, Any]:
    return record(car, findings(car), blocks(car))


def holds(thing: dict[str, Any], what: str) -> None:
    assert set(PROMISED[what]) <= set(thing)


@pytest.mark.parametrize(
    ("length", "written"),
    [
        (None, None),
        (mm(0), 0.0),
        (inch("1/64"), 0.396875),
        (inch("0.0781"), 1.98374),
        (Length(Fraction(1, 3)), 0.333333),
        (Length(Fraction(2, 3)), 0.666667),
        (mm("0.0000005"), 0.000001),
        (mm("0.00000049"), 0.0),
        (mm("-0.25"), -0.25),
        (mm("19999.9999999"), 20000.0),
    ],
)
def test_lengths_are_written_to_six_places_a_tie_going_up(length: Length | None, written: float | None) -> None:
    assert millimetres(length) == written


@pytest.mark.parametrize("path", SPECS, ids=lambda path: path.stem)
def test_every_promised_key_is_there(path: Path) -> None:
    said = of(resolve(load(path)))
    assert json.loads(json.dumps(said)) == said
    holds(said, "")
    assert said["cabdraw"] == 1
    assert said["units"] in ("inch", "mm")
    holds(said["clear"], "clear")
    for wall in said["walls"].values():
        holds(wall, "wall")
        for what, things in (("band", wall["bands"]), ("panel", wall["panels"])):
            for thing in things:
                holds(thing, what)
        if wall["rail"] is not None:
            holds(wall["rail"], "rail")
            assert all(set(standoff) >= {"x", "y"} for standoff in wall["rail"]["standoffs"])
    for part in said["parts"]:
        holds(part, "part")
        assert part["kind"] in KINDS
        assert (part["core"] is not None) == (part["kind"] in ("panel", "backer", "bumper", "crown"))
        assert (part["tier"] is not None) == (part["kind"] in ("panel", "vertical-spline", "vertical-reveal"))
    for what in ("block", "finding"):
        for thing in said[f"{what}s"]:
            holds(thing, what)


@pytest.mark.parametrize("path", SPECS, ids=lambda path: path.stem)
def test_walls_and_parts_stand_in_order(path: Path) -> None:
    said = of(resolve(load(path)))
    order = ["back", "left", "right"]
    assert list(said["walls"]) == [name for name in order if name in said["walls"]]
    walls = [order.index(part["wall"]) for part in said["parts"]]
    assert walls == sorted(walls)
    for wall in said["walls"].values():
        panels = [(panel["y"], panel["x"]) for panel in wall["panels"]]
        assert panels == sorted(panels)
        assert [band["y"] for band in wall["bands"]] == sorted(band["y"] for band in wall["bands"])
    marks = [part["mark"] for part in said["parts"]]
    assert len(marks) == len(set(marks))


def test_what_a_thing_lacks_is_null() -> None:
    bare = of(
        cab({"handrail": GONE, "survey.walls": {"left": {"width": ["51"]}}, "layout.walls": {"left": {"panels": "1"}}})
    )
    assert bare["walls"]["left"]["rail"] is None
    assert bare["clear"]["width"] is None
    assert bare["clear"]["depth"] == 1295.4
    assert {part["order"] for part in bare["parts"] if part["kind"] == "crown"} == {None}


def test_a_bolt_that_is_not_there_and_one_of_no_stock_length() -> None:
    def bolts(changes: dict[str, Any]) -> Any:
        return of(cab(changes))["walls"]["back"]["rail"]["bolt"]

    assert bolts({}) == {"stack": 33.73374, "length": 57.15}
    assert bolts({"handrail.bolt": GONE}) is None
    assert bolts({"survey.walls.back.shell": GONE}) is None
    assert bolts({"handrail.bolt.lengths": ["1"]}) == {"stack": 33.73374, "length": None}


def test_a_finding_stands_in_it_as_it_was_found() -> None:
    every = of(cab({"survey.walls.back.width": ["68", "69"]}))["findings"]
    (finding,) = [finding for finding in every if finding["code"] == "survey-spread"]
    assert finding["where"] == "survey.walls.back.width"
    assert (finding["severity"], finding["stops"], finding["wall"], finding["marks"]) == (
        "warning",
        "nothing",
        "back",
        [],
    )


def test_rail_on_a_full_tier_stands_where_the_handrail_says() -> None:
    rail = of(cab(ONE_TIER))["walls"]["back"]["rail"]
    assert rail["y"] == 863.6
    by_top = {"layout.stack": ONE_TIER["layout.stack"], "handrail.rail_top": "34"}
    assert of(cab(by_top))["walls"]["back"]["rail"]["y"] == 844.55

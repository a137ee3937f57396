"""Good specs load with every value as meant, and problems found later are told by their place."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest
from ending import comes_to_an_end

from cabdraw import cab
from cabdraw.errors import BadSpec, Problem
from cabdraw.spec import layout, load, loads
from cabdraw.units import ZERO, Mass, inch, mm

SPECS = Path(__file__).parent.parent / "specs"

SMALL = """\
cabdraw: 1
units: inch
job: {project: Larkspur Court, car: Car 2}
survey:
  height: 92 1/4
  walls:
    back: {width: [68, 68 1/8]}
layout:
  panel: {air_gap: 1/2, thickness: 3/4}
  joint: {engagement: 3/8, groove_depth: 1/2, clearance: 1/16, base_tab: 3/8}
  reveal: 0
  corner_gap: 12mm
  front_gap: 1
  stack:
    - gap: fill
    - full: {height: fill, weight: 3/2}
    - gap: 0
  walls:
    back: {widths: [20, Fill, 20.5]}
"""


def small(*changes: tuple[str, str]) -> str:
    text = SMALL
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return text


def refusal(text: str) -> list[str]:
    with pytest.raises(BadSpec) as refused:
        loads(text, "car.yaml")
    return [str(error) for error in refused.value.errors]


@pytest.mark.parametrize("path", sorted(SPECS.glob("*.yaml")), ids=lambda path: path.stem)
def test_shipped_specs_load(path: Path) -> None:
    document = load(path)
    assert document.name == path.stem
    assert document.source.name == path.name


def test_values_are_exact_and_in_the_specs_units() -> None:
    spec = loads(SMALL).spec
    wall = spec.survey.walls.back
    assert wall is not None
    assert wall.width == (inch(68), inch("68.125"))
    assert spec.survey.height == (inch("92.25"),)
    assert spec.layout.corner_gap == mm(12)
    assert spec.layout.reveal == ZERO
    row = spec.layout.walls.back
    assert row is not None
    assert row.widths == (inch(20), None, inch("20.5"))
    gap, full, _ = spec.layout.stack
    assert (gap.kind, gap.size.fills) == ("gap", True)
    assert (full.kind, full.size.weight) == ("full", Fraction(3, 2))
    assert spec.step == inch(Fraction(1, 32))
    assert loads(SMALL.encode("utf-8-sig")).spec == spec


def test_masses_percentages_and_scales() -> None:
    text = small(("  walls:\n", "  car: {rated_load: 1000 lb, mass: 1600 KG}\n  walls:\n"))
    text += "fixings: {spares: 12.5 %}\nsheet: {size: a2, scale: 1 1/2″=1′-0″}\nrules: [EU]\n"
    spec = loads(text).spec
    assert spec.survey.car is not None
    assert spec.survey.car.rated_load == Mass(Fraction("453.59237"))
    assert spec.survey.car.mass == Mass(Fraction(1600))
    assert spec.fixings is not None
    assert spec.fixings.spares == Fraction(1, 8)
    assert (spec.sheet.size, spec.sheet.scale, spec.rules) == ("A2", '1 1/2" = 1\'-0"', ("eu",))


@pytest.mark.parametrize(
    "typed", ["auto", "1:1", "1:12", "1 : 500", '3/4" = 1\'-0"', "1/8\" = 1'", "3 = 1'0\"", "3/32''=1'"]
)
def test_scales_that_are_read(typed: str) -> None:
    loads(SMALL + f"sheet: {{scale: {json.dumps(typed)}}}\n")


@pytest.mark.parametrize("typed", ["1:0", "2:1", "1:1000", "1:2.5", '5/7" = 1\'-0"', "1\" = 2'", "big", "1/0\"=1'"])
def test_scales_that_are_not(typed: str) -> None:
    assert "is not a scale" in refusal(SMALL + f"sheet: {{scale: {json.dumps(typed)}}}\n")[0]


@pytest.mark.parametrize(
    "changes",
    [
        # An unusual car is no mistake: a freight car, a wall open above, a gap of nothing, no gaps at all.
        [("width: [68, 68 1/8]", "width: 9 m"), ("height: 92 1/4", "height: 5 m")],
        [("    - full: {height: fill, weight: 3/2}\n", "    - full: 36\n"), ("- gap: 0", "- gap: fill")],
        [("    - gap: fill\n", ""), ("    - gap: 0\n", "")],
        [("corner_gap: 12mm", "corner_gap: 0"), ("front_gap: 1", "front_gap: 0"), ("air_gap: 1/2", "air_gap: 0")],
        [("thickness: 3/4", "thickness: 3mm"), ("reveal: 0", "reveal: 4")],
        [("  height: 92 1/4", "  width: 70\n  height: 92 1/4")],
        [("    - gap: 0", "    - reveal: 0\n    - bumper: {height: 8, centre: 20}\n    - gap: 0")],
    ],
)
def test_unusual_cars_are_accepted(changes: list[tuple[str, str]]) -> None:
    loads(small(*changes))


def test_a_problem_is_located_at_what_is_there() -> None:
    document = loads(SMALL, "car.yaml")
    located = document.locate(Problem(("layout", "stack", 0, "gap", "height"), "takes the room", "lower it"))
    assert str(located) == "car.yaml:15:12: layout.stack[0].gap: takes the room; lower it"
    assert str(document.locate(Problem(("handrail", "walls"), "is wrong"))) == "car.yaml:1:1: is wrong"


def test_without_units_no_bare_number_is_said_to_be_wrong() -> None:
    errors = refusal(small(("units: inch\n", ""), ("front_gap: 1", "front_gap: x")))
    assert [error.split(": ", 2)[1] for error in errors] == ["units", "layout.front_gap"]
    assert len(refusal(small(("units: inch", "units: feet")))) == 1


def test_one_mistake_is_one_error() -> None:
    for change in (
        ("reveal: 0", "revael: 0"),
        ("  walls:\n    back: {widths", "  wall:\n    back: {widths"),
        ("    back: {widths", "    bakc: {widths"),
        ("{height: fill, weight: 3/2}", "{hight: fill, weight: 3/2}"),
        ("widths: [20, Fill, 20.5]", "widths: [20, Fil, 20.5]"),
        ("thickness: 3/4", "thickness: thin"),
        ("    - full:", "    - ful:"),
        ("    - gap: 0", "    - gap"),
        ("survey:\n", "servey:\n"),
    ):
        assert len(refusal(small(change))) == 1, change


def test_an_error_in_one_section_hides_none_between_others() -> None:
    errors = refusal(small(("front_gap: 1", "front_gap: x\n  corner_trim: {width: 2}"), ("car: Car 2", "ca: 2")))
    assert [error.split(": ")[1] for error in errors] == ["job", "layout.front_gap", "layout.corner_trim"]


def test_thousands_of_errors_are_cut_short() -> None:
    with pytest.raises(BadSpec) as refused:
        loads(SMALL + "".join(f"k{i}: 1\n" for i in range(900)), "car.yaml")
    errors = refused.value.errors
    assert len(errors) == 201
    assert str(errors[-1]) == "car.yaml: and 700 errors more; mend these first"


@pytest.mark.parametrize(
    "change",
    [
        ("    - gap: 0", "    - gap: 0\n" + "    - x\n" * 40_000),
        ("    - gap: 0", "    - gap: 0\n" + "    - reveal: 0\n" * 20_000),
        ("height: 92 1/4", "height: [" + "x, " * 40_000 + "x]"),
        ("reveal: 0", "reveal: 0\nhandrail: {walls: [" + "back, " * 40_000 + "back]}"),
        ("reveal: 0", "reveal: " + "[" * 30 + "x, " * 40_000 + "]" * 30),
    ],
)
def test_a_hostile_spec_is_refused_quickly(change: tuple[str, str]) -> None:
    with comes_to_an_end():
        assert len(refusal(small(change))) <= 201


def test_the_words_for_bands_are_the_cabs() -> None:
    assert layout.TIERS == cab.TIERS
    assert layout.GROOVED == cab.GROOVED

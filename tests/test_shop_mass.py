"""Masses against published worked examples, the car's balance, and what is said where it cannot be known."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from spec_texts import cab, document

from cabdraw.check.mass import mass
from cabdraw.errors import BadSpec, Finding
from cabdraw.shop.densities import DENSITIES, density_of
from cabdraw.shop.mass import allowance, masses, part_masses, people
from cabdraw.shop.parts import shop_parts
from cabdraw.units import INCH, Mass, parse_mass

PANEL = {"layers": [{"material": "particleboard", "thickness": "3/4"}], "air_gap": "1/2", "edge": "0.02"}
CAR = {"rated_load": "3500 lb", "mass": "4000 lb", "removed": "300 lb"}


def kilograms(material: str, width: float, height: float, thickness: float, density: Fraction | None = None) -> float:
    """What a sheet weighs, sizes in mm."""
    found = density if density is not None else density_of(material)
    assert found is not None
    return width * height * thickness * float(found) / 1e9


def test_stainless_sheet_as_a_mill_table_prints_it() -> None:
    """machinemfg.com: 304 sheet 2.0 x 1220 x 2440 mm at 7.93 weighs 47.2 kg; 1.2 mm weighs 9.516 kg a square metre."""
    assert kilograms("stainless steel 304", 1220, 2440, 2) == pytest.approx(47.2, abs=0.05)
    assert kilograms("stainless steel", 1000, 1000, 1.2) == pytest.approx(9.516, abs=1e-9)


def test_glass_as_a_supplier_works_it_out() -> None:
    """toughglaze.com: 1.7 x 0.5 m of 12 mm weighs 25.5 kg; 6 mm is 15 kg a square metre."""
    assert kilograms("glass", 1700, 500, 12) == pytest.approx(25.5)
    assert kilograms("mirror", 1000, 1000, 6) == pytest.approx(15)


def test_mdf_as_a_page_works_it_out() -> None:
    """hunker.com: 4 x 8 ft of 1/2 in at 700 kg/m3 weighs 26.39 kg, 58.19 lb; it rounds its factors, so within 0.2 %."""
    inch = float(INCH)
    found = kilograms("mdf", 48 * inch, 96 * inch, inch / 2, Fraction(700))
    assert found == pytest.approx(26.39, rel=2e-3)
    assert float(Mass(Fraction(found)).lb) == pytest.approx(58.19, rel=2e-3)


def test_particleboard_as_a_page_works_it_out() -> None:
    """ehow.com: 48 x 96 x 1/2 in at 31 lb/ft3 weighs 41.23 lb, its volume rounded to 1.33 ft3."""
    cubic_feet = Fraction(48 * 96) / 2 / 1728
    assert float(cubic_feet * 31) == pytest.approx(41.23, rel=3e-3)


@pytest.mark.parametrize(("material", "pounds"), [("mdf", 97), ("particleboard", 85)])
def test_sheets_as_a_hardware_page_lists_them(material: str, pounds: int) -> None:
    """householdfaq.com: 3/4 in sheets of 4 x 8 ft weigh 97 lb in MDF and 85 lb in particleboard, grade not said."""
    inch = float(INCH)
    found = float(Mass(Fraction(kilograms(material, 48 * inch, 96 * inch, 0.75 * inch))).lb)
    assert found == pytest.approx(pounds, rel=0.001 if material == "mdf" else 0.06)


def test_five_per_cent_as_a_consultants_page_works_it_out() -> None:
    """hkaconsulting.com: 3500 lb of rated load and 4000 lb of car allow 375 lb."""
    found = allowance(parse_mass("3500 lb"), parse_mass("4000 lb"))
    assert found is not None
    assert found.lb == 375
    assert allowance(None, parse_mass("4000 lb")) is None


def test_two_people_above_18_kg() -> None:
    assert people(Mass(Fraction(18))) == 1
    assert people(Mass(Fraction(18) + Fraction(1, 1000))) == 2
    assert people(None) == 1


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("Fire-rated particleboard", "particleboard"),
        ("rigidised stainless steel", "stainless steel"),
        ("galvanised steel", "steel"),
        ("High-pressure  laminate", "laminate"),
        ("backing sheet", "laminate"),
        ("anodised aluminum", "aluminium"),
    ],
)
def test_a_material_is_known_by_the_end_of_its_name(said: str, meant: str) -> None:
    assert density_of(said) == density_of(meant) is not None


def test_what_only_begins_like_a_material_is_not_known() -> None:
    assert density_of("aluminium honeycomb") is None
    assert density_of("unobtainium") is None
    assert density_of("aluminium honeycomb", (("Aluminium Honeycomb", Fraction(250)),)) == 250
    assert density_of("particleboard", (("particleboard", Fraction(600)),)) == 600


def test_every_density_says_where_it_is_from() -> None:
    for entry in DENSITIES:
        assert entry.source
        assert entry.known in ("read", "read in a secondary source", "from memory")
        assert 400 < entry.density < 9000


def test_a_panel_weighs_the_sum_of_its_layers() -> None:
    layers = [
        {"material": "laminate", "thickness": "0.028"},
        {"material": "particleboard", "thickness": "3/4"},
        {"material": "backing sheet", "thickness": "0.020"},
    ]
    car = cab({"layout.panel": {"layers": layers, "air_gap": "1/2", "edge": "0"}})
    found = next(part for part in shop_parts(car) if part.mark == "lower-back-1")
    board, laminate = density_of("particleboard"), density_of("laminate")
    assert board is not None
    assert laminate is not None
    each = board * Fraction(3, 4) + laminate * Fraction(48, 1000)
    area = found.finished.width.mm * found.finished.height.mm
    assert found.mass is not None
    assert found.mass.kg == area * INCH * each / 10**9


def test_an_opening_weighs_nothing() -> None:
    box = {"what": "box", "x": "8", "y": "10", "width": "4", "height": "6"}
    whole = part_masses(shop_parts(cab({"layout.panel": PANEL})))
    less = part_masses(shop_parts(cab({"layout.panel": PANEL, "survey.walls.back.fixtures": [box]})))
    before, after = whole["lower-back-1"], less["lower-back-1"]
    board = density_of("particleboard")
    assert before is not None
    assert after is not None
    assert board is not None
    assert before.kg - after.kg == 24 * INCH**3 * Fraction(3, 4) * board / 10**9


def test_walls_add_up_to_the_car() -> None:
    car = cab({"layout.panel": PANEL, "survey.car": CAR})
    found = masses(car, shop_parts(car))
    assert found.complete
    assert sum(mass.kg for _, mass in found.walls) == found.added.kg
    assert found.net is not None
    assert found.net.kg == found.added.kg - parse_mass("300 lb").kg
    assert found.heaviest is not None
    assert found.heaviest.mass is not None
    assert found.people == people(found.heaviest.mass)


def only(changes: dict[str, Any]) -> Finding:
    (finding,) = mass(cab(changes))
    return finding


def test_within_the_allowance_nothing_is_found() -> None:
    assert list(mass(cab({"layout.panel": PANEL, "survey.car": CAR}))) == []
    assert list(mass(cab())) == []


@pytest.mark.parametrize(("removed", "way"), [("1 lb", "more"), ("1500 lb", "less")])
def test_beyond_the_allowance_either_way(removed: str, way: str) -> None:
    light = {**CAR, "rated_load": "1000 lb", "mass": "2000 lb", "removed": removed}
    finding = only({"layout.panel": PANEL, "survey.car": light})
    assert (finding.code, finding.severity, finding.stops) == ("mass-allowance", "error", "nothing")
    assert f" {way} (" in finding.message
    assert "150 lb [68 kg]" in finding.message


def test_a_balance_that_lacks_a_number() -> None:
    finding = only({"layout.panel": PANEL, "survey.car": {"rated_load": "3500 lb", "mass": "4000 lb"}})
    assert (finding.code, finding.severity) == ("mass-data", "warning")
    assert finding.message.startswith("survey.car does not give removed, so the ")


def test_a_material_that_is_not_known_is_named() -> None:
    strange = {"layers": [{"material": "unobtainium", "thickness": "3/4"}], "air_gap": "1/2"}
    finding = only({"layout.panel": strange})
    assert finding.code == "mass-material"
    assert finding.message.startswith(
        "the density of unobtainium is not known, so neither is the mass of lower-back-1,"
    )
    known = {"densities": [{"material": "unobtainium", "density": "45 lb/ft3"}]}
    assert list(mass(cab({"layout.panel": strange, "materials": known}))) == []


def test_a_panel_and_a_trim_of_which_nothing_is_said() -> None:
    front = {"left": {"width": "10", "height": "90"}}
    trim = {"width": "1 1/2", "stock": "96"}
    codes = [f.code for f in mass(cab({"survey.car": CAR, "survey.front": front, "layout.front_trim": trim}))]
    assert codes == ["mass-material", "mass-thickness"]
    given = {"thickness": "0.05", "legs": ["face"]}
    told = {"materials": {"panel": "mdf"}, "profiles": {"front_trim": given}}
    every = mass(cab({"survey.car": CAR, "survey.front": front, "layout.front_trim": trim, **told}))
    assert [f.code for f in every] == []


@pytest.mark.parametrize(
    ("density", "said"),
    [
        ("45", "is not a density with its unit"),
        ("45 lb", "is not a density with its unit"),
        ("45 kg/ft3", "is not a density with its unit"),
        ("45000 lb/ft3", "nothing in a car is"),
    ],
)
def test_densities_that_cannot_be(density: str, said: str) -> None:
    with pytest.raises(BadSpec) as refused:
        document({"materials": {"densities": [{"material": "oak", "density": density}]}})
    assert said in str(refused.value)


@pytest.mark.parametrize("density", ["45 lb/ft3", "720.8315 kg/m3", "0.720832 g/cm³", "45 LB/FT^3"])
def test_densities_in_every_unit(density: str) -> None:
    car = cab({"materials": {"densities": [{"material": "oak", "density": density}]}})
    ((_, found),) = car.practice.materials.densities
    assert float(found) == pytest.approx(720.8315, rel=2e-6)

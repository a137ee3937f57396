"""Bend formulas against published examples, profiles unfolded, and what cannot be bent."""

from __future__ import annotations

from fractions import Fraction
from math import pi
from typing import Any

import pytest
from spec_texts import cab, document

from cabdraw.check.metal import metal
from cabdraw.errors import BadSpec, Finding
from cabdraw.resolve import resolve
from cabdraw.shop.bends import allowance, deduction, din_deduction, din_factor, hem_deduction, setback
from cabdraw.shop.developed import Developed, develop
from cabdraw.shop.practice import Bend, Hem, Profile
from cabdraw.units import ZERO, Length, inch, mm


def profile(*legs: Length | None, bends: tuple[Bend, ...] = (), **changes: Any) -> Profile:
    """A profile of 1 mm sheet bent round 1 mm, its K-factor 0.45."""
    values = {"material": "steel", "thickness": mm(1), "radius": mm(1), "method": "k-factor", "k": Fraction(45, 100),
              "first_hem": None, "last_hem": None, **changes}  # fmt: skip
    return Profile(legs=legs, bends=bends, **values)


def square(direction: str = "up") -> Bend:
    return Bend(Fraction(90), direction)  # type: ignore[arg-type]


def test_bend_allowance_as_a_calculator_page_works_it_out() -> None:
    """calcady.com, bend allowance: 90 degrees, T 0.125, R 0.125, K 0.44 give 0.2827 in."""
    assert allowance(90, 0.125, 0.125, 0.44) == pytest.approx(0.2827, abs=5e-5)
    assert deduction(90, 0.125, 0.125, 0.44) == pytest.approx(2 * 0.25 - 0.28274, abs=5e-5)


def test_the_navys_and_the_faas_formula_is_a_k_factor_of_0447() -> None:
    """US Navy training manual (tpub.com/air/13-19) and FAA-H-8083-31: (0.01743 R + 0.0078 T) for each degree."""
    published = (0.01743 * 0.16 + 0.0078 * 0.04) * 90
    assert published == pytest.approx(0.2791, abs=5e-5)
    assert allowance(90, 0.16, 0.04, 0.447) == pytest.approx(published, rel=2e-3)


def test_the_faas_channel_leaves_the_flats_that_its_handbook_prints() -> None:
    """FAA-H-8083-31, U-channel: T 0.040, setback 0.2 in, legs 1.00, 2.00, 1.00 leave flats 0.8, 1.6, 0.8."""
    assert setback(90, 0.16, 0.04) == pytest.approx(0.2)
    channel = profile(
        inch(1), None, inch(1), bends=(square(), square()), thickness=inch("0.04"), radius=inch("0.16"),
        k=Fraction("0.447"),
    )  # fmt: skip
    found = develop(channel, inch(2))
    assert found.flats == (inch("0.8"), inch("1.6"), inch("0.8"))
    assert float(found.width) / 25.4 == pytest.approx(0.8 + 1.6 + 0.8 + 2 * 0.2791, abs=1e-3)


def test_din_6935_as_german_tables_print_it() -> None:
    """Tabellenbuch page: b 60, a 16, b 21, r 6, s 5 give r/s 1.2, k 0.7 (0.689 by formula), v 5.77, L about 32 mm."""
    assert din_factor(6, 5) == pytest.approx(0.689, abs=1e-3)
    assert din_deduction(120, 6, 5, k=0.7) == pytest.approx(5.77, abs=5e-3)
    assert din_deduction(120, 6, 5) == pytest.approx(5.823, abs=1e-3)
    assert 16 + 21 - din_deduction(120, 6, 5) == pytest.approx(31.2, abs=0.05)


@pytest.mark.parametrize(
    ("radius", "thickness", "v"), [(1, 1, 1.919), (1.6, 1.5, 2.904), (3, 3, 5.756), (2, 1.5, 3.019)]
)
def test_din_6935_at_right_angles(radius: float, thickness: float, v: float) -> None:
    """Worked out from the formula; German tables round the first two to 1.9 and 2.9 (from memory)."""
    assert din_deduction(90, radius, thickness) == pytest.approx(v, abs=1e-3)


def test_din_factor_is_twice_a_k_factor() -> None:
    """DIN's k counts from half the sheet: r = s gives 0.65, a K-factor of 0.325."""
    assert din_factor(2, 2) == 0.65
    assert din_deduction(90, 2, 2) == pytest.approx(deduction(90, 2, 2, 0.325))
    assert din_factor(11, 2) == 1.0
    assert din_factor(0, 2) == 0.0


def test_din_beyond_165_degrees_of_opening_takes_nothing_off() -> None:
    assert din_deduction(14, 2, 2) == 0.0
    assert din_deduction(15, 2, 2) != 0.0


def test_a_closed_hem_takes_43_per_cent_of_the_thickness() -> None:
    """43 % of T is a shop figure from memory; the formula gives 2 T - pi T / 2."""
    assert hem_deduction(1.0, 0.0, 0.45) == pytest.approx(0.43, abs=1e-3)
    assert hem_deduction(1.0, 2.0, 0.45) == pytest.approx(4 - pi * 1.45)


def test_developed_width_is_outside_lengths_less_deductions() -> None:
    found = develop(profile(mm(20), None, bends=(square(),)), mm(100))
    taken = deduction(90, 1, 1, 0.45)
    assert float(found.width) == pytest.approx(120 - taken, abs=1e-6)
    (line,) = found.bends
    assert float(line.position) == pytest.approx(20 - taken / 2, abs=1e-6)
    assert float(found.start) == pytest.approx(20 - taken, abs=1e-6)
    assert found.overall == mm(100)
    assert found.clear == (found.start + mm(2), found.width)


def test_bend_lines_of_one_profile_are_apart_by_its_flats_and_allowances() -> None:
    found = develop(
        profile(mm(20), None, mm(15), bends=(square(), square("down")), last_hem=Hem(mm(8), ZERO, "up")), mm(60)
    )
    assert [line.kind for line in found.bends] == ["bend", "bend", "hem"]
    parts = [float(found.flats[0])]
    for line, flat in zip(found.bends, found.flats[1:], strict=True):
        parts += [float(line.allowance), float(flat)]
    assert sum(parts) == pytest.approx(float(found.width), abs=1e-5)
    assert float(found.bends[0].position) == pytest.approx(parts[0] + parts[1] / 2, abs=1e-5)
    assert float(found.bends[1].position) == pytest.approx(sum(parts[:3]) + parts[3] / 2, abs=1e-5)
    # A Z: the second leg's outside lies a sheet's thickness inside the sum of the legs.
    assert found.overall == mm(60)


def test_a_z_reaches_as_far_as_its_two_level_legs_less_the_sheet() -> None:
    found = develop(profile(None, mm(30), mm(15), bends=(square(), square("down"))), mm(60))
    assert found.overall == mm(74)


def test_a_strip_without_bends_is_as_wide_as_its_legs() -> None:
    found = develop(profile(mm(9), None, mm(9)), mm(12))
    assert (found.width, found.overall, found.start, found.bends) == (mm(30), mm(30), mm(9), ())


def bent(**base: Any) -> dict[str, Any]:
    return {"profiles.base": {"legs": ["7/8", "face"], "bends": ["90"], "radius": "1/16", **base}}


def only(changes: dict[str, Any]) -> Finding:
    (finding,) = metal(cab(changes))
    return finding


def test_a_flange_of_exactly_four_thicknesses_and_the_radius_is_enough() -> None:
    assert list(metal(cab(bent()))) == []
    assert list(metal(cab(bent(legs=["0.2125", "face"])))) == []


def test_a_shorter_flange_is_found_with_what_it_needs() -> None:
    finding = only(bent(legs=["0.2124", "face"]))
    assert (finding.code, finding.severity, finding.stops) == ("metal-flange", "error", "fabrication")
    assert finding.message.startswith('base-back: the leg 0.2124" long is shorter than the least flange, 0.2125"')
    assert only({**bent(legs=["0.2", "face"]), "shop": {"flange": "3.7"}}).code == "metal-flange"
    assert list(metal(cab({**bent(legs=["0.2", "face"]), "shop": {"flange": "3.6"}}))) == []


def test_bends_that_leave_nothing_between_them() -> None:
    finding = only(bent(legs=["7/8", "0.15", "face"], bends=["90", "90"]))
    assert (finding.code, finding.stops) == ("metal-crowded", "fabrication")


def test_a_hem_shorter_than_four_thicknesses() -> None:
    assert only(bent(hems={"last": {"length": "0.149"}})).code == "metal-flange"
    assert list(metal(cab(bent(hems={"last": {"length": "0.15"}})))) == []


def test_a_profile_of_other_sheet_than_its_tab() -> None:
    finding = only(bent(thickness="0.05"))
    assert finding.code == "metal-thickness"
    assert 'sheet is 0.0500", and what enters the grooves is 0.0375"' in finding.message


def test_an_opening_across_a_bend() -> None:
    box = {"what": "socket", "x": "20", "y": "1/2", "width": "4", "height": "2"}
    finding = only({**bent(), "survey.walls.back.fixtures": [box]})
    assert finding.code == "metal-opening"
    assert list(metal(cab({**bent(), "survey.walls.back.fixtures": [{**box, "y": "2"}]}))) == []


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"legs": ["7/8", "3"]}, "none of its legs is face"),
        ({"legs": ["face", "face"]}, "2 of its legs are face"),
        ({"legs": ["face", "1", "2"], "bends": ["90"]}, "has 3 legs and 1 bends"),
        ({"legs": ["face", "1"], "bends": ["180"]}, '"180" is not an angle from 1 to 170 degrees'),
        ({"legs": ["face", "1"], "bends": ["90"], "k": "0.9"}, '"0.9" is not a K-factor'),
        ({"legs": ["face", "1"], "bends": ["90"], "k": "0.4", "method": "din-6935"}, "k does nothing"),
        ({"legs": ["face", "0.01"], "bends": ["90"]}, "a leg's outside length is at least 1 mm"),
        ({"legs": ["face"], "gauge": "16"}, '"gauge" is not a key here'),
    ],
)
def test_profiles_that_cannot_be(values: dict[str, Any], said: str) -> None:
    with pytest.raises(BadSpec, match=r"profiles\.base") as refused:
        document({"profiles.base": values})
    assert said in str(refused.value)


def test_a_trim_needs_a_thickness() -> None:
    with pytest.raises(BadSpec, match="corner_trim has no thickness"):
        document({"profiles.corner_trim": {"legs": ["face", "1"]}})


def test_what_a_profile_leaves_out() -> None:
    found = resolve(document({"profiles.base": {"legs": ["7/8", "face"], "bends": ["90"]}})).practice.profile("base")
    assert found is not None
    assert (found.thickness, found.radius, found.k) == (inch("0.0375"), inch("0.0375"), Fraction(45, 100))
    assert isinstance(develop(found, inch(4)), Developed)

"""Chains whose sizes are all a little off, against sums worked out by hand."""

from __future__ import annotations

from pathlib import Path

import pytest

from cabdraw.cab import Cab, Tolerances
from cabdraw.check.tolerance import chains, row_chain, stack_chain, tolerance
from cabdraw.frozen import replace
from cabdraw.resolve import resolve
from cabdraw.spec import load
from cabdraw.units import ZERO, Length, inch, mm

SPECS = Path(__file__).parent.parent / "specs"


def tight(cutting: str = "1/32", survey: str = "1/16", setting: str = "1/64", gap: str = "1/8") -> Tolerances:
    return Tolerances(inch(cutting), inch(survey), inch(setting), inch(gap))


@pytest.fixture(scope="module")
def cab() -> Cab:
    return resolve(load(SPECS / "larkspur-car-2.yaml"))


def wide(cab: Cab, gap: Length) -> Cab:
    walls = {
        name: replace(wall, gaps=(gap, gap), bands=(*wall.bands[:-1], replace(wall.bands[-1], height=inch(2))))
        for name, wall in cab.walls.items()
    }
    return replace(cab, walls=walls)


# Survey 1/16, three panels 1/32, two gaps 1/64, without trims: 3/16 in at worst, half of it at each end.
def test_row_of_three_panels_adds_up_by_hand(cab: Cab) -> None:
    chain = row_chain(cab, cab.walls["back"], tight())
    assert chain.worst * 2 == inch("3/16")
    assert chain.statistical * 2 == pytest.approx(25.4 * (0.0625**2 + 3 * 0.03125**2 + 2 * 0.015625**2) ** 0.5)


def test_stack_takes_everything_at_the_ceiling(cab: Cab) -> None:
    chain = stack_chain(cab, cab.walls["back"], tight())
    assert chain is not None
    # Base, lower, backer, upper, crown, frieze are cut; floor gap and three reveals are set.
    assert chain.worst == inch("1/16") + inch("6/32") + inch("4/64")
    assert chain.room == inch("3/4") - inch("7/16")


def test_nothing_is_found_without_tolerances_or_with_room(cab: Cab) -> None:
    assert list(chains(cab)) == []
    assert list(tolerance(cab)) == []
    assert list(tolerance(replace(wide(cab, inch(2)), tolerances=tight(gap="1/2")))) == []


def test_worst_case_that_no_longer_goes_together_stops_fabrication(cab: Cab) -> None:
    needed = cab.joint.engagement + cab.joint.clearance
    worst = row_chain(cab, cab.walls["back"], tight()).worst
    just = replace(wide(cab, needed + worst), tolerances=tight(gap="1"))
    assert [f for f in tolerance(just) if f.wall == "back"] == []
    less = replace(wide(cab, needed + worst - inch("1/64")), tolerances=tight(gap="1"))
    (finding,) = [f for f in tolerance(less) if f.wall == "back"]
    assert (finding.code, finding.severity, finding.stops) == ("tolerance-worst-case", "error", "fabrication")
    assert "the survey" in finding.message


def test_simulation_repeats_and_lies_between_nothing_and_the_worst(cab: Cab) -> None:
    chain = row_chain(cab, cab.walls["back"], tight())
    assert chain.simulated(chain.worst) == 0.0
    assert chain.simulated(ZERO) == pytest.approx(1.0)
    middle = chain.simulated(inch("1/32"))
    assert 0.0 < middle < 1.0
    assert middle == chain.simulated(inch("1/32"))
    # The spread of a sum of equal chances: variance t²/3 a size; the share beyond twice that is under 6 %.
    spread = chain.statistical / 3**0.5
    assert chain.simulated(mm(str(round(2 * spread, 6)))) < 0.06


def test_the_parts_that_matter_most_come_first(cab: Cab) -> None:
    shares = row_chain(cab, cab.walls["back"], tight(survey="1/4")).shares
    assert shares[0][0] == "the survey"
    assert sum(share for _, share in shares) == pytest.approx(1.0)


def test_last_gap_that_is_often_off_is_a_warning(cab: Cab) -> None:
    loose = replace(wide(cab, inch(3)), tolerances=tight(cutting="1/8", gap="1/32"))
    found = [f for f in tolerance(loose) if f.wall == "back"]
    assert {f.code for f in found} == {"tolerance-looks"}
    assert all("panels' widths" in f.message or "boards' heights" in f.message for f in found)


def test_trims_cover_their_gap_where_the_shell_is_widest() -> None:
    cab = resolve(load(SPECS / "harrow-house-car-1.yaml"))
    assert [f for f in tolerance(cab) if f.code == "tolerance-trim-cover"] == []
    wall = cab.walls["left"]
    leaning = replace(wall, readings=replace(wall.readings, width=(inch(51), inch(54))))
    found = [f for f in tolerance(replace(cab, walls={**cab.walls, "left": leaning})) if f.wall == "left"]
    assert {f.code for f in found} == {"tolerance-trim-cover"}
    assert len(found) == 2

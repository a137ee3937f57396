"""Findings about how a car goes together: each with its numbers, its place and what would mend it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from spec_texts import GONE, cab, document
from test_assembly import EVEN, TOP, WALLS, gaps, lipped

from cabdraw.cab import Rect
from cabdraw.check import FAMILIES
from cabdraw.check.assembly import assembly
from cabdraw.check.entry import entry, opening
from cabdraw.check.fit import limits
from cabdraw.errors import Finding
from cabdraw.frozen import replace
from cabdraw.resolve import resolve
from cabdraw.resolve.assembly import removal
from cabdraw.spec import loads
from cabdraw.units import inch

SPECS = sorted((Path(__file__).parent.parent / "specs").glob("*.yaml"))


def found(changes: dict[str, Any] | None = None) -> list[Finding]:
    """What is found but removal, which most cars have; every finding's place must be in the spec."""
    read = document(changes)
    car = resolve(read)
    every = [*assembly(car), *entry(car)]
    for finding in every:
        assert read.source.existing(finding.path) == finding.path, finding.where
        assert finding.hint
        assert not finding.hint.endswith(".")
    return [finding for finding in every if finding.code != "assembly-removal"]


def codes(changes: dict[str, Any] | None = None) -> list[str]:
    return [finding.code for finding in found(changes)]


def test_both_families_are_among_those_that_are_reported() -> None:
    assert {assembly, entry} <= set(FAMILIES)


def test_the_plain_car_goes_together() -> None:
    assert found() == []


@pytest.mark.parametrize("path", SPECS, ids=lambda path: path.stem)
def test_shipped_cars_have_no_error(path: Path) -> None:
    car = resolve(loads(path.read_text(encoding="utf-8"), path.name))
    assert [finding.message for finding in (*assembly(car), *entry(car)) if finding.severity == "error"] == []


def test_what_fit_says_already_is_not_said_again() -> None:
    narrow = gaps("1/4")
    assert {finding.code for finding in limits(cab(narrow))} == {"fit-end-gap"}
    assert set(codes(narrow)) == {"assembly-order"}
    shallow = {"layout.joint.groove_depth": "11/32"}
    assert {finding.code for finding in limits(cab(shallow))} == {"fit-groove-depth"}
    assert codes(shallow) == []
    low = {"layout.stack": [*TOP, {"crown": "3"}, {"frieze": "4"}, {"gap": "1/4"}]}
    assert {finding.code for finding in limits(cab(low))} == {"fit-frieze-headroom"}
    assert codes(low) == []


def test_no_headroom_for_a_crown_names_the_ceiling_and_the_gap() -> None:
    every = found({"layout.stack": [*TOP, {"crown": "3"}, {"gap": "1/4"}]})
    assert [finding.code for finding in every] == ["assembly-no-path"] * 3
    first = every[0]
    assert (first.severity, first.stops, first.wall, first.marks) == ("error", "fabrication", "back", ("crown-back",))
    assert 'from 7/16" above it needs 7/16", and has 1/4" before it meets the ceiling' in first.message
    assert 'straight in, spline-back-3 stands 3/8" in its way' in first.message
    assert first.where == "layout.stack[9].gap"
    assert first.hint == 'leave 7/16" above it, 3/16" more than there is'


def test_no_gap_at_all_above_a_tier_names_the_ceiling_too() -> None:
    first = found({"layout.stack": TOP[:-1]})[0]
    assert first.message.startswith("upper-back-2 has no way to its place on the back wall: ")
    assert 'from 7/16" above it needs 7/16", and has none before it meets the ceiling' in first.message
    assert first.where == "layout.stack[6].upper"
    assert first.hint == 'leave 7/16" above it, 7/16" more than there is'


def test_a_band_behind_a_trim_names_the_trim_and_both_its_numbers() -> None:
    every = [finding for finding in found({**EVEN, **lipped("1 1/2")}) if finding.code == "assembly-no-path"]
    left, right = every
    assert (left.wall, right.wall, left.where) == ("left", "right", "profiles.front_trim")
    assert 'it needs 9/16", and has 1/2" before it meets the back wall\'s panels' in left.message
    assert "before it meets front-trim-left-1" in left.message
    assert (left.marks[0], left.marks[-1]) == ("base-left", "frieze-left")
    assert 'less than the 1/2" it does' in left.hint


def test_a_thick_corner_trim_names_the_air_gap() -> None:
    trim = {
        "layout.corner_trim": {"width": "2"},
        "profiles.corner_trim": {"thickness": "0.1", "legs": ["face", "2"], "bends": ["90"]},
        "layout.panel.air_gap": "0.09",
    }
    every = found(trim)
    assert {finding.where for finding in every} == {"profiles.corner_trim"}
    assert 'would overlap corner-trim-right 0.0100" in depth' in every[0].message


def test_another_order_is_a_note() -> None:
    every = found({**EVEN, **lipped("1 3/8")})
    assert {(finding.code, finding.severity) for finding in every} == {("assembly-order", "note")}
    right = next(finding for finding in every if finding.wall == "right")
    assert "the right wall's lower tier goes on from panel 3 outward" in right.message


FLANGES = {f"profiles.{kind}_reveal": {"legs": ["3/8", "face", "3/8"]} for kind in ("vertical", "horizontal")}


def test_flanges_and_splines_a_little_too_thick_for_the_groove_are_a_warning() -> None:
    (finding,) = found(FLANGES)
    assert (finding.code, finding.severity) == ("assembly-groove-tight", "warning")
    assert 'a spline of 0.1250" and a strip of 0.0375" stand one before the other in grooves 0.1563" wide' in (
        finding.message
    )
    assert 'take 0.1625"' in finding.message
    assert found({**FLANGES, "layout.joint.groove_width": "0.1625"}) == []
    # A flat strip lies on the spline's face between the boards, and enters no groove.
    assert found({f"profiles.{kind}_reveal": {"legs": ["face"]} for kind in ("vertical", "horizontal")}) == []


def test_far_too_thick_is_a_clash() -> None:
    eased = {**FLANGES, "layout.joint.strip_thickness": "0.046875"}
    assert codes(eased) == ["assembly-groove-tight"]
    every = found({**FLANGES, "layout.joint.strip_thickness": "0.0475"})
    assert {finding.code for finding in every} == {"assembly-hidden-clash"}
    assert every[0].hint == 'make groove_width at least 0.1725"'


def test_flanges_longer_than_the_engagement_clash_where_joints_cross() -> None:
    long = {
        **FLANGES,
        "profiles.horizontal_reveal": {"legs": ["1/2", "face", "1/2"]},
        "layout.joint.groove_width": "1/4",
    }
    every = found(long)
    assert [(finding.code, finding.wall, finding.where) for finding in every] == [
        ("assembly-hidden-clash", wall, "profiles") for wall in WALLS
    ]
    assert every[0].message.startswith("reveal-lower-back-1 and reveal-back-1 overlap in the groove")
    assert '1/8" up' in every[0].message


def test_a_spline_without_its_setback_is_an_error_that_names_both() -> None:
    car = cab()
    back = car.walls["back"]

    def longer(part: Any) -> Any:
        if part.mark != "spline-lower-back-1":
            return part
        return replace(part, body=Rect(part.body.x, part.body.y, part.body.width, part.body.height + inch("1/8")))

    walls = {**car.walls, "back": replace(back, parts=tuple(map(longer, back.parts)))}
    every = [f for f in assembly(replace(car, walls=walls)) if f.severity == "error"]
    assert [(finding.code, finding.marks) for finding in every] == [
        ("assembly-hidden-clash", ("spline-lower-back-1", "spline-back-1"))
    ]
    assert '1 1/4" across, 1/16" up and 0.1250" deep' in every[0].message


@pytest.mark.parametrize(
    ("changes", "code", "words"),
    [
        ({"layout.joint.groove_offset": "11/64"}, "assembly-groove-lip", 'a lip of 11/64"'),
        ({"layout.panel.thickness": "41/64"}, "assembly-groove-lip", 'leave 15/64" behind it'),
        ({"layout.panel.thickness": "13/32"}, "assembly-groove-through", "leave nothing behind it"),
        ({"layout.joint.spline_thickness": "11/64"}, "assembly-groove-width", 'a spline is 0.1719" thick'),
    ],
)
def test_what_is_left_of_the_board_at_a_groove(changes: dict[str, Any], code: str, words: str) -> None:
    (finding,) = found(changes)
    assert finding.code == code
    assert words in finding.message


def test_a_groove_at_its_least_lips_is_right() -> None:
    assert found({"layout.joint.groove_offset": "3/16", "layout.panel.thickness": "19/32"}) == []


def test_a_panel_round_a_fixture_comes_from_beside_it() -> None:
    panel = {"what": "operating panel", "x": "6", "y": "45", "width": "9", "height": "20"}
    tight = {"survey.walls.left.fixtures": [{**panel, "clearance": "1/8"}]}
    (finding,) = found(tight)
    assert (finding.code, finding.where) == ("assembly-round-fixture", "survey.walls.left.fixtures[0]")
    assert finding.message.startswith('upper-left-1 comes to its place from 7/16" above, and its opening clears')
    assert found({"survey.walls.left.fixtures": [{**panel, "clearance": "7/16"}]}) == []


def test_removal_is_told_once_and_agrees_with_the_step_sheets() -> None:
    car = cab()
    (finding,) = [f for f in assembly(car) if f.code == "assembly-removal"]
    every = removal(car)
    alone = sum(one.alone for one in every)
    most = max(len(one.first) for one in every)
    assert finding.severity == "note"
    assert finding.message.startswith(f"{alone} of {len(every)} panels come off again alone")
    assert f"takes {most} others off first" in finding.message
    deep = {"layout.joint.groove_depth": "13/16", **{f"layout.walls.{wall}.panels": "1" for wall in WALLS}}
    assert [f for f in assembly(cab(deep)) if f.code == "assembly-removal"] == []


def door(width: str, underside: str, **changes: Any) -> dict[str, Any]:
    """A door opening so wide under a transom so high, in a car 68 in wide."""
    side = f"{(68 - float(width)) / 2}"
    return {
        "survey.front": {
            "left": {"width": side, "height": "90"},
            "right": {"width": side, "height": "90"},
            "transom": {"underside": underside},
        },
        **changes,
    }


def test_an_opening_that_is_not_known_says_nothing() -> None:
    assert opening(cab()) is None
    assert opening(cab({**door("36", "84"), "survey.front.transom": GONE})) is None
    assert opening(cab({**door("36", "84"), "survey.front.left": GONE})) is None
    known = opening(cab(door("36", "84")))
    assert known is not None
    assert (known.width, known.height) == (pytest.approx(36 * 25.4), pytest.approx(84 * 25.4))


ONE_BACK = {"layout.walls.back.panels": "1"}


def test_a_board_wider_than_the_openings_diagonal_does_not_pass() -> None:
    # 65 1/2 in clear less two gaps: the board is 64 1/2 in wide and 46 in high, and goes in end first.
    assert codes({**door("36", "84"), **ONE_BACK}) == []
    # An opening of 20 by 40 in passes 43.97 in from corner to corner, less the board's 3/4 in.
    every = [f for f in found({**door("20", "40"), **ONE_BACK}) if "upper-back-1" in f.marks]
    assert [finding.code for finding in every] == ["assembly-entry"]
    assert 'it is 46" at its narrowest, and the opening, 20" wide and 40" high, passes 43 31/32" from corner' in (
        every[0].message
    )
    assert every[0].where == "layout.walls.back"


def test_a_part_longer_than_the_way_in_is_deep_does_not_go_in() -> None:
    car = cab(door("36", "84"))
    way = opening(car)
    assert way is not None
    # 50 1/8 in deep, 84 in under the transom, 65 1/2 in less the return of 16 in and the part's own 6 in aside.
    assert way.reach(6 * 25.4) / 25.4 == pytest.approx((50.125**2 + 84**2 + 43.5**2) ** 0.5)
    high = {"survey.height": ["180"], "layout.corner_trim": {"width": "2"}}
    every = [f for f in found({**door("36", "84"), **high}) if f.code == "assembly-entry"]
    assert {mark for finding in every for mark in finding.marks} >= {"corner-trim-left", "corner-trim-right"}
    assert 'it is 180" long, and through the opening goes no more than' in every[-1].message


def test_standing_a_part_up_takes_its_diagonal() -> None:
    trim = {"layout.corner_trim": {"width": "2"}}
    profile = {"profiles.corner_trim": {"thickness": "0.4", "legs": ["face", "2"], "bends": ["90"], "radius": "0.4"}}
    assert [f for f in found({**door("36", "84"), **trim, **profile}) if f.code == "assembly-entry"] == []
    # Thin metal springs by 1/32 in: what is floor to ceiling could else never be stood up.
    deep = cab({"survey.front": door("36", "84")["survey.front"], **trim})
    thick = tuple(replace(t, thickness=inch(3)) for t in deep.trims)
    every = list(entry(replace(deep, trims=thick)))
    assert [finding.code for finding in every] == ["assembly-entry"] * 2
    assert 'standing it up takes 92 19/64" (92 1/4" long and 3" thick); the car is 92 1/4" high' in every[0].message


def test_a_band_is_swung_in_or_turned_between_what_stands_at_its_ends() -> None:
    car = cab(door("36", "84"))
    back = car.walls["back"]
    assert list(entry(car)) == []
    # A board 12 in deep could not be swung between gaps of 1/2 in, nor turned on the wall.
    thick = tuple(replace(p, thickness=inch(12)) if p.mark == "crown-back" else p for p in back.parts)
    high = tuple(replace(p, height=inch(12)) if p.mark == "crown-back" else p for p in thick)
    (finding,) = entry(replace(car, walls={**car.walls, "back": replace(back, parts=high)}))
    assert finding.marks == ("crown-back",)
    assert "swung in from one end" in finding.message
    assert '65 1/2"' in finding.message

"""Holes that must move: the nearest symmetric set of standoffs that is clear, and what is said of it."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from spec_texts import ONE_TIER, cab, codes, document, found, only

from cabdraw.cab import Rail
from cabdraw.check import findings
from cabdraw.errors import BadSpec
from cabdraw.resolve import resolve
from cabdraw.resolve.standoffs import MORE, KeepOut, clear_set, keep_outs, met, rule_bays, rule_set
from cabdraw.spec import load
from cabdraw.units import ZERO, Length, inch, mm, total

BACK: dict[str, Any] = {"handrail.walls": ["back"]}
CLEAR: dict[str, Any] = {**BACK, "handrail.standoffs": "clear"}
BEHIND = "survey.walls.back.behind"


def behind(*spans: tuple[str, str], y: str = "20", height: str = "30") -> dict[str, Any]:
    """Obstructions behind the back shell, each from an x over a width."""
    things = [
        {"what": f"cable {n}", "x": x, "y": y, "width": width, "height": height}
        for n, (x, width) in enumerate(spans, 1)
    ]
    return {f"{BEHIND}.obstructions": things}


def rail(changes: dict[str, Any]) -> Rail:
    made = cab(changes).walls["back"].rail
    assert made is not None
    return made


def xs(changes: dict[str, Any]) -> list[Length]:
    return [standoff.x for standoff in rail(changes).standoffs]


RULE = xs(BACK)


def test_the_rule_is_kept_where_it_is_clear_and_where_nothing_else_is_asked() -> None:
    assert len(RULE) == 3
    assert xs(CLEAR) == RULE
    assert codes(CLEAR) == []
    blocked = {**BACK, **behind(("11", "2"))}
    assert xs(blocked) == RULE
    assert rail(blocked).placing.by == "rule"


def test_a_blocked_hole_and_its_twin_move_by_the_least_that_is_clear() -> None:
    # Hole 1 is at 11 49/64 in; a cable's left edge at 11 1/2 in keeps it 3/8 in away: to 11 1/8 in or less.
    changes = {**CLEAR, **behind(("11 1/2", "2"))}
    made = rail(changes)
    steps = [b - a for a, b in zip(RULE, xs(changes), strict=True)]
    assert steps[1] == ZERO
    assert steps[0] == -steps[2] < ZERO
    assert made.standoffs[0].x <= inch("89/8")
    assert made.standoffs[0].x + cab(changes).increment > inch("89/8")
    assert made.bays[0] == made.bays[1] == made.spacing
    assert made.overhang == made.standoffs[0].x - made.x


def test_a_middle_hole_that_is_blocked_takes_one_more_standoff_which_are_even_again() -> None:
    changes = {**CLEAR, **behind(("33", "2"))}
    made = rail(changes)
    assert len(made.standoffs) == 4
    assert made.spacing is not None
    assert [s.x for s in made.standoffs] == list(rule_set(made, 3))


def test_unequal_bays_where_no_equal_ones_are_clear_and_what_is_said() -> None:
    # The example of trade practice: four standoffs on a 74 in rail, something behind hole 3, bays 18, 26, 18.
    changes = {
        **CLEAR,
        "survey.walls.back.width": ["84 17/32"],
        "handrail.end_clearance": "4",
        **behind(("50", "4 7/8")),
    }
    made = rail(changes)
    assert len(made.standoffs) == 4
    assert made.bays[0] == made.bays[2] != made.bays[1]
    assert made.spacing is None
    assert made.overhang is not None
    (said,) = [finding for finding in found(changes) if finding.code == "standoffs-moved"]
    assert (said.severity, said.stops, said.where) == ("note", "nothing", "handrail.standoffs")
    assert "hole 3 would meet the cable 1" in said.message
    assert "moved: hole 2 from" in said.message


def test_what_blocks_which_hole_is_told_with_the_places_that_are_clear() -> None:
    changes = {**BACK, **behind(("11 1/2", "2"))}
    finding = only(changes, "drill-obstruction")
    size = cab(changes).printing.size
    places = [size(x) for x in xs({**changes, "handrail.standoffs": "clear"})]
    assert "write standoffs: clear in handrail, which sets 3 of them clear, at " in finding.hint
    assert f"{places[0]}, {places[1]} and {places[2]}" in finding.hint


def test_no_set_is_clear_is_said() -> None:
    changes = {**CLEAR, **behind(("4", "60"))}
    assert xs(changes) == RULE
    findings = found(changes)
    assert {finding.code for finding in findings} == {"drill-obstruction"}
    said = 'no symmetric set of 3 to 5 standoffs is clear, 3" to 6" from the rail\'s ends and at most 30" apart'
    assert all(said in finding.hint for finding in findings)


def test_limits_are_held() -> None:
    narrow = {**CLEAR, **behind(("11 1/2", "2"))}
    assert xs(narrow) != RULE
    # From 5 31/32 in on nothing may move: the twin holes have nowhere to go but a fourth standoff changes nothing.
    held = rail({**narrow, "handrail.min_overhang": "6"})
    assert held.overhang is not None
    assert held.overhang >= inch(6)
    wide = rail({**CLEAR, **behind(("9", "4")), "handrail.max_overhang": "9"})
    assert wide.overhang is not None
    assert inch(6) < wide.overhang <= inch(9)


def test_the_least_spacing_is_held() -> None:
    # With holes 2 and 3 of four kept apart from the middle only, they would meet beside what blocks the rest.
    spans = behind(("6", "23"), ("34 1/2", "0.1"), ("39", "23"))
    near = rail({**CLEAR, **spans, "handrail.max_overhang": "29", "handrail.min_spacing": "1"})
    assert min(near.bays) < inch(6)
    far = rail({**CLEAR, **spans, "handrail.max_overhang": "29", "handrail.min_spacing": "8"})
    assert min(far.bays) >= inch(8)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"handrail.min_overhang": "7"}, 'min_overhang, "7", is more than overhang, "6"'),
        ({"handrail.max_overhang": "5"}, 'overhang, "6", is more than max_overhang, "5"'),
        ({"handrail.min_spacing": "31"}, 'min_spacing, "31", is more than max_spacing, "30"'),
        ({"handrail.standoffs": "existing"}, "no wall with a rail has any in survey.walls"),
        ({"handrail.standoffs": "odd"}, '"odd" is not known here; write one of rule, clear, existing'),
        (
            {"handrail.standoffs": "existing", "survey.walls.back.holes": [{"x": "20", "y": "30"}]},
            "none of the wall's old holes is within 1/16\" of the rail's centre line",
        ),
        (
            {"handrail.standoffs": "existing", "survey.walls.back.holes": [{"x": "20", "y": "34"}]},
            "one of the wall's old holes is within",
        ),
        ({"survey.walls.back.holes": [{"x": "70", "y": "34"}]}, 'the hole at 70" across and 34" up is not on the wall'),
    ],
)
def test_what_cannot_be_is_refused(changes: dict[str, Any], words: str) -> None:
    with pytest.raises(BadSpec) as bad:
        resolve(document({**BACK, **changes}))
    assert words in str(bad.value)


HOLES = "survey.walls.back.holes"


def old(*holes: tuple[str, str, str | None]) -> dict[str, Any]:
    return {HOLES: [{"x": x, "y": y, **({"diameter": d} if d else {})} for x, y, d in holes]}


REUSED = {**BACK, "handrail.standoffs": "existing"}


def test_old_holes_are_used_again_where_they_are() -> None:
    holes = old(("11 3/4", "34", "1/2"), ("33", "34 1/16", None), ("56 1/4", "33 15/16", "3/8"), ("30", "40", None))
    made = rail({**REUSED, **holes})
    assert [(s.x, s.y) for s in made.standoffs] == [
        (inch("47/4"), inch(34)), (inch(33), inch("545/16")), (inch("225/4"), inch("543/16")),
    ]  # fmt: skip
    assert (made.spacing, made.overhang) == (None, None)
    assert codes({**REUSED, **holes}) == []


def test_old_holes_that_do_not_do() -> None:
    large = only(
        {**REUSED, **old(("11 3/4", "34", "9/16"), ("33", "34", None), ("56 1/4", "34", None))}, "standoff-hole"
    )
    assert (large.stops, large.marks, large.where) == ("drilling", ("hole-back-1",), f"{HOLES}[0]")
    far = only({**REUSED, **old(("11 3/4", "34", None), ("56 1/4", "34", None))}, "standoff-spacing")
    assert (far.stops, far.marks) == ("drilling", ("hole-back-1", "hole-back-2"))
    past = only({**REUSED, **old(("15", "34", None), ("35", "34", None), ("56 1/4", "34", None))}, "standoff-overhang")
    assert (past.severity, past.marks) == ("warning", ("hole-back-1",))


@pytest.mark.parametrize(
    ("hole", "meets"),
    [
        # The second hole of the rule is in the middle; 1/2 in each, 1/8 in between: 5/8 in from middle to middle.
        (("{0}", "34.625", "1/2"), False),
        (("{0}", "34.6249", "1/2"), True),
        (("{0}", "34.6249", None), True),
        (("{0}", "34", "1/2"), False),  # the same hole
        (("{0}", "34", "5/8"), True),  # a larger one in its place
        (("{0}", "34.05", "3/8"), False),  # drilled away with it
        (("{0}", "34.0626", "3/8"), True),
    ],
)
def test_a_new_hole_by_an_old_one(hole: tuple[str, str, str | None], meets: bool) -> None:
    changes = {**BACK, **old((f"{float(RULE[1]) / 25.4:.9f}".rstrip("0"), hole[1], hole[2]))}
    if meets:
        finding = only(changes, "drill-old-hole")
        assert (finding.stops, finding.marks, finding.where) == ("drilling", ("hole-back-2",), f"{HOLES}[0]")
        assert codes({**changes, "handrail.standoffs": "clear"}) == ["standoffs-moved"]
    else:
        assert codes(changes) == []


def test_a_joint_of_a_full_tier_moves_holes() -> None:
    two = {**ONE_TIER, **BACK, "layout.walls.back.panels": "2"}
    # The middle hole is in the middle of the row, where the joint is.
    assert "drill-spline" in codes(two)
    assert codes({**two, "handrail.standoffs": "clear"}) == ["standoffs-moved"]


# --- every set that is found, against all sets there are ---


def _inside(made: Rail, bays: int, outs: tuple[KeepOut, ...], places: tuple[Length, ...]) -> bool:
    """Whether places keep every limit and meet nothing, told apart from how the solver works."""
    placing = made.placing
    gaps = [b - a for a, b in pairwise(places)]
    bay = ((made.length - 2 * placing.overhang) / bays).floor_to(placing.step)
    widest = (made.length - ((made.length - 2 * placing.greatest_overhang) / bays).floor_to(placing.step) * bays) / 2
    return (
        all(min(placing.least_spacing, bay) <= gap <= placing.greatest_spacing for gap in gaps)
        and placing.least_overhang <= places[0] - made.x <= widest
        and not any(out.meets(x, made.y) for out in outs for x in places)
    )


def _all_sets(made: Rail, bays: int) -> Iterator[tuple[Length, ...]]:
    """Every symmetric set of so many bays, each a whole number of increments."""
    step, middle = made.placing.step, made.x + made.length / 2
    half = int((made.length / 2).ratio(step / 2))
    count = (bays + 1) // 2
    for parity in (0,) if bays % 2 == 0 else (0, 1):
        for chosen in combinations([i for i in range(1, half + 1) if i % 2 == parity], count):
            right = [middle + step / 2 * i for i in chosen]
            left = [middle - step / 2 * i for i in reversed(chosen)]
            yield (*left, *([middle] if bays % 2 == 0 else []), *right)


def _best(made: Rail, outs: tuple[KeepOut, ...]) -> tuple[Length, ...] | None:
    least = rule_bays(made)
    for bays in range(least, least + MORE + 1):
        if made.length - 2 * made.placing.overhang < made.placing.step * bays:
            return None
        rule = rule_set(made, bays)
        sets = [places for places in _all_sets(made, bays) if _inside(made, bays, outs, places)]
        equal = [p for p in sets if len({b - a for a, b in pairwise(p)}) == 1]
        if sets:
            return min(
                equal or sets, key=lambda p: (total(abs(a - b) for a, b in zip(p, rule, strict=True)), _right(p))
            )
    return None


def _right(places: tuple[Length, ...]) -> tuple[Length, ...]:
    """The standoffs right of the middle, outwards; of two sets that move as much, the nearer to the middle is taken."""
    return places[-(len(places) // 2) :]


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    data=st.data(),
    width=st.integers(900, 1250),
    step=st.sampled_from([17, 20, 25]),
    overhang=st.integers(40, 200),
    spacing=st.integers(300, 600),
)
def test_no_set_is_nearer(data: st.DataObject, width: int, step: int, overhang: int, spacing: int) -> None:
    spans = data.draw(st.lists(st.tuples(st.integers(0, width), st.integers(1, 120)), max_size=5))
    old_holes = data.draw(st.lists(st.tuples(st.integers(0, width), st.integers(4, 40)), max_size=3))
    limits = {
        "handrail.min_spacing": f"{data.draw(st.integers(50, spacing))}mm",
        "handrail.min_overhang": f"{data.draw(st.integers(0, overhang))}mm",
        "handrail.max_overhang": f"{data.draw(st.integers(overhang, 400))}mm",
    }
    made, outs = _wall({**_metric(width, step, overhang, spacing, spans, old_holes, "rule"), **limits})
    answer = clear_set(made, outs)
    best = _best(made, outs)
    assert (answer.places if answer is not None else None) == best
    if answer is not None:
        rule = rule_set(made, rule_bays(made))
        assert [n for n, _ in answer.blocked] == [n for n, x in enumerate(rule, 1) if met(outs, x, made.y)]
        assert (answer.blocked == ()) == (answer.places == rule)


def _wall(changes: dict[str, Any]) -> tuple[Rail, tuple[KeepOut, ...]]:
    car = cab(changes)
    wall = car.walls["back"]
    assert wall.rail is not None
    return wall.rail, tuple(keep_outs(wall, wall.rail, car.joint))


def _metric(
    width: int, step: int | str, overhang: int, spacing: int, spans: list[tuple[int, int]],
    holes: list[tuple[int, int]],
    by: str,
) -> dict[str, Any]:  # fmt: skip
    return {
        **BACK,
        "increment": f"{step}mm",
        "survey.walls.back.width": [f"{width}mm"],
        "layout.walls.back.panels": "1",
        "handrail.end_clearance": "5mm",
        "handrail.overhang": f"{overhang}mm",
        "handrail.max_spacing": f"{spacing}mm",
        "handrail.standoffs": by,
        f"{BEHIND}.obstructions": [
            {"what": f"pipe {n}", "x": f"{x}mm", "y": "800mm", "width": f"{min(wide, width - x)}mm", "height": "100mm"}
            for n, (x, wide) in enumerate(spans)
            if x < width
        ],
        HOLES: [{"x": f"{x}mm", "y": "34", "diameter": f"{d}mm"} for x, d in holes],
    }


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    width=st.integers(900, 3000),
    step=st.sampled_from(["0.5", "1", "0.79375"]),
    overhang=st.integers(30, 250),
    spacing=st.integers(150, 900),
    spans=st.lists(st.tuples(st.integers(0, 3000), st.integers(1, 150)), max_size=6),
    holes=st.lists(st.tuples(st.integers(0, 900), st.integers(4, 40)), max_size=3),
    tier=st.booleans(),
)
def test_a_set_that_is_found_has_no_finding(
    width: int, step: str, overhang: int, spacing: int, spans: list[tuple[int, int]], holes: list[tuple[int, int]],
    tier: bool,
) -> None:  # fmt: skip
    changes = _metric(width, step, overhang, spacing, spans, holes, "clear")
    if tier:
        changes = {**changes, **ONE_TIER, "layout.walls.back.panels": "3"}
    car = cab(changes)
    wall = car.walls["back"]
    assert wall.rail is not None
    answer = clear_set(wall.rail, tuple(keep_outs(wall, wall.rail, car.joint)))
    said = {finding.code for finding in found(changes)} - {"survey-spread"}
    if answer is not None:
        assert said <= {"standoffs-moved"}, said
        assert tuple(s.x for s in wall.rail.standoffs) == answer.places
        assert ("standoffs-moved" in said) == bool(answer.blocked)
    else:
        assert any(code.startswith("drill-") for code in said)


def test_a_shipped_car_shows_holes_that_moved() -> None:
    car = resolve(load(Path(__file__).parent.parent / "specs" / "orchard-street-service-car.yaml"))
    moved = {name: wall.rail.spacing is None for name, wall in car.walls.items() if wall.rail is not None}
    assert moved == {"back": False, "left": False, "right": True}
    right = car.walls["right"].rail
    assert right is not None
    assert right.bays == (mm(549), mm(502), mm(502), mm(549))
    assert not [f for f in findings(car) if f.stops == "drilling" and "hole" in f.message]

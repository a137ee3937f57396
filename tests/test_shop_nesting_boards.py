"""Nesting boards: what must hold for every plan, small sets tried in every way, and the same plan everywhere."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Sequence
from fractions import Fraction
from functools import cache
from itertools import product

import pytest
from bench.nesting import FIVE_BY_TEN, FOUR_BY_EIGHT, KERF, TRIM, cab, chance
from hypothesis import given, settings
from hypothesis import strategies as st

from cabdraw.frozen import replace
from cabdraw.shop.nesting import BoardPiece, BoardPlan, Rect, Sheet, nest_boards
from cabdraw.shop.nesting.boards import turns
from cabdraw.shop.nesting.replay import faults


def stands(
    plan: BoardPlan, pieces: Sequence[BoardPiece], sheets: Sequence[Sheet], kerf: Fraction, trim: Fraction
) -> None:
    """Hold that every piece is cut once, within the trimmed sheet, a kerf from the others, along its grain."""
    shapes = {piece.mark: piece for piece in pieces}
    assert sorted([p.mark for x in plan.sheets for p in x.placed] + list(plan.unplaced)) == sorted(shapes)
    for layout in plan.sheets:
        assert faults(layout, pieces, kerf, trim) == []
        assert layout.placed
        for placed in layout.placed:
            at, shape = placed.at, shapes[placed.mark]
            assert trim <= at.x <= layout.sheet.width - trim - at.width
            assert trim <= at.y <= layout.sheet.height - trim - at.height
            assert (at.height, at.width) == (shape.width, shape.height) or not placed.turned
            assert placed.turned in turns(shape, layout.sheet) or shape.width == shape.height
        everything = [placed.at for placed in layout.placed] + list(layout.off_cuts)
        for i, one in enumerate(everything):
            assert all(apart(one, other) >= kerf for other in everything[:i])
    for sheet in sheets:
        if sheet.count is not None:
            assert sum(layout.sheet == sheet for layout in plan.sheets) <= sheet.count
    assert plan.cost == sum(x.sheet.cost or x.sheet.width * x.sheet.height for x in plan.sheets)
    assert plan.bound <= plan.cost
    assert 0 <= plan.used <= 1


def apart(one: Rect, other: Rect) -> Fraction:
    """How far two rectangles are apart, the larger of both directions; negative where they overlap."""
    across = max(one.x - other.x - other.width, other.x - one.x - one.width)
    up = max(one.y - other.y - other.height, other.y - one.y - one.height)
    return max(across, up)


@pytest.mark.parametrize("cars", [1, 2])
@pytest.mark.parametrize("sheets", [[FOUR_BY_EIGHT], [FOUR_BY_EIGHT, FIVE_BY_TEN]])
def test_the_panels_of_a_car_are_nested_as_cheaply_as_can_be(cars: int, sheets: list[Sheet]) -> None:
    pieces = cab(cars)
    plan = nest_boards(pieces, sheets, KERF, TRIM, effort=100_000)
    stands(plan, pieces, sheets, KERF, TRIM)
    assert plan.unplaced == ()
    assert plan.gap == 0


def test_a_large_set_is_nested_by_many_starts() -> None:
    pieces = chance(300, 1, True)
    plan = nest_boards(pieces, [FOUR_BY_EIGHT], KERF, TRIM, effort=100_000)
    stands(plan, pieces, [FOUR_BY_EIGHT], KERF, TRIM)
    assert plan.unplaced == ()
    assert plan.gap < Fraction(1, 8)


def test_pieces_that_fill_a_sheet_to_the_kerf() -> None:
    sheet = Sheet("s", Fraction(100), Fraction(100))
    half = (Fraction(100) - 2 * 5 - 3) / 2
    four = [BoardPiece(str(i), half, half) for i in range(4)]
    plan = nest_boards(four, [sheet], 3, 5)
    assert len(plan.sheets) == 1
    assert plan.sheets[0].cuts[0].at == half
    assert len(plan.sheets[0].cuts) == 3
    assert plan.sheets[0].off_cuts == ()
    wider = [replace(four[0], width=half + Fraction(1, 1000)), *four[1:]]
    assert len(nest_boards(wider, [sheet], 3, 5).sheets) == 2


def test_a_sliver_thinner_than_the_saw_makes_no_off_cut() -> None:
    plan = nest_boards([BoardPiece("a", Fraction(98), Fraction(100))], [Sheet("s", Fraction(100), Fraction(100))], 3)
    assert [(cut.at, cut.near, cut.far) for cut in plan.sheets[0].cuts] == [(98, "1a", None)]
    assert plan.sheets[0].off_cuts == ()


def test_grain_decides_how_a_piece_lies() -> None:
    sheet = Sheet("s", Fraction(100), Fraction(200), grain="height")
    for grain, turned in (("height", False), ("width", True)):
        plan = nest_boards([BoardPiece("a", Fraction(80), Fraction(90), grain)], [sheet])  # type: ignore[arg-type]
        assert plan.sheets[0].placed[0].turned is turned
    long = BoardPiece("a", Fraction(150), Fraction(50), "height")
    assert nest_boards([long], [sheet]).unplaced == ("a",)
    assert nest_boards([replace(long, grain=None)], [sheet]).unplaced == ()
    assert nest_boards([long], [replace(sheet, grain=None)]).unplaced == ()


def test_stock_that_does_not_do_leaves_pieces_named() -> None:
    pieces = [BoardPiece(str(i), Fraction(60), Fraction(60)) for i in range(3)]
    plan = nest_boards(
        [*pieces, BoardPiece("big", Fraction(300), Fraction(9))], [Sheet("s", Fraction(100), Fraction(100), 2)]
    )
    assert len(plan.sheets) == 2
    assert len(plan.unplaced) == 2
    assert "big" in plan.unplaced
    assert plan.gap == 0
    assert nest_boards(pieces, []).unplaced == ("0", "1", "2")
    assert nest_boards([], []).gap == 0


def test_the_largest_off_cut_is_kept_whole() -> None:
    pieces = [BoardPiece(str(i), Fraction(30), Fraction(30)) for i in range(3)]
    plan = nest_boards(pieces, [Sheet("s", Fraction(100), Fraction(100))])
    assert plan.sheets[0].off_cuts[0].area == 7000


def test_what_makes_no_sense_is_refused() -> None:
    sheet = Sheet("s", Fraction(9), Fraction(9))
    with pytest.raises(ValueError, match="two pieces have the mark a"):
        nest_boards([BoardPiece("a", Fraction(1), Fraction(1))] * 2, [sheet])
    with pytest.raises(ValueError, match="a has no size"):
        nest_boards([BoardPiece("a", Fraction(1), Fraction(0))], [sheet])


def test_the_checker_sees_what_is_wrong() -> None:
    pieces = [BoardPiece("a", Fraction(40), Fraction(50), "height"), BoardPiece("b", Fraction(40), Fraction(30))]
    sheet = Sheet("s", Fraction(100), Fraction(100), grain="height")
    layout = nest_boards(pieces, [sheet], 2, 1).sheets[0]
    assert faults(layout, pieces, 2, 1) == []
    first = layout.cuts[0]
    moved = replace(layout.placed[0], at=replace(layout.placed[0].at, x=Fraction(2)))
    for wrong in (
        replace(layout, cuts=(replace(first, at=first.at + 1), *layout.cuts[1:])),
        replace(layout, cuts=layout.cuts[1:]),
        replace(layout, cuts=(replace(first, at=Fraction(500)), *layout.cuts[1:])),
        replace(layout, placed=(moved, *layout.placed[1:])),
        replace(layout, placed=layout.placed[1:]),
        replace(layout, off_cuts=layout.off_cuts[1:]),
        replace(layout, ends=layout.ends[1:]),
    ):
        assert faults(wrong, pieces, 2, 1) != []
    assert faults(layout, pieces, 3, 1) != []
    across = [replace(pieces[0], grain="width"), pieces[1]]
    assert faults(layout, across, 2, 1) == ["a lies across the grain"]


def brute(pieces: Sequence[BoardPiece], sheet: Sheet, kerf: int) -> int:
    """The least number of sheets by trying every guillotine cut at every whole unit for every set of pieces."""

    @cache
    def fits(width: int, height: int, some: frozenset[int]) -> bool:
        if not some:
            return True
        if width <= 0 or height <= 0:
            return False
        if len(some) == 1:
            (one,) = some
            ways = turns(pieces[one], sheet)
            w, h = int(pieces[one].width), int(pieces[one].height)
            return any((a, b) <= (width, b) and b <= height for a, b in ((h, w) if t else (w, h) for t in ways))
        for chosen in product((False, True), repeat=len(some)):
            near = frozenset(p for p, c in zip(sorted(some), chosen, strict=True) if c)
            if not near or near == some:
                continue
            far = some - near
            if any(fits(cut, height, near) and fits(width - cut - kerf, height, far) for cut in range(1, width)):
                return True
            if any(fits(width, cut, near) and fits(width, height - cut - kerf, far) for cut in range(1, height)):
                return True
        return False

    @cache
    def sheets(left: frozenset[int]) -> int:
        if not left:
            return 0
        first, *others = sorted(left)
        best = len(left)
        for chosen in product((False, True), repeat=len(others)):
            group = frozenset([first, *(p for p, c in zip(others, chosen, strict=True) if c)])
            if fits(int(sheet.width), int(sheet.height), group):
                best = min(best, 1 + sheets(left - group))
        return best

    return sheets(frozenset(range(len(pieces))))


sides = st.integers(1, 8).map(Fraction)
grains = st.sampled_from([None, "width", "height"])


@settings(deadline=None, max_examples=50)
@given(
    st.lists(st.tuples(sides, sides, grains), min_size=1, max_size=5),
    st.integers(8, 11).map(Fraction),
    st.integers(8, 9).map(Fraction),
    st.sampled_from([0, 1]),
)
def test_small_sets_are_nested_on_the_fewest_sheets(
    sizes: list[tuple[Fraction, Fraction, None]], width: Fraction, height: Fraction, kerf: int
) -> None:
    pieces = [BoardPiece(f"p{i}", w, h, grain) for i, (w, h, grain) in enumerate(sizes)]
    sheet = Sheet("s", width, height, grain="height")
    plan = nest_boards(pieces, [sheet], kerf, effort=3_000)
    stands(plan, pieces, [sheet], Fraction(kerf), Fraction(0))
    assert plan.unplaced == ()
    assert len(plan.sheets) == brute(pieces, sheet, kerf)
    assert plan.gap == 0


measures = st.fractions(1, 60, max_denominator=8)


@settings(deadline=None, max_examples=40)
@given(
    st.lists(st.tuples(measures, measures, grains), min_size=1, max_size=24),
    st.lists(
        st.tuples(st.integers(40, 120), st.integers(40, 120), st.sampled_from([None, 1, 2]), grains),
        min_size=1,
        max_size=3,
    ),
    st.fractions(0, 2, max_denominator=16),
    st.fractions(0, 3, max_denominator=16),
    st.integers(1, 5),
)
def test_every_plan_can_be_sawn(
    sizes: list[tuple[Fraction, Fraction, None]],
    stock: list[tuple[int, int, int | None, None]],
    kerf: Fraction,
    trim: Fraction,
    seed: int,
) -> None:
    pieces = [BoardPiece(f"p{i}", w, h, grain) for i, (w, h, grain) in enumerate(sizes)]
    sheets = [Sheet(f"s{i}", Fraction(w), Fraction(h), n, None, grain) for i, (w, h, n, grain) in enumerate(stock)]
    stands(nest_boards(pieces, sheets, kerf, trim, effort=2_000, seed=seed), pieces, sheets, kerf, trim)


PROGRAM = """
import hashlib, json
from fractions import Fraction
from bench.nesting import FIVE_BY_TEN, FOUR_BY_EIGHT, KERF, TRIM, cab, chance
from cabdraw.shop.nesting import Bar, BarPiece, cut_bars, nest_boards
plans = [
    nest_boards(cab(1), [FOUR_BY_EIGHT, FIVE_BY_TEN], KERF, TRIM, effort=30_000),
    nest_boards(chance(40, 1, True), [FOUR_BY_EIGHT], KERF, TRIM, effort=60_000),
    cut_bars([BarPiece(p.mark, p.height) for p in chance(40, 2, True)], [Bar("b", Fraction(2400))], KERF, steps=2_000),
]
print(json.dumps([hashlib.sha256(repr(plan).encode()).hexdigest() for plan in plans]))
"""


def test_the_same_plan_whatever_the_hash_seed() -> None:
    made = []
    for seed in ("1", "77"):
        env = {**os.environ, "PYTHONPATH": os.path.dirname(__file__), "PYTHONHASHSEED": seed}
        done = subprocess.run([sys.executable, "-c", PROGRAM], env=env, capture_output=True, check=True, timeout=90)
        made.append(json.loads(done.stdout))
    assert made[0] == made[1]

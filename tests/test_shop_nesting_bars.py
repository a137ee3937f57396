"""Cutting bars: published sets, small sets tried in every way, and what must hold for every plan."""

from __future__ import annotations

from fractions import Fraction

import pytest
from bench.published import BINS, bins
from hypothesis import given, settings
from hypothesis import strategies as st

from cabdraw.shop.nesting import Bar, BarPiece, BarPlan, cut_bars


def pieces_of(lengths: list[Fraction]) -> list[BarPiece]:
    return [BarPiece(f"p{i}", length) for i, length in enumerate(lengths)]


def stands(plan: BarPlan, pieces: list[BarPiece], bars: list[Bar], kerf: Fraction, trim: Fraction) -> None:
    """Hold that a plan can be sawn: every piece once and of its length, the kerf between, no bar too many."""
    lengths = {piece.mark: piece.length for piece in pieces}
    cut = [(mark, length) for layout in plan.bars for mark, _, length in layout.pieces]
    assert sorted([mark for mark, _ in cut] + list(plan.unplaced)) == sorted(lengths)
    assert all(lengths[mark] == length for mark, length in cut)
    for layout in plan.bars:
        at = trim
        for _, begins, length in layout.pieces:
            assert begins == at
            at += length + kerf
        end = at - kerf
        assert end <= layout.bar.length - trim
        assert layout.left == max(0, layout.bar.length - trim - at)
    for bar in bars:
        if bar.count is not None:
            assert sum(layout.bar == bar for layout in plan.bars) <= bar.count
    assert plan.bound <= plan.cost
    assert plan.cost == sum(layout.bar.cost or layout.bar.length for layout in plan.bars)


@pytest.mark.parametrize("name", ["t60_00", "t60_02", "t60_03", "t60_04", "u250_01"])
def test_published(name: str) -> None:
    room, sizes = bins(name)
    pieces = pieces_of([Fraction(size) for size in sizes])
    bar = Bar("bin", Fraction(room))
    plan = cut_bars(pieces, [bar])
    stands(plan, pieces, [bar], Fraction(0), Fraction(0))
    assert (len(plan.bars), plan.gap) == (BINS[name], 0)


def test_kerf_is_lost_between_pieces_and_not_at_the_end() -> None:
    bar = Bar("96", Fraction(96))
    two = pieces_of([Fraction(48) - Fraction(1, 16)] * 2)
    assert len(cut_bars(two, [bar], Fraction(1, 8)).bars) == 1
    assert len(cut_bars(two, [bar], Fraction(1, 8) + Fraction(1, 1000)).bars) == 2
    assert cut_bars(two[:1], [bar], Fraction(1, 8)).bars[0].left == 48 - Fraction(1, 16)


def test_trim_comes_off_both_ends() -> None:
    bar = Bar("96", Fraction(96))
    assert cut_bars(pieces_of([Fraction(94)]), [bar], 0, 1).bars[0].pieces == (("p0", 1, 94),)
    assert cut_bars(pieces_of([Fraction(94)]), [bar], 0, Fraction(101, 100)).unplaced == ("p0",)


def test_the_cheaper_bars_are_taken_and_the_rest_left() -> None:
    short, long = Bar("short", Fraction(100), 2), Bar("long", Fraction(160))
    plan = cut_bars(pieces_of([Fraction(50)] * 5), [short, long])
    assert sorted(layout.bar.name for layout in plan.bars) == ["long", "short"]
    assert (plan.cost, plan.bound, plan.gap) == (260, 260, 0)


def test_a_cost_of_its_own_decides() -> None:
    dear, cheap = Bar("dear", Fraction(100), None, Fraction(9)), Bar("cheap", Fraction(120), None, Fraction(8))
    plan = cut_bars(pieces_of([Fraction(50)] * 4), [dear, cheap])
    assert ([layout.bar.name for layout in plan.bars], plan.cost, plan.bound) == (["cheap", "cheap"], 16, 16)


def test_what_is_left_is_in_one_piece() -> None:
    plan = cut_bars(pieces_of([Fraction(n) for n in (40, 40, 30, 30, 20, 20, 10, 10)]), [Bar("b", Fraction(110))])
    assert sorted(layout.left for layout in plan.bars) == [0, 20]


def test_stock_that_does_not_do_leaves_pieces_named() -> None:
    plan = cut_bars(pieces_of([Fraction(60)] * 3 + [Fraction(200)]), [Bar("b", Fraction(100), 2)])
    assert len(plan.bars) == 2
    assert len(plan.unplaced) == 2
    assert "p3" in plan.unplaced
    assert plan.gap == 0
    nothing = cut_bars([], [])
    assert (nothing.bars, nothing.gap, nothing.used) == ((), 0, 0)
    assert cut_bars(pieces_of([Fraction(1)]), []).unplaced == ("p0",)


def test_what_makes_no_sense_is_refused() -> None:
    with pytest.raises(ValueError, match="two pieces have the mark"):
        cut_bars([BarPiece("a", Fraction(1)), BarPiece("a", Fraction(2))], [Bar("b", Fraction(5))])
    with pytest.raises(ValueError, match="a has no size"):
        cut_bars([BarPiece("a", Fraction(0))], [Bar("b", Fraction(5))])
    with pytest.raises(ValueError, match="b has a cost"):
        cut_bars([BarPiece("a", Fraction(1))], [Bar("b", Fraction(5), None, Fraction(0))])


def brute(sizes: list[Fraction], bars: list[Bar], kerf: Fraction) -> Fraction | None:
    """The least cost by trying every way to put the pieces into bars; None if the bars do not do."""
    best: Fraction | None = None

    def put(index: int, groups: list[tuple[int, Fraction]], cost: Fraction) -> None:
        nonlocal best
        if best is not None and cost >= best:
            return
        if index == len(sizes):
            best = cost
            return
        need = sizes[index] + kerf
        for i, (kind, used) in enumerate(groups):
            if used + need <= bars[kind].length + kerf:
                put(index + 1, [*groups[:i], (kind, used + need), *groups[i + 1 :]], cost)
        for kind, bar in enumerate(bars):
            number = sum(k == kind for k, _ in groups)
            if need <= bar.length + kerf and (bar.count is None or number < bar.count):
                put(index + 1, [*groups, (kind, need)], cost + bar.length)

    put(0, [], Fraction(0))
    return best


lengths = st.fractions(1, 60, max_denominator=4)


@settings(deadline=None, max_examples=40)
@given(
    st.lists(lengths, min_size=1, max_size=6), st.sampled_from([0, 1]), st.sampled_from([Fraction(0), Fraction(1, 8)])
)
def test_small_sets_are_cut_at_the_least_cost(sizes: list[Fraction], many: int, kerf: Fraction) -> None:
    bars = [Bar("a", Fraction(70)), Bar("b", Fraction(100), 1)][: many + 1]
    pieces = pieces_of(sizes)
    plan = cut_bars(pieces, bars, kerf)
    stands(plan, pieces, bars, kerf, Fraction(0))
    assert plan.cost == plan.bound == brute(sizes, bars, kerf)


@settings(deadline=None, max_examples=30)
@given(
    st.lists(lengths, min_size=1, max_size=25),
    st.lists(st.tuples(st.integers(50, 130), st.sampled_from([None, 1, 3])), min_size=1, max_size=3),
    st.fractions(0, 1, max_denominator=16),
    st.fractions(0, 1, max_denominator=16),
)
def test_every_plan_can_be_sawn(
    sizes: list[Fraction], stock: list[tuple[int, int | None]], kerf: Fraction, trim: Fraction
) -> None:
    bars = [Bar(f"b{i}", Fraction(length), count) for i, (length, count) in enumerate(stock)]
    pieces = pieces_of(sizes)
    stands(cut_bars(pieces, bars, kerf, trim, steps=400), pieces, bars, kerf, trim)

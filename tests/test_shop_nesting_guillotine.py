"""The most valuable pieces of one sheet: published optima, and small sheets tried in every way."""

from __future__ import annotations

from functools import cache

import pytest
from bench.published import CGCUT, GCUT, GCUT_TURNED, plate
from hypothesis import given, settings
from hypothesis import strategies as st

from cabdraw.shop.nesting.guillotine import Best, Wanted, best_limited, best_unlimited, sums_within
from cabdraw.shop.nesting.tree import Part, cut_up, parts_in, spare


def counted(best: Best, wanted: tuple[Wanted, ...]) -> list[int]:
    """How many of each piece a block holds; fails where a piece is not its size."""
    counts = [0] * len(wanted)
    for part in parts_in(best.block):
        one = wanted[part.kind]
        assert (part.width, part.height, part.turned) in one.sizes()
        counts[part.kind] += 1
    return counts


def stands(best: Best, width: int, height: int, wanted: tuple[Wanted, ...]) -> None:
    """Hold that a block fits on its sheet, is worth its value, and leaves the area that is over."""
    counts = counted(best, wanted)
    assert best.value == sum(n * one.value for n, one in zip(counts, wanted, strict=True))
    if best.block is None:
        return
    assert best.block.width <= width
    assert best.block.height <= height
    tree = cut_up(best.block, width, height)
    left = sum(w * h for w, h in spare(tree, width, height, 0))
    assert left + sum(part.width * part.height for part in parts_in(tree)) == width * height


@pytest.mark.parametrize("number", GCUT)
def test_unlimited_published(number: int) -> None:
    one = plate(f"gcut{number}")
    best = best_unlimited(one.width, one.height, one.wanted)
    assert best.value == GCUT[number]
    stands(best, one.width, one.height, one.wanted)


@pytest.mark.parametrize("number", GCUT_TURNED)
def test_unlimited_published_with_turning(number: int) -> None:
    one = plate(f"gcut{number}", turned=True)
    best = best_unlimited(one.width, one.height, one.wanted)
    assert best.value == GCUT_TURNED[number]
    stands(best, one.width, one.height, one.wanted)


@pytest.mark.parametrize("number", CGCUT)
def test_limited_published(number: int) -> None:
    one = plate(f"cgcut{number}")
    best = best_limited(one.width, one.height, one.wanted)
    assert (best.value, best.proved) == (CGCUT[number], True)
    stands(best, one.width, one.height, one.wanted)
    assert all(n <= (w.most or 0) for n, w in zip(counted(best, one.wanted), one.wanted, strict=True))


def test_a_step_limit_leaves_the_best_so_far_and_says_so() -> None:
    one = plate("cgcut3")
    best = best_limited(one.width, one.height, one.wanted, steps=3)
    assert not best.proved
    assert 0 < best.value <= CGCUT[3]


def test_sums() -> None:
    assert sums_within([4, 6], 15) == [0, 4, 6, 8, 10, 12, 14]
    assert sums_within([], 3) == [0]


def brute(width: int, height: int, wanted: tuple[Wanted, ...]) -> int:
    """The best value by trying every cut at every whole unit, and every share of the pieces between both halves."""

    @cache
    def best(width: int, height: int, most: tuple[int, ...]) -> int:
        value = max(
            (
                one.value
                for one, n in zip(wanted, most, strict=True)
                if n
                for w, h, _ in one.sizes()
                if w <= width and h <= height
            ),
            default=0,
        )
        if not value:
            return 0
        for share in shares(most):
            rest = tuple(map(int.__sub__, most, share))
            for cut in range(1, width):
                value = max(value, best(cut, height, share) + best(width - cut, height, rest))
            for cut in range(1, height):
                value = max(value, best(width, cut, share) + best(width, height - cut, rest))
        return value

    return best(width, height, tuple(one.most or 0 for one in wanted))


def shares(most: tuple[int, ...]) -> list[tuple[int, ...]]:
    """Every part of some numbers of pieces."""
    found: list[tuple[int, ...]] = [()]
    for n in most:
        found = [(*share, i) for share in found for i in range(n + 1)]
    return found


pieces = st.builds(
    Wanted,
    st.integers(1, 5),
    st.integers(1, 5),
    st.integers(1, 9),
    st.integers(1, 2),
    st.sampled_from([(False,), (False, True), (True,)]),
)


@settings(deadline=None, max_examples=60)
@given(st.integers(2, 6), st.integers(2, 6), st.lists(pieces, min_size=1, max_size=3).map(tuple))
def test_limited_is_the_best_of_every_way(width: int, height: int, wanted: tuple[Wanted, ...]) -> None:
    best = best_limited(width, height, wanted)
    assert best.proved
    assert best.value == brute(width, height, wanted)
    stands(best, width, height, wanted)


@settings(deadline=None, max_examples=60)
@given(st.integers(2, 9), st.integers(2, 9), st.lists(pieces, min_size=1, max_size=4).map(tuple))
def test_no_limit_is_a_very_high_limit(width: int, height: int, wanted: tuple[Wanted, ...]) -> None:
    free = tuple(Wanted(one.width, one.height, one.value, None, one.turns) for one in wanted)
    best = best_unlimited(width, height, free)
    stands(best, width, height, free)
    assert best.value == best_limited(width, height, free).value


def test_cutting_up_keeps_the_larger_off_cut() -> None:
    tree = cut_up(Part(6, 9, 0, False), 10, 10)
    assert spare(tree, 10, 10, 0) == [(6, 1), (4, 10)]

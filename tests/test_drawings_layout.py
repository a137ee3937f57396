"""Where figures go: never on one another, in their order, and no further than they must."""

from __future__ import annotations

from itertools import accumulate, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cabdraw.draw.layout import chain_across, chain_up, running_across, running_up, spread, stacked
from cabdraw.draw.measure import text_box
from cabdraw.draw.occupied import crosses, meet
from cabdraw.draw.shapes import Dimension
from cabdraw.draw.strokes import dimension_strokes, dimension_text

SCALE = 0.1
WANTED = st.lists(st.integers(0, 4000), min_size=1, max_size=12).map(lambda wanted: [w / 10 for w in sorted(wanted)])
SIZES = st.lists(st.integers(1, 300).map(lambda size: size / 10), min_size=12, max_size=12)
LIMITS = st.tuples(st.integers(-50, 100), st.integers(100, 500))
#: Lengths along a chain in mm, none so small that no figure could be told to belong to it.
LENGTHS = st.lists(st.integers(30, 900), min_size=2, max_size=12)


@given(WANTED, SIZES, LIMITS)
def test_spread_keeps_order_and_never_overlaps(
    wanted: list[float], sizes: list[float], limits: tuple[int, int]
) -> None:
    sizes, (low, high) = sizes[: len(wanted)], limits
    for edges in ((float("-inf"), float("inf")), (low, high)):
        found = spread(wanted, sizes, *edges)
        for (a, size), (b, following) in pairwise(zip(found, sizes, strict=True)):
            assert b - a >= (size + following) / 2 - 1e-6
    if sum(sizes) <= high - low:
        assert found[0] - sizes[0] / 2 >= low - 1e-6
        assert found[-1] + sizes[-1] / 2 <= high + 1e-6


@given(WANTED, SIZES)
def test_spread_moves_as_little_as_can_be(wanted: list[float], sizes: list[float]) -> None:
    # The least sum of squared moves: along each run of things that touch, what pushes is on the left of what gives.
    sizes = sizes[: len(wanted)]
    found = spread(wanted, sizes)
    push = 0.0
    for i, (want, got) in enumerate(zip(wanted, found, strict=True)):
        push += want - got
        assert push >= -1e-6
        last = i == len(found) - 1
        if last or found[i + 1] - got > (sizes[i] + sizes[i + 1]) / 2 + 1e-6:
            assert push == pytest.approx(0, abs=1e-6)


@given(WANTED, SIZES)
def test_spread_leaves_alone_what_has_room(wanted: list[float], sizes: list[float]) -> None:
    sizes = sizes[: len(wanted)]
    apart = list(accumulate(sizes, initial=0.0))
    middles = [start + size / 2 + 2 * i for i, (start, size) in enumerate(zip(apart, sizes, strict=False))]
    assert spread(middles, sizes) == pytest.approx(middles)


@given(WANTED, SIZES)
def test_lanes_keep_figures_and_leaders_apart(wanted: list[float], sizes: list[float]) -> None:
    sizes = sizes[: len(wanted)]
    lanes = stacked(wanted, sizes)
    if lanes is None:
        return
    spans = [(middle - size / 2, middle + size / 2) for middle, size in zip(wanted, sizes, strict=True)]
    for i, (low, high) in enumerate(spans):
        for j, (other_low, other_high) in enumerate(spans):
            if i < j and lanes[i] == lanes[j]:
                assert high <= other_low or other_high <= low
            if lanes[j] < lanes[i]:
                assert not other_low < wanted[i] < other_high


def _clear(dimensions: list[Dimension]) -> None:
    boxes = [text_box(dimension_text(dimension), SCALE) for dimension in dimensions]
    for i, box in enumerate(boxes):
        assert not any(meet(box, other) for other in boxes[i + 1 :])
        for dimension in dimensions:
            for stroke in dimension_strokes(dimension, SCALE):
                assert not crosses(stroke, box), (dimensions[i].text, dimension.text)


def _stations(lengths: list[int]) -> list[float]:
    return [float(x) for x in accumulate(lengths, initial=0)]


@given(LENGTHS)
def test_chain_up_is_clear(lengths: list[int]) -> None:
    stations = _stations(lengths)
    if stations[-1] * SCALE > 3.8 * len(lengths):
        _clear(chain_up(stations, [str(length) for length in lengths], -80.0, 0.0, SCALE))


@given(LENGTHS)
def test_running_figures_are_clear(lengths: list[int]) -> None:
    stations = _stations(lengths)[1:]
    figures = [f"{station:g}" for station in stations]
    _clear(running_up(0.0, stations, figures, 70.0, 0.0, SCALE))
    _clear(running_across(0.0, stations, figures, 60.0, 0.0, SCALE))


@given(st.integers(1, 10), st.integers(85, 900), st.integers(3, 25), st.integers(20, 60), st.integers(20, 60))
def test_a_row_of_equal_panels_is_clear(count: int, width: int, reveal: int, left: int, right: int) -> None:
    lengths = [left, *[width, reveal] * (count - 1), width, right]
    dimensions, lanes = chain_across(_stations(lengths), [f"{length}" for length in lengths], -65.0, 0.0, SCALE)
    _clear(dimensions)
    assert lanes <= 3


@given(st.integers(2, 6), st.integers(180, 600))
def test_a_row_in_inches_is_clear(count: int, width: int) -> None:
    lengths = [45, *[width, 13] * (count - 1), width, 45]
    figures = ['1 49/64"', *[f'{width // 25} 31/64"', '1/2"'] * (count - 1), f'{width // 25} 31/64"', '1 51/64"']
    _clear(chain_across(_stations(lengths), figures, -65.0, 0.0, SCALE)[0])


def test_an_end_figure_goes_outward_and_a_middle_one_into_the_lane() -> None:
    dimensions, lanes = chain_across([0.0, 45.0, 582.0, 595.0, 1132.0], ["45", "537", "13", "537"], -65.0, 0.0, SCALE)
    assert lanes == 1
    first, second, third, _ = dimensions
    assert first.text_at[0] < 0
    assert first.text_at[1] == first.line
    assert second.text_at[1] > second.line
    assert third.text_at[1] < third.line
    assert third.text_at[0] == pytest.approx(588.5)

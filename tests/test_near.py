"""What boxes are met on a wall's face, held against shapely's tree and against looking at every pair."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations
from typing import Any

import shapely
from hypothesis import given
from hypothesis import strategies as st

from cabdraw.cab import Rect
from cabdraw.resolve.near import Near, pairs
from cabdraw.units import Length

#: Whole and half millimetres, so that many boxes touch; some are as wide as a wall, some have no width.
PLACES = st.integers(-6, 60).map(lambda number: number / 2)


@st.composite
def boxes(draw: st.DrawFn) -> tuple[float, float, float, float, float, float]:
    x, y = sorted((draw(PLACES), draw(PLACES))), sorted((draw(PLACES), draw(PLACES)))
    return (x[0], x[1], y[0], y[1], 0.0, 1.0)


def section(box: tuple[float, ...]) -> Any:
    """A box's section on the wall's face, as shapely has it."""
    return shapely.box(box[0], box[2], box[1], box[3])


@given(st.lists(boxes(), max_size=60), boxes())
def test_boxes_are_met_as_the_tree_of_a_library_says(kept: list[Any], looked_for: Any) -> None:
    found = Near(kept).met(looked_for)
    assert found == sorted(
        number
        for number, box in enumerate(kept)
        if shapely.intersects(section(box), section(looked_for))
    )  # fmt: skip
    tree = shapely.STRtree([section(box) for box in kept])
    assert found == sorted(tree.query(section(looked_for)).tolist())


#: Few places and sizes, none among these, so that many only touch.
LENGTHS = st.fractions(0, 3, max_denominator=2).map(Length)
RECTS = st.builds(Rect, LENGTHS, LENGTHS, LENGTHS, LENGTHS)


@given(st.lists(RECTS, max_size=40))
def test_pairs_are_those_that_share_more_than_an_edge(rects: list[Rect]) -> None:
    assert list(pairs(rects)) == [
        (i, j)
        for (i, a), (j, b) in combinations(enumerate(rects), 2)
        if min(a.right, b.right) > max(a.x, b.x) and min(a.top, b.top) > max(a.y, b.y)
    ]  # fmt: skip


def test_rectangles_that_only_look_alike_in_floating_numbers_are_told_apart() -> None:
    third = Length(Fraction(10000, 3))
    hair = Length(Fraction(1, 10**30))
    whole = Length(Fraction(1000))
    left = Rect(Length(Fraction(0)), hair, third, whole)
    assert list(pairs([left, Rect(third, hair, whole, whole)])) == []
    assert list(pairs([left, Rect(third - hair, hair, whole, whole)])) == [(0, 1)]

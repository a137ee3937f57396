"""Our exact numbers beside Python's own, `fractions.Fraction`, which they must not differ from in anything but time."""

from __future__ import annotations

import copy
import fractions
import math
import operator
import pickle
import sys
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cabdraw.rational import Fraction

Exact = fractions.Fraction
WHOLE = st.one_of(st.integers(-9, 9), st.integers(-(10**30), 10**30), st.booleans())
EXACT = st.one_of(
    st.builds(Exact, WHOLE, st.one_of(st.integers(1, 64), st.integers(1, 10**30))), WHOLE.map(Exact), st.just(Exact(0))
)
FLOATS = st.one_of(st.floats(-1e9, 1e9), st.sampled_from([math.inf, -math.inf, math.nan]))
OTHER = st.one_of(WHOLE, EXACT, FLOATS, st.just(Decimal("0.5")), st.just("1/2"), st.just(2 + 1j), st.none())
TWO = [
    operator.add, operator.sub, operator.mul, operator.truediv, operator.floordiv, operator.mod, divmod,
    operator.eq, operator.ne, operator.lt, operator.le, operator.gt, operator.ge,
]  # fmt: skip
ONE: list[Callable[[Any], Any]] = [
    operator.neg, operator.pos, abs, hash, bool, float, int, str, repr, complex, round, math.floor, math.ceil,
    math.trunc, copy.copy, copy.deepcopy, lambda one: pickle.loads(pickle.dumps(one)), lambda one: one.numerator,
    lambda one: one.denominator, lambda one: one.as_integer_ratio(), lambda one: round(one, 2),
    lambda one: round(one, -1), lambda one: one.limit_denominator(7), lambda one: one**2, lambda one: one**-1,
    lambda one: pow(one, Exact(1, 2)), lambda one: 2**one, lambda one: sum([one, one], one), lambda one: {one: 1}[one],
]  # fmt: skip


def ours(value: Any) -> Any:
    """The same value in our class."""
    return Fraction(value) if type(value) is Exact else value


def told(way: Callable[..., Any], *values: Any) -> Any:
    """What comes out, with its kind; or the error, with its words."""
    try:
        result = way(*values)
    except (ArithmeticError, TypeError, ValueError) as error:
        return type(error), str(error)
    results = result if isinstance(result, tuple) else (result,)
    return [(Exact if isinstance(each, Exact) else type(each), repr(each)) for each in results]


def all_ours(way: Callable[..., Any], *values: Any) -> bool:
    """Whether no number of what comes out is of Python's own class, which would be slow from there on."""
    try:
        result = way(*values)
    except (ArithmeticError, TypeError, ValueError):
        return True
    return all(type(each) is not Exact for each in (result if isinstance(result, tuple) else (result,)))


@given(EXACT, OTHER)
def test_two_give_what_pythons_own_give(one: Exact, other: Any) -> None:
    for way in TWO:
        wanted = told(way, one, other)
        for values in ((ours(one), ours(other)), (ours(one), other)):
            assert told(way, *values) == wanted, way
            assert all_ours(way, *values), way
        assert told(way, one, ours(other)) == wanted, way
        assert told(way, ours(other), ours(one)) == told(way, other, one), way


@given(EXACT)
def test_one_gives_what_pythons_own_gives(one: Exact) -> None:
    for way in ONE[:-3]:
        assert told(way, ours(one)) == told(way, one)
        assert all_ours(way, ours(one))


@given(EXACT.filter(lambda one: abs(one) < 99))
def test_powers_and_sums_are_pythons_own(one: Exact) -> None:
    for way in ONE[-3:]:
        assert told(way, ours(one)) == told(way, one)
        assert all_ours(way, ours(one))


@given(st.one_of(WHOLE, EXACT, FLOATS, st.text("0123456789./-+_e ", max_size=8)), st.one_of(st.none(), WHOLE, EXACT))
def test_it_is_made_of_what_pythons_own_is_made_of(top: Any, bottom: Any) -> None:
    assert told(Fraction, ours(top), ours(bottom)) == told(Exact, top, bottom)
    assert all_ours(Fraction, ours(top), ours(bottom))


@pytest.mark.parametrize("made", [Fraction.from_float(0.5), Fraction.from_decimal(Decimal("0.5")), Fraction("5")])
def test_other_ways_to_make_one(made: Any) -> None:
    assert all_ours(lambda: made)
    assert isinstance(made, Exact)


def test_sorting_and_looking_up_take_either() -> None:
    halves = [Exact(1, 2), Fraction(1, 2), Exact(-1, 3), Fraction(-1, 3), 0, 1]
    assert [str(each) for each in sorted(halves)] == ["-1/3", "-1/3", "0", "1/2", "1/2", "1"]
    assert len(set(halves)) == 4
    assert sys.getsizeof(Fraction(1, 2)) == sys.getsizeof(Exact(1, 2))

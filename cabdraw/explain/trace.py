"""Lengths that remember how they came about: the resolver works with them as with any others.

Each knows the operation and the lengths that it was made of, back to what was typed. So an explanation is the
resolver's own arithmetic written down, and cannot say anything else than the resolver did.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Literal

from cabdraw.cab import Place as SpecPath
from cabdraw.frozen import Frozen
from cabdraw.rational import Fraction
from cabdraw.units import ZERO, Choice, Length

Operation = Literal["leaf", "sum", "times", "over", "down", "up", "least", "greatest", "called"]


class Node(Frozen, eq=False):
    """How one value came about.

    A leaf stands in the spec, or is a default, at the one path of `at`. A sum takes each of its operands with its
    sign. `least` and `greatest` are of the operands but the last `limits`; `called` gives its operand a name.
    """

    does: Operation
    of: tuple[Value, ...] = ()
    signs: tuple[int, ...] = ()
    limits: int = 0
    words: str = ""
    at: tuple[SpecPath, ...] = ()
    default: bool = False


class Traced(Length, kw_only=True):
    """A length with the node that it came from; it is equal to, and sorts as, the plain length."""

    node: Node

    @staticmethod
    def of(mm: Fraction, node: Node, typed: str = "") -> Traced:
        """A length that came about so."""
        return Traced(mm, typed, node=node)

    def __add__(self, other: Length) -> Length:
        return _sum((1, self), (1, other))

    def __radd__(self, other: Length) -> Length:
        return _sum((1, other), (1, self))

    def __sub__(self, other: Length) -> Length:
        return _sum((1, self), (-1, other))

    def __rsub__(self, other: Length) -> Length:
        return _sum((1, other), (-1, self))

    def __neg__(self) -> Length:
        return _sum((-1, self))

    def __abs__(self) -> Length:
        return -self if self.mm < 0 else self

    def __mul__(self, factor: int | Fraction) -> Length:
        if not factor:
            return ZERO
        if factor == 1 and not isinstance(factor, Number):
            return self
        return Traced.of(self.mm * factor, Node("times", (self, factor)))

    __rmul__ = __mul__

    def __truediv__(self, divisor: int | Fraction) -> Length:
        if divisor == 1 and not isinstance(divisor, Count):
            return self
        return Traced.of(self.mm / divisor, Node("over", (self, divisor)))

    def floor_to(self, step: Length) -> Length:
        return Traced.of(Length.floor_to(self, step).mm, Node("down", (self, step)))

    def nearest_to(self, step: Length) -> Length:
        raise NotImplementedError("no size of a car is rounded to the nearest")

    def fewest(self, most: Length, words: str = "") -> int:
        return Count.of(Length.fewest(self, most), Node("up", (self, most), words=words))

    def called(self, words: str, *at: SpecPath) -> Length:
        if not words:
            return self
        return Traced.of(self.mm, Node("called", (self,), words=words, at=tuple(filter(None, at))), self.typed)

    def chosen(self, way: Choice, lengths: Sequence[Length], low: Length | None, high: Length | None) -> Length:
        limits = tuple(limit for limit in (low, high) if limit is not None)
        if len(lengths) == 1 and not limits:
            return self
        return Traced.of(self.mm, Node(way, (*lengths, *limits), limits=len(limits)))


class Number(Fraction):
    """A share or a weight with the node that it came from."""

    __slots__ = ("node",)
    node: Node

    @classmethod
    def of(cls, value: Fraction, node: Node) -> Number:
        """A number of that value."""
        made = cls(value)
        made.node = node
        return made

    def __add__(self, other: Any) -> Number:  # type: ignore[override]
        return Number.of(Fraction(self) + other, Node("sum", (self, other), (1, 1)))

    def __radd__(self, other: Any) -> Number:  # type: ignore[override]
        return self if other == 0 else Number.of(other + Fraction(self), Node("sum", (other, self), (1, 1)))

    def __truediv__(self, other: Any) -> Number:  # type: ignore[override]
        return Number.of(Fraction(self) / other, Node("over", (self, other)))


class Count(int):
    """How many of something, with the node that it came from."""

    node: Node

    @classmethod
    def of(cls, value: int, node: Node) -> Count:
        """A count of that value."""
        made = cls(value)
        made.node = node
        return made


Value = Length | Fraction | int


def node_of(value: Value) -> Node | None:
    """How a value came about; None for a plain one."""
    return value.node if isinstance(value, (Traced, Number, Count)) else None


def _sum(*terms: tuple[int, Length]) -> Length:
    """A sum; what is nothing by its nature is left out, and so is a length together with itself taken away."""
    flat: list[tuple[int, Length]] = []
    for sign, term in terms:
        for inner, part in _terms(term):
            opposite = (-sign * inner, part)
            at = next((i for i, (s, found) in enumerate(flat) if s == opposite[0] and found is part), None)
            if at is not None:
                del flat[at]
            else:
                flat.append((sign * inner, part))
    if not flat:
        return ZERO
    if len(flat) == 1 and flat[0][0] == 1:
        return flat[0][1]
    mm = sum((sign * part.mm for sign, part in flat), Fraction(0))
    return Traced.of(mm, Node("sum", tuple(part for _, part in flat), tuple(sign for sign, _ in flat)))


def _terms(length: Length) -> Iterator[tuple[int, Length]]:
    """What a sum is the sum of, and any other length by itself; a plain zero is nothing."""
    node = node_of(length)
    if node is not None and node.does == "sum":
        yield from ((sign, part) for sign, part in zip(node.signs, node.of, strict=True) if isinstance(part, Length))
    elif node is not None or length.mm:
        yield 1, length

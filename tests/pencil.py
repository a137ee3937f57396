"""Checks an explanation as a drafter would, with a pencil: its own reading of each line, and no code of cabdraw's.

It knows the signs that a step is written in, and takes a number only from an earlier step or from the spec.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cache
from math import ceil, floor

_TOKEN = re.compile(
    r"\s*(?:(?P<mixed>\d+ \d+/\d+|\d+/\d+|\d+(?:\.\d+)?)"
    r"|(?P<word>least of|greatest of|rounded down to|rounded up|at least 1|from|to)|(?P<sign>[-+×÷(),]))"
)


def number(text: str) -> Fraction:
    """A number as it is written: 22 31/96, 3/8, 0.5."""
    return sum((Fraction(word) for word in text.split()), Fraction(0))


@cache
def worked(line: str) -> Pencil:
    """A line worked out; the same line is not worked out twice."""
    return Pencil(line)


class Pencil:
    """Works out one line; `used` are the numbers in it that must come from somewhere, and not by how many times."""

    def __init__(self, line: str) -> None:
        self.tokens: list[str] = []
        at = 0
        while at < len(line):
            found = _TOKEN.match(line, at)
            assert found is not None, f"no arithmetic: {line[at:]!r} in {line!r}"
            self.tokens.append(found[0].strip())
            at = found.end()
        self.at = 0
        self.used: set[Fraction] = set()
        self.value = self._loose()
        assert self.at == len(self.tokens), f"left over: {self.tokens[self.at :]} of {line!r}"

    def _next(self, *wanted: str) -> str:
        """The next token if it is one of these, or else nothing."""
        if self.at < len(self.tokens) and self.tokens[self.at] in wanted:
            self.at += 1
            return self.tokens[self.at - 1]
        return ""

    def _loose(self) -> Fraction:
        if way := self._next("least of", "greatest of"):
            among = [self._sum()]
            while self._next(","):
                among.append(self._sum())
            low = self._sum() if self._next("from") else None
            high = self._sum() if self._next("to") else None
            within = [n for n in among if (low is None or n >= low) and (high is None or n <= high)]
            return min(within) if way == "least of" else max(within)
        value = self._sum()
        if self._next("rounded down to"):
            step = self._atom(False)
            return floor(value / step) * step
        if self._next("rounded up"):
            value = Fraction(ceil(value))
            if self._next(","):
                assert self._next("at least 1")
                value = max(value, Fraction(1))
        return value

    def _sum(self) -> Fraction:
        value = -self._product() if self._next("-") else self._product()
        while sign := self._next("+", "-"):
            term = self._product()
            value = value + term if sign == "+" else value - term
        return value

    def _product(self) -> Fraction:
        start = self.at
        value = self._atom(True)
        while sign := self._next("×", "÷"):
            factor = self._atom(True)
            value = value * factor if sign == "×" else value / factor
        alone = self.at == start + 1
        if alone and self.tokens[start] != "(":
            self.used.add(value)
        return value

    def _atom(self, in_product: bool) -> Fraction:
        if self._next("("):
            value = self._loose()
            assert self._next(")")
            return value
        value = number(self.tokens[self.at])
        self.at += 1
        # How many times, a half, a share: such numbers are of the rule, not of the car.
        times = in_product and (value.denominator == 1 or value < 1)
        if not times:
            self.used.add(value)
        return value

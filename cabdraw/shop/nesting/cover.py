"""What all stock has in common, sheets and bars alike: the least cost at which pieces can be cut, from both sides.

Costs and demands are whole numbers. A filling is how many of each kind come out of one piece of stock.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from math import gcd

from cabdraw.frozen import Frozen
from cabdraw.rational import Fraction

Counts = tuple[int, ...]


def widened(counts: Counts, kinds: Sequence[int], number: int) -> Counts:
    """Counts of some kinds as counts of all."""
    wide = [0] * number
    for kind, count in zip(kinds, counts, strict=True):
        wide[kind] = count
    return tuple(wide)


#: Weights are whole numbers of this part of a unit of cost.
FINE = 10**9


class Supply(Frozen):
    """What one piece of a kind of stock costs, and how many there are (None: as many as it takes)."""

    cost: int
    most: int | None


class Steps:
    """The costs that some number of pieces of stock can add up to, so that a bound may be rounded up to one."""

    def __init__(self, supplies: Sequence[Supply], limit: int, most: int = 20_000) -> None:
        self.divisor = gcd(*(supply.cost for supply in supplies)) or 1
        sums = {0}
        for supply in supplies:
            number = min(limit // supply.cost, supply.most if supply.most is not None else limit)
            sums = {total + n * supply.cost for total in sums for n in range(number + 1)}
            sums = {total for total in sums if total <= limit}
            if len(sums) > most:
                sums = set()
                break
        self.sums = sorted(sums)

    def up(self, cost: Fraction) -> int:
        """The least cost that can be had and is no less than this one."""
        return self.up_whole(-(-cost.numerator // cost.denominator))

    def up_whole(self, whole: int) -> int:
        """The same from a whole number."""
        place = bisect_left(self.sums, whole)
        if place < len(self.sums):
            return self.sums[place]
        return -(-whole // self.divisor) * self.divisor


class Weights(Frozen):
    """A weight for each kind such that no filling weighs more than its stock costs: what is left to cut costs at
    least its weight. In parts of 1/FINE of a unit of cost.
    """

    each: Counts

    def of(self, counts: Sequence[int]) -> int:
        """The weight of so many of each kind."""
        return sum(map(int.__mul__, self.each, counts))


def floored(values: Iterable[Fraction]) -> Weights:
    """Weights from exact values, each rounded down, so that they stay true."""
    return Weights(tuple(value.numerator * FINE // value.denominator for value in values))


#: For prices of the kinds, the greatest value of a filling of each stock (or more) and one filling that has it.
Price = Callable[[Counts], list[tuple[int, Counts]]]


@dataclass
class Blend:
    """The least cost where stock could be used in fractions, by the revised simplex method with column generation.

    P. C. Gilmore and R. E. Gomory, 1961. Prices are plain floating point, added up in one order, so they are the same
    on every machine; each bound is proved again in whole numbers (A. A. Farley, 1990), so no rounding can make it
    untrue.
    """

    demand: Counts
    supplies: Sequence[Supply]
    price: Price
    rounds: int
    weights: Weights = field(init=False)

    def run(self, start: Sequence[tuple[int, Counts]]) -> Weights:
        """The best weights found within `rounds` steps; `start` has one filling for each kind that holds that kind."""
        m = len(self.demand)
        dear = max(supply.cost for supply in self.supplies)
        share = [supply.cost / dear for supply in self.supplies]
        costs = [share[stock] for stock, _ in start]
        rows = [[0.0] * m for _ in range(m)]
        for i, (_, filling) in enumerate(start):
            rows[i][i] = 1.0 / filling[i]
        amounts = [self.demand[i] / start[i][1][i] for i in range(m)]
        best, self.weights = Fraction(-1), Weights((0,) * m)
        for _ in range(self.rounds):
            prices = [sum(costs[i] * rows[i][j] for i in range(m)) for j in range(m)]
            low = min(range(m), key=lambda j: (prices[j], j))
            if prices[low] < -1e-9:
                column, cost = [0.0] * m, 0.0
                column[low] = -1.0
            else:
                whole = tuple(max(0, round(price * 1e6)) for price in prices)
                found = self.price(whole)
                dearest = max(
                    (Fraction(value, supply.cost) for (value, _), supply in zip(found, self.supplies, strict=True)),
                    default=Fraction(0),
                )
                if dearest <= 0:
                    break
                bound = Fraction(sum(map(int.__mul__, whole, self.demand))) / dearest
                if bound > best:
                    best, self.weights = bound, floored(price / dearest for price in whole)
                gains = [value / 1e6 - share[stock] for stock, (value, _) in enumerate(found)]
                stock = max(range(len(gains)), key=lambda s: (gains[s], -s))
                if gains[stock] <= 1e-5 * share[stock]:
                    break
                column, cost = [float(n) for n in found[stock][1]], share[stock]
            step = [sum(map(float.__mul__, row, column)) for row in rows]
            ratios = [(amounts[i] / step[i], i) for i in range(m) if step[i] > 1e-9]
            if not ratios:
                break
            _, out = min(ratios)
            pivot = step[out]
            rows[out] = [value / pivot for value in rows[out]]
            amounts[out] /= pivot
            for i in range(m):
                if i != out and step[i]:
                    factor = step[i]
                    rows[i] = [value - factor * new for value, new in zip(rows[i], rows[out], strict=True)]
                    amounts[i] = max(0.0, amounts[i] - factor * amounts[out])
            costs[out] = cost
        return self.weights


#: Fillings that hold the first kind still wanted, as (stock, counts), and whether these are all that may do.
#: Called with what is left to cut, how many of each stock are left, the most that all the rest may cost, and whether
#: a filling of a stock still does.
Fill = Callable[
    [Counts, Sequence[int | None], int, Callable[[int, Counts], bool]], tuple[list[tuple[int, Counts]], bool]
]


@dataclass
class Search:
    """A search for the cheapest set of fillings, depth first; the first kind still wanted decides where to branch.

    `steps` limits how many fillings are tried. `proved` holds after `run` where nothing was left untried.
    """

    supplies: Sequence[Supply]
    fill: Fill
    weights: Sequence[Weights]
    least: Steps
    steps: int
    proved: bool = True
    best: list[tuple[int, Counts]] | None = None
    cost: int = 0

    def run(self, demand: Counts, below: int) -> list[tuple[int, Counts]] | None:
        """The cheapest set of fillings that costs less than `below`, as far as the steps go; None if there is none."""
        self.cost = below
        self.target = max((weights.of(demand) for weights in self.weights), default=0)
        self.target = self.least.up(Fraction(self.target, FINE))
        stock: list[int | None] = [supply.most for supply in self.supplies]
        self._deepen(demand, stock, [], 0)
        return self.best

    def _deepen(self, demand: Counts, stock: list[int | None], chosen: list[tuple[int, Counts]], used: int) -> None:
        if not any(demand):
            self.best, self.cost = list(chosen), used
            return
        room = (self.cost - used) * FINE
        total = [weights.of(demand) for weights in self.weights]

        def hopeful(kind: int, counts: Counts) -> bool:
            """Whether what is left after a filling may still cost less than the best."""
            cost = self.supplies[kind].cost * FINE
            return all(
                rest - weights.of(counts) + cost < room for rest, weights in zip(total, self.weights, strict=True)
            )

        fillings, all_of_them = self.fill(demand, stock, self.cost - used - self.least.divisor, hopeful)
        if not all_of_them:
            self.proved = False
        for kind, counts in fillings:
            if self.steps <= 0:
                self.proved = False
                return
            self.steps -= 1
            now = used + self.supplies[kind].cost
            left = tuple(map(int.__sub__, demand, counts))
            if any(self.least.up_whole(now - -weights.of(left) // FINE) >= self.cost for weights in self.weights):
                continue
            number = stock[kind]
            if number is not None:
                stock[kind] = number - 1
            chosen.append((kind, counts))
            self._deepen(left, stock, chosen, now)
            chosen.pop()
            stock[kind] = number
            if self.cost <= self.target:
                return

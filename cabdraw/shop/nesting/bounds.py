"""Least costs that no plan can be under, from functions of size that no filling can exceed.

A function from a size to a share of the stock is fair where the shares of no pieces that fit in a row add up to more
than 1 (dual feasible functions: G. S. Lueker 1983; S. P. Fekete and J. Schepers 2001). For sheets the share of a
part is the product of two such functions, one for each direction.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import product

from cabdraw.rational import Fraction
from cabdraw.shop.nesting.cover import FINE, Supply, Weights, floored

#: The share of a size in a room.
Share = Callable[[int, int], Fraction]


def plain(size: int, room: int) -> Fraction:
    """The size in proportion."""
    return Fraction(size, room)


def stepped(k: int) -> Share:
    """Shares in steps of 1/k: what is no whole multiple of 1/(k + 1) of the room is rounded down to a step."""

    def share(size: int, room: int) -> Fraction:
        if size * (k + 1) % room == 0:
            return Fraction(size, room)
        return Fraction(size * (k + 1) // room, k)

    return share


def without(small: int) -> Share:
    """What is smaller than `small` counts for nothing, and what leaves no room for as much counts for all."""

    def share(size: int, room: int) -> Fraction:
        if 2 * small > room:
            return Fraction(size, room)
        if size > room - small:
            return Fraction(1)
        return Fraction(size, room) if size >= small else Fraction(0)

    return share


def shares(sizes: Sequence[int], most: int) -> list[Share]:
    """Fair functions worth trying for some sizes: about `most` of the last sort, spread evenly."""
    distinct = sorted(set(sizes))
    step = max(1, -(-len(distinct) // most))
    return [plain, *map(stepped, range(1, 6)), *map(without, distinct[::step])]


def best_weights(candidates: Sequence[Weights], demand: Sequence[int], keep: int) -> list[Weights]:
    """The few weights that bound the whole demand best, the best first."""
    return sorted(candidates, key=lambda weights: -weights.of(demand))[:keep]


def bar_weights(sizes: Sequence[int], rooms: Sequence[int], supplies: Sequence[Supply]) -> list[Weights]:
    """Weights of pieces in bars: for each function, the least over the kinds of bar that the piece fits in."""
    return [
        floored(
            min(supply.cost * share(size, room) for room, supply in zip(rooms, supplies, strict=True) if size <= room)
            for size in sizes
        )
        for share in shares(sizes, 60)
    ]


#: For each kind of part and each kind of sheet, the sizes that the part can take there (none: it does not fit).
Positions = Sequence[Sequence[Sequence[tuple[int, int]]]]


def board_weights(
    positions: Positions, rooms: Sequence[tuple[int, int]], supplies: Sequence[Supply], most: int
) -> list[Weights]:
    """Weights of parts in sheets: for each pair of functions, the least over the sheets and positions that do."""
    widths = [w for part in positions for sheet in part for w, _ in sheet]
    heights = [h for part in positions for sheet in part for _, h in sheet]
    # Shares in whole parts of 1/FINE, rounded down: sums stay no more than the whole.
    across = [
        [{w: int(share(w, width) * FINE) for w in {w for part in positions for w, _ in part[stock]}} for share in first]
        for stock, (width, _) in enumerate(rooms)
        for first in [shares(widths, most)]
    ]
    up = [
        [
            {h: int(share(h, height) * FINE) for h in {h for part in positions for _, h in part[stock]}}
            for share in second
        ]
        for stock, (_, height) in enumerate(rooms)
        for second in [shares(heights, most)]
    ]
    costs = [supply.cost for supply in supplies]
    return [
        Weights(
            tuple(
                min(
                    cost * wide[i][w] * high[j][h] // FINE
                    for sheet, wide, high, cost in zip(part, across, up, costs, strict=True)
                    for w, h in sheet
                )
                for part in positions
            )
        )
        for i, j in product(range(len(across[0])), range(len(up[0])))
    ]


def least_by_size(size: int, rooms: Sequence[int], supplies: Sequence[Supply]) -> Fraction:
    """The least cost of stock that is as large as all pieces together, cheapest for its size first, with no more of
    each than there is. What the stock cannot hold costs nothing here: the caller asks only for pieces that were placed.
    """
    cost = Fraction(0)
    for room, supply in sorted(zip(rooms, supplies, strict=True), key=lambda each: Fraction(each[1].cost, each[0])):
        whole = supply.most if supply.most is not None and supply.most * room < size else None
        if whole is None:
            return cost + Fraction(size * supply.cost, room)
        cost, size = cost + whole * supply.cost, size - whole * room
    return cost


def bound(weights: Sequence[Weights], demand: Sequence[int]) -> Fraction:
    """The best lower bound on cost that some weights give; zero if there are none."""
    return Fraction(max((each.of(demand) for each in weights), default=0), FINE)

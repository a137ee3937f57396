"""The most valuable set of rectangles that guillotine cuts take out of one sheet, exactly, in whole units."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from heapq import heappop, heappush
from operator import add

from cabdraw.frozen import Frozen
from cabdraw.shop.nesting.tree import Beside, Block, Over, Part


class Wanted(Frozen):
    """A kind of rectangle: width and height in whole units, its value, how many at most (None: any number).

    `turns` says which positions it may take: (False,) as it is, (True,) on its side, both if either will do.
    """

    width: int
    height: int
    value: int
    most: int | None = None
    turns: tuple[bool, ...] = (False,)

    def sizes(self) -> list[tuple[int, int, bool]]:
        """Width, height and whether turned, for each position that it may take."""
        return [(self.height, self.width, True) if turn else (self.width, self.height, False) for turn in self.turns]


class Best(Frozen):
    """The best value found, the block that has it, and whether it is proved (no step limit was met)."""

    value: int
    block: Block | None
    proved: bool = True


def sums_within(sizes: Iterable[int], room: int) -> list[int]:
    """All sums of any number of the sizes up to `room`, zero included, in order.

    Cuts need be tried only there: every piece can be pushed to the left and down until it meets another
    (the discretisation points of J. C. Herz, 1972).
    """
    reached = 1
    inside = (1 << (room + 1)) - 1
    for size in sorted(set(sizes)):
        step = size
        while step <= room:
            reached |= reached << step & inside
            step *= 2
    return [place for place, digit in enumerate(reversed(bin(reached)[2:])) if digit == "1"]


class Unlimited:
    """The value of every sub-sheet where any number of each rectangle may be cut (P. C. Gilmore, R. E. Gomory, 1966).

    `worth[i][j]` is the best value within `across[i]` by `up[j]`.
    """

    def __init__(self, width: int, height: int, wanted: Sequence[Wanted]) -> None:
        sizes = [(w, h, kind, turn) for kind, one in enumerate(wanted) for w, h, turn in one.sizes()]
        self.sizes = [each for each in sizes if each[0] <= width and each[1] <= height]
        self.wanted = wanted
        self.across = sums_within((w for w, *_ in self.sizes), width)
        self.up = sums_within((h for _, h, *_ in self.sizes), height)
        self.worth: list[list[int]] = []
        self._fill()

    def _fill(self) -> None:
        across, up = self.across, self.up
        # For the cut at up[k] of up[j], where the rest lies among the points.
        rests = [
            [bisect_right(up, height - up[k]) - 1 for k in range(1, bisect_right(up, height // 2))] for height in up
        ]
        for width in across:
            row = [0] * len(up)
            for w, h, kind, _ in self.sizes:
                if w <= width:
                    value = self.wanted[kind].value
                    first = bisect_right(up, h - 1)
                    row[first:] = [value if value > old else old for old in row[first:]]
            for k in range(1, bisect_right(across, width // 2)):
                rest = self.worth[bisect_right(across, width - across[k]) - 1]
                row = list(map(max, row, map(add, self.worth[k], rest)))
            for j in range(1, len(up)):
                if rests[j]:
                    best = max(map(add, row[1 : len(rests[j]) + 1], map(row.__getitem__, rests[j])))
                    if best > row[j]:
                        row[j] = best
                if row[j - 1] > row[j]:
                    row[j] = row[j - 1]
            self.worth.append(row)

    def best(self) -> Best:
        """The best value for the whole sheet, and its block."""
        return Best(self.worth[-1][-1], self.block(len(self.across) - 1, len(self.up) - 1))

    def within(self, width: int, height: int) -> int:
        """The best value within a rectangle of any size."""
        return self.worth[bisect_right(self.across, width) - 1][bisect_right(self.up, height) - 1]

    def block(self, i: int, j: int) -> Block | None:
        """The pieces of a sub-sheet, as a block; None where nothing is cut from it."""
        value = self.worth[i][j]
        if value == 0:
            return None
        for w, h, kind, turn in self.sizes:
            if w <= self.across[i] and h <= self.up[j] and self.wanted[kind].value == value:
                return Part(w, h, kind, turn)
        for k in range(1, bisect_right(self.across, self.across[i] // 2)):
            rest = bisect_right(self.across, self.across[i] - self.across[k]) - 1
            if self.worth[k][j] + self.worth[rest][j] == value:
                return joined(self.block(k, j), self.block(rest, j), beside=True)
        for k in range(1, bisect_right(self.up, self.up[j] // 2)):
            rest = bisect_right(self.up, self.up[j] - self.up[k]) - 1
            if self.worth[i][k] + self.worth[i][rest] == value:
                return joined(self.block(i, k), self.block(i, rest), beside=False)
        return self.block(i, j - 1)


def joined(one: Block | None, other: Block | None, beside: bool) -> Block | None:
    """Two blocks as one, beside or over each other; the other alone where one is None."""
    if one is None or other is None:
        return one or other
    return Beside.of(one, other) if beside else Over.of(one, other)


def best_unlimited(width: int, height: int, wanted: Sequence[Wanted]) -> Best:
    """The best value of a sheet where any number of each rectangle may be cut; `most` is not looked at."""
    return Unlimited(width, height, wanted).best()


def best_limited(width: int, height: int, wanted: Sequence[Wanted], steps: int = 20_000) -> Best:
    """The best value of a sheet with at most `most` of each rectangle, by building blocks up, most promising first.

    After K. V. Viswanathan and A. Bagchi (1993): a block's promise is its value and what can at most be added
    around it: the lesser of what the rest of the sheet holds with no limit on numbers and of what fills its area.
    `steps` blocks are looked at; where they do not do, the best so far comes back, not proved.
    """
    kinds = [kind for kind, one in enumerate(wanted) if any(w <= width and h <= height for w, h, _ in one.sizes())]
    around = _Around(Unlimited(width, height, wanted))
    most = [one.most if one.most is not None else width * height for one in wanted]
    density = sorted(kinds, key=lambda kind: -wanted[kind].value / (wanted[kind].width * wanted[kind].height))
    memory: dict[tuple[tuple[int, ...], int], int] = {}

    def filling(counts: tuple[int, ...], room: int) -> int:
        """At most this value fits in an area beside what is cut already: parts of pieces count in proportion."""
        key = (counts, room)
        if key not in memory:
            value, left = 0, room
            for kind in density:
                one = wanted[kind]
                area = one.width * one.height
                number = min(most[kind] - counts[kind], left // area)
                value, left = value + number * one.value, left - number * area
                if number < most[kind] - counts[kind]:
                    value += left * one.value // area
                    break
            memory[key] = value
        return memory[key]

    waiting: list[tuple[int, int, int, tuple[int, ...], Block]] = []
    seen: dict[tuple[int, ...], list[tuple[int, int]]] = {}
    best = Best(0, None)
    order = 0

    def offer(block: Block, counts: tuple[int, ...], value: int) -> None:
        nonlocal best, order
        promise = min(
            around.at(block.width, block.height), filling(counts, width * height - block.width * block.height)
        )
        if value + promise <= best.value and value <= best.value:
            return
        known = seen.setdefault(counts, [])
        if any(w <= block.width and h <= block.height for w, h in known):
            return
        known.append((block.width, block.height))
        if value > best.value:
            best = Best(value, block)
        order += 1
        heappush(waiting, (-value - promise, order, value, counts, block))

    for kind in kinds:
        for w, h, turn in wanted[kind].sizes():
            if w <= width and h <= height and most[kind] > 0:
                offer(Part(w, h, kind, turn), tuple(int(k == kind) for k in range(len(wanted))), wanted[kind].value)
    done: list[tuple[Block, tuple[int, ...], int]] = []
    while waiting and steps > 0:
        promised, _, value, counts, block = heappop(waiting)
        if -promised <= best.value:
            break
        steps -= 1
        done.append((block, counts, value))
        for other, others, worth in done:
            beside = block.width + other.width <= width
            over = block.height + other.height <= height
            if not beside and not over:
                continue
            both = tuple(map(add, counts, others))
            if any(map(int.__gt__, both, most)):
                continue
            if beside:
                offer(Beside.of(block, other), both, value + worth)
            if over:
                offer(Over.of(block, other), both, value + worth)
    return Best(best.value, best.block, not waiting or -waiting[0][0] <= best.value)


class _Around:
    """What can at most be cut around a block that lies in the sheet's lower left corner, for every size of block."""

    def __init__(self, inside: Unlimited) -> None:
        self.across, self.up = inside.across, inside.up
        columns, rows = len(self.across), len(self.up)
        # A block grows by steps from point to point, and each adds at most what fits in the strip that it grows by.
        self.most = [[0] * rows for _ in range(columns)]
        for i in range(columns - 1, -1, -1):
            for j in range(rows - 1, -1, -1):
                w, h = self.across[i], self.up[j]
                best = 0
                for k in range(i + 1, columns):
                    best = max(best, self.most[k][j] + inside.within(self.across[k] - w, h))
                for k in range(j + 1, rows):
                    best = max(best, self.most[i][k] + inside.within(w, self.up[k] - h))
                self.most[i][j] = best

    def at(self, width: int, height: int) -> int:
        """The bound for a block of a size; sizes are sums of pieces, so they lie on the points."""
        return self.most[bisect_right(self.across, width) - 1][bisect_right(self.up, height) - 1]

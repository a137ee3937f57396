"""Every set of parts that guillotine cuts can take from one sheet, and the cheapest sheets that give all: exact.

Blocks are put together from smaller blocks, beside or over each other, so that every guillotine layout of any number
of stages is among them (P. Y. Wang, 1983); of the blocks with the same parts only those stay that no other fits within.
That is possible while the sets are few: up to some thirty parts where a sheet holds a handful, as wall panels do.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import product

from cabdraw.rational import Fraction
from cabdraw.shop.nesting.cover import Blend, Counts, Search, Steps, Weights
from cabdraw.shop.nesting.starts import Boards, Filled
from cabdraw.shop.nesting.tree import Beside, Block, Over, Part, cut_up, largest_spare

#: More sets than this are too many to search among.
MOST_SETS = 3_000


@dataclass
class Sets:
    """The sets of parts that fit on one kind of sheet, with the smallest blocks of each; `complete` if that is all.

    `steps` limits how many pairs of blocks are put together, and holds how many are left.
    """

    task: Boards
    sheet: int
    demand: Counts
    steps: int
    complete: bool = True
    blocks: dict[Counts, list[Block]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        width, height = self.task.rooms[self.sheet]
        level: list[Counts] = []
        for kind, number in enumerate(self.demand):
            parts = [Part(w, h, kind, turned) for w, h, turned in self.task.positions[kind][self.sheet]]
            if number and parts:
                counts = tuple(int(k == kind) for k in range(len(self.demand)))
                self.blocks[counts] = list(parts)
                level.append(counts)
        while level and self.complete:
            following: list[Counts] = []
            for counts in level:
                last = max(kind for kind, number in enumerate(counts) if number)
                for kind in range(last, len(counts)):
                    if counts[kind] == self.demand[kind]:
                        continue
                    self.steps -= 1
                    larger = (*counts[:kind], counts[kind] + 1, *counts[kind + 1 :])
                    if sum(map(int.__mul__, larger, self.task.areas)) > width * height:
                        continue
                    if any(n and _less(larger, k) not in self.blocks for k, n in enumerate(larger)):
                        continue
                    blocks = self._smallest(larger, width, height)
                    if self.steps < 0 or len(self.blocks) >= MOST_SETS:
                        self.complete = False
                        return
                    if blocks:
                        self.blocks[larger] = blocks
                        following.append(larger)
            level = following

    def _smallest(self, counts: Counts, width: int, height: int) -> list[Block]:
        """The blocks of a set that fit on the sheet and within none of which another fits."""
        kinds = [kind for kind, number in enumerate(counts) if number]
        front: list[tuple[int, int, bool, Block, Block]] = []
        for numbers in product(*(range(counts[kind] + 1) for kind in kinds)):
            if 2 * sum(numbers) < sum(counts) or not any(map(int.__ne__, numbers, (counts[kind] for kind in kinds))):
                continue
            some, rest = [0] * len(counts), list(counts)
            for kind, number in zip(kinds, numbers, strict=True):
                some[kind] = number
                rest[kind] -= number
            ones, others = self.blocks[tuple(some)], self.blocks[tuple(rest)]
            self.steps -= len(ones) * len(others)
            for one in ones:
                wide, high = one.width, one.height
                for other in others:
                    w, h = wide + other.width, high if high > other.height else other.height
                    if w <= width and h <= height and not any(f[0] <= w and f[1] <= h for f in front):
                        front = [f for f in front if f[0] < w or f[1] < h]
                        front.append((w, h, True, one, other))
                    w, h = wide if wide > other.width else other.width, high + other.height
                    if h <= height and w <= width and not any(f[0] <= w and f[1] <= h for f in front):
                        front = [f for f in front if f[0] < w or f[1] < h]
                        front.append((w, h, False, one, other))
        return [(Beside if beside else Over)(w, h, one, other) for w, h, beside, one, other in front]

    def layout(self, counts: Counts) -> Filled:
        """The set on its sheet, from the block that leaves the largest off-cut."""
        width, height = self.task.rooms[self.sheet]
        trees = [cut_up(block, width, height) for block in self.blocks[counts]]
        tree = max(trees, key=lambda tree: largest_spare(tree, width, height, self.task.kerf))
        return Filled(self.sheet, tree, counts, sum(map(int.__mul__, counts, self.task.areas)))


def _less(counts: Counts, kind: int) -> Counts:
    return (*counts[:kind], counts[kind] - 1, *counts[kind + 1 :])


@dataclass
class Exact:
    """The cheapest sheets for all parts, out of the sets that fit on each kind of sheet."""

    task: Boards
    sets: Sequence[Sets]
    demand: Counts

    def __post_init__(self) -> None:
        """Sort the sets by the first kind that they hold, which is the one that the search branches on."""
        self.by_first: list[list[list[Counts]]] = []
        for sets in self.sets:
            lists: list[list[Counts]] = [[] for _ in self.demand]
            for counts in sets.blocks:
                lists[next(kind for kind, number in enumerate(counts) if number)].append(counts)
            self.by_first.append(lists)

    def fill(
        self,
        left: Counts,
        stock: Sequence[int | None],
        budget: int,
        hopeful: Callable[[int, Counts], bool],
        weights: Weights,
    ) -> tuple[list[tuple[int, Counts]], bool]:
        """The sets with the first part still wanted to which no other part can be added, the weightiest first."""
        first = next(kind for kind, number in enumerate(left) if number)
        found: list[tuple[Fraction, int, Counts]] = []
        for sheet, sets in enumerate(self.sets):
            cost = self.task.supplies[sheet].cost
            if stock[sheet] == 0 or cost > budget:
                continue
            for counts in self.by_first[sheet][first]:
                if any(map(int.__gt__, counts, left)) or not hopeful(sheet, counts):
                    continue
                if any(
                    number < left[kind] and (*counts[:kind], number + 1, *counts[kind + 1 :]) in sets.blocks
                    for kind, number in enumerate(counts)
                ):
                    continue
                found.append((Fraction(-weights.of(counts), cost), sheet, counts))
        found.sort(key=lambda each: each[0])
        return [(sheet, counts) for _, sheet, counts in found], True

    def blend(self, rounds: int) -> Weights:
        """Weights from the linear programme over all sets: the strongest bound that fractions of sheets give."""
        fullest = [
            [
                counts
                for counts in sets.blocks
                if not any(
                    number < self.demand[kind] and (*counts[:kind], number + 1, *counts[kind + 1 :]) in sets.blocks
                    for kind, number in enumerate(counts)
                )
            ]
            for sets in self.sets
        ]

        def price(values: Counts) -> list[tuple[int, Counts]]:
            return [
                max(((sum(map(int.__mul__, values, counts)), counts) for counts in some), default=(0, values))
                for some in fullest
            ]

        alone = []
        for kind, number in enumerate(self.demand):
            best: tuple[Fraction, int, Counts] | None = None
            for sheet, sets in enumerate(self.sets):
                for many in range(number, 0, -1):
                    counts = tuple(many if k == kind else 0 for k in range(len(self.demand)))
                    if counts in sets.blocks:
                        each = Fraction(self.task.supplies[sheet].cost, many)
                        if best is None or each < best[0]:
                            best = (each, sheet, counts)
                        break
            assert best is not None
            alone.append(best[1:])
        return Blend(self.demand, self.task.supplies, price, rounds).run(alone)

    def search(self, weights: Sequence[Weights], least: Steps, below: int, steps: int) -> Search:
        """Look for sheets that cost less than `below`; what was found is in the search that comes back."""
        search = Search(self.task.supplies, partial(self.fill, weights=weights[0]), weights, least, steps)
        search.run(self.demand, below)
        return search

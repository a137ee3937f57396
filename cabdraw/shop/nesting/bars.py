"""Cutting bars and strips to length: the cheapest stock, then the longest single piece left over.

Small and usual sets are solved exactly; the plan carries a proved bound in any case.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from random import Random

from cabdraw.frozen import Frozen, replace
from cabdraw.rational import Fraction
from cabdraw.shop.nesting.bounds import bar_weights, best_weights, bound, least_by_size
from cabdraw.shop.nesting.cover import Blend, Counts, Search, Steps, Supply, widened
from cabdraw.shop.nesting.shapes import Bar, BarLayout, BarPiece, BarPlan, checked, grouped, unit_of

#: No more fillings of one bar are listed at a time, and no more steps are taken to list them.
_FILLINGS, _STEPS = 300, 6_000
#: So many are enough where one of them will be taken.
_SOME = 40
#: Deeper than this the search would outgrow the stack that Python allows.
_DEEPEST = 400
#: Lengths that can be reached are told apart in no more steps than this.
_FINEST = 4_096
#: Rounds of column generation for the bound.
_ROUNDS = 300
#: With more kinds than this the linear programme takes longer than it is worth.
_BLENDED = 120

Chosen = list[tuple[int, Counts]]


class _Bars(Frozen):
    """The task in whole units: each size and each room is larger by one kerf, so that pieces may touch."""

    sizes: tuple[int, ...]
    rooms: tuple[int, ...]
    supplies: tuple[Supply, ...]
    #: Cost and room of the bar with the least cost for its length.
    cheapest: tuple[int, int]
    shuffle: Random | None = None

    def fillings(
        self, left: Counts, room: int, waste: int, every: bool, enough: Callable[[Counts], bool]
    ) -> tuple[list[Counts], bool]:
        """The fillings that hold the largest kind still wanted and leave at most `waste`, the fullest first.

        None of them has room for another piece. Unless `every` is asked for, only about the fullest come. The second
        value is whether these are all that are good enough.
        """
        first = next(kind for kind, number in enumerate(left) if number)
        rest = room - self.sizes[first]
        if rest < 0:
            return [], True
        kinds = [kind for kind in range(first, len(left)) if left[kind] > (kind == first) and self.sizes[kind] <= rest]
        reach = _Reach([(self.sizes[kind], left[kind] - (kind == first)) for kind in kinds], rest)
        found: list[tuple[int, Counts]] = []
        counts = [int(kind == first) for kind in range(len(left))]
        steps = _STEPS
        enough_of_them = _FILLINGS if every else _SOME

        def deepen(index: int, room: int, most: int) -> None:
            """Take some of one more kind, from the place `index` on, until what is left is at most `most`."""
            nonlocal steps
            for place in range(index, len(kinds)):
                kind = kinds[place]
                if self.sizes[kind] > room:
                    continue
                if steps <= 0 or len(found) >= enough_of_them or not reach.between(place, room - most, room):
                    break
                for number in range(min(left[kind] - (kind == first), room // self.sizes[kind]), 0, -1):
                    steps -= 1
                    counts[kind] = number + (kind == first)
                    deepen(place + 1, room - number * self.sizes[kind], most)
                counts[kind] = int(kind == first)
            if room <= most and len(found) < enough_of_them:
                full = all(counts[kind] == left[kind] or self.sizes[kind] > room for kind in kinds)
                filling = tuple(counts)
                if full and enough(filling):
                    found.append((room, filling))

        for most in (reach.fullest, reach.fullest + reach.blur, waste):
            if most > waste:
                break
            found.clear()
            deepen(0, rest, most)
            if steps <= 0 or len(found) >= enough_of_them or (found and not every):
                break
        found.sort(key=lambda each: each[0])
        return [filling for _, filling in found], steps > 0 and len(found) < enough_of_them

    def fill(
        self, left: Counts, stock: Sequence[int | None], budget: int | None, hopeful: Callable[[int, Counts], bool]
    ) -> tuple[Chosen, bool]:
        """The fillings of every kind of bar that is left, those that waste the least money first."""
        found: list[tuple[float, int, Counts]] = []
        complete = True
        length = self.length(left)
        for kind, room in enumerate(self.rooms):
            if stock[kind] == 0:
                continue
            waste = room
            if budget is not None:
                # What is left after this bar costs at least the cheapest rate for its length.
                money = budget - self.supplies[kind].cost
                if money < 0:
                    continue
                waste = room - (length - min(length, money * self.cheapest[1] // self.cheapest[0]))
                if waste < 0:
                    continue
            fillings, all_of_them = self.fillings(left, room, waste, budget is not None, partial(hopeful, kind))
            complete = complete and all_of_them
            found += ((self.price_of(kind, counts), kind, counts) for counts in fillings)
        if self.shuffle is None:
            found.sort(key=lambda each: each[0])
        else:
            random = self.shuffle.random
            found.sort(key=lambda each: each[0] * (1 + 0.02 * random() ** 3))
        return [(kind, counts) for _, kind, counts in found], complete

    def price_of(self, kind: int, counts: Counts) -> float:
        """What a filled bar costs for each unit of length that is used."""
        return self.supplies[kind].cost / self.length(counts)

    def length(self, counts: Counts) -> int:
        """The length of so many of each kind, kerfs included."""
        return sum(map(int.__mul__, counts, self.sizes))

    def greedy(self, demand: Counts) -> tuple[Chosen, Counts]:
        """The best filling for the longest piece, time after time; and what found no bar."""
        left, stock = list(demand), [supply.most for supply in self.supplies]
        chosen: Chosen = []
        missing = [0] * len(demand)
        while any(left):
            fillings, _ = self.fill(tuple(left), stock, None, lambda kind, counts: True)
            if not fillings:
                first = next(k for k, n in enumerate(left) if n)
                missing[first], left[first] = left[first], 0
                continue
            kind, counts = fillings[0]
            # The same bar as often as it can be repeated.
            times = min(have // n for have, n in zip(left, counts, strict=True) if n)
            number = stock[kind]
            if number is not None:
                times = min(times, number)
                stock[kind] = number - times
            chosen += [(kind, counts)] * times
            left = [have - n * times for have, n in zip(left, counts, strict=True)]
        return chosen, tuple(missing)

    def price(self, demand: Counts, values: Counts) -> list[tuple[int, Counts]]:
        """For each kind of bar the most valuable filling (bounded knapsack, branch and bound, by value for length)."""
        order = sorted((k for k in range(len(values)) if values[k]), key=lambda k: Fraction(-values[k], self.sizes[k]))
        return [self._knapsack(demand, values, order, room) for room in self.rooms]

    def _knapsack(self, demand: Counts, values: Counts, order: Sequence[int], room: int) -> tuple[int, Counts]:
        best, best_counts = 0, (0,) * len(values)
        counts = [0] * len(values)
        steps = 2_000
        beyond = 0

        def deepen(index: int, room: int, value: int) -> None:
            nonlocal best, best_counts, steps, beyond
            if value > best:
                best, best_counts = value, tuple(counts)
            for place in range(index, len(order)):
                kind = order[place]
                size = self.sizes[kind]
                if value + values[kind] * room // size <= best:
                    break
                steps -= 1
                if steps < 0:
                    beyond = max(beyond, value + values[kind] * room // size)
                    break
                for number in range(min(demand[kind], room // size), 0, -1):
                    counts[kind] = number
                    deepen(place + 1, room - number * size, value + number * values[kind])
                counts[kind] = 0

        deepen(0, room, 0)
        return max(best, beyond), best_counts


class _Reach:
    """Which lengths some pieces can add up to: for those from each place on, the bits of one number.

    A room of very many units is told in coarser steps; then a length may seem within reach that is not, by up to
    `blur`, but never the other way about.
    """

    def __init__(self, pieces: Sequence[tuple[int, int]], room: int) -> None:
        """From sizes with how many there are, the smallest last."""
        self.step = 1 + room // _FINEST
        self.blur = room // pieces[-1][0] * self.step if pieces and self.step > 1 else 0
        inside = (1 << (room // self.step + 1)) - 1
        reach = [1]
        for size, number in reversed(pieces):
            reached, times = reach[-1], 1
            while number > 0:
                take = min(times, number)
                reached |= reached << take * (size // self.step) & inside
                number, times = number - take, times * 2
            reach.append(reached)
        self.reach = reach[::-1]
        #: No less than this can be left of the room.
        self.fullest = max(0, room - (self.reach[0].bit_length() - 1) * self.step - self.blur)

    def between(self, place: int, least: int, most: int) -> bool:
        """Whether pieces from a place on may add up to a length from `least` to `most`."""
        low = max(0, (least - self.blur) // self.step)
        return bool(self.reach[place] >> low & (1 << (most // self.step - low + 1)) - 1)


def cut_bars(
    pieces: Sequence[BarPiece],
    bars: Sequence[Bar],
    kerf: Fraction | int = 0,
    trim: Fraction | int = 0,
    steps: int = 20_000,
) -> BarPlan:
    """Cut pieces from bars at the least cost, then with the longest single piece left over.

    Lengths are exact, in one unit. `kerf` is lost between pieces, and between the last piece and what is left;
    `trim` is what comes off each end of a bar first, its saw cut included. `steps` limits the search.
    Pieces that are too long, or find no bar, are in `unplaced`. Raises ValueError as `nest_boards` does.
    """
    checked([(piece.mark, piece.length) for piece in pieces], [(bar.name, bar.cost) for bar in bars])
    kinds = [(length, places) for length, places in grouped([Fraction(piece.length) for piece in pieces]).items()]
    kinds.sort(key=lambda kind: -kind[0])
    rooms = [Fraction(bar.length) - 2 * Fraction(trim) for bar in bars]
    usable = [i for i, bar in enumerate(bars) if bar.count != 0 and rooms[i] > 0]
    fitting = [kind for kind in kinds if any(kind[0] <= rooms[i] for i in usable)]
    unit = unit_of([kerf, *(rooms[i] for i in usable), *(length for length, _ in fitting)])
    costs = [Fraction(bar.cost) if bar.cost is not None else Fraction(bar.length) for bar in bars]
    money = unit_of(costs[i] for i in usable)
    whole = tuple(int((rooms[i] + kerf) / unit) for i in usable)
    supplies = tuple(Supply(int(costs[i] / money), bars[i].count) for i in usable)
    task = _Bars(
        tuple(int((length + kerf) / unit) for length, _ in fitting),
        whole,
        supplies,
        min(
            ((supply.cost, room) for room, supply in zip(whole, supplies, strict=True)),
            key=lambda each: Fraction(*each),
            default=(1, 1),
        ),
    )
    demand = tuple(len(places) for _, places in fitting)
    chosen, least = _solve(task, demand, steps)
    chosen = _settled(task, chosen, steps // 40, 0)
    chosen.sort(key=lambda each: (each[0], task.rooms[each[0]] - task.length(each[1])))
    waiting = [list(places) for _, places in fitting]
    layouts = []
    for kind, counts in chosen:
        bar, at, cut = bars[usable[kind]], Fraction(trim), []
        for (length, _), number, queue in zip(fitting, counts, waiting, strict=True):
            for _ in range(number):
                cut.append((pieces[queue.pop(0)].mark, at, length))
                at += length + kerf
        layouts.append(BarLayout(bar, tuple(cut), max(Fraction(0), Fraction(bar.length) - Fraction(trim) - at)))
    placed = {mark for layout in layouts for mark, _, _ in layout.pieces}
    return BarPlan(
        tuple(layouts),
        tuple(piece.mark for piece in pieces if piece.mark not in placed),
        sum((costs[usable[kind]] for kind, _ in chosen), Fraction(0)),
        least * money,
    )


def _solve(task: _Bars, demand: Counts, steps: int) -> tuple[Chosen, Fraction]:
    """The cheapest fillings found for all that finds a bar, and the bound on their cost."""
    chosen, missing = task.greedy(demand) if demand else ([], ())
    if not chosen:
        return [], Fraction(0)
    wanted = tuple(map(int.__sub__, demand, missing))
    cost = sum(task.supplies[kind].cost for kind, _ in chosen)
    least = Steps(task.supplies, cost)
    weights = best_weights(bar_weights(task.sizes, task.rooms, task.supplies), wanted, 3)
    proved = max(bound(weights, wanted), least_by_size(task.length(wanted), task.rooms, task.supplies))
    if least.up(proved) == cost or len(chosen) > _DEEPEST:
        return chosen, Fraction(least.up(proved))
    rounds, steps = steps // 4, steps // (1 + (len(wanted) // 80) ** 2)
    search = Search(task.supplies, task.fill, weights, least, steps // 4)
    better = search.run(wanted, cost)
    if better is None and not search.proved:
        better = _settled(task, chosen, rounds, least.up(proved))
    if better is not None:
        chosen, cost = better, _cost(task, better)
    if search.proved:
        return chosen, Fraction(cost)
    if least.up(proved) < cost and len(wanted) <= _BLENDED:
        weights = [
            Blend(wanted, task.supplies, partial(task.price, wanted), _ROUNDS).run(_alone(task, wanted)),
            *weights,
        ]
        proved = max(proved, bound(weights, wanted))
        search = Search(task.supplies, task.fill, weights, least, steps * 2 // 3)
        better = search.run(wanted, cost) if least.up(proved) < cost else None
        if better is not None:
            chosen, cost = better, search.cost
        if search.proved and least.up(proved) < cost:
            proved = Fraction(cost)
    return chosen, Fraction(min(least.up(proved), cost))


def _cost(task: _Bars, chosen: Chosen) -> int:
    return sum(task.supplies[kind].cost for kind, _ in chosen)


def _alone(task: _Bars, demand: Counts) -> Chosen:
    """For each kind, one bar with as many of it as fit and are wanted, where that costs the least for each."""
    found = []
    for kind, size in enumerate(task.sizes):
        fits = [(min(demand[kind], room // size), stock) for stock, room in enumerate(task.rooms) if size <= room]
        number, stock = min(fits, key=lambda each: Fraction(task.supplies[each[1]].cost, max(1, each[0])))
        found.append((stock, tuple(max(1, number) if k == kind else 0 for k in range(len(demand)))))
    return found


def _settled(task: _Bars, chosen: Chosen, rounds: int, enough: int) -> Chosen:
    """The same pieces with what is left over gathered in few bars, and bars saved where that empties one.

    Time after time a few bars are filled anew, and kept where that costs less, or the same with the waste less evenly
    spread; always with the same random numbers. It stops at the cost `enough`, or after so many rounds.
    """
    random = Random(1)
    task = replace(task, shuffle=random)
    bars = list(chosen)
    cost = _cost(task, bars)

    def left(bar: tuple[int, Counts]) -> int:
        return task.rooms[bar[0]] - task.length(bar[1])

    waste = [left(bar) for bar in bars]
    for _ in range(rounds if len(bars) > 1 else 0):
        if cost <= enough:
            break
        emptiest = max(range(len(bars)), key=waste.__getitem__)
        picked = {emptiest} if random.random() < 0.5 else set()
        while len(picked) < min(len(bars), 3):
            picked.add(int(random.random() * len(bars)))
        old = [bars[i] for i in sorted(picked)]
        pool = tuple(map(sum, zip(*(counts for _, counts in old), strict=True)))
        used = [sum(kind == stock for kind, _ in bars) for stock in range(len(task.supplies))]
        spare = [
            Supply(
                supply.cost,
                None if supply.most is None else supply.most - used[stock] + sum(k == stock for k, _ in old),
            )
            for stock, supply in enumerate(task.supplies)
        ]
        kinds = [kind for kind, number in enumerate(pool) if number]
        part = replace(task, sizes=tuple(task.sizes[kind] for kind in kinds), supplies=tuple(spare))
        filled, missing = part.greedy(tuple(pool[kind] for kind in kinds))
        if any(missing):
            continue
        new = [(stock, widened(counts, kinds, len(pool))) for stock, counts in filled]
        before, after = _cost(task, old), _cost(task, new)
        wasted = [left(bar) for bar in new]
        gain = sum(w * w for w in wasted) - sum(waste[i] ** 2 for i in picked)
        if after < before or (after == before and gain >= 0):
            bars = [bar for i, bar in enumerate(bars) if i not in picked] + new
            waste = [w for i, w in enumerate(waste) if i not in picked] + wasted
            cost += after - before
    return bars

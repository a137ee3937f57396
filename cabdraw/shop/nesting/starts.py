"""Nesting by many starts: sheets filled part by part under varied orders and rules, then filled anew a few at a time.

Random numbers come from a fixed seed and the work is counted in parts looked at, never in time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from random import Random

from cabdraw.frozen import Frozen, replace
from cabdraw.shop.nesting.cover import Counts, Supply, widened
from cabdraw.shop.nesting.tree import Part, Split, Tree, largest_spare, parts_in, renamed


class Boards(Frozen):
    """The task in whole units: rooms of the sheets and sizes of the parts, each larger by one kerf.

    `positions[kind][sheet]` are the width, height and turn of each way in which the part fits on the sheet.
    """

    positions: tuple[tuple[tuple[tuple[int, int, bool], ...], ...], ...]
    areas: tuple[int, ...]
    rooms: tuple[tuple[int, int], ...]
    supplies: tuple[Supply, ...]
    kerf: int


def only(task: Boards, kinds: Sequence[int]) -> Boards:
    """The task with some kinds of parts alone, in that order."""
    positions = tuple(task.positions[kind] for kind in kinds)
    return replace(task, positions=positions, areas=tuple(task.areas[kind] for kind in kinds))


class Filled(Frozen):
    """A sheet of a kind, the cuts that fill it, how many parts of each kind it holds, and their area with kerfs."""

    sheet: int
    tree: Tree
    counts: Counts
    area: int


def of_all(filled: Filled, kinds: Sequence[int], number: int) -> Filled:
    """A sheet filled in a task with some kinds alone, as a sheet of the task with all kinds."""
    return replace(filled, tree=renamed(filled.tree, kinds), counts=widened(filled.counts, kinds, number))


class Plan(Frozen):
    """Filled sheets, and what found none."""

    sheets: tuple[Filled, ...]
    missing: Counts


class Rules(Frozen):
    """How one start fills its sheets.

    `order`: the kinds, the first that fits going in first; empty to take the part that fits a region best.
    `upright`: which cut comes first beside and over a part; None for the one that leaves the larger region.
    `close`: whether a part lies in the position that leaves the least beside it, else as it comes.
    """

    order: tuple[int, ...]
    upright: bool | None
    close: bool


#: At most so many rules are tried for each sheet of a start.
MANY = 6


#: Regions within regions, beyond which one is left as an off-cut.
DEEPEST = 200


@dataclass
class Work:
    """How many more parts may be looked at, and the random numbers to vary the starts."""

    left: int
    random: Random = field(default_factory=lambda: Random(1))


class _Filling:
    """One sheet being filled: what is left of each kind, and the ways in which parts may lie, in order."""

    def __init__(self, task: Boards, sheet: int, left: Sequence[int], rules: Rules, work: Work) -> None:
        self.left, self.rules, self.work = list(left), rules, work
        self.ways = [
            (w, h, kind, turned)
            for kind in rules.order or range(len(left))
            if left[kind]
            for w, h, turned in task.positions[kind][sheet]
        ]
        self.least_width = min((way[0] for way in self.ways), default=0)
        self.least_height = min((way[1] for way in self.ways), default=0)

    def choose(self, width: int, height: int) -> tuple[int, int, int, bool] | None:
        """The part for a region and how it lies; None if nothing fits."""
        if width < self.least_width or height < self.least_height:
            return None
        looked = 0
        chosen: tuple[int, int, int, bool] | None = None
        if self.rules.order:
            for way in self.ways:
                looked += 1
                if chosen is not None and way[2] != chosen[2]:
                    break
                if way[0] <= width and way[1] <= height:
                    if chosen is None:
                        chosen = way
                        if not self.rules.close:
                            break
                    elif min(width - way[0], height - way[1]) < min(width - chosen[0], height - chosen[1]):
                        chosen = way
        else:
            # The kinds come largest first, so of parts that fit alike the larger goes in.
            least = 1 << 62
            for way in self.ways:
                if way[0] <= width and way[1] <= height:
                    over = min(width - way[0], height - way[1])
                    if over < least:
                        least, chosen = over, way
            looked = len(self.ways)
        self.work.left -= looked
        return chosen

    def fill(self, width: int, height: int, depth: int = 0) -> Tree | None:
        """Fill a region, and take from what is left what goes in."""
        done: list[tuple[bool, int, Tree]] = []
        tree: Tree | None = None
        # Each part in turn and what is cut along with it; then the rest of the region in the same way.
        while depth < DEEPEST and (chosen := self.choose(width, height)) is not None:
            w, h, kind, turned = chosen
            self.left[kind] -= 1
            if not self.left[kind]:
                self.ways = [way for way in self.ways if way[2] != kind]
            part = Part(w, h, kind, turned)
            wide, high = width - w, height - h
            upright = self.rules.upright
            if upright is None:
                upright = max(wide * height, w * high) >= max(width * high, wide * h)
            if not wide or not high:
                upright = not high
            if upright:
                near: Tree = Split(False, h, part, self.fill(w, high, depth + 1)) if high else part
            else:
                near = Split(True, w, part, self.fill(wide, h, depth + 1)) if wide else part
            if not (wide if upright else high):
                tree = near
                break
            done.append((upright, w if upright else h, near))
            width, height = (wide, height) if upright else (width, high)
        for upright, at, near in reversed(done):
            tree = Split(upright, at, near, tree)
        return tree


def fill_sheet(task: Boards, sheet: int, left: Sequence[int], rules: Rules, work: Work) -> Filled | None:
    """One sheet filled with what is left; None if nothing fits."""
    filling = _Filling(task, sheet, left, rules, work)
    work.left -= 5
    tree = filling.fill(*task.rooms[sheet])
    if tree is None:
        return None
    counts = tuple(map(int.__sub__, left, filling.left))
    return Filled(sheet, tree, counts, sum(map(int.__mul__, counts, task.areas)))


def start(task: Boards, demand: Sequence[int], stock: Sequence[int | None], rules: Sequence[Rules], work: Work) -> Plan:
    """Fill sheet after sheet, each of the kind and by the rules that cost the least for what goes on it."""
    left, have = list(demand), list(stock)
    sheets = []
    while any(left):
        tried = [
            filled
            for sheet in range(len(task.rooms))
            if have[sheet] != 0
            for rule in rules
            if (filled := fill_sheet(task, sheet, left, rule, work)) is not None
        ]
        if not tried:
            break
        best = min(tried, key=lambda filled: (task.supplies[filled.sheet].cost / filled.area, filled.sheet))
        number = have[best.sheet]
        if number is not None:
            have[best.sheet] = number - 1
        left = list(map(int.__sub__, left, best.counts))
        sheets.append(best)
    return Plan(tuple(sheets), tuple(left))


def random_rules(task: Boards, kinds: Sequence[int], random: Random) -> Rules:
    """Rules by chance: an order by area, a side or the longer side, disturbed a little or much; or none, by fit."""
    upright = (None, True, False)[int(random.random() * 3)]
    if random.random() < 0.25:
        return Rules((), upright, close=True)
    by, blur = int(random.random() * 4), random.random() ** 2

    def key(kind: int) -> float:
        w, h, _ = next(sheet for sheet in task.positions[kind] if sheet)[0]
        size = (w * h, max(w, h) ** 2, w * w, h * h)[by]
        return -size * (1 + blur * (random.random() - 0.5))

    keys = {kind: key(kind) for kind in kinds}
    return Rules(tuple(sorted(kinds, key=keys.__getitem__)), upright, close=random.random() < 0.8)


def several_rules(task: Boards, kinds: Sequence[int], random: Random) -> list[Rules]:
    """One to a few rules by chance."""
    return [random_rules(task, kinds, random) for _ in range(1 + int(random.random() ** 2 * MANY))]


def plain_rules(task: Boards, kinds: Sequence[int]) -> list[Rules]:
    """The starts without chance: the largest first and the best fit, with each way of cutting."""
    order = tuple(sorted(kinds, key=lambda kind: -task.areas[kind]))
    return [Rules(chosen, upright, close=True) for chosen in (order, ()) for upright in (None, True, False)]


def cost_of(task: Boards, sheets: Sequence[Filled]) -> int:
    """What some sheets cost."""
    return sum(task.supplies[filled.sheet].cost for filled in sheets)


def spare_of(task: Boards, filled: Filled) -> int:
    """The area of the largest off-cut of a sheet."""
    return largest_spare(filled.tree, *task.rooms[filled.sheet], task.kerf)


def worth(task: Boards, plan: Plan) -> tuple[int, int, int, int]:
    """What makes one plan better than another, the less the better: what is missing, cost, sheets, largest off-cut."""
    spare = max((spare_of(task, filled) for filled in plan.sheets), default=0)
    missing = sum(map(int.__mul__, plan.missing, task.areas))
    return missing, cost_of(task, plan.sheets), len(plan.sheets), -spare


def many_starts(task: Boards, demand: Counts, enough: int, work: Work) -> Plan:
    """The best of many starts, as long as the work lasts or until the cost is `enough`."""
    kinds = [kind for kind, number in enumerate(demand) if number]
    stock = [supply.most for supply in task.supplies]
    best: Plan | None = None
    rules = plain_rules(task, kinds)
    while rules or work.left > 0:
        plan = start(task, demand, stock, [rules.pop(0)] if rules else several_rules(task, kinds, work.random), work)
        if best is None or worth(task, plan) < worth(task, best):
            best = plan
        if not any(best.missing) and cost_of(task, best.sheets) <= enough:
            break
    assert best is not None
    return best


def settle(task: Boards, plan: Plan, work: Work, enough: int) -> Plan:
    """Fill a few sheets anew, time after time, and keep what costs less or gathers what is left over on fewer sheets.

    It stops at the cost `enough` where that is reached, or when the work is done.
    """
    sheets = list(plan.sheets)
    missing = plan.missing
    random = work.random
    waste = [_waste(task, filled) for filled in sheets]
    while work.left > 0 and sheets and (any(missing) or cost_of(task, sheets) > enough):
        picked = {max(range(len(sheets)), key=waste.__getitem__)} if random.random() < 0.6 else set()
        number = min(len(sheets), 2 + int(random.random() * 3))
        while len(picked) < number:
            picked.add(int(random.random() * len(sheets)))
        old = [sheets[i] for i in sorted(picked)]
        pool = list(map(sum, zip(*(filled.counts for filled in old), missing, strict=True)))
        kinds = [kind for kind, many in enumerate(pool) if many]
        part = only(task, kinds)
        stock: list[int | None] = []
        for sheet, supply in enumerate(task.supplies):
            kept = sum(filled.sheet == sheet for filled in sheets) - sum(filled.sheet == sheet for filled in old)
            stock.append(None if supply.most is None else supply.most - kept)
        some = start(part, [pool[kind] for kind in kinds], stock, several_rules(part, range(len(kinds)), random), work)
        new = Plan(
            tuple(of_all(filled, kinds, len(pool)) for filled in some.sheets), widened(some.missing, kinds, len(pool))
        )
        before, after = _standing(task, old, missing), _standing(task, new.sheets, new.missing)
        work.left -= 10
        if after <= before:
            sheets = [filled for i, filled in enumerate(sheets) if i not in picked] + list(new.sheets)
            waste = [_waste(task, filled) for filled in sheets]
            missing = new.missing
    return Plan(tuple(sheets), missing)


def _standing(task: Boards, sheets: Sequence[Filled], missing: Counts) -> tuple[int, int, int]:
    """What makes some sheets better than others, the less the better: what is missing, cost, waste spread evenly."""
    short = sum(map(int.__mul__, missing, task.areas))
    return short, cost_of(task, sheets), -sum(_waste(task, filled) ** 2 for filled in sheets)


def _waste(task: Boards, filled: Filled) -> int:
    width, height = task.rooms[filled.sheet]
    return width * height - filled.area


def largest_off_cut(task: Boards, filled: Filled, work: Work) -> Filled:
    """The same parts on the same sheet, with the largest off-cut that the work finds."""
    best, most = filled, spare_of(task, filled)
    kinds = sorted({part.kind for part in parts_in(filled.tree)})
    rules = plain_rules(task, kinds)
    while rules or work.left > 0:
        other = fill_sheet(
            task, filled.sheet, filled.counts, rules.pop(0) if rules else random_rules(task, kinds, work.random), work
        )
        if other is not None and other.counts == filled.counts and (spare := spare_of(task, other)) > most:
            best, most = other, spare
    return best

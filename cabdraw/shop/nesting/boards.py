"""Nesting board parts on stock sheets with guillotine cuts: the cheapest sheets, then the largest off-cut.

Small sets are solved exactly over all guillotine layouts; larger ones by many starts. Every plan carries a proved
bound, and its cuts are made again by an own reckoning before it is handed out.
"""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

from cabdraw.rational import Fraction
from cabdraw.shop.nesting.bounds import best_weights, board_weights, bound, least_by_size
from cabdraw.shop.nesting.cover import Counts, Steps, Supply, Weights
from cabdraw.shop.nesting.cutting import laid_out
from cabdraw.shop.nesting.replay import faults
from cabdraw.shop.nesting.shapes import BoardPiece, BoardPlan, Sheet, checked, grouped, unit_of
from cabdraw.shop.nesting.starts import (
    Boards,
    Filled,
    Plan,
    Work,
    cost_of,
    largest_off_cut,
    many_starts,
    of_all,
    only,
    settle,
    spare_of,
    worth,
)
from cabdraw.shop.nesting.subsets import Exact, Sets

#: Pairs of blocks put together to list every set that fits on a sheet, in all; beyond them the set is too large.
_PAIRS = 800_000
#: With more kinds of parts the list would not be finished within them.
_KINDS = 30
#: Sets looked at while searching for the cheapest sheets, and rounds of the linear programme.
_SEARCH, _ROUNDS = 4_000, 200
#: Steps through pairs of blocks, for one sheet, to find its largest off-cut.
_ONE_SHEET = 20_000
#: A small set takes no more effort than this for each pair of parts.
_EFFORT = 1_500
#: How many sheets, the emptiest first, are laid out anew for the largest off-cut.
_TIDIED = 3


def turns(piece: BoardPiece, sheet: Sheet) -> tuple[bool, ...]:
    """Whether a piece may lie as it is (False) and on its side (True) on a kind of sheet, by their grain."""
    if piece.grain is None or sheet.grain is None:
        return (False,) if piece.width == piece.height else (False, True)
    return (piece.grain != sheet.grain,)


def nest_boards(
    pieces: Sequence[BoardPiece],
    sheets: Sequence[Sheet],
    kerf: Fraction | int = 0,
    trim: Fraction | int = 0,
    effort: int = 1_000_000,
    seed: int = 1,
) -> BoardPlan:
    """Nest pieces on sheets at the least cost, then on the fewest sheets, then with the largest off-cut.

    Lengths are exact, in one unit. `kerf` is lost between pieces and between a piece and an off-cut; `trim` is what
    comes off each edge of a sheet first, its saw cut included. `effort` limits the work, in parts looked at; the same
    seed gives the same plan on every machine. Pieces that fit no sheet, or find none, are in `unplaced`.
    Raises ValueError where marks are not unique, or a size or a cost is not more than zero.
    """
    checked([(p.mark, min(p.width, p.height)) for p in pieces], [(s.name, s.cost) for s in sheets])
    usable = [sheet for sheet in sheets if sheet.count != 0 and min(sheet.width, sheet.height) > 2 * Fraction(trim)]
    rooms = [
        (Fraction(sheet.width) - 2 * Fraction(trim), Fraction(sheet.height) - 2 * Fraction(trim)) for sheet in usable
    ]
    kinds = []
    for places in grouped([(piece.width, piece.height, piece.grain) for piece in pieces]).values():
        ways = [_ways(pieces[places[0]], sheet, room) for sheet, room in zip(usable, rooms, strict=True)]
        if any(ways):
            kinds.append((places, ways))
    kinds.sort(key=lambda kind: -pieces[kind[0][0]].width * pieces[kind[0][0]].height)
    if not kinds:
        return BoardPlan((), tuple(piece.mark for piece in pieces), Fraction(0), Fraction(0))
    sizes = [size for _, ways in kinds for way in ways for w, h, _ in way for size in (w, h)]
    unit = unit_of([kerf, *sizes, *(size for room in rooms for size in room)])
    costs = [Fraction(s.cost) if s.cost is not None else Fraction(s.width) * Fraction(s.height) for s in usable]
    money = unit_of(costs)

    def whole(length: Fraction) -> int:
        return int((length + kerf) / unit)

    task = Boards(
        tuple(tuple(tuple((whole(w), whole(h), turned) for w, h, turned in way) for way in ways) for _, ways in kinds),
        tuple(whole(pieces[places[0]].width) * whole(pieces[places[0]].height) for places, _ in kinds),
        tuple((whole(w), whole(h)) for w, h in rooms),
        tuple(Supply(int(cost / money), sheet.count) for cost, sheet in zip(costs, usable, strict=True)),
        int(kerf / unit),
    )
    demand = tuple(len(places) for places, _ in kinds)
    plan, proved = _solve(task, demand, min(effort, _EFFORT * sum(demand) ** 2), seed)
    waiting = [[pieces[place] for place in places] for places, _ in kinds]
    layouts = tuple(
        laid_out(usable[filled.sheet], filled.tree, Fraction(trim), Fraction(kerf), unit, waiting)
        for filled in plan.sheets
    )
    placed = {piece.mark for layout in layouts for piece in layout.placed}
    done = BoardPlan(
        layouts,
        tuple(piece.mark for piece in pieces if piece.mark not in placed),
        sum((costs[filled.sheet] for filled in plan.sheets), Fraction(0)),
        proved * money,
    )
    wrong = [fault for layout in layouts for fault in faults(layout, pieces, kerf, trim)]
    if wrong:
        raise AssertionError("a nesting does not stand up to its own cuts: " + "; ".join(wrong))
    return done


def _ways(
    piece: BoardPiece, sheet: Sheet, room: tuple[Fraction, Fraction]
) -> tuple[tuple[Fraction, Fraction, bool], ...]:
    """How a piece fits on a sheet: width, height and whether turned."""
    width, height = Fraction(piece.width), Fraction(piece.height)
    both = [(height, width, True) if turned else (width, height, False) for turned in turns(piece, sheet)]
    return tuple(each for each in both if each[0] <= room[0] and each[1] <= room[1])


def _solve(task: Boards, demand: Counts, effort: int, seed: int) -> tuple[Plan, Fraction]:
    """The best plan found, and the least that any plan for the same parts can cost."""
    positions = [[[(w, h) for w, h, _ in way] for way in kind] for kind in task.positions]
    fair = board_weights(positions, task.rooms, task.supplies, 12)
    plan = many_starts(task, demand, 0, Work(0, Random(seed)))
    bounds = _Bounds(task, fair, demand, plan)
    if bounds.proved < cost_of(task, plan.sheets) or any(plan.missing):
        if not any(plan.missing):
            plan = _exact(task, demand, plan, bounds)
        if bounds.proved < cost_of(task, plan.sheets) or any(plan.missing):
            enough = 0 if any(plan.missing) else bounds.proved
            tried = many_starts(task, demand, enough, Work(effort // 4, Random(seed)))
            tried = settle(
                task, min(plan, tried, key=lambda each: worth(task, each)), Work(effort // 4, Random(seed)), enough
            )
            if tried.missing != plan.missing:
                bounds = _Bounds(task, fair, demand, tried)
            plan = tried
    plan = settle(task, plan, Work(effort // 4, Random(seed + 1)), 0)
    return _tidied(task, plan, effort // 4, seed), Fraction(min(bounds.proved, cost_of(task, plan.sheets)))


class _Bounds:
    """What a plan places, the costs that can be had up to the plan's, and the bound on the cost of what it places."""

    def __init__(self, task: Boards, fair: Sequence[Weights], demand: Counts, plan: Plan) -> None:
        placed = tuple(map(int.__sub__, demand, plan.missing))
        area = sum(map(int.__mul__, placed, task.areas))
        self.least = Steps(task.supplies, cost_of(task, plan.sheets))
        self.weights = best_weights(fair, placed, 3)
        by_size = least_by_size(area, [w * h for w, h in task.rooms], task.supplies)
        self.proved = self.least.up(max(bound(self.weights, placed), by_size))

    def add(self, weights: Weights, demand: Counts) -> None:
        """Take in other weights."""
        self.weights.insert(0, weights)
        self.proved = max(self.proved, self.least.up(bound([weights], demand)))


def _exact(task: Boards, demand: Counts, plan: Plan, bounds: _Bounds) -> Plan:
    """The cheapest plan by listing all sets that fit on each sheet, and the bound that this proves; the plan as it is
    where that would be too many.
    """
    sets: list[Sets] = []
    if len(demand) > _KINDS:
        return plan
    for sheet in range(len(task.rooms)):
        sets.append(Sets(task, sheet, demand, sets[-1].steps if sets else _PAIRS))
        if not sets[-1].complete:
            return plan
    exact = Exact(task, sets, demand)
    cost = cost_of(task, plan.sheets)
    bounds.add(exact.blend(_ROUNDS), demand)
    if bounds.proved < cost:
        search = exact.search(bounds.weights, bounds.least, cost, _SEARCH)
        if search.best is not None:
            plan = Plan(tuple(sets[sheet].layout(counts) for sheet, counts in search.best), plan.missing)
            cost = search.cost
        if search.proved:
            bounds.proved = cost
    return plan


def _tidied(task: Boards, plan: Plan, effort: int, seed: int) -> Plan:
    """The same sheets, the emptiest with the largest off-cuts that are found; the fullest first."""
    sheets = sorted(plan.sheets, key=lambda filled: (filled.area - _room(task, filled), filled.sheet, filled.counts))
    for i, filled in enumerate(sheets[:_TIDIED]):
        best = filled
        if sum(filled.counts) <= 9:
            kinds = [kind for kind, number in enumerate(filled.counts) if number]
            sets = Sets(only(task, kinds), filled.sheet, tuple(filled.counts[kind] for kind in kinds), _ONE_SHEET)
            if sets.complete:
                layout = sets.layout(sets.demand)
                exact = of_all(layout, kinds, len(filled.counts))
                best = max(best, exact, key=lambda each: spare_of(task, each))
        sheets[i] = largest_off_cut(task, best, Work(effort // _TIDIED, Random(seed)))
    sheets.sort(key=lambda filled: (filled.sheet, spare_of(task, filled), tuple(-n for n in filled.counts)))
    return Plan(tuple(sheets), plan.missing)


def _room(task: Boards, filled: Filled) -> int:
    width, height = task.rooms[filled.sheet]
    return width * height

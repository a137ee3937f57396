"""Where holes may not be, and the nearest symmetric set of standoffs that meets nothing.

The one place that knows what keeps a hole away: the checks ask it about holes as they are, and the solver
about every place that a hole could take, so that they never disagree.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import ceil, floor, sqrt
from typing import Literal

from cabdraw.cab import TIERS, Joint, Rail, Wall
from cabdraw.frozen import Frozen
from cabdraw.rational import Fraction
from cabdraw.units import INCH, ZERO, Length

#: Kept between a hole and what it must not meet, over and above the hole's own radius (common practice: 1/8 in).
KEEP_OFF = Length(INCH * Fraction(1, 8))
#: Kept between a hole and the opening for a fixture, behind which its box lies (common practice: 1 in).
KEEP_OFF_FIXTURE = Length(INCH)
#: How many more standoffs than the rule asks for are tried before there is said to be no clear set.
MORE = 2
#: A rail with more standoffs than this is none that is built in a car; no other places are looked for.
MOST = 40

What = Literal["obstruction", "fixture", "end", "edge", "joint", "hole"]


class KeepOut(Frozen):
    """A place that the middle of a hole must stay away from by `reach`, seen as a rectangle; None is without end.

    `index` is the thing's place in its list in the spec, 0 for the left end or the lower edge of the band. A hole
    whose middle is no further than `spared` from a single point is not kept out: it takes the old hole in whole.
    """

    what: What
    index: int
    called: str
    left: Length | None
    right: Length | None
    low: Length | None
    high: Length | None
    reach: Length
    spared: Length | None = None

    def away(self, x: Length, y: Length) -> tuple[Length, Length]:
        """How far a point is from the rectangle, across and up."""
        return _outside(x, self.left, self.right), _outside(y, self.low, self.high)

    def meets(self, x: Length, y: Length) -> bool:
        """Whether a hole with its middle at a point is too near."""
        across, up = self.away(x, y)
        square = across.mm**2 + up.mm**2
        if self.spared is not None and square <= self.spared.mm**2:
            return False
        return square < self.reach.mm**2


def _outside(at: Length, low: Length | None, high: Length | None) -> Length:
    if low is not None and at < low:
        return low - at
    return at - high if high is not None and at > high else ZERO


def anchor_reach(rail: Rail) -> Length | None:
    """How far behind the shell the anchor or the bolt reaches; None where it is not known, so that everything counts.

    The bolt may reach as far as it is longer than what it goes through, before the standoff takes its end.
    """
    known = [rail.insertion] if rail.insertion is not None else []
    if rail.bolt is not None and rail.bolt.length is not None:
        known.append(rail.bolt.length - rail.bolt.stack)
    return max(known, default=None)


def edge_distance(rail: Rail, joint: Joint) -> Length:
    """What a hole's middle keeps from the edges of its band.

    The whole hole clear of the grooves, the whole flange on the band, and twice the hole (common practice).
    """
    return max(joint.groove_depth + rail.hole / 2 + KEEP_OFF, rail.hole * 2, (rail.flange or rail.hole) / 2)


def joint_distance(wall: Wall, rail: Rail, joint: Joint) -> Length:
    """What a hole's middle keeps from the middle of a vertical joint: half the reveal, the groove, the flange."""
    return wall.reveal / 2 + joint.groove_depth + max(rail.hole, rail.flange or rail.hole) / 2 + KEEP_OFF


def keep_outs(wall: Wall, rail: Rail, joint: Joint) -> Iterator[KeepOut]:
    """Everything on a wall that keeps holes away, each kind in the order of the spec."""
    radius, reach = rail.hole / 2, anchor_reach(rail)
    for index, thing in enumerate(wall.obstructions):
        if reach is None or thing.behind < reach:
            rect = thing.rect
            at = (rect.x, rect.right, rect.y, rect.top)
            yield KeepOut("obstruction", index, f"the {thing.what}", *at, radius + KEEP_OFF)
    for index, fixture in enumerate(wall.fixtures):
        rect = fixture.opening
        at = (rect.x, rect.right, rect.y, rect.top)
        yield KeepOut("fixture", index, f"the opening for the {fixture.what}", *at, radius + KEEP_OFF_FIXTURE)
    band = wall.band(rail.through)
    assert band is not None
    edge = edge_distance(rail, joint)
    for index, low, high in ((0, None, band.y), (1, band.top, None)):
        yield KeepOut("edge", index, f"the edge of the {rail.through}", None, None, low, high, edge)
    for index, left, right in ((0, None, wall.margins[0]), (1, wall.row_end, None)):
        yield KeepOut("end", index, f"the end of the {rail.through}", left, right, None, None, edge)
    if rail.through in TIERS:
        for index, (x, width) in enumerate(wall.columns[:-1]):
            middle, away = x + width + wall.reveal / 2, joint_distance(wall, rail, joint)
            yield KeepOut("joint", index, f"the joint after panel {index + 1}", middle, middle, None, None, away)
    for index, hole in enumerate(wall.holes):
        old = (hole.diameter or rail.hole) / 2
        spared = radius - old if old <= radius else None
        away = radius + old + KEEP_OFF
        yield KeepOut("hole", index, f"old hole {index + 1}", hole.x, hole.x, hole.y, hole.y, away, spared)


def rule_bays(rail: Rail) -> int:
    """How many distances between standoffs there are by the format's rule: the fewest within the greatest spacing."""
    between = rail.length - 2 * rail.placing.overhang
    return max(1, int(-(-between.mm // rail.placing.greatest_spacing.mm)))


def rule_bay(rail: Rail, bays: int) -> Length:
    """The distance between standoffs by the format's rule: what the overhangs leave, shared, down to the increment."""
    return ((rail.length - 2 * rail.placing.overhang) / bays).floor_to(rail.placing.step)


def rule_set(rail: Rail, bays: int) -> tuple[Length, ...]:
    """The places of standoffs by the format's rule for so many bays: evenly, centred on the rail."""
    bay = rule_bay(rail, bays)
    first = rail.x + (rail.length - bay * bays) / 2
    return tuple(first + bay * i for i in range(bays + 1))


class Move(Frozen):
    """A standoff that the format's rule would put at `start`; what is met there, if anything, and where it goes."""

    number: int
    start: Length
    end: Length
    met: tuple[str, ...]


class ClearSet(Frozen):
    """The nearest symmetric set that meets nothing, from the left, and how it differs from the rule's.

    `more` is how many more standoffs there are than the rule asks for; `blocked` is what holes of the rule's
    own set would meet, hole by hole; `moves` compares with the rule's set for as many standoffs as there are.
    """

    places: tuple[Length, ...]
    more: int
    blocked: tuple[tuple[int, tuple[str, ...]], ...]
    moves: tuple[Move, ...]


def met(outs: Sequence[KeepOut], x: Length, y: Length) -> tuple[str, ...]:
    """What a hole at a point would meet, in words, each once."""
    return tuple(dict.fromkeys(out.called for out in outs if out.meets(x, y)))


def clear_set(rail: Rail, outs: Sequence[KeepOut]) -> ClearSet | None:
    """The nearest symmetric set of standoffs that meets nothing; None where there is none.

    The fewest standoffs first, from as many as the rule asks for; then equal distances; then symmetric unequal
    ones. Among those, the set whose standoffs move least in all from the rule's places for as many. Distances
    are whole increments, within the rail's limits; the greatest overhang is held but for what rounding the
    distances down adds, as in the rule.
    """
    least = rule_bays(rail)
    if least >= MOST:
        return None
    blocked = tuple((n, m) for n, x in enumerate(rule_set(rail, least), 1) if (m := met(outs, x, rail.y)))
    for bays in range(least, least + MORE + 1):
        if rule_bay(rail, bays) <= ZERO:
            break
        half = _Half(rail, outs, bays)
        steps = half.nearest()
        if steps is None:
            continue
        places = half.places(steps)
        rule = rule_set(rail, bays)
        moves = tuple(
            Move(n, a, b, met(outs, a, rail.y)) for n, (a, b) in enumerate(zip(rule, places, strict=True), 1) if a != b
        )
        return ClearSet(places, bays - least, blocked, moves)
    return None


class _Half:
    """One half of a symmetric set, by how many half increments each standoff stands from the middle of the rail."""

    def __init__(self, rail: Rail, outs: Sequence[KeepOut], bays: int) -> None:
        placing = rail.placing
        self.rail, self.bays = rail, bays
        self.unit = (placing.step / 2).called("half an increment")
        self.middle = (rail.x + rail.length / 2).called("middle of the rail")
        #: Standoffs right of the middle; an odd number of standoffs has one more, in the middle itself.
        self.count = (bays + 1) // 2
        self.odd = bays % 2 == 0
        bay = rule_bay(rail, bays).ratio(self.unit)
        first = bay if self.odd else bay / 2
        self.rule = [int(first + bay * i) for i in range(self.count)]
        # The rule's own distance is allowed, where limits that are given later would not let it.
        self.least = ceil(min(placing.least_spacing.ratio(self.unit), bay))
        self.most = floor(placing.greatest_spacing.ratio(self.unit))
        half = (rail.length / 2).ratio(self.unit)
        widest = ((rail.length - 2 * placing.greatest_overhang) / bays).floor_to(placing.step)
        self.last = int(widest.ratio(self.unit) * bays / 2), floor(half - placing.least_overhang.ratio(self.unit))
        self.blocked = bytearray(max(self.last[1], 0) + 1)
        for out in outs:
            for low, high in self._ranges(out):
                self.blocked[low : high + 1] = b"\1" * (high + 1 - low)

    def _ranges(self, out: KeepOut) -> Iterator[tuple[int, int]]:
        """The runs of places, left and right of the middle alike, at which a hole would be too near."""
        top = len(self.blocked) - 1
        up = out.away(self.middle, self.rail.y)[1]
        room = out.reach.mm**2 - up.mm**2
        if room <= 0:
            return
        reach = sqrt(room)
        middle, unit = float(self.middle), float(self.unit)
        left = -top - 1.0 if out.left is None else (float(out.left) - reach - middle) / unit
        right = top + 1.0 if out.right is None else (float(out.right) + reach - middle) / unit
        for way in (1, -1):
            a, b = (left, right) if way > 0 else (-right, -left)
            low, high = max(0, floor(a) - 1), min(top, ceil(b) + 1)
            while low <= high and not self._meets(out, way * low):
                low += 1
            while low <= high and not self._meets(out, way * high):
                high -= 1
            if low > high:
                continue
            if out.spared is None:
                yield low, high
            else:
                yield from self._but_spared(out, way, low, high)

    def _but_spared(self, out: KeepOut, way: int, low: int, high: int) -> Iterator[tuple[int, int]]:
        """A run of places without those in its midst from which a new hole takes the old one in whole."""
        first, last = low, high
        if out.spared is not None and out.left is not None:
            inner = sqrt(max(out.spared.mm**2 - out.away(self.middle, self.rail.y)[1].mm ** 2, Fraction(0)))
            hole = way * (float(out.left) - float(self.middle)) / float(self.unit)
            about = inner / float(self.unit)
            first, last = max(low, floor(hole - about) - 1), min(high, ceil(hole + about) + 1)
        while first <= last and self._meets(out, way * first):
            first += 1
        while first <= last and self._meets(out, way * last):
            last -= 1
        if first > last:
            yield low, high
            return
        if low < first:
            yield low, first - 1
        if last < high:
            yield last + 1, high

    def _meets(self, out: KeepOut, place: int) -> bool:
        return out.meets(self.middle + self.unit * place, self.rail.y)

    def places(self, steps: Sequence[int]) -> tuple[Length, ...]:
        """Where the standoffs of both halves stand, from the left."""
        inner = [self.middle] if self.odd else []
        left = [self.middle - self.unit * step for step in reversed(steps)]
        return (*left, *inner, *(self.middle + self.unit * step for step in steps))

    def nearest(self) -> tuple[int, ...] | None:
        """The nearest set that meets nothing: of equal distances if there is one, else of symmetric unequal ones."""
        if self.odd and self.blocked[0]:
            return None
        return self._equal() or self._unequal()

    def _cost(self, steps: Iterable[int]) -> int:
        return sum(abs(step - rule) for step, rule in zip(steps, self.rule, strict=True))

    def _free(self, step: int) -> bool:
        return 0 <= step < len(self.blocked) and not self.blocked[step]

    def _equal(self) -> tuple[int, ...] | None:
        best: tuple[int, tuple[int, ...]] | None = None
        # Distances are whole increments, which are two units each.
        for bay in range(self.least + self.least % 2, self.most + 1, 2):
            steps = tuple((bay if self.odd else bay // 2) + bay * i for i in range(self.count))
            if self.last[0] <= steps[-1] <= self.last[1] and all(map(self._free, steps)):
                found = (self._cost(steps), steps)
                best = found if best is None else min(best, found)
        return best[1] if best is not None else None

    def _unequal(self) -> tuple[int, ...] | None:
        """The cheapest way from the middle outwards, standoff by standoff, over every place that is clear."""
        best = None
        for parity in (0,) if self.odd else (0, 1):
            found = self._way(parity)
            if found is not None:
                best = found if best is None else min(best, found)
        return best[1] if best is not None else None

    def _way(self, parity: int) -> tuple[int, tuple[int, ...]] | None:
        first = (self.least, self.most) if self.odd else (-(-self.least // 2), self.most // 2)
        ways: dict[int, tuple[int, tuple[int, ...]]] = {
            step: (abs(step - self.rule[0]), (step,))
            for step in range(first[0], min(first[1], self.last[1]) + 1)
            if step % 2 == parity and self._free(step)
        }
        for i in range(1, self.count):
            ways = self._further(ways, self.rule[i], parity)
        return min((way for step, way in ways.items() if step >= self.last[0]), default=None)

    def _further(
        self, ways: dict[int, tuple[int, tuple[int, ...]]], rule: int, parity: int
    ) -> dict[int, tuple[int, tuple[int, ...]]]:
        """The cheapest way to each place of the next standoff: the best of those within its distance, kept in order."""
        found = {}
        ready: list[tuple[tuple[int, tuple[int, ...]], int]] = []
        head = 0
        for step in range(parity, self.last[1] + 1, 2):
            # `ready` is in the order of place and of cost: one that is further out and no dearer hides those before it.
            near = step - self.least - (self.least % 2)
            if near in ways:
                while len(ready) > head and ready[-1][0] >= ways[near]:
                    ready.pop()
                ready.append((ways[near], near))
            while head < len(ready) and ready[head][1] < step - self.most:
                head += 1
            if head < len(ready) and self._free(step):
                cost, way = ready[head][0]
                found[step] = (cost + abs(step - rule), (*way, step))
        return found

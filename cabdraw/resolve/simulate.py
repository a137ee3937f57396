"""A wall put together part by part: each needs a way from inside the car to its place, past what stands already."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from cabdraw.cab import BOARD_BANDS, TIERS, Cab, Part, Wall
from cabdraw.frozen import Frozen, replace
from cabdraw.install.order import Stage
from cabdraw.resolve.bodies import Box, Planes, around, band_below, band_of, boxes, flanges, lip
from cabdraw.resolve.paths import Blocked, Space, Way, moved, overlapping, ways
from cabdraw.resolve.tier_orders import TierOrder, orders
from cabdraw.units import ZERO, Length, inch

#: The narrowest joint through which a hook slides a spline out of the groove it was drawn back into
#: (common practice: 3/16 in).
HOOK = inch("3/16")


class Step(Frozen):
    """One part on its way to its place, or a few that go together."""

    marks: tuple[str, ...]
    way: Way


class Trapped(Frozen):
    """A part without a way: every way that was tried, and what is in it.

    `meets` is what it would overlap in its very place, and how far in depth, in mm; None where only the way is barred.
    """

    mark: str
    tried: tuple[Blocked, ...]
    meets: tuple[str, float] | None = None

    @property
    def nearest(self) -> Blocked:
        """The way that is nearest to free, the simplest of those that are alike."""
        return min(self.tried, key=lambda block: block.overlap)


class Assembled(Frozen):
    """How a wall goes together: its stages with their parts in an order that works, and every part's way.

    `orders` holds the order of each tier that has one; a tier where a part is trapped keeps its default order.
    """

    stages: tuple[Stage, ...]
    steps: tuple[Step, ...]
    trapped: tuple[Trapped, ...]
    orders: tuple[tuple[str, TierOrder], ...]


def assemble(cab: Cab, wall: Wall, stages: Sequence[Stage]) -> Assembled:
    """Put a wall together in the order of its stages; where a tier's order has no path another is looked for."""
    return _Work(cab, wall).run(stages)


class _Work:
    """What stands on one wall, as its parts go on one after another."""

    def __init__(self, cab: Cab, wall: Wall) -> None:
        self.cab, self.wall = cab, wall
        planes = Planes.of(cab, wall)
        self.parts = {part.mark: part for part in wall.parts if part.kind != "handrail"}
        solids = [(part.mark, box) for part in self.parts.values() for box in boxes(cab, wall, part, planes)]
        site = list(around(cab, wall))
        self.space = Space([*site, *solids])
        self.space.fixed |= {name for name, _ in site}
        joint = cab.joint
        self.clearance = joint.clearance
        self.bands = {part.mark: band_of(wall, part) for part in self.parts.values()}
        shifts = {joint.engagement, *flanges(cab, "vertical-reveal")} - {ZERO}
        fronts = zip(wall.margins, cab.neighbours(wall.name), strict=True)
        shifts |= {lip(cab) - margin for margin, beside in fronts if beside == "front" and lip(cab) > margin}
        self.shifts = sorted(shift + joint.clearance for shift in shifts)
        self.steps: list[Step] = []
        self.trapped: list[Trapped] = []

    def run(self, stages: Sequence[Stage]) -> Assembled:
        found: list[Stage] = []
        used: list[tuple[str, TierOrder]] = []
        for stage in stages:
            band = self.wall.bands[stage.band].kind if stage.band is not None else ""
            if band not in TIERS:
                self._set(stage.marks)
                found.append(stage)
                continue
            tier = [mark for mark in stage.marks if self.parts[mark].tier == band]
            before = [mark for mark in stage.marks if mark not in tier]
            self._set(before)
            order = self._tier(band)
            used.append((band, order))
            found.append(replace(stage, marks=(*before, *order.marks), manner=order.manner))
        return Assembled(tuple(found), tuple(self.steps), tuple(self.trapped), tuple(used))

    def _tier(self, tier: str) -> TierOrder:
        """Set a tier in the first order in which every part has a way, else in the default one."""
        first: tuple[TierOrder, list[Step], list[Trapped]] | None = None
        standing = set(self.space.fixed)
        for order in orders(self.wall, tier):
            if order.manner == "inward" and self.wall.reveal < HOOK:
                continue
            steps, trapped = self._try(order)
            if not trapped:
                self.steps += steps
                return order
            first = first or (order, steps, trapped)
            self.space.fixed = set(standing)
        assert first is not None
        order, steps, trapped = first
        self.space.fixed |= set(order.marks)
        self.steps += steps
        self.trapped += trapped[:1]
        return order

    def _try(self, order: TierOrder) -> tuple[list[Step], list[Trapped]]:
        """Set a tier in one order, up to the first part that has no way."""
        steps: list[Step] = []
        closing: list[str] = []
        last = order.marks[-1]
        if order.manner == "inward":
            start = next(at for at, mark in enumerate(order.marks) if set(order.marks[at:-1]) == self._closing(order))
            closing = list(order.marks[start:-1])
        for mark in order.marks:
            if mark in closing:
                continue
            placed = self._slip(mark, closing) if closing and mark == last else self._place(mark)
            if isinstance(placed, Trapped):
                return steps, [placed]
            steps += placed
        return steps, []

    def _closing(self, order: TierOrder) -> set[str]:
        """The splines and strips of the closing panel's joints."""
        panel = self.parts[order.marks[-1]]
        return {
            mark
            for mark in order.marks
            if self.parts[mark].kind != "panel" and self.parts[mark].order in ((panel.order or 0) - 1, panel.order)
        }

    def _set(self, marks: Iterable[str]) -> None:
        """Set parts one after another; one that has no way alone may go on together with the next."""
        held: tuple[str, Trapped] | None = None
        for mark in marks:
            placed = self._place(mark, held[0] if held else None)
            if isinstance(placed, Trapped) and held is None and self.parts[mark].kind == "horizontal-reveal":
                held = (mark, placed)
                continue
            if isinstance(placed, Trapped) and held is not None:
                self.space.fixed.add(held[0])
            held = None
            if isinstance(placed, Trapped):
                self.trapped.append(placed)
                self.space.fixed.add(mark)
            else:
                self.steps += placed
        if held is not None:
            self.trapped.append(held[1])
            self.space.fixed.add(held[0])

    def _place(self, mark: str, along: str | None = None) -> list[Step] | Trapped:
        """Find a part's way, with another that goes along with it, and put it in its place."""
        part = self.parts[mark]
        marks = (mark,) if along is None else (along, mark)
        moving = [box for name in marks for box in self.space.body(name)]
        tried: list[Blocked] = []
        for way in self._ways(part):
            block = self.space.blocked(moving, way, marks)
            if block is None:
                self.space.fixed |= set(marks)
                return [Step(marks, way)]
            tried.append(block)
        if along is None and part.kind == "frieze" and (strip := self._strip_under(part)) is not None:
            # A strip that stands in front of the frieze's tab hangs on it, and goes down with it.
            self.space.fixed.discard(strip)
            placed = self._place(mark, strip)
            self.space.fixed.add(strip)
            if not isinstance(placed, Trapped):
                self.steps = [step for step in self.steps if step.marks != (strip,)]
                return placed
        if along is None and part.kind in BOARD_BANDS and (over := self._over_sunk(part)) is not None:
            return over
        return Trapped(mark, tuple(tried), self.space.meets(moving, marks))

    def _over_sunk(self, part: Part) -> list[Step] | None:
        """A board straight in over a level joint whose spline and strip are pushed down into deep grooves below.

        Once it stands they are slid up through the joint: None where no hook enters it, or the grooves are shallow.
        """
        band = self.bands[part.mark]
        below = band_below(self.wall, band) if band is not None else None
        if below is None or below.kind != "reveal" or below.height < HOOK:
            return None
        joint = self.cab.joint
        strip = flanges(self.cab, "horizontal-reveal")[1]
        sunk: list[tuple[str, Box]] = []
        for name, found in self.bands.items():
            depth = {"horizontal-spline": joint.engagement, "horizontal-reveal": strip}.get(self.parts[name].kind, ZERO)
            if found == below and depth > ZERO:
                down = float(depth + joint.clearance)
                sunk += [
                    (name, (x0, x1, y0 - down, y1 - down, z0, z1)) for x0, x1, y0, y1, z0, z1 in self.space.body(name)
                ]
        way, names = Way("slip"), [name for name, _ in sunk]
        body = self.space.body(part.mark)
        if not sunk or self.space.meets([box for _, box in sunk], names) is not None:
            return None
        if self.space.blocked(body, way, (part.mark, *names)) or overlapping(body, way, sunk):
            return None
        self.space.fixed.add(part.mark)
        return [Step((part.mark,), way)]

    def _strip_under(self, part: Part) -> str | None:
        band = self.bands[part.mark]
        under = band_below(self.wall, band) if band is not None else None
        strips = [p for p in self.parts.values() if p.kind == "horizontal-reveal"]
        return next((p.mark for p in strips if under is not None and self.bands[p.mark] == under), None)

    def _ways(self, part: Part) -> list[Way]:
        found = list(ways(self.shifts, self._raises(part)))
        band = self.bands[part.mark]
        if part.kind in ("vertical-spline", "vertical-reveal") and band is not None and part.body is not None:
            found.append(Way("from-above", raised=band.top - part.body.y))
        return found

    def _raises(self, part: Part) -> list[Length]:
        """How far a part is lifted to come down over what enters its foot, or into the groove that its foot enters."""
        joint = self.cab.joint
        band = self.bands[part.mark]
        if band is None:
            return []
        below = band_below(self.wall, band)
        if part.kind in ("horizontal-spline", "horizontal-reveal", "frieze"):
            depths = {joint.engagement, flanges(self.cab, "horizontal-reveal")[0]} - {ZERO}
            if part.kind == "frieze" and below is not None and below.kind == "reveal":
                depths.add(joint.engagement + below.height)
            return sorted(depth + self.clearance for depth in depths)
        if below is None or below.kind not in ("base", "reveal"):
            return []
        if below.kind == "base":
            return [joint.base_tab + self.clearance]
        strip = flanges(self.cab, "horizontal-reveal")[1]
        return [max(joint.engagement, strip) + self.clearance]

    def _slip(self, mark: str, closing: Sequence[str]) -> list[Step] | Trapped:
        """A closing panel, straight in with the splines of its joints drawn back into its own grooves.

        Drawn back a spline stands clear of the panel beside it by the clearance: that takes a groove of twice the
        engagement and the clearance.
        """
        panel = self.parts[mark]
        body = self.space.body(mark)
        drawn: dict[str, list[Box]] = {}
        ways_back: dict[str, Way] = {}
        for name in closing:
            part = self.parts[name]
            reach = self.cab.joint.engagement
            if part.kind == "vertical-reveal":
                reach = max(flanges(self.cab, part.kind))
            back = reach + self.clearance if reach > ZERO else ZERO
            back = back if part.order != panel.order else -back
            drawn[name] = moved(self.space.body(name), float(back))
            ways_back[name] = Way("shift", across=back)
        # A flat strip is laid on the spline's face from the room once the panel stands.
        late = [name for name in closing if not ways_back[name].across]
        tried: list[Blocked] = []
        for way in (Way("slip"), *(Way("slip-drop", raised=up) for up in self._raises(panel))):
            together = [*body, *(box for name in closing if name not in late for box in drawn[name])]
            inside = [(mark, box) for box in body]
            block = self.space.blocked(together, way, (mark, *closing))
            for name in closing:
                if block is None and name not in late:
                    block = overlapping(drawn[name], way, inside)
            if block is None:
                self.space.fixed.add(mark)
                steps = [Step((mark, *(name for name in closing if name not in late)), way)]
                for name in late:
                    placed = self._place(name)
                    if isinstance(placed, Trapped):
                        return placed
                    steps += placed
                self.space.fixed |= set(closing)
                return steps
            tried.append(block)
        return Trapped(mark, tuple(tried))

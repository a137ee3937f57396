"""The order in which parts go on, from what the car has; and which panels come off again without the rest.

In this joint every groove is as deep as the next, so that no panel can be pushed in between two that stand: a tier
goes on from its middle outward, each panel slid sideways onto the spline that its neighbour already holds, the
outer ones last, out of the free gap at the end of the row.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cabdraw.cab import BOARD_BANDS, TIERS, WALLS, Cab, Part, Wall
from cabdraw.install.order import Removal, Stage, StageKind
from cabdraw.once import once
from cabdraw.resolve.simulate import Assembled, assemble
from cabdraw.resolve.tier_orders import middle, outward
from cabdraw.units import ZERO, Length


@once
def assembly(cab: Cab) -> tuple[Stage, ...]:
    """Every stage of the work in its order; only stages that the car needs."""
    return tuple(_stages(cab))


def _stages(cab: Cab) -> Iterator[Stage]:
    yield Stage("ready")
    yield Stage("strip")
    for name in WALLS:
        if name in cab.walls:
            yield Stage("lines", name)
    for kind in ("corner-trim", "front-trim"):
        marks = tuple(part.mark for part in cab.trims if part.kind == kind)
        if marks:
            yield Stage("corner-trims" if kind == "corner-trim" else "front-trims", marks=marks)
    walls = [assembled(cab, cab.walls[name]).stages for name in WALLS if name in cab.walls]
    # Up the walls together: back, then the sides, one height after the other.
    for level in range(max(map(len, walls), default=0)):
        for stages in walls:
            if level < len(stages):
                yield stages[level]
    for name in WALLS:
        if name in cab.walls and cab.walls[name].rail is not None:
            yield Stage("rail", name, marks=(f"rail-{name}",))
    for name in WALLS:
        if name in cab.walls and cab.walls[name].fixtures:
            yield Stage("fixtures", name)
    yield Stage("finish")
    yield Stage("service")


@once
def assembled(cab: Cab, wall: Wall) -> Assembled:
    """How a wall goes together: its stages in an order in which each part has a way to its place, if there is one."""
    return assemble(cab, wall, tuple(wall_stages(wall)))


def wall_stages(wall: Wall) -> Iterator[Stage]:
    """The stages of one wall's panelling from the floor up.

    The spline and the strip of a horizontal joint go on with what stands on them: they drop into the grooves
    below while these are still open.
    """
    waiting: list[str] = []
    horizontals = [part for part in wall.parts if part.kind in ("horizontal-spline", "horizontal-reveal")]
    for index, band in enumerate(wall.bands):
        if band.kind == "reveal":
            waiting += [part.mark for part in horizontals if _in_band(part, band.y, band.top)]
            continue
        if band.kind == "gap":
            continue
        here = [part for part in wall.parts if part.visible is not None and part.visible.y == band.y]
        if band.kind in TIERS:
            yield Stage("tier", wall.name, index, (*waiting, *tier_order(wall, band.kind)))
        elif band.kind in BOARD_BANDS:
            marks = [part.mark for part in here if part.kind == band.kind]
            yield Stage("board", wall.name, index, (*waiting, *marks))
        else:
            kind: StageKind = "base" if band.kind == "base" else "frieze"
            marks = [part.mark for part in here if part.kind == band.kind]
            yield Stage(kind, wall.name, index, (*waiting, *marks))
        waiting = []
    if waiting:
        yield Stage("strips", wall.name, None, tuple(waiting))


def _in_band(part: Part, low: Length, high: Length) -> bool:
    """Whether a horizontal spline or strip belongs to the reveal band between two heights: it is centred on it."""
    assert part.body is not None
    body = part.body
    return body.y + body.top == low + high


def tier_order(wall: Wall, tier: str) -> tuple[str, ...]:
    """The marks of a tier in their default order: from the middle outward, each joint before its panel."""
    return outward(wall, tier, middle(wall)).marks


@once
def removal(cab: Cab) -> tuple[Removal, ...]:
    """For each panel whether it comes off alone, or what comes off before it.

    A panel comes off alone if it can be lifted off what enters its bottom groove before its top groove's bottom
    meets what enters there, with the joint's clearance; and if it can then slide sideways off its spline.
    """
    found: list[Removal] = []
    for wall in cab.walls.values():
        stages = tuple(wall_stages(wall))
        found += (_panel(cab, wall, stages, index) for index in range(len(wall.panels)))
    return tuple(found)


def _panel(cab: Cab, wall: Wall, stages: Sequence[Stage], index: int) -> Removal:
    panel = wall.panels[index]
    assert panel.visible is not None
    joint, size = cab.joint, cab.printing.size
    place = next(i for i, band in enumerate(wall.bands) if band.y == panel.visible.y and band.kind == panel.tier)
    below = wall.bands[place - 1].kind if place else "gap"
    above = wall.bands[place + 1] if place + 1 < len(wall.bands) else None
    held_below = {"base": joint.base_tab, "reveal": joint.engagement}.get(below, ZERO)
    grooved = above is not None and above.kind != "gap"
    if grooved:
        lift = joint.groove_depth - joint.engagement
    else:
        lift = above.height if above is not None else ZERO
    needed = held_below + joint.clearance if held_below else ZERO
    blocking = _beside(cab, wall, panel)
    if lift >= needed and not blocking:
        return Removal(panel.mark, True, (), f"lifts {size(lift)}, and {size(needed)} frees its foot")
    first: list[str] = []
    why = []
    if lift < needed:
        why.append(f"it lifts {size(lift)}, and its foot needs {size(needed)}")
        first += _above(wall, stages, place)
    if blocking:
        why.append("it is held between its neighbours")
        first += [mark for mark in blocking if mark not in first]
    return Removal(panel.mark, False, tuple(first), "; ".join(why))


def _beside(cab: Cab, wall: Wall, panel: Part) -> tuple[str, ...]:
    """The panels of its own tier that come off before a panel: those between it and the nearer end of the row."""
    row = [part.mark for part in wall.panels if part.tier == panel.tier]
    at = row.index(panel.mark)
    needed = cab.joint.engagement + cab.joint.clearance
    ways = []
    if wall.gaps[0] >= needed:
        ways.append(tuple(row[:at]))
    if wall.gaps[1] >= needed:
        ways.append(tuple(reversed(row[at + 1 :])))
    if not ways:
        return tuple(mark for mark in row if mark != panel.mark)
    return min(ways, key=len)


def _above(wall: Wall, stages: Sequence[Stage], place: int) -> list[str]:
    """What stands over a band, from the top down, as it comes off."""
    found: list[str] = []
    for stage in reversed(stages):
        if stage.band is None or stage.band > place:
            found += reversed(stage.marks)
    rail = wall.rail
    if rail is not None:
        through = wall.band(rail.through)
        if through is not None and wall.bands.index(through) > place:
            found.insert(0, f"rail-{wall.name}")
    return found

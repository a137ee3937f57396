"""A wall's stack: bands from floor to ceiling, cut into segments by the bands that say where they stand."""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.cab import TIERS, Band, WallName
from cabdraw.errors import Path
from cabdraw.frozen import Frozen
from cabdraw.resolve.chain import Link, solve
from cabdraw.resolve.problems import Problems
from cabdraw.spec.schema import Spec, StackItem
from cabdraw.units import ZERO, Length, Printing, total


def centre_of(item: StackItem, rail_height: Length) -> Length | None:
    """The centre line that a band states, by itself or by the top of the rail; None where it states none."""
    if item.size.rail_top is not None:
        return (item.size.rail_top - rail_height / 2).called(f"centre of the {item.kind}, half a rail below its top")
    return item.size.centre


def band_names(kinds: Sequence[str]) -> list[str]:
    """What each band is known by on its wall: its kind, numbered from the floor where there are several of one."""
    seen: dict[str, int] = {}
    names = []
    for kind in kinds:
        seen[kind] = seen.get(kind, 0) + 1
        names.append(f"{kind}-{seen[kind]}" if kinds.count(kind) > 1 else kind)
    return names


def band_words(kinds: Sequence[str]) -> list[str]:
    """What each band is called in words: `the lower tier`, `gap 2`."""
    names = [f"{name} tier" if name in TIERS else name.replace("-", " ") for name in band_names(kinds)]
    return [name if name[-1].isdigit() else f"the {name}" for name in names]


class Placed(Frozen):
    """A band that says where it stands, or the floor or the ceiling: what it is called, from where to where."""

    called: str
    bottom: Length
    top: Length


def resolve_stack(
    spec: Spec, wall: WallName, items: Sequence[StackItem], path: Path, height: Length, problems: Problems
) -> tuple[Band, ...] | None:
    """Every band of a wall's stack with its place and height; None, and problems, where it cannot be.

    Bands run from the floor to the height and leave nothing out.
    """
    size = Printing.of(spec.units, spec.step).size
    rail_height = spec.handrail.section.height if spec.handrail is not None else ZERO
    segment = _Segment(spec, wall, items, path, problems)
    heights: list[Length] = []
    stands: dict[int, Placed] = {}
    below, start = Placed("the floor", ZERO, ZERO), 0
    for index, item in enumerate(items):
        centre = centre_of(item, rail_height)
        if centre is None or item.size.height is None:
            continue
        named = f"{segment.names[index]} on the {wall} wall"
        high = item.size.height.called(f"height of {named}")
        here = stands[index] = Placed(
            f"the {item.kind}",
            (centre - high / 2).called(f"lower edge of {named}"),
            (centre + high / 2).called(f"upper edge of {named}"),
        )
        claims = f"{here.called} stands from {size(here.bottom)} to {size(here.top)}"
        what = hint = ""
        if here.bottom < ZERO:
            what, hint = f"{here.called} {size(item.size.height)} high reaches below the floor", "raise it"
        elif here.top > height:
            what, hint = f"{claims}, and the ceiling is at {size(height)}", "lower it, or make it less high"
        elif start and here.top <= below.bottom:
            what = f"{claims}, under {below.called} that it follows, which stands from {size(below.bottom)}"
            hint = "a stack is written from the floor to the ceiling"
        elif here.bottom < below.top:
            both = min(here.top, below.top) - max(here.bottom, below.bottom)
            what = (
                f"{claims}, and {below.called} from {size(below.bottom)} to {size(below.top)}: both claim {size(both)}"
            )
            hint = "move one of them, or make it less high"
        if what:
            problems.add((*path, index, item.kind), what, hint, wall)
            return None
        heights += segment.heights(start, index, below, here)
        heights.append(high)
        below, start = here, index + 1
    heights += segment.heights(start, len(items), below, Placed("the ceiling", height, height))
    if problems.of(wall):
        return None
    bands, y = [], ZERO
    for index, (item, high) in enumerate(zip(items, heights, strict=True)):
        placed = stands.get(index)
        bands.append(Band(item.kind, placed.bottom if placed is not None else y, high))
        y = placed.top if placed is not None else y + high
    return tuple(bands)


class _Segment:
    """Works out the bands between two that say where they stand."""

    def __init__(self, spec: Spec, wall: WallName, items: Sequence[StackItem], path: Path, problems: Problems) -> None:
        self.spec, self.wall, self.items, self.path, self.problems = spec, wall, items, path, problems
        self.names = band_words([item.kind for item in items])

    def heights(self, start: int, end: int, below: Placed, above: Placed) -> list[Length]:
        """The heights of the bands from `start` to before `end`.

        Fills share what the fixed bands leave; what that leaves, the last gap takes, or else the last fill.
        """
        segment = self.items[start:end]
        between = f"between {below.called} and {above.called} on the {self.wall} wall"
        room = (above.bottom - below.top).called(f"height {between}")
        names = [f"height of {name} on the {self.wall} wall" for name in self.names[start:end]]
        links = [
            Link(item.size.height, item.size.weight, name, (*self.path, start + i, item.kind))
            for i, (item, name) in enumerate(zip(segment, names, strict=True))
        ]
        solved = solve(room, links, self.spec.step, f"what the stated bands leave {between}")
        sizes = list(solved.sizes)
        fills = [i for i, item in enumerate(segment) if item.size.fills]
        gaps = [i for i, item in enumerate(segment) if item.kind == "gap"]
        takers = gaps or fills
        fits = solved.left >= ZERO
        if fits and takers:
            left = solved.left.called(f"what rounding leaves {between}")
            taker = takers[-1]
            sizes[taker] = (sizes[taker] + left).called(f"{names[taker]}, with what rounding leaves")
        if not fits or any(sizes[i] <= ZERO for i in fills):
            at = start + (fills[0] if fills else 0)
            what, hint = self._no_room(segment, room, below, above), "make a band less high"
        elif solved.left and not takers:
            at = start if segment else max(start - 1, 0)
            rest = Printing.of(self.spec.units, self.spec.step).size(solved.left)
            what = f"the bands between {below.called} and {above.called} leave {rest} open"
            hint = "make one of them fill, or add a gap"
        else:
            return sizes
        self.problems.add((*self.path, at, self.items[at].kind), what, hint, self.wall)
        return sizes

    def _no_room(self, segment: Sequence[StackItem], room: Length, below: Placed, above: Placed) -> str:
        size = Printing.of(self.spec.units, self.spec.step).size
        fixed = [(item.kind, item.size.height) for item in segment if item.size.height is not None]
        taken = total(height for _, height in fixed)
        fills = " and ".join(item.kind for item in segment if item.size.fills)
        there = f"between {below.called} and {above.called} there is {size(room)}"
        listed = ", ".join(f"{kind} {size(height)}" for kind, height in fixed)
        if not fixed:
            return f"{there}, too little for {fills}"
        takes = f"{there}, and {listed} {'takes' if len(fixed) == 1 else 'take'} {size(taken)}"
        if taken > room:
            return f"{takes}, {size(taken - room)} too much" + (f" and no room for {fills}" if fills else "")
        left = "nothing" if taken == room else "only " + size(room - taken)
        return f"{takes}, which leaves {left} for {fills}"

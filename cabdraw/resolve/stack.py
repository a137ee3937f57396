"""A wall's stack: bands from floor to ceiling, cut into segments by the bands that say where they stand."""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.cab import Band
from cabdraw.errors import Path, Problem
from cabdraw.resolve.chain import Link, solve
from cabdraw.spec.schema import Spec, StackItem
from cabdraw.units import ZERO, Length, Printing, total


def centre_of(item: StackItem, rail_height: Length) -> Length | None:
    """The centre line that a band states, by itself or by the top of the rail; None where it states none."""
    if item.size.rail_top is not None:
        return item.size.rail_top - rail_height / 2
    return item.size.centre


def resolve_stack(
    spec: Spec, wall: str, items: Sequence[StackItem], path: Path, height: Length, problems: list[Problem]
) -> tuple[Band, ...]:
    """Every band of a wall's stack with its place and height; problems are added to the list.

    Bands run from the floor to the height and leave nothing out, unless a problem was added.
    """
    printing = Printing.of(spec.units, spec.step)
    rail_height = spec.handrail.section.height if spec.handrail is not None else ZERO
    heights: list[Length] = []
    floor, start = ZERO, 0
    below = "the floor"

    def close(end: int, ceiling: Length, above: str) -> None:
        heights.extend(_segment(spec, wall, items, path, (start, end), ceiling - floor, (below, above), problems))

    for index, item in enumerate(items):
        centre = centre_of(item, rail_height)
        if centre is None or item.size.height is None:
            continue
        bottom, top = centre - item.size.height / 2, centre + item.size.height / 2
        name = f"the {item.kind}"
        if top > height:
            problems.append(
                Problem(
                    (*path, index, item.kind),
                    f"on the {wall} wall, its top at {printing.size(top)} is above the ceiling"
                    f" at {printing.size(height)}",
                    "lower its centre",
                )
            )
            return ()
        if bottom < floor:
            what = (
                f"on the {wall} wall, {name} from {printing.size(_shown(bottom))} to {printing.size(top)} and {below}"
                f" up to {printing.size(floor)} both claim the height between"
                if heights
                else f"on the {wall} wall, its bottom is below the floor"
            )
            problems.append(Problem((*path, index, item.kind), what, "move one of them, or make it less high"))
            return ()
        close(index, bottom, name)
        heights.append(item.size.height)
        floor, start, below = top, index + 1, name
    close(len(items), height, "the ceiling")
    bands, y = [], ZERO
    for item, size in zip(items, heights, strict=False):
        bands.append(Band(item.kind, y, size))
        y += size
    return tuple(bands)


def _shown(length: Length) -> Length:
    return max(length, ZERO)


def _segment(
    spec: Spec,
    wall: str,
    items: Sequence[StackItem],
    path: Path,
    span: tuple[int, int],
    room: Length,
    ends: tuple[str, str],
    problems: list[Problem],
) -> list[Length]:
    """The heights of the bands in one segment: fills share, the last gap takes what is left, or the last fill."""
    segment = items[span[0] : span[1]]
    printing = Printing.of(spec.units, spec.step)
    solved = solve(room, [Link(item.size.height, item.size.weight) for item in segment], spec.step)
    sizes = list(solved.sizes)
    fixed = total(item.size.height for item in segment if item.size.height is not None)
    fills = [i for i, item in enumerate(segment) if item.size.fills]
    where = f"on the {wall} wall, between {ends[0]} and {ends[1]}"
    short = fixed - room
    if short > ZERO or any(sizes[i] <= ZERO for i in fills):
        listed = ", ".join(f"{i.kind} {printing.size(i.size.height)}" for i in segment if i.size.height is not None)
        named = " and ".join(segment[i].kind for i in fills)
        rest = f", which leaves {'no room for ' + named if fills else 'them ' + printing.size(short) + ' too tall'}"
        at = span[0] + (fills[0] if fills else 0)
        problems.append(
            Problem(
                (*path, at, items[at].kind) if segment else path,
                f"{where} there is {printing.size(_shown(room))}, and {listed or 'nothing'} take"
                f" {printing.size(fixed)}{rest}",
                "make a band less high",
            )
        )
        return sizes
    if not solved.left:
        return sizes
    gaps = [i for i, item in enumerate(segment) if item.kind == "gap"]
    if gaps:
        sizes[gaps[-1]] += solved.left
    elif fills:
        sizes[fills[-1]] += solved.left
    else:
        at = span[0] if segment else max(span[0] - 1, 0)
        problems.append(
            Problem(
                (*path, at, items[at].kind),
                f"{where} the bands leave {printing.size(solved.left)} open",
                "make one of them fill, or add a gap",
            )
        )
    return sizes

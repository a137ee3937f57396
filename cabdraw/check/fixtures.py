"""What stands on the walls and stays, against the parts that are cut round it."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from cabdraw.cab import Cab, Part, Rect, Wall
from cabdraw.check.codes import code
from cabdraw.check.figures import figures
from cabdraw.errors import Finding, Path
from cabdraw.resolve.openings import CUT_KINDS
from cabdraw.units import ZERO, Length, mm

SPLIT = code("fixture-split", "warning", "nothing", "a fixture's opening splits a part in two")
COVERS = code("fixture-covers", "error", "fabrication", "a fixture's opening leaves nothing of a part")
STRIP = code("fixture-strip", "warning", "nothing", "a strip under 50 mm (2 in) is left of a part beside a fixture")
CROSSES = code("fixture-crosses", "warning", "nothing", "a fixture's opening crosses a spline or a reveal strip")
RAIL = code("fixture-rail", "error", "fabrication", "a handrail runs across a fixture")

#: The narrowest strip of board that is safe to cut, carry and fix (common practice).
NARROWEST = mm(50)


def fixtures(cab: Cab) -> Iterator[Finding]:
    """Findings about fixtures."""
    for wall in cab.walls.values():
        for part in wall.parts:
            if part.cuts:
                yield from _cut(cab, wall, part)
        yield from _crossed(wall)


def _path(wall: Wall, index: int) -> Path:
    return ("survey", "walls", wall.name, "fixtures", index)


def _cut(cab: Cab, wall: Wall, part: Part) -> Iterator[Finding]:
    last = part.cuts[-1]
    called = " and ".join(f"the {cut.fixture}" for cut in part.cuts)
    opening = "the openings for" if len(part.cuts) > 1 else "the opening for"
    if not part.shapes:
        yield COVERS.at(
            f"{opening} {called} {'leave' if len(part.cuts) > 1 else 'leaves'} nothing of {part.mark}",
            _path(wall, last.index),
            "divide the row or the stack so that the fixture has a place of its own",
            wall.name,
            (part.mark,),
        )
        return
    splitting = [cut for cut in part.cuts if cut.kind == "split"]
    if len(part.shapes) > 1:
        by = splitting or list(part.cuts)
        called = " and ".join(f"the {cut.fixture}" for cut in by)
        verb = "openings for" if len(by) > 1 else "opening for"
        yield SPLIT.at(
            f"the {verb} {called} {'split' if len(by) > 1 else 'splits'} {part.mark} into {len(part.shapes)} pieces",
            _path(wall, by[-1].index),
            "see that each piece is held by itself, or divide the row or the stack otherwise",
            wall.name,
            (part.mark,),
        )
    for strip, where, index in _strips(part):
        left, least = figures(cab, strip, NARROWEST)
        yield STRIP.at(
            f"{left} of {part.mark} is left {where}; a strip under {least} breaks",
            _path(wall, index),
            "move a joint, or make the opening reach the edge",
            wall.name,
            (part.mark,),
        )


def _strips(part: Part) -> Iterator[tuple[Length, str, int]]:
    """What is left too narrow between an opening and the part's edges, or between two openings."""
    assert part.visible is not None
    whole = part.visible
    for cut in part.cuts:
        for side, strip in (
            ("left of", cut.opening.x - whole.x),
            ("right of", whole.right - cut.opening.right),
            ("below", cut.opening.y - whole.y),
            ("above", whole.top - cut.opening.top),
        ):
            if ZERO < strip < NARROWEST:
                yield strip, f"{side} the {cut.fixture}", cut.index
    for first, second in combinations(part.cuts, 2):
        strip = _between(first.opening, second.opening)
        if ZERO < strip < NARROWEST:
            yield strip, f"between the {first.fixture} and the {second.fixture}", second.index


def _between(a: Rect, b: Rect) -> Length:
    """How far two openings that lie side by side or one over the other are apart; zero if they do neither."""
    across = max(a.x, b.x) - min(a.right, b.right)
    up = max(a.y, b.y) - min(a.top, b.top)
    if (across > ZERO) == (up > ZERO):
        return ZERO
    return max(across, up)


def _meet(a: Rect, b: Rect) -> bool:
    return a.x < b.right and b.x < a.right and a.y < b.top and b.y < a.top


def _crossed(wall: Wall) -> Iterator[Finding]:
    for index, fixture in enumerate(wall.fixtures):
        path, opening = _path(wall, index), fixture.opening
        met = [p for p in wall.parts if p.body is not None and _meet(p.body, opening)]
        marks = tuple(p.mark for p in met if p.kind not in CUT_KINDS and p.kind != "handrail")
        if marks:
            yield CROSSES.at(
                f"the opening for the {fixture.what} crosses {', '.join(marks)}",
                path,
                "cut these on site to the opening, or move the joint",
                wall.name,
                marks,
            )
        for part in met:
            if part.kind == "handrail":
                yield RAIL.at(
                    f"{part.mark} runs across the {fixture.what}",
                    path,
                    "make the rail shorter with end_clearance, move it, or give this wall none",
                    wall.name,
                    (part.mark,),
                )

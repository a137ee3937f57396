"""What stands on the walls and stays, against the parts that are cut round it."""

from __future__ import annotations

from collections.abc import Iterator

from cabdraw.cab import Cab, Part, Rect, Wall
from cabdraw.check.codes import code
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


def _path(wall: Wall, what: str) -> Path:
    index = next(i for i, fixture in enumerate(wall.fixtures) if fixture.what == what)
    return ("survey", "walls", wall.name, "fixtures", index)


def _cut(cab: Cab, wall: Wall, part: Part) -> Iterator[Finding]:
    assert part.visible is not None
    size = cab.printing.size
    for cut in part.cuts:
        if not part.shapes:
            yield COVERS.at(
                f"the opening for the {cut.fixture} leaves nothing of {part.mark}",
                _path(wall, cut.fixture),
                "divide the row or the stack so that the fixture has a place of its own",
                wall.name,
                (part.mark,),
            )
        elif cut.kind == "split":
            yield SPLIT.at(
                f"the opening for the {cut.fixture} splits {part.mark} into {len(part.shapes)} pieces",
                _path(wall, cut.fixture),
                "see that each piece is held by itself, or divide the row or the stack otherwise",
                wall.name,
                (part.mark,),
            )
        for side, strip in _strips(part.visible, cut.opening):
            yield STRIP.at(
                f"{size(strip)} of {part.mark} is left {side} the {cut.fixture};"
                f" under {size(NARROWEST)} a strip breaks",
                _path(wall, cut.fixture),
                "move a joint, or make the opening reach the edge",
                wall.name,
                (part.mark,),
            )


def _strips(part: Rect, opening: Rect) -> Iterator[tuple[str, Length]]:
    for side, strip in (
        ("left of", opening.x - part.x),
        ("right of", part.right - opening.right),
        ("below", opening.y - part.y),
        ("above", part.top - opening.top),
    ):
        if ZERO < strip < NARROWEST:
            yield side, strip


def _meet(a: Rect, b: Rect) -> bool:
    return a.x < b.right and b.x < a.right and a.y < b.top and b.y < a.top


def _crossed(wall: Wall) -> Iterator[Finding]:
    for index, fixture in enumerate(wall.fixtures):
        path: Path = ("survey", "walls", wall.name, "fixtures", index)
        met = [p for p in wall.parts if p.body is not None and _meet(p.body, fixture.opening)]
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

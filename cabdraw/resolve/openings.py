"""Whether the visible parts of a wall cover it without overlap, and which of them fixtures are cut out of.

Where rectangles say it, it is exact; what has to be cut is left to `cutting`, whose library takes time to load.
"""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.cab import Fixture, Part, Rect, Wall
from cabdraw.rational import Fraction
from cabdraw.resolve.near import pairs
from cabdraw.units import ZERO

#: Parts that are cut round what stands on the wall.
CUT_KINDS = ("panel", "backer", "bumper", "crown", "frieze", "base")


def cut_parts(parts: Sequence[Part], fixtures: Sequence[Fixture]) -> tuple[Part, ...]:
    """The parts with each fixture's opening cut out of those that it meets."""
    if not fixtures:
        return tuple(parts)
    from cabdraw.resolve.cutting import cut

    return tuple(cut(part, fixtures) if part.kind in CUT_KINDS else part for part in parts)


def coverage(wall: Wall) -> tuple[tuple[str, str, float], ...]:
    """Where visible parts of a wall overlap, as (mark, mark, square mm), and what they leave open, as (place, "", ...).

    The rail stands off the wall and is left out; margins, gap bands and fixtures' openings are meant to be open.
    """
    parts = [part for part in wall.parts if part.visible is not None and part.kind != "handrail"]
    rects = [part.visible for part in parts if part.visible is not None]
    row = Rect(wall.margins[0], ZERO, wall.run, wall.height)
    gaps = [Rect(row.x, band.y, row.width, band.height) for band in wall.bands if band.kind == "gap"]
    if not wall.fixtures and _tiled(row, [*rects, *gaps]):
        return ()
    from cabdraw.resolve.cutting import left_open, overlaps

    meant = [*gaps, *(fixture.opening for fixture in wall.fixtures)]
    return (*overlaps(parts, pairs(rects)), *left_open(row, parts, meant))


def _tiled(row: Rect, rects: Sequence[Rect]) -> bool:
    """Whether rectangles fill a row, each point once: they lie in it, none overlap, and their areas add up to it."""
    inside = all(row.x <= r.x and r.right <= row.right and row.y <= r.y and r.top <= row.top for r in rects)
    return inside and sum(map(_area, rects)) == _area(row) and not any(pairs(rects))


def _area(rect: Rect) -> Fraction:
    return rect.width.mm * rect.height.mm

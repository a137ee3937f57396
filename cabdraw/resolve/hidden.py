"""What stands hidden in the grooves of a wall, and where two such things are in one plane and one place."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from cabdraw.cab import Cab, Part, Rect, Wall
from cabdraw.frozen import Frozen
from cabdraw.resolve.bodies import band_above, band_below, band_of, flanges, strip_rect
from cabdraw.resolve.near import pairs
from cabdraw.units import ZERO, Length

#: What stands in a groove: metal at its near side, a spline at its far side.
Sort = Literal["spline", "strip", "tab"]


class Hidden(Frozen):
    """One hidden thing: where it stands on the wall, and how thick it is."""

    mark: str
    sort: Sort
    rect: Rect
    thickness: Length


class Meeting(Frozen):
    """Two hidden things in one place on the wall; `excess` is how far they overlap in depth.

    `layered` is whether they are meant to stand one before the other: a strip's flange before a spline or a tab.
    """

    first: Hidden
    second: Hidden
    shared: Rect
    excess: Length
    layered: bool


def hidden(cab: Cab, wall: Wall) -> Iterator[Hidden]:
    """Everything of a wall that enters a groove, from the floor up."""
    joint = cab.joint
    for part in wall.parts:
        body = part.body
        if body is None:
            continue
        if part.kind in ("vertical-spline", "horizontal-spline"):
            yield Hidden(part.mark, "spline", body, joint.spline_thickness)
        elif part.kind in ("vertical-reveal", "horizontal-reveal"):
            yield Hidden(part.mark, "strip", strip_rect(cab, part), joint.strip_thickness)
        elif part.kind == "base" and _enters(wall, part):
            tab = joint.base_tab
            yield Hidden(part.mark, "tab", Rect(body.x, body.top - tab, body.width, tab), joint.tab_thickness)
        elif part.kind == "frieze" and part.visible is not None and _enters(wall, part):
            tab = body.height - part.visible.height
            yield Hidden(part.mark, "tab", Rect(body.x, body.y, body.width, tab), joint.tab_thickness)


def _enters(wall: Wall, part: Part) -> bool:
    """Whether a tab has a board to enter: not where a gap lies between."""
    band = band_of(wall, part)
    if band is None:
        return False
    beside = band_above(wall, band) if part.kind == "base" else band_below(wall, band)
    return beside is not None and beside.kind != "gap"


def _flat(cab: Cab, thing: Hidden) -> bool:
    """Whether a strip has no flanges: it lies on the spline's face between two boards, and enters no groove."""
    kind = "vertical-reveal" if thing.rect.height > thing.rect.width else "horizontal-reveal"
    return thing.sort == "strip" and max(flanges(cab, kind)) == ZERO


def meetings(cab: Cab, wall: Wall) -> Iterator[Meeting]:
    """Every two hidden things that overlap on a wall's face, with how far they overlap in depth too."""
    things = list(hidden(cab, wall))
    for i, j in pairs([thing.rect for thing in things]):
        a, b = things[i], things[j]
        shared = _shared(a.rect, b.rect)
        sorts = {a.sort, b.sort}
        strip = a if a.sort == "strip" else b
        if "spline" in sorts and "strip" in sorts and _flat(cab, strip):
            continue
        layered = "strip" in sorts and len(sorts) == 2
        yield Meeting(a, b, shared, _excess(cab, a, b, layered), layered)


def _shared(a: Rect, b: Rect) -> Rect:
    x, y = max(a.x, b.x), max(a.y, b.y)
    right, top = min(a.right, b.right), min(a.top, b.top)
    return Rect(x, y, right - x, top - y)


def _excess(cab: Cab, a: Hidden, b: Hidden, layered: bool) -> Length:
    """How far two things overlap in depth; less than zero is what is free between them.

    One before the other they take both their thicknesses of the groove's width, and so do metal and a spline, at
    its two sides. Two of a sort lie in one plane.
    """
    if a.sort == b.sort or (not layered and "spline" not in (a.sort, b.sort)):
        return min(a.thickness, b.thickness)
    return a.thickness + b.thickness - cab.joint.groove_width

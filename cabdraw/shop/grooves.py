"""The grooves in the edges of boards: one on each side of every joint, and what enters it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from cabdraw.cab import GROOVED, TIERS, Cab, Part, Wall
from cabdraw.frozen import Frozen
from cabdraw.units import Length

Edge = Literal["left", "right", "bottom", "top"]


class Joint(Frozen):
    """One edge of a board that is grooved: `enters` is the mark of the spline or tab, `mates` of what is beyond."""

    mark: str
    edge: Edge
    enters: str
    mates: tuple[str, ...]


class Groove(Frozen):
    """A groove as it is cut, seen from the face: depth from the finished edge, `offset` from the face to its near side.

    `start` and `stop` run along the finished edge from its left or lower end.
    """

    edge: Edge
    depth: Length
    width: Length
    offset: Length
    start: Length
    stop: Length
    enters: str
    mates: tuple[str, ...]


def joints(cab: Cab, wall: Wall) -> Iterator[Joint]:
    """Every grooved edge of a wall's boards: from the floor up, each tier's vertical joints first."""
    rows = _rows(wall)
    splines = {part.body: part.mark for part in wall.parts if part.kind == "horizontal-spline"}
    for index, band in enumerate(wall.bands):
        row = rows[index]
        if band.kind in TIERS:
            for left, right, spline in zip(row, row[1:], _splines(wall, band.kind), strict=False):
                yield Joint(left.mark, "right", spline, (right.mark,))
                yield Joint(right.mark, "left", spline, (left.mark,))
        below = rows[index - 1] if index else ()
        if band.kind in ("base", "frieze") and not row:
            continue
        if band.kind == "base":
            yield from _facing(rows[index + 1] if index + 1 < len(rows) else (), "bottom", row[0].mark, row)
        elif band.kind == "frieze":
            under = (
                below if below else (rows[index - 2] if index > 1 and wall.bands[index - 1].kind == "reveal" else ())
            )
            yield from _facing(under, "top", row[0].mark, row)
        elif band.kind == "reveal":
            above = rows[index + 1] if index + 1 < len(rows) else ()
            if above and above[0].kind == "frieze":
                continue
            spline = next(
                mark for body, mark in splines.items() if body is not None and body.y + cab.joint.engagement == band.y
            )
            under = below
            yield from _facing(under, "top", spline, above)
            yield from _facing(above, "bottom", spline, under)


def _facing(row: tuple[Part, ...], edge: Edge, enters: str, beyond: tuple[Part, ...]) -> Iterator[Joint]:
    for part in row:
        if part.kind != "panel" and part.kind not in GROOVED:
            continue
        assert part.visible is not None
        mates = tuple(
            other.mark
            for other in beyond
            if other.visible is not None
            and other.visible.x < part.visible.right
            and part.visible.x < other.visible.right
        )
        yield Joint(part.mark, edge, enters, mates)


def _rows(wall: Wall) -> list[tuple[Part, ...]]:
    """For each band the boards or the metal part that fill it, from the left; none for a gap or a reveal."""
    shown = [
        part for part in wall.parts if part.visible is not None and part.kind in ("panel", "base", "frieze", *GROOVED)
    ]
    return [
        tuple(
            part
            for part in shown
            if part.visible is not None
            and part.visible.y == band.y
            and (part.kind == band.kind or part.tier == band.kind)
        )
        for band in wall.bands
    ]


def _splines(wall: Wall, tier: str) -> list[str]:
    return [part.mark for part in wall.parts if part.kind == "vertical-spline" and part.tier == tier]

"""A wall's row: margins, columns of panels and vertical joints, closing on the wall's width."""

from __future__ import annotations

from dataclasses import dataclass

from cabdraw.cab import WallName, neighbour_names
from cabdraw.errors import Path, Problem
from cabdraw.resolve.chain import Link, solve
from cabdraw.spec.schema import LayoutWall, Spec
from cabdraw.units import ZERO, Length, Printing


@dataclass(frozen=True, slots=True)
class Row:
    """Margins from the shell, the columns' left edges and widths, and the free gap at each end."""

    margins: tuple[Length, Length]
    columns: tuple[tuple[Length, Length], ...]
    gaps: tuple[Length, Length]


def neighbours(spec: Spec, wall: WallName) -> tuple[str, str]:
    """What stands at a wall's left and right end in a spec."""
    return neighbour_names(wall, spec.layout.walls.back is not None)


def projection(spec: Spec, wall: str) -> Length:
    """How far a wall's panel face stands off its shell; zero for a wall without panels."""
    layout: LayoutWall | None = getattr(spec.layout.walls, wall, None)
    if layout is None:
        return ZERO
    panel = layout.panel or spec.layout.panel
    return panel.air_gap + panel.total_thickness


def nominal_margins(spec: Spec, wall: WallName, layout: LayoutWall) -> tuple[Length, Length]:
    """The margins before rounding, left end and right end as seen from inside."""
    if layout.margins is not None:
        return layout.margins
    rear = spec.layout.rear_gap if spec.layout.rear_gap is not None else spec.layout.front_gap

    def margin(neighbour: str) -> Length:
        if neighbour == "front":
            return spec.layout.front_gap
        if neighbour == "rear":
            return rear
        return projection(spec, neighbour) + spec.layout.corner_gap

    left, right = neighbours(spec, wall)
    return margin(left), margin(right)


def resolve_row(
    spec: Spec, wall: WallName, layout: LayoutWall, path: Path, width: Length, problems: list[Problem]
) -> Row | None:
    """Margins and columns of one wall; None, and a problem in the list, where there is no room.

    What rounding leaves goes to the margins: half, rounded down to the increment, to the end at x = 0.
    """
    printing = Printing.of(spec.units, spec.step)
    reveal = spec.layout.reveal if layout.reveal is None else layout.reveal
    nominal = nominal_margins(spec, wall, layout)
    if layout.panels is not None:
        links, key = [Link(None, weight) for weight in layout.panels], "panels"
    else:
        assert layout.widths is not None
        links, key = [Link(size) for size in layout.widths], "widths"
    joints = reveal * (len(links) - 1)
    room = width - nominal[0] - nominal[1] - joints
    solved = solve(room, links, spec.step)
    if solved.left < ZERO or any(size <= ZERO for size in solved.sizes):
        fixed = width - room
        taken = (
            f"margins {printing.size(nominal[0])} and {printing.size(nominal[1])}"
            f" and {len(links) - 1} joints of {printing.size(reveal)} take {printing.size(fixed)}"
        )
        stated = [link.size for link in links if link.size is not None]
        if stated:
            taken += f", and the stated widths {printing.size(Length(sum(s.mm for s in stated) + ZERO.mm))}"
        problems.append(
            Problem(
                (*path, key),
                f"the {wall} wall is {printing.size(width)} wide: {taken}, which leaves no room for"
                f" {'the panels' if not stated else 'the rest'}",
                "make fewer or narrower panels",
            )
        )
        return None
    first = (solved.left / 2).floor_to(spec.step)
    margins = (nominal[0] + first, nominal[1] + solved.left - first)
    columns, x = [], margins[0]
    for size in solved.sizes:
        columns.append((x, size))
        x += size + reveal
    left, right = neighbours(spec, wall)
    gaps = (margins[0] - projection(spec, left), margins[1] - projection(spec, right))
    return Row(margins, tuple(columns), gaps)

"""A wall's row: margins, columns of panels and vertical joints, closing on the wall's width."""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.cab import WallName, neighbour_names
from cabdraw.errors import Path
from cabdraw.frozen import Frozen
from cabdraw.rational import Fraction
from cabdraw.resolve.chain import Link, solve
from cabdraw.resolve.problems import Problems
from cabdraw.spec.schema import LayoutWall, Spec
from cabdraw.units import ZERO, Length, Printing, total

#: The ends of a wall as seen from inside.
ENDS = ("left", "right")


class Row(Frozen):
    """Margins from the shell, the columns' left edges and widths, and the free gap at each end.

    `run` is from the first panel's left edge to the last one's right edge.
    """

    margins: tuple[Length, Length]
    columns: tuple[tuple[Length, Length], ...]
    gaps: tuple[Length, Length]
    run: Length


def neighbours(spec: Spec, wall: WallName) -> tuple[str, str]:
    """What stands at a wall's left and right end in a spec."""
    return neighbour_names(wall, spec.layout.walls.back is not None)


def projection(spec: Spec, wall: str) -> Length:
    """How far a wall's panel face stands off its shell; zero for a wall without panels."""
    layout: LayoutWall | None = getattr(spec.layout.walls, wall, None)
    if layout is None:
        return ZERO
    panel = layout.panel or spec.layout.panel
    return (panel.air_gap + panel.total_thickness).called(f"projection of the {wall} wall")


def margin_places(spec: Spec, wall: WallName, layout: LayoutWall) -> tuple[Path, Path]:
    """Where in the spec the margin at each end is stated."""
    if layout.margins is not None:
        own: Path = ("layout", "walls", wall, "margins")
        return (*own, 0), (*own, 1)
    rear = "rear_gap" if spec.layout.rear_gap is not None else "front_gap"
    gaps = {"front": "front_gap", "rear": rear}
    left, right = neighbours(spec, wall)
    return ("layout", gaps.get(left, "corner_gap")), ("layout", gaps.get(right, "corner_gap"))


def nominal_margins(spec: Spec, wall: WallName, layout: LayoutWall) -> tuple[Length, Length]:
    """The margins before rounding, left end and right end as seen from inside."""
    names = [f"nominal margin at the {end} end of the {wall} wall" for end in ENDS]
    if layout.margins is not None:
        return layout.margins[0].called(names[0]), layout.margins[1].called(names[1])
    rear = spec.layout.rear_gap
    if rear is None:
        rear = spec.layout.front_gap.called("rear gap, by default the front gap; layout.rear_gap would set it")

    def margin(neighbour: str) -> Length:
        if neighbour == "front":
            return spec.layout.front_gap
        if neighbour == "rear":
            return rear
        return projection(spec, neighbour) + spec.layout.corner_gap

    left, right = neighbours(spec, wall)
    return margin(left).called(names[0]), margin(right).called(names[1])


def resolve_row(
    spec: Spec, wall: WallName, layout: LayoutWall, path: Path, width: Length, problems: Problems
) -> Row | None:
    """Margins and columns of one wall; None, and a problem, where there is no room.

    What rounding leaves goes to the margins: half, rounded down to the increment, to the end at x = 0.
    """
    reveal = spec.layout.reveal if layout.reveal is None else layout.reveal
    nominal = nominal_margins(spec, wall, layout)
    key = "panels" if layout.panels is not None else "widths"
    shares: Sequence[tuple[Length | None, Fraction]]
    if layout.panels is not None:
        shares = [(None, weight) for weight in layout.panels]
    else:
        assert layout.widths is not None
        shares = [(size, Fraction(1)) for size in layout.widths]
    links = [
        Link(size, weight, f"width of panel {n} of the {wall} wall", (*path, key, n - 1))
        for n, (size, weight) in enumerate(shares, 1)
    ]
    room = width - nominal[0] - nominal[1] - reveal * (len(links) - 1)
    room = room.called(f"room for the panels of the {wall} wall", (*path, key))
    solved = solve(room, links, spec.step, f"what the stated widths leave of the room on the {wall} wall")
    if solved.left < ZERO or any(size <= ZERO for size in solved.sizes):
        what = _no_room(Printing.of(spec.units, spec.step), width, nominal, reveal, links)
        problems.add((*path, key), what, "make fewer or narrower panels, or less reveal or margin", wall)
        return None
    rest = solved.left.called(f"what rounding leaves of the row on the {wall} wall")
    first = (rest / 2).floor_to(spec.step).called(f"share of that for the left end of the {wall} wall")
    names = [f"margin at the {end} end of the {wall} wall" for end in ENDS]
    margins = ((nominal[0] + first).called(names[0]), (nominal[1] + rest - first).called(names[1]))
    run = (width - margins[0] - margins[1]).called(f"run of the panels of the {wall} wall")
    columns, x = [], margins[0]
    for size in solved.sizes:
        columns.append((x, size))
        x += size + reveal
    left, right = (
        (margin - projection(spec, neighbour)).called(f"free gap at the {end} end of the {wall} wall")
        for margin, neighbour, end in zip(margins, neighbours(spec, wall), ENDS, strict=True)
    )
    return Row(margins, tuple(columns), (left, right), run)


def _no_room(
    printing: Printing, width: Length, margins: tuple[Length, Length], reveal: Length, links: Sequence[Link]
) -> str:
    """What takes a row's room, and what is left of it."""
    size, joints = printing.size, len(links) - 1
    stated = total(link.size for link in links if link.size is not None)
    takers = [f"the margins {size(margins[0])} and {size(margins[1])}"]
    if joints and reveal:
        takers.append(f"{joints} {'joint' if joints == 1 else 'joints'} of {size(reveal)}")
    if stated:
        takers.append(f"{size(stated)} of stated widths")
    taken = margins[0] + margins[1] + reveal * joints + stated
    fills = sum(link.size is None for link in links)
    if taken > width:
        rest = f"{size(taken - width)} too much"
    else:
        left = "nothing" if taken == width else "only " + size(width - taken)
        called = "fill" if stated else "panel"
        rest = f"which leaves {left} for {f'{fills} {called}s' if fills > 1 else f'the {called}'}"
    *most, last = takers
    listed = f"{', '.join(most)} and {last}" if most else last
    return f"{listed} take {size(taken)} of its width of {size(width)}, {rest}"

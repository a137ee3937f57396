"""Trims: at the front returns, cut where the transom stands proud, and at the inside corners."""

from __future__ import annotations

from collections.abc import Mapping

from cabdraw.cab import Front, Part, Return, Wall, WallName
from cabdraw.resolve.problems import Problems
from cabdraw.spec.schema import Spec
from cabdraw.units import ZERO, Printing, least, total


def resolve_front(spec: Spec) -> Front | None:
    """The front of the car above the finished floor; None where it was not surveyed."""
    front = spec.survey.front
    if front is None:
        return None
    finish = spec.survey.floor_finish
    trim = spec.layout.front_trim
    underside = (front.transom.underside - finish).called("underside of the transom") if front.transom else None
    projects = front.transom.projects if front.transom is not None else ZERO
    returns: list[Return] = []
    if front.left is not None:
        height = (front.left.height - finish).called("height of the left return")
        returns.append(Return("left", front.left.width, height))
    if front.right is not None:
        height = (front.right.height - finish).called("height of the right return")
        returns.append(Return("right", front.right.width, height))
    return Front(
        returns=tuple(returns),
        underside=underside,
        projects=projects,
        cut=underside if projects > ZERO else None,
        trim_width=trim.width if trim is not None else None,
        stock=trim.stock if trim is not None else None,
        kerf=trim.kerf if trim is not None else ZERO,
    )


def front_trims(spec: Spec, front: Front | None, problems: Problems) -> tuple[Part, ...]:
    """A trim at each return, in two pieces where the transom projects: floor to its underside, and on to the top."""
    if front is None or front.trim_width is None or front.stock is None:
        return ()
    printing = Printing.of(spec.units, spec.step)
    parts: list[Part] = []
    for found in front.returns:
        pieces = [found.height]
        if front.cut is not None and front.cut < found.height:
            pieces = [front.cut, found.height - front.cut]
        needed = total(pieces) + front.kerf * (len(pieces) - 1)
        if needed > front.stock:
            listed = " and ".join(printing.size(piece) for piece in pieces)
            if len(pieces) > 1:
                listed += f" and a saw cut of {printing.size(front.kerf)}, {printing.size(needed)} in all"
            problems.add(
                ("layout", "front_trim", "stock"),
                f"the {found.side} front trim needs {listed}, and one stock length is {printing.size(front.stock)}",
                f"give a stock length of at least {printing.size(needed)}",
            )
        for order, piece in enumerate(pieces, 1):
            mark = f"front-trim-{found.side}-{order}"
            parts.append(Part(mark, "front-trim", found.side, None, order, front.trim_width, piece, None))
    return tuple(parts)


def corner_trims(spec: Spec, walls: Mapping[WallName, Wall]) -> tuple[Part, ...]:
    """A trim at each inside corner, floor to ceiling: the lesser of the two walls' heights."""
    trim, back = spec.layout.corner_trim, walls.get("back")
    if trim is None or back is None:
        return ()
    sides: tuple[WallName, ...] = ("left", "right")
    return tuple(
        Part(
            f"corner-trim-{side}",
            "corner-trim",
            side,
            None,
            None,
            trim.width,
            least((back.height, walls[side].height)),
            None,
        )
        for side in sides
        if side in walls
    )

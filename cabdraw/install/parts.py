"""What the installer calls each piece: where it goes in words, its size, what it weighs, when it goes on."""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.cab import Cab, Part
from cabdraw.frozen import Frozen
from cabdraw.install.order import Stage
from cabdraw.shop.parts import ShopPart
from cabdraw.units import Length, Mass

_KINDS = {
    "base": "base", "frieze": "frieze", "backer": "backer", "bumper": "bumper", "crown": "crown", "handrail": "rail",
    "front-trim": "front trim", "corner-trim": "corner trim",
}  # fmt: skip


class Piece(Frozen):
    """One physical piece: a part, or one of the pieces that a fixture's opening leaves of it.

    `where` spells out tier, wall and order. `stage` is the index of the stage in which it goes on.
    """

    mark: str
    part: Part
    where: str
    width: Length
    height: Length
    mass: Mass | None
    stage: int

    @property
    def length(self) -> Length:
        """Its longer side."""
        return max(self.width, self.height)


def pieces(cab: Cab, stages: Sequence[Stage], made: Sequence[ShopPart]) -> tuple[Piece, ...]:
    """Every piece that is made for the car, in the order of its parts; bought standoffs are hardware."""
    by_mark = {part.mark: part for part in cab.parts}
    when = {mark: index for index, stage in enumerate(stages) for mark in stage.marks}
    found = []
    for piece in made:
        if piece.made == "bought":
            continue
        part = by_mark.get(piece.mark) or by_mark[piece.mark.rpartition("-")[0]]
        also = "" if part.mark == piece.mark else f", piece {piece.mark.rpartition('-')[2]}"
        size = piece.visible if piece.visible is not None and part.kind == "panel" else piece.finished
        found.append(
            Piece(piece.mark, part, where(cab, part) + also, size.width, size.height, piece.mass, when[part.mark])
        )
    return tuple(found)


def where(cab: Cab, part: Part) -> str:
    """Tier, wall and order of a part, spelled out."""
    wall = f"{part.wall} wall"
    if part.kind == "panel":
        columns = len(cab.walls[part.wall].columns)
        return f"{part.tier} tier, {wall}, {part.order} of {columns} from the left"
    if part.kind in ("vertical-spline", "vertical-reveal"):
        kind = "spline" if part.kind == "vertical-spline" else "reveal"
        return f"{part.tier} tier, {wall}, {kind} of joint {part.order} from the left"
    if part.kind in ("horizontal-spline", "horizontal-reveal"):
        kind = "spline" if part.kind == "horizontal-spline" else "reveal"
        return f"{wall}, level {kind} {part.order} from the floor"
    if part.kind == "front-trim":
        alone = sum(other.kind == "front-trim" and other.wall == part.wall for other in cab.trims) == 1
        return f"front trim, {part.wall} return" + ("" if alone else ", lower" if part.order == 1 else ", upper")
    if part.kind == "corner-trim":
        return f"corner trim, {part.wall} back corner"
    bumpers = [other.mark for other in cab.parts if other.kind == part.kind and other.wall == part.wall]
    number = f" {bumpers.index(part.mark) + 1} of {len(bumpers)} from the floor" if len(bumpers) > 1 else ""
    return f"{_KINDS[part.kind]}{number}, {wall}"

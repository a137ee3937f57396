"""How a car's parts are packed: in bundles, last on packed first, so that what goes on first lies on top."""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.frozen import Frozen
from cabdraw.install.parts import Piece
from cabdraw.rational import Fraction
from cabdraw.units import Length, Mass

#: Kinds that are bundled by their length; boards are stacked by tier and wall.
_BOARDS = ("panel", "backer", "bumper", "crown")


class Bundle(Frozen):
    """Pieces that are packed together; `number` is the order in which bundles go into the crate.

    `mass` is None where that of any piece is not known; `stage` is the first stage that takes from it.
    """

    number: int
    what: str
    wall: str
    pieces: tuple[Piece, ...]
    length: Length
    mass: Mass | None
    stage: int


def bundles(pieces: Sequence[Piece]) -> tuple[Bundle, ...]:
    """The bundles in the order in which they are packed: the reverse of that in which they are wanted."""
    groups: dict[tuple[str, str, str, Length | None], list[Piece]] = {}
    for piece in pieces:
        part = piece.part
        board = part.kind in _BOARDS
        key = (part.wall, part.kind, part.tier or "", None if board else piece.length)
        groups.setdefault(key, []).append(piece)
    ordered = sorted(groups.values(), key=lambda group: (-min(p.stage for p in group), -max(p.stage for p in group)))
    return tuple(_bundle(number, group) for number, group in enumerate(ordered, 1))


def _bundle(number: int, group: Sequence[Piece]) -> Bundle:
    part = group[0].part
    masses = [piece.mass for piece in group]
    known = [mass.kg for mass in masses if mass is not None]
    mass = Mass(sum(known, Fraction(0))) if len(known) == len(masses) else None
    what = part.kind.replace("-", " ") + (f", {part.tier} tier" if part.tier else "")
    length = max(piece.length for piece in group)
    return Bundle(number, what, part.wall, tuple(group), length, mass, min(piece.stage for piece in group))

"""The cuts of a sheet in the order in which the saw makes them, with exact sizes and the pieces that each makes."""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.rational import Fraction
from cabdraw.shop.nesting.shapes import BoardPiece, Cut, Placed, Rect, Sheet, SheetLayout
from cabdraw.shop.nesting.tree import Part, Tree


def laid_out(
    sheet: Sheet,
    tree: Tree,
    trim: Fraction,
    kerf: Fraction,
    unit: Fraction,
    waiting: Sequence[list[BoardPiece]],
) -> SheetLayout:
    """A sheet with the pieces that its tree takes from it; each is drawn from the queue `waiting` of its kind.

    Each cut is followed by all cuts of the piece at its left or below, then by those of the other.
    """
    placed: list[Placed] = []
    cuts: list[Cut] = []
    ends: list[tuple[str, str | None]] = []
    spare: list[Rect] = []

    room = Rect(trim, trim, Fraction(sheet.width) - 2 * trim, Fraction(sheet.height) - 2 * trim)
    uncut: list[tuple[Tree | None, str, Rect]] = [(tree, "0", room)]
    while uncut:
        node, name, at = uncut.pop()
        if isinstance(node, Part):
            mark = waiting[node.kind].pop(0).mark
            placed.append(Placed(mark, at, node.turned))
            ends.append((name, mark))
        elif node is None:
            spare.append(at)
            ends.append((name, None))
        else:
            whole = at.width if node.upright else at.height
            near = node.at * unit - kerf
            far = whole - near - kerf
            if near >= whole:
                uncut.append((node.near, name, at))
                continue
            number = len(cuts) + 1
            if node.upright:
                halves = Rect(at.x, at.y, near, at.height), Rect(at.x + near + kerf, at.y, far, at.height)
            else:
                halves = Rect(at.x, at.y, at.width, near), Rect(at.x, at.y + near + kerf, at.width, far)
            names = f"{number}a", f"{number}b" if far > 0 else None
            cuts.append(Cut(number, name, "vertical" if node.upright else "horizontal", near, *names))
            if names[1] is not None:
                uncut.append((node.far, names[1], halves[1]))
            uncut.append((node.near, names[0], halves[0]))
    spare.sort(key=lambda rect: (-rect.area, rect.x, rect.y))
    return SheetLayout(sheet, tuple(placed), tuple(cuts), tuple(ends), tuple(spare))

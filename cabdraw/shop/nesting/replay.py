"""Making the cuts of a layout again, from the sheet and the list of cuts alone, and holding the result against it."""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.rational import Fraction
from cabdraw.shop.nesting.shapes import BoardPiece, Rect, SheetLayout


def faults(layout: SheetLayout, pieces: Sequence[BoardPiece], kerf: Fraction | int, trim: Fraction | int) -> list[str]:
    """What is wrong with a layout, in words; empty if it can be sawn as it says.

    Every cut goes right across one piece of board and takes a kerf; what is there in the end must be the pieces, each
    of its own size and with its grain as the sheet's, and the off-cuts that the layout names.
    """
    sheet = layout.sheet
    boards = {"0": Rect(Fraction(trim), Fraction(trim), sheet.width - 2 * trim, sheet.height - 2 * trim)}
    wrong: list[str] = []
    for number, cut in enumerate(layout.cuts, 1):
        board = boards.pop(cut.of, None)
        if board is None or cut.number != number:
            return [*wrong, f"cut {cut.number} is of {cut.of}, which is not there"]
        size = board.width if cut.line == "vertical" else board.height
        far = size - cut.at - kerf
        if not 0 < cut.at < size or (far > 0) != (cut.far is not None):
            return [*wrong, f"cut {cut.number} at {cut.at} does not go through {cut.of}, which is {size}"]
        if cut.line == "vertical":
            halves = (
                Rect(board.x, board.y, cut.at, board.height),
                Rect(board.x + cut.at + kerf, board.y, far, board.height),
            )
        else:
            halves = (
                Rect(board.x, board.y, board.width, cut.at),
                Rect(board.x, board.y + cut.at + kerf, board.width, far),
            )
        boards[cut.near] = halves[0]
        if cut.far is not None:
            boards[cut.far] = halves[1]
    shapes = {piece.mark: piece for piece in pieces}
    placed = {piece.mark: piece for piece in layout.placed}
    spare = []
    for name, mark in layout.ends:
        board = boards.pop(name, None)
        if board is None:
            wrong.append(f"{name} is not there in the end")
        elif mark is None:
            spare.append(board)
        elif mark not in placed or board != placed[mark].at:
            wrong.append(f"{mark} is not where the cuts leave it")
    if boards:
        wrong.append(f"nothing is said of {', '.join(sorted(boards))}")
    if sorted(map(_key, spare)) != sorted(map(_key, layout.off_cuts)):
        wrong.append("the off-cuts are not what the cuts leave")
    if sorted(placed) != sorted(mark for _, mark in layout.ends if mark is not None):
        wrong.append("the pieces are not what the cuts leave")
    for mark, piece in placed.items():
        shape = shapes[mark]
        lies = (shape.height, shape.width) if piece.turned else (shape.width, shape.height)
        if (piece.at.width, piece.at.height) != lies:
            wrong.append(f"{mark} is not its size")
        if shape.grain and sheet.grain and (shape.grain == sheet.grain) == piece.turned:
            wrong.append(f"{mark} lies across the grain")
    return wrong


def _key(rect: Rect) -> tuple[Fraction, ...]:
    return rect.x, rect.y, rect.width, rect.height

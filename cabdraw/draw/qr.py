"""QR codes as shapes (ISO/IEC 18004, made by segno): rows of dark squares, all vector."""

from __future__ import annotations

from itertools import groupby

import segno

from cabdraw.draw.shapes import XY, Painted

#: Light squares to be kept round a code (ISO/IEC 18004: four).
QUIET = 4
BLACK = (0, 0, 0)


def qr(text: str, at: XY, side: float) -> Painted:
    """A code with its quiet zone in a square of a side in mm, by its lower left corner; 15 % of it may be damaged."""
    code = segno.make_qr(text, error="m")
    rows = [tuple(row) for row in code.matrix]
    step = side / (len(rows) + 2 * QUIET)
    rings: list[tuple[XY, ...]] = []
    for number, row in enumerate(rows):
        high = at[1] + side - (QUIET + number) * step
        place = QUIET
        for dark, run in groupby(row):
            count = len(tuple(run))
            if dark:
                left, right = at[0] + place * step, at[0] + (place + count) * step
                rings.append(((left, high - step), (right, high - step), (right, high), (left, high)))
            place += count
    return Painted("TINT", tuple(rings), BLACK)

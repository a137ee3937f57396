"""Published instances of cutting problems, with the best values that are known for them; data/README.md has sources."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from cabdraw.shop.nesting.guillotine import Wanted

DATA = Path(__file__).parent / "data"

#: Unlimited numbers of each piece, no turning: G. F. Cintra and others, for the instances of J. E. Beasley (1985).
GCUT = {1: 56460, 2: 60536, 3: 61036, 4: 61698, 5: 246000, 6: 238998, 7: 242567, 8: 246633}
#: The same where pieces may be turned by a quarter (gcut1r and so on).
GCUT_TURNED = {1: 58136, 2: 60611, 3: 61626, 4: 62265, 5: 246000}
#: Limited numbers: N. Christofides and C. Whitlock (1977).
CGCUT = {1: 244, 2: 2892, 3: 1860}
#: Bins for the sets of E. Falkenauer (1996); those of t60 are filled to the brim by construction.
BINS = {"t60_00": 20, "t60_01": 20, "t60_02": 20, "t60_03": 20, "t60_04": 20, "u250_00": 99, "u250_01": 100}


@dataclass(frozen=True, slots=True)
class Plate:
    """A sheet and the rectangles wanted from it."""

    width: int
    height: int
    wanted: tuple[Wanted, ...]


def plate(name: str, turned: bool = False) -> Plate:
    """An instance by name: gcut1, cgcut1 and so on."""
    rows = [[int(word) for word in line.split()] for line in (DATA / f"{name}.txt").read_text("ascii").splitlines()]
    (number,), (width, height), *pieces = rows
    assert number == len(pieces)
    turns = (False, True) if turned else (False,)
    return Plate(width, height, tuple(Wanted(*row[:3], row[3] if len(row) > 3 else None, turns) for row in pieces))


def bins(name: str) -> tuple[int, list[int]]:
    """A set of lengths by name: the room of a bin, and the lengths."""
    number, room, *sizes = (int(word) for word in (DATA / f"{name}.txt").read_text("ascii").split())
    assert number == len(sizes)
    return room, sizes

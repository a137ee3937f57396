"""The stock that the shop has: sheets and bars, and what the saw takes."""

from __future__ import annotations

from typing import Literal

from cabdraw.frozen import Frozen
from cabdraw.units import ZERO, Length

#: Along which side of a sheet its grain runs: vertical along its height, horizontal along its width.
SheetGrain = Literal["vertical", "horizontal", "none"]


class SheetStock(Frozen):
    """One kind of sheet: `count` is how many there are, None for as many as it takes.

    `thickness` is None where the spec does not give it: then the sheet serves every thickness.
    """

    name: str
    material: str
    width: Length
    height: Length
    count: int | None
    grain: SheetGrain
    thickness: Length | None = None


class BarStock(Frozen):
    """One kind of bar, strip or tube for a kind of part; `count` is None for as many as it takes."""

    name: str
    length: Length
    count: int | None


class Stock(Frozen):
    """All stock of a spec: `kerf` is what a saw cut takes, `edge_trim` what comes off each edge of a sheet first."""

    sheets: tuple[SheetStock, ...] = ()
    bars: tuple[BarStock, ...] = ()
    kerf: Length = ZERO
    edge_trim: Length = ZERO

"""Nesting boards on sheets and cutting bars to length. Exact lengths in, exact lengths out."""

from cabdraw.shop.nesting.bars import cut_bars
from cabdraw.shop.nesting.boards import nest_boards
from cabdraw.shop.nesting.shapes import (
    Bar,
    BarLayout,
    BarPiece,
    BarPlan,
    BoardPiece,
    BoardPlan,
    Cut,
    Placed,
    Rect,
    Sheet,
    SheetLayout,
)

__all__ = [
    "Bar",
    "BarLayout",
    "BarPiece",
    "BarPlan",
    "BoardPiece",
    "BoardPlan",
    "Cut",
    "Placed",
    "Rect",
    "Sheet",
    "SheetLayout",
    "cut_bars",
    "nest_boards",
]

"""From parts to stock: boards nested on sheets, lengths cut from bars, and what the stock has nothing for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from cabdraw.cab import Front
from cabdraw.frozen import Frozen
from cabdraw.shop.parts import BAR_OF, ShopPart
from cabdraw.shop.stock import BarStock, SheetStock, Stock
from cabdraw.units import ZERO, Length

if TYPE_CHECKING:
    from cabdraw.shop.nesting import BarPlan, BoardPlan

#: Parts whose pieces of one return come out of one length, in the order in which they are cut.
FRONT_TRIM = "front_trim"


class Wanted(Frozen):
    """A part of some car, with the name that it has on a layout: its mark, before it the car if there are several."""

    name: str
    part: ShopPart


class Boards(Frozen):
    """The boards of one core on their sheets."""

    material: str
    thickness: Length
    plan: BoardPlan


class Bars(Frozen):
    """The parts of one kind and one width on their bars; `across` is the width of the strip, or of the tube."""

    kind: str
    material: str
    across: Length
    thickness: Length | None
    plan: BarPlan


class StockPlan(Frozen):
    """How everything is cut, and the names of parts that no sheet and no bar is given for."""

    boards: tuple[Boards, ...]
    bars: tuple[Bars, ...]
    without: tuple[str, ...]

    @property
    def unplaced(self) -> tuple[str, ...]:
        """Parts that are larger than their stock, or that it does not suffice for."""
        plans: list[BoardPlan | BarPlan] = [
            *(group.plan for group in self.boards),
            *(group.plan for group in self.bars),
        ]
        return tuple(name for plan in plans for name in plan.unplaced)


def core_thickness(part: ShopPart) -> Length:
    """The thickness of a board's core, its thickest layer."""
    return max((layer.thickness for layer in part.layers), default=part.thickness or ZERO)


def sheets_for(part: ShopPart, stock: Stock) -> tuple[SheetStock, ...]:
    """The sheets that a board can be cut from: of its core's material, and of its thickness where they say one.

    A board of a material that is not named can be cut from any.
    """
    material, thickness = " ".join(part.material.casefold().split()), core_thickness(part)
    return tuple(
        sheet
        for sheet in stock.sheets
        if material in ("", " ".join(sheet.material.casefold().split())) and sheet.thickness in (None, thickness)
    )


def bars_for(part: ShopPart, stock: Stock, front: Front | None) -> tuple[tuple[BarStock, ...], Length]:
    """The bars that a part can be cut from, and what the saw takes of them; front trims have their own length."""
    kind = BAR_OF.get(part.kind, "")
    if kind == FRONT_TRIM and front is not None and front.stock is not None:
        return (BarStock(FRONT_TRIM, front.stock, None),), front.kerf
    return tuple(bar for bar in stock.bars if bar.name == kind), stock.kerf


def plan_stock(wanted: Sequence[Wanted], stock: Stock, front: Front | None) -> StockPlan:
    """Nest and cut everything; `stock` and `front` are those of the car, or of the first of several."""
    boards, without = _boards([each for each in wanted if each.part.made == "board"], stock)
    others = [each for each in wanted if each.part.made in ("sheet", "bar")]
    bars, more = _bars(others, stock, front)
    return StockPlan(boards, bars, (*without, *more))


def _boards(wanted: Iterable[Wanted], stock: Stock) -> tuple[tuple[Boards, ...], tuple[str, ...]]:
    from cabdraw.shop.nesting import BoardPiece, Sheet, nest_boards

    sides = {"vertical": "height", "horizontal": "width", "none": None}
    groups: dict[tuple[str, Length, tuple[SheetStock, ...]], list[Wanted]] = {}
    without = []
    for each in wanted:
        sheets = sheets_for(each.part, stock)
        if sheets:
            groups.setdefault((each.part.material, core_thickness(each.part), sheets), []).append(each)
        else:
            without.append(each.name)
    found = []
    for (material, thickness, sheets), members in groups.items():
        pieces = [
            BoardPiece(
                each.name,
                each.part.blank.width.mm,
                each.part.blank.height.mm,
                sides[each.part.grain],  # type: ignore[arg-type]
            )
            for each in members
        ]
        stocked = [
            Sheet(sheet.name, sheet.width.mm, sheet.height.mm, sheet.count, None, sides[sheet.grain])  # type: ignore[arg-type]
            for sheet in sheets
        ]
        plan = nest_boards(pieces, stocked, stock.kerf.mm, stock.edge_trim.mm)
        found.append(Boards(material, thickness, plan))
    return tuple(found), tuple(without)


def _bars(wanted: Sequence[Wanted], stock: Stock, front: Front | None) -> tuple[tuple[Bars, ...], tuple[str, ...]]:
    from cabdraw.shop.nesting import Bar, BarPiece, cut_bars

    groups: dict[tuple[str, str, Length, Length | None, tuple[BarStock, ...], Length], list[Wanted]] = {}
    without = []
    for each in wanted:
        bars, kerf = bars_for(each.part, stock, front)
        part = each.part
        across = part.core.height if part.along == "x" else part.core.width
        if bars:
            key = (BAR_OF[part.kind], part.material, across, part.thickness, bars, kerf)
            groups.setdefault(key, []).append(each)
        else:
            without.append(each.name)
    found = []
    for (kind, material, across, thickness, bars, kerf), members in groups.items():
        pieces = [BarPiece(each.name, each.part.length.mm) for each in members]
        if kind == FRONT_TRIM:
            pieces = [
                BarPiece(
                    " + ".join(each.name for each in pair),
                    sum((each.part.length.mm for each in pair), ZERO.mm) + kerf.mm * (len(pair) - 1),
                )
                for pair in _returns(members)
            ]
        stocked = [Bar(bar.name, bar.length.mm, bar.count) for bar in bars]
        found.append(Bars(kind, material, across, thickness, cut_bars(pieces, stocked, kerf.mm)))
    return tuple(found), tuple(without)


def _returns(members: Sequence[Wanted]) -> list[list[Wanted]]:
    """Front trims by return: both pieces of one come out of one length."""
    returns: dict[str, list[Wanted]] = {}
    for each in members:
        returns.setdefault(each.name.rpartition("-")[0], []).append(each)
    return list(returns.values())

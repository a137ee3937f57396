"""Whether the stock that the spec names has something for every part that is cut from such stock."""

from __future__ import annotations

from collections.abc import Iterator

from cabdraw.cab import Cab
from cabdraw.check.codes import code
from cabdraw.errors import Finding, Path
from cabdraw.shop.parts import ShopPart, shop_parts
from cabdraw.shop.stock import SheetStock, Stock
from cabdraw.shop.stock_plan import bars_for, core_thickness, sheets_for
from cabdraw.units import ZERO, Length

NONE = code("stock-none", "warning", "nothing", "no sheet of the stock is of a board's material and thickness")
SIZE = code("stock-size", "warning", "nothing", "a part is larger than the stock that it is to be cut from")
SHORT = code("stock-short", "warning", "nothing", "there are fewer sheets than the boards' area takes")


def stock(cab: Cab) -> Iterator[Finding]:
    """Findings about stock; none where the spec names none."""
    if cab.stock is None:
        return
    parts = shop_parts(cab)
    boards = [part for part in parts if part.made == "board"]
    if cab.stock.sheets:
        yield from _sheets(cab, cab.stock, boards)
    yield from _bars(cab, cab.stock, [part for part in parts if part.made in ("sheet", "bar")])


def fits(part: ShopPart, sheet: SheetStock, trim: Length) -> bool:
    """Whether a board's blank fits a sheet with its edges trimmed, turned only where the grain of both allows it."""
    width, height = sheet.width - 2 * trim, sheet.height - 2 * trim
    upright = part.blank.width <= width and part.blank.height <= height
    turned = part.blank.height <= width and part.blank.width <= height
    if part.grain == "none" or sheet.grain == "none":
        return upright or turned
    return upright if part.grain == sheet.grain else turned


def _sheets(cab: Cab, stock: Stock, boards: list[ShopPart]) -> Iterator[Finding]:
    path: Path = ("stock", "sheets")
    groups: dict[tuple[str, Length, tuple[SheetStock, ...]], list[ShopPart]] = {}
    for part in boards:
        key = (part.material, core_thickness(part), sheets_for(part, stock))
        groups.setdefault(key, []).append(part)
    for (material, thickness, sheets), parts in groups.items():
        if not sheets:
            yield NONE.at(
                f"no sheet of {material}, {cab.printing.decimal(thickness)} thick, is in stock for {_some(parts)}",
                path,
                "name one, or write the material as the panel's layers do",
                None,
                tuple(part.mark for part in parts),
            )
            continue
        large = [part for part in parts if not any(fits(part, sheet, stock.edge_trim) for sheet in sheets)]
        if large:
            first = large[0].blank
            yield SIZE.at(
                f"{_some(large)}: a blank of {cab.printing.decimal(first.width)} x {cab.printing.decimal(first.height)}"
                " fits no sheet, its edges trimmed and its grain kept",
                path,
                "stock a larger sheet, or one without grain, or divide the part",
                None,
                tuple(part.mark for part in large),
            )
        if all(sheet.count is not None for sheet in sheets):
            room = sum(
                (sheet.count or 0) * ((sheet.width - 2 * stock.edge_trim).mm * (sheet.height - 2 * stock.edge_trim).mm)
                for sheet in sheets
            )
            needed = sum(part.blank.width.mm * part.blank.height.mm for part in parts)
            if needed > room:
                short = f"{float(needed / room):.1f} times" if room > ZERO.mm else "more than"
                yield SHORT.at(
                    f"the blanks of {_some(parts)} take {short} what {sum(sheet.count or 0 for sheet in sheets)} sheets"
                    f" of {material or 'board'} hold",
                    path,
                    "stock more sheets, or leave their count out",
                    None,
                    tuple(part.mark for part in parts),
                )


def _bars(cab: Cab, stock: Stock, parts: list[ShopPart]) -> Iterator[Finding]:
    for part in parts:
        bars, _ = bars_for(part, stock, cab.front)
        longest = max((bar.length for bar in bars), default=None)
        # A front trim's stock is a part of the layout, and checked where its pieces are worked out.
        if longest is not None and part.kind != "front-trim" and part.length > longest:
            kind = bars[0].name.replace("_", " ")
            yield SIZE.at(
                f"{part.mark} is {cab.printing.decimal(part.length)} long, and the longest bar for {kind} in stock is"
                f" {cab.printing.decimal(longest)}",
                ("stock", "bars"),
                "stock a longer one, or splice the part where it does not show",
                part.wall,
                (part.mark,),
            )


def _some(parts: list[ShopPart]) -> str:
    marks = [part.mark for part in parts]
    return ", ".join(marks) if len(marks) <= 3 else f"{marks[0]}, {marks[1]} and {len(marks) - 2} parts more"

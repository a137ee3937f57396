"""The nesting as a list: sheets with their pieces, saw cuts and off-cuts, bars with their lengths, and the yield."""

from __future__ import annotations

from collections.abc import Iterator

from cabdraw.rational import Fraction
from cabdraw.shop.lists import Cell, Table
from cabdraw.shop.nesting import SheetLayout
from cabdraw.shop.stock_plan import Bars, Boards, StockPlan
from cabdraw.units import INCH, Length, Printing, fixed_text

NESTING = (
    ("row", "sheet, piece, saw cut, off-cut, bar, length, left over, total, or no stock"),
    ("number", "the sheet's or the bar's number"),
    ("stock", "which stock it is"),
    ("material", "what it is made of"),
    ("mark", "the piece; in a list over several cars with the name of its spec before it"),
    ("unit", "inch or mm"),
    (
        "x",
        "from the sheet's left edge, or the bar's end, before any trim; for an upright saw cut how much it leaves left",
    ),
    ("y", "from the sheet's lower edge; for a level saw cut how much it leaves below"),
    ("width", "across; for a strip its width"),
    ("height", "up; for a bar or a length its length"),
    ("turned", "yes if the piece lies a quarter turn from how it hangs"),
    ("used", "share of the sheet, bar or stock that is pieces, in per cent"),
    ("stock_used", "stock taken, in square units for sheets, in units of length for bars"),
    ("least_possible", "proved lower bound for the stock taken, by guillotine cuts"),
    ("gap", "what the stock taken is over that bound, in per cent of it; 0 means no plan takes less"),
    ("printed", "the size as printed"),
    ("file", "the layout, within shop/sheets or sheets"),
    ("note", "what else there is to say"),
)


def sheet_file(number: int) -> str:
    """The name of a sheet's layout, without its ending."""
    return f"sheet-{number:02d}"


def numbered(plan: StockPlan) -> Iterator[tuple[int, Boards, SheetLayout]]:
    """Every sheet of a plan with its number, from 1 on over all materials."""
    number = 0
    for group in plan.boards:
        for layout in group.plan.sheets:
            number += 1
            yield number, group, layout


def nesting_list(plan: StockPlan, printing: Printing) -> Table:
    """The list of a plan, in the units of the car, or of the first of several."""
    rows: list[tuple[Cell, ...]] = []
    write = _Rows(rows, printing)
    for number, group, layout in numbered(plan):
        write.sheet(number, group, layout)
    for boards in plan.boards:
        write.total("sheets", boards.material, boards.plan.used, boards.plan.cost, boards.plan.bound,
                    boards.plan.gap, 2)  # fmt: skip
    number = 0
    for bars in plan.bars:
        number = write.bars(number, bars)
    for mark in plan.unplaced:
        write.row("no stock", mark=mark, note="larger than its stock, or the stock does not suffice")
    for mark in plan.without:
        write.row("no stock", mark=mark, note="the spec names no sheet or bar for it")
    return Table("nesting", NESTING, tuple(rows))


class _Rows:
    def __init__(self, rows: list[tuple[Cell, ...]], printing: Printing) -> None:
        self.rows = rows
        self.printing = printing
        self.unit = INCH if printing.system == "inch" else Fraction(1)

    def number(self, mm: Fraction, power: int = 1) -> float:
        return float(fixed_text(mm / self.unit**power, 6))

    def size(self, *mm: Fraction) -> str:
        return " x ".join(self.printing.decimal(Length(side)) for side in mm)

    def row(self, kind: str, **cells: Cell) -> None:
        cells["unit"] = self.printing.system
        self.rows.append((kind, *(cells.get(name) for name, _ in NESTING[1:])))

    def sheet(self, number: int, group: Boards, layout: SheetLayout) -> None:
        sheet = layout.sheet
        same: dict[str, Cell] = {"number": number, "stock": sheet.name, "material": group.material or None}
        self.row("sheet", **same, width=self.number(sheet.width), height=self.number(sheet.height),
                 used=_percent(layout.used), printed=self.size(sheet.width, sheet.height),
                 file=f"{sheet_file(number)}.dxf",
                 note=f"core {self.printing.decimal(group.thickness)}")  # fmt: skip
        for piece in layout.placed:
            at = piece.at
            self.row("piece", **same, mark=piece.mark, x=self.number(at.x), y=self.number(at.y),
                     width=self.number(at.width), height=self.number(at.height), turned="yes" if piece.turned else "no",
                     printed=self.size(at.width, at.height), note="blank size")  # fmt: skip
        for cut in layout.cuts:
            upright = cut.line == "vertical"
            makes = f"{cut.near} and {cut.far}" if cut.far is not None else f"{cut.near}, the rest is saw dust"
            self.row("saw cut", **same, mark=f"{cut.number}", x=self.number(cut.at) if upright else None,
                     y=None if upright else self.number(cut.at), printed=self.size(cut.at),
                     note=f"{'upright' if upright else 'level'}, right across {cut.of}; makes {makes}")  # fmt: skip
        for rest in layout.off_cuts:
            self.row("off-cut", **same, x=self.number(rest.x), y=self.number(rest.y), width=self.number(rest.width),
                     height=self.number(rest.height), printed=self.size(rest.width, rest.height))  # fmt: skip

    def bars(self, number: int, group: Bars) -> int:
        for layout in group.plan.bars:
            number += 1
            same: dict[str, Cell] = {
                "number": number,
                "stock": group.kind,
                "material": group.material,
                "width": self.number(group.across.mm),
            }
            length = layout.bar.length
            used = sum((piece for _, _, piece in layout.pieces), Fraction(0)) / length
            self.row("bar", **same, height=self.number(length), used=_percent(used), printed=self.size(length),
                     note=None if group.thickness is None else f"{self.printing.decimal(group.thickness)} thick",
                     )  # fmt: skip
            for mark, at, piece in layout.pieces:
                self.row("length", **same, mark=mark, x=self.number(at), height=self.number(piece),
                         printed=self.size(piece))  # fmt: skip
            if layout.left:
                self.row("left over", **same, x=self.number(length - layout.left), height=self.number(layout.left),
                         printed=self.size(layout.left))  # fmt: skip
        plan = group.plan
        self.total(group.kind, group.material, plan.used, plan.cost, plan.bound, plan.gap, 1, group.across)
        return number

    def total(
        self,
        stock: str,
        material: str,
        used: Fraction,
        cost: Fraction,
        bound: Fraction,
        gap: Fraction,
        power: int,
        across: Length | None = None,
    ) -> None:
        width = self.number(across.mm) if across is not None else None
        self.row("total", stock=stock, material=material or None, width=width, used=_percent(used),
                 stock_used=self.number(cost, power), least_possible=self.number(bound, power), gap=_percent(gap),
                 )  # fmt: skip


def _percent(share: Fraction) -> float:
    return float(fixed_text(share * 100, 2))

"""The shop's files: flats for machines, lists, and layouts of sheets; of one car, and of several together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from cabdraw.cab import Cab
from cabdraw.draw.flat import flat
from cabdraw.draw.nested import nested_flat, nested_sheet
from cabdraw.errors import Finding
from cabdraw.shop.lists import Table, bend_table, cut_list, edge_table, joined, mass_table
from cabdraw.shop.mass import masses
from cabdraw.shop.nesting_list import nesting_list, numbered, sheet_file
from cabdraw.shop.parts import ShopPart, shop_parts
from cabdraw.shop.stock import Stock
from cabdraw.shop.stock_plan import StockPlan, Wanted, plan_stock

CamVersion = Literal["r2000", "r12"]
#: The folder of the lists over several cars, beside the cars' own.
SEVERAL = "all-cars"

# The writers are imported where they are used: their libraries are slow to load.


def cleared(cab: Cab, findings: Sequence[Finding]) -> tuple[str, ...]:
    """The walls on which nothing stops drilling, so that holes for standoffs may be bored in the shop."""
    stopped = {finding.wall for finding in findings if finding.stops == "drilling"}
    return tuple(wall for wall in cab.walls if wall not in stopped and None not in stopped)


def shop_files(
    cab: Cab, findings: Sequence[Finding], walls: Sequence[str] | None = None, cam: CamVersion = "r2000"
) -> Iterator[tuple[str, bytes]]:
    """Every file of a car's `shop/` by its path there, of all walls or only of some, flats as R2000 or R12."""
    from cabdraw.write.dxf_parts import part_bytes, unit_ending

    parts = [part for part in shop_parts(cab, cleared(cab, findings)) if not walls or part.wall in walls]
    ending = unit_ending(cab.printing.system, cam)
    for part in parts:
        drawing = flat(cab, part)
        if drawing is not None:
            yield f"parts/{part.mark}{ending}.dxf", part_bytes(drawing, cab.printing.system, cam)
    tables = _tables(cab, parts, ending)
    if cab.stock is not None:
        plan = plan_stock([Wanted(part.mark, part) for part in parts], cab.stock, cab.front)
        tables = [*tables, nesting_list(plan, cab.printing)]
        yield from _layouts(cab, plan, cab.stock, cam, f"{cab.job.project}, {cab.job.car}")
    yield from _lists(tables, f"{cab.job.project}, {cab.job.car}")


def _tables(cab: Cab, parts: Sequence[ShopPart], ending: str) -> list[Table]:
    return [
        cut_list(cab, parts, ending),
        edge_table(cab, parts),
        bend_table(cab, parts),
        mass_table(cab, masses(cab, parts)),
    ]


def _lists(tables: Sequence[Table], title: str) -> Iterator[tuple[str, bytes]]:
    from cabdraw.write.tables import csv_bytes
    from cabdraw.write.workbook import workbook_bytes

    for table in tables:
        yield f"{table.name}.csv", csv_bytes(table.header, table.rows)
    columns = [(table.name, name, meaning) for table in tables for name, meaning in table.columns]
    sheets = [(table.name, table.header, table.rows) for table in tables]
    yield "lists.xlsx", workbook_bytes([*sheets, ("columns", ("list", "column", "what it holds"), columns)], title)


def _layouts(cab: Cab, plan: StockPlan, stock: Stock, cam: CamVersion, job: str) -> Iterator[tuple[str, bytes]]:
    from cabdraw.write.dxf_parts import part_bytes, unit_ending
    from cabdraw.write.svg import svg_bytes

    sheets = list(numbered(plan))
    for number, group, layout in sheets:
        name = sheet_file(number)
        title = f"{job}: sheet {number} of {len(sheets)}, {group.material or 'board'}"
        drawing = nested_flat(name, layout, stock)
        yield (
            f"sheets/{name}{unit_ending(cab.printing.system, cam)}.dxf",
            part_bytes(drawing, cab.printing.system, cam),
        )
        yield f"sheets/{name}.svg", svg_bytes(nested_sheet(name, title, layout, cab.printing))


def several_files(cars: Sequence[tuple[Cab, Sequence[Finding]]], cam: CamVersion = "r2000") -> dict[str, bytes]:
    """The lists over several cars and one nesting of them all, on the stock of the first that has any.

    Marks in the nesting have the name of their spec before them, as two cars have parts of one mark.
    """
    from cabdraw.write.dxf_parts import unit_ending

    every: list[list[Table]] = []
    wanted: list[Wanted] = []
    for cab, findings in cars:
        parts = shop_parts(cab, cleared(cab, findings))
        every.append(_tables(cab, parts, unit_ending(cab.printing.system, cam)))
        wanted += (Wanted(f"{cab.name}/{part.mark}", part) for part in parts)
    tables = [joined(same) for same in zip(*every, strict=True)]
    stocked = next((cab for cab, _ in cars if cab.stock is not None), None)
    files: dict[str, bytes] = {}
    if stocked is not None and stocked.stock is not None:
        plan = plan_stock(wanted, stocked.stock, stocked.front)
        tables.append(nesting_list(plan, stocked.printing))
        files.update(_layouts(stocked, plan, stocked.stock, cam, "All cars"))
    files.update(_lists(tables, "All cars"))
    return dict(sorted(files.items()))

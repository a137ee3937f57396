"""The stock of a spec as values: each sheet and bar with a name of its own."""

from __future__ import annotations

from cabdraw.shop.stock import BarStock, SheetStock, Stock
from cabdraw.spec.schema import Spec


def resolve_stock(spec: Spec) -> Stock | None:
    """The sheets and bars that parts are cut from; None where the spec names none."""
    if spec.stock is None:
        return None
    stock = spec.stock
    return Stock(
        tuple(
            SheetStock(f"sheet-{n}", s.material, s.width, s.height, s.count, s.grain, s.thickness)
            for n, s in enumerate(stock.sheets, 1)
        ),
        tuple(BarStock(bar.kind, bar.length, bar.count) for bar in stock.bars),
        stock.kerf,
        stock.edge_trim,
    )

"""The installer's lists as tables: blocks, hardware, packing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from cabdraw.cab import Cab
from cabdraw.frozen import Frozen
from cabdraw.install.hardware import Bought, Need, to_bring
from cabdraw.install.kit import CALLED, Kit, KitRow
from cabdraw.install.packing import Bundle
from cabdraw.install.steps import Step
from cabdraw.rational import Fraction
from cabdraw.units import Length, Mass, decimal_text

Row = tuple[str | int | float | None, ...]


class Listed(Frozen):
    """A list: its heads and its rows."""

    heads: tuple[str, ...]
    rows: tuple[Row, ...]


def block_list(cab: Cab, kit: Kit) -> Listed:
    """Every block of the set that is worked with, by letter; then, without letters, the other set for comparison."""
    within = cab.printing.size(kit.tolerance)
    own, few = "each gap's own size", f"fewest sizes within {within}"
    names = (f"worked with: {few}", f"for comparison: {own}") if kit.fewest else (
        f"worked with: {own}", f"proposed: {few}")  # fmt: skip
    heads = ("set", "letter", "size", "size_mm", "other_size", "other_size_mm", "what", "places", "at_once", "used")
    rows = [_block(cab, name, row) for name, group in zip(names, (kit.rows, kit.other), strict=True) for row in group]
    return Listed(heads, tuple(rows))


def _block(cab: Cab, name: str, row: KitRow) -> Row:
    size = cab.printing.size
    across = row.across
    return (
        name, row.letter, size(row.size), _mm(row.size), size(across) if across is not None else "",
        _mm(across) if across is not None else "", " and ".join(CALLED[kind] for kind in row.kinds), row.count,
        row.at_once, "; ".join(row.used),
    )  # fmt: skip


def _mm(length: Length) -> str:
    return decimal_text(length.mm, 3)


def hardware_list(cab: Cab, steps: Sequence[Step], needs: Iterable[Need]) -> Listed:
    """What each step takes on each wall, then what to bring of each kind, spares included."""
    needs = tuple(needs)
    heads = ("step", "title", "wall", "item", "size", "needed", "spares", "bring", "unit", "note")
    rows: list[Row] = []
    for need in needs:
        step = steps[need.stage]
        amount, unit = _amount(cab, need.amount, need.unit)
        rows.append((step.number, step.title, need.wall or "", need.item, need.size, amount, "", "", unit, need.note))
    for bought in to_bring(cab, needs):
        rows.append(("all", "to bring", "all", bought.item, bought.size, *brought_words(cab, bought), ""))
    return Listed(heads, tuple(rows))


def _amount(cab: Cab, amount: Fraction, unit: str) -> tuple[str, str]:
    if unit == "pieces":
        return str(int(amount)), "pieces"
    if unit == "length":
        return decimal_text(amount / 1000, 2), "m"
    return decimal_text(amount, 0), "ml"


def brought_words(cab: Cab, bought: Bought) -> tuple[str, str, str, str]:
    """What is needed, the spares and what to bring, as printed, and the unit that all three are in."""
    if bought.unit == "cartridges":
        return str(int(bought.needed)), str(int(bought.spares)), str(int(bought.brought)), "cartridges"
    needed, unit = _amount(cab, bought.needed, bought.unit)
    return needed, _amount(cab, bought.spares, bought.unit)[0], _amount(cab, bought.brought, bought.unit)[0], unit


def packing_list(cab: Cab, bundles: Sequence[Bundle], steps: Sequence[Step]) -> Listed:
    """The bundles and the bags of hardware in the order of packing: what is wanted last goes in first."""
    heads = ("packed", "what", "wall", "pieces", "marks", "longest", "longest_mm", "mass_kg", "mass_lb", "for_step")
    rows: list[Row] = []
    entries: list[tuple[int, Bundle | Step]] = [(bundle.stage, bundle) for bundle in bundles]
    entries += [(step.number - 1, step) for step in steps if step.hardware]
    for number, (stage, entry) in enumerate(sorted(entries, key=lambda e: -e[0]), 1):
        if isinstance(entry, Bundle):
            rows.append(
                (number, entry.what, entry.wall, len(entry.pieces), " ".join(p.mark for p in entry.pieces),
                 cab.printing.size(entry.length), _mm(entry.length), *_masses(entry.mass), stage + 1)
            )  # fmt: skip
        else:
            bag = "; ".join(f"{need.item} {need.size}" for need in entry.hardware)
            count = sum(int(need.amount) for need in entry.hardware if need.unit == "pieces")
            rows.append((number, "bag of hardware", entry.wall or "", count, bag, "", "", "", "", stage + 1))
    return Listed(heads, tuple(rows))


def _masses(mass: Mass | None) -> tuple[str, str]:
    return (decimal_text(mass.kg, 2), decimal_text(mass.lb, 2)) if mass is not None else ("", "")

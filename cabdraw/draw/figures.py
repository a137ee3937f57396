"""How sizes stand on a drawing: in the spec's units, or with the other system's figure beside them in brackets."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate

from cabdraw.cab import Cab
from cabdraw.frozen import Frozen
from cabdraw.units import Length, Printing, total


class Chain(Frozen):
    """The figures of a chain: each part, each running distance from its start, and the overall."""

    parts: tuple[str, ...]
    running: tuple[str, ...]
    overall: str


class Figures:
    """Writes sizes for one car's drawings.

    In both units the bracketed figures of a chain add up by themselves too: they are no conversions of
    the rounded figures beside them.
    """

    def __init__(self, cab: Cab) -> None:
        self._printings = [cab.printing]
        if cab.sheet.dual:
            self._printings.append(Printing("mm" if cab.printing.system == "inch" else "inch", 64))

    def __call__(self, length: Length) -> str:
        """One size."""
        return _joined([printing.size(length) for printing in self._printings])

    def decimal(self, length: Length) -> str:
        """One core, sheet-metal or bolt size."""
        return _joined([printing.decimal(length) for printing in self._printings])

    def chain(self, lengths: Sequence[Length], absorbs: Sequence[bool]) -> Chain:
        """The figures of a chain, which add up as printed; `absorbs` marks the parts that take what rounding leaves."""
        parts: list[list[str]] = [[] for _ in lengths]
        running: list[list[str]] = [[] for _ in lengths]
        overall: list[str] = []
        for printing in self._printings:
            printed = printing.chain(lengths, absorbs)
            for i, (part, sum_so_far) in enumerate(zip(printed, accumulate(printed), strict=True)):
                parts[i].append(printing.size(part))
                running[i].append(printing.size(sum_so_far))
            overall.append(printing.size(total(printed)))
        return Chain(tuple(map(_joined, parts)), tuple(map(_joined, running)), _joined(overall))


def _joined(figures: Sequence[str]) -> str:
    return figures[0] if len(figures) == 1 else f"{figures[0]} [{figures[1]}]"

"""Lengths in a finding's message, so that one that is too small never reads the same as what it needs."""

from __future__ import annotations

from cabdraw.cab import Cab
from cabdraw.units import Length


def figures(cab: Cab, *lengths: Length) -> tuple[str, ...]:
    """The lengths as printed on drawings; with more places where two that differ would print alike."""
    sizes = tuple(map(cab.printing.size, lengths))
    if len(set(sizes)) < len(set(lengths)):
        return tuple(map(cab.printing.decimal, lengths))
    return sizes

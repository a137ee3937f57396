"""One solver for rows and stacks alike: fixed sizes, and fills that share what the fixed sizes leave."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from cabdraw.units import Length, total


@dataclass(frozen=True, slots=True)
class Link:
    """One link of a chain: its size, or None for a fill, and a fill's share among the fills."""

    size: Length | None
    weight: Fraction = Fraction(1)


@dataclass(frozen=True, slots=True)
class Solved:
    """The size of each link, and what rounding down (or the want of a fill) leaves.

    `left` is negative, and so is each fill, where the fixed links take more than there is.
    """

    sizes: tuple[Length, ...]
    left: Length


def solve(room: Length, links: Sequence[Link], increment: Length) -> Solved:
    """Divide `room` among the links: fills share what the fixed links leave by weight, rounded down to the increment.

    The sizes and `left` add up to `room` exactly.
    """
    free = room - total(link.size for link in links if link.size is not None)
    weights = sum((link.weight for link in links if link.size is None), Fraction(0))
    sizes = tuple(
        link.size if link.size is not None else (free * (link.weight / weights)).floor_to(increment) for link in links
    )
    return Solved(sizes, room - total(sizes))

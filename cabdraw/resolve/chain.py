"""One solver for rows and stacks alike: fixed sizes, and fills that share what the fixed sizes leave."""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.errors import Path
from cabdraw.frozen import Frozen
from cabdraw.rational import Fraction
from cabdraw.units import Length, total


class Link(Frozen):
    """One link of a chain: its size, or None for a fill, and a fill's share among the fills.

    `called` is what its size is named, and `at` where in the spec it stands.
    """

    size: Length | None
    weight: Fraction = Fraction(1)
    called: str = ""
    at: Path = ()


class Solved(Frozen):
    """The size of each link, and what rounding down (or the want of a fill) leaves.

    `left` is negative, and so is each fill, where the fixed links take more than there is.
    """

    sizes: tuple[Length, ...]
    left: Length


def solve(room: Length, links: Sequence[Link], increment: Length, shared: str = "") -> Solved:
    """Divide `room` among the links: fills share what the fixed links leave by weight, rounded down to the increment.

    The sizes and `left` add up to `room` exactly. `shared` is what the fills' share is named.
    """
    fixed = [link.size.called(link.called, link.at) for link in links if link.size is not None]
    free = (room - total(fixed)).called(shared) if fixed else room
    weights = sum((link.weight for link in links if link.size is None), Fraction(0))
    stated = iter(fixed)
    sizes = tuple(
        next(stated)
        if link.size is not None
        else (free * (link.weight / weights)).floor_to(increment).called(link.called, link.at)
        for link in links
    )
    return Solved(sizes, room - total(sizes))

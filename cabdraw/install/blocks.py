"""Spacer blocks: what sets each visible gap on site, at the height where a part is set."""

from __future__ import annotations

from collections.abc import Iterator

from cabdraw.cab import BOARD_BANDS, TIERS, Cab, Wall
from cabdraw.frozen import Frozen
from cabdraw.units import ZERO, Length, between

#: Bands whose parts are set against a block at each end.
SET_BANDS = ("base", *TIERS, *BOARD_BANDS, "frieze")


class Block(Frozen):
    """Spacer blocks of one size: how many, and every place where one is used."""

    size: Length
    count: int
    used: tuple[str, ...]


def width_at(cab: Cab, wall: Wall, y: Length) -> Length:
    """How wide a wall is at a height, between the readings, less the survey's uncertainty."""
    return between(wall.readings.width, y.ratio(wall.height)) - cab.survey.uncertainty


def end_gaps(cab: Cab, wall: Wall, y: Length) -> tuple[Length, Length]:
    """The gap from shell to row at each end, left and right as seen from inside, at a height."""
    wider = (width_at(cab, wall, y) - wall.width) / 2
    return wall.margins[0] + wider, wall.margins[1] + wider


def _uses(cab: Cab) -> Iterator[tuple[Length, str]]:
    for name, wall in cab.walls.items():
        if wall.bands[0].kind == "gap" and wall.bands[0].height > ZERO:
            above = wall.bands[1].kind if len(wall.bands) > 1 else "ceiling"
            yield wall.bands[0].height, f"{name}: floor, under the {above}"
        kinds = [band.kind for band in wall.bands]
        for index, band in enumerate(wall.bands):
            if band.kind in SET_BANDS:
                number = f" {kinds[: index + 1].count(band.kind)}" if kinds.count(band.kind) > 1 else ""
                left, right = end_gaps(cab, wall, band.y + band.height / 2)
                yield left, f"{name}: {band.kind}{number}, left end"
                yield right, f"{name}: {band.kind}{number}, right end"


def blocks(cab: Cab) -> tuple[Block, ...]:
    """The spacer blocks of a car by size, smallest first; sizes to the nearest increment, half up.

    Where there is no gap there is no block.
    """
    found: dict[Length, list[str]] = {}
    for size, use in _uses(cab):
        rounded = size.nearest_to(cab.increment)
        if rounded:
            found.setdefault(rounded, []).append(use)
    return tuple(Block(size, len(used), tuple(used)) for size, used in sorted(found.items(), key=lambda kv: kv[0]))

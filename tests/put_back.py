"""A car's cut list put back together: every listed piece used once, rows and stacks closed, nothing over."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from cabdraw.cab import BOARD_BANDS, TIERS, Cab
from cabdraw.units import INCH, total

Row = Mapping[str, str]
#: Pieces that no wall is filled with.
LOOSE = ("handrail", "standoff", "front-trim", "corner-trim")


def rows(content: bytes) -> list[Row]:
    """The rows of a list as its CSV file holds them."""
    return list(csv.DictReader(io.StringIO(content.decode("utf-8-sig"))))


def size(row: Row, column: str) -> Fraction:
    """A size of the cut list in mm, as it is written: in six places of its unit."""
    return Fraction(row[column]) * (INCH if row["unit"] == "inch" else 1)


def misfits(car: Cab, every: Sequence[Row]) -> Iterator[str]:
    """What of a car's cut list does not close on the widths and heights of its walls, and pieces left over."""
    used: list[str] = []
    for wall in car.walls.values():
        mine = [row for row in every if row["wall"] == wall.name and row["visible_width"]]
        # Half of the last place of each piece that is added.
        near = INCH * len(mine) / 2_000_000
        stack = total(band.height for band in wall.bands if band.kind == "gap").mm
        for band in wall.bands:
            if band.kind not in TIERS:
                continue
            tier = [row for row in mine if row["tier"] == band.kind and row["kind"] in ("panel", "vertical-reveal")]
            if not tier:
                yield f"{wall.name}: {band.kind} has no pieces"
                continue
            across = sum(size(row, "visible_width") for row in tier)
            if abs(total(wall.margins).mm + across - wall.width.mm) > near:
                yield f"{wall.name}: the pieces of {band.kind} do not add up to the width"
            if len({row["visible_height"] for row in tier}) != 1:
                yield f"{wall.name}: the pieces of {band.kind} are not of one height"
            stack += size(tier[0], "visible_height")
            used += [row["mark"] for row in tier]
        for row in mine:
            if row["kind"] in (*BOARD_BANDS, "base", "frieze", "horizontal-reveal"):
                if abs(size(row, "visible_width") - wall.run.mm) > near:
                    yield f"{row['mark']} is not as wide as the row"
                stack += size(row, "visible_height")
                used.append(row["mark"])
        if abs(stack - wall.height.mm) > near:
            yield f"{wall.name}: the pieces do not add up to the height"
    shown = [row["mark"] for row in every if row["visible_width"] and row["kind"] not in LOOSE]
    for mark, count in (Counter(shown) - Counter(used)).items():
        yield f"{mark} is over, {count} times"
    for mark, count in (Counter(used) - Counter(shown)).items():
        yield f"{mark} is used {count} times more than it is listed"

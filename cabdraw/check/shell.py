"""The bare shell as it stands: bowed, twisted, out of square, and what stands proud of it behind the panels."""

from __future__ import annotations

from collections.abc import Iterator
from math import asin, sqrt, tan

from cabdraw.cab import Cab
from cabdraw.check.codes import code
from cabdraw.errors import Finding
from cabdraw.rational import Fraction
from cabdraw.units import INCH, Length, mm

AIR_GAP = code(
    "survey-air-gap",
    "error",
    "fabrication",
    "the shell bows, twists or has heads that stand off it by more than the air gap takes",
)
DIAGONALS = code(
    "survey-diagonals",
    "error",
    "fabrication",
    "the diagonals of the floor do not close with its sides: a reading is wrong",
)
SQUARE = code("survey-out-of-square", "warning", "nothing", "the car is out of square by more than its front gaps hide")

#: Kept free between the proudest point of the shell and the back of the panels (our own limit: 1/16 in).
FREE = Length(INCH / 16)
#: Diagonals this far from what the sides give are a reading error (our own limit: 1/2 in).
CLOSES = Length(INCH / 2)
#: Skew across the depth that shows at the front (common practice: 1/4 in).
SHOWS = Length(INCH / 4)


def shell(cab: Cab) -> Iterator[Finding]:
    """Findings about the bare shell."""
    yield from _air_gaps(cab)
    yield from _diagonals(cab)


def _air_gaps(cab: Cab) -> Iterator[Finding]:
    size = cab.printing.size
    for name, wall in cab.walls.items():
        read = wall.readings
        needed = read.bow + read.twist + read.heads
        if needed and wall.air_gap < needed + FREE:
            said = ", ".join(
                f"{what} {size(length)}"
                for what, length in (("bow", read.bow), ("twist", read.twist), ("heads", read.heads))
                if length
            )
            yield AIR_GAP.at(
                f"the {name} wall's air gap is {size(wall.air_gap)}; {said} and {size(FREE)} free need"
                f" {size(needed + FREE)}",
                ("layout", "panel", "air_gap"),
                f"make the air gap {size(needed + FREE)}, or relieve the panels' backs there",
                name,
            )


def _diagonals(cab: Cab) -> Iterator[Finding]:
    """The floor as a parallelogram of the back wall and the mean of the sides, against its two diagonals.

    Skew: sin e = (d1² - d2²) / (4 W D), across the depth D tan e (derived; d1 from the left front).
    """
    back, left, right = cab.walls.get("back"), cab.walls.get("left"), cab.walls.get("right")
    if cab.survey.diagonals is None or back is None or left is None or right is None:
        return
    size = cab.printing.size
    first, second = cab.survey.diagonals
    width, depth = float(back.width), float(left.width + right.width) / 2
    sides = sqrt(width**2 + depth**2)
    mean = sqrt((float(first) ** 2 + float(second) ** 2) / 2)
    off = mm(Fraction(round(abs(mean - sides) * 1000), 1000))
    if off > CLOSES:
        yield DIAGONALS.at(
            f"the diagonals {size(first)} and {size(second)} are {size(off)} from what {size(back.width)} by"
            f" {size(left.width)} and {size(right.width)} gives",
            ("survey", "diagonals"),
            "measure the diagonals and the sides again",
        )
        return
    sine = max(-1.0, min(1.0, (float(first) ** 2 - float(second) ** 2) / (4 * width * depth)))
    skew = mm(Fraction(round(abs(depth * tan(asin(sine))) * 1000), 1000))
    if skew > SHOWS:
        yield SQUARE.at(
            f"the car is out of square by {size(skew)} across its depth",
            ("survey", "diagonals"),
            "it shows at the front: make the front gaps unequal by it, or let the front trims cover it",
        )

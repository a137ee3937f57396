"""Drawing scales: the preferred ones, the largest at which something fits, and how each is written."""

from __future__ import annotations

import re

from cabdraw.frozen import Frozen
from cabdraw.rational import Fraction
from cabdraw.units import System, fraction_text


class Scale(Frozen):
    """A scale: one paper mm for `factor` model mm, and how it is written in a title block."""

    factor: Fraction
    text: str

    @property
    def ratio(self) -> float:
        """Paper mm for each model mm."""
        return float(1 / self.factor)


def _feet(inches: Fraction) -> Scale:
    return Scale(12 / inches, f'{fraction_text(inches)}" = 1\'-0"')


#: Preferred scales of ISO 5455: 1:1, 1:2, 1:5 and so on by tens (value from memory of the standard).
METRIC = tuple(Scale(Fraction(n), f"1:{n}") for n in (1, 2, 5, 10, 20, 50, 100))
#: Customary scales of inch drawings, in inches to the foot.
INCH_SCALES = (
    Scale(Fraction(1), "1:1"),
    *(_feet(Fraction(n)) for n in ("6", "3", "3/2", "1", "3/4", "1/2", "3/8", "1/4", "3/16", "1/8")),
)


def preferred(system: System) -> tuple[Scale, ...]:
    """The preferred scales, largest first."""
    return INCH_SCALES if system == "inch" else METRIC


_RATIO = re.compile(r"1\s*:\s*([0-9]{1,4})")
_FEET = re.compile(
    r"(?:(?P<whole>[0-9]{1,2})[\s-]+)?(?P<part>[0-9]{1,2}(?:/[0-9]{1,2})?)\s*\"?\s*=\s*1\s*'(?:\s*-?\s*0\s*\"?)?"
)


def read_scale(text: str) -> Scale | None:
    """A scale as people write it, `1:10` or `1 1/2" = 1'-0"`; None for anything else."""
    tidy = text.strip()
    if match := _RATIO.fullmatch(tidy):
        return Scale(Fraction(int(match[1])), f"1:{int(match[1])}") if int(match[1]) else None
    if match := _FEET.fullmatch(tidy):
        try:
            inches = Fraction(match["part"]) + int(match["whole"] or 0)
        except ZeroDivisionError:
            return None
        return _feet(inches) if inches else None
    return None


def largest(
    system: System, width: float, height: float, room: tuple[float, float], around: tuple[float, float]
) -> Scale:
    """The largest preferred scale at which a model of this size, in mm, fits a room on paper.

    `around` is the paper mm that dimensions take beside the model, across and up. The smallest scale
    is returned where none fits.
    """
    scales = preferred(system)
    for scale in scales:
        if width * scale.ratio + around[0] <= room[0] and height * scale.ratio + around[1] <= room[1]:
            return scale
    return scales[-1]

"""What a printer makes of a template: how much too large or too small, across and up, as measured on its bars."""

from __future__ import annotations

import re

from cabdraw.frozen import Frozen
from cabdraw.rational import Fraction

#: What must be done with a template that is corrected.
AGAIN = "Measure the bars again: they must now read 100 mm and 4 in."
#: A printer further off than this is broken, or the wrong bar was measured.
LEAST, MOST = Fraction(95, 100), Fraction(105, 100)
_FIGURE = r"([0-9]{1,5}(?:\.[0-9]{1,4})?)\s*/\s*([0-9]{1,5}(?:\.[0-9]{1,4})?)"
_TEXT = re.compile(rf"{_FIGURE}(?:\s*[x×]\s*{_FIGURE})?", re.IGNORECASE)
_HINT = "write what was measured over what it should be, e.g. 99.4/100, or for each axis 99.4/100x99.8/100."


class NotAPrintScale(ValueError):
    """Text that is no print scale."""


class PrintScale(Frozen):
    """How large a printer prints, as a share of true size: `x` along the short side of its paper, `y` the long one.

    `said` is how each was given.
    """

    x: Fraction
    y: Fraction
    said: tuple[str, str] = ("", "")

    @property
    def true(self) -> bool:
        """Whether nothing is to be corrected, because nothing was measured."""
        return not self.said[0]

    def stretch(self, width: float, height: float) -> tuple[float, float]:
        """How much larger to draw, across and up, on paper of a size, so that it comes out at true size."""
        x, y = 1 / float(self.x), 1 / float(self.y)
        return (x, y) if width <= height else (y, x)

    @property
    def stamp(self) -> str:
        """What a corrected template says of itself."""
        return f"CORRECTED FOR ONE PRINTER ONLY: x {self.said[0]}, y {self.said[1]}."

    @property
    def name(self) -> str:
        """What is put to the names of corrected files; empty for true ones."""
        if self.true:
            return ""
        x, y = (said.replace("/", "of") for said in self.said)
        return f"-corrected-x{x}-y{y}"


#: A printer that prints at true size, as far as anyone knows.
TRUE = PrintScale(Fraction(1), Fraction(1))


def parse_print_scale(text: str) -> PrintScale:
    """Read `99.4/100`, or `99.4/100x99.8/100` for each axis; raises `NotAPrintScale` with what to write instead."""
    match = _TEXT.fullmatch(text.strip())
    if match is None or Fraction(match[2]) == 0 or (match[4] is not None and Fraction(match[4]) == 0):
        raise NotAPrintScale(f"{text.strip()[:40]!r} is not a print scale; {_HINT}")
    shares, said = [], []
    for top, bottom in ((match[1], match[2]), (match[3] or match[1], match[4] or match[2])):
        share = Fraction(top) / Fraction(bottom)
        if not LEAST <= share <= MOST:
            raise NotAPrintScale(
                f"{top}/{bottom} is {float(share):.1%}, and no printer is so far off; was the right bar measured?"
            )
        shares.append(share)
        said.append(f"{top}/{bottom}")
    return PrintScale(shares[0], shares[1], (said[0], said[1]))

"""Paper: sizes by name, and how far the frame of a drawing stands from the edges."""

from __future__ import annotations

from cabdraw.frozen import Frozen
from cabdraw.units import INCH

_IN = float(INCH)

#: Trimmed sheets, landscape, in mm. ISO A series: ISO 216; ANSI: ASME Y14.1; ARCH: common practice.
SIZES: dict[str, tuple[float, float]] = {
    "A4": (297.0, 210.0),
    "A3": (420.0, 297.0),
    "A2": (594.0, 420.0),
    "A1": (841.0, 594.0),
    "A0": (1189.0, 841.0),
    "ANSI A": (11 * _IN, 8.5 * _IN),
    "ANSI B": (17 * _IN, 11 * _IN),
    "ANSI C": (22 * _IN, 17 * _IN),
    "ANSI D": (34 * _IN, 22 * _IN),
    "ANSI E": (44 * _IN, 34 * _IN),
    "ARCH A": (12 * _IN, 9 * _IN),
    "ARCH B": (18 * _IN, 12 * _IN),
    "ARCH C": (24 * _IN, 18 * _IN),
    "ARCH D": (36 * _IN, 24 * _IN),
    "ARCH E": (48 * _IN, 36 * _IN),
}

ISO = ("A0", "A1", "A2", "A3", "A4")


class Area(Frozen):
    """A rectangle on the paper, by its lower left and upper right corner, in mm."""

    left: float
    low: float
    right: float
    high: float

    @property
    def width(self) -> float:
        """Its width."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Its height."""
        return self.high - self.low

    @property
    def corners(self) -> tuple[tuple[float, float], ...]:
        """Its corners, anticlockwise from the lower left."""
        return (self.left, self.low), (self.right, self.low), (self.right, self.high), (self.left, self.high)

    def inset(self, by: float) -> Area:
        """The area less so much on every side."""
        return Area(self.left + by, self.low + by, self.right - by, self.high - by)


class Paper(Frozen):
    """A sheet of paper, its frame, and how the frame is divided: a drawing area and a title column at the right."""

    size: str
    width: float
    height: float
    frame: Area
    drawing: Area
    column: Area

    @property
    def times(self) -> float:
        """How much larger than on A3 the words of a sheet that holds only words are."""
        return 1.0 if self.width < 500 else 1.4 if self.width < 800 else 2.0

    @property
    def zoned(self) -> bool:
        """Whether its frame has centring marks and zones: the ISO sizes."""
        return self.size in ISO


def paper(size: str) -> Paper:
    """A sheet by name, landscape. ISO frames stand 20 mm from the left edge and 10 mm from the others (ISO 5457)."""
    width, height = SIZES[size]
    left, rest = (20.0, 10.0) if size in ISO else (0.75 * _IN, 0.5 * _IN)
    frame = Area(left, rest, width - rest, height - rest)
    column_width = 58.0 if width < 320 else 72.0
    split = frame.right - column_width
    return Paper(
        size,
        width,
        height,
        frame,
        Area(frame.left, frame.low, split, frame.high),
        Area(split, frame.low, frame.right, frame.high),
    )

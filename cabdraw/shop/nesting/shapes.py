"""What goes into nesting and what comes out: exact lengths in one unit, whichever the caller likes (mm, say)."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import gcd, lcm
from typing import Literal, TypeVar

from cabdraw.frozen import Frozen
from cabdraw.rational import Fraction

Shape = TypeVar("Shape")

#: The side along which the grain runs.
GrainSide = Literal["width", "height"]
#: A cut's line as drawn: vertical lines stand at a distance from the left, horizontal ones from the bottom.
Line = Literal["vertical", "horizontal"]


class BoardPiece(Frozen):
    """A rectangle to be cut from a sheet. A piece with grain goes on a sheet with grain so that the two agree."""

    mark: str
    width: Fraction
    height: Fraction
    grain: GrainSide | None = None


class Sheet(Frozen):
    """A kind of stock sheet: its size, how many there are (None: as many as it takes) and what one costs.

    Without a cost a sheet costs its area, so that the least material is used.
    """

    name: str
    width: Fraction
    height: Fraction
    count: int | None = None
    cost: Fraction | None = None
    grain: GrainSide | None = None


class BarPiece(Frozen):
    """A length to be cut from a bar or strip."""

    mark: str
    length: Fraction


class Bar(Frozen):
    """A kind of stock bar: its length, how many there are (None: as many as it takes) and what one costs.

    Without a cost a bar costs its length.
    """

    name: str
    length: Fraction
    count: int | None = None
    cost: Fraction | None = None


class Rect(Frozen):
    """A rectangle on a sheet, from the sheet's lower left corner before its edges are trimmed."""

    x: Fraction
    y: Fraction
    width: Fraction
    height: Fraction

    @property
    def area(self) -> Fraction:
        """Its area."""
        return self.width * self.height


class Placed(Frozen):
    """A piece where it is cut from the sheet; `at` has its size as it lies, turned by a quarter if `turned`."""

    mark: str
    at: Rect
    turned: bool


class Cut(Frozen):
    """One saw cut right across one piece, in the order in which the saw makes them.

    `of` names the piece that is cut: "0" is the sheet with its edges trimmed, and cut 3 makes "3a" (left or lower)
    and "3b" (right or upper). `at` is the size that "a" keeps, from the left or the lower edge of the piece to the
    near side of the saw cut; the kerf is beyond it. `far` is None where the saw takes all that is left.
    """

    number: int
    of: str
    line: Line
    at: Fraction
    near: str
    far: str | None


class SheetLayout(Frozen):
    """One sheet: the pieces cut from it, the cuts in order, and what is left over, the largest first.

    `ends` names what each piece of board is once all cuts are made: (name, mark), or (name, None) for an off-cut.
    """

    sheet: Sheet
    placed: tuple[Placed, ...]
    cuts: tuple[Cut, ...]
    ends: tuple[tuple[str, str | None], ...]
    off_cuts: tuple[Rect, ...]

    @property
    def used(self) -> Fraction:
        """The share of the whole sheet that is pieces: the yield."""
        return sum((piece.at.area for piece in self.placed), Fraction(0)) / (self.sheet.width * self.sheet.height)


class BoardPlan(Frozen):
    """A nesting: a layout for each sheet, what found no sheet, what it costs, and the least that it can cost.

    `bound` is proved for the pieces that are placed: no guillotine plan for them costs less. `gap` is what
    the plan is over it, as a share of the cost; 0 means that no plan is cheaper.
    """

    sheets: tuple[SheetLayout, ...]
    unplaced: tuple[str, ...]
    cost: Fraction
    bound: Fraction

    @property
    def gap(self) -> Fraction:
        """What the cost is over the bound, as a share of the cost."""
        return (self.cost - self.bound) / self.cost if self.cost else Fraction(0)

    @property
    def used(self) -> Fraction:
        """The share of all sheets that is pieces: the yield."""
        whole = sum((layout.sheet.width * layout.sheet.height for layout in self.sheets), Fraction(0))
        parts = sum((piece.at.area for layout in self.sheets for piece in layout.placed), Fraction(0))
        return parts / whole if whole else Fraction(0)


class BarLayout(Frozen):
    """One bar: the marks of its pieces with where each begins and its length, and what is left at the end."""

    bar: Bar
    pieces: tuple[tuple[str, Fraction, Fraction], ...]
    left: Fraction


class BarPlan(Frozen):
    """How bars are cut; `bound` and `gap` as for boards."""

    bars: tuple[BarLayout, ...]
    unplaced: tuple[str, ...]
    cost: Fraction
    bound: Fraction

    @property
    def gap(self) -> Fraction:
        """What the cost is over the bound, as a share of the cost."""
        return (self.cost - self.bound) / self.cost if self.cost else Fraction(0)

    @property
    def used(self) -> Fraction:
        """The share of all bars that is pieces: the yield."""
        whole = sum((layout.bar.length for layout in self.bars), Fraction(0))
        pieces = sum((length for layout in self.bars for _, _, length in layout.pieces), Fraction(0))
        return pieces / whole if whole else Fraction(0)


def unit_of(lengths: Iterable[Fraction | int]) -> Fraction:
    """The largest unit of which all lengths are whole multiples; 1 if all are zero."""
    exact = [Fraction(length) for length in lengths if length]
    if not exact:
        return Fraction(1)
    bottom = lcm(*(length.denominator for length in exact))
    return Fraction(gcd(*(int(length * bottom) for length in exact)), bottom)


def grouped(shapes: Sequence[Shape]) -> dict[Shape, list[int]]:
    """The places of equal shapes, by shape, in the order in which each first comes."""
    kinds: dict[Shape, list[int]] = {}
    for place, shape in enumerate(shapes):
        kinds.setdefault(shape, []).append(place)
    return kinds


def checked(pieces: Sequence[tuple[str, Fraction]], stock: Sequence[tuple[str, Fraction | None]]) -> None:
    """Raise ValueError where two pieces have one mark, or a size or a cost is not more than zero."""
    marks: set[str] = set()
    for mark, size in pieces:
        if mark in marks:
            raise ValueError(f"two pieces have the mark {mark}")
        if size <= 0:
            raise ValueError(f"{mark} has no size")
        marks.add(mark)
    for name, cost in stock:
        if cost is not None and cost <= 0:
            raise ValueError(f"{name} has a cost that is not more than zero")

"""Neutral parts of a page that is read on a screen: findings, drawings with places to touch, steps, lists.

What is shown is decided once, here and in `cabdraw.report`; a writer turns it into a format.
"""

from __future__ import annotations

from typing import Literal

from cabdraw.draw.shapes import XY, Sheet
from cabdraw.frozen import Frozen


class Figure(Frozen):
    """A size or a mass as it is printed, and the exact value behind it, in mm or in kg."""

    text: str
    value: float


class Mark(Frozen):
    """A part's mark, which leads to all that is known of the part."""

    mark: str


class Jump(Frozen):
    """The number of a step, which leads to it."""

    step: int


#: What stands in a cell: words, a figure, a mark, a step's number, or several of them one after the other.
Piece = str | Figure | Mark | Jump
Cell = Piece | tuple[Piece, ...]


class Table(Frozen):
    """A list. `name` is short, of small letters and dashes; `right` marks the columns of figures."""

    name: str
    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    right: tuple[bool, ...] = ()
    note: str = ""


class PartRow(Frozen):
    """One part: its mark, what it is, its wall, and a cell for each further heading of its list."""

    mark: str
    kind: str
    wall: str
    cells: tuple[Cell, ...]


class PartList(Frozen):
    """Every part; `heads` name the cells of its rows."""

    heads: tuple[str, ...]
    rows: tuple[PartRow, ...]
    note: str = ""


class Place(Frozen):
    """Where a part is on a sheet, in paper mm: rings of corners, outlines and holes alike (even-odd).

    `hidden` is for one that the drawing does not show, such as a spline: it is shown when it is chosen.
    """

    mark: str
    rings: tuple[tuple[XY, ...], ...]
    hidden: bool = False


class Drawing(Frozen):
    """A drawing with the places of its parts; `stamps` are marks such as DO NOT DRILL, said over it."""

    name: str
    title: str
    under: str
    sheet: Sheet
    places: tuple[Place, ...] = ()
    stamps: tuple[str, ...] = ()


class Stamp(Frozen):
    """What must be seen before anything else: a mark in capitals, and why it is there."""

    text: str
    why: str


class Card(Frozen):
    """A finding: what it says and stops, where in the spec it is mended and how, and which wall it is about.

    `about` are its parts, and things that are no parts of their own, such as holes.
    """

    severity: Literal["error", "warning", "note"]
    code: str
    message: str
    stops: Literal["fabrication", "drilling", "nothing"]
    where: str
    hint: str
    wall: str
    about: tuple[Mark | str, ...] = ()


class Step(Frozen):
    """One step of the work: its parts in the order in which they go on, how it is done, and its tables.

    `stamps` are marks such as DO NOT DRILL that stand on it.
    """

    number: int
    title: str
    marks: tuple[str, ...]
    how: tuple[str, ...] = ()
    tables: tuple[Table, ...] = ()
    cautions: tuple[str, ...] = ()
    stamps: tuple[str, ...] = ()


class Page(Frozen):
    """Everything that the page holds, in its order."""

    title: str
    subtitle: str
    issue: str
    """Which issue of it this is: revision, date, number."""
    about: tuple[tuple[str, str], ...]
    stamps: tuple[Stamp, ...]
    findings: tuple[Card, ...]
    walls: tuple[Drawing, ...]
    plan: Drawing | None
    steps: tuple[Step, ...]
    parts: PartList
    tables: tuple[Table, ...]
    cautions: tuple[str, ...]
    notes: tuple[str, ...]

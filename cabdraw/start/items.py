"""The items of a table of readings: the form's own readings, a row each, and where in a spec they belong."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from cabdraw.frozen import Frozen
from cabdraw.survey import Reading, Survey, WallReadings

Kind = Literal["text", "date", "length", "lengths", "mass", "thing", "verified"]
Path = tuple[str, ...]


class Item(Frozen):
    """One row: what it is called, the form's numbers of its readings, its place in a spec, and how to read it.

    A thing on a wall has several sizes, `keys`, in the order of the columns, and its name in the note.
    """

    name: str
    kind: Kind
    path: Path
    numbers: tuple[str, ...]
    how: str
    keys: tuple[str, ...] = ()
    named: bool = False

    @property
    def number(self) -> str:
        """The form's numbers as a row shows them."""
        first, last = self.numbers[0], self.numbers[-1]
        return first if first == last else f"{first} to {last}"

    @property
    def most(self) -> int | None:
        """How many readings a row of it has at most; None for any number."""
        return {"lengths": None, "thing": len(self.keys), "verified": 2}.get(self.kind, 1)


def items(survey: Survey) -> tuple[Item, ...]:
    """Every row that a table of readings has, in the order of the form."""
    return (*_car(survey), *(item for wall in survey.walls for item in _wall(wall)))


def _one(name: str, kind: Kind, path: Path, reading: Reading, how: str = "") -> Item:
    return Item(name, kind, path, (reading.number,), how or reading.what)


def _car(survey: Survey) -> Iterator[Item]:
    car = survey.car
    yield _one("project", "text", ("job", "project"), car.project)
    yield _one("car", "text", ("job", "car"), car.car)
    yield _one("surveyed by", "text", ("survey", "by"), car.by)
    yield _one("date", "date", ("survey", "date"), car.date)
    yield _one("level line", "length", ("install", "level_line"), car.level)
    yield _one("uncertainty", "length", ("survey", "uncertainty"), car.uncertainty)
    yield _one("flooring", "length", ("survey", "floor_finish"), car.floor_finish)
    yield _one("height", "lengths", ("survey", "height"), car.middle)
    if car.across is not None:
        yield _one("width", "lengths", ("survey", "width"), car.across)
    yield _one("rated load", "mass", ("survey", "car", "rated_load"), car.rated_load, "data plate, with lb or kg")
    yield _one("car mass", "mass", ("survey", "car", "mass"), car.mass, "data plate, with lb or kg")
    yield _one("removed mass", "mass", ("survey", "car", "removed"), car.removed, "weighed, with lb or kg")
    for side, (width, height) in zip(("left", "right"), car.returns, strict=True):
        yield _one(f"{side} return width", "length", ("survey", "front", side, "width"), width)
        yield _one(f"{side} return height", "length", ("survey", "front", side, "height"), height)
    yield _one("transom underside", "length", ("survey", "front", "transom", "underside"), car.underside)
    yield _one("transom projection", "length", ("survey", "front", "transom", "projects"), car.projects)


def _several(name: str, path: Path, readings: tuple[Reading, ...], how: str) -> Item:
    return Item(name, "lengths", path, tuple(reading.number for reading in readings), how)


def _wall(wall: WallReadings) -> Iterator[Item]:
    name, path = wall.name, ("survey", "walls", wall.name)
    left, right = wall.ends
    along = f"{left} to {right}"
    yield _several(f"{name} width", (*path, "width"), wall.widths, "clear, evenly spaced from floor to ceiling")
    yield _several(f"{name} height", (*path, "height"), wall.heights, f"floor to ceiling, {along}")
    yield _several(f"{name} floor", (*path, "floor"), wall.falls, f"below the floor's highest point, {along}")
    yield _one(f"{name} shell", "length", (*path, "shell"), wall.shell)
    size = "x, y, width, height"
    for reading in wall.fixtures:
        how = f"{size}, clearance round it; what it is in the note"
        cut = ("x", "y", "width", "height", "clearance")
        yield Item(f"{name} fixture", "thing", (*path, "fixtures"), (reading.number,), how, cut, named=True)
    for reading in wall.holes:
        drilled = ("x", "y", "diameter")
        yield Item(f"{name} hole", "thing", (*path, "holes"), (reading.number,), "x, y, diameter", drilled)
    both = (wall.verified_by.number, wall.verified_on.number)
    yield Item(f"{name} verified", "verified", (*path, "behind", "verified"), both, "the mechanic who looked; the date")
    yield _one(f"{name} depth", "length", (*path, "behind", "depth"), wall.depth)
    for reading in wall.obstructions:
        how = f"{size}, how far behind the shell; what it is in the note"
        there = ("x", "y", "width", "height", "behind")
        yield Item(
            f"{name} obstruction", "thing", (*path, "behind", "obstructions"), (reading.number,), how, there, True
        )

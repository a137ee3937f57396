"""What is asked for a new spec, and what each answer may be."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Literal

from cabdraw.errors import BadSpec
from cabdraw.frozen import Frozen, replace
from cabdraw.resolve import resolve
from cabdraw.spec import loads
from cabdraw.survey import WALLS

Units = Literal["inch", "mm"]
#: What is asked about each wall, by the option that answers it.
OfWall = Literal["width", "height", "panels"]
OF_WALL: tuple[OfWall, ...] = ("width", "height", "panels")
TIERS = ("1", "2", "3")


class Refused(Exception):
    """An answer that cannot be: what is wrong with it, and what to answer instead."""

    def __init__(self, what: str, hint: str = "") -> None:
        super().__init__(f"{what}; {hint}" if hint else what)


class WantedWall(Frozen):
    """A wall that gets panels: its readings, empty where a form has them, and its panels, a number or a ratio."""

    name: str
    widths: tuple[str, ...] = ()
    heights: tuple[str, ...] = ()
    panels: tuple[str, ...] = ("1",)


class Wanted(Frozen):
    """All answers, those not given yet as what hinders least."""

    units: Units
    project: str = "Project"
    car: str = "Car"
    walls: tuple[WantedWall, ...] = ()
    tiers: int = 1
    rail: tuple[str, ...] = ()
    front: bool = False
    """Whether both returns were measured, so that they can have trims."""

    @property
    def names(self) -> tuple[str, ...]:
        """The walls that get panels."""
        return tuple(wall.name for wall in self.walls)

    def wall(self, name: str, answer: OfWall, values: tuple[str, ...]) -> Wanted:
        """The same with another answer about one wall."""
        found = {wall.name: wall for wall in self.walls}
        if answer == "width":
            found[name] = replace(found[name], widths=values)
        elif answer == "height":
            found[name] = replace(found[name], heights=values)
        else:
            found[name] = replace(found[name], panels=values)
        return replace(self, walls=tuple(found.values()))


def read_units(text: str) -> Units:
    """`inch` or `mm`, also as people say it. Raises `Refused`."""
    word = text.strip().lower()
    if word in ("inch", "inches", "in", '"'):
        return "inch"
    if word in ("mm", "millimetre", "millimetres", "millimeter", "millimeters"):
        return "mm"
    raise Refused(f'"{_short(text)}" is not known here', "answer inch or mm")


def read_walls(text: str) -> tuple[str, ...]:
    """Names of walls, in the order of the format. Raises `Refused`."""
    named = [name for name in re.split(r"[\s,]+", text.strip().lower()) if name]
    for name in named:
        if name not in WALLS:
            raise Refused(f'there is no wall called "{_short(name)}"', f"answer some of {', '.join(WALLS)}")
    if not named:
        raise Refused("no wall is named", f"answer some of {', '.join(WALLS)}")
    return tuple(name for name in WALLS if name in named)


def read_rail(text: str, walls: tuple[str, ...]) -> tuple[str, ...]:
    """Names of walls that get panels, or none of them. Raises `Refused`."""
    word = text.strip().lower()
    if word in ("none", "no", "n"):
        return ()
    if word in ("all", "yes", "y"):
        return walls
    named = read_walls(text)
    for name in named:
        if name not in walls:
            raise Refused(f"the {name} wall gets no panels", f"answer none, or some of {', '.join(walls)}")
    return named


def read_tiers(text: str) -> int:
    """How many tiers of panels. Raises `Refused`."""
    if text.strip() not in TIERS:
        raise Refused(f'"{_short(text)}" is not a number of tiers', f"answer {', '.join(TIERS[:-1])} or {TIERS[-1]}")
    return int(text)


def read_list(text: str) -> tuple[str, ...]:
    """Some values with commas between them, as typed; brackets round them do no harm. Raises `Refused`."""
    values = tuple(part.strip() for part in text.strip().removeprefix("[").removesuffix("]").split(","))
    if not all(values):
        raise Refused("a value is missing" if any(values) else "nothing is given", "answer one, or several with commas")
    return values


def tried(text: str, name: str = "spec.yaml", folder: Path | str = "") -> None:
    """Read a spec and work it out, to see whether all of it goes together. Raises `BadSpec`."""
    resolve(loads(text, name, folder))


def answer_tried(text: str, folder: Path | str = "") -> None:
    """The same for an answer that was just given. Raises `Refused`, in the format's own words."""
    try:
        tried(text, folder=folder)
    except BadSpec as bad:
        error = bad.errors[0]
        raise Refused(error.what, error.hint) from None


def _short(text: str) -> str:
    return text.strip()[:40].encode("ascii", "backslashreplace").decode()

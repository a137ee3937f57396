"""The format's survey: the bare shell, as measured."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from cabdraw.spec.fields import Date, MassOfCar, Text, one_alone, sized
from cabdraw.spec.section import WALLS, ListOf, PairOf, Section, SectionOf, WallName, key
from cabdraw.units import ZERO

# What a length may be, in mm: wide enough for any car, narrow enough to catch inches taken for mm or the reverse.
WallWidth = sized("a wall's width", "300", "12000")
Height = sized("this height", "1000", "10000")
Across = sized("a place on a wall", "0", "12000")
Diagonal = sized("a diagonal", "400", "20000")
Size = sized("a size on a wall", "0.5", "12000")


class Verification(Section):
    """Who looked at the space behind a shell, and when."""

    by = key(Text, description="who verified the space behind the shell", examples=["R. Vance"])
    date = key(Date, description="when, year-month-day", examples=["2026-02-20"])


class Obstruction(Section):
    """Something behind the shell that no hole may meet."""

    what = key(Text, description="what it is, e.g. travelling cable", examples=["travelling cable"])
    x = key(Across, description="its left edge, from the wall's left end", examples=["20", "500"])
    y = key(Across, description="its lower edge, from the floor as surveyed", examples=["30", "750"])
    width = key(Size, description="its width", examples=["9", "230"])
    height = key(Size, description="its height", examples=["26", "660"])
    behind = key(sized("the depth behind a shell", "0", "6000"), ZERO, description="how far behind the shell it lies")


class Behind(Section):
    """What is known of the space behind a shell."""

    verified = key(SectionOf(Verification), None, description="who verified it; left out: not verified, no drilling")
    depth = key(sized("the depth behind a shell", "0", "6000"), None, description="clear depth behind the shell")
    obstructions = key(ListOf(SectionOf(Obstruction)), (), description="what lies there")


class Hole(Section):
    """A hole that is in the shell already, of an old handrail say."""

    x = key(Across, description="its middle, from the wall's left end", examples=["20", "500"])
    y = key(Across, description="its middle, from the floor as surveyed", examples=["34", "860"])
    diameter = key(
        sized("a hole", "0.5", "300"), None, description="its diameter; taken to be that of a new hole if left out"
    )


class Fixture(Section):
    """Something on the room side that panels are cut round, an operating panel say."""

    what = key(Text, description="what it is, e.g. operating panel", examples=["operating panel"])
    x = key(Across, description="its left edge, from the wall's left end", examples=["20", "500"])
    y = key(Across, description="its lower edge, from the floor as surveyed", examples=["30", "750"])
    width = key(Size, description="its width", examples=["9", "230"])
    height = key(Size, description="its height", examples=["26", "660"])
    clearance = key(sized("a clearance", "0", "150"), ZERO, description="room left round it on every side")


class SurveyWall(Section):
    """A wall of the bare shell, as measured."""

    width = key(
        ListOf(WallWidth, short=one_alone),
        description="clear width readings, evenly spaced floor to ceiling, first at the floor",
        examples=["68", "1730"],
    )
    height = key(ListOf(Height, short=one_alone), None, description="this wall's own height readings, left to right")
    floor = key(
        ListOf(sized("a floor's fall", "0", "100"), short=one_alone),
        None,
        description="fall of the floor below its high point, evenly spaced left to right",
    )
    shell = key(sized("a shell's thickness", "0.3", "12"), None, description="thickness of the shell sheet")
    behind = key(SectionOf(Behind), Behind(), description="what is known of the space behind")
    fixtures = key(ListOf(SectionOf(Fixture)), (), description="what stands on the wall and stays")
    holes = key(ListOf(SectionOf(Hole)), (), description="holes that are in the shell already")
    bow = key(
        sized("a bow", "0", "100"), ZERO, description="proudest to deepest point of the shell under a straightedge"
    )
    twist = key(
        sized("a twist", "0", "100"),
        ZERO,
        description="how far one corner of the wall stands out of the plane of the other three",
    )
    heads = key(
        sized("bolt heads", "0", "100"),
        ZERO,
        description="how far the proudest bolt or rivet head stands off the shell",
    )


class SurveyWalls(Section):
    """The bare walls that get panels."""

    schema_words: ClassVar = {"minProperties": 1}

    back = key(SectionOf(SurveyWall), None, description="the back wall, facing you as you enter")
    left = key(SectionOf(SurveyWall), None, description="the wall on the left as you enter; x = 0 at its front")
    right = key(SectionOf(SurveyWall), None, description="the wall on the right as you enter; x = 0 at the back")

    def named(self) -> Iterator[tuple[WallName, SurveyWall]]:
        """The walls that are there, in the order back, left, right."""
        for name in WALLS:
            wall = getattr(self, name)
            if wall is not None:
                yield name, wall


class Return(Section):
    """A front return: the front wall beside the door."""

    width = key(sized("a return's width", "10", "3000"), description="its width", examples=["10 1/2", "270"])
    height = key(Height, description="floor to its top", examples=["92", "2340"])


class Transom(Section):
    """The front above the door."""

    underside = key(Height, description="floor to its underside", examples=["84", "2130"])
    projects = key(sized("this", "0", "600"), ZERO, description="how far it stands proud of the returns, into the car")


class Front(Section):
    """The front of the car: returns and transom."""

    left = key(SectionOf(Return), None, description="the return on the left as you enter")
    right = key(SectionOf(Return), None, description="the return on the right as you enter")
    transom = key(SectionOf(Transom), None, description="the front above the door")


class CarMass(Section):
    """Rated load and masses, from the data plate or weighed."""

    rated_load = key(MassOfCar, None, description="rated load, from the data plate")
    mass = key(MassOfCar, None, description="the car's own mass as it was built")
    removed = key(MassOfCar, None, description="what is taken out of the car first")


class Survey(Section):
    """The bare shell, as measured."""

    by = key(Text, None, description="who measured")
    date = key(Date, None, description="when, year-month-day")
    uncertainty = key(
        sized("an uncertainty", "0", "50"), ZERO, description="taken off every governing width and height"
    )
    floor_finish = key(
        sized("a floor finish", "0", "150"), ZERO, description="flooring still to be laid, taken off every height"
    )
    height = key(
        ListOf(Height, short=one_alone),
        description="readings floor to ceiling, left to right",
        examples=["92 1/4", "2360"],
    )
    width = key(
        ListOf(WallWidth, short=one_alone),
        None,
        description="shell to shell, for the clear size where there is no back wall",
    )
    diagonals = key(
        PairOf(Diagonal, Diagonal),
        None,
        description="across the bare floor: left front to right back, then right front to left back",
        examples=["[85 1/4, 85 3/8]", "[2165, 2168]"],
    )
    walls = key(SectionOf(SurveyWalls), description="the walls that get panels")
    front = key(SectionOf(Front), None, description="returns and transom")
    car = key(SectionOf(CarMass), None, description="rated load and masses")

"""The format's survey: the bare shell, as measured."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated

from pydantic import ConfigDict, Field

from cabdraw.spec.fields import Date, Listed, MassField, Text, sized
from cabdraw.spec.section import MANY, WALLS, Section, WallName
from cabdraw.units import ZERO, Length

# What a length may be, in mm: wide enough for any car, narrow enough to catch inches taken for mm or the reverse.
WallWidth = Annotated[Length, sized("a wall's width", "300", "12000")]
Height = Annotated[Length, sized("this height", "1000", "10000")]
Across = Annotated[Length, sized("a place on a wall", "0", "12000")]
Size = Annotated[Length, sized("a size on a wall", "0.5", "12000")]


class Verification(Section):
    """Who looked at the space behind a shell, and when."""

    by: Text = Field(description="who verified the space behind the shell", examples=["R. Vance"])
    date: Date = Field(description="when, year-month-day", examples=["2026-02-20"])


class Obstruction(Section):
    """Something behind the shell that no hole may meet."""

    what: Text = Field(description="what it is, e.g. travelling cable", examples=["travelling cable"])
    x: Across = Field(description="its left edge, from the wall's left end", examples=["20", "500"])
    y: Across = Field(description="its lower edge, from the floor as surveyed", examples=["30", "750"])
    width: Size = Field(description="its width", examples=["9", "230"])
    height: Size = Field(description="its height", examples=["26", "660"])
    behind: Annotated[Length, sized("the depth behind a shell", "0", "6000")] = Field(
        ZERO, description="how far behind the shell it lies"
    )


class Behind(Section):
    """What is known of the space behind a shell."""

    verified: Verification | None = Field(None, description="who verified it; left out: not verified, no drilling")
    depth: Annotated[Length, sized("the depth behind a shell", "0", "6000")] | None = Field(
        None, description="clear depth behind the shell"
    )
    obstructions: Annotated[tuple[Obstruction, ...], MANY] = Field((), description="what lies there")


class Hole(Section):
    """A hole that is in the shell already, of an old handrail say."""

    x: Across = Field(description="its middle, from the wall's left end", examples=["20", "500"])
    y: Across = Field(description="its middle, from the floor as surveyed", examples=["34", "860"])
    diameter: Annotated[Length, sized("a hole", "0.5", "300")] | None = Field(
        None, description="its diameter; taken to be that of a new hole if left out"
    )


class Fixture(Section):
    """Something on the room side that panels are cut round, an operating panel say."""

    what: Text = Field(description="what it is, e.g. operating panel", examples=["operating panel"])
    x: Across = Field(description="its left edge, from the wall's left end", examples=["20", "500"])
    y: Across = Field(description="its lower edge, from the floor as surveyed", examples=["30", "750"])
    width: Size = Field(description="its width", examples=["9", "230"])
    height: Size = Field(description="its height", examples=["26", "660"])
    clearance: Annotated[Length, sized("a clearance", "0", "150")] = Field(
        ZERO, description="room left round it on every side"
    )


class SurveyWall(Section):
    """A wall of the bare shell, as measured."""

    width: Annotated[tuple[WallWidth, ...], Listed, MANY] = Field(
        description="clear width readings, evenly spaced floor to ceiling, first at the floor", examples=["68", "1730"]
    )
    height: Annotated[tuple[Height, ...], Listed, MANY] | None = Field(
        None, description="this wall's own height readings, left to right"
    )
    floor: Annotated[tuple[Annotated[Length, sized("a floor's fall", "0", "100")], ...], Listed, MANY] | None = Field(
        None, description="fall of the floor below its high point, evenly spaced left to right"
    )
    shell: Annotated[Length, sized("a shell's thickness", "0.3", "12")] | None = Field(
        None, description="thickness of the shell sheet"
    )
    behind: Behind = Field(
        Behind(verified=None, depth=None, obstructions=()), description="what is known of the space behind"
    )
    fixtures: Annotated[tuple[Fixture, ...], MANY] = Field((), description="what stands on the wall and stays")
    holes: Annotated[tuple[Hole, ...], MANY] = Field((), description="holes that are in the shell already")
    bow: Annotated[Length, sized("a bow", "0", "100")] = Field(
        ZERO, description="proudest to deepest point of the shell under a straightedge"
    )
    twist: Annotated[Length, sized("a twist", "0", "100")] = Field(
        ZERO, description="how far one corner of the wall stands out of the plane of the other three"
    )
    heads: Annotated[Length, sized("bolt heads", "0", "100")] = Field(
        ZERO, description="how far the proudest bolt or rivet head stands off the shell"
    )


class SurveyWalls(Section):
    """The bare walls that get panels."""

    model_config = ConfigDict(json_schema_extra={"minProperties": 1})

    back: SurveyWall | None = Field(None, description="the back wall, facing you as you enter")
    left: SurveyWall | None = Field(None, description="the wall on the left as you enter; x = 0 at its front")
    right: SurveyWall | None = Field(None, description="the wall on the right as you enter; x = 0 at the back")

    def named(self) -> Iterator[tuple[WallName, SurveyWall]]:
        """The walls that are there, in the order back, left, right."""
        for name in WALLS:
            wall = getattr(self, name)
            if wall is not None:
                yield name, wall


class Return(Section):
    """A front return: the front wall beside the door."""

    width: Annotated[Length, sized("a return's width", "10", "3000")] = Field(
        description="its width", examples=["10 1/2", "270"]
    )
    height: Height = Field(description="floor to its top", examples=["92", "2340"])


class Transom(Section):
    """The front above the door."""

    underside: Height = Field(description="floor to its underside", examples=["84", "2130"])
    projects: Annotated[Length, sized("this", "0", "600")] = Field(
        ZERO, description="how far it stands proud of the returns, into the car"
    )


class Front(Section):
    """The front of the car: returns and transom."""

    left: Return | None = Field(None, description="the return on the left as you enter")
    right: Return | None = Field(None, description="the return on the right as you enter")
    transom: Transom | None = Field(None, description="the front above the door")


class CarMass(Section):
    """Rated load and masses, from the data plate or weighed."""

    rated_load: MassField | None = Field(None, description="rated load, from the data plate")
    mass: MassField | None = Field(None, description="the car's own mass as it was built")
    removed: MassField | None = Field(None, description="what is taken out of the car first")


class Survey(Section):
    """The bare shell, as measured."""

    by: Text | None = Field(None, description="who measured")
    date: Date | None = Field(None, description="when, year-month-day")
    uncertainty: Annotated[Length, sized("an uncertainty", "0", "50")] = Field(
        ZERO, description="taken off every governing width and height"
    )
    floor_finish: Annotated[Length, sized("a floor finish", "0", "150")] = Field(
        ZERO, description="flooring still to be laid, taken off every height"
    )
    height: Annotated[tuple[Height, ...], Listed, MANY] = Field(
        description="readings floor to ceiling, left to right", examples=["92 1/4", "2360"]
    )
    width: Annotated[tuple[WallWidth, ...], Listed, MANY] | None = Field(
        None, description="shell to shell, for the clear size where there is no back wall"
    )
    diagonals: tuple[
        Annotated[Length, sized("a diagonal", "400", "20000")], Annotated[Length, sized("a diagonal", "400", "20000")]
    ] | None = Field(
        None,
        description="across the bare floor: left front to right back, then right front to left back",
        examples=["[85 1/4, 85 3/8]", "[2165, 2168]"],
    )  # fmt: skip
    walls: SurveyWalls = Field(description="the walls that get panels")
    front: Front | None = Field(None, description="returns and transom")
    car: CarMass | None = Field(None, description="rated load and masses")

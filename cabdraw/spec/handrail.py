"""The format's handrail: the rail, its standoffs and its bolt."""

from __future__ import annotations

from typing import Annotated, get_args

from pydantic import ConfigDict, Field, model_validator

from cabdraw.cab import PlacedBy
from cabdraw.spec.fields import choice, sized, wrong
from cabdraw.spec.section import Section, WallName, inches, not_both, one_key_of
from cabdraw.units import Length

# What a length may be, in mm: wide enough for any car, narrow enough to catch inches taken for mm or the reverse.
RailHeight = Annotated[Length, sized("a flat rail's height", "10", "400")]
RailThickness = Annotated[Length, sized("a flat rail's thickness", "3", "100")]
RailRun = Annotated[Length, sized("this", "0", "3000")]
Thread = Annotated[Length, sized("this", "0", "300")]
BandPlace = Annotated[Length, sized("a height above the floor", "10", "10000")]
Drill = Annotated[Length, sized("a hole", "0.5", "50")]
Spacing = Annotated[Length, sized("a spacing", "10", "5000")]


class RailSection(Section):
    """The section of the handrail."""

    model_config = ConfigDict(json_schema_extra=one_key_of("round", "flat"))

    round: Annotated[Length, sized("a round rail's diameter", "10", "150")] | None = Field(
        None, description="diameter of a round rail", examples=["1 1/2", "38"]
    )
    flat: tuple[RailHeight, RailThickness] | None = Field(None, description="height and thickness of a flat rail")

    @model_validator(mode="after")
    def _one_shape(self) -> RailSection:
        if (self.round is None) == (self.flat is None):
            raise wrong("needs either round or flat, and not both", "write e.g. {round: 1 1/2}")
        return self

    @property
    def height(self) -> Length:
        """How high the rail is."""
        if self.flat is not None:
            return self.flat[0]
        assert self.round is not None
        return self.round

    @property
    def thickness(self) -> Length:
        """How far the rail reaches from its back to its front."""
        if self.flat is not None:
            return self.flat[1]
        assert self.round is not None
        return self.round


class Bolt(Section):
    """The bolt through backer, air gap and shell, and what its ends need."""

    lengths: tuple[Annotated[Length, sized("a bolt's length", "5", "1000")], ...] = Field(
        min_length=1, max_length=199, description="stock lengths", examples=[["2", "2 1/4"], ["50", "60"]]
    )
    standoff_thread: tuple[Thread, Thread] = Field(
        description="least and greatest engagement in the standoff", examples=[["3/8", "5/8"], ["10", "16"]]
    )
    anchor: Thread = Field(description="least length past the shell that the anchor needs", examples=["3/8", "10"])
    insertion: Annotated[Length, sized("this", "1", "1000")] | None = Field(
        None, description="clear depth the anchor needs to go in"
    )
    flange: Annotated[Length, sized("a flange's diameter", "3", "300")] | None = Field(
        None, description="diameter of the standoff's flange"
    )


class Handrail(Section):
    """The handrail, its standoffs and its fixing."""

    model_config = ConfigDict(json_schema_extra=not_both("centre", "rail_top"))

    walls: tuple[Annotated[WallName, choice("back", "left", "right")], ...] = Field(
        min_length=1,
        max_length=199,
        description="the walls that get a rail",
        examples=[["back", "left"]],
        json_schema_extra={"uniqueItems": True},
    )
    section: RailSection = Field(description="the rail's section")
    standoff: Annotated[Length, sized("this", "3", "300")] = Field(
        description="clear between rail and panel face", examples=["1 1/2", "40"]
    )
    end_clearance: RailRun = Field(description="end of the row of panels to end of the rail", examples=["4", "100"])
    overhang: RailRun = Field(description="end of the rail to the first standoff, nominal", examples=["6", "150"])
    max_spacing: Spacing = Field(description="greatest spacing of the standoffs", examples=["30", "750"])
    standoffs: Annotated[PlacedBy, choice(*get_args(PlacedBy))] = Field(
        "rule",
        description="rule: evenly, by overhang and max_spacing; clear: moved as little as keeps every hole clear;"
        " existing: in the holes of survey.walls",
    )
    min_overhang: RailRun | None = Field(
        None, description="end of the rail to the first standoff, least where standoffs are moved"
    )
    max_overhang: RailRun | None = Field(
        None, description="end of the rail to the first standoff, greatest where standoffs are moved"
    )
    min_spacing: Spacing = Field(
        inches(4), description="least spacing of the standoffs where they are moved: room for a hand and a driver"
    )
    centre: BandPlace | None = Field(
        None, description="the rail's centre line above the finished floor, on walls without a backer"
    )
    rail_top: BandPlace | None = Field(
        None, description="top of the rail above the finished floor, on walls without a backer"
    )
    pilot: Drill = Field(inches(1, 8), description="diameter of the pilot drill")
    hole: Drill = Field(inches(1, 2), description="diameter of the finished hole")
    bolt: Bolt | None = Field(None, description="the bolt")

"""The format's handrail: the rail, its standoffs and its bolt."""

from __future__ import annotations

from typing import get_args

from cabdraw.cab import PlacedBy
from cabdraw.spec.fields import Choice, choice, sized
from cabdraw.spec.section import ListOf, PairOf, Section, SectionOf, WallName, Wrong, inches, key, not_both, one_key_of
from cabdraw.units import Length

# What a length may be, in mm: wide enough for any car, narrow enough to catch inches taken for mm or the reverse.
RailHeight = sized("a flat rail's height", "10", "400")
RailThickness = sized("a flat rail's thickness", "3", "100")
RailRun = sized("this", "0", "3000")
Thread = sized("this", "0", "300")
BandPlace = sized("a height above the floor", "10", "10000")
Drill = sized("a hole", "0.5", "50")
Spacing = sized("a spacing", "10", "5000")
Wall: Choice[WallName] = choice("back", "left", "right")
Placing: Choice[PlacedBy] = choice(*get_args(PlacedBy))


class RailSection(Section):
    """The section of the handrail."""

    schema_words = one_key_of("round", "flat")

    round = key(
        sized("a round rail's diameter", "10", "150"),
        None,
        description="diameter of a round rail",
        examples=["1 1/2", "38"],
    )
    flat = key(PairOf(RailHeight, RailThickness), None, description="height and thickness of a flat rail")

    def must_fit(self) -> None:
        """One shape."""
        if (self.round is None) == (self.flat is None):
            raise Wrong("needs either round or flat, and not both", "write e.g. {round: 1 1/2}")

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

    lengths = key(
        ListOf(sized("a bolt's length", "5", "1000"), least=1),
        description="stock lengths",
        examples=[["2", "2 1/4"], ["50", "60"]],
    )
    standoff_thread = key(
        PairOf(Thread, Thread),
        description="least and greatest engagement in the standoff",
        examples=[["3/8", "5/8"], ["10", "16"]],
    )
    anchor = key(Thread, description="least length past the shell that the anchor needs", examples=["3/8", "10"])
    insertion = key(sized("this", "1", "1000"), None, description="clear depth the anchor needs to go in")
    flange = key(sized("a flange's diameter", "3", "300"), None, description="diameter of the standoff's flange")


class Handrail(Section):
    """The handrail, its standoffs and its fixing."""

    schema_words = not_both("centre", "rail_top")

    walls = key(
        ListOf(Wall, least=1),
        description="the walls that get a rail",
        examples=[["back", "left"]],
        once=True,
    )
    section = key(SectionOf(RailSection), description="the rail's section")
    standoff = key(sized("this", "3", "300"), description="clear between rail and panel face", examples=["1 1/2", "40"])
    end_clearance = key(RailRun, description="end of the row of panels to end of the rail", examples=["4", "100"])
    overhang = key(RailRun, description="end of the rail to the first standoff, nominal", examples=["6", "150"])
    max_spacing = key(Spacing, description="greatest spacing of the standoffs", examples=["30", "750"])
    standoffs = key(
        Placing,
        "rule",
        description="rule: evenly, by overhang and max_spacing; clear: moved as little as keeps every hole clear;"
        " existing: in the holes of survey.walls",
    )
    min_overhang = key(
        RailRun, None, description="end of the rail to the first standoff, least where standoffs are moved"
    )
    max_overhang = key(
        RailRun, None, description="end of the rail to the first standoff, greatest where standoffs are moved"
    )
    min_spacing = key(
        Spacing,
        inches(4),
        description="least spacing of the standoffs where they are moved: room for a hand and a driver",
    )
    centre = key(
        BandPlace, None, description="the rail's centre line above the finished floor, on walls without a backer"
    )
    rail_top = key(BandPlace, None, description="top of the rail above the finished floor, on walls without a backer")
    pilot = key(Drill, inches(1, 8), description="diameter of the pilot drill")
    hole = key(Drill, inches(1, 2), description="diameter of the finished hole")
    bolt = key(SectionOf(Bolt), None, description="the bolt")

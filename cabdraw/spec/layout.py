"""The format's layout: the panelling wanted."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, ClassVar, Literal

from cabdraw.rational import Fraction
from cabdraw.spec.fields import Choice, Text, Weight, choice, scalar, shown, sized, sized_or
from cabdraw.spec.looks import looks
from cabdraw.spec.section import (
    WALLS,
    ListOf,
    PairOf,
    Section,
    SectionOf,
    WallName,
    Wrong,
    inches,
    key,
    not_both,
    one_key_of,
)
from cabdraw.units import ZERO, Length, total

BandKind = Literal[
    "gap", "base", "lower", "middle", "upper", "full", "reveal", "backer", "bumper", "crown", "frieze"
]  # fmt: skip
TIERS = ("lower", "middle", "upper", "full")
#: Bands whose edges are grooved, so that two of them meet only across a reveal band.
GROOVED = (*TIERS, "backer", "bumper", "crown")
Grain: Choice[Literal["vertical", "horizontal", "none"]] = choice("vertical", "horizontal", "none")


# What a length may be, in mm: wide enough for any car, narrow enough to catch inches taken for mm or the reverse.
PanelWidth = sized_or("fill", "a panel's width", "10", "12000")
Gap = sized("a gap", "0", "600")
Margin = sized("a margin", "0", "1000")
Reveal = sized("a reveal", "0", "150")
BandHeight = sized_or("fill", "a band's height", "0", "10000")
BandPlace = sized("a height above the floor", "10", "10000")
InGroove = sized("this", "1", "75")
SheetMetal = sized("a sheet's thickness", "0.1", "12")
TrimWidth = sized("a trim's width", "3", "600")


class Layer(Section):
    """One layer of a panel."""

    material = key(Text, description="what it is made of, e.g. particleboard", examples=["particleboard"])
    thickness = key(sized("a layer's thickness", "0.02", "100"), description="its thickness", examples=["3/4", "18"])


class Panel(Section):
    """What a panel is made of and how it stands off the shell."""

    schema_words = one_key_of("thickness", "layers")

    air_gap = key(sized("an air gap", "0", "150"), description="shell face to panel back", examples=["1/2", "12"])
    thickness = key(
        sized("a panel's thickness", "3", "100"),
        None,
        description="the panel's thickness, or give layers",
        examples=["3/4", "19"],
    )
    layers = key(ListOf(SectionOf(Layer)), None, description="the panel's layers, front to back")
    edge = key(
        sized("an edge band's thickness", "0", "20"),
        ZERO,
        description="edge band on each edge; the core is cut that much smaller all round",
    )
    grain = key(Grain, "vertical", description="which way the face's grain runs")

    def must_fit(self) -> None:
        """Its thickness, or its layers."""
        if (self.thickness is None) == (self.layers is None):
            raise Wrong("needs either thickness or layers, and not both", "write e.g. thickness: 3/4")
        if self.layers is not None and not self.layers:
            raise Wrong("layers is empty", "name the layers front to back, or give thickness")

    @property
    def total_thickness(self) -> Length:
        """The panel's thickness, of its layers where they are given."""
        if self.layers is not None:
            return total(layer.thickness for layer in self.layers)
        assert self.thickness is not None
        return self.thickness


class Joint(Section):
    """How parts enter one another, and how deep things lie behind the panel face."""

    engagement = key(InGroove, description="how far a spline, tab or strip enters a groove", examples=["3/8", "9"])
    groove_depth = key(InGroove, description="depth of a groove from the finished edge", examples=["1/2", "12"])
    clearance = key(
        sized("a clearance in a groove", "0", "25"),
        description="least room at a groove's bottom and between hidden parts that meet",
        examples=["1/16", "1.5"],
    )
    base_tab = key(
        InGroove, description="the base's upstand, which enters the lowest panels' bottom groove", examples=["3/8", "9"]
    )
    spline_lift = key(
        sized("this", "0", "300"),
        inches(3, 4),
        description="bottom of a lowest-tier vertical spline above the top of the base tab",
    )
    groove_width = key(sized("a groove's width", "0.5", "50"), inches(5, 32), description="width of a groove")
    spline_thickness = key(
        sized("a spline's thickness", "0.3", "50"), inches(1, 8), description="thickness of a spline"
    )
    groove_offset = key(
        sized("this", "0.5", "75"), inches(1, 4), description="panel face to the near side of the groove"
    )
    tab_thickness = key(SheetMetal, inches(375, 10000), description="thickness of the base's and frieze's tab")
    strip_thickness = key(SheetMetal, inches(375, 10000), description="thickness of a reveal strip")


class BandSize(Section):
    """The height of a band in the stack, and where it stands if it says so."""

    schema_words: ClassVar = {
        **not_both("centre", "rail_top"),
        # A height that is fill, or left out, against one that is given.
        "if": {"properties": {"height": {"type": "string", "pattern": r"^\s*[fF][iI][lL][lL]\s*$"}}},
        "then": {"properties": {"centre": False, "rail_top": False}},
        "else": {"properties": {"weight": False}},
    }

    height = key(BandHeight, None, description="its height, or fill")
    weight = key(Weight, Fraction(1), description="its share among the fills of its segment")
    centre = key(BandPlace, None, description="its centre line above the finished floor")
    rail_top = key(BandPlace, None, description="top of the rail above the finished floor")

    @property
    def fills(self) -> bool:
        """Whether it takes what the fixed bands leave."""
        return self.height is None


@looks("its height alone", of="height")
def _band_size(value: Any) -> Any:
    return value if isinstance(value, dict) else {"height": value}


BandField = SectionOf(BandSize, short=_band_size)


class StackItem(Section):
    """One band of the stack: its kind and its height."""

    schema_words: ClassVar = {"minProperties": 1, "maxProperties": 1}

    gap = key(BandField, None, description="an open gap, at the floor or under the ceiling", examples=["3/4", "20"])
    base = key(BandField, None, description="the ventilated base, held off the floor")
    lower = key(BandField, None, description="the lower tier of panels")
    middle = key(BandField, None, description="the middle tier of panels")
    upper = key(BandField, None, description="the upper tier of panels")
    full = key(BandField, None, description="the one tier of panels, base to top")
    reveal = key(BandField, None, description="a horizontal joint; 0 is a butt joint")
    backer = key(BandField, None, description="the band that the handrail is bolted through")
    bumper = key(BandField, None, description="a band for carts to run against")
    crown = key(BandField, None, description="the band over the top tier")
    frieze = key(BandField, None, description="the top band, under the ceiling")

    def must_fit(self) -> None:
        """One band."""
        if len(self.given_keys) != 1:
            named = [name for name in type(self).format_keys if name in self.given_keys]
            if named:
                raise Wrong(
                    f"names {len(named)} bands, {' and '.join(named)}", "begin each band with a dash on its own line"
                )
            raise Wrong("{} names no band", "write e.g. - lower: fill")

    @property
    def kind(self) -> BandKind:
        """Which band it is."""
        (kind,) = self.given_keys
        return kind  # type: ignore[return-value]

    @property
    def size(self) -> BandSize:
        """The band's height and place."""
        size = getattr(self, self.kind)
        assert isinstance(size, BandSize)
        return size


#: More bands than fit in any car; more is a slip.
Stack = ListOf(SectionOf(StackItem), most=99, least=1)


#: More panels than fit in any car; more is a typing error.
MOST_PANELS = 99


@looks("how many", type=["integer", "string"], minimum=1, maximum=MOST_PANELS, pattern=r"^\s*0{0,2}[1-9][0-9]?\s*$")
def _shares(value: Any) -> Any:
    if isinstance(value, list):
        if not value:
            raise Wrong("is an empty list", "write how many panels, e.g. 3, or their ratio, e.g. [1, 2, 1]")
        return value
    text = scalar(value, "a number of panels", "3")
    if re.fullmatch(r"[0-9]{1,3}", text.strip()) and 1 <= int(text) <= MOST_PANELS:
        return ["1"] * int(text)
    raise Wrong(
        f"{shown(value)} is not a number of panels",
        f"write how many, 1 to {MOST_PANELS}, or their ratio, e.g. [1, 2, 1]",
    )


Shares = ListOf(Weight, short=_shares, most=MOST_PANELS)


class LayoutWall(Section):
    """How one wall is divided; what it does not say is as for every wall."""

    schema_words = one_key_of("panels", "widths")

    panels = key(Shares, None, description="how many equal panels, or their ratio as a list", examples=["3"])
    widths = key(
        ListOf(PanelWidth, most=MOST_PANELS, least=1),
        None,
        description="widths from x = 0; fills share the rest equally",
    )
    margins = key(
        PairOf(Margin, Margin), None, description="nominal margins, left end and right end as seen from inside"
    )
    stack = key(Stack, None, description="this wall's own stack")
    reveal = key(Reveal, None, description="this wall's own vertical joints")
    panel = key(SectionOf(Panel), None, description="this wall's own panels")

    def must_fit(self) -> None:
        """One row of panels."""
        if (self.panels is None) == (self.widths is None):
            raise Wrong("needs either panels or widths, and not both", "write e.g. panels: 3")


class LayoutWalls(Section):
    """The walls that get panels."""

    schema_words: ClassVar = {"minProperties": 1}

    back = key(SectionOf(LayoutWall), None, description="the back wall, facing you as you enter")
    left = key(SectionOf(LayoutWall), None, description="the wall on the left as you enter; x = 0 at its front")
    right = key(SectionOf(LayoutWall), None, description="the wall on the right as you enter; x = 0 at the back")

    def named(self) -> Iterator[tuple[WallName, LayoutWall]]:
        """The walls that are there, in the order back, left, right."""
        for name in WALLS:
            wall = getattr(self, name)
            if wall is not None:
                yield name, wall


class FrontTrim(Section):
    """The trims at the front returns."""

    width = key(TrimWidth, description="the trim's visible width", examples=["1 1/2", "40"])
    stock = key(
        sized("a stock length", "300", "20000"),
        description="the stock length that both pieces of a return are cut from",
        examples=["96", "2500"],
    )
    kerf = key(sized("a saw cut", "0", "15"), inches(1, 8), description="what a saw cut takes")


class CornerTrim(Section):
    """The trims at the inside corners."""

    width = key(TrimWidth, description="the trim's visible width", examples=["2", "50"])


class Layout(Section):
    """The panelling wanted."""

    panel = key(SectionOf(Panel), description="what panels are made of")
    joint = key(SectionOf(Joint), description="how parts enter one another")
    reveal = key(Reveal, description="visible width of a vertical joint; 0 is a butt joint", examples=["1/2", "12"])
    corner_gap = key(Gap, description="visible gap that each wall leaves at an inside corner", examples=["1/2", "12"])
    front_gap = key(Gap, description="visible gap at a front return", examples=["1", "25"])
    rear_gap = key(Gap, None, description="visible gap at a rear return; front_gap if left out")
    stack = key(Stack, description="every wall's bands, floor to ceiling", examples=[[{"full": "fill"}]])
    walls = key(SectionOf(LayoutWalls), description="the walls that get panels, and how they are divided")
    front_trim = key(SectionOf(FrontTrim), None, description="the trims at the front returns")
    corner_trim = key(SectionOf(CornerTrim), None, description="the trims at the inside corners")

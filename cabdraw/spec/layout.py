"""The format's layout: the panelling wanted."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, ConfigDict, Field, model_validator

from cabdraw.spec.fields import Text, Weight, choice, scalar, shown, sized, sized_or_fill, wrong
from cabdraw.spec.looks import looks
from cabdraw.spec.section import MANY, WALLS, Section, WallName, inches, not_both, one_key_of
from cabdraw.units import ZERO, Length, total

BandKind = Literal[
    "gap", "base", "lower", "middle", "upper", "full", "reveal", "backer", "bumper", "crown", "frieze"
]  # fmt: skip
TIERS = ("lower", "middle", "upper", "full")
#: Bands whose edges are grooved, so that two of them meet only across a reveal band.
GROOVED = (*TIERS, "backer", "bumper", "crown")
Grain = Annotated[Literal["vertical", "horizontal", "none"], choice("vertical", "horizontal", "none")]


# What a length may be, in mm: wide enough for any car, narrow enough to catch inches taken for mm or the reverse.
PanelWidth = sized_or_fill("a panel's width", "10", "12000")
Gap = Annotated[Length, sized("a gap", "0", "600")]
Margin = Annotated[Length, sized("a margin", "0", "1000")]
Reveal = Annotated[Length, sized("a reveal", "0", "150")]
BandHeight = sized_or_fill("a band's height", "0", "10000")
BandPlace = Annotated[Length, sized("a height above the floor", "10", "10000")]
InGroove = Annotated[Length, sized("this", "1", "75")]
SheetMetal = Annotated[Length, sized("a sheet's thickness", "0.1", "12")]
TrimWidth = Annotated[Length, sized("a trim's width", "3", "600")]


class Layer(Section):
    """One layer of a panel."""

    material: Text = Field(description="what it is made of, e.g. particleboard", examples=["particleboard"])
    thickness: Annotated[Length, sized("a layer's thickness", "0.02", "100")] = Field(
        description="its thickness", examples=["3/4", "18"]
    )


class Panel(Section):
    """What a panel is made of and how it stands off the shell."""

    model_config = ConfigDict(json_schema_extra=one_key_of("thickness", "layers"))

    air_gap: Annotated[Length, sized("an air gap", "0", "150")] = Field(
        description="shell face to panel back", examples=["1/2", "12"]
    )
    thickness: Annotated[Length, sized("a panel's thickness", "3", "100")] | None = Field(
        None, description="the panel's thickness, or give layers", examples=["3/4", "19"]
    )
    layers: Annotated[tuple[Layer, ...], MANY] | None = Field(None, description="the panel's layers, front to back")
    edge: Annotated[Length, sized("an edge band's thickness", "0", "20")] = Field(
        ZERO, description="edge band on each edge; the core is cut that much smaller all round"
    )
    grain: Grain = Field("vertical", description="which way the face's grain runs")

    @model_validator(mode="after")
    def _one_thickness(self) -> Panel:
        if (self.thickness is None) == (self.layers is None):
            raise wrong("needs either thickness or layers, and not both", "write e.g. thickness: 3/4")
        if self.layers is not None and not self.layers:
            raise wrong("layers is empty", "name the layers front to back, or give thickness")
        return self

    @property
    def total_thickness(self) -> Length:
        """The panel's thickness, of its layers where they are given."""
        if self.layers is not None:
            return total(layer.thickness for layer in self.layers)
        assert self.thickness is not None
        return self.thickness


class Joint(Section):
    """How parts enter one another, and how deep things lie behind the panel face."""

    engagement: InGroove = Field(description="how far a spline, tab or strip enters a groove", examples=["3/8", "9"])
    groove_depth: InGroove = Field(description="depth of a groove from the finished edge", examples=["1/2", "12"])
    clearance: Annotated[Length, sized("a clearance in a groove", "0", "25")] = Field(
        description="least room at a groove's bottom and between hidden parts that meet", examples=["1/16", "1.5"]
    )
    base_tab: InGroove = Field(
        description="the base's upstand, which enters the lowest panels' bottom groove", examples=["3/8", "9"]
    )
    spline_lift: Annotated[Length, sized("this", "0", "300")] = Field(
        inches(3, 4), description="bottom of a lowest-tier vertical spline above the top of the base tab"
    )
    groove_width: Annotated[Length, sized("a groove's width", "0.5", "50")] = Field(
        inches(5, 32), description="width of a groove"
    )
    spline_thickness: Annotated[Length, sized("a spline's thickness", "0.3", "50")] = Field(
        inches(1, 8), description="thickness of a spline"
    )
    groove_offset: Annotated[Length, sized("this", "0.5", "75")] = Field(
        inches(1, 4), description="panel face to the near side of the groove"
    )
    tab_thickness: SheetMetal = Field(inches(375, 10000), description="thickness of the base's and frieze's tab")
    strip_thickness: SheetMetal = Field(inches(375, 10000), description="thickness of a reveal strip")


class BandSize(Section):
    """The height of a band in the stack, and where it stands if it says so."""

    model_config = ConfigDict(
        json_schema_extra={
            **not_both("centre", "rail_top"),
            # A height that is fill, or left out, against one that is given.
            "if": {"properties": {"height": {"type": "string", "pattern": r"^\s*[fF][iI][lL][lL]\s*$"}}},
            "then": {"properties": {"centre": False, "rail_top": False}},
            "else": {"properties": {"weight": False}},
        }
    )

    height: Annotated[Length | None, BandHeight] = Field(None, description="its height, or fill")
    weight: Weight = Field(Fraction(1), description="its share among the fills of its segment")
    centre: BandPlace | None = Field(None, description="its centre line above the finished floor")
    rail_top: BandPlace | None = Field(None, description="top of the rail above the finished floor")

    @property
    def fills(self) -> bool:
        """Whether it takes what the fixed bands leave."""
        return self.height is None


@looks("its height alone", of="height")
def _band_size(value: Any) -> Any:
    return value if isinstance(value, dict) else {"height": value}


BandField = Annotated[BandSize, BeforeValidator(_band_size)]


class StackItem(Section):
    """One band of the stack: its kind and its height."""

    model_config = ConfigDict(json_schema_extra={"minProperties": 1, "maxProperties": 1})

    gap: BandField | None = Field(
        None, description="an open gap, at the floor or under the ceiling", examples=["3/4", "20"]
    )
    base: BandField | None = Field(None, description="the ventilated base, held off the floor")
    lower: BandField | None = Field(None, description="the lower tier of panels")
    middle: BandField | None = Field(None, description="the middle tier of panels")
    upper: BandField | None = Field(None, description="the upper tier of panels")
    full: BandField | None = Field(None, description="the one tier of panels, base to top")
    reveal: BandField | None = Field(None, description="a horizontal joint; 0 is a butt joint")
    backer: BandField | None = Field(None, description="the band that the handrail is bolted through")
    bumper: BandField | None = Field(None, description="a band for carts to run against")
    crown: BandField | None = Field(None, description="the band over the top tier")
    frieze: BandField | None = Field(None, description="the top band, under the ceiling")

    @model_validator(mode="after")
    def _one_kind(self) -> StackItem:
        if len(self.model_fields_set) != 1:
            named = [name for name in type(self).model_fields if name in self.model_fields_set]
            if named:
                raise wrong(
                    f"names {len(named)} bands, {' and '.join(named)}", "begin each band with a dash on its own line"
                )
            raise wrong("{} names no band", "write e.g. - lower: fill")
        return self

    @property
    def kind(self) -> BandKind:
        """Which band it is."""
        (kind,) = self.model_fields_set
        return kind  # type: ignore[return-value]

    @property
    def size(self) -> BandSize:
        """The band's height and place."""
        size = getattr(self, self.kind)
        assert isinstance(size, BandSize)
        return size


#: More bands than fit in any car; more is a slip.
Stack = Annotated[tuple[StackItem, ...], Field(min_length=1, max_length=99)]


#: More panels than fit in any car; more is a typing error.
MOST_PANELS = 99


@looks("how many", type=["integer", "string"], minimum=1, maximum=MOST_PANELS, pattern=r"^\s*0{0,2}[1-9][0-9]?\s*$")
def _shares(value: Any) -> Any:
    if isinstance(value, list):
        if not value:
            raise wrong("is an empty list", "write how many panels, e.g. 3, or their ratio, e.g. [1, 2, 1]")
        return value
    text = scalar(value, "a number of panels", "3")
    if re.fullmatch(r"[0-9]{1,3}", text.strip()) and 1 <= int(text) <= MOST_PANELS:
        return ["1"] * int(text)
    raise wrong(
        f"{shown(value)} is not a number of panels",
        f"write how many, 1 to {MOST_PANELS}, or their ratio, e.g. [1, 2, 1]",
    )


Shares = Annotated[tuple[Weight, ...], BeforeValidator(_shares), Field(max_length=MOST_PANELS)]


class LayoutWall(Section):
    """How one wall is divided; what it does not say is as for every wall."""

    model_config = ConfigDict(json_schema_extra=one_key_of("panels", "widths"))

    panels: Shares | None = Field(None, description="how many equal panels, or their ratio as a list", examples=["3"])
    widths: (
        Annotated[tuple[Annotated[Length | None, PanelWidth], ...], Field(min_length=1, max_length=MOST_PANELS)] | None
    ) = Field(None, description="widths from x = 0; fills share the rest equally")
    margins: tuple[Margin, Margin] | None = Field(
        None, description="nominal margins, left end and right end as seen from inside"
    )
    stack: Stack | None = Field(None, description="this wall's own stack")
    reveal: Reveal | None = Field(None, description="this wall's own vertical joints")
    panel: Panel | None = Field(None, description="this wall's own panels")

    @model_validator(mode="after")
    def _one_row(self) -> LayoutWall:
        if (self.panels is None) == (self.widths is None):
            raise wrong("needs either panels or widths, and not both", "write e.g. panels: 3")
        return self


class LayoutWalls(Section):
    """The walls that get panels."""

    model_config = ConfigDict(json_schema_extra={"minProperties": 1})

    back: LayoutWall | None = Field(None, description="the back wall, facing you as you enter")
    left: LayoutWall | None = Field(None, description="the wall on the left as you enter; x = 0 at its front")
    right: LayoutWall | None = Field(None, description="the wall on the right as you enter; x = 0 at the back")

    def named(self) -> Iterator[tuple[WallName, LayoutWall]]:
        """The walls that are there, in the order back, left, right."""
        for name in WALLS:
            wall = getattr(self, name)
            if wall is not None:
                yield name, wall


class FrontTrim(Section):
    """The trims at the front returns."""

    width: TrimWidth = Field(description="the trim's visible width", examples=["1 1/2", "40"])
    stock: Annotated[Length, sized("a stock length", "300", "20000")] = Field(
        description="the stock length that both pieces of a return are cut from", examples=["96", "2500"]
    )
    kerf: Annotated[Length, sized("a saw cut", "0", "15")] = Field(inches(1, 8), description="what a saw cut takes")


class CornerTrim(Section):
    """The trims at the inside corners."""

    width: TrimWidth = Field(description="the trim's visible width", examples=["2", "50"])


class Layout(Section):
    """The panelling wanted."""

    panel: Panel = Field(description="what panels are made of")
    joint: Joint = Field(description="how parts enter one another")
    reveal: Reveal = Field(description="visible width of a vertical joint; 0 is a butt joint", examples=["1/2", "12"])
    corner_gap: Gap = Field(description="visible gap that each wall leaves at an inside corner", examples=["1/2", "12"])
    front_gap: Gap = Field(description="visible gap at a front return", examples=["1", "25"])
    rear_gap: Gap | None = Field(None, description="visible gap at a rear return; front_gap if left out")
    stack: Stack = Field(description="every wall's bands, floor to ceiling", examples=[[{"full": "fill"}]])
    walls: LayoutWalls = Field(description="the walls that get panels, and how they are divided")
    front_trim: FrontTrim | None = Field(None, description="the trims at the front returns")
    corner_trim: CornerTrim | None = Field(None, description="the trims at the inside corners")

"""The spec format, one model a section: every key, its kind, its default and what it means.

The models hold what was typed, checked a section at a time; `cabdraw.spec.consistency` checks what
lies between sections, and nothing here works out a size.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from cabdraw.spec.fields import (
    Count,
    Date,
    Falls,
    Fillable,
    FillableOrZero,
    LengthField,
    MassField,
    Percent,
    PositiveLength,
    Readings,
    Text,
    Units,
    Weight,
    choice,
    wrong,
)
from cabdraw.units import INCH, ZERO, Length

WallName = Literal["back", "left", "right"]
BandKind = Literal[
    "gap", "base", "lower", "middle", "upper", "full", "reveal", "backer", "bumper", "crown", "frieze"
]  # fmt: skip
Grain = Annotated[Literal["vertical", "horizontal", "none"], choice("vertical", "horizontal", "none")]
RuleSet = Annotated[str, choice("us-ada", "us-ca", "us-wa", "eu")]
SHEET_SIZES = (
    "A4", "A3", "A2", "A1", "A0",
    "ANSI A", "ANSI B", "ANSI C", "ANSI D", "ANSI E",
    "ARCH A", "ARCH B", "ARCH C", "ARCH D", "ARCH E",
)  # fmt: skip


def _in(numerator: int, denominator: int = 1) -> Length:
    return Length(INCH * Fraction(numerator, denominator))


WALLS: tuple[WallName, ...] = ("back", "left", "right")


class Section(BaseModel):
    """A section of the spec: unknown keys are errors, values never change."""

    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True)


class Revision(Section):
    """One row of the revision table."""

    mark: Text = Field(description="the revision's mark, e.g. A")
    date: Date = Field(description="the date of issue, year-month-day")
    by: Text | None = Field(None, description="who made it")
    note: Text | None = Field(None, description="what changed")


class Job(Section):
    """The job and the car, as they stand in every title block."""

    project: Text = Field(description="the project's name")
    car: Text = Field(description="the car's name")
    number: Text | None = Field(None, description="the drawing or job number")
    client: Text | None = Field(None, description="who it is for")
    address: Text | None = Field(None, description="where the car is")
    drawn_by: Text | None = Field(None, description="who drew it")
    checked_by: Text | None = Field(None, description="who checked it")
    date: Date | None = Field(None, description="the date of issue, year-month-day")
    revision: Text | None = Field(None, description="the revision's mark")
    revisions: tuple[Revision, ...] = Field((), description="the revision table, oldest first")


class Verification(Section):
    """Who looked at the space behind a shell, and when."""

    by: Text = Field(description="who verified the space behind the shell")
    date: Date = Field(description="when, year-month-day")


class Obstruction(Section):
    """Something behind the shell that no hole may meet."""

    what: Text = Field(description="what it is, e.g. travelling cable")
    x: LengthField = Field(description="its left edge, from the wall's left end")
    y: LengthField = Field(description="its lower edge, from the floor as surveyed")
    width: PositiveLength = Field(description="its width")
    height: PositiveLength = Field(description="its height")
    behind: LengthField = Field(ZERO, description="how far behind the shell it lies")


class Behind(Section):
    """What is known of the space behind a shell."""

    verified: Verification | None = Field(None, description="who verified it; left out: not verified, no drilling")
    depth: LengthField | None = Field(None, description="clear depth behind the shell")
    obstructions: tuple[Obstruction, ...] = Field((), description="what lies there")


class Fixture(Section):
    """Something on the room side that panels are cut round, an operating panel say."""

    what: Text = Field(description="what it is, e.g. operating panel")
    x: LengthField = Field(description="its left edge, from the wall's left end")
    y: LengthField = Field(description="its lower edge, from the floor as surveyed")
    width: PositiveLength = Field(description="its width")
    height: PositiveLength = Field(description="its height")
    clearance: LengthField = Field(ZERO, description="room left round it on every side")


class SurveyWall(Section):
    """A wall of the bare shell, as measured."""

    width: Readings = Field(description="clear width readings, evenly spaced floor to ceiling, first at the floor")
    height: Readings | None = Field(None, description="this wall's own height readings, left to right")
    floor: Falls | None = Field(None, description="fall of the floor below its high point, evenly spaced left to right")
    shell: PositiveLength | None = Field(None, description="thickness of the shell sheet")
    behind: Behind = Field(Behind(verified=None, depth=None), description="what is known of the space behind")
    fixtures: tuple[Fixture, ...] = Field((), description="what stands on the wall and stays")


class SurveyWalls(Section):
    """The bare walls that get panels."""

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

    width: PositiveLength = Field(description="its width")
    height: PositiveLength = Field(description="floor to its top")


class Transom(Section):
    """The front above the door."""

    underside: PositiveLength = Field(description="floor to its underside")
    projects: LengthField = Field(ZERO, description="how far it stands proud of the returns, into the car")


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
    uncertainty: LengthField = Field(ZERO, description="taken off every governing width and height")
    floor_finish: LengthField = Field(ZERO, description="flooring still to be laid, taken off every height")
    height: Readings = Field(description="readings floor to ceiling, left to right")
    width: Readings | None = Field(None, description="shell to shell, for the clear size where there is no back wall")
    walls: SurveyWalls = Field(description="the walls that get panels")
    front: Front | None = Field(None, description="returns and transom")
    car: CarMass | None = Field(None, description="rated load and masses")


class Layer(Section):
    """One layer of a panel."""

    material: Text = Field(description="what it is made of, e.g. particleboard")
    thickness: PositiveLength = Field(description="its thickness")


class Panel(Section):
    """What a panel is made of and how it stands off the shell."""

    air_gap: LengthField = Field(description="shell face to panel back")
    thickness: PositiveLength | None = Field(None, description="the panel's thickness, or give layers")
    layers: tuple[Layer, ...] | None = Field(None, description="the panel's layers, front to back")
    edge: LengthField = Field(ZERO, description="edge band on each edge; the core is cut that much smaller all round")
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
            return Length(sum((layer.thickness.mm for layer in self.layers), Fraction(0)))
        assert self.thickness is not None
        return self.thickness


class Joint(Section):
    """How parts enter one another, and how deep things lie behind the panel face."""

    engagement: PositiveLength = Field(description="how far a spline, tab or strip enters a groove")
    groove_depth: PositiveLength = Field(description="depth of a groove from the finished edge")
    clearance: LengthField = Field(description="least room at a groove's bottom and between hidden parts that meet")
    base_tab: PositiveLength = Field(description="the base's upstand, which enters the lowest panels' bottom groove")
    spline_lift: LengthField = Field(
        _in(3, 4), description="bottom of a lowest-tier vertical spline above the top of the base tab"
    )
    groove_width: PositiveLength = Field(_in(5, 32), description="width of a groove")
    spline_thickness: PositiveLength = Field(_in(1, 8), description="thickness of a spline")
    groove_offset: PositiveLength = Field(_in(1, 4), description="panel face to the near side of the groove")
    tab_thickness: PositiveLength = Field(_in(375, 10000), description="thickness of the base's and frieze's tab")
    strip_thickness: PositiveLength = Field(_in(375, 10000), description="thickness of a reveal strip")


class BandSize(Section):
    """The height of a band in the stack, and where it stands if it says so."""

    height: FillableOrZero = Field(None, description="its height, or fill")
    weight: Weight = Field(Fraction(1), description="its share among the fills of its segment")
    centre: PositiveLength | None = Field(None, description="its centre line above the finished floor")
    rail_top: PositiveLength | None = Field(None, description="top of the rail above the finished floor")

    @property
    def fills(self) -> bool:
        """Whether it takes what the fixed bands leave."""
        return self.height is None


def _band_size(value: Any) -> Any:
    return value if isinstance(value, dict) else {"height": value}


BandField = Annotated[BandSize, BeforeValidator(_band_size)]


class StackItem(Section):
    """One band of the stack: its kind and its height."""

    gap: BandField | None = Field(None, description="an open gap, at the floor or under the ceiling")
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
            raise wrong("must name exactly one band", "write e.g. - lower: fill")
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


Stack = Annotated[tuple[StackItem, ...], Field(min_length=1)]


#: More panels than fit in any car; more is a typing error.
MOST_PANELS = 99


def _shares(value: Any) -> Any:
    if isinstance(value, list):
        if not value:
            raise wrong("is an empty list", "write how many panels, e.g. 3, or their ratio, e.g. [1, 2, 1]")
        return value
    if isinstance(value, str) and value.strip().isdecimal() and 1 <= int(value[:6]) <= MOST_PANELS:
        return ["1"] * int(value)
    raise wrong(
        f'"{str(value)[:40]}" is not a number of panels',
        f"write how many, 1 to {MOST_PANELS}, or their ratio, e.g. [1, 2, 1]",
    )


Shares = Annotated[tuple[Weight, ...], BeforeValidator(_shares), Field(max_length=MOST_PANELS)]


class LayoutWall(Section):
    """How one wall is divided; what it does not say is as for every wall."""

    panels: Shares | None = Field(None, description="how many equal panels, or their ratio as a list")
    widths: Annotated[tuple[Fillable, ...], Field(min_length=1, max_length=MOST_PANELS)] | None = Field(
        None, description="widths from x = 0; fills share the rest equally"
    )
    margins: tuple[LengthField, LengthField] | None = Field(
        None, description="nominal margins, left end and right end as seen from inside"
    )
    stack: Stack | None = Field(None, description="this wall's own stack")
    reveal: LengthField | None = Field(None, description="this wall's own vertical joints")
    panel: Panel | None = Field(None, description="this wall's own panels")

    @model_validator(mode="after")
    def _one_row(self) -> LayoutWall:
        if (self.panels is None) == (self.widths is None):
            raise wrong("needs either panels or widths, and not both", "write e.g. panels: 3")
        return self


class LayoutWalls(Section):
    """The walls that get panels."""

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

    width: PositiveLength = Field(description="the trim's visible width")
    stock: PositiveLength = Field(description="the stock length that both pieces of a return are cut from")
    kerf: LengthField = Field(_in(1, 8), description="what a saw cut takes")


class CornerTrim(Section):
    """The trims at the inside corners."""

    width: PositiveLength = Field(description="the trim's visible width")


class Layout(Section):
    """The panelling wanted."""

    panel: Panel = Field(description="what panels are made of")
    joint: Joint = Field(description="how parts enter one another")
    reveal: LengthField = Field(description="visible width of a vertical joint; 0 is a butt joint")
    corner_gap: LengthField = Field(description="visible gap that each wall leaves at an inside corner")
    front_gap: LengthField = Field(description="visible gap at a front return")
    rear_gap: LengthField | None = Field(None, description="visible gap at a rear return; front_gap if left out")
    stack: Stack = Field(description="every wall's bands, floor to ceiling")
    walls: LayoutWalls = Field(description="the walls that get panels, and how they are divided")
    front_trim: FrontTrim | None = Field(None, description="the trims at the front returns")
    corner_trim: CornerTrim | None = Field(None, description="the trims at the inside corners")


class RailSection(Section):
    """The section of the handrail."""

    round: PositiveLength | None = Field(None, description="diameter of a round rail")
    flat: tuple[PositiveLength, PositiveLength] | None = Field(None, description="height and thickness of a flat rail")

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

    lengths: tuple[PositiveLength, ...] = Field(min_length=1, description="stock lengths")
    standoff_thread: tuple[LengthField, LengthField] = Field(
        description="least and greatest engagement in the standoff"
    )
    anchor: LengthField = Field(description="least length past the shell that the anchor needs")
    insertion: PositiveLength | None = Field(None, description="clear depth the anchor needs to go in")
    flange: PositiveLength | None = Field(None, description="diameter of the standoff's flange")


class Handrail(Section):
    """The handrail, its standoffs and its fixing."""

    walls: tuple[Annotated[WallName, choice("back", "left", "right")], ...] = Field(
        min_length=1, description="the walls that get a rail"
    )
    section: RailSection = Field(description="the rail's section")
    standoff: PositiveLength = Field(description="clear between rail and panel face")
    end_clearance: LengthField = Field(description="end of the row of panels to end of the rail")
    overhang: LengthField = Field(description="end of the rail to the first standoff, nominal")
    max_spacing: PositiveLength = Field(description="greatest spacing of the standoffs")
    centre: PositiveLength | None = Field(
        None, description="the rail's centre line above the finished floor, on walls without a backer"
    )
    rail_top: PositiveLength | None = Field(
        None, description="top of the rail above the finished floor, on walls without a backer"
    )
    pilot: PositiveLength = Field(_in(1, 8), description="diameter of the pilot drill")
    hole: PositiveLength = Field(_in(1, 2), description="diameter of the finished hole")
    bolt: Bolt | None = Field(None, description="the bolt")


class Fixings(Section):
    """Greatest spacings of screws and studs, and spares."""

    base_screws: PositiveLength | None = Field(None, description="greatest spacing of the screws that hold the base")
    spline_screws: PositiveLength | None = Field(None, description="greatest spacing of the screws that hold a spline")
    pad_studs: PositiveLength | None = Field(None, description="greatest spacing of the pad studs")
    pad_stud_end: LengthField | None = Field(None, description="greatest distance of the end studs from the ends")
    spares: Percent = Field(Fraction(0), description="spare hardware")


class SheetChoice(Section):
    """The paper that drawings go on."""

    size: Annotated[str, choice(*SHEET_SIZES)] = Field("A3", description="paper size")
    scale: Text = Field("auto", description="auto, or a scale such as 1:10")


class Spec(Section):
    """One car: the cab as measured, and the layout wanted."""

    cabdraw: Annotated[Literal["1"], choice("1")] = Field(description="version of this format")
    units: Units = Field(description="what a number without a unit is in")
    increment: PositiveLength | None = Field(None, description="what the shop cuts to; 1/32 in or 0.5 mm if left out")
    job: Job = Field(description="the job and the car")
    survey: Survey = Field(description="the bare shell, as measured")
    layout: Layout = Field(description="the panelling wanted")
    handrail: Handrail | None = Field(None, description="the handrail")
    fixings: Fixings | None = Field(None, description="spacings of screws and studs")
    rules: tuple[RuleSet, ...] = Field((), description="published rules to hold the car against")
    sheet: SheetChoice = Field(SheetChoice(size="A3", scale="auto"), description="paper and scale")

    @property
    def step(self) -> Length:
        """The increment, its default by units where it is left out."""
        if self.increment is not None:
            return self.increment
        return _in(1, 32) if self.units == "inch" else Length(Fraction(1, 2))

"""The spec format, one model a section: every key, its kind, its default and what it means.

The models hold what was typed, checked a section at a time; `cabdraw.spec.consistency` checks what
lies between sections, and nothing here works out a size.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated, Any, Literal

from pydantic import Field, PlainValidator

from cabdraw.spec.fields import Date, ScaleText, Text, Units, YesNo, choice, scalar, shown, sized, wrong
from cabdraw.spec.finishes import BandFinishes, Finishes, FinishItem, WallFinishes
from cabdraw.spec.handrail import Bolt, Handrail, RailSection
from cabdraw.spec.install import Install
from cabdraw.spec.layout import (
    BandKind,
    BandSize,
    CornerTrim,
    FrontTrim,
    Joint,
    Layer,
    Layout,
    LayoutWall,
    LayoutWalls,
    Panel,
    StackItem,
)
from cabdraw.spec.looks import any_case, looks
from cabdraw.spec.practice import MATERIALS, SHOP, MaterialsOfCar, ShopPractice
from cabdraw.spec.profiles import Profiles
from cabdraw.spec.rules import shipped
from cabdraw.spec.section import MANY, WALLS, Section, WallName, inches
from cabdraw.spec.site import FixingsOfCar, LabelsOfCar, Tolerances
from cabdraw.spec.stock import StockOnHand
from cabdraw.spec.survey import (
    Behind,
    CarMass,
    Fixture,
    Front,
    Obstruction,
    Return,
    Survey,
    SurveyWall,
    SurveyWalls,
    Transom,
    Verification,
)
from cabdraw.units import Length

__all__ = [
    "WALLS", "BandFinishes", "BandKind", "BandSize", "Behind", "Bolt", "CarMass", "CornerTrim", "FinishItem",
    "Finishes", "Fixture", "Front", "FrontTrim", "Handrail", "Job", "Joint", "Layer", "Layout",
    "LayoutWall", "LayoutWalls", "Obstruction", "Panel", "RailSection", "Return", "Revision", "Section",
    "SheetChoice", "Spec", "StackItem", "Survey", "SurveyWall", "SurveyWalls", "Transom", "Verification",
    "WallFinishes", "WallName",
]  # fmt: skip


@looks(
    "the name of a set of published rules, or of a file of a shop's own",
    anyOf=[
        {"enum": list(shipped())},
        {"type": "string", "pattern": rf"^\s*(?:{any_case(*shipped())})\s*$"},
        {"type": "string", "pattern": r"\.[yY][aA]?[mM][lL]\s*$"},
    ],
)
def _rule_set(value: Any) -> str:
    """The name of a set that comes with cabdraw, in small letters, or the path of a file of a shop's own."""
    text = scalar(value, "a set of rules", "us-ada").strip()
    if text.lower() in shipped():
        return text.lower()
    if text.lower().endswith((".yaml", ".yml")) and text.isprintable():
        return text
    known = ", ".join(shipped())
    raise wrong(f"{shown(text)} is not known here", f"write one of {known}, or the name of a file, e.g. our-rules.yaml")


RuleSet = Annotated[str, PlainValidator(_rule_set)]
SHEET_SIZES = (
    "A4", "A3", "A2", "A1", "A0",
    "ANSI A", "ANSI B", "ANSI C", "ANSI D", "ANSI E",
    "ARCH A", "ARCH B", "ARCH C", "ARCH D", "ARCH E",
)  # fmt: skip


class Revision(Section):
    """One row of the revision table."""

    mark: Text = Field(description="the revision's mark, e.g. A", examples=["A"])
    date: Date = Field(description="the date of issue, year-month-day", examples=["2026-03-02"])
    by: Text | None = Field(None, description="who made it")
    note: Text | None = Field(None, description="what changed")


class Job(Section):
    """The job and the car, as they stand in every title block."""

    project: Text = Field(description="the project's name", examples=["Larkspur Court"])
    car: Text = Field(description="the car's name", examples=["Car 2"])
    number: Text | None = Field(None, description="the drawing or job number")
    client: Text | None = Field(None, description="who it is for")
    address: Text | None = Field(None, description="where the car is")
    drawn_by: Text | None = Field(None, description="who drew it")
    checked_by: Text | None = Field(None, description="who checked it")
    approved_by: Text | None = Field(None, description="who approved it for issue")
    owner: Text | None = Field(None, description="who owns the drawings: the office that issues them")
    date: Date | None = Field(None, description="the date of issue, year-month-day")
    revision: Text | None = Field(None, description="the revision's mark")
    revisions: Annotated[tuple[Revision, ...], MANY] = Field((), description="the revision table, oldest first")


class SheetChoice(Section):
    """The paper that drawings go on."""

    size: Annotated[str, choice(*SHEET_SIZES)] = Field("A3", description="paper size")
    scale: ScaleText = Field("auto", description="auto, or a scale such as 1:10")
    dual: YesNo = Field(False, description="whether dimensions are printed in the other units beside these")


@looks("1", anyOf=[{"enum": [1]}, {"type": "string", "pattern": r"^\s*1\s*$"}])
def _version(value: Any) -> str:
    text = scalar(value, "the version of this format", "1").strip()
    if text == "1":
        return text
    if text.isascii() and text.isdecimal():
        raise wrong(f"{shown(text)} is a version of the format that this cabdraw does not know", "it reads version 1")
    raise wrong(f"{shown(text)} is not a version of the format", "this cabdraw reads version 1")


class Spec(Section):
    """One car: the cab as measured, and the layout wanted."""

    cabdraw: Annotated[Literal["1"], PlainValidator(_version)] = Field(
        description="version of this format", examples=["1"]
    )
    units: Units = Field(description="what a number without a unit is in: inch or mm", examples=["inch", "mm"])
    increment: Annotated[Length, sized("an increment", "0.05", "25.4")] | None = Field(
        None, description="what the shop cuts to; 1/32 in or 0.5 mm if left out"
    )
    job: Job = Field(description="the job and the car")
    survey: Survey = Field(description="the bare shell, as measured")
    layout: Layout = Field(description="the panelling wanted")
    handrail: Handrail | None = Field(None, description="the handrail")
    finishes: Finishes | None = Field(None, description="what each band and tier is faced with, and how it looks")
    fixings: FixingsOfCar | None = Field(None, description="spacings of screws and studs, sealant, tape, spares")
    tolerances: Tolerances | None = Field(None, description="how far things may be off")
    labels: LabelsOfCar | None = Field(None, description="the label stock that parts' labels are printed on")
    install: Install = Field(
        Install(tile=None, level_line=None), description="what the installer's papers are printed on"
    )
    stock: StockOnHand | None = Field(None, description="the sheets and bars that parts are cut from")
    profiles: Profiles | None = Field(None, description="how the sheet-metal parts are bent")
    materials: MaterialsOfCar = Field(MATERIALS, description="what parts are made of, and what that weighs")
    shop: ShopPractice = Field(SHOP, description="what the shop allows for")
    rules: Annotated[tuple[RuleSet, ...], MANY] = Field(
        (), description="published rules to hold the car against", json_schema_extra={"uniqueItems": True}
    )
    sheet: SheetChoice = Field(SheetChoice(size="A3", scale="auto", dual=False), description="paper and scale")

    @property
    def step(self) -> Length:
        """The increment, its default by units where it is left out."""
        if self.increment is not None:
            return self.increment
        return inches(1, 32) if self.units == "inch" else Length(Fraction(1, 2))

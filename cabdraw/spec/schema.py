"""The spec format, one class a section: every key, its kind, its default and what it means.

Sections hold what was typed, checked one section at a time; `cabdraw.spec.consistency` checks what
lies between sections, and nothing here works out a size.
"""

from __future__ import annotations

from typing import Any

from cabdraw.rational import Fraction
from cabdraw.spec.fields import Date, ScaleText, Text, Units, YesNo, choice, scalar, shown, sized
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
from cabdraw.spec.section import WALLS, ListOf, Section, SectionOf, Single, WallName, Wrong, inches, key
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
    raise Wrong(f"{shown(text)} is not known here", f"write one of {known}, or the name of a file, e.g. our-rules.yaml")


RuleSet = Single(_rule_set)
SHEET_SIZES = (
    "A4", "A3", "A2", "A1", "A0",
    "ANSI A", "ANSI B", "ANSI C", "ANSI D", "ANSI E",
    "ARCH A", "ARCH B", "ARCH C", "ARCH D", "ARCH E",
)  # fmt: skip


class Revision(Section):
    """One row of the revision table."""

    mark = key(Text, description="the revision's mark, e.g. A", examples=["A"])
    date = key(Date, description="the date of issue, year-month-day", examples=["2026-03-02"])
    by = key(Text, None, description="who made it")
    note = key(Text, None, description="what changed")


class Job(Section):
    """The job and the car, as they stand in every title block."""

    project = key(Text, description="the project's name", examples=["Larkspur Court"])
    car = key(Text, description="the car's name", examples=["Car 2"])
    number = key(Text, None, description="the drawing or job number")
    client = key(Text, None, description="who it is for")
    address = key(Text, None, description="where the car is")
    drawn_by = key(Text, None, description="who drew it")
    checked_by = key(Text, None, description="who checked it")
    approved_by = key(Text, None, description="who approved it for issue")
    owner = key(Text, None, description="who owns the drawings: the office that issues them")
    date = key(Date, None, description="the date of issue, year-month-day")
    revision = key(Text, None, description="the revision's mark")
    revisions = key(ListOf(SectionOf(Revision)), (), description="the revision table, oldest first")


class SheetChoice(Section):
    """The paper that drawings go on."""

    size = key(choice(*SHEET_SIZES), "A3", description="paper size")
    scale = key(ScaleText, "auto", description="auto, or a scale such as 1:10")
    dual = key(YesNo, False, description="whether dimensions are printed in the other units beside these")


@looks("1", anyOf=[{"enum": [1]}, {"type": "string", "pattern": r"^\s*1\s*$"}])
def _version(value: Any) -> str:
    text = scalar(value, "the version of this format", "1").strip()
    if text == "1":
        return text
    if text.isascii() and text.isdecimal():
        raise Wrong(f"{shown(text)} is a version of the format that this cabdraw does not know", "it reads version 1")
    raise Wrong(f"{shown(text)} is not a version of the format", "this cabdraw reads version 1")


class Spec(Section):
    """One car: the cab as measured, and the layout wanted."""

    cabdraw = key(Single(_version), description="version of this format", examples=["1"])
    units = key(Units, description="what a number without a unit is in: inch or mm", examples=["inch", "mm"])
    increment = key(
        sized("an increment", "0.05", "25.4"), None, description="what the shop cuts to; 1/32 in or 0.5 mm if left out"
    )
    job = key(SectionOf(Job), description="the job and the car")
    survey = key(SectionOf(Survey), description="the bare shell, as measured")
    layout = key(SectionOf(Layout), description="the panelling wanted")
    handrail = key(SectionOf(Handrail), None, description="the handrail")
    finishes = key(SectionOf(Finishes), None, description="what each band and tier is faced with, and how it looks")
    fixings = key(SectionOf(FixingsOfCar), None, description="spacings of screws and studs, sealant, tape, spares")
    tolerances = key(SectionOf(Tolerances), None, description="how far things may be off")
    labels = key(SectionOf(LabelsOfCar), None, description="the label stock that parts' labels are printed on")
    install = key(SectionOf(Install), Install(), description="what the installer's papers are printed on")
    stock = key(SectionOf(StockOnHand), None, description="the sheets and bars that parts are cut from")
    profiles = key(SectionOf(Profiles), None, description="how the sheet-metal parts are bent")
    materials = key(SectionOf(MaterialsOfCar), MATERIALS, description="what parts are made of, and what that weighs")
    shop = key(SectionOf(ShopPractice), SHOP, description="what the shop allows for")
    rules = key(ListOf(RuleSet), (), description="published rules to hold the car against", once=True)
    sheet = key(SectionOf(SheetChoice), SheetChoice(), description="paper and scale")

    @property
    def step(self) -> Length:
        """The increment, its default by units where it is left out."""
        if self.increment is not None:
            return self.increment
        return inches(1, 32) if self.units == "inch" else Length(Fraction(1, 2))

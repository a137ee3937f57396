"""The format's stock: the sheets and bars that the shop has, and what the saw takes."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, PlainValidator

from cabdraw.spec.fields import Text, choice, scalar, shown, sized, wrong
from cabdraw.spec.looks import any_case, looks
from cabdraw.spec.section import Section, inches
from cabdraw.units import ZERO, Length

#: The kinds of part that are cut from bars, strips or tubes of a stock length.
BAR_KINDS = ("spline", "reveal", "base", "frieze", "corner_trim", "handrail")
#: More of one kind than a shop keeps; more is a typing error.
MOST_IN_STOCK = 9999


@looks(
    f"a whole number from 1 to {MOST_IN_STOCK}",
    type=["integer", "string"],
    minimum=1,
    maximum=MOST_IN_STOCK,
    pattern=r"^\s*0{0,5}[1-9][0-9]{0,3}\s*$",
    typed=int,
)
def _count(value: Any) -> int:
    text = scalar(value, "how many there are", "10").strip()
    if not (text.isascii() and text.isdecimal() and len(text) <= 6 and 1 <= int(text) <= MOST_IN_STOCK):
        raise wrong(f"{shown(text)} is not a number of pieces from 1 to {MOST_IN_STOCK}", "write e.g. 10")
    return int(text)


@looks(
    "one of " + ", ".join(BAR_KINDS),
    anyOf=[
        {"enum": list(BAR_KINDS)},
        {"type": "string", "pattern": rf"^\s*(?:{any_case(*BAR_KINDS).replace('_', '[-_ ]')})\s*$"},
    ],
)
def _bar_kind(value: Any) -> str:
    text = scalar(value, "a kind of part", "reveal").strip().lower().replace("-", "_").replace(" ", "_")
    if text == "front_trim":
        raise wrong("front trims have a stock length of their own", "write it as layout.front_trim.stock")
    if text not in BAR_KINDS:
        raise wrong(f"{shown(value)} is not a kind of part cut from bars", "write one of " + ", ".join(BAR_KINDS))
    return text


Count = Annotated[int, PlainValidator(_count)]
SheetSide = Annotated[Length, sized("a sheet's side", "100", "10000")]


class SheetOfStock(Section):
    """One kind of sheet."""

    material: Text = Field(description="what it is, as panels' layers name it", examples=["particleboard"])
    thickness: Annotated[Length, sized("a sheet's thickness", "0.1", "100")] | None = Field(
        None, description="its thickness; left out: it serves every thickness of its material"
    )
    width: SheetSide = Field(description="its width, trim included", examples=["49", "1250"])
    height: SheetSide = Field(description="its height, trim included", examples=["97", "2500"])
    count: Count | None = Field(None, description="how many there are; left out: as many as it takes")
    grain: Annotated[Literal["vertical", "horizontal", "none"], choice("vertical", "horizontal", "none")] = Field(
        "none",
        description="which way its grain runs: vertical is along its height; none for a core that is faced later",
    )


class BarOfStock(Section):
    """One kind of bar, strip or tube."""

    kind: Annotated[str, PlainValidator(_bar_kind)] = Field(
        description="the parts that are cut from it: " + ", ".join(BAR_KINDS), examples=["reveal"]
    )
    length: Annotated[Length, sized("a stock length", "300", "20000")] = Field(
        description="its length", examples=["120", "3000"]
    )
    count: Count | None = Field(None, description="how many there are; left out: as many as it takes")


class StockOnHand(Section):
    """The sheets and bars that parts are cut from."""

    sheets: tuple[SheetOfStock, ...] = Field((), description="sheets that board parts are nested on")
    bars: tuple[BarOfStock, ...] = Field((), description="bars, strips and tubes that lengths are cut from")
    kerf: Annotated[Length, sized("a saw cut", "0", "15")] = Field(inches(1, 8), description="what a saw cut takes")
    edge_trim: Annotated[Length, sized("a trim", "0", "100")] = Field(
        ZERO, description="what is cut off each edge of a sheet first"
    )

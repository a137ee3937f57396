"""The format's stock: the sheets and bars that the shop has, and what the saw takes."""

from __future__ import annotations

from typing import Any

from cabdraw.spec.fields import Text, scalar, shown, sized
from cabdraw.spec.layout import Grain
from cabdraw.spec.looks import any_case, looks
from cabdraw.spec.section import ListOf, Section, SectionOf, Single, Wrong, inches, key
from cabdraw.units import ZERO

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
        raise Wrong(f"{shown(text)} is not a number of pieces from 1 to {MOST_IN_STOCK}", "write e.g. 10")
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
        raise Wrong("front trims have a stock length of their own", "write it as layout.front_trim.stock")
    if text not in BAR_KINDS:
        raise Wrong(f"{shown(value)} is not a kind of part cut from bars", "write one of " + ", ".join(BAR_KINDS))
    return text


Count = Single(_count)
SheetSide = sized("a sheet's side", "100", "10000")


class SheetOfStock(Section):
    """One kind of sheet."""

    material = key(Text, description="what it is, as panels' layers name it", examples=["particleboard"])
    thickness = key(
        sized("a sheet's thickness", "0.1", "100"),
        None,
        description="its thickness; left out: it serves every thickness of its material",
    )
    width = key(SheetSide, description="its width, trim included", examples=["49", "1250"])
    height = key(SheetSide, description="its height, trim included", examples=["97", "2500"])
    count = key(Count, None, description="how many there are; left out: as many as it takes")
    grain = key(
        Grain,
        "none",
        description="which way its grain runs: vertical is along its height; none for a core that is faced later",
    )


class BarOfStock(Section):
    """One kind of bar, strip or tube."""

    kind = key(
        Single(_bar_kind), description="the parts that are cut from it: " + ", ".join(BAR_KINDS), examples=["reveal"]
    )
    length = key(sized("a stock length", "300", "20000"), description="its length", examples=["120", "3000"])
    count = key(Count, None, description="how many there are; left out: as many as it takes")


class StockOnHand(Section):
    """The sheets and bars that parts are cut from."""

    sheets = key(ListOf(SectionOf(SheetOfStock), most=None), (), description="sheets that board parts are nested on")
    bars = key(
        ListOf(SectionOf(BarOfStock), most=None), (), description="bars, strips and tubes that lengths are cut from"
    )
    kerf = key(sized("a saw cut", "0", "15"), inches(1, 8), description="what a saw cut takes")
    edge_trim = key(sized("a trim", "0", "100"), ZERO, description="what is cut off each edge of a sheet first")

"""The format's fixings, tolerances and labels: what the installer works with."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, Literal

from cabdraw.errors import Path, Problem
from cabdraw.install.practice import SealedAt, TapedAt
from cabdraw.rational import Fraction
from cabdraw.spec.fields import Choice, Percent, choice, scalar, shown, sized
from cabdraw.spec.known import Known
from cabdraw.spec.looks import any_case, looks, plain
from cabdraw.spec.section import ListOf, Section, SectionOf, Single, Wrong, inches, key
from cabdraw.units import INCH, ZERO, Length, Printing, mm

if TYPE_CHECKING:
    from cabdraw.spec.schema import Spec

Spacing = sized("a spacing", "10", "5000")
Sealed: Choice[SealedAt] = choice("returns", "corners", "ceiling")
Taped: Choice[TapedAt] = choice("trims", "reveals")
Paper: Choice[Literal["Letter", "A4"]] = choice("Letter", "A4")

#: Millilitres in one US fluid ounce, exact by definition (231 cubic inches to 128 of them).
FLUID_OUNCE = Fraction(231, 128) * INCH**3 / 1000
_VOLUME = re.compile(r"(?P<number>[0-9]{1,4}(?:\.[0-9]{1,3})?)\s*(?P<unit>ml|fl\.?\s?oz\.?|oz\.?)", re.IGNORECASE)
_LEAST_VOLUME, _MOST_VOLUME = 20, 2000


@looks(
    "a volume with its unit, ml or fl oz",
    type="string",
    pattern=rf"^\s*[0-9]{{1,4}}(?:\.[0-9]{{1,3}})?\s*(?:{any_case('ml')}|(?:[fF][lL]\.?\s?)?[oO][zZ]\.?)\s*$",
    typed=lambda volume: f"{plain(volume)} ml",
)
def _volume(value: Any) -> Fraction:
    text = scalar(value, "a volume", "300 ml, 10.1 fl oz")
    match = _VOLUME.fullmatch(text.strip())
    if match is None:
        raise Wrong(f"{shown(text)} is not a volume with its unit", "write e.g. 300 ml, 10.1 fl oz")
    found = Fraction(match["number"]) * (1 if match["unit"].lower() == "ml" else FLUID_OUNCE)
    if not _LEAST_VOLUME <= found <= _MOST_VOLUME:
        raise Wrong(f"{shown(text)} is {float(found):.0f} ml, and no cartridge is", "is the unit right?")
    return found


@looks("a whole number from 0 to 99", type=["integer", "string"], minimum=0, maximum=99,
       pattern=r"^\s*[0-9]{1,2}\s*$", typed=int)  # fmt: skip
def _few(value: Any) -> int:
    text = scalar(value, "how many", "2").strip()
    if not (text.isascii() and text.isdecimal() and 1 <= len(text) <= 2):
        raise Wrong(f"{shown(text)} is not a number from 0 to 99", "write e.g. 2")
    return int(text)


@looks("a whole number from 1 to 99", type=["integer", "string"], minimum=1, maximum=99,
       pattern=r"^\s*(?:[1-9][0-9]?|0[1-9])\s*$", typed=int)  # fmt: skip
def _some(value: Any) -> int:
    text = scalar(value, "how many", "2").strip()
    if not (text.isascii() and text.isdecimal() and len(text) <= 2 and int(text) >= 1):
        raise Wrong(f"{shown(text)} is not a number from 1 to 99", "write e.g. 2")
    return int(text)


Few = Single(_few)
Some = Single(_some)


class SealantOfCar(Section):
    """The sealant: its bead and its cartridges."""

    bead = key(sized("a bead's diameter", "1", "30"), description="diameter of the bead", examples=["1/4", "6"])
    cartridge = key(
        Single(_volume),
        Fraction(300),
        description="what a cartridge holds; 300 ml (10.1 fl oz) if left out",
        examples=["300 ml"],
    )
    along = key(
        ListOf(Sealed, most=9, least=1),
        ("returns",),
        description="where it runs; never the floor, where the vents are",
        examples=[["returns"]],
    )


class FixingsOfCar(Section):
    """Greatest spacings of screws, studs and packers, what else holds and seals, and spares."""

    base_screws = key(Spacing, None, description="greatest spacing of the screws that hold the base")
    spline_screws = key(Spacing, None, description="greatest spacing of the screws that hold a spline")
    pad_studs = key(Spacing, None, description="greatest spacing of the pad studs")
    pad_stud_end = key(sized("this", "0", "3000"), None, description="greatest distance of the end studs from the ends")
    spares = key(Percent, Fraction(0), description="spare hardware")
    screw_reach = key(
        sized("this", "1", "100"),
        inches(1, 2),
        description="how far a screw may come out behind the shell; 1/2 in if left out",
    )
    packers = key(Spacing, None, description="greatest spacing of the packers that keep the air gap")
    shims = key(Few, 0, description="how many shims go with each packer")
    tape = key(
        ListOf(Taped), (), description="what is held with double-sided tape: trims, reveals", examples=[["trims"]]
    )
    sealant = key(SectionOf(SealantOfCar), None, description="the sealant")


class Tolerances(Section):
    """How far things may be off."""

    block = key(
        sized("a tolerance", "0.05", "10"),
        None,
        description="how far a spacer block may be off the gap that it sets",
        examples=["1/32", "0.5"],
    )
    cutting = key(
        sized("a tolerance", "0", "10"),
        None,
        description="how far a part's cut size may be off, either way",
        examples=["1/32", "0.5"],
    )
    survey = key(
        sized("a tolerance", "0", "25"),
        None,
        description="how far a survey's governing size may be off, either way",
        examples=["1/16", "1"],
    )
    setting = key(
        sized("a tolerance", "0", "10"),
        None,
        description="how far a gap that a block sets may be off, either way",
        examples=["1/64", "0.3"],
    )
    gap = key(sized("a tolerance", "0.05", "25"),
        None, description="how far the last gap of a row or a stack may be off and still look right",
        examples=["1/8", "3"],
    )  # fmt: skip


LabelSide = sized("a label's side", "20", "300")
LabelGap = sized("this", "0", "200")


class LabelsOfCar(Section):
    """The label stock; what is left out of a stock's margins puts the labels in the middle of the paper."""

    paper = key(Paper, None, description="the paper; Letter or A4 by the spec's units if left out")
    columns = key(Some, description="how many labels side by side", examples=["2"])
    rows = key(Some, description="how many labels one under another", examples=["4"])
    width = key(LabelSide, description="a label's width", examples=["4", "96"])
    height = key(LabelSide, description="a label's height", examples=["2", "68"])
    left = key(LabelGap, None, description="left edge of the paper to the first label", examples=["5"])
    top = key(LabelGap, None, description="top edge of the paper to the first label", examples=["10"])
    gap_x = key(LabelGap, ZERO, description="between labels side by side")
    gap_y = key(LabelGap, ZERO, description="between labels one under another")


#: Papers for labels, upright, in mm.
PAPERS: dict[str, tuple[Length, Length]] = {
    "Letter": (Length(INCH * Fraction(17, 2)), Length(INCH * 11)),
    "A4": (mm(210), mm(297)),
}


def paper_of(spec: Spec) -> Literal["Letter", "A4"]:
    """The labels' paper: as stated, or by the spec's units."""
    if spec.labels is not None and spec.labels.paper is not None:
        return spec.labels.paper
    return "Letter" if spec.units == "inch" else "A4"


def site_problems(spec: Spec, known: Known) -> Iterator[Problem]:
    """Labels that run off their paper; a block's tolerance finer than what blocks are cut to."""
    path: Path = ("tolerances", "block")
    block = spec.tolerances.block if spec.tolerances is not None else None
    if block is not None and 2 * block < spec.step and known.there(path) and known.there(("increment",)):
        size = Printing.of(spec.units, spec.step)
        what = f"blocks are cut to {size.size(spec.step)}, so not all can be within {size.decimal(block)} of their gap"
        yield Problem(path, what, f"make it at least half the increment, {size.decimal(spec.step / 2)}")
    labels = spec.labels
    if labels is None or not known.whole(("labels",)) or not known.there(("units",)):
        return
    paper = paper_of(spec)
    printing = Printing.of(spec.units, spec.step)
    across = (labels.columns, labels.width, labels.gap_x, labels.left, "columns", "width")
    down = (labels.rows, labels.height, labels.gap_y, labels.top, "rows", "height")
    for (count, side, gap, start, many, each), whole in zip((across, down), PAPERS[paper], strict=True):
        needed = side * count + gap * (count - 1) + (start or ZERO)
        if needed > whole:
            what = f"{count} {many} take {printing.size(needed)}, and {paper} is {printing.size(whole)}"
            yield Problem(("labels", many), what, f"make {many} or {each} less")

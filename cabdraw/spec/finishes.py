"""The format's finishes: what each band and tier is faced with, and how it looks."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from cabdraw.errors import Path, Problem
from cabdraw.spec.fields import Text, choice, scalar, shown
from cabdraw.spec.known import Known
from cabdraw.spec.looks import any_case, looks
from cabdraw.spec.section import WALLS, Section, SectionOf, Single, WallName, Wrong, key
from cabdraw.units import quoted

if TYPE_CHECKING:
    from cabdraw.spec.schema import Spec

#: Colours that may be named in words, as RGB. Our own choice: near enough to tell finishes apart on a screen,
#: no colour system's and no maker's.
COLOURS: dict[str, tuple[int, int, int]] = {
    "white": (244, 243, 239),
    "ivory": (238, 230, 211),
    "cream": (232, 220, 194),
    "sand": (214, 198, 168),
    "light grey": (208, 210, 211),
    "grey": (160, 163, 165),
    "dark grey": (97, 101, 105),
    "charcoal": (58, 60, 63),
    "black": (33, 33, 35),
    "brown": (104, 74, 52),
    "red": (150, 52, 45),
    "green": (77, 106, 84),
    "blue": (58, 86, 120),
    "oak": (196, 158, 110),
    "maple": (222, 192, 150),
    "ash": (212, 192, 162),
    "cherry": (158, 94, 62),
    "walnut": (112, 80, 58),
    "steel": (188, 192, 195),
    "aluminium": (204, 207, 209),
    "bronze": (122, 98, 74),
    "brass": (190, 160, 96),
    "copper": (180, 112, 78),
}
TEXTURES = ("plain", "wood", "brushed", "stone", "mirror")
_HEX = re.compile(r"#?([0-9a-f]{6}|[0-9a-f]{3})", re.IGNORECASE)


def read_colour(text: str) -> tuple[int, int, int] | None:
    """A colour as people write it, `#7a5538`, `#fff` or a word of the table, as RGB from 0 to 255; else None."""
    tidy = " ".join(text.strip().lower().split()).replace("gray", "grey")
    if tidy in COLOURS:
        return COLOURS[tidy]
    if match := _HEX.fullmatch(tidy):
        digits = match[1] if len(match[1]) == 6 else "".join(digit * 2 for digit in match[1])
        return int(digits[0:2], 16), int(digits[2:4], 16), int(digits[4:6], 16)
    return None


@looks(
    'a word such as walnut, or six hex digits in quotes, "#7a5538"',
    anyOf=[
        {"enum": list(COLOURS)},
        {
            "type": "string",
            "pattern": rf"^\s*(?:{any_case(*COLOURS).replace('[gG][rR][eE][yY]', '[gG][rR][eEaA][yY]')})\s*$",
        },
        {"type": "string", "pattern": r"^\s*#?(?:[0-9a-fA-F]{6}|[0-9a-fA-F]{3})\s*$"},
        {"type": "number", "minimum": 0},
    ],
)
def _colour(value: Any) -> str:
    text = scalar(value, "a colour", 'walnut, or "#7a5538" in quotes').strip()
    if read_colour(text) is None:
        words = ", ".join(COLOURS)
        raise Wrong(f"{shown(text)} is not a colour", f'write e.g. "#7a5538" in quotes, or one of {words}')
    return " ".join(text.split())


@looks("at most 8 letters and digits", type=["string", "number", "boolean"], pattern=r"^\s*[^\s_]\S{0,7}\s*$")
def _code(value: Any) -> str:
    text = scalar(value, "a finish's code", "F1").strip()
    if not re.fullmatch(r"[^\W_][\w./-]{0,7}", text) or not text.isprintable():
        raise Wrong(f"{shown(text)} is not a code", "write at most 8 letters and digits, e.g. F1, PL-2")
    return text


class FinishItem(Section):
    """One finish: what it is, and how it looks."""

    name = key(Text, description="what it is called, as the customer knows it", examples=["Walnut, satin"])
    colour = key(
        Single(_colour), description='its colour: a word, or six hex digits in quotes, "#7a5538"', examples=["walnut"]
    )
    texture = key(choice(*TEXTURES), "plain", description="how it looks: " + ", ".join(TEXTURES))
    material = key(Text, None, description="what it is made of, e.g. high-pressure laminate, vertical grade")
    code = key(Single(_code), None, description="its mark on the drawings; F1, F2 and so on in order if left out")
    fire = key(Text, None, description="the fire-test evidence: report or certificate, by reference")


class BandFinishes(Section):
    """A finish for each kind of band and part; an alias (`*name`) stands for one that was given before."""

    lower = key(SectionOf(FinishItem), None, description="panels of the lower tier")
    middle = key(SectionOf(FinishItem), None, description="panels of the middle tier")
    upper = key(SectionOf(FinishItem), None, description="panels of the upper tier")
    full = key(SectionOf(FinishItem), None, description="panels of the one tier")
    backer = key(SectionOf(FinishItem), None, description="the band behind the handrail")
    bumper = key(SectionOf(FinishItem), None, description="bands for carts to run against")
    crown = key(SectionOf(FinishItem), None, description="the band over the top tier")
    base = key(SectionOf(FinishItem), None, description="the base")
    frieze = key(SectionOf(FinishItem), None, description="the frieze")
    reveal = key(SectionOf(FinishItem), None, description="reveal strips")
    trim = key(SectionOf(FinishItem), None, description="front and corner trims")
    rail = key(SectionOf(FinishItem), None, description="the handrail")

    def given(self) -> Iterator[tuple[str, FinishItem]]:
        """The bands that have a finish, in the order of the format."""
        for band in BandFinishes.format_keys:
            item = getattr(self, band)
            if item is not None:
                yield band, item


class WallFinishes(Section):
    """What differs on one wall, a mirror say."""

    back = key(SectionOf(BandFinishes), None, description="what differs on the back wall")
    left = key(SectionOf(BandFinishes), None, description="what differs on the left wall")
    right = key(SectionOf(BandFinishes), None, description="what differs on the right wall")

    def named(self) -> Iterator[tuple[WallName, BandFinishes]]:
        """The walls that differ, in the order back, left, right."""
        for name in WALLS:
            finishes = getattr(self, name)
            if finishes is not None:
                yield name, finishes


class Finishes(BandFinishes):
    """What each band is faced with, on every wall, and what differs on one."""

    walls = key(SectionOf(WallFinishes), None, description="what differs on a wall")

    def everywhere(self) -> Iterator[tuple[Path, WallName | None, str, FinishItem]]:
        """Every finish that is given: its place below `finishes`, its wall (None for all), its band."""
        for band, item in self.given():
            yield (band,), None, band, item
        if self.walls is not None:
            for name, finishes in self.walls.named():
                for band, item in finishes.given():
                    yield ("walls", name, band), name, band, item


def finish_problems(spec: Spec, known: Known) -> Iterator[Problem]:
    """Finishes of what the car has not, and one code for two finishes."""
    if spec.finishes is None:
        return
    codes: dict[str, FinishItem] = {}
    for steps, wall, band, item in spec.finishes.everywhere():
        path: Path = ("finishes", *steps)
        if not known.whole(path):
            continue
        if (what := _lacking(spec, known, wall, band)) is not None:
            yield Problem(path, f"does nothing, as {what}", "take it out, or check which band it is meant for")
        if item.code is not None and codes.setdefault(item.code, item) != item:
            what = f"{quoted(item.code)} is already the code of another finish, {quoted(codes[item.code].name)}"
            hint = (
                "give each finish a code of its own; for the same finish again, use an alias: &name there, *name here"
            )
            yield Problem((*path, "code"), what, hint)


def _lacking(spec: Spec, known: Known, wall: WallName | None, band: str) -> str | None:
    """Why nothing has a finish, in words; None where something has, or where that is not known."""
    layout = spec.layout
    if not known.whole(("layout",)):
        return None
    panelled = dict(layout.walls.named())
    if wall is not None and wall not in panelled:
        return f"the {wall} wall has no panels"
    where = "this wall" if wall is not None else "this car"
    walls = [panelled[wall]] if wall is not None else list(panelled.values())
    if band == "rail":
        railed = spec.handrail is not None and (wall is None or wall in spec.handrail.walls)
        return None if railed or not known.whole(("handrail",)) else f"{where} has no handrail"
    if band == "trim":
        if wall is not None:
            return "a trim belongs to no one wall: its finish is the same everywhere"
        return None if layout.front_trim or layout.corner_trim else "there is no front_trim and no corner_trim"
    stacks = [one.stack or layout.stack for one in walls]
    kinds = {item.kind for stack in stacks for item in stack}
    if band == "reveal":
        joints = any(bool(layout.reveal if one.reveal is None else one.reveal) for one in walls)
        return None if joints or "reveal" in kinds else f"{where} has no reveals"
    return None if band in kinds else f"{where} has no {band} band"

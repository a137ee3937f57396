"""The format's profiles: how the sheet-metal parts are bent."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, Literal

from cabdraw.rational import Fraction
from cabdraw.spec.fields import Choice, Text, choice, scalar, shown, sized, sized_or
from cabdraw.spec.looks import looks, plain
from cabdraw.spec.section import ListOf, Section, SectionOf, Single, Wrong, key
from cabdraw.units import ZERO

Direction: Choice[Literal["up", "down"]] = choice("up", "down")
_NUMBER = re.compile(r"[0-9]{1,4}(?:\.[0-9]{1,6})?|\.[0-9]{1,6}")
Leg = sized_or("face", "a leg's outside length", "1", "3000")
Method: Choice[Literal["k-factor", "din-6935"]] = choice("k-factor", "din-6935")


@looks(
    "degrees from 1 to 170",
    type=["number", "string"],
    minimum=1,
    maximum=170,
    pattern=r"^\s*[0-9]{1,4}(?:\.[0-9]{1,6})?\s*(?:°|[dD][eE][gG](?:\.|[rR][eE][eE][sS])?)?\s*$",
    typed=plain,
)
def _angle(value: Any) -> Fraction:
    text = scalar(value, "an angle in degrees", "90")
    tidy = re.sub(r"\s*(?:°|deg\.?|degrees)$", "", text.strip().lower())
    if not _NUMBER.fullmatch(tidy) or not 1 <= Fraction(tidy) <= 170:
        raise Wrong(
            f"{shown(text)} is not an angle from 1 to 170 degrees",
            "write by how much the sheet is turned from flat, e.g. 90; an edge folded right over is a hem",
        )
    return Fraction(tidy)


@looks(
    "a number from 0.2 to 0.5",
    type=["number", "string"],
    minimum=0.2,
    maximum=0.5,
    pattern=r"^\s*0{0,4}\.[0-9]{1,6}\s*$",
    typed=plain,
)
def _k(value: Any) -> Fraction:
    text = scalar(value, "a K-factor", "0.45").strip()
    if not _NUMBER.fullmatch(text) or not Fraction(2, 10) <= Fraction(text) <= Fraction(1, 2):
        raise Wrong(f"{shown(text)} is not a K-factor from 0.2 to 0.5", "write e.g. 0.45")
    return Fraction(text)


@looks("its angle alone", of="angle")
def _bend(value: Any) -> Any:
    return value if isinstance(value, dict) else {"angle": value}


class BendOfProfile(Section):
    """One bend between two legs."""

    angle = key(Single(_angle), description="by how many degrees the sheet is turned from flat", examples=["90"])
    direction = key(Direction, "up", description="up is towards the room as the face is seen, down away from it")


class HemOfProfile(Section):
    """An edge folded right over, so that no cut edge shows."""

    length = key(sized("a hem's length", "1", "100"), description="its outside length", examples=["3/8", "10"])
    gap = key(sized("a hem's gap", "0", "25"), ZERO, description="what stays open inside it; 0 is a closed hem")
    direction = key(Direction, "down", description="up folds towards the room as the face is seen, down away from it")


class Hems(Section):
    """The hems of a profile."""

    first = key(SectionOf(HemOfProfile), None, description="the hem at the free edge of the first leg")
    last = key(SectionOf(HemOfProfile), None, description="the hem at the free edge of the last leg")


class ProfileOfPart(Section):
    """The section of one kind of sheet-metal part."""

    material = key(Text, None, description="what it is made of; left out: as its finish, or as materials.metal")
    thickness = key(
        sized("a sheet's thickness", "0.1", "12"),
        None,
        description="its thickness, a decimal and no gauge; left out: as layout.joint says, a trim has to give it",
    )
    radius = key(
        sized("an inside radius", "0", "50"),
        None,
        description="inside radius of its bends; left out: the thickness (common practice)",
    )
    method = key(Method, "k-factor", description="how the developed width is worked out")
    k = key(
        Single(_k),
        None,
        description="K-factor; 0.45 if left out, a starting value for stainless steel to confirm by a test bend",
    )
    legs = key(
        ListOf(Leg, most=12, least=1),
        description="outside lengths from the floor up, or from the left; one of them is face",
        examples=[["face", "3/4"], ["face", "20"]],
    )
    bends = key(
        ListOf(SectionOf(BendOfProfile, short=_bend), most=11),
        (),
        description="the bend between each leg and the next; left out: all legs lie in one plane",
    )
    hems = key(SectionOf(Hems), Hems(), description="hems at its free edges")

    def must_fit(self) -> None:
        """One leg that shows, a bend between each two, no K-factor that does nothing."""
        faces = sum(leg is None for leg in self.legs)
        if faces != 1:
            said = "none of its legs is" if not faces else f"{faces} of its legs are"
            raise Wrong(f"{said} face", "write face for the one leg that shows, e.g. legs: [face, 3/4]")
        if self.bends and len(self.bends) != len(self.legs) - 1:
            raise Wrong(
                f"has {len(self.legs)} legs and {len(self.bends)} bends",
                f"give {len(self.legs) - 1} bends, one between each leg and the next, or none for a flat strip",
            )
        if self.method == "din-6935" and self.k is not None:
            raise Wrong("k does nothing, as DIN 6935 works out its own factor", "take k out, or write method: k-factor")


#: The kinds of part that can have a profile, and where their thickness comes from if they give none.
DEFAULT_THICKNESS = {
    "base": "tab_thickness",
    "frieze": "tab_thickness",
    "vertical_reveal": "strip_thickness",
    "horizontal_reveal": "strip_thickness",
}


class Profiles(Section):
    """The sections of the sheet-metal parts; a part without one is flat, the size that the layout gives it."""

    base = key(SectionOf(ProfileOfPart), None, description="the base, legs from the floor up")
    frieze = key(SectionOf(ProfileOfPart), None, description="the frieze, legs from the floor up")
    front_trim = key(SectionOf(ProfileOfPart), None, description="the front trims, legs from the left")
    corner_trim = key(SectionOf(ProfileOfPart), None, description="the corner trims, legs from the left")
    vertical_reveal = key(SectionOf(ProfileOfPart), None, description="the vertical reveals, legs from the left")
    horizontal_reveal = key(
        SectionOf(ProfileOfPart), None, description="the horizontal reveals, legs from the floor up"
    )

    def must_fit(self) -> None:
        """A thickness for each part that has no other."""
        for name, profile in self.named():
            if profile.thickness is None and name not in DEFAULT_THICKNESS:
                raise Wrong(f"{name} has no thickness", f"write {name}: {{thickness: 0.0500, legs: ...}}")

    def named(self) -> Iterator[tuple[str, ProfileOfPart]]:
        """The profiles that are there, by their keys."""
        for name in type(self).format_keys:
            profile = getattr(self, name)
            if profile is not None:
                yield name, profile

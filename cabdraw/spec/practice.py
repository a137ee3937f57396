"""The format's materials and shop: what things are made of and weigh, and what the shop allows for."""

from __future__ import annotations

import re
from typing import Any

from cabdraw.rational import Fraction
from cabdraw.spec.fields import Text, scalar, shown, sized
from cabdraw.spec.looks import any_case, looks, plain
from cabdraw.spec.section import ListOf, Section, SectionOf, Single, Wrong, inches, key
from cabdraw.units import POUND

_FOOT = Fraction(3048, 10000)
#: Kilograms per cubic metre in one of each unit.
_UNITS = {
    "kg/m3": Fraction(1),
    "g/cm3": Fraction(1000),
    "lb/ft3": POUND / _FOOT**3,
    "lb/in3": POUND / (_FOOT / 12) ** 3,
}
_DENSITY = re.compile(r"(?P<number>[0-9]{1,6}(?:\.[0-9]{1,6})?|\.[0-9]{1,6})\s*(?P<unit>[a-z]+/[a-z]+3)")
#: No board or metal in a car is lighter or heavier, in kg/m3: balsa to tungsten, generously.
_LIGHTEST, _HEAVIEST = 10, 20000


@looks(
    "a density with its unit: lb/ft3, kg/m3 or g/cm3",
    type="string",
    pattern=r"^\s*(?:[0-9]{1,6}(?:\.[0-9]{1,6})?|\.[0-9]{1,6})\s*"
    rf"(?:{any_case('lb')}[sS]?|{any_case('kg', 'g')})/(?:{any_case('m', 'cm', 'ft', 'in')}|{any_case('cu ft')})"
    r"(?:\^?3|³)?\s*$",
)
def _density(value: Any) -> Fraction:
    text = scalar(value, "a density", "45 lb/ft3, 720 kg/m3")
    tidy = text.strip().lower().replace("³", "3").replace("^3", "3").replace("lbs", "lb").replace("cu ft", "ft3")
    match = _DENSITY.fullmatch(tidy)
    if match is None or match["unit"] not in _UNITS:
        raise Wrong(f"{shown(text)} is not a density with its unit", "write e.g. 45 lb/ft3, 720 kg/m3 or 7.93 g/cm3")
    found = Fraction(match["number"]) * _UNITS[match["unit"]]
    if not _LIGHTEST <= found <= _HEAVIEST:
        raise Wrong(f"{shown(text)} is {float(found):.0f} kg/m3, and nothing in a car is", "is the unit right?")
    return found


class DensityOf(Section):
    """The density of one material."""

    material = key(Text, description="the material, as layers or profiles name it", examples=["particleboard"])
    density = key(Single(_density), description="its density, with its unit", examples=["45 lb/ft3", "720 kg/m3"])


class MaterialsOfCar(Section):
    """What parts are made of where nothing else says so, and what materials weigh."""

    panel = key(Text, None, description="what a panel is made of that is given by its thickness alone")
    spline = key(Text, "aluminium", description="what splines are made of")
    metal = key(
        Text,
        "stainless steel",
        description="what base, frieze, reveals and trims are made of where neither profile nor finish says",
    )
    rail = key(
        Text, None, description="what the handrail and its standoffs are made of; left out: as its finish, or as metal"
    )
    rail_wall = key(
        sized("a tube's wall", "0.3", "75"),
        inches(65, 1000),
        description="wall of a round rail's tube; 0.065 in if left out, a common tube",
    )
    densities = key(
        ListOf(SectionOf(DensityOf)),
        (),
        description="densities in place of those that cabdraw knows, and of materials that it does not",
    )

    def must_fit(self) -> None:
        """One density a material."""
        names = [entry.material.casefold() for entry in self.densities]
        for name in names:
            if names.count(name) > 1:
                raise Wrong(f"the density of {shown(name)} is given twice", "take one of them out")


MATERIALS = MaterialsOfCar()


@looks(
    "a number from 1 to 20",
    type=["number", "string"],
    minimum=1,
    maximum=20,
    pattern=r"^\s*[0-9]{1,2}(?:\.[0-9]{1,3})?\s*$",
    typed=plain,
)
def _thicknesses(value: Any) -> Fraction:
    text = scalar(value, "a number of thicknesses", "4").strip()
    if not re.fullmatch(r"[0-9]{1,2}(?:\.[0-9]{1,3})?", text) or not 1 <= Fraction(text) <= 20:
        raise Wrong(f"{shown(text)} is not a number of thicknesses from 1 to 20", "write e.g. 4")
    return Fraction(text)


class ShopPractice(Section):
    """What the shop allows for."""

    oversize = key(
        sized("an oversize", "0", "50"),
        inches(1, 4),
        description="what a board's blank is larger than its core on each side; 1/4 in if left out",
    )
    corner_radius = key(
        sized("a corner's radius", "0", "50"),
        inches(1, 8),
        description="radius that the cutter leaves in the inside corners of openings; 1/8 in if left out",
    )
    flange = key(
        Single(_thicknesses),
        Fraction(4),
        description="least flange that the press brake can form, in thicknesses, plus the inside radius",
    )


SHOP = ShopPractice()

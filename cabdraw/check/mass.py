"""What the new parts weigh against what may be added to the car, and whether enough is known to say."""

from __future__ import annotations

from collections.abc import Iterator

from cabdraw.cab import Cab
from cabdraw.check.codes import code
from cabdraw.errors import Finding, Path
from cabdraw.shop.mass import ALLOWED, Masses, masses
from cabdraw.shop.parts import PROFILE_OF, ShopPart, shop_parts
from cabdraw.units import ZERO, Mass, decimal_text

ALLOWANCE = code(
    "mass-allowance",
    "error",
    "nothing",
    "the car's mass changes by more than 5 % of rated load plus car mass: the licensed mechanic has to evaluate",
)
DATA = code("mass-data", "warning", "nothing", "rated load, car mass or what is removed is not given")
MATERIAL = code("mass-material", "warning", "nothing", "the density of a material is not known")
SHEET = code("mass-thickness", "warning", "nothing", "a metal part's thickness is not given, so neither is its mass")


def mass(cab: Cab) -> Iterator[Finding]:
    """Findings about masses; about what is left out only where the survey says anything of the car's mass."""
    parts = shop_parts(cab)
    weighing = any((cab.mass.rated_load, cab.mass.mass, cab.mass.removed))
    yield from _unknown(cab, parts)
    if weighing:
        yield from _left_out(cab, parts)
        yield from _balance(cab, masses(cab, parts))


def said(cab: Cab, mass: Mass) -> str:
    """A mass as printed: pounds in an inch spec, kilograms in a metric one, with the other in brackets."""
    pounds, kilograms = f"{decimal_text(mass.lb, 1)} lb", f"{decimal_text(mass.kg, 1)} kg"
    first, second = (pounds, kilograms) if cab.printing.system == "inch" else (kilograms, pounds)
    return f"{first} [{second}]"


def _unknown(cab: Cab, parts: tuple[ShopPart, ...]) -> Iterator[Finding]:
    for material in sorted({name for part in parts for name in part.unknown} - {"", "thickness"}):
        found = [part for part in parts if material in part.unknown]
        marks = tuple(part.mark for part in found)
        path: Path = ("layout", "panel") if found[0].made == "board" else ("materials",)
        if found[0].developed is not None and found[0].developed.profile.material is not None:
            path = ("profiles", PROFILE_OF[found[0].kind])
        elif any(material == finish.material for finish, _ in cab.every_finish):
            path = ("finishes",)
        yield MATERIAL.at(
            f"the density of {material} is not known, so neither is the mass of {_some(marks)}",
            path,
            f"give it under materials.densities: {{material: {material}, density: ...}}",
            None,
            marks,
        )


def _left_out(cab: Cab, parts: tuple[ShopPart, ...]) -> Iterator[Finding]:
    unnamed = tuple(part.mark for part in parts if "" in part.unknown)
    if unnamed:
        yield MATERIAL.at(
            f"it is not said what {_some(unnamed)} are made of, so their mass is not known",
            ("layout", "panel"),
            "give the panel's layers with their materials, or materials.panel",
            None,
            unnamed,
        )
    for kind, key in (("front-trim", "front_trim"), ("corner-trim", "corner_trim")):
        thin = tuple(part.mark for part in parts if part.kind == kind and "thickness" in part.unknown)
        if thin:
            yield SHEET.at(
                f"the thickness of {_some(thin)} is not given, so their mass is not known",
                ("layout", key),
                f"give it in profiles.{key}",
                None,
                thin,
            )


def _some(marks: tuple[str, ...]) -> str:
    return ", ".join(marks) if len(marks) <= 3 else f"{marks[0]}, {marks[1]} and {len(marks) - 2} parts more"


def _balance(cab: Cab, found: Masses) -> Iterator[Finding]:
    path: Path = ("survey", "car")
    missing = [
        name
        for name, given in (
            ("rated_load", cab.mass.rated_load),
            ("mass", cab.mass.mass),
            ("removed", cab.mass.removed),
        )
        if given is None
    ]
    if found.allowance is None or found.removed is None:
        yield DATA.at(
            f"survey.car does not give {' or '.join(', '.join(missing).rsplit(', ', 1))}, so the"
            f" {'' if found.complete else 'at least '}{said(cab, found.added)} of new parts cannot be held against"
            " what may be added",
            path,
            "read rated load and car mass off the plate, weigh what is taken out, and give them",
        )
        return
    assert found.net is not None
    change = abs(found.net.kg)
    if change > found.allowance.kg:
        more = "more" if found.net.kg > ZERO.mm else "less"
        yield ALLOWANCE.at(
            f"the car becomes {said(cab, Mass(change))} {more} ({said(cab, found.added)} added,"
            f" {said(cab, found.removed)} removed); {int(ALLOWED * 100)} % of rated load plus car mass allow"
            f" {said(cab, found.allowance)}",
            path,
            "use lighter panels, or have the licensed mechanic evaluate brake, safeties, buffers and counterweight",
        )

"""What materials weigh: a table of densities, each with its source and how far it is known."""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.frozen import Frozen
from cabdraw.rational import Fraction
from cabdraw.units import POUND

_CUBIC_FOOT = Fraction(3048, 10000) ** 3


class Density(Frozen):
    """A material's density in kg/m3; `known` says how far it is: read, read in a secondary source, from memory."""

    material: str
    density: Fraction
    source: str
    known: str
    also: tuple[str, ...] = ()


def _pounds(number: str) -> Fraction:
    return Fraction(number) * POUND / _CUBIC_FOOT


READ, SECONDARY, MEMORY = "read", "read in a secondary source", "from memory"

DENSITIES: tuple[Density, ...] = (
    Density("particleboard", _pounds("45"), "middle of grade M, 40 to 50 lb/ft3, in the Architectural Woodwork"
            " Institute's page on cores", READ, ("chipboard",)),
    Density("mdf", _pounds("48.5"), "a 3/4 in sheet of 4 x 8 ft at 97 lb, householdfaq.com; 680 to 830 kg/m3 elsewhere",
            SECONDARY, ("medium density fibreboard", "medium density fiberboard")),
    Density("plywood", _pounds("36"), "table of material weights in a US residential guide", SECONDARY, ("ply",)),
    Density("hardboard", Fraction(1000), "common value", MEMORY),
    Density("laminate", Fraction(1400), "high-pressure laminate, at least 1350 by EN 438-4", MEMORY,
            ("hpl", "high-pressure laminate", "backing sheet", "backer sheet", "balancing sheet")),
    Density("solid surface", Fraction(1700), "common value", MEMORY),
    Density("stainless steel", Fraction(7930), "304 in mill tables; others print up to 8030", SECONDARY,
            ("stainless", "stainless steel 304", "stainless steel 304l")),
    Density("stainless steel 316", Fraction(8000), "316 in mill tables; others print 7930 to 8030", SECONDARY,
            ("stainless steel 316l", "316 stainless steel")),
    Density("steel", _pounds("492"), "table of material weights in a US residential guide", SECONDARY),
    Density("aluminium", _pounds("170"), "table of material weights in a US residential guide", SECONDARY,
            ("aluminum",)),
    Density("brass", Fraction(8500), "common value", MEMORY),
    Density("bronze", Fraction(8800), "common value", MEMORY),
    Density("glass", Fraction(2500), "2.5 kg/m2 for each mm, glass suppliers' tables", SECONDARY, ("mirror",)),
    Density("laminated glass", Fraction(2475), "glass with its PVB counted, construction material calculator",
            SECONDARY),
    Density("gypsum board", _pounds("48"), "table of material weights in a US residential guide", SECONDARY,
            ("plasterboard", "drywall")),
)  # fmt: skip


def _tidy(text: str) -> str:
    return " ".join(text.casefold().replace("_", " ").split())


_KNOWN = {_tidy(name): entry.density for entry in DENSITIES for name in (entry.material, *entry.also)}


def density_of(material: str, own: Sequence[tuple[str, Fraction]] = ()) -> Fraction | None:
    """The density of a material in kg/m3: the spec's own first, then the table's; None for one that neither knows.

    A name is known if it ends in a known one, so that `fire-rated particleboard` is particleboard;
    the longest that fits is taken.
    """
    wanted = _tidy(material)
    tables = (
        {_tidy(name): density for name, density in own},
        _KNOWN,
    )
    for table in tables:
        fitting = [name for name in table if wanted == name or wanted.endswith(" " + name)]
        if fitting:
            return table[max(fitting, key=len)]
    return None

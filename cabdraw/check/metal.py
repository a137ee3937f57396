"""Whether sheet metal can be bent as its profile says, and openings cut where nothing is bent."""

from __future__ import annotations

from collections.abc import Iterator

from cabdraw.cab import Cab, Part
from cabdraw.check.codes import code
from cabdraw.errors import Finding, Path
from cabdraw.shop.developed import Developed, develop
from cabdraw.shop.parts import LYING, PROFILE_OF, on_flat
from cabdraw.units import ZERO, Length

FLANGE = code(
    "metal-flange", "error", "fabrication", "a leg is shorter than the least flange that the press brake can form"
)
CROWDED = code("metal-crowded", "error", "fabrication", "two bends of a profile leave nothing flat between them")
THICKNESS = code(
    "metal-thickness", "error", "fabrication", "a profile is of other sheet than the tab or strip that enters a groove"
)
OPENING = code("metal-opening", "error", "fabrication", "a fixture's opening runs across a bend of a metal part")

#: Where the thickness of a profile's sheet is used in the joints.
_ENTERS = {
    "base": "tab_thickness",
    "frieze": "tab_thickness",
    "vertical_reveal": "strip_thickness",
    "horizontal_reveal": "strip_thickness",
}


def metal(cab: Cab) -> Iterator[Finding]:
    """Findings about bent parts."""
    for name, profile in cab.practice.profiles:
        key = _ENTERS.get(name)
        joint: Length | None = getattr(cab.joint, key) if key is not None else None
        if joint is not None and joint != profile.thickness:
            yield THICKNESS.at(
                f"the {_said(name)}'s sheet is {cab.printing.decimal(profile.thickness)}, and what enters the grooves"
                f" is {cab.printing.decimal(joint)}",
                ("profiles", name, "thickness"),
                f"make it and layout.joint.{key} the same",
            )
        # Parts of one kind differ in length only, unless their bands differ in height: each face is looked at once.
        seen: set[Length] = set()
        for part in cab.parts:
            if PROFILE_OF.get(part.kind) != name:
                continue
            face = part.height if part.kind in LYING else part.width
            if face not in seen:
                seen.add(face)
                yield from _legs(cab, name, part, develop(profile, face))
    for part in cab.parts:
        if part.kind in PROFILE_OF and part.cuts:
            yield from _openings(cab, part)


def _legs(cab: Cab, name: str, part: Part, developed: Developed) -> Iterator[Finding]:
    """Every leg beside a bend against the least flange: so many thicknesses plus the inside radius.

    4 T + R is a shop rule (the flange formula of a sheet-metal shop; others say 2.5 T + R or 3 T + R), and 4 T
    the least hem of another.
    """
    decimal, profile = cab.printing.decimal, developed.profile
    path: Path = ("profiles", name)
    last = len(developed.legs) - 1
    for n, (leg, flat) in enumerate(zip(developed.legs, developed.flats, strict=True)):
        beside = [line for line in developed.bends if line.number in (n, n + 1)]
        if not beside:
            continue
        hem = (n == 0 and profile.first_hem is not None) or (n == last and profile.last_hem is not None)
        radius = ZERO if hem else max(line.radius for line in beside)
        needed = cab.practice.flange * profile.thickness + radius
        called = f"{part.mark}: the {'hem' if hem else 'leg'} {decimal(leg)} long"
        if flat < ZERO:
            yield CROWDED.at(
                f"{called} is less than its bends take, {decimal(leg - flat)}",
                path,
                "make the leg longer, or the radius less",
                part.wall,
                (part.mark,),
            )
        elif leg < needed:
            rule = f"{cab.practice.flange} thicknesses" + ("" if hem else " and the inside radius")
            yield FLANGE.at(
                f"{called} is shorter than the least flange, {decimal(needed)} ({rule})",
                path,
                f"make it at least {decimal(needed)}, or give shop.flange as your press brake forms it",
                part.wall,
                (part.mark,),
            )


def _openings(cab: Cab, part: Part) -> Iterator[Finding]:
    profile = cab.practice.profile(PROFILE_OF[part.kind])
    if profile is None:
        return
    lying = part.kind in LYING
    developed = develop(profile, part.height if lying else part.width)
    if not developed.bends:
        return
    low, high = developed.clear
    for cut in part.cuts:
        flat = on_flat(part, developed, cut.opening)
        first, last = (flat.y, flat.top) if lying else (flat.x, flat.right)
        edges = (ZERO, developed.width)
        if (first < low and low != edges[0]) or (last > high and high != edges[1]):
            yield OPENING.at(
                f"the opening for the {cut.fixture} runs across a bend of {part.mark}",
                ("survey", "walls", part.wall, "fixtures", cut.index),
                "keep the opening within the face, or cut the part by hand after bending",
                part.wall,
                (part.mark,),
            )


def _said(name: str) -> str:
    return name.replace("_", " ")

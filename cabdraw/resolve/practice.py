"""Profiles, materials and the shop's allowances of a spec as values, with what was left out filled in."""

from __future__ import annotations

from typing import cast

from cabdraw.rational import Fraction
from cabdraw.shop.practice import Bend, Hem, Materials, Practice, Profile, ProfileName
from cabdraw.spec.profiles import DEFAULT_THICKNESS, HemOfProfile, ProfileOfPart
from cabdraw.spec.schema import Spec
from cabdraw.units import Length

#: A starting value for stainless steel (trade guidance: 0.45 to 0.50, to be confirmed by a test bend).
STARTING_K = Fraction(45, 100)


def resolve_practice(spec: Spec) -> Practice:
    """How the shop works on a car."""
    shop, given = spec.shop, spec.materials
    materials = Materials(
        given.panel,
        given.spline,
        given.metal,
        given.rail,
        given.rail_wall,
        tuple((entry.material, entry.density) for entry in given.densities),
    )
    profiles = tuple(
        (cast(ProfileName, name), _profile(spec, name, profile))
        for name, profile in (spec.profiles.named() if spec.profiles is not None else ())
    )
    return Practice(shop.oversize, shop.corner_radius, shop.flange, profiles, materials)


def _profile(spec: Spec, name: str, profile: ProfileOfPart) -> Profile:
    thickness = profile.thickness
    if thickness is None:
        thickness = cast(Length, getattr(spec.layout.joint, DEFAULT_THICKNESS[name]))
    return Profile(
        material=profile.material,
        thickness=thickness,
        radius=thickness if profile.radius is None else profile.radius,
        method=profile.method,
        k=STARTING_K if profile.k is None else profile.k,
        legs=profile.legs,
        bends=tuple(Bend(bend.angle, bend.direction) for bend in profile.bends),
        first_hem=_hem(profile.hems.first),
        last_hem=_hem(profile.hems.last),
    )


def _hem(hem: HemOfProfile | None) -> Hem | None:
    return Hem(hem.length, hem.gap, hem.direction) if hem is not None else None

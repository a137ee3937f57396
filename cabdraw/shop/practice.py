"""How the shop works, as the spec says: profiles of bent metal, materials, and allowances. Values only."""

from __future__ import annotations

from typing import Literal

from cabdraw.frozen import Frozen
from cabdraw.rational import Fraction
from cabdraw.units import Length

#: Up folds towards the room as the part's face is seen, down away from it.
Direction = Literal["up", "down"]
Method = Literal["k-factor", "din-6935"]
ProfileName = Literal["base", "frieze", "front_trim", "corner_trim", "vertical_reveal", "horizontal_reveal"]


class Bend(Frozen):
    """One bend: `angle` is by how many degrees the sheet is turned from flat."""

    angle: Fraction
    direction: Direction


class Hem(Frozen):
    """An edge folded right over: `length` is its outside length, `gap` what stays open inside, zero if closed."""

    length: Length
    gap: Length
    direction: Direction


class Profile(Frozen):
    """The section of a bent part: outside lengths of its legs, None for the face, and the bends between them.

    `material` is None where the profile does not name it. Legs run from the floor up, or from the left as the
    face is seen. Without bends all legs lie in one plane.
    """

    material: str | None
    thickness: Length
    radius: Length
    method: Method
    k: Fraction
    legs: tuple[Length | None, ...]
    bends: tuple[Bend, ...]
    first_hem: Hem | None
    last_hem: Hem | None


class Materials(Frozen):
    """What things are made of where nothing else says so, and densities in kg/m3 that the spec gives itself.

    `rail_wall` is the wall of a round rail's tube.
    """

    panel: str | None
    spline: str
    metal: str
    rail: str | None
    rail_wall: Length
    densities: tuple[tuple[str, Fraction], ...]


class Practice(Frozen):
    """All of it: `oversize` is added to each side of a core for its blank, `corner_radius` is left in openings.

    `flange` is the least flange in thicknesses, to which the inside radius is added.
    """

    oversize: Length
    corner_radius: Length
    flange: Fraction
    profiles: tuple[tuple[ProfileName, Profile], ...]
    materials: Materials

    def profile(self, name: str) -> Profile | None:
        """The profile of a kind of part, by its key in the spec; None where the spec gives none."""
        return dict(self.profiles).get(name)  # type: ignore[call-overload, no-any-return]

"""From a section to its flat: how much of a sheet goes into a bend, and where the bend lines lie.

Lengths in and out in one unit, whichever; angles in degrees turned from flat. Up to 90 degrees outside
lengths are measured to where the outside faces would meet; beyond that, as in DIN 6935, to the tangent
across the bend.
"""

from __future__ import annotations

from math import log10, pi, radians, tan


def allowance(angle: float, radius: float, thickness: float, k: float) -> float:
    """Length of the neutral line in a bend.

    BA = A (R + K T), A in radians (published in many bend calculators; the US Navy's and the FAA's
    0.01743 R + 0.0078 T for each degree is the same with K = 0.447).
    """
    return radians(angle) * (radius + k * thickness)


def setback(angle: float, radius: float, thickness: float) -> float:
    """From the start of a bend to where its leg's outside length ends: (R + T) tan(A / 2), R + T beyond 90 degrees."""
    return (radius + thickness) * (tan(radians(angle) / 2) if angle < 90 else 1.0)


def deduction(angle: float, radius: float, thickness: float, k: float) -> float:
    """What the outside lengths of two legs add up to more than their flat: BD = 2 OSSB - BA."""
    return 2 * setback(angle, radius, thickness) - allowance(angle, radius, thickness, k)


def din_factor(radius: float, thickness: float) -> float:
    """Factor k of DIN 6935: 0.65 + 0.5 log10(r / s) up to r / s = 5, 1 beyond (as German tables print it).

    The neutral line lies at s k / 2, so k is twice a K-factor. It is not less than nothing.
    """
    if radius <= 0:
        return 0.0
    ratio = radius / thickness
    return 1.0 if ratio > 5 else max(0.0, 0.65 + 0.5 * log10(ratio))


def din_deduction(angle: float, radius: float, thickness: float, k: float | None = None) -> float:
    """Compensation v of DIN 6935, with the opening angle b = 180 - `angle` (as German tables print it).

    b up to 90: v = 2 (r + s) - pi (180 - b) / 180 (r + s k / 2); from 90 to 165 the first term is
    multiplied by tan((180 - b) / 2); beyond 165, v = 0. The flat is a + b - v.
    """
    opening = 180 - angle
    if opening > 165:
        return 0.0
    factor = din_factor(radius, thickness) if k is None else k
    outer = 2 * (radius + thickness) * (tan(radians(angle) / 2) if opening > 90 else 1.0)
    return outer - pi * angle / 180 * (radius + thickness * factor / 2)


def hem_deduction(thickness: float, gap: float, k: float) -> float:
    """What a hem's outside length and its leg's add up to more than their flat: a bend of 180 degrees.

    A closed hem has no inside radius and its neutral line in the middle of the sheet: 2 T - pi T / 2 = 0.43 T,
    the 43 % of the thickness that shops deduct (that figure from memory).
    """
    if gap <= 0:
        return deduction(180, 0.0, thickness, 0.5)
    return deduction(180, gap / 2, thickness, k)

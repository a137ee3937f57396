"""A bent part unfolded: its developed width, where its bend lines lie, and what its legs leave flat."""

from __future__ import annotations

from math import cos, radians, sin, tan
from typing import Literal

from cabdraw.frozen import Frozen
from cabdraw.rational import Fraction
from cabdraw.shop.bends import allowance, deduction, din_deduction, din_factor, hem_deduction, setback
from cabdraw.shop.practice import Bend, Direction, Hem, Profile
from cabdraw.units import ZERO, Length, total

#: Developed sizes are no rational numbers: they are rounded to a millionth of a mm, once, here.
_STEP = 10**6


class BendLine(Frozen):
    """One bend or hem of a flat: `position` from the flat's first edge to the middle of the bend.

    `k` is the K-factor, or DIN 6935's own factor, which is twice one. `before` and `after` are the
    outside lengths of the legs on its two sides; `room` is what they leave flat, less than nothing if
    the bends do not fit.
    """

    number: int
    kind: Literal["bend", "hem"]
    angle: Fraction
    direction: Direction
    radius: Length
    k: float
    allowance: Length
    deduction: Length
    position: Length
    before: Length
    after: Length


class Developed(Frozen):
    """A profile unfolded for one part: `width` of the flat across its bends, `overall` when folded, along the face.

    `start` is where the face's outside length begins on the flat, `clear` where on the flat the face is
    between its bends. `flats` is what of each leg stays flat.
    """

    profile: Profile
    width: Length
    overall: Length
    bends: tuple[BendLine, ...]
    legs: tuple[Length, ...]
    flats: tuple[Length, ...]
    start: Length
    clear: tuple[Length, Length]


class _Fold(Frozen):
    kind: Literal["bend", "hem"]
    angle: Fraction
    direction: Direction
    radius: Length
    k: float
    allowance: float
    deduction: float
    setback: float


def _rounded(mm: float) -> Length:
    return Length(Fraction(round(mm * _STEP), _STEP))


def _fold(profile: Profile, bend: Bend) -> _Fold:
    radius, thickness, angle = float(profile.radius), float(profile.thickness), float(bend.angle)
    back = setback(angle, radius, thickness)
    if profile.method == "din-6935":
        taken = din_deduction(angle, radius, thickness)
        return _Fold("bend", bend.angle, bend.direction, profile.radius, din_factor(radius, thickness),
                     2 * back - taken, taken, back)  # fmt: skip
    k = float(profile.k)
    return _Fold("bend", bend.angle, bend.direction, profile.radius, k, allowance(angle, radius, thickness, k),
                 deduction(angle, radius, thickness, k), back)  # fmt: skip


def _hem(profile: Profile, hem: Hem) -> _Fold:
    # A hem has no leg to be measured by opening angle: K-factor, or the middle of the sheet if it is closed.
    thickness = float(profile.thickness)
    k = 0.5 if not hem.gap else float(profile.k)
    taken = hem_deduction(thickness, float(hem.gap), k)
    back = thickness + float(hem.gap) / 2
    return _Fold("hem", Fraction(180), hem.direction, hem.gap / 2, k, 2 * back - taken, taken, back)


def develop(profile: Profile, face: Length) -> Developed:
    """Unfold a profile whose face measures so much outside; the flat is the outside lengths less the deductions."""
    legs = [face if leg is None else leg for leg in profile.legs]
    at = profile.legs.index(None)
    folds = [_fold(profile, bend) for bend in profile.bends]
    ahead = ZERO
    if not profile.bends and len(legs) > 1:
        # A flat strip: the face and what it is wider than it are one leg.
        ahead, legs, at = total(legs[:at]), [total(legs)], 0
    if profile.first_hem is not None:
        legs, folds, at = [profile.first_hem.length, *legs], [_hem(profile, profile.first_hem), *folds], at + 1
    if profile.last_hem is not None:
        legs, folds = [*legs, profile.last_hem.length], [*folds, _hem(profile, profile.last_hem)]
    lines, taken = [], 0.0
    for n, fold in enumerate(folds):
        along = float(total(legs[: n + 1])) - taken
        lines.append(
            BendLine(
                number=n + 1,
                kind=fold.kind,
                angle=fold.angle,
                direction=fold.direction,
                radius=fold.radius,
                k=fold.k,
                allowance=_rounded(fold.allowance),
                deduction=_rounded(fold.deduction),
                position=_rounded(along - fold.deduction / 2),
                before=legs[n],
                after=legs[n + 1],
            )
        )
        taken += fold.deduction
    width = _rounded(float(total(legs)) - taken) if folds else total(legs)
    backs = [0.0, *(fold.setback for fold in folds), 0.0]
    flats = tuple(leg - _rounded(backs[n] + backs[n + 1]) for n, leg in enumerate(legs))
    before = _rounded(sum(fold.deduction for fold in folds[:at]))
    start = total(legs[:at]) - before + ahead
    low = total(legs[:at]) - before + _rounded(backs[at])
    return Developed(profile, width, _overall(profile, legs, folds, at), tuple(lines), tuple(legs), flats, start,
                     (low, low + flats[at]))  # fmt: skip


def _overall(profile: Profile, legs: list[Length], folds: list[_Fold], at: int) -> Length:
    """How far the folded part reaches along its face: outlines with sharp corners, on both sides of the sheet."""
    if not profile.bends:
        return legs[at]
    half = float(profile.thickness) / 2
    bends = [n for n, fold in enumerate(folds) if fold.kind == "bend"]
    first, last = bends[0], bends[-1] + 1
    # Hems lie back on their leg and do not make it longer.
    turns = [float(folds[n].angle) * (1 if folds[n].direction == "up" else -1) for n in range(first, last)]
    miters = [0.0, *(half * tan(radians(min(abs(turn), 90.0)) / 2) for turn in turns), 0.0]
    headings = [0.0]
    for turn in turns:
        headings.append(headings[-1] + turn)
    zero = headings[at - first]
    reach, x = [], 0.0
    for n, leg in enumerate(legs[first : last + 1]):
        heading = radians(headings[n] - zero)
        length = float(leg) - miters[n] - miters[n + 1]
        for side in (half, -half):
            for end in (0.0, length):
                reach.append(x + end * cos(heading) - side * sin(heading))
        x += length * cos(heading)
    return _rounded(max(reach) - min(reach))

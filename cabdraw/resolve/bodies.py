"""How deep everything on a wall lies: each part as boxes, its own grooves as slots, in floating millimetres.

A box is (x0, x1, y0, y1, z0, z1): x and y on the wall, z from the shell's face into the car.
"""

from __future__ import annotations

from collections.abc import Iterator

from cabdraw.cab import BOARD_BANDS, TIERS, Band, Cab, Part, Rect, Wall
from cabdraw.frozen import Frozen
from cabdraw.shop.practice import Profile
from cabdraw.units import ZERO, Length

Box = tuple[float, float, float, float, float, float]
#: Farther away than anything in a car, in mm.
FAR = 1e5


def flanges(cab: Cab, kind: str) -> tuple[Length, Length]:
    """How far a reveal strip's flanges enter the grooves on either side: the flat legs beside its face.

    Zero without a profile, and where the legs are bent: such a strip lies on the spline's face between two boards.
    """
    profile = cab.practice.profile(kind.replace("-", "_"))
    if profile is None or profile.bends or None not in profile.legs:
        return ZERO, ZERO
    at = profile.legs.index(None)
    sides = profile.legs[:at], profile.legs[at + 1 :]
    first, last = (sum((leg.mm for leg in side if leg is not None), start=ZERO.mm) for side in sides)
    return Length(first), Length(last)


def band_below(wall: Wall, band: Band) -> Band | None:
    """The band right under another."""
    at = wall.bands.index(band)
    return wall.bands[at - 1] if at else None


def band_above(wall: Wall, band: Band) -> Band | None:
    """The band right over another."""
    at = wall.bands.index(band)
    return wall.bands[at + 1] if at + 1 < len(wall.bands) else None


def band_of(wall: Wall, part: Part) -> Band | None:
    """The band that a part fills, or to whose joint it belongs."""
    if part.kind in ("horizontal-spline", "horizontal-reveal"):
        assert part.body is not None
        middle = part.body.y + part.body.top
        return next((b for b in wall.bands if b.kind == "reveal" and b.y + b.top == middle), None)
    kind = part.tier or part.kind
    shown = part.visible or part.body
    return next(
        (b for b in wall.bands if b.kind == kind and shown is not None and b.y <= shown.y and shown.top <= b.top),
        None,
    )


class Planes(Frozen):
    """The planes in the grooves, as depths from the shell's face in mm: what lies where, from front to back.

    Strips and tabs stand at the groove's near side, splines at its far side. What is too thick for the groove is
    thinned here so that it fits: that is a finding of its own, and no reason why a part has no path.
    """

    back: float
    far: float
    near: float
    face: float
    spline: tuple[float, float]
    strip: tuple[float, float]
    flat: tuple[float, float]
    tab: tuple[float, float]
    behind_tab: tuple[float, float]
    behind_strip: tuple[float, float]
    sheet: float

    @classmethod
    def of(cls, cab: Cab, wall: Wall) -> Planes:
        """The planes of a wall."""
        joint = cab.joint
        face = float(wall.projection)
        near = face - float(joint.groove_offset)
        far = near - float(joint.groove_width)
        spline = min(far + float(joint.spline_thickness), near)
        strip, tab = float(joint.strip_thickness), float(joint.tab_thickness)
        front = max(near - strip, spline)
        return cls(
            back=float(wall.air_gap),
            far=far,
            near=near,
            face=face,
            spline=(far, spline),
            strip=(front, near),
            flat=(spline, max(spline, min(spline + strip, face))),
            tab=(max(near - tab, far), near),
            behind_tab=(max(near - tab - strip, far), max(near - tab, far)),
            behind_strip=(max(near - strip - tab, far), max(near - strip, far)),
            sheet=tab,
        )


def _boxed(rect: Rect, z: tuple[float, float]) -> Box:
    return float(rect.x), float(rect.right), float(rect.y), float(rect.top), z[0], z[1]


def grooved_edges(wall: Wall, part: Part) -> tuple[bool, bool, bool, bool]:
    """Whether a board's left, right, lower and upper edge is grooved."""
    band = band_of(wall, part)
    below = band_below(wall, band) if band is not None else None
    above = band_above(wall, band) if band is not None else None
    panel = part.kind == "panel" and part.order is not None
    return (
        panel and (part.order or 0) > 1,
        panel and (part.order or 0) < len(wall.columns),
        below is not None and below.kind in ("base", "reveal"),
        above is not None and above.kind in ("reveal", "frieze"),
    )


def strip_rect(cab: Cab, part: Part) -> Rect:
    """Where a reveal strip stands with its flanges."""
    body = part.body
    assert body is not None
    first, last = flanges(cab, part.kind)
    if part.kind == "vertical-reveal":
        return Rect(body.x - first, body.y, body.width + first + last, body.height)
    return Rect(body.x, body.y - first, body.width, body.height + first + last)


def boxes(cab: Cab, wall: Wall, part: Part, at: Planes) -> tuple[Box, ...]:
    """A part as boxes where it hangs; none for a part that is no part of the wall's panelling."""
    return tuple(box for box in _boxes(cab, wall, part, at) if box[5] > box[4])


def _boxes(cab: Cab, wall: Wall, part: Part, at: Planes) -> Iterator[Box]:
    body = part.body
    if body is None:
        return
    if part.kind == "panel" or part.kind in BOARD_BANDS:
        left, right, bottom, top = (
            float(cab.joint.groove_depth) if edge else 0.0 for edge in grooved_edges(wall, part)
        )
        x0, x1, y0, y1 = float(body.x), float(body.right), float(body.y), float(body.top)
        yield x0, x1, y0, y1, at.near, at.face
        if x0 + left < x1 - right and y0 + bottom < y1 - top:
            yield x0 + left, x1 - right, y0 + bottom, y1 - top, at.far, at.near
        yield x0, x1, y0, y1, at.back, at.far
    elif part.kind in ("vertical-spline", "horizontal-spline"):
        yield _boxed(body, at.spline)
    elif part.kind == "vertical-reveal":
        yield from _upright_strip(cab, wall, part, at)
    elif part.kind == "horizontal-reveal":
        rect = strip_rect(cab, part)
        yield _boxed(rect, at.strip if rect != body or _under_frieze(wall, part) else at.flat)
    elif part.kind == "base":
        tab = cab.joint.base_tab
        yield _boxed(Rect(body.x, body.y, body.width, body.height - tab), (at.face - at.sheet, at.face))
        yield _boxed(Rect(body.x, body.top - tab, body.width, tab), at.tab)
    elif part.kind == "frieze" and part.visible is not None:
        tab = body.height - part.visible.height
        yield _boxed(part.visible, (at.face - at.sheet, at.face))
        # The tab goes down behind a strip that stands in front of it.
        under = band_below(wall, band) if (band := band_of(wall, part)) is not None else None
        behind = under is not None and under.kind == "reveal" and under.height > ZERO
        yield _boxed(Rect(body.x, body.y, body.width, tab), at.behind_strip if behind else at.tab)


def _upright_strip(cab: Cab, wall: Wall, part: Part, at: Planes) -> Iterator[Box]:
    """A vertical strip; on a base its foot is tucked behind the base's tab."""
    rect = strip_rect(cab, part)
    plane = at.strip if rect != part.body else at.flat
    band = band_of(wall, part)
    below = band_below(wall, band) if band is not None else None
    if below is None or below.kind != "base":
        yield _boxed(rect, plane)
        return
    foot = cab.joint.base_tab
    tucked = max(below.top + foot - rect.y, ZERO)
    yield _boxed(Rect(rect.x, rect.y + tucked, rect.width, rect.height - tucked), plane)
    if tucked > ZERO:
        yield _boxed(Rect(rect.x, rect.y, rect.width, tucked), at.behind_tab)


def _under_frieze(wall: Wall, part: Part) -> bool:
    band = band_of(wall, part)
    above = band_above(wall, band) if band is not None else None
    return above is not None and above.kind == "frieze"


def around(cab: Cab, wall: Wall) -> Iterator[tuple[str, Box]]:
    """What stands round a wall before its first part goes on, each with its name: floor, ceiling, ends and trims."""
    height, width = float(wall.height), float(wall.width)
    yield "the floor", (-FAR, FAR, -FAR, 0.0, -FAR, FAR)
    yield "the ceiling", (-FAR, FAR, height, FAR, -FAR, FAR)
    for end, beside in enumerate(cab.neighbours(wall.name)):
        off = float(cab.projection(beside))
        if beside in ("front", "rear"):
            name = f"the {beside} return"
        else:
            name = f"the {beside} wall's panels" if off else f"the {beside} wall's shell"
        x = (-FAR, off) if end == 0 else (width - off, FAR)
        yield name, (*x, 0.0, height, -FAR, FAR)
        yield from _trim(cab, wall, end, beside)


def lip(cab: Cab) -> Length:
    """How far a front trim's leg reaches along the side wall, in front of the panels; zero where none does.

    Only a leg that is bent up, towards the room, runs along the wall: one that is bent down goes into the gap.
    """
    profile = cab.practice.profile("front_trim")
    if profile is None or len(profile.legs) != 2 or len(profile.bends) != 1 or profile.bends[0].direction != "up":
        return ZERO
    return next((leg for leg in profile.legs if leg is not None), ZERO)


def _trim(cab: Cab, wall: Wall, end: int, beside: str) -> Iterator[tuple[str, Box]]:
    side = wall.name if wall.name != "back" else beside
    width = float(wall.width)
    for trim in cab.trims:
        if trim.kind == "front-trim" and beside == "front" and trim.wall == wall.name and lip(cab) > ZERO:
            profile = cab.practice.profile("front_trim")
            assert profile is not None
            reach, face = float(lip(cab)), float(wall.projection)
            x = (0.0, reach) if end == 0 else (width - reach, width)
            yield trim.mark, (*x, 0.0, float(wall.height), face, face + float(profile.thickness))
            return
        if trim.kind == "corner-trim" and trim.wall == side and "back" in (wall.name, beside):
            profile = cab.practice.profile("corner_trim")
            leg = _corner_leg(profile, end, float(trim.width))
            if profile is not None and leg:
                x = (0.0, leg) if end == 0 else (width - leg, width)
                yield trim.mark, (*x, 0.0, float(trim.height), 0.0, float(profile.thickness))


def _corner_leg(profile: Profile | None, end: int, face: float) -> float:
    """How far an angle's leg reaches along a wall from its corner: it stands on both shells, behind the panels.

    Seen from inside, an angle's first leg is on the wall at the left of its corner: at that wall's right end.
    """
    if profile is None or len(profile.legs) != 2 or len(profile.bends) != 1:
        return 0.0
    leg = profile.legs[0 if end == 1 else 1]
    return face if leg is None else float(leg)


def of_tier(wall: Wall, tier: str, kind: str) -> dict[int, Part]:
    """The splines or strips of a tier's joints, by the number of the joint from the left."""
    assert tier in TIERS
    return {part.order or 0: part for part in wall.parts if part.kind == kind and part.tier == tier}

"""Whether the parts fit: free gaps, grooves, headroom, the survey's own numbers, the floor gap."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from cabdraw.cab import GROOVED, Cab, Wall
from cabdraw.check.codes import code
from cabdraw.errors import Finding, Path
from cabdraw.resolve.openings import coverage
from cabdraw.units import INCH, ZERO, Length, mm

END_GAP = code(
    "fit-end-gap",
    "error",
    "fabrication",
    "the free gap at the end of a row is less than engagement plus clearance: the outer panel cannot slide on or off",
)
GROOVE = code(
    "fit-groove-depth",
    "error",
    "fabrication",
    "a groove is too shallow for the spline or tab that enters it plus the clearance at its bottom",
)
HEADROOM = code(
    "fit-frieze-headroom",
    "error",
    "fabrication",
    "no room above the frieze to lift it and drop its tab into the groove below",
)
SPREAD = code(
    "survey-spread", "warning", "nothing", "readings of one size differ by more than a shell usually leans or sags"
)
TYPING = code(
    "survey-reading",
    "error",
    "fabrication",
    "readings of one size differ by more than any lean explains: one is a typing or reading error",
)
FLOOR_GAP = code(
    "fit-floor-gap", "warning", "nothing", "the gap under the base goes out of its usual range along the wall"
)
OVERLAP = code("fit-overlap", "error", "fabrication", "two visible parts of a wall overlap")
LEFTOVER = code("fit-leftover", "error", "fabrication", "the visible parts leave a place on the wall uncovered")

#: Spread of readings beyond which a survey is worth a second look (common practice: 3/8 in).
USUAL_SPREAD = Length(INCH * Fraction(3, 8))
#: Spread that no standing shell shows (our own limit: 2 in).
GREATEST_SPREAD = Length(INCH * 2)


def floor_gap_range(cab: Cab) -> tuple[Length, Length]:
    """The usual range of the gap under the base: 7/8 to 1 in, 22 to 26 mm (common practice)."""
    if cab.printing.system == "inch":
        return Length(INCH * Fraction(7, 8)), Length(INCH)
    return mm(22), mm(26)


def fit(cab: Cab) -> Iterator[Finding]:
    """Findings about the fit of the whole car."""
    yield from _grooves(cab)
    for name, wall in cab.walls.items():
        path: Path = ("survey", "walls", name)
        yield from _spread(cab, wall.readings.width, "width", (*path, "width"), name)
        yield from _spread(cab, wall.readings.height, "height", (*path, "height"), name)
        yield from _end_gaps(cab, wall)
        yield from _headroom(cab, wall)
        yield from _floor_gap(cab, wall)
        yield from _coverage(wall)


def _grooves(cab: Cab) -> Iterator[Finding]:
    joint, size = cab.joint, cab.printing.size
    entering = [("spline", joint.engagement)]
    if any(wall.band("base") is not None for wall in cab.walls.values()):
        entering.append(("base's tab", joint.base_tab))
    for what, depth in entering:
        needed = depth + joint.clearance
        if joint.groove_depth < needed:
            yield GROOVE.at(
                f"the {what} enters {size(depth)} and needs {size(joint.clearance)} more at the groove's bottom,"
                f" {size(needed)} in all; the groove is {size(joint.groove_depth)} deep",
                ("layout", "joint", "groove_depth"),
                f"make groove_depth at least {size(needed)}",
            )


def _spread(cab: Cab, readings: Sequence[Length], what: str, path: Path, wall: str) -> Iterator[Finding]:
    least, most = min(readings), max(readings)
    spread, size = most - least, cab.printing.size
    if spread <= USUAL_SPREAD:
        return
    kind = TYPING if spread > GREATEST_SPREAD else SPREAD
    yield kind.at(
        f"the {wall} wall's {what} reads from {size(least)} to {size(most)}, {size(spread)} apart;"
        f" over {size(USUAL_SPREAD)} is more than lean usually explains",
        path,
        "measure again, and correct the reading that is wrong",
        wall,
    )


def _end_gaps(cab: Cab, wall: Wall) -> Iterator[Finding]:
    needed, size = cab.joint.engagement + cab.joint.clearance, cab.printing.size
    far = "back" in cab.walls
    ends = {
        "back": ("corner_gap", "corner_gap"),
        "left": ("front_gap", "corner_gap" if far else "rear_gap"),
        "right": ("corner_gap" if far else "rear_gap", "front_gap"),
    }[wall.name]
    for end, gap, key in zip(("left", "right"), wall.gaps, ends, strict=True):
        if gap < needed:
            yield END_GAP.at(
                f"the {wall.name} wall's {end} end has {size(gap)} free; its outer panels need {size(needed)}"
                f" (engagement {size(cab.joint.engagement)} and clearance {size(cab.joint.clearance)})"
                " to slide on or off their splines",
                ("layout", key),
                f"make {key}, or the wall's margin there, {size(needed - gap)} wider",
                wall.name,
            )


def _headroom(cab: Cab, wall: Wall) -> Iterator[Finding]:
    size = cab.printing.size
    for index, band in enumerate(wall.bands):
        if band.kind != "frieze":
            continue
        below = [b for b in wall.bands[:index] if b.kind != "reveal"]
        if not below or below[-1].kind not in GROOVED:
            continue
        room = wall.height - band.top
        needed = cab.joint.engagement + cab.joint.clearance
        if room < needed:
            yield HEADROOM.at(
                f"on the {wall.name} wall there is {size(room)} above the frieze; dropping its tab into the groove"
                f" below takes {size(needed)}",
                ("layout", "stack"),
                f"make the gap above the frieze at least {size(needed)}",
                wall.name,
                (f"frieze-{wall.name}",),
            )


def _floor_gap(cab: Cab, wall: Wall) -> Iterator[Finding]:
    if wall.band("base") is None or wall.bands[0].kind != "gap":
        return
    size = cab.printing.size
    least = wall.bands[0].height + min(wall.readings.floor or (ZERO,))
    most = wall.bands[0].height + max(wall.readings.floor or (ZERO,))
    low, high = floor_gap_range(cab)
    if least < low or most > high:
        along = f"runs from {size(least)} to {size(most)} along the wall" if least != most else f"is {size(least)}"
        yield FLOOR_GAP.at(
            f"the gap under the {wall.name} wall's base {along}; {size(low)} to {size(high)} is common practice",
            ("survey", "walls", wall.name, "floor") if wall.readings.floor else ("layout", "stack"),
            "change the floor gap, level the floor, or cut the base's foot to the floor",
            wall.name,
            (f"base-{wall.name}",),
        )


def _coverage(wall: Wall) -> Iterator[Finding]:
    for first, second, area in coverage(wall):
        if second:
            yield OVERLAP.at(
                f"{first} and {second} overlap by {area:.1f} square mm",
                ("layout", "walls", wall.name),
                "this should not be possible: please report it with the spec",
                wall.name,
                (first, second),
            )
        else:
            yield LEFTOVER.at(
                f"on the {wall.name} wall nothing covers {first}",
                ("layout", "walls", wall.name),
                "this should not be possible: please report it with the spec",
                wall.name,
            )

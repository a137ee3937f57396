"""Whether the parts fit: free gaps, grooves, headroom, the survey's own numbers, the floor gap."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cabdraw.cab import GROOVED, Cab, Wall
from cabdraw.check.codes import code
from cabdraw.check.figures import figures
from cabdraw.errors import Finding, Path
from cabdraw.rational import Fraction
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
    yield from _readings(cab)
    for wall in cab.walls.values():
        yield from _end_gaps(cab, wall)
        yield from _headroom(cab, wall)
        yield from _floor_gap(cab, wall)
        yield from _coverage(wall)


def limits(cab: Cab) -> Iterator[Finding]:
    """The findings that alone say why a part cannot go to its place: grooves, end gaps and headroom."""
    yield from _grooves(cab)
    for wall in cab.walls.values():
        yield from _end_gaps(cab, wall)
        yield from _headroom(cab, wall)


def _grooves(cab: Cab) -> Iterator[Finding]:
    joint, size = cab.joint, cab.printing.size
    entering = [("spline", joint.engagement)]
    if any(wall.band("base") is not None for wall in cab.walls.values()):
        entering.append(("base's tab", joint.base_tab))
    for what, depth in entering:
        needed = depth + joint.clearance
        if joint.groove_depth < needed:
            deep, wanted = figures(cab, joint.groove_depth, needed)
            yield GROOVE.at(
                f"the {what} enters {size(depth)} and needs {size(joint.clearance)} more at the groove's bottom,"
                f" {wanted} in all; the groove is {deep} deep",
                ("layout", "joint", "groove_depth"),
                f"make groove_depth at least {wanted}",
            )


def _readings(cab: Cab) -> Iterator[Finding]:
    """Each size's readings against one another; heights that are read for every wall are looked at once."""
    seen: set[Path] = set()
    for name, wall in cab.walls.items():
        yield from _spread(
            cab, wall.readings.width, f"the {name} wall's width", ("survey", "walls", name, "width"), name
        )
        path, finish = wall.places.height, cab.survey.floor_finish
        heights = [reading + finish for reading in wall.readings.height]
        if wall.places.floor is not None:
            yield from _spread(cab, heights, f"the {name} wall's height less its floor's fall", path, name)
        elif path not in seen:
            seen.add(path)
            shared = path == ("survey", "height")
            yield from _spread(
                cab, heights, "the height" if shared else f"the {name} wall's height", path, None if shared else name
            )


def _spread(cab: Cab, readings: Sequence[Length], what: str, path: Path, wall: str | None) -> Iterator[Finding]:
    least, most = min(readings), max(readings)
    spread, size = most - least, cab.printing.size
    if spread <= USUAL_SPREAD:
        return
    kind, limit = (TYPING, GREATEST_SPREAD) if spread > GREATEST_SPREAD else (SPREAD, USUAL_SPREAD)
    why = "more than any lean or sag explains" if kind is TYPING else "more than lean or sag usually explains"
    yield kind.at(
        f"{what} reads from {size(least)} to {size(most)}, {size(spread)} apart; over {size(limit)} is {why}",
        path,
        "measure again, and correct the reading that is wrong",
        wall,
    )


def _end_gaps(cab: Cab, wall: Wall) -> Iterator[Finding]:
    needed, size = cab.joint.engagement + cab.joint.clearance, cab.printing.size
    for end, gap, path, neighbour in zip(
        ("left", "right"), wall.gaps, wall.places.margins, cab.neighbours(wall.name), strict=True
    ):
        if gap >= needed:
            continue
        beyond = cab.projection(neighbour)
        there, wanted, short = figures(cab, gap, needed, needed - gap)
        free = f"{there} free"
        if gap < ZERO:
            free = f"its outer panels {size(-gap)} inside the {neighbour} wall's panelling, and nothing free"
        elif path[-2:-1] == ("margins",) and beyond:
            free += f" beside the {neighbour} wall's panels, which stand {size(beyond)} off their shell"
        widen = f"{path[1]}" if len(path) == 2 else "the margin"
        yield END_GAP.at(
            f"the {wall.name} wall's {end} end has {free}; its outer panels need {wanted}"
            f" (engagement {size(cab.joint.engagement)} and clearance {size(cab.joint.clearance)})"
            " to slide on or off their splines",
            path,
            f"make {widen} at least {short} wider",
            wall.name,
        )


def _headroom(cab: Cab, wall: Wall) -> Iterator[Finding]:
    for index, band in enumerate(wall.bands):
        if band.kind != "frieze":
            continue
        below = [b for b in wall.bands[:index] if b.kind != "reveal"]
        if not below or below[-1].kind not in GROOVED:
            continue
        above = index + 1 if index + 1 < len(wall.bands) else index
        room = wall.height - band.top
        needed = cab.joint.engagement + cab.joint.clearance
        if room < needed:
            there, wanted = figures(cab, room, needed)
            yield HEADROOM.at(
                f"on the {wall.name} wall there is {there} above the frieze; dropping its tab into the groove"
                f" below takes {wanted}",
                _gap_place(wall, above),
                f"make the gap above the frieze at least {wanted}",
                wall.name,
                (f"frieze-{wall.name}",),
            )


def _floor_gap(cab: Cab, wall: Wall) -> Iterator[Finding]:
    if wall.band("base") is None or wall.bands[0].kind != "gap":
        return
    falls = wall.readings.floor or (ZERO,)
    least, most = wall.bands[0].height + min(falls), wall.bands[0].height + max(falls)
    low, high = floor_gap_range(cab)
    if least < low or most > high:
        small, great, lowest, highest = figures(cab, least, most, low, high)
        along = f"runs from {small} to {great} along the wall" if least != most else f"is {small}"
        yield FLOOR_GAP.at(
            f"the gap under the {wall.name} wall's base {along}; {lowest} to {highest} is common practice",
            wall.places.floor or _gap_place(wall, 0),
            "change the floor gap, level the floor, or cut the base's foot to the floor",
            wall.name,
            (f"base-{wall.name}",),
        )


def _gap_place(wall: Wall, index: int) -> Path:
    """A band's place in the spec: the resolved bands are those of the stack, one for one."""
    return (*wall.places.stack, index, wall.bands[index].kind)


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

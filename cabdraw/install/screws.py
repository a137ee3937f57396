"""Where screws and pad studs go through the shell, each clear of what must not be met.

They obey the rules of every hole: nothing within reach behind the shell, no fixture, no joint under a stud. One that
would meet something is moved along its line to the nearest clear place; where there is none near, it is left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Literal

from cabdraw.cab import TIERS, Cab, Part, Rect, Wall
from cabdraw.frozen import Frozen
from cabdraw.once import once
from cabdraw.units import INCH, ZERO, Length, inch

FixingKind = Literal["base-screw", "spline-screw", "pad-stud"]
CALLED: dict[FixingKind, str] = {"base-screw": "base screw", "spline-screw": "spline screw", "pad-stud": "pad stud"}
#: Kept between a screw's middle and what it must not meet: its own radius and 1/8 in over it (common practice).
KEEP_OFF = inch("1/4")
#: Kept between a screw and the opening for a fixture, behind which its box lies (common practice: 1 in).
KEEP_OFF_FIXTURE = Length(INCH)
#: Kept between a pad stud and the middle of a joint, where a long frieze is pieced together (common practice: 1 in).
KEEP_OFF_JOINT = Length(INCH)
#: From a part's end to its first screw, where it is long enough (common practice: 2 in).
END = inch(2)
#: From the head of the top tier down to pad studs that have neither frieze nor crown (common practice: 3 in).
UNDER_HEAD = inch(3)


class Meets(Frozen):
    """What a fixing would meet: `what` in words, and its place among the wall's obstructions or fixtures."""

    what: str
    source: Literal["obstruction", "fixture", "joint"]
    index: int


class Fixing(Frozen):
    """One screw or stud, numbered along its line from 1; `moved` is what it was moved clear of, and from where."""

    number: int
    x: Length
    y: Length
    wanted: Length
    moved: Meets | None


class FixingLine(Frozen):
    """The screws of one part, in a row along x or y. `left_out` are those for which there is no clear place near.

    `widest` is the greatest distance between neighbours, or from an end of the part to the first;
    `spacing` is what the spec allows. `through` is from the head's seat to the back of the shell, None where the
    shell is not measured.
    """

    kind: FixingKind
    wall: str
    mark: str
    axis: Literal["x", "y"]
    spacing: Length
    fixings: tuple[Fixing, ...]
    left_out: tuple[tuple[Length, Meets], ...]
    widest: Length
    through: Length | None


@once
def fixing_lines(cab: Cab, wall: Wall) -> tuple[FixingLine, ...]:
    """Every line of screws and studs of a wall that the spec's fixings ask for, from the floor up."""
    return tuple(_lines(cab, wall)) if cab.fixings is not None else ()


def _lines(cab: Cab, wall: Wall) -> Iterator[FixingLine]:
    asked, joint = cab.fixings, cab.joint
    assert asked is not None
    shell = wall.shell
    face = wall.projection - joint.groove_offset
    back = face - joint.groove_width
    through = face + shell if shell is not None else None
    splined = back + joint.spline_thickness + shell if shell is not None else None
    for part in wall.parts:
        if part.kind == "base" and asked.base_screws is not None and part.visible is not None:
            y = part.visible.y + part.visible.height / 2
            yield _line(cab, wall, "base-screw", part, "x", y, asked.base_screws, END, through)
        elif part.kind == "vertical-spline" and asked.spline_screws is not None and wall.reveal > ZERO:
            assert part.body is not None
            x = part.body.x + part.body.width / 2
            yield _line(cab, wall, "spline-screw", part, "y", x, asked.spline_screws, END, splined)
        elif part.kind == "horizontal-spline" and asked.spline_screws is not None:
            assert part.body is not None
            if part.body.height > 2 * joint.engagement:
                y = part.body.y + part.body.height / 2
                yield _line(cab, wall, "spline-screw", part, "x", y, asked.spline_screws, END, splined)
    if asked.pad_studs is not None:
        found = stud_line(wall)
        if found is not None:
            part, y = found
            end = asked.pad_stud_end if asked.pad_stud_end is not None else asked.pad_studs / 2
            yield _line(cab, wall, "pad-stud", part, "x", y, asked.pad_studs, end, through)


def stud_line(wall: Wall) -> tuple[Part, Length] | None:
    """The part that pad studs go into and their height: the frieze, else the crown, else the top tier's first panel."""
    for kind in ("frieze", "crown"):
        part = next((part for part in wall.parts if part.kind == kind), None)
        if part is not None and part.visible is not None:
            return part, part.visible.y + part.visible.height / 2
    tiers = [band for band in wall.bands if band.kind in TIERS]
    if not tiers:
        return None
    part = next(part for part in wall.panels if part.tier == tiers[-1].kind)
    return part, tiers[-1].top - min(UNDER_HEAD, tiers[-1].height / 2)


def spread(length: Length, spacing: Length, end: Length, step: Length) -> tuple[Length, ...]:
    """Even places along a length: as few as keep neighbours within the spacing and the outer ones within the end.

    The spacing is rounded up to the step where it stays within what is allowed, so that the ends get no longer;
    one place in the middle where the length is less than two ends.
    """
    between = length - 2 * end
    if between <= ZERO:
        return (length / 2,)
    bays = max(1, -(-between.mm // spacing.mm))
    pitch = between / bays
    rounded = pitch.floor_to(step)
    if rounded < pitch:
        rounded = rounded + step if rounded + step <= spacing else pitch
    start = (length - rounded * bays) / 2
    if start < ZERO:
        rounded, start = pitch, end
    return tuple(start + rounded * i for i in range(bays + 1))


def _line(
    cab: Cab,
    wall: Wall,
    kind: FixingKind,
    part: Part,
    axis: Literal["x", "y"],
    across: Length,
    spacing: Length,
    end: Length,
    through: Length | None,
) -> FixingLine:
    row = Rect(wall.margins[0], ZERO, wall.run, wall.height)
    body = row if kind == "pad-stud" else part.body or row
    start, length = (body.x, body.width) if axis == "x" else (body.y, body.height)
    wanted = [start + at for at in spread(length, spacing, end, cab.increment)]
    barred = list(_barred(cab, wall, kind, axis, across))
    kept: list[tuple[Length, Length, Meets | None]] = []
    left_out: list[tuple[Length, Meets]] = []
    edge = min(end, KEEP_OFF)
    reach = (start + edge, start + length - edge)
    for at in wanted:
        met = _meets(at, barred)
        if met is None:
            kept.append((at, at, None))
            continue
        place = _clear(at, barred, reach, spacing / 2, cab.increment)
        if place is None or any(abs(place - other) < 2 * KEEP_OFF for other, _, _ in kept):
            left_out.append((at, met))
        else:
            kept.append((place, at, met))
    kept += _more(cab, [at for at, _, _ in kept], barred, reach, spacing)
    kept.sort(key=lambda place: place[0])
    fixings = tuple(
        Fixing(n, at if axis == "x" else across, across if axis == "x" else at, was, met)
        for n, (at, was, met) in enumerate(kept, 1)
    )
    return FixingLine(
        kind, wall.name, part.mark, axis, spacing, fixings, tuple(left_out),
        _widest([at for at, _, _ in kept], start, start + length, end), through,
    )  # fmt: skip


def _widest(places: Sequence[Length], low: Length, high: Length, end: Length) -> Length:
    """The greatest distance between neighbours; from an end, what it is more than the end allows counts as well."""
    if not places:
        return high - low
    return max([b - a for a, b in pairwise(places)] + [places[0] - low - end, high - places[-1] - end, ZERO])


def _more(
    cab: Cab,
    places: list[Length],
    barred: Sequence[tuple[Length, Length, Meets]],
    reach: tuple[Length, Length],
    spacing: Length,
) -> list[tuple[Length, Length, Meets | None]]:
    """Places to add in bays that moving has made too wide, as far as that makes them less wide."""
    there = sorted(places)
    added: list[tuple[Length, Length, Meets | None]] = []
    for a, b in list(pairwise(there)):
        if b - a <= spacing:
            continue
        middle = (a + b) / 2
        met = _meets(middle, barred)
        place = middle if met is None else _clear(middle, barred, reach, (b - a) / 2 - 2 * KEEP_OFF, cab.increment)
        if place is not None and a + 2 * KEEP_OFF < place < b - 2 * KEEP_OFF:
            added.append((place, middle, met))
    return added


def _meets(at: Length, barred: Sequence[tuple[Length, Length, Meets]]) -> Meets | None:
    return next((met for low, high, met in barred if low < at < high), None)


def _clear(
    at: Length,
    barred: Sequence[tuple[Length, Length, Meets]],
    reach: tuple[Length, Length],
    furthest: Length,
    step: Length,
) -> Length | None:
    """The nearest clear place on a line, in whole increments from where it was wanted; None where there is none."""
    edges = [low for low, _, _ in barred] + [high for _, high, _ in barred]
    options = []
    for edge in edges:
        off = at - edge if edge < at else edge - at
        steps = -(-off.mm // step.mm)
        place = at - step * steps if edge < at else at + step * steps
        if reach[0] <= place <= reach[1] and abs(place - at) <= furthest and _meets(place, barred) is None:
            options.append(place)
    return min(options, key=lambda place: (abs(place - at), place), default=None)


def _barred(
    cab: Cab, wall: Wall, kind: FixingKind, axis: Literal["x", "y"], across: Length
) -> Iterator[tuple[Length, Length, Meets]]:
    """The stretches of a line in which no fixing may stand, each with what is there."""
    assert cab.fixings is not None
    for index, thing in enumerate(wall.obstructions):
        if thing.behind < cab.fixings.screw_reach:
            yield from _stretch(thing.rect.grown(KEEP_OFF), axis, across, Meets(thing.what, "obstruction", index))
    for index, fixture in enumerate(wall.fixtures):
        grown = fixture.opening.grown(KEEP_OFF_FIXTURE)
        yield from _stretch(grown, axis, across, Meets(fixture.what, "fixture", index))
    if kind == "pad-stud":
        keep = wall.reveal / 2 + KEEP_OFF_JOINT
        for number, (x, width) in enumerate(wall.columns[:-1], 1):
            middle = x + width + wall.reveal / 2
            yield middle - keep, middle + keep, Meets(f"joint {number}", "joint", number)


def _stretch(rect: Rect, axis: Literal["x", "y"], across: Length, met: Meets) -> Iterator[tuple[Length, Length, Meets]]:
    if axis == "x" and rect.y < across < rect.top:
        yield rect.x, rect.right, met
    elif axis == "y" and rect.x < across < rect.right:
        yield rect.y, rect.top, met

"""A wall's handrail: its length, its standoffs, and the bolt that holds it; and where its standoffs may be put."""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.cab import Band, Bolt, Joint, Placing, Rail, Standoff, Wall, WallName
from cabdraw.frozen import replace
from cabdraw.rational import Fraction
from cabdraw.resolve.problems import Problems
from cabdraw.resolve.row import Row
from cabdraw.resolve.standoffs import clear_set, keep_outs
from cabdraw.spec.schema import Handrail, Panel, Spec, SurveyWall
from cabdraw.units import INCH, ZERO, Length, Printing, least_within

#: From the end of a rail to the first standoff, at least, where standoffs are moved (common practice: 3 in).
LEAST_OVERHANG = Length(INCH * 3)
#: How far off the rail's centre line an old hole may be and still hold a standoff (common practice: 1/16 in).
OFF_LINE = Length(INCH * Fraction(1, 16))


#: Where in the spec it stands how standoffs come by their places.
_BY = ("handrail", "standoffs")


def rail_line(handrail: Handrail, bands: Sequence[Band]) -> tuple[Length, Band] | None:
    """The height of a rail's centre line and the band it is bolted through; None where there is no such band."""
    for kind in ("backer", "full"):
        band = next((band for band in bands if band.kind == kind), None)
        if band is None:
            continue
        if kind == "backer":
            return band.y + band.height / 2, band
        if handrail.centre is not None:
            return handrail.centre, band
        if handrail.rail_top is not None:
            return handrail.rail_top - handrail.section.height / 2, band
    return None


def resolve_rail(
    spec: Spec,
    wall: WallName,
    survey: SurveyWall,
    panel: Panel,
    row: Row,
    bands: Sequence[Band],
    problems: Problems,
) -> Rail | None:
    """A wall's rail; None where it has none, or with a problem.

    The number of standoffs is the least that keeps their spacing within `max_spacing`, at least two;
    the spacing is rounded down to the increment, and the row of standoffs is centred on the rail.
    """
    handrail = spec.handrail
    if handrail is None or wall not in handrail.walls:
        return None
    line = rail_line(handrail, bands)
    if line is None:
        return None
    size = Printing.of(spec.units, spec.step).size
    y, band = line[0].called(f"centre line of the {wall} wall's rail"), line[1]
    if not band.y < y < band.top:
        problems.add(
            ("handrail", "centre" if handrail.centre is not None else "rail_top"),
            f"the rail's centre line at {size(y)} is not on the {band.kind} tier that it is bolted through,"
            f" which stands from {size(band.y)} to {size(band.top)}",
            "move the rail",
            wall,
        )
        return None
    of = f"of the {wall} wall's rail"
    length = (row.run - 2 * handrail.end_clearance).called(f"length {of}")
    between = (length - 2 * handrail.overhang).called(f"length {of} between its nominal overhangs")
    bays = between.fewest(handrail.max_spacing, f"how many spacings between the standoffs {of}")
    spacing = (between / bays).floor_to(spec.step).called(f"spacing of the standoffs {of}")
    if spacing <= ZERO:
        key = "end_clearance" if length <= ZERO else "overhang"
        problems.add(
            ("handrail", key),
            f"the row is {size(row.run)} long; less the end clearance {size(handrail.end_clearance)} and the overhang"
            f" {size(handrail.overhang)} at both ends, that leaves no room for two standoffs",
            "make them less, or give this wall no rail",
            wall,
        )
        return None
    first = ((length - spacing * bays) / 2).called(f"overhang {of}")
    x = (row.margins[0] + handrail.end_clearance).called(f"left end {of}")
    return Rail(
        length=length,
        x=x,
        y=y,
        shape="round" if handrail.section.round is not None else "flat",
        height=handrail.section.height,
        thickness=handrail.section.thickness,
        standoff=handrail.standoff,
        standoffs=tuple(Standoff(i + 1, x + first + spacing * i, y) for i in range(bays + 1)),
        placing=_placing(handrail, spec.step),
        pilot=handrail.pilot,
        hole=handrail.hole,
        bolted=handrail.bolt is not None,
        bolt=_bolt(handrail, survey, panel),
        insertion=handrail.bolt.insertion if handrail.bolt is not None else None,
        flange=handrail.bolt.flange if handrail.bolt is not None else None,
        through=band.kind,
    )


def _placing(handrail: Handrail, step: Length) -> Placing:
    nominal = handrail.overhang
    return Placing(
        by=handrail.standoffs,
        overhang=nominal,
        least_overhang=handrail.min_overhang if handrail.min_overhang is not None else min(LEAST_OVERHANG, nominal),
        greatest_overhang=handrail.max_overhang if handrail.max_overhang is not None else nominal,
        least_spacing=min(handrail.min_spacing, handrail.max_spacing),
        greatest_spacing=handrail.max_spacing,
        step=step,
    )


def placed(wall: Wall, joint: Joint, printing: Printing, problems: Problems) -> Wall:
    """The wall with its standoffs where the spec wants them: by the rule, clear of what is in the way, in old holes.

    Where no set is clear, the rule's stays, and the checks say what is in its way. A wall without old holes
    keeps the rule's.
    """
    rail = wall.rail
    if rail is None or rail.placing.by == "rule":
        return wall
    if rail.placing.by == "clear":
        found = clear_set(rail, tuple(keep_outs(wall, rail, joint)))
        if found is None:
            return wall
        places = [(x, rail.y) for x in found.places]
    elif not wall.holes:
        return replace(wall, rail=replace(rail, placing=replace(rail.placing, by="rule")))
    else:
        places = sorted({(h.x, h.y) for h in wall.holes if abs(h.y - rail.y) <= OFF_LINE and rail.x < h.x < rail.right})
        if len({x for x, _ in places}) < max(2, len(places)):
            _too_few(wall, rail, len(places), printing, problems)
            return wall
    how = {"clear": "clear of what is in the way", "existing": "in an old hole"}[rail.placing.by]
    standoffs = tuple(
        Standoff(number, x.called(f"x of standoff {number} of the {wall.name} wall's rail, {how}", _BY), y)
        for number, (x, y) in enumerate(places, 1)
    )
    return replace(wall, rail=replace(rail, standoffs=standoffs))


def _too_few(wall: Wall, rail: Rail, there: int, printing: Printing, problems: Problems) -> None:
    size = printing.size
    counted = ("none of the wall's old holes is", "one of the wall's old holes is")[there] if there < 2 else ""
    what = (
        f"standoffs are to go in existing holes, and {counted} within {size(OFF_LINE)} of the rail's centre line at"
        f" {size(rail.y)} and between its ends, {size(rail.x)} and {size(rail.right)} from the wall's left end"
        if counted
        else f"standoffs are to go in existing holes, and two of those on the rail's line at {size(rail.y)} stand one"
        " over the other"
    )
    hint = "give at least two in holes: [{x, y, diameter}], or write standoffs: rule"
    problems.add(("survey", "walls", wall.name), what, hint, wall.name)


def _bolt(handrail: Handrail, survey: SurveyWall, panel: Panel) -> Bolt | None:
    """The shortest stock bolt whose ends both hold; None where no bolt or no shell thickness is given."""
    if handrail.bolt is None or survey.shell is None:
        return None
    least, most = handrail.bolt.standoff_thread
    stack = (panel.total_thickness + panel.air_gap + survey.shell).called("what the bolt goes through")
    depth = survey.behind.depth if survey.behind.verified is not None else None
    shortest = (stack + least + handrail.bolt.anchor).called("shortest bolt whose ends both hold")
    longest = (stack + most + depth).called("longest bolt that there is room for") if depth is not None else None
    length = least_within(handrail.bolt.lengths, shortest, longest)
    return Bolt(stack, length, shortest, longest, handrail.bolt.standoff_thread, handrail.bolt.anchor)

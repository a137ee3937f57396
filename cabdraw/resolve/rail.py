"""A wall's handrail: its length, its standoffs, and the bolt that holds it."""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.cab import Band, Bolt, Rail, Standoff, WallName
from cabdraw.resolve.problems import Problems
from cabdraw.resolve.row import Row
from cabdraw.spec.schema import Handrail, Panel, Spec, SurveyWall
from cabdraw.units import ZERO, Length, Printing


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
    y, band = line
    if not band.y < y < band.top:
        problems.add(
            ("handrail", "centre" if handrail.centre is not None else "rail_top"),
            f"the rail's centre line at {size(y)} is not on the {band.kind} tier that it is bolted through,"
            f" which stands from {size(band.y)} to {size(band.top)}",
            "move the rail",
            wall,
        )
        return None
    length = row.run - 2 * handrail.end_clearance
    between = length - 2 * handrail.overhang
    bays = max(1, -(-between.mm // handrail.max_spacing.mm))
    spacing = (between / bays).floor_to(spec.step)
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
    overhang = (length - spacing * bays) / 2
    x = row.margins[0] + handrail.end_clearance
    return Rail(
        length=length,
        x=x,
        y=y,
        shape="round" if handrail.section.round is not None else "flat",
        height=handrail.section.height,
        thickness=handrail.section.thickness,
        standoff=handrail.standoff,
        spacing=spacing,
        overhang=overhang,
        standoffs=tuple(Standoff(i + 1, x + overhang + spacing * i, y) for i in range(bays + 1)),
        pilot=handrail.pilot,
        hole=handrail.hole,
        bolted=handrail.bolt is not None,
        bolt=_bolt(handrail, survey, panel),
        insertion=handrail.bolt.insertion if handrail.bolt is not None else None,
        flange=handrail.bolt.flange if handrail.bolt is not None else None,
        through=band.kind,
    )


def _bolt(handrail: Handrail, survey: SurveyWall, panel: Panel) -> Bolt | None:
    """The shortest stock bolt whose ends both hold; None where no bolt or no shell thickness is given."""
    if handrail.bolt is None or survey.shell is None:
        return None
    least, most = handrail.bolt.standoff_thread
    stack = panel.total_thickness + panel.air_gap + survey.shell
    depth = survey.behind.depth if survey.behind.verified is not None else None
    shortest = stack + least + handrail.bolt.anchor
    longest = stack + most + depth if depth is not None else None
    fitting = [size for size in handrail.bolt.lengths if size >= shortest and (longest is None or size <= longest)]
    return Bolt(stack, min(fitting, default=None), shortest, longest)

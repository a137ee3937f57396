"""One wall: its governing sizes, its row, its stack, its rail and its parts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cabdraw.cab import (
    Band,
    Fixture,
    Joint,
    Layer,
    Obstruction,
    OldHole,
    Part,
    Place,
    Places,
    Readings,
    Rect,
    Verified,
    Wall,
    WallName,
)
from cabdraw.errors import Path
from cabdraw.resolve.measured import above_high_point, governing
from cabdraw.resolve.openings import cut_parts
from cabdraw.resolve.parts import WallParts
from cabdraw.resolve.problems import Problems
from cabdraw.resolve.rail import placed, resolve_rail
from cabdraw.resolve.row import margin_places, projection, resolve_row
from cabdraw.resolve.stack import resolve_stack
from cabdraw.spec.schema import LayoutWall, Spec, SurveyWall
from cabdraw.spec.survey import Fixture as SurveyedFixture
from cabdraw.spec.survey import Obstruction as SurveyedObstruction
from cabdraw.units import ZERO, Printing


def resolve_wall(
    spec: Spec, name: WallName, layout: LayoutWall, survey: SurveyWall, joint: Joint, problems: Problems
) -> Wall | None:
    """One wall with every size; None, and problems, where it cannot be."""
    path: Path = ("layout", "walls", name)
    panel = layout.panel or spec.layout.panel
    uncertainty, finish = spec.survey.uncertainty, spec.survey.floor_finish
    heights = above_high_point(survey.height or spec.survey.height, survey.floor)
    width = governing(survey.width, uncertainty, f"width of the {name} wall").called(f"width of the {name} wall")
    height = governing(heights, uncertainty, f"height of the {name} wall") - finish
    height = height.called(f"height of the {name} wall")
    places = _places(spec, name, layout, survey)
    row = resolve_row(spec, name, layout, path, width, problems)
    bands = resolve_stack(spec, name, layout.stack or spec.layout.stack, places.stack, height, problems)
    _within(spec, name, survey, problems)
    if row is None or bands is None or problems.of(name):
        return None
    rail = resolve_rail(spec, name, survey, panel, row, bands, problems)
    reveal = spec.layout.reveal if layout.reveal is None else layout.reveal
    thickness = panel.total_thickness.called(f"thickness of the {name} wall's panels")
    parts = WallParts(name, joint, bands, row, reveal, thickness, panel.edge, panel.grain).make(rail)
    edge: Path = (*path, "panel", "edge") if layout.panel is not None else ("layout", "panel", "edge")
    _some_size(spec, name, parts, bands, (places.stack, edge), problems)
    if problems.of(name):
        return None
    verified = survey.behind.verified
    fixtures = tuple(Fixture(f.what, Rect(f.x, f.y - finish, f.width, f.height), f.clearance) for f in survey.fixtures)
    wall = Wall(
        name=name,
        width=width,
        height=height,
        projection=projection(spec, name),
        margins=row.margins,
        gaps=row.gaps,
        run=row.run,
        reveal=reveal,
        thickness=thickness,
        layers=tuple(Layer(layer.material, layer.thickness) for layer in panel.layers or ()),
        air_gap=panel.air_gap,
        edge=panel.edge,
        grain=panel.grain,
        bands=bands,
        columns=row.columns,
        parts=cut_parts(parts, fixtures),
        rail=rail,
        fixtures=fixtures,
        obstructions=tuple(
            Obstruction(o.what, Rect(o.x, o.y - finish, o.width, o.height), o.behind)
            for o in survey.behind.obstructions
        ),
        shell=survey.shell,
        depth=survey.behind.depth,
        verified=Verified(verified.by, verified.date) if verified is not None else None,
        readings=Readings(
            survey.width,
            tuple(height - finish for height in heights),
            survey.floor,
            survey.bow,
            survey.twist,
            survey.heads,
        ),
        places=places,
        holes=tuple(OldHole(h.x, h.y - finish, h.diameter) for h in survey.holes),
    )
    wall = placed(wall, joint, Printing.of(spec.units, spec.step), problems)
    return None if problems.of(name) else wall


def _places(spec: Spec, name: WallName, layout: LayoutWall, survey: SurveyWall) -> Places:
    surveyed: Place = ("survey", "walls", name)
    return Places(
        height=(*surveyed, "height") if survey.height is not None else ("survey", "height"),
        floor=(*surveyed, "floor") if survey.floor is not None else None,
        stack=("layout", "walls", name, "stack") if layout.stack is not None else ("layout", "stack"),
        margins=margin_places(spec, name, layout),
    )


def _within(spec: Spec, name: WallName, survey: SurveyWall, problems: Problems) -> None:
    """A fixture or an obstruction that reaches outside its wall is a problem."""
    size = Printing.of(spec.units, spec.step).size
    widest, tallest = max(survey.width), max(survey.height or spec.survey.height)
    surveyed: tuple[tuple[Path, Sequence[SurveyedFixture | SurveyedObstruction]], ...] = (
        (("fixtures",), survey.fixtures),
        (("behind", "obstructions"), survey.behind.obstructions),
    )
    for key, found in surveyed:
        for index, thing in enumerate(found):
            at: Path = ("survey", "walls", name, *key, index)
            right, top = thing.x + thing.width, thing.y + thing.height
            if right > widest:
                what = (
                    f"the {thing.what} reaches to {size(right)} from its left end, and the wall is {size(widest)} wide"
                )
                problems.add(at, what, "x counts from the wall's left end as seen from inside", name)
            if top > tallest:
                what = f"the {thing.what} reaches to {size(top)} from the floor, and the wall is {size(tallest)} high"
                problems.add(at, what, "y counts from the floor as it was surveyed", name)
    for index, hole in enumerate(survey.holes):
        if hole.x > widest or hole.y > tallest:
            what = (
                f"the hole at {size(hole.x)} across and {size(hole.y)} up is not on the wall,"
                f" which is {size(widest)} wide and {size(tallest)} high"
            )
            hint = "x counts from the wall's left end, y from the floor as it was surveyed"
            problems.add(("survey", "walls", name, "holes", index), what, hint, name)


def _some_size(
    spec: Spec,
    name: WallName,
    parts: Sequence[Part],
    bands: Sequence[Band],
    places: tuple[Path, Path],
    problems: Problems,
) -> None:
    """A part that comes out at nothing is a problem, told once for all parts of its band or its column.

    `places` are where the stack and the edge bands' thickness stand in the spec.
    """
    size = Printing.of(spec.units, spec.step).size
    stack, edge = places
    heights = {band.kind: band.height for band in bands}
    for part in parts:
        if part.core is not None and min(part.core) <= ZERO:
            band = f"{part.tier} tier" if part.tier is not None else part.kind
            what = f"panel {part.order} is {size(part.width)} wide"
            if part.core[1] <= ZERO:
                what = f"the {band} is {size(part.height)} high"
            banded = part.height - part.core[1]
            what += f", and the bands on its edges, {size(banded / 2)} each, leave nothing of its core"
            problems.add(edge, what, "give a thinner edge, or make it larger", name)
        elif part.kind == "vertical-spline" and part.height <= ZERO:
            assert part.tier is not None
            high = heights[part.tier]
            what = (
                f"the {part.tier} tier is {size(high)} high, and its splines must end {size(high - part.height)} short"
                " of that in all, to clear what is below and above"
            )
            at = next(i for i, band in enumerate(bands) if band.kind == part.tier)
            problems.add((*stack, at, part.tier), what, "make the tier higher", name)


def named(spec: Spec) -> Iterator[tuple[WallName, LayoutWall, SurveyWall]]:
    """The walls that get panels, with their layout and their survey, in the order back, left, right."""
    surveyed = dict(spec.survey.walls.named())
    for name, layout in spec.layout.walls.named():
        yield name, layout, surveyed[name]

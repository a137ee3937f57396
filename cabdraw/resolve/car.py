"""The whole car: each wall by itself, then what lies between walls."""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.cab import (
    Cab,
    CarMass,
    Clear,
    Fixings,
    Fixture,
    Job,
    Joint,
    Layer,
    Obstruction,
    Readings,
    Rect,
    Revision,
    Sheet,
    Survey,
    Verified,
    Wall,
    WallName,
)
from cabdraw.errors import BadSpec, Path, Problem
from cabdraw.resolve.finishes import resolve_finishes
from cabdraw.resolve.front import corner_trims, front_trims, resolve_front
from cabdraw.resolve.measured import above_high_point, governing
from cabdraw.resolve.openings import cut_parts
from cabdraw.resolve.parts import WallParts
from cabdraw.resolve.rail import resolve_rail
from cabdraw.resolve.row import projection, resolve_row
from cabdraw.resolve.stack import resolve_stack
from cabdraw.resolve.stock import resolve_stock
from cabdraw.spec import Document
from cabdraw.spec.schema import LayoutWall, Spec, SurveyWall
from cabdraw.spec.survey import Fixture as SurveyedFixture
from cabdraw.spec.survey import Obstruction as SurveyedObstruction
from cabdraw.units import ZERO, Length, Printing


def resolve(document: Document) -> Cab:
    """Work out every size of the car that a spec describes.

    Raises `BadSpec` with everything that cannot be: a row without room, a stack taller than its wall.
    """
    spec = document.spec
    problems: list[Problem] = []
    walls: dict[WallName, Wall] = {}
    for name, layout in spec.layout.walls.named():
        survey = getattr(spec.survey.walls, name)
        wall = _wall(spec, name, layout, survey, problems)
        if wall is not None:
            walls[name] = wall
    front = resolve_front(spec)
    trims = front_trims(spec, front, problems)
    if problems:
        raise BadSpec(tuple(document.locate(problem) for problem in problems))
    car = spec.survey.car
    job = spec.job
    finishes, wall_finishes = resolve_finishes(spec)
    return Cab(
        name=document.name,
        printing=Printing.of(spec.units, spec.step),
        increment=spec.step,
        job=Job(
            **{key: getattr(job, key) for key in type(job).model_fields if key != "revisions"},
            revisions=tuple(Revision(r.mark, r.date, r.by, r.note) for r in job.revisions),
        ),
        survey=Survey(spec.survey.by, spec.survey.date, spec.survey.uncertainty, spec.survey.floor_finish),
        joint=_joint(spec),
        walls=walls,
        trims=corner_trims(spec, walls) + trims,
        clear=_clear(spec, walls),
        front=front,
        mass=CarMass(car.rated_load, car.mass, car.removed) if car is not None else CarMass(None, None, None),
        fixings=Fixings(**{key: getattr(spec.fixings, key) for key in type(spec.fixings).model_fields})
        if spec.fixings is not None
        else None,
        rules=spec.rules,
        stock=resolve_stock(spec),
        sheet=Sheet(spec.sheet.size, spec.sheet.scale, spec.sheet.dual),
        finishes=finishes,
        wall_finishes=wall_finishes,
    )


def _joint(spec: Spec) -> Joint:
    joint = spec.layout.joint
    return Joint(**{key: getattr(joint, key) for key in Joint.__dataclass_fields__})


def _wall(spec: Spec, name: WallName, layout: LayoutWall, survey: SurveyWall, problems: list[Problem]) -> Wall | None:
    """One wall with its row, its stack, its rail and its parts; None, and problems in the list, where it cannot be."""
    before = len(problems)
    path: Path = ("layout", "walls", name)
    panel = layout.panel or spec.layout.panel
    uncertainty, finish = spec.survey.uncertainty, spec.survey.floor_finish
    heights = above_high_point(survey.height or spec.survey.height, survey.floor)
    width, height = governing(survey.width, uncertainty), governing(heights, uncertainty) - finish
    if width <= ZERO or height <= ZERO:
        key = "width" if width <= ZERO else "height"
        at: Path = ("survey", "walls", name, key) if key == "width" or survey.height else ("survey", "height")
        problems.append(Problem(at, f"on the {name} wall, what is taken off it leaves nothing", "check uncertainty"))
        return None
    row = resolve_row(spec, name, layout, path, width, problems)
    stack_path: Path = (*path, "stack") if layout.stack is not None else ("layout", "stack")
    bands = resolve_stack(spec, name, layout.stack or spec.layout.stack, stack_path, height, problems)
    fixtures, obstructions = _surveyed(spec, name, survey, problems)
    if row is None or len(problems) > before:
        return None
    rail = resolve_rail(spec, name, survey, panel, row, bands, problems)
    reveal = spec.layout.reveal if layout.reveal is None else layout.reveal
    maker = WallParts(name, _joint(spec), bands, row.columns, reveal, panel.total_thickness, panel.edge, panel.grain)
    parts = maker.make(rail)
    printing = Printing.of(spec.units, spec.step)
    for part in parts:
        least = min(part.width, part.height, *(part.core or ()))
        if least <= ZERO:
            at = ("layout", "panel", "edge") if part.core and min(part.width, part.height) > ZERO else stack_path
            problems.append(
                Problem(
                    at,
                    f"{part.mark} comes out {printing.size(part.width)} wide and {printing.size(part.height)} high",
                    "its band is too low for the joint's engagement, clearance and spline_lift"
                    if part.core is None
                    else "the edge bands take all of its core",
                )
            )
    if len(problems) > before:
        return None
    verified = survey.behind.verified
    return Wall(
        name=name,
        width=width,
        height=height,
        projection=projection(spec, name),
        margins=row.margins,
        gaps=row.gaps,
        run=maker.run,
        reveal=reveal,
        thickness=panel.total_thickness,
        layers=tuple(Layer(layer.material, layer.thickness) for layer in panel.layers or ()),
        air_gap=panel.air_gap,
        edge=panel.edge,
        grain=panel.grain,
        bands=bands,
        columns=row.columns,
        parts=cut_parts(parts, fixtures),
        rail=rail,
        fixtures=fixtures,
        obstructions=obstructions,
        shell=survey.shell,
        depth=survey.behind.depth,
        verified=Verified(verified.by, verified.date) if verified is not None else None,
        readings=Readings(survey.width, tuple(height - finish for height in heights), survey.floor),
    )


def _surveyed(
    spec: Spec, name: WallName, survey: SurveyWall, problems: list[Problem]
) -> tuple[tuple[Fixture, ...], tuple[Obstruction, ...]]:
    """Fixtures and obstructions above the finished floor; one that lies outside its wall is a problem."""
    printing = Printing.of(spec.units, spec.step)
    finish = spec.survey.floor_finish
    widest, tallest = max(survey.width), max(survey.height or spec.survey.height)
    surveyed: tuple[tuple[Path, Sequence[SurveyedFixture | SurveyedObstruction]], ...] = (
        (("fixtures",), survey.fixtures),
        (("behind", "obstructions"), survey.behind.obstructions),
    )
    for key, found in surveyed:
        for index, thing in enumerate(found):
            right, top = thing.x + thing.width, thing.y + thing.height
            if right > widest or top > tallest:
                axis, reach, limit = ("right", right, widest) if right > widest else ("up", top, tallest)
                problems.append(
                    Problem(
                        ("survey", "walls", name, *key, index),
                        f"the {thing.what} reaches {printing.size(reach)} {axis}, outside the {name} wall, which is"
                        f" {printing.size(limit)} {'wide' if axis == 'right' else 'high'}",
                        "measure x from the wall's left end as seen from inside, y from the floor",
                    )
                )
    return (
        tuple(Fixture(f.what, Rect(f.x, f.y - finish, f.width, f.height), f.clearance) for f in survey.fixtures),
        tuple(
            Obstruction(o.what, Rect(o.x, o.y - finish, o.width, o.height), o.behind)
            for o in survey.behind.obstructions
        ),
    )


def _clear(spec: Spec, walls: dict[WallName, Wall]) -> Clear:
    """The clear size inside: the back wall's width less the side walls' projections, and so on."""
    back = walls.get("back")
    sides = [walls[name] for name in ("left", "right") if name in walls]
    width: Length | None = None
    if back is not None:
        width = back.width
    elif spec.survey.width is not None:
        width = governing(spec.survey.width, spec.survey.uncertainty)
    if width is not None:
        for side in sides:
            width -= side.projection
    depth = min((side.width for side in sides), default=None)
    if depth is not None and back is not None:
        depth -= back.projection
    return Clear(width, depth, min(wall.height for wall in walls.values()))

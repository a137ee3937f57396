"""The whole car: each wall by itself, then what lies between walls."""

from __future__ import annotations

from collections.abc import Mapping

from cabdraw.cab import (
    Cab,
    CarMass,
    Clear,
    Job,
    Joint,
    Revision,
    Sheet,
    Survey,
    Wall,
    WallName,
)
from cabdraw.errors import BadSpec
from cabdraw.frozen import names
from cabdraw.resolve.finishes import resolve_finishes
from cabdraw.resolve.front import corner_trims, front_trims, resolve_front
from cabdraw.resolve.measured import governing
from cabdraw.resolve.practice import resolve_practice
from cabdraw.resolve.problems import Problems
from cabdraw.resolve.site import resolve_fixings, resolve_site, resolve_tolerances
from cabdraw.resolve.stock import resolve_stock
from cabdraw.resolve.wall import named, resolve_wall
from cabdraw.spec import Document
from cabdraw.spec.schema import Spec
from cabdraw.units import ZERO, Length, Printing, least


def resolve(document: Document) -> Cab:
    """Work out every size of the car that a spec describes.

    Raises `BadSpec` with everything that cannot be: a row without room, a stack taller than its wall.
    """
    spec = document.spec
    problems = Problems()
    joint = _joint(spec)
    walls: dict[WallName, Wall] = {}
    for name, layout, survey in named(spec):
        wall = resolve_wall(spec, name, layout, survey, joint, problems)
        if wall is not None:
            walls[name] = wall
    front = resolve_front(spec)
    trims = front_trims(spec, front, problems)
    clear = _clear(spec, walls, problems) if not problems else None
    if problems or clear is None:
        raise BadSpec(tuple(document.source.in_order(map(document.locate, problems.all()))))
    car = spec.survey.car
    job = spec.job
    finishes, wall_finishes = resolve_finishes(spec)
    return Cab(
        name=document.name,
        printing=Printing.of(spec.units, spec.step),
        increment=spec.step,
        job=Job(
            **{key: getattr(job, key) for key in job.format_keys if key != "revisions"},
            revisions=tuple(Revision(r.mark, r.date, r.by, r.note) for r in job.revisions),
        ),
        survey=Survey(
            spec.survey.by, spec.survey.date, spec.survey.uncertainty, spec.survey.floor_finish, spec.survey.diagonals
        ),
        joint=joint,
        walls=walls,
        trims=corner_trims(spec, walls) + trims,
        clear=clear,
        front=front,
        mass=CarMass(car.rated_load, car.mass, car.removed) if car is not None else CarMass(None, None, None),
        fixings=resolve_fixings(spec),
        site=resolve_site(spec),
        rules=spec.rules,
        published=document.rules,
        tolerances=resolve_tolerances(spec),
        practice=resolve_practice(spec),
        tile=spec.install.tile or ("Letter" if spec.units == "inch" else "A4"),
        stock=resolve_stock(spec),
        sheet=Sheet(spec.sheet.size, spec.sheet.scale, spec.sheet.dual),
        finishes=finishes,
        wall_finishes=wall_finishes,
    )


def _joint(spec: Spec) -> Joint:
    joint = spec.layout.joint
    return Joint(**{key: getattr(joint, key) for key in names(Joint)})


def _clear(spec: Spec, walls: Mapping[WallName, Wall], problems: Problems) -> Clear:
    """The clear size inside: the back wall's width less the side walls' projections, and so on."""
    back = walls.get("back")
    sides = [walls[name] for name in ("left", "right") if name in walls]
    width: Length | None = None
    if back is not None:
        width = back.width
    elif spec.survey.width is not None:
        width = governing(spec.survey.width, spec.survey.uncertainty, "width of the car").called("width of the car")
    if width is not None:
        for side in sides:
            width -= side.projection
    depth = least(side.width for side in sides) if sides else None
    if depth is not None and back is not None:
        depth -= back.projection
    across = [("width", width, sides), ("depth", depth, [back] if back is not None else [])]
    for called, clear, panelled in across:
        if clear is not None and clear <= ZERO:
            size = Printing.of(spec.units, spec.step).size
            stand = " and ".join(f"{size(wall.projection)} off the {wall.name} wall" for wall in panelled)
            what = f"panels that stand {stand} leave nothing of the car's clear {called}"
            problems.add(("layout", "panel"), what, "make air_gap or thickness less")
    return Clear(width, depth, least(wall.height for wall in walls.values()))

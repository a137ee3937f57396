"""`cabdraw draw`: the whole package of one car or of several."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from cabdraw.cli import completion
from cabdraw.cli.app import (
    WALLS,
    AsJson,
    Cars,
    Quiet,
    Specs,
    app,
    asked,
    guarded,
    known_walls,
    marks,
    reported,
    resolved,
    same_mark,
)
from cabdraw.errors import BadSpec
from cabdraw.examples import DRAW_EXAMPLES
from cabdraw.frozen import replace
from cabdraw.print_scale import TRUE, NotAPrintScale, PrintScale, parse_print_scale
from cabdraw.progress import COMMAND_WRONG, FINE, SPEC_WRONG, Asked, Report, clean, counted
from cabdraw.stop import Standing

if TYPE_CHECKING:
    from cabdraw.cab import Cab
    from cabdraw.package import Drawn

CamVersion = Literal["r2000", "r12"]


def typed_print_scale(typed: str | None) -> str | None:
    """A print scale as it was typed; a wrong command for what is none."""
    try:
        if typed is not None:
            parse_print_scale(typed)
    except NotAPrintScale as mistake:
        raise typer.BadParameter(clean(str(mistake))) from None
    return typed


def cam_version(version: str) -> CamVersion:
    """The version of DXF for machines; a wrong command for one that is not written."""
    known: dict[str, CamVersion] = {"r2000": "r2000", "r12": "r12"}
    if version.strip().lower() not in known:
        raise typer.BadParameter(f"there is no version called {clean(version)!r} here, only r2000 and r12.")
    return known[version.strip().lower()]


def cars_at_once(number: int) -> int:
    """How many cars are drawn at once; a wrong command for none, or for more than any machine takes."""
    if not 1 <= number <= 64:
        raise typer.BadParameter(f"{number} cars cannot be drawn at once, only 1 to 64.")
    return number


@app.command(epilog=DRAW_EXAMPLES)
def draw(
    specs: Specs,
    out: Annotated[
        Path, typer.Option("--out", "-o", metavar="FOLDER", help="Where to put the folder of each car.")
    ] = Path("out"),
    wall: Annotated[
        list[str] | None,
        typer.Option(
            "--wall",
            metavar="WALL",
            callback=known_walls,
            autocompletion=completion.words(*WALLS),
            help="Draw only this wall: back, left or right. May be given more than once.",
        ),
    ] = None,
    since: Annotated[
        Path | None,
        typer.Option(
            "--since",
            metavar="OLD",
            autocompletion=completion.specs,
            help="Draw clouds round what changed since this spec, as it was issued before. Takes one SPEC.",
        ),
    ] = None,
    print_scale: Annotated[
        str | None,
        typer.Option(
            "--print-scale",
            metavar="SCALE",
            callback=typed_print_scale,
            help="Correct drilling templates for a printer that is off: what their bars measure over what they should,"
            " e.g. 99.4/100, or 99.4/100x99.8/100 for the bars marked x and those marked y.",
        ),
    ] = None,
    cam: Annotated[
        str,
        typer.Option(
            "--cam",
            metavar="VERSION",
            callback=cam_version,
            help="The DXF of the flats for machines: r2000, or r12 for a machine that takes no other.",
        ),
    ] = "r2000",
    car: Cars = None,
    jobs: Annotated[
        int,
        typer.Option(
            "--jobs",
            "-j",
            metavar="N",
            callback=cars_at_once,
            help="Draw so many cars at once, up to 64, each in a process of its own.",
        ),
    ] = 1,
    quiet: Quiet = False,
    as_json: AsJson = False,
) -> None:
    """Draw everything that the job needs.

    SPEC is the file that describes one car, or several under cars:; more than one may be given.
    Each car gets a folder named after its spec: larkspur-car-2.yaml is drawn into out/larkspur-car-2,
    and car-3 of mill-row.yaml into out/mill-row-car-3.
    Several cars get one cut list and one nesting besides, in out/all-cars.

    What an earlier run wrote there is replaced. A file that cabdraw did not write, or that somebody
    changed since, is never overwritten or removed.
    """

    def work() -> int:
        cars = asked(specs, car or ())
        report = reported("draw", len(cars), quiet, as_json)
        return report.end(_draw(cars, out, wall or (), since, print_scale, cam_version(cam), jobs, report))

    raise typer.Exit(guarded(work))


def _draw(
    cars: Sequence[Asked],
    out: Path,
    walls: Sequence[str],
    since: Path | None,
    print_scale: str | None,
    cam: CamVersion,
    jobs: int,
    report: Report,
) -> int:
    import pickle

    from cabdraw.cli.jobs import at_once
    from cabdraw.compare import counted as changes
    from cabdraw.looked import copied_surveys

    scale = TRUE if print_scale is None else parse_print_scale(print_scale)

    if clash := _same_folder(cars):
        report.object(clash)
        return COMMAND_WRONG
    earlier = {} if since is None else _earlier(cars, since, report)
    if isinstance(earlier, int):
        return earlier

    # Until all are drawn each is put away as bytes: so it takes a fifth of the memory.
    put_away: list[bytes] = []
    draw_one = partial(_draw_one, out, walls, earlier, scale, cam)

    def one(car: Asked) -> int:
        nothing, whole = f"{car.said}: nothing was written", f"{car.said}: the whole package is there"
        Standing.said = nothing
        drawn = drawn_of(car)
        Standing.said = whole  # a process may have drawn it; no call stands between, at which Ctrl-C could come
        put_away.append(pickle.dumps(drawn))
        report.say(f"drawn, {counted(len(drawn.findings), 'finding')}{marks(drawn.findings)}")
        if since is not None and drawn.since is not None:
            report.changed(since, drawn.since, [changes(drawn.since), *same_mark(drawn.since)])
        report.findings(drawn)
        report.placed(drawn.placed)
        return drawn.status

    with at_once(jobs, draw_one, cars) as drawn_of:
        status = report.each(cars, one, "were drawn")
    every: list[Drawn] = [pickle.loads(each) for each in put_away]
    for line in copied_surveys(every):
        report.note(line)
    return max(status, _several(every, out, cam, report)) if len(cars) > 1 and not walls else status


def _draw_one(
    out: Path, walls: Sequence[str], earlier: Mapping[Asked, Cab], scale: PrintScale, cam: CamVersion, car: Asked
) -> Drawn:
    """Draw a car; its files are not kept, as they are on the disk, and a hundred cars' are half a gigabyte."""
    from cabdraw.package import draw_package

    return replace(draw_package(car.spec, out, walls, earlier.get(car), scale, cam, car.car), files={})


def _several(every: Sequence[Drawn], out: Path, cam: CamVersion, report: Report) -> int:
    """Write the lists over all cars that were drawn, and say which are not in them."""
    from cabdraw.package import SEVERAL, CannotPlace, draw_several

    Standing.said = f"{out / SEVERAL}: nothing was written"
    try:
        placed = draw_several(every, out, cam)
    except CannotPlace as refusal:
        for line in refusal.lines:
            report.object(line)
        return SPEC_WRONG
    if placed is None:
        return FINE
    report.several(placed, [each.cab.name for each in every if each.stopped])
    return FINE


def _earlier(cars: Sequence[Asked], since: Path, report: Report) -> dict[Asked, Cab] | int:
    """Each car as an earlier spec has it, the cars of one with `cars:` by their keys; or a status, and why is said."""
    from cabdraw.looked import cars_of

    keys = cars_of(since)
    if keys == (None,) and len(cars) > 1:
        report.object("nothing was drawn: --since is one car's earlier spec; give one SPEC with it")
        return COMMAND_WRONG
    earlier: dict[Asked, Cab] = {}
    for car in cars:
        key = None if keys == (None,) else car.car
        if key not in keys:
            known = ", ".join(map(str, keys))
            report.object(f"nothing was drawn: {since} has no earlier {car.name}; its cars are {known}")
            return COMMAND_WRONG
        found = resolved(Asked(since, key), report)
        if found is None:
            return SPEC_WRONG
        earlier[car] = found
    return earlier


def _same_folder(cars: Sequence[Asked]) -> str:
    """Which two cars would be drawn into one folder, the later over the earlier; empty if none would."""
    from cabdraw.package import SEVERAL, folder_called

    seen: dict[str, Asked] = {}
    for car in cars:
        try:
            name = folder_called(car.name, car.spec.name)
        except BadSpec:
            continue
        if len(cars) > 1 and name.casefold() == SEVERAL:
            return (
                f"nothing was drawn: {car.said} would go into {name}, the folder of the lists over all cars; rename it"
            )
        if (first := seen.setdefault(name.casefold(), car)) is not car:
            clash = f"{first.said} and {car.said} would go into one folder, {name}"
            return f"nothing was drawn: {clash}; draw one of them elsewhere, with --out"
    return ""

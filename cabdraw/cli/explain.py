"""`cabdraw explain`: how a size came about."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from cabdraw.cli import completion
from cabdraw.cli.app import OneCar, app, guarded, one_asked
from cabdraw.errors import BadSpec
from cabdraw.examples import EXPLAIN_EXAMPLES
from cabdraw.progress import COMMAND_WRONG, FINE, SPEC_WRONG, Asked, Report, clean, put


@app.command(epilog=EXPLAIN_EXAMPLES)
def explain(
    spec: Annotated[
        Path, typer.Argument(metavar="SPEC", show_default=False, hidden=True, autocompletion=completion.specs)
    ],
    sizes: Annotated[
        list[str] | None,
        typer.Argument(metavar="MARK[.SIZE]...", show_default=False, hidden=True, autocompletion=completion.marks),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Say it as JSON, with lengths in mm, exactly.")] = False,
    car: OneCar = None,
) -> None:
    """Say how a size came about, step by step and exactly.

    MARK is that of a part, a wall (back, left, right), or clear for the size inside the car. SIZE is a name such as
    width, height, thickness, core, x or y; of a wall also margins, gaps, run, bands or a band; of a rail spacing,
    overhang, standoff-1 and so on, or bolt. Without a SIZE all are explained, without a MARK what there is is listed.

    The steps lead from the readings to the rounding. Each has its numbers in the spec's units, exactly, and where in
    the spec they stand; a default names the key that would set it.
    """
    raise typer.Exit(guarded(lambda: _explain(one_asked(spec, car), sizes or (), as_json, Report(1, False))))


def _explain(car: Asked, asked: Sequence[str], as_json: bool, report: Report) -> int:
    import json

    from cabdraw.explain import NoSuchPart, Remembered, marks, told
    from cabdraw.resolve import resolve
    from cabdraw.spec import load

    try:
        document = load(car.spec, car.car)
        cab = resolve(document)
    except BadSpec as bad:
        for error in bad.errors:
            report.object(str(car.placed(error)))
        return SPEC_WRONG
    if not asked and as_json:
        put(sys.stdout, json.dumps({"marks": marks(cab)}, indent=1) + "\n")
        return FINE
    if not asked:
        for line in told.listed(marks(cab)):
            report.say(line)
        return FINE
    try:
        remembered = Remembered(document, cab)
        found = [each for what in asked for each in remembered.explain(*_mark_and_size(what))]
    except NoSuchPart as mistake:
        report.object(f"{car.said}: {mistake}")
        return COMMAND_WRONG
    if as_json:
        put(sys.stdout, json.dumps(told.as_record(found, cab.printing), indent=1) + "\n")
    else:
        put(sys.stdout, "".join(clean(line) + "\n" for line in told.lines(found, cab.printing)))
    return FINE


def _mark_and_size(asked: str) -> tuple[str, str | None]:
    mark, dot, size = asked.partition(".")
    return mark, size if dot else None

"""`cabdraw check` and `cabdraw rules`: what is wrong with a car, and what it is held against."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from cabdraw.cli.app import AsJson, Cars, Quiet, Specs, app, asked, guarded, marks, reported
from cabdraw.errors import BadSpec
from cabdraw.examples import CHECK_EXAMPLES
from cabdraw.progress import FINE, SPEC_WRONG, Asked, Report, clean, counted, put


@app.command(epilog=CHECK_EXAMPLES)
def check(specs: Specs, car: Cars = None, quiet: Quiet = False, as_json: AsJson = False) -> None:
    """Say what is wrong, and write nothing.

    SPEC is the file that describes a car, or several under cars:; more than one may be given.
    """

    def work() -> int:
        cars = asked(specs, car or ())
        report = reported("check", len(cars), quiet, as_json)
        return report.end(_check(cars, report))

    raise typer.Exit(guarded(work))


@app.command()
def rules(
    files: Annotated[
        list[Path] | None,
        typer.Argument(metavar="[FILE]...", show_default=False, help="A shop's own rules, to list too."),
    ] = None,
) -> None:
    """List the published rules that a spec can name, and where each comes from.

    A spec names them as rules: [us-ada, eu], and a file of a shop's own by its path.
    None of them is a claim of compliance: check with the authority that has jurisdiction.
    """
    raise typer.Exit(guarded(lambda: _rules(files or ())))


def _check(cars: Sequence[Asked], report: Report) -> int:
    from cabdraw.looked import look

    def one(car: Asked) -> int:
        looked = look(car.spec, car.car)
        report.say(counted(len(looked.findings), "finding") + marks(looked.findings))
        report.findings(looked)
        return looked.status

    return report.each(cars, one, "can be drawn")


def _rules(files: Sequence[Path]) -> int:
    """List every set of rules, each rule with what it says, its source, and how its values are known."""
    from cabdraw.looked import rule_listing

    try:
        listed = rule_listing(files)
    except BadSpec as bad:
        for error in bad.errors:
            put(sys.stderr, f"{clean(str(error))}\n")
        return SPEC_WRONG
    for name, says, source, known in listed:
        put(sys.stdout, f"{clean(name)}\n  {clean(says)}\n  {clean(source)}; values {clean(known)}\n")
    return FINE

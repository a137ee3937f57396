"""`cabdraw survey`: a form to measure a bare car with, and the spec to fill in from it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Literal

import typer

from cabdraw.cli.app import Quiet, app, guarded, known_walls, one_of
from cabdraw.examples import SURVEY_EXAMPLES
from cabdraw.progress import FINE, SPEC_WRONG, Report

UNITS = ("inch", "mm")
PAPERS = ("A4", "Letter")


def wall_list(named: str) -> str:
    known_walls([name.strip() for name in named.split(",")])
    return named


@app.command(epilog=SURVEY_EXAMPLES)
def survey(
    units: Annotated[
        str, typer.Option("--units", metavar="UNITS", callback=one_of(*UNITS), help="Measure in inch or mm.")
    ] = "inch",
    walls: Annotated[
        str, typer.Option("--walls", metavar="WALLS", callback=wall_list, help="The walls that get panels.")
    ] = "back,left,right",
    out: Annotated[Path, typer.Option("--out", "-o", metavar="FOLDER", help="Where to put the two files.")] = Path("."),
    paper: Annotated[
        str | None,
        typer.Option(
            "--paper", metavar="PAPER", callback=one_of(*PAPERS), help="A4 or Letter; by the units if left out."
        ),
    ] = None,
    quiet: Quiet = False,
) -> None:
    """Write a form to measure a bare car with, and a spec to fill in from it.

    The form, survey-form.pdf, shows what to measure, where and how often, with boxes to write in.
    The spec, survey.yaml, holds the same readings under the same numbers, left blank. Filled in, it
    can be drawn; a reading that was left blank is refused by its line.

    A file that is there already is never overwritten.
    """
    named = [name.strip() for name in walls.split(",")]
    raise typer.Exit(guarded(lambda: _survey(units, named, out, paper, Report(1, quiet))))


def _survey(units: str, walls: Sequence[str], out: Path, paper: str | None, report: Report) -> int:
    from cabdraw.package import CannotPlace, put_survey

    system: Literal["inch", "mm"] = "mm" if units == "mm" else "inch"
    try:
        placed = put_survey(system, walls, paper or ("A4" if system == "mm" else "Letter"), out)
    except CannotPlace as refusal:
        for line in refusal.lines:
            report.object(line)
        return SPEC_WRONG
    form, spec = placed
    report.say(f"{form}: print it at full size, measure, and write in the boxes")
    report.say(f"{spec}: fill in the same numbers, then rename it after the car and draw it")
    return FINE

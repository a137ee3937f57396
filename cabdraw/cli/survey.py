"""`cabdraw survey`: a form to measure a bare car with, and the spec to fill in from it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Literal

import typer

from cabdraw.cli import completion
from cabdraw.cli.app import Quiet, app, guarded, known_walls, one_of
from cabdraw.examples import SURVEY_EXAMPLES
from cabdraw.progress import FINE, SPEC_WRONG, Report

UNITS = ("inch", "mm")
PAPERS = ("A4", "Letter")
TABLES = ("csv", "xlsx")


def wall_list(named: str) -> str:
    """Walls as they were typed, with commas between; a wrong command for one that no car has."""
    known_walls([name.strip() for name in named.split(",")])
    return named


@app.command(epilog=SURVEY_EXAMPLES)
def survey(
    units: Annotated[
        str,
        typer.Option(
            "--units",
            metavar="UNITS",
            callback=one_of(*UNITS),
            autocompletion=completion.words(*UNITS),
            help="Measure in inch or mm.",
        ),
    ] = "inch",
    walls: Annotated[
        str, typer.Option("--walls", metavar="WALLS", callback=wall_list, help="The walls that get panels.")
    ] = "back,left,right",
    out: Annotated[Path, typer.Option("--out", "-o", metavar="FOLDER", help="Where to put the two files.")] = Path("."),
    paper: Annotated[
        str | None,
        typer.Option(
            "--paper",
            metavar="PAPER",
            callback=one_of(*PAPERS),
            autocompletion=completion.words(*PAPERS),
            help="A4 or Letter; by the units if left out.",
        ),
    ] = None,
    table: Annotated[
        str | None,
        typer.Option(
            "--table",
            metavar="KIND",
            callback=one_of(*TABLES),
            autocompletion=completion.words(*TABLES),
            help="Write a table to type readings into, csv or xlsx.",
        ),
    ] = None,
    quiet: Quiet = False,
) -> None:
    """Write a form to measure a bare car with, and a spec to fill in from it.

    The form, survey-form.pdf, shows what to measure, where and how often, with boxes to write in.
    The spec, survey.yaml, holds the same readings under the same numbers, left blank. Filled in, it
    can be drawn; a reading that was left blank is refused by its line.

    With --table there is a table too, with a row for each item of the form, to type readings into with a
    spreadsheet program; cabdraw import makes a spec of it.

    A file that is there already is never overwritten.
    """
    named = [name.strip() for name in walls.split(",")]
    raise typer.Exit(guarded(lambda: _survey(units, named, out, paper, table, Report(1, quiet))))


def _survey(units: str, walls: Sequence[str], out: Path, paper: str | None, table: str | None, report: Report) -> int:
    from cabdraw.package import survey_files
    from cabdraw.place import CannotPlace, put_new
    from cabdraw.start.files import FOR_EDITORS, blank_table, named_schema, schema_beside

    system: Literal["inch", "mm"] = "mm" if units == "mm" else "inch"
    try:
        files = survey_files(system, walls, paper or ("A4" if system == "mm" else "Letter"))
        if table is not None:
            files |= blank_table(system, walls, "xlsx" if table == "xlsx" else "csv")
        files |= schema_beside(out)
        files["survey.yaml"] = named_schema(files["survey.yaml"])
        form, spec, *others = put_new(files, out)
    except CannotPlace as refusal:
        for line in refusal.lines:
            report.object(line)
        return SPEC_WRONG
    report.say(f"{form}: print it at full size, measure, and write in the boxes")
    report.say(f"{spec}: fill in the same numbers, then rename it after the car and draw it")
    for each in others:
        if each.name.endswith(".json"):
            report.say(f"{each}: {FOR_EDITORS}")
        else:
            how = f"cabdraw import {each} --out MY-CAR.yaml"
            report.say(f"{each}: or type the readings into this, and make a spec of it with {how}")
    return FINE

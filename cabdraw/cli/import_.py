"""`cabdraw import`: readings that were kept in a spreadsheet, as the survey of a spec."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cabdraw.cli import completion
from cabdraw.cli.app import Quiet, app, guarded, one_of
from cabdraw.examples import IMPORT_EXAMPLES
from cabdraw.progress import FINE, SPEC_WRONG, Report, counted


@app.command("import", epilog=IMPORT_EXAMPLES)
def import_(
    table: Annotated[
        Path, typer.Argument(metavar="TABLE", show_default=False, hidden=True, autocompletion=completion.tables)
    ],
    out: Annotated[
        Path | None,
        typer.Option(
            "--out", "-o", metavar="FILE", show_default=False, help="The spec; named after TABLE if left out."
        ),
    ] = None,
    units: Annotated[
        str | None,
        typer.Option(
            "--units",
            metavar="UNITS",
            show_default=False,
            callback=one_of("inch", "mm"),
            autocompletion=completion.words("inch", "mm"),
            help="What readings without a unit are in, where the table does not say.",
        ),
    ] = None,
    quiet: Quiet = False,
) -> None:
    """Take readings from a spreadsheet into the survey of a spec.

    TABLE is a CSV or XLSX file with a row for each item of the form; cabdraw survey --table writes a blank one.
    What a spreadsheet made of a reading and what could be read in two ways is refused by its cell, all at once.
    What a table with the form's numbers leaves blank stays blank in the spec, and is refused by its line until it
    is read; what a table without any leaves out is left out.

    A file that is there already is never overwritten.
    """
    raise typer.Exit(guarded(lambda: _import(table, out, units, Report(1, quiet))))


def _import(table: Path, out: Path | None, units: str | None, report: Report) -> int:
    from cabdraw.place import CannotPlace
    from cabdraw.start.files import FOR_EDITORS, free, put_spec
    from cabdraw.start.imported import imported
    from cabdraw.start.table import BadTable

    place = out if out is not None else Path(f"{table.stem}.yaml")
    try:
        free(place, " with --out" if out is None else "")
        found = imported(table, "inch" if units == "inch" else "mm" if units == "mm" else None)
        schema = put_spec(place, found.text)
    except (BadTable, CannotPlace) as refused:
        # The folder of the table, so that each line can be opened from here.
        above = f"{table.parent}/" if isinstance(refused, BadTable) and table.parent != Path() else ""
        for line in refused.lines:
            report.object(above + line)
        return SPEC_WRONG
    if found.remark:
        report.object(found.remark)
    still = [f"line {line} ({number})" for line, number in found.blank]
    if still:
        report.say(f"{place}: written, and {counted(len(still), 'reading')} still blank: {', '.join(still)}")
    else:
        report.say(f"{place}: written; draw it, or go on from it with cabdraw new NAME --from {place}")
    if schema:
        report.say(f"{place.parent / 'cabdraw.schema.json'}: {FOR_EDITORS}")
    return FINE

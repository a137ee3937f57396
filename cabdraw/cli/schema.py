"""`cabdraw schema`: the format as a JSON Schema, for editors."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from cabdraw.cli.app import Quiet, app, guarded
from cabdraw.examples import SCHEMA_EXAMPLES
from cabdraw.progress import FINE, SPEC_WRONG, Report, put


@app.command(epilog=SCHEMA_EXAMPLES)
def schema(
    out: Annotated[
        Path, typer.Option("--out", "-o", metavar="FILE", help="Where to write it; - is the output.")
    ] = Path("cabdraw.schema.json"),
    quiet: Quiet = False,
) -> None:
    """Write what editors need to complete, explain and check a spec while it is typed.

    It is a JSON Schema. An editor that speaks a YAML language server finds it by the first line of a spec that
    lies beside it:

    # yaml-language-server: $schema=cabdraw.schema.json

    An earlier one is replaced; another file under that name is left alone.
    """
    raise typer.Exit(guarded(lambda: _schema(out, Report(1, quiet))))


def _schema(out: Path, report: Report) -> int:
    from cabdraw.place import CannotPlace
    from cabdraw.spec.json_schema import schema_text
    from cabdraw.start.files import put_schema

    if str(out) == "-":
        put(sys.stdout, schema_text())
        return FINE
    try:
        done = put_schema(out)
    except CannotPlace as refusal:
        for line in refusal.lines:
            report.object(line)
        return SPEC_WRONG
    report.say(f"{out}: " + {"new": "written", "same": "up to date already", "renewed": "renewed"}[done])
    return FINE

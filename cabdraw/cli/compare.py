"""`cabdraw compare`: what changed from one spec to another."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from cabdraw.cli.app import app, guarded, resolved, same_mark
from cabdraw.examples import COMPARE_EXAMPLES
from cabdraw.progress import DIFFERENT, FINE, SPEC_WRONG, Report, put


@app.command(epilog=COMPARE_EXAMPLES)
def compare(
    old: Annotated[Path, typer.Argument(metavar="OLD", show_default=False, hidden=True)],
    new: Annotated[Path, typer.Argument(metavar="NEW", show_default=False, hidden=True)],
    as_json: Annotated[bool, typer.Option("--json", help="Say it as JSON, with lengths in mm.")] = False,
) -> None:
    """Say what changed from one spec to another: sizes, parts by their marks, survey, finishes.

    OLD and NEW are files that each describe a car. Both are worked out and compared exactly; how a size was
    typed does not count.
    """
    raise typer.Exit(guarded(lambda: _compare(old, new, as_json, Report(1, False))))


def _compare(old: Path, new: Path, as_json: bool, report: Report) -> int:
    from cabdraw.compare import as_record, compare, counted, table

    before, after = resolved(old, report), resolved(new, report)
    if before is None or after is None:
        return SPEC_WRONG
    found = compare(before, after)
    if as_json:
        import json

        put(sys.stdout, json.dumps(as_record(found), indent=1) + "\n")
    else:
        lines = [] if found.same else [*table(found).splitlines(), ""]
        for line in [*lines, counted(found), *same_mark(found)]:
            report.say(line)
    return FINE if found.same else DIFFERENT

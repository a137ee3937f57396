"""`cabdraw compare`: what changed from one spec to another."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from cabdraw.cli import completion
from cabdraw.cli.app import app, guarded, one_asked, resolved, same_mark
from cabdraw.examples import COMPARE_EXAMPLES
from cabdraw.progress import DIFFERENT, FINE, SPEC_WRONG, Asked, Report, clean, put


@app.command(epilog=COMPARE_EXAMPLES)
def compare(
    old: Annotated[
        Path, typer.Argument(metavar="OLD", show_default=False, hidden=True, autocompletion=completion.specs)
    ],
    new: Annotated[
        Path, typer.Argument(metavar="NEW", show_default=False, hidden=True, autocompletion=completion.specs)
    ],
    as_json: Annotated[bool, typer.Option("--json", help="Say it as JSON, with lengths in mm.")] = False,
    car: Annotated[
        list[str] | None,
        typer.Option(
            "--car",
            metavar="NAME",
            help="Which car, where a spec holds several. Given twice, the first is of OLD and the second of NEW.",
        ),
    ] = None,
) -> None:
    """Say what changed from one spec to another: sizes, parts by their marks, survey, finishes.

    OLD and NEW are files that each describe a car, or hold several, and then --car says which. Both are worked
    out and compared exactly; how a size was typed does not count.
    """
    raise typer.Exit(guarded(lambda: _compare(*_pair(old, new, car or ()), as_json, Report(1, False))))


def _pair(old: Path, new: Path, named: Sequence[str]) -> tuple[Asked, Asked]:
    """The two cars to compare; a name counts only for a file that holds several cars, as one of them may be alone."""
    from cabdraw.looked import cars_of

    if len(named) > 2:
        raise typer.BadParameter("two cars are compared, so give it once or twice.", param_hint="'--car'")
    several = [spec for spec in (old, new) if cars_of(spec) != (None,)]
    if named and (not several or len(named) > 1 == len(several)):
        said = f"only {several[0]} holds several cars" if several else "neither file holds several cars"
        raise typer.BadParameter(f"{clean(said)}.", param_hint="'--car'")
    first, last = (named[0], named[-1]) if named else (None, None)
    return one_asked(old, first if old in several else None), one_asked(new, last if new in several else None)


def _compare(old: Asked, new: Asked, as_json: bool, report: Report) -> int:
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

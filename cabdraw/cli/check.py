"""`cabdraw check` and `cabdraw rules`: what is wrong with a car, and what it is held against."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from cabdraw.cli.app import Quiet, Specs, app, guarded, marks
from cabdraw.errors import BadSpec
from cabdraw.examples import CHECK_EXAMPLES
from cabdraw.progress import FINE, SPEC_WRONG, Report, clean, counted, put


@app.command(epilog=CHECK_EXAMPLES)
def check(specs: Specs, quiet: Quiet = False) -> None:
    """Say what is wrong, and write nothing.

    SPEC is the file that describes one car; give several to check several cars.
    """
    raise typer.Exit(guarded(lambda: _check(specs, Report(len(specs), quiet))))


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


def _check(specs: Sequence[Path], report: Report) -> int:
    from cabdraw.package import look

    def one(spec: Path) -> int:
        looked = look(spec)
        report.say(counted(len(looked.findings), "finding") + marks(looked.findings))
        report.findings(spec, looked)
        return looked.status

    return report.each(specs, one, "can be drawn")


def _rules(files: Sequence[Path]) -> int:
    """List every set of rules, each rule with what it says, its source, and how its values are known."""
    from cabdraw.package import rule_listing

    try:
        listed = rule_listing(files)
    except BadSpec as bad:
        for error in bad.errors:
            put(sys.stderr, f"{clean(str(error))}\n")
        return SPEC_WRONG
    for name, says, source, known in listed:
        put(sys.stdout, f"{clean(name)}\n  {clean(says)}\n  {clean(source)}; values {clean(known)}\n")
    return FINE

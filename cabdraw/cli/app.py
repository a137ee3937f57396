"""The command itself: what all of its commands share, from the kinds of argument to how an unexpected end is met."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from cabdraw import __version__
from cabdraw.errors import BadSpec, Finding
from cabdraw.examples import STATUSES
from cabdraw.progress import SPEC_WRONG, STOPPED, OutputLost, Report, bug, clean, put, silence

if TYPE_CHECKING:
    from cabdraw.cab import Cab
    from cabdraw.compare import Comparison

WALLS = ("back", "left", "right")

app = typer.Typer(add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False, no_args_is_help=True)

# Hidden from the list of arguments, where its type would be shown in words that no drafter knows.
Specs = Annotated[list[Path], typer.Argument(metavar="SPEC", show_default=False, hidden=True)]
Quiet = Annotated[bool, typer.Option("--quiet", "-q", help="Say only what is wrong.")]


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"cabdraw {__version__}")
        raise typer.Exit


def known_walls(named: list[str] | None) -> list[str]:
    for name in named or ():
        if name not in WALLS:
            raise typer.BadParameter(f"there is no wall called {clean(name)!r}, only {', '.join(WALLS)}.")
    return list(named or ())


def one_of(*choices: str) -> Callable[[str | None], str | None]:
    def chosen(named: str | None) -> str | None:
        found = next((choice for choice in choices if named is None or choice.lower() == named.lower()), None)
        if found is None:
            raise typer.BadParameter(f"{clean(str(named))!r} is not {' or '.join(choices)}.")
        return named and found

    return chosen


@app.callback(epilog=STATUSES)
def cabdraw(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version and stop.")
    ] = False,
) -> None:
    """Draw new wall panelling for an existing elevator car, from one file that describes it."""


def guarded(work: Callable[[], int]) -> int:
    """The status of some work, also where it ends in a way that it should not."""
    try:
        return work()
    except KeyboardInterrupt:
        put(sys.stderr, "\nstopped\n")
        return STOPPED
    except OutputLost:
        silence(sys.stdout)
        put(sys.stderr, "the output could not be written\n")
        return SPEC_WRONG
    except Exception as problem:
        return bug(problem)


def marks(findings: Sequence[Finding]) -> str:
    """What the drawings are stamped with, to be said along with how many findings there are."""
    stopped = any(finding.stops == "fabrication" for finding in findings)
    return ", NOT FOR FABRICATION" if stopped else ""


def resolved(spec: Path, report: Report) -> Cab | None:
    """The car of a spec; None where the spec is bad, and then that has been said."""
    from cabdraw.package import resolved

    try:
        return resolved(spec)
    except BadSpec as bad:
        for error in bad.errors:
            report.object(str(replace(error, file=str(spec))))
    return None


def same_mark(found: Comparison) -> list[str]:
    """A reminder where something changed under one revision's mark."""
    mark = found.new.job.revision
    if found.same or mark is None or mark != found.old.job.revision:
        return []
    return [f"both are revision {mark}: give the new one a mark of its own, as job.revision"]

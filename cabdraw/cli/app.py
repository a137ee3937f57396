"""The command itself: what all of its commands share, from the kinds of argument to how an unexpected end is met."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from cabdraw import __version__
from cabdraw.cli import completion
from cabdraw.errors import BadSpec, Finding
from cabdraw.examples import STATUSES
from cabdraw.progress import SPEC_WRONG, STOPPED, Asked, OutputLost, Report, bug, clean, put, silence
from cabdraw.stop import came, noted

if TYPE_CHECKING:
    from cabdraw.cab import Cab
    from cabdraw.compare import Comparison

WALLS = ("back", "left", "right")

app = typer.Typer(add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False, no_args_is_help=True)

# Hidden from the list of arguments, where its type would be shown in words that no drafter knows.
Specs = Annotated[
    list[Path], typer.Argument(metavar="SPEC...", show_default=False, hidden=True, autocompletion=completion.specs)
]
Cars = Annotated[
    list[str] | None,
    typer.Option(
        "--car",
        metavar="NAME",
        autocompletion=completion.cars,
        help="Of a spec that holds several cars, take only this one. May be given more than once.",
    ),
]
OneCar = Annotated[
    str | None,
    typer.Option(
        "--car", metavar="NAME", help="Which car, where the spec holds several.", autocompletion=completion.cars
    ),
]
Quiet = Annotated[bool, typer.Option("--quiet", "-q", help="Say only what is wrong.")]

AsJson = Annotated[bool, typer.Option("--json", help="Say it as one JSON document, for scripts, and nothing else.")]


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"cabdraw {__version__}")
        raise typer.Exit


def known_walls(named: list[str] | None) -> list[str]:
    """The walls that were named; a wrong command for one that no car has."""
    for name in named or ():
        if name not in WALLS:
            raise typer.BadParameter(f"there is no wall called {clean(name)!r}, only {', '.join(WALLS)}.")
    return list(named or ())


def one_of(*choices: str) -> Callable[[str | None], str | None]:
    """A check that what was typed is one of some choices, whatever its capitals."""

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
    install: Annotated[
        bool,
        typer.Option(
            "--install-completion",
            callback=completion.install,
            is_eager=True,
            show_default=False,
            help="Have this shell complete commands, specs, walls and marks on TAB.",
        ),
    ] = False,
    shown: Annotated[
        bool,
        typer.Option(
            "--show-completion",
            callback=completion.show,
            is_eager=True,
            show_default=False,
            help="Print what that takes, to put it where it belongs by hand.",
        ),
    ] = False,
) -> None:
    """Draw new wall panelling for an existing elevator car, from one file that describes it."""


def guarded(work: Callable[[], int]) -> int:
    """The status of some work, also where it ends in a way that it should not."""
    try:
        return work()
    except typer.BadParameter:
        raise
    except KeyboardInterrupt as stop:
        return stopped(stop)
    except OutputLost:
        silence(sys.stdout)
        put(sys.stderr, "the output could not be written\n")
        return SPEC_WRONG
    except Exception as problem:
        if came():
            return stopped(problem)
        return bug(problem)


def stopped(stop: BaseException) -> int:
    """Say that the command was stopped, and what stands of what it did; the status."""
    put(sys.stderr, "\n" + "".join(f"{clean(line)}\n" for line in ("stopped", *noted(stop))))
    return STOPPED


def marks(findings: Sequence[Finding]) -> str:
    """What the drawings are stamped with, to be said along with how many findings there are."""
    stopped = any(finding.stops == "fabrication" for finding in findings)
    return ", NOT FOR FABRICATION" if stopped else ""


def reported(command: str, total: int, quiet: bool, as_json: bool) -> Report:
    """What is to say what becomes of so many cars: in words, or as one JSON document."""
    if not as_json:
        return Report(total, quiet)
    from cabdraw.cli.as_json import JsonReport

    return JsonReport(command, total)


def asked(specs: Sequence[Path], only: Sequence[str]) -> list[Asked]:
    """Every car that specs and `--car` ask for, in their order; raises `BadParameter` for one that is not there."""
    from cabdraw.looked import NoSuchCar, cars_of

    try:
        return [Asked(spec, car) for spec in specs for car in cars_of(spec, only)]
    except NoSuchCar as mistake:
        raise typer.BadParameter(f"{clean(str(mistake))}.", param_hint="'--car'") from None


def one_asked(spec: Path, only: str | None) -> Asked:
    """The one car that a spec and `--car` ask for; raises `BadParameter` where the spec holds several."""
    found = asked([spec], [only] if only is not None else [])
    if len(found) > 1:
        known = ", ".join(str(each.car) for each in found)
        raise typer.BadParameter(f"{clean(str(spec))} holds several cars; say which: {known}.", param_hint="'--car'")
    return found[0]


def resolved(car: Asked, report: Report) -> Cab | None:
    """The car of a spec; None where the spec is bad, and then that has been said."""
    from cabdraw.looked import resolved

    try:
        return resolved(car.spec, car.car)
    except BadSpec as bad:
        for error in bad.errors:
            report.wrong(car.placed(error))
    return None


def same_mark(found: Comparison) -> list[str]:
    """A reminder where something changed under one revision's mark."""
    mark = found.new.job.revision
    if found.same or mark is None or mark != found.old.job.revision:
        return []
    return [f"both are revision {mark}: give the new one a mark of its own, as job.revision"]

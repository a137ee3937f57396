"""`cabdraw new`: a spec to go on from, by a few questions or by options that answer them."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from cabdraw.cli import completion
from cabdraw.cli.app import Quiet, app, guarded
from cabdraw.errors import BadSpec
from cabdraw.examples import NEW_EXAMPLES
from cabdraw.progress import COMMAND_WRONG, FINE, SPEC_WRONG, Asked, Report, clean, put

if TYPE_CHECKING:
    from cabdraw.start.form import Begun

_ONE_WALL = ("width", "height", "panels")


class _Ended(Exception):
    """The answers came to an end before the questions did."""


def _option(name: str, metavar: str, text: str, offered: Any = None) -> Any:
    return typer.Option(f"--{name}", metavar=metavar, show_default=False, help=text, autocompletion=offered)


@app.command(epilog=NEW_EXAMPLES)
def new(
    name: Annotated[str, typer.Argument(metavar="NAME", show_default=False, hidden=True)],
    begin: Annotated[
        Path | None,
        _option(
            "from",
            "FILE",
            "Go on from a survey: the form's spec, filled in, or a spreadsheet of readings.",
            completion.surveys,
        ),
    ] = None,
    units: Annotated[
        str | None,
        _option("units", "UNITS", "inch or mm: what a number without a unit is in.", completion.words("inch", "mm")),
    ] = None,
    project: Annotated[str | None, _option("project", "TEXT", "The project; NAME if left out.")] = None,
    car: Annotated[str | None, _option("car", "TEXT", "The car; Car 1 if left out.")] = None,
    walls: Annotated[str | None, _option("walls", "WALLS", "Those that get panels; all three if left out.")] = None,
    width: Annotated[
        list[str] | None,
        _option("width", "WALL=LENGTH", "A wall's clear width; of a side wall its depth. Once for each."),
    ] = None,
    height: Annotated[
        list[str] | None, _option("height", "LENGTH", "Floor to ceiling; WALL=LENGTH where walls differ.")
    ] = None,
    panels: Annotated[
        list[str] | None, _option("panels", "NUMBER", "Panels across every wall; WALL=NUMBER, or WALL=1,2,1 by ratio.")
    ] = None,
    tiers: Annotated[
        str | None,
        _option("tiers", "NUMBER", "Tiers of panels, 1 to 3; 2 if left out.", completion.words("1", "2", "3")),
    ] = None,
    rail: Annotated[str | None, _option("rail", "WALLS", "Walls with a handrail, or none; all if left out.")] = None,
    quiet: Quiet = False,
) -> None:
    """Write a new spec that can be drawn at once, with remarks, to go on from.

    NAME is what the car's file is to be called. What options do not say is asked for, on a terminal; elsewhere
    the units and the sizes have to be given. An answer that cannot be is asked for again.

    A file that is there already is never overwritten.
    """
    typed = {"units": units, "project": project, "car": car, "walls": walls, "tiers": tiers, "rail": rail}
    given = {key: value for key, value in typed.items() if value is not None}
    for option, values in zip(_ONE_WALL, (width, height, panels), strict=True):
        given |= _of_walls(option, values or ())
    raise typer.Exit(guarded(lambda: _new(name, begin, given, Report(1, quiet))))


def _of_walls(option: str, values: Sequence[str]) -> dict[str, str]:
    """Answers about walls: by the wall that stands before the =, or for all walls."""
    found: dict[str, str] = {}
    for value in values:
        wall, sign, rest = value.partition("=")
        key, text = (f"{option}:{wall.strip().lower()}", rest) if sign else (option, value)
        if not sign and option == "width":
            raise typer.BadParameter(f"{clean(value)!r} says no wall; write e.g. back={clean(value)}.")
        if key in found:
            raise typer.BadParameter(f"--{option} {clean(value)} is the second for the same wall.")
        found[key] = text
    return found


def _new(name: str, begin: Path | None, given: dict[str, str], report: Report) -> int:
    from cabdraw.package import folder_name
    from cabdraw.place import CannotPlace
    from cabdraw.start.files import FOR_EDITORS, free, put_spec
    from cabdraw.start.interview import Interview, Lacking, WrongOption
    from cabdraw.start.table import BadTable
    from cabdraw.start.text import new_text

    place = Path(name if name.lower().endswith((".yaml", ".yml")) else f"{name}.yaml")
    terminal = sys.stdin is not None and sys.stdin.isatty()
    try:
        stem = folder_name(place)
        free(place)
        begun = None if begin is None else _begun(begin)
        interview = Interview(given, _ask if terminal else None, report.object, begun)
        text = new_text(interview.wanted(_called(stem)), begun.text if begun else "")
        schema = put_spec(place, text)
    except BadSpec as bad:
        for error in bad.errors:
            report.object(str(Asked(begin or place, None).placed(error)))
        report.object("nothing was written")
        return SPEC_WRONG
    except (CannotPlace, BadTable) as refusal:
        for line in refusal.lines:
            report.object(line)
        if isinstance(refusal, BadTable):
            report.object("nothing was written")
        return SPEC_WRONG
    except WrongOption as wrong:
        report.object(f"nothing was written: {wrong}")
        return COMMAND_WRONG
    except Lacking as lacking:
        report.object(f"nothing was written: no one can be asked here, so give {', '.join(lacking.options)}")
        return COMMAND_WRONG
    except _Ended:
        report.object("\nnothing was written: the answers end here")
        return COMMAND_WRONG
    report.say(f"{place}: written; go on in it, and draw it with cabdraw draw {place}")
    if schema:
        report.say(f"{place.parent / 'cabdraw.schema.json'}: {FOR_EDITORS}")
    return FINE


def _called(stem: str) -> str:
    """A name for a project from a file's: larkspur-court is Larkspur Court."""
    words = stem.replace("-", " ").replace("_", " ").split()
    return " ".join(word[:1].upper() + word[1:] for word in words) or stem


def _begun(path: Path) -> Begun:
    """A survey to go on from; raises `BadSpec`, or `BadTable`, with everything that is wrong in it."""
    from cabdraw.start.form import begun, begun_of, complete
    from cabdraw.start.imported import imported, in_table, is_table

    if not is_table(path):
        found = begun(path)
        complete(found)
        return found
    table = imported(path)
    try:
        found = begun_of(table.text, f"the spec of {path.name}")
        complete(found)
    except BadSpec as bad:
        raise in_table(bad, table, path) from bad
    return found


def _ask(question: str, usual: str) -> str:
    put(sys.stdout, clean(f"{question} [{usual}]: " if usual else f"{question}: "))
    answer = sys.stdin.readline()
    if not answer:
        raise _Ended
    return answer

"""The command line: reads what was typed, has it done, and says what came of it.

Everything heavy is imported inside the commands, so that help and mistakes in the command come at once.
What makes the exit status other than 0 is said on the error stream, everything else on the output.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from io import TextIOWrapper
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from cabdraw import __version__
from cabdraw.errors import BadSpec, Finding
from cabdraw.examples import CHECK_EXAMPLES, COMPARE_EXAMPLES, DRAW_EXAMPLES, STATUSES, SURVEY_EXAMPLES
from cabdraw.print_scale import TRUE, NotAPrintScale, parse_print_scale
from cabdraw.progress import (
    BUG as BUG,
)
from cabdraw.progress import (
    COMMAND_WRONG,
    DIFFERENT,
    FINE,
    SPEC_WRONG,
    STOPPED,
    OutputLost,
    Report,
    bug,
    clean,
    counted,
    put,
    silence,
)

if TYPE_CHECKING:
    from cabdraw.cab import Cab
    from cabdraw.compare import Comparison
    from cabdraw.package import Drawn
    from cabdraw.place import Placed

WALLS = ("back", "left", "right")
UNITS = ("inch", "mm")
PAPERS = ("A4", "Letter")


app = typer.Typer(add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False, no_args_is_help=True)

# Hidden from the list of arguments, where its type would be shown in words that no drafter knows.
Specs = Annotated[list[Path], typer.Argument(metavar="SPEC", show_default=False, hidden=True)]
Quiet = Annotated[bool, typer.Option("--quiet", "-q", help="Say only what is wrong.")]


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"cabdraw {__version__}")
        raise typer.Exit


def _walls(named: list[str] | None) -> list[str]:
    for name in named or ():
        if name not in WALLS:
            raise typer.BadParameter(f"there is no wall called {clean(name)!r}, only {', '.join(WALLS)}.")
    return list(named or ())


def _wall_list(named: str) -> str:
    _walls([name.strip() for name in named.split(",")])
    return named


def _one_of(*choices: str) -> Callable[[str | None], str | None]:
    def chosen(named: str | None) -> str | None:
        found = next((choice for choice in choices if named is None or choice.lower() == named.lower()), None)
        if found is None:
            raise typer.BadParameter(f"{clean(str(named))!r} is not {' or '.join(choices)}.")
        return named and found

    return chosen


def _print_scale(typed: str | None) -> str | None:
    try:
        if typed is not None:
            parse_print_scale(typed)
    except NotAPrintScale as mistake:
        raise typer.BadParameter(clean(str(mistake))) from None
    return typed


CamVersion = Literal["r2000", "r12"]


def _cam(version: str) -> CamVersion:
    known: dict[str, CamVersion] = {"r2000": "r2000", "r12": "r12"}
    if version.strip().lower() not in known:
        raise typer.BadParameter(f"there is no version called {clean(version)!r} here, only r2000 and r12.")
    return known[version.strip().lower()]


@app.callback(epilog=STATUSES)
def cabdraw(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version and stop.")
    ] = False,
) -> None:
    """Draw new wall panelling for an existing elevator car, from one file that describes it."""


@app.command(epilog=DRAW_EXAMPLES)
def draw(
    specs: Specs,
    out: Annotated[
        Path, typer.Option("--out", "-o", metavar="FOLDER", help="Where to put the folder of each car.")
    ] = Path("out"),
    wall: Annotated[
        list[str] | None,
        typer.Option(
            "--wall",
            metavar="WALL",
            callback=_walls,
            help="Draw only this wall: back, left or right. May be given more than once.",
        ),
    ] = None,
    since: Annotated[
        Path | None,
        typer.Option(
            "--since",
            metavar="OLD",
            help="Draw clouds round what changed since this spec, as it was issued before. Takes one SPEC.",
        ),
    ] = None,
    print_scale: Annotated[
        str | None,
        typer.Option(
            "--print-scale",
            metavar="SCALE",
            callback=_print_scale,
            help="Correct drilling templates for a printer that is off: what their bars measure over what they should,"
            " e.g. 99.4/100, or 99.4/100x99.8/100 for the bars marked x and those marked y.",
        ),
    ] = None,
    cam: Annotated[
        str,
        typer.Option(
            "--cam",
            metavar="VERSION",
            callback=_cam,
            help="The DXF of the flats for machines: r2000, or r12 for a machine that takes no other.",
        ),
    ] = "r2000",
    quiet: Quiet = False,
) -> None:
    """Draw everything that the job needs.

    SPEC is the file that describes one car; give several to draw several cars.
    Each car gets a folder named after its spec: larkspur-car-2.yaml is drawn into out/larkspur-car-2.
    Several cars get one cut list and one nesting besides, in out/all-cars.

    What an earlier run wrote there is replaced. A file that cabdraw did not write, or that somebody
    changed since, is never overwritten or removed.
    """
    raise typer.Exit(
        _guarded(lambda: _draw(specs, out, wall or (), since, print_scale, _cam(cam), Report(len(specs), quiet)))
    )


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
    raise typer.Exit(_guarded(lambda: _rules(files or ())))


@app.command(epilog=CHECK_EXAMPLES)
def check(specs: Specs, quiet: Quiet = False) -> None:
    """Say what is wrong, and write nothing.

    SPEC is the file that describes one car; give several to check several cars.
    """
    raise typer.Exit(_guarded(lambda: _check(specs, Report(len(specs), quiet))))


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
    raise typer.Exit(_guarded(lambda: _compare(old, new, as_json, Report(1, False))))


@app.command(epilog=SURVEY_EXAMPLES)
def survey(
    units: Annotated[
        str, typer.Option("--units", metavar="UNITS", callback=_one_of(*UNITS), help="Measure in inch or mm.")
    ] = "inch",
    walls: Annotated[
        str, typer.Option("--walls", metavar="WALLS", callback=_wall_list, help="The walls that get panels.")
    ] = "back,left,right",
    out: Annotated[Path, typer.Option("--out", "-o", metavar="FOLDER", help="Where to put the two files.")] = Path("."),
    paper: Annotated[
        str | None,
        typer.Option(
            "--paper", metavar="PAPER", callback=_one_of(*PAPERS), help="A4 or Letter; by the units if left out."
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
    raise typer.Exit(_guarded(lambda: _survey(units, named, out, paper, Report(1, quiet))))


def main() -> None:
    """Run the command that was typed, and exit with its status."""
    sys.exit(run())


def run() -> int:
    """Run the command that was typed; its exit status."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    return _guarded(_command)


def _command() -> int:
    try:
        app(args=sys.argv[1:], prog_name="cabdraw")
    except SystemExit as end:
        return end.code if isinstance(end.code, int) else FINE
    except OSError as problem:  # the commands let none through: this one is from help, or the version
        raise OutputLost from problem
    return FINE


def _guarded(work: Callable[[], int]) -> int:
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


def _marks(findings: Sequence[Finding]) -> str:
    """What the drawings are stamped with, to be said along with how many findings there are."""
    stopped = any(finding.stops == "fabrication" for finding in findings)
    return ", NOT FOR FABRICATION" if stopped else ""


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


def _check(specs: Sequence[Path], report: Report) -> int:
    from cabdraw.package import look

    def one(spec: Path) -> int:
        looked = look(spec)
        report.say(counted(len(looked.findings), "finding") + _marks(looked.findings))
        report.findings(spec, looked)
        return looked.status

    return report.each(specs, one, "can be drawn")


def _compare(old: Path, new: Path, as_json: bool, report: Report) -> int:
    from cabdraw.compare import as_record, compare, counted, table

    before, after = _resolved(old, report), _resolved(new, report)
    if before is None or after is None:
        return SPEC_WRONG
    found = compare(before, after)
    if as_json:
        import json

        put(sys.stdout, json.dumps(as_record(found), indent=1) + "\n")
    else:
        lines = [] if found.same else [*table(found).splitlines(), ""]
        for line in [*lines, counted(found), *_same_mark(found)]:
            report.say(line)
    return FINE if found.same else DIFFERENT


def _resolved(spec: Path, report: Report) -> Cab | None:
    """The car of a spec; None where the spec is bad, and then that has been said."""
    from cabdraw.package import resolved

    try:
        return resolved(spec)
    except BadSpec as bad:
        for error in bad.errors:
            report.object(str(replace(error, file=str(spec))))
    return None


def _same_mark(found: Comparison) -> list[str]:
    """A reminder where something changed under one revision's mark."""
    mark = found.new.job.revision
    if found.same or mark is None or mark != found.old.job.revision:
        return []
    return [f"both are revision {mark}: give the new one a mark of its own, as job.revision"]


def _draw(
    specs: Sequence[Path],
    out: Path,
    walls: Sequence[str],
    since: Path | None,
    print_scale: str | None,
    cam: CamVersion,
    report: Report,
) -> int:
    from cabdraw.compare import counted as changes
    from cabdraw.package import copied_surveys, draw_package

    scale = TRUE if print_scale is None else parse_print_scale(print_scale)

    if clash := _same_folder(specs):
        report.object(clash)
        return COMMAND_WRONG
    if since is not None and len(specs) > 1:
        report.object("nothing was drawn: --since is one car's earlier spec; give one SPEC with it")
        return COMMAND_WRONG
    earlier = None
    if since is not None and (earlier := _resolved(since, report)) is None:
        return SPEC_WRONG

    every: list[Drawn] = []

    def one(spec: Path) -> int:
        drawn = draw_package(spec, out, walls, earlier, scale, cam=cam)
        every.append(drawn)
        report.say(f"drawn, {counted(len(drawn.findings), 'finding')}{_marks(drawn.findings)}")
        if drawn.since is not None:
            for line in [f"since {since}: {changes(drawn.since)}", *_same_mark(drawn.since)]:
                report.say(f"  {line}")
        report.findings(spec, drawn)
        _say_placed(drawn.placed, report)
        return drawn.status

    status = report.each(specs, one, "were drawn")
    for line in copied_surveys(every):
        report.say(line)
    return max(status, _several(every, out, cam, report)) if len(specs) > 1 and not walls else status


def _several(every: Sequence[Drawn], out: Path, cam: CamVersion, report: Report) -> int:
    """Write the lists over all cars that were drawn, and say which are not in them."""
    from cabdraw.package import CannotPlace, draw_several

    try:
        placed = draw_several(every, out, cam)
    except CannotPlace as refusal:
        for line in refusal.lines:
            report.object(line)
        return SPEC_WRONG
    if placed is None:
        return FINE
    report.say("lists over all cars")
    if left_out := [each.cab.name for each in every if each.stopped]:
        report.say(f"  without {', '.join(left_out)}: NOT FOR FABRICATION")
    _say_placed(placed, report)
    return FINE


def _same_folder(specs: Sequence[Path]) -> str:
    """Which two specs would be drawn into one folder, the later over the earlier; empty if none would."""
    from cabdraw.package import SEVERAL, folder_name

    seen: dict[str, Path] = {}
    for spec in specs:
        try:
            name = folder_name(spec)
        except BadSpec:
            continue
        if len(specs) > 1 and name.casefold() == SEVERAL:
            return f"nothing was drawn: {spec} would go into {name}, the folder of the lists over all cars; rename it"
        if (first := seen.setdefault(name.casefold(), spec)) is not spec:
            clash = f"{first} and {spec} would go into one folder, {name}"
            return f"nothing was drawn: {clash}; draw one of them elsewhere, with --out"
    return ""


def _say_placed(placed: Placed, report: Report) -> None:
    report.say(f"  {counted(len(placed.files), 'file')} in {placed.folder}")
    if placed.removed:
        report.say(f"  removed, of an earlier run: {', '.join(placed.removed)}")
    for path in placed.kept:
        report.object(
            f"{placed.folder / path}: left there, since it was changed after cabdraw wrote it; it is not part of the "
            "package any more"
        )

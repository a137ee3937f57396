"""What is said while specs are worked on, in words for whoever typed the command, and the status that comes of it.

Nothing that a terminal would act on is written to it, and nothing is lost without a word.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from cabdraw.errors import BadSpec, SpecError
from cabdraw.frozen import Frozen, replace
from cabdraw.short import short_of
from cabdraw.stop import came, noted
from cabdraw.units import quoted

if TYPE_CHECKING:
    from cabdraw.compare import Comparison
    from cabdraw.looked import Looked
    from cabdraw.place import Placed

#: Exit statuses: all well, spec wrong, command wrong, a mistake in cabdraw, a difference found, stopped by hand.
FINE, SPEC_WRONG, COMMAND_WRONG, BUG, DIFFERENT, STOPPED, ENDED = 0, 1, 2, 3, 4, 130, 143


class OutputLost(Exception):
    """What is said can be kept nowhere, such as on a disk that is full."""


def put(stream: TextIO | None, text: str) -> None:
    """Write to a stream, if anyone still listens; raises `OutputLost` where the output cannot be written."""
    try:
        if stream is not None:
            stream.write(text)
            stream.flush()
    except BrokenPipeError:
        silence(stream)
    except OSError as problem:
        if stream is sys.stdout:
            raise OutputLost from problem


class Asked(Frozen):
    """A car that the command asks for: its spec and, where that holds several cars, its key."""

    spec: Path
    car: str | None = None

    @property
    def name(self) -> str:
        """What it is called, as its folder is."""
        stem = self.spec.stem or str(self.spec)
        return stem if self.car is None else f"{stem}-{self.car}"

    @property
    def said(self) -> str:
        """Its spec as it was typed, and which car of it."""
        return str(self.spec) if self.car is None else f"{self.spec} (car {self.car})"

    def placed(self, error: SpecError) -> SpecError:
        """An error with the path of its file as seen from here, and not from the spec's folder as errors have it."""
        own = error.file in (self.spec.name, quoted(self.spec.name, 200)[1:-1])
        return replace(error, file=str(self.spec if own else self.spec.parent / error.file))


def silence(stream: TextIO | None) -> None:
    """Let all that is still written to a stream go nowhere, also what Python itself writes as it ends."""
    try:
        if stream is not None:
            nowhere = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nowhere, stream.fileno())
            os.close(nowhere)
    except (OSError, ValueError):
        pass


def clean(text: str) -> str:
    """A text without signs that a terminal would act on."""
    return "".join(sign if sign.isprintable() else ascii(sign)[1:-1] for sign in text)


def bug(problem: Exception, about: str = "") -> int:
    """Write a report of a mistake in cabdraw, say where it is, and return the status that goes with it.

    What a machine is short of is no mistake, and is only said.
    """
    if short := short_of(problem):
        put(sys.stderr, clean(f"{about}{short}") + "\n")
        return SPEC_WRONG
    from cabdraw.bug import write_report

    report = write_report(problem, sys.argv[1:])
    kept = f"a report is in {report}; please send it to its developers" if report else "and no report could be written"
    put(sys.stderr, clean(f"{about}this is a mistake in cabdraw, not in your spec: {kept}") + "\n")
    return BUG


class Report:
    """What is said while specs are worked on, one after the other."""

    def __init__(self, total: int, quiet: bool) -> None:
        self.total = total
        self.quiet = quiet
        self.told: set[str] = set()

    def say(self, text: str, end: str = "\n") -> None:
        """Say something that is well."""
        if not self.quiet:
            put(sys.stdout, clean(text) + end)

    def note(self, text: str) -> None:
        """Say something to think of that is no finding."""
        self.say(text)

    def object(self, text: str) -> None:
        """Say something that is not."""
        put(sys.stderr, clean(text) + "\n")

    def wrong(self, error: SpecError) -> None:
        """Say what is wrong in a spec that none of the cars here is drawn from."""
        self.object(str(error))

    def each(self, cars: Sequence[Asked], work: Callable[[Asked], int], well: str) -> int:
        """Work on each car, go on after a bad one, and return the worst status; `well` is said of those that went."""
        from cabdraw.looked import NoSuchWall
        from cabdraw.place import CannotPlace

        statuses = []
        went = 0
        for number, car in enumerate(cars, 1):
            self.begin(number, car)
            try:
                statuses.append(work(car))
                went += 1
            except BadSpec as bad:
                statuses.append(self.refused(car, bad))
            except CannotPlace as refusal:
                statuses.append(self.failed("not written", refusal.lines, SPEC_WRONG))
            except NoSuchWall as mistake:
                statuses.append(self.failed("not drawn", (f"{car.said}: {mistake}",), COMMAND_WRONG))
            except OutputLost:
                raise
            except Exception as problem:
                if came():
                    raise KeyboardInterrupt from problem
                statuses.append(self.broke(problem, car))
        if self.total > 1:
            self.say(f"{went} of {self.total} {well}")
        return max(statuses)

    def broke(self, problem: Exception, car: Asked) -> int:
        """Say that a car's work ended in an error which nobody foresaw, and what stands of it; returns the status."""
        if short := short_of(problem):
            return self.failed("failed", (f"{car.said}: {short}", *noted(problem)), SPEC_WRONG)
        self.failed("failed", noted(problem), BUG)
        return bug(problem, f"{car.said}: ")

    def begin(self, number: int, car: Asked) -> None:
        """Say which car is worked on now."""
        self.say((f"[{number}/{self.total}] " if self.total > 1 else "") + f"{car.name} ... ", end="")

    def refused(self, car: Asked, bad: BadSpec) -> int:
        """Say why a car is refused, each error with its place, those it shares with a car before only once; its status.

        Cars of one spec, or of one included file, have what is wrong in it in common.
        """
        lines = [str(car.placed(error)) for error in bad.errors]
        again = sum(line in self.told for line in lines)
        self.say(f"refused, {counted(len(lines), 'error')}" + (f", {again} of them told above" if again else ""))
        for line in lines:
            if line not in self.told:
                self.object(line)
        self.told.update(lines)
        return SPEC_WRONG

    def failed(self, how: str, why: Sequence[str], status: int) -> int:
        """Say how a good spec came to nothing, and why; the status that goes with it."""
        self.say(how)
        for line in why:
            self.object(line)
        return status

    def findings(self, looked: Looked) -> None:
        """Show what was found, each with its place in the spec and what would mend it."""
        for finding in looked.findings:
            where = looked.document.source.where(finding.path)
            stops = "" if finding.stops == "nothing" else f", stops {finding.stops}"
            tell = self.object if finding.severity == "error" else self.say
            tell(f"  {finding.severity} {finding.code}{stops}: {finding.message}")
            tell(f"    {where.path}:{where.line}:{where.column}: {finding.where}")
            if finding.hint:
                tell(f"    {finding.hint}")

    def changed(self, since: Path, found: Comparison, says: Sequence[str]) -> None:
        """Say what changed in a car since an earlier spec of it, in so many words."""
        self.say(f"  since {since}: {says[0]}")
        for line in says[1:]:
            self.say(f"  {line}")

    def placed(self, placed: Placed) -> None:
        """Say where a package stands, and what became of the one before it."""
        self.say(f"  {counted(len(placed.files), 'file')} in {placed.folder}")
        if placed.repaired:
            self.say("  an earlier run was cut short while it wrote there; all of it is put right")
        if placed.removed:
            self.say(f"  removed, of an earlier run: {', '.join(placed.removed)}")
        for path in placed.kept:
            self.object(
                f"{placed.folder / path}: left there, since it was changed after cabdraw wrote it; it is not part of "
                "the package any more"
            )
        from cabdraw.place import beside

        for place in placed.beside:
            self.object(beside(place))

    def several(self, placed: Placed, left_out: Sequence[str]) -> None:
        """Say where the lists over all cars stand, and which cars are not in them."""
        self.say("lists over all cars")
        if left_out:
            self.say(f"  without {', '.join(left_out)}: NOT FOR FABRICATION")
        self.placed(placed)

    def end(self, status: int) -> int:
        """Say all that is left to say; the status, as it is."""
        return status


def counted(number: int, what: str) -> str:
    """So many of something, in words: no errors, 1 error, 2 errors."""
    return f"{number or 'no'} {what}{'' if number == 1 else 's'}"

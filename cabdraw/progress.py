"""What is said while specs are worked on, in words for whoever typed the command, and the status that comes of it.

Nothing that a terminal would act on is written to it, and nothing is lost without a word.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from cabdraw.bug import write_report
from cabdraw.errors import BadSpec

if TYPE_CHECKING:
    from cabdraw.package import Looked

#: Exit statuses: all well, spec wrong, command wrong, a mistake in cabdraw, a difference found, stopped by hand.
FINE, SPEC_WRONG, COMMAND_WRONG, BUG, DIFFERENT, STOPPED = 0, 1, 2, 3, 4, 130


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
    """Write a report of a mistake in cabdraw, say where it is, and return the status that goes with it."""
    report = write_report(problem, sys.argv[1:])
    kept = f"a report is in {report}; please send it to its developers" if report else "and no report could be written"
    put(sys.stderr, clean(f"{about}this is a mistake in cabdraw, not in your spec: {kept}") + "\n")
    return BUG


class Report:
    """What is said while specs are worked on, one after the other."""

    def __init__(self, total: int, quiet: bool) -> None:
        self.total = total
        self.quiet = quiet

    def say(self, text: str, end: str = "\n") -> None:
        """Say something that is well."""
        if not self.quiet:
            put(sys.stdout, clean(text) + end)

    def object(self, text: str) -> None:
        """Say something that is not."""
        put(sys.stderr, clean(text) + "\n")

    def each(self, specs: Sequence[Path], work: Callable[[Path], int], well: str) -> int:
        """Work on each spec, go on after a bad one, and return the worst status; `well` is said of those that went."""
        from cabdraw.package import CannotPlace, NoSuchWall

        statuses = []
        went = 0
        for number, spec in enumerate(specs, 1):
            self.begin(number, spec)
            try:
                statuses.append(work(spec))
                went += 1
            except BadSpec as bad:
                statuses.append(self.refused(spec, bad))
            except CannotPlace as refusal:
                statuses.append(self.failed("not written", refusal.lines, SPEC_WRONG))
            except NoSuchWall as mistake:
                statuses.append(self.failed("not drawn", (f"{spec}: {mistake}",), COMMAND_WRONG))
            except OutputLost:
                raise
            except Exception as problem:
                self.failed("failed", (), BUG)
                statuses.append(bug(problem, f"{spec}: "))
        if self.total > 1:
            self.say(f"{went} of {self.total} {well}")
        return max(statuses)

    def begin(self, number: int, spec: Path) -> None:
        """Say which spec is worked on now."""
        self.say((f"[{number}/{self.total}] " if self.total > 1 else "") + f"{spec.stem or spec} ... ", end="")

    def refused(self, spec: Path, bad: BadSpec) -> int:
        """Say why a spec is refused, each error with its place; the status that goes with it."""
        self.say(f"refused, {counted(len(bad.errors), 'error')}")
        for error in bad.errors:
            self.object(str(replace(error, file=str(spec))))
        return SPEC_WRONG

    def failed(self, how: str, why: Sequence[str], status: int) -> int:
        """Say how a good spec came to nothing, and why; the status that goes with it."""
        self.say(how)
        for line in why:
            self.object(line)
        return status

    def findings(self, spec: Path, looked: Looked) -> None:
        """Show what was found, each with its place in the spec and what would mend it."""
        for finding in looked.findings:
            line, column = looked.document.source.place(finding.path)
            stops = "" if finding.stops == "nothing" else f", stops {finding.stops}"
            tell = self.object if finding.severity == "error" else self.say
            tell(f"  {finding.severity} {finding.code}{stops}: {finding.message}")
            tell(f"    {spec}:{line}:{column}: {finding.where}")
            if finding.hint:
                tell(f"    {finding.hint}")


def counted(number: int, what: str) -> str:
    """So many of something, in words: no errors, 1 error, 2 errors."""
    return f"{number or 'no'} {what}{'' if number == 1 else 's'}"

"""Every finding there is: its code, severity, what it stops and what it means."""

from __future__ import annotations

from cabdraw.errors import Finding, Path, Severity, Stops
from cabdraw.frozen import Frozen


class Code(Frozen):
    """A kind of finding; `meaning` is one sentence for the table of codes."""

    code: str
    severity: Severity
    stops: Stops
    meaning: str

    def at(self, message: str, path: Path, hint: str, wall: str | None = None, marks: tuple[str, ...] = ()) -> Finding:
        """A finding of this kind with its numbers, its place in the spec and what would mend it."""
        return Finding(self.code, self.severity, message, path, hint, self.stops, wall, marks)


_ALL: list[Code] = []


def code(name: str, severity: Severity, stops: Stops, meaning: str) -> Code:
    """Register a kind of finding, so that it stands in the table of codes."""
    kind = Code(name, severity, stops, meaning)
    _ALL.append(kind)
    return kind


def all_codes() -> tuple[Code, ...]:
    """Every kind of finding, in the order in which the families name them."""
    return tuple(_ALL)

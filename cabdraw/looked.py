"""A spec looked at: read, resolved and checked, with nothing drawn and nothing loaded that draws."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from cabdraw.cab import Cab
from cabdraw.check import findings as check
from cabdraw.check.published import listing
from cabdraw.errors import BadSpec, Finding
from cabdraw.frozen import Frozen, replace
from cabdraw.resolve import resolve
from cabdraw.spec import Document, car_keys, load
from cabdraw.spec.rules import ALWAYS, read_rules, shipped, shipped_rules


class NoSuchWall(Exception):
    """A wall was asked for that the spec does not panel."""


class Looked(Frozen):
    """A spec that could be resolved, and what was found about its car."""

    document: Document
    cab: Cab
    findings: tuple[Finding, ...]

    @property
    def status(self) -> int:
        """The exit status that goes with it: 1 if a finding is an error, else 0."""
        return int(any(finding.severity == "error" for finding in self.findings))

    @property
    def stopped(self) -> bool:
        """Whether a finding stops fabrication."""
        return any(finding.stops == "fabrication" for finding in self.findings)


class NoSuchCar(Exception):
    """A car was asked for that the spec does not hold."""


def cars_of(spec: Path, only: Sequence[str] = ()) -> tuple[str | None, ...]:
    """The keys of the cars in a spec's file, or of `only` some; None for the one car of a file without `cars:`.

    Raises `NoSuchCar`. A file that cannot be read counts as one car: whoever reads that is told what is wrong.
    """
    try:
        keys = car_keys(spec)
    except BadSpec:
        return (None,)
    if not only:
        return keys or (None,)
    for name in only:
        if not keys:
            raise NoSuchCar(f"{spec} is one car, and has no cars: to take {name!r} from")
        if name not in keys:
            raise NoSuchCar(f"{spec} holds no car {name!r}; its cars are {', '.join(keys)}")
    return tuple(key for key in keys if key in only)


def look(spec: Path, car: str | None = None) -> Looked:
    """Read a spec, resolve it and check it; raises `BadSpec`.

    A finding about something that the spec leaves out names the nearest place that is there.
    """
    return look_at(load(spec, car))


def look_at(document: Document) -> Looked:
    """Resolve a spec that was read, and check its car; raises `BadSpec`."""
    cab = resolve(document)
    found = (replace(finding, path=document.source.existing(finding.path)) for finding in check(cab))
    return Looked(document, cab, tuple(found))


def resolved(spec: Path, car: str | None = None) -> Cab:
    """The car that a spec describes, unchecked; raises `BadSpec`."""
    return resolve(load(spec, car))


def copied_surveys(every: Sequence[Looked]) -> list[str]:
    """A sentence for each car whose survey is another's, reading for reading: cars differ, and one was not measured."""
    said: list[str] = []
    seen: list[tuple[str, object]] = []
    for looked in every:
        readings = looked.document.source.plain().get("survey")
        twin = next((name for name, other in seen if other == readings), None)
        if twin is not None:
            said.append(
                f"{looked.cab.name} has the very readings of {twin}: no two cars measure alike; was it measured itself?"
            )
        seen.append((looked.cab.name, readings))
    return said


def rule_listing(files: Sequence[Path] = ()) -> list[tuple[str, str, str, str]]:
    """A row for each published rule, those of a shop's own files too; raises `BadSpec` for a file that is wrong."""
    rules = [rule for name in (*shipped(), ALWAYS) for rule in shipped_rules(name)]
    for path in files:
        rules += read_rules(path)
    return listing(rules)

"""What `cabdraw draw --json` and `cabdraw check --json` say: one JSON document, whatever becomes of the specs.

Nothing else goes to the output. Signs that are not ASCII are escaped, so that no terminal acts on any of them.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from cabdraw import __version__
from cabdraw.errors import BadSpec, SpecError
from cabdraw.progress import BUG, SPEC_WRONG, Asked, Report, put

if TYPE_CHECKING:
    from cabdraw.compare import Comparison
    from cabdraw.looked import Looked
    from cabdraw.place import Placed

#: Version of the document; keys may be added to it, and keep their meaning.
VERSION = 1


class JsonReport(Report):
    """Notes what other reports say in words; `end` says it."""

    def __init__(self, command: str, total: int) -> None:
        super().__init__(total, quiet=True)
        self.command = command
        self.cars: list[dict[str, Any]] = []
        self.errors: list[dict[str, Any]] = []
        self.notes: list[str] = []
        self.all_cars: dict[str, Any] | None = None

    def say(self, text: str, end: str = "\n") -> None:
        """Say nothing: what is well is noted where it comes from."""

    def note(self, text: str) -> None:
        """Note something to think of that is no finding."""
        self.notes.append(text)

    def object(self, text: str) -> None:
        """Note an error that has no place in a file."""
        self.errors.append(_error(SpecError("", 0, 0, "", text)))

    def wrong(self, error: SpecError) -> None:
        """Note what is wrong in a spec that none of the cars here is drawn from."""
        self.errors.append(_error(error))

    def begin(self, number: int, car: Asked) -> None:
        """Note which car what comes now is about."""
        self.cars.append(
            {
                "name": car.name,
                "spec": str(car.spec),
                "car": car.car,
                "status": 0,
                "result": "drawn" if self.command == "draw" else "checked",
                "not_for_fabrication": False,
                "findings": [],
                "errors": [],
                **_nowhere(),
                "since": None,
            }
        )

    def refused(self, car: Asked, bad: BadSpec) -> int:
        """Note why a car is refused, each error with its place; its status."""
        self.cars[-1]["errors"] = [_error(car.placed(error)) for error in bad.errors]
        return self._came_to("refused", SPEC_WRONG)

    def failed(self, how: str, why: Sequence[str], status: int) -> int:
        """Note how a good spec came to nothing, and why; the status that goes with it."""
        if status == BUG:
            why = ("a mistake in cabdraw, not in your spec; the error stream says where a report is", *why)
        self.cars[-1]["errors"] = [_error(SpecError("", 0, 0, "", line)) for line in why]
        return self._came_to(how, status)

    def _came_to(self, how: str, status: int) -> int:
        self.cars[-1] |= {"result": how, "status": status}
        return status

    def findings(self, looked: Looked) -> None:
        """Note what was found, each with its place in the spec and what would mend it."""
        for finding in looked.findings:
            where = looked.document.source.where(finding.path)
            self.cars[-1]["findings"].append(
                {
                    "code": finding.code,
                    "severity": finding.severity,
                    "stops": finding.stops,
                    "message": finding.message,
                    "where": finding.where,
                    "file": str(where.path),
                    "line": where.line,
                    "column": where.column,
                    "hint": finding.hint,
                    "wall": finding.wall,
                    "marks": list(finding.marks),
                }
            )
        self.cars[-1] |= {"status": looked.status, "not_for_fabrication": looked.stopped}

    def changed(self, since: Path, found: Comparison, says: Sequence[str]) -> None:
        """Note what changed in a car since an earlier spec of it."""
        from cabdraw.compare import as_record

        self.cars[-1]["since"] = {"spec": str(since), **as_record(found)}
        self.notes += says[1:]

    def placed(self, placed: Placed) -> None:
        """Note where a package stands, and what became of the one before it."""
        self.cars[-1] |= _stands(placed)
        self._beside(placed)

    def several(self, placed: Placed, left_out: Sequence[str]) -> None:
        """Note where the lists over all cars stand, and which cars are not in them."""
        self.all_cars = {**_stands(placed), "without": list(left_out)}
        self._beside(placed)

    def _beside(self, placed: Placed) -> None:
        from cabdraw.place import beside

        self.notes += map(beside, placed.beside)

    def end(self, status: int) -> int:
        """Say it all, as one document; the status, as it is."""
        document = {
            "cabdraw": VERSION,
            "version": __version__,
            "command": self.command,
            "status": status,
            "cars": self.cars,
            "all_cars": self.all_cars,
            "errors": self.errors,
            "notes": self.notes,
        }
        put(sys.stdout, json.dumps(_whole(document), indent=1) + "\n")
        return status


def _nowhere() -> dict[str, Any]:
    return {"folder": None, "files": [], "removed": [], "kept": []}


def _stands(placed: Placed) -> dict[str, Any]:
    return {
        "folder": str(placed.folder),
        "files": list(placed.files),
        "removed": list(placed.removed),
        "kept": list(placed.kept),
    }


def _error(error: SpecError) -> dict[str, Any]:
    """An error; what it has no place, path or hint for is null."""
    return {
        "file": error.file or None,
        "line": error.line or None,
        "column": error.column or None,
        "path": error.path or None,
        "what": error.what,
        "hint": error.hint or None,
    }


def _whole(value: Any) -> Any:
    """A value in which every text is one that every reader of JSON takes: half a sign is spelled out."""
    if isinstance(value, str):
        return value.encode("utf-8", "backslashreplace").decode("utf-8")
    if isinstance(value, dict):
        return {key: _whole(item) for key, item in value.items()}
    return [_whole(item) for item in value] if isinstance(value, list) else value

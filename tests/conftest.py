"""The shipped specs, each drawn once a session, with every sheet that was handed to a writer."""

from __future__ import annotations

import importlib
import json
import pkgutil
import signal
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache, wraps
from pathlib import Path
from typing import Any

import pytest

import cabdraw.write
from cabdraw import package
from cabdraw.draw.shapes import Sheet
from cabdraw.place import put

# A shell that starts the tests in the background has them ignore Ctrl-C, and whatever they start would inherit that.
if signal.getsignal(signal.SIGINT) == signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)

REPOSITORY = Path(__file__).parent.parent
SPECS = sorted((REPOSITORY / "specs").glob("*.yaml"))
#: A job whose file holds several cars, and the keys of those.
JOB, JOB_CARS = REPOSITORY / "specs" / "shared" / "mill-row.yaml", ("car-1", "car-2")


@pytest.fixture(params=["at once", "file by file"])
def way(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """Both ways in which a package is put in place; the second is that of disks which cannot exchange folders."""
    found: str = request.param
    if found == "file by file":
        monkeypatch.setattr(put, "at_once", lambda *_: False)
    return found


@dataclass(frozen=True)
class Shipped:
    """One shipped spec as it is drawn: what was resolved and found, its files by path, its sheets by name.

    `made` has the sheets that each file was written from, by what the file holds.
    """

    spec: Path
    looked: package.Looked
    files: dict[str, bytes]
    sheets: dict[str, Sheet]
    made: dict[bytes, tuple[Sheet, ...]]

    @property
    def resolved(self) -> dict[str, Any]:
        """What `resolved.json` says."""
        found: dict[str, Any] = json.loads(self.files["resolved.json"])
        return found

    def of(self, ending: str) -> dict[str, bytes]:
        """The files whose path has an ending."""
        return {path: content for path, content in self.files.items() if path.endswith(ending)}


@contextmanager
def sheets_seen(after_each: Callable[[], None] = lambda: None) -> Iterator[dict[str, Sheet]]:
    """Note every sheet that is handed to a writer, by its name; another of the same name is numbered.

    `after_each` is called whenever a writer has written.
    """
    with sheets_written(after_each) as (seen, _):
        yield seen


@contextmanager
def sheets_written(
    after_each: Callable[[], None] = lambda: None,
) -> Iterator[tuple[dict[str, Sheet], dict[bytes, tuple[Sheet, ...]]]]:
    """Every sheet that is handed to a writer, by its name, and the sheets of each file by what the file holds."""
    seen: dict[str, Sheet] = {}
    made: dict[bytes, tuple[Sheet, ...]] = {}

    def note(value: object) -> None:
        if isinstance(value, Sheet):
            if value not in seen.values():
                also = sum(name.partition(" ")[0] == value.name for name in seen)
                seen[f"{value.name} {also + 1}" if also else value.name] = value
        elif isinstance(value, Iterable) and not isinstance(value, str | bytes | dict):
            for item in value:
                note(item)

    def noting(write: Callable[..., bytes]) -> Callable[..., bytes]:
        @wraps(write)
        def written(*arguments: Any, **named: Any) -> bytes:
            kept = [list(value) if isinstance(value, Iterator) else value for value in arguments]
            note(kept)
            note(list(named.values()))
            content = write(*kept, **named)
            first = kept[0] if kept else None
            sheets = [first] if isinstance(first, Sheet) else first if isinstance(first, list | tuple) else []
            made[content] = tuple(sheet for sheet in sheets if isinstance(sheet, Sheet))
            after_each()
            return content

        return written

    with pytest.MonkeyPatch.context() as patch:
        for found in pkgutil.iter_modules(cabdraw.write.__path__):
            module = importlib.import_module(f"cabdraw.write.{found.name}")
            for name, thing in list(vars(module).items()):
                if name.endswith("_bytes") and callable(thing):
                    patch.setattr(module, name, noting(thing))
        yield seen, made


@cache
def drawn(spec: Path, car: str | None = None) -> Shipped:
    """A car's package, kept for the session."""
    looked = package.look(spec, car)
    with sheets_written() as (sheets, made):
        files = package.build(looked.cab, looked.findings)
    return Shipped(spec, looked, files, sheets, made)


@pytest.fixture(params=SPECS, ids=lambda spec: spec.stem)
def shipped(request: pytest.FixtureRequest) -> Shipped:
    """Each shipped spec in turn."""
    return drawn(request.param)

"""Putting new files down where nothing stands yet: all of them, or none."""

from __future__ import annotations

import os
import secrets
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from cabdraw.place import disk
from cabdraw.place.plan import CannotPlace

_NOTHING = (
    "nothing was written: this is there already and may hold somebody's work; move it away, or name another"
    " folder with --out"
)


def put_new(files: Mapping[str, bytes], folder: Path) -> tuple[Path, ...]:
    """Write files into a folder under names that nothing has there; where they stand.

    Raises `CannotPlace`, having written nothing, if anything stands under one of the names or the disk refuses.
    """
    taken = [folder / name for name in files if os.path.lexists(folder / name)]
    if taken:
        raise CannotPlace(*(f"{place}: {_NOTHING}" for place in taken))
    made: list[Path] = []
    done: list[Path] = []
    temporary: list[Path] = []
    try:
        disk.make_folders(folder, made)
        for name, held in files.items():
            # Whole from the first moment that it has its name: what a full disk cuts short never gets one.
            temporary.append(folder / f".{name}.cabdraw-{secrets.token_hex(4)}")
            disk.write(temporary[-1], held)
        for name, place in zip(files, temporary, strict=True):
            _claim(place, folder / name)
            done.append(folder / name)
        disk.sync(folder)
    except BaseException as problem:
        for place in done:
            with suppress(OSError):
                disk.remove(place)
        if not isinstance(problem, OSError):
            raise
        raise CannotPlace(f"{folder}: nothing was written: {disk.reason(problem)}") from problem
    finally:
        for place in temporary:
            with suppress(OSError):
                disk.remove(place)
        if not done:
            disk.remove_empty(made)
    return tuple(done)


def _claim(place: Path, target: Path) -> None:
    """Give a file its name, which nothing may have; raises `CannotPlace` where something does."""
    try:
        os.link(place, target)
    except OSError as problem:
        # Not every disk has links: there a look comes first, and a file put there at that very moment is lost.
        if os.path.lexists(target):
            raise CannotPlace(f"{target}: {_NOTHING}") from problem
        disk.move(place, target)

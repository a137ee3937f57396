"""Putting a file of ours in the place of an earlier one of ours, and of nothing else."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Literal

from cabdraw.place import disk
from cabdraw.place.new import put_new
from cabdraw.place.plan import CannotPlace


def put_renewed(place: Path, held: bytes, ours: Callable[[bytes], bool]) -> Literal["new", "same", "renewed"]:
    """Write a file where nothing stands, or over one that `ours` knows; what came of it.

    Raises `CannotPlace`, having changed nothing, if something else stands there or the disk refuses.
    """
    try:
        there = disk.content(place.parent, place.name)
        if there is None:
            put_new({place.name: held}, place.parent)
            return "new"
        if there == held:
            return "same"
        if not ours(there):
            raise CannotPlace(f"{place}: nothing was written: this is something else, and may be somebody's work")
        aside = place.with_name(f".{place.name}.cabdraw-{secrets.token_hex(4)}")
        try:
            disk.write(aside, held)
            disk.move(aside, place)
            disk.sync(place.parent)
        finally:
            with suppress(OSError):
                disk.remove(aside)
        return "renewed"
    except disk.InTheWay as problem:
        raise CannotPlace(f"{place}: nothing was written: a {problem.kind} stands where a file belongs") from problem
    except OSError as problem:
        raise CannotPlace(f"{place}: nothing was written: {disk.reason(problem)}") from problem

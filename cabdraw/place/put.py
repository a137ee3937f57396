"""Moving a package in, file by file, and back out again where that fails."""

from __future__ import annotations

import os
import re
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from cabdraw.place import disk
from cabdraw.place.disk import InTheWay, content, digest, sync
from cabdraw.place.journal import JOURNAL, check_paths, folders
from cabdraw.place.lock import Busy, locked
from cabdraw.place.plan import CannotPlace, Plan, survey

#: The file whose presence says that the others are in place.
LAST = "resolved.json"
#: Seconds for which a run waits for another that writes the same package.
PATIENCE = 10.0


@dataclass(frozen=True, slots=True)
class Placed:
    """What became of a package, as paths in its folder; `kept` no longer belong but were changed by someone else."""

    folder: Path
    files: tuple[str, ...]
    written: tuple[str, ...]
    removed: tuple[str, ...]
    kept: tuple[str, ...]


def put_in_place(files: Mapping[str, bytes], folder: Path, patience: float = PATIENCE) -> Placed:
    """Make `folder` hold these files, by relative path, and no other that cabdraw wrote there before.

    Raises `CannotPlace`, with the folder as it was, where a file that is not ours stands in the way,
    another run is writing there, or the disk refuses.
    """
    check_paths(files)
    try:
        with locked(folder, patience):
            _clear_dead_runs(folder)
            plan = survey(files, folder)
            if not plan.idle:
                _carry_out(files, folder, plan)
    except Busy:
        text = f"{folder}: nothing was written: another run of cabdraw is writing there"
        raise CannotPlace(f"{text}; wait for it, then draw again") from None
    except OSError as problem:
        raise CannotPlace(f"{folder}: nothing was written: {disk.reason(problem)}") from problem
    except InTheWay as it:
        raise _changed(it.place) from it
    return Placed(folder, tuple(sorted(files)), plan.write, plan.remove, plan.kept)


def _changed(place: Path) -> CannotPlace:
    return CannotPlace(f"{place}: nothing was written: it changed in the meantime; draw again")


@dataclass(frozen=True, slots=True)
class _Step:
    """One file that changes: the temporary files that hold its new and its old content, and their digests."""

    folder: Path
    path: str
    new: Path | None
    old: Path | None
    becomes: str
    was: str

    @property
    def target(self) -> Path:
        return self.folder / self.path

    def do(self) -> None:
        """Move the file in, or take it away, if what stands there is still what was found."""
        if digest(content(self.folder, self.path)) != self.was:
            raise _changed(self.target)
        if self.new is None:
            disk.remove(self.target)
        else:
            disk.move(self.new, self.target)

    def undo(self) -> None:
        """Put back what was there, if what stands there now is what this step left."""
        found = digest(content(self.folder, self.path))
        if found == self.was or found != self.becomes:
            return
        if self.old is None:
            disk.remove(self.target)
        else:
            disk.make_folders(self.target.parent, [])
            disk.move(self.old, self.target)


@dataclass(frozen=True, slots=True)
class _Steps:
    """The steps in the order in which they must reach the disk."""

    begin: tuple[_Step, ...]
    moves: tuple[_Step, ...]
    last: tuple[_Step, ...]
    end: tuple[_Step, ...]


def _carry_out(files: Mapping[str, bytes], folder: Path, plan: Plan) -> None:
    temporary = folder.parent / f".{folder.name}.cabdraw-{secrets.token_hex(4)}"
    made: list[Path] = []
    done: list[_Step] = []
    try:
        os.mkdir(temporary)
        steps = _prepare(files, folder, plan, temporary)
        sync(temporary)
        disk.make_folders(folder, made)
        for path in sorted(folders(plan.write)):
            disk.make_folders(folder / path, made)
        _do(steps.begin, done)
        sync(folder)
        _do(steps.moves, done)
        for place in sorted({step.target.parent for step in steps.moves}):
            sync(place)
        _do(steps.last, done)
        sync(folder)
        for path in plan.emptied:
            disk.remove_empty_inside(folder, path)
        _do(steps.end, done)
        sync(folder)
    except BaseException as problem:
        if _undo(done, made) or not isinstance(problem, Exception):
            raise
        why = disk.reason(problem) if isinstance(problem, OSError) else str(problem)
        text = f"{folder}: written in part, each file whole, old or new: {why}"
        raise CannotPlace(f"{text}; draw again to put it right") from problem
    finally:
        disk.clear(temporary)


def _prepare(files: Mapping[str, bytes], folder: Path, plan: Plan, temporary: Path) -> _Steps:
    """Write all new contents, and copies of the old, into the temporary folder."""
    count = 0

    def keep(held: bytes | None) -> Path | None:
        nonlocal count
        if held is None:
            return None
        count += 1
        disk.write(temporary / str(count), held)
        return temporary / str(count)

    def step(path: str, new: bytes | None, old: bytes | None) -> _Step:
        return _Step(folder, path, keep(new), keep(old), digest(new), digest(old))

    changes = [step(path, files.get(path), content(folder, path)) for path in (*plan.write, *plan.remove)]
    for one in changes:
        if one.was != plan.present.get(one.path, ""):
            raise _changed(one.target)
    return _Steps(
        begin=(step(JOURNAL, plan.begun, plan.journal),) if plan.begun != plan.journal else (),
        moves=tuple(one for one in changes if one.path != LAST),
        last=tuple(one for one in changes if one.path == LAST),
        end=(step(JOURNAL, plan.ended, plan.begun),) if plan.ended != plan.begun else (),
    )


def _do(steps: tuple[_Step, ...], done: list[_Step]) -> None:
    for step in steps:
        done.append(step)  # first: an interrupt may come between, and undoing what was not done does nothing
        step.do()


def _undo(done: list[_Step], made: list[Path]) -> bool:
    """Put everything back, the journal last; whether that went well."""
    try:
        for step in reversed(done):
            step.undo()
    except (OSError, InTheWay):
        return False
    disk.remove_empty(made)
    return True


def _clear_dead_runs(folder: Path) -> None:
    """Remove what runs left that were killed; under the lock there can be no other run alive."""
    temporary = re.compile(re.escape(f".{folder.name}.cabdraw-") + "[0-9a-f]{8}")
    for name in os.listdir(folder.parent):
        if temporary.fullmatch(name) and disk.kind(folder.parent / name) == "folder":
            disk.clear(folder.parent / name)

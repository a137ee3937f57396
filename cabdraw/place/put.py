"""Putting a package in place: whole where that can be, or else file by file, and back out again where that fails."""

from __future__ import annotations

import os
import re
import secrets
from collections.abc import Mapping
from pathlib import Path

from cabdraw.frozen import Frozen
from cabdraw.place import disk
from cabdraw.place.disk import InTheWay, content, digest, sync
from cabdraw.place.journal import JOURNAL, check_paths, folders
from cabdraw.place.lock import Busy, locked
from cabdraw.place.plan import LAST, CannotPlace, Plan, changed, survey
from cabdraw.place.whole import discard, make_whole, replace
from cabdraw.stop import Standing, undisturbed

#: Seconds for which a run waits for another that writes the same package.
PATIENCE = 10.0


class Placed(Frozen):
    """What became of a package, as paths in its folder; `kept` no longer belong but were changed by someone else.

    `repaired` if an earlier run was killed, or the power went, while it put its files in place there. `beside` are
    folders with what somebody saved in the package's folder in the very moment in which it was replaced.
    """

    folder: Path
    files: tuple[str, ...]
    written: tuple[str, ...]
    removed: tuple[str, ...]
    kept: tuple[str, ...]
    repaired: bool = False
    beside: tuple[Path, ...] = ()


#: What is said of a package's folder after a run that did not end well.
_NOTHING = "nothing was written"
_WHOLE = "the whole package is there"
_IN_PART = "written in part, each file whole, old or new"
_AGAIN = "draw again to put it right"
_IN_PART_AGAIN = f"{_IN_PART}; {_AGAIN}"


def put_in_place(files: Mapping[str, bytes], folder: Path, patience: float = PATIENCE) -> Placed:
    """Make `folder` hold these files, by relative path, and no other that cabdraw wrote there before.

    Raises `CannotPlace`, with the folder as it was, where a file that is not ours stands in the way,
    another run is writing there, or the disk refuses. What is there is kept in `stop.Standing`.
    """
    check_paths(files)
    state = _State(folder)
    state.said = _NOTHING
    try:
        with locked(folder, patience):
            _clear_dead_runs(folder, state)
            plan = survey(files, folder)
            if not plan.idle and not at_once(files, folder, plan, state):
                _file_by_file(files, folder, plan, state)
            state.said = _WHOLE
    except Busy:
        text = f"{folder}: {_NOTHING}: another run of cabdraw is writing there"
        raise CannotPlace(f"{text}; wait for it, then draw again") from None
    except OSError as problem:
        raise CannotPlace(f"{folder}: {_NOTHING}: {disk.reason(problem)}") from problem
    except InTheWay as it:
        raise changed(it.place) from it
    except CannotPlace as refusal:
        if not state.beside:
            raise
        raise CannotPlace(*refusal.lines, *map(beside, state.beside)) from refusal
    return Placed(
        folder, tuple(sorted(files)), plan.write, plan.remove, plan.kept, plan.interrupted, tuple(state.beside)
    )


def beside(place: Path) -> str:
    """What is said of a folder with what somebody saved in the very moment in which a package was replaced."""
    return f"{place}: somebody's files were left here as the package was replaced; move what you need, then remove it"


class _State:
    """What is to be said of the folder if the run is stopped now, and where something of somebody's is left beside."""

    def __init__(self, folder: Path) -> None:
        self.beside: list[Path] = []
        self._words = {said: f"{folder}: {said}" for said in (_NOTHING, _WHOLE, _IN_PART_AGAIN)}
        self._said = _NOTHING

    @property
    def said(self) -> str:
        return self._said

    @said.setter
    def said(self, said: str) -> None:
        self._said = said
        Standing.said = self._words[said]

    def stands(self, whole: bool) -> None:
        """Note whether the new package stands in its folder now, or the earlier one."""
        self.said = _WHOLE if whole else _NOTHING

    def discard(self, temporary: Path, folder: Path) -> None:
        """Remove a run's temporary folder, and note what of it has to stay."""
        left = discard(temporary, folder)
        if left is not None and left not in self.beside:
            self.beside.append(left)


class _Step(Frozen):
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
        if disk.digest_at(self.folder, self.path) != self.was:
            raise changed(self.target)
        if self.new is None:
            disk.remove(self.target)
        else:
            disk.move(self.new, self.target)

    def undo(self) -> bool:
        """Put back what was there, if what stands there now is what this step left; whether it is there."""
        found = disk.digest_at(self.folder, self.path)
        if found == self.was:
            return True
        if found != self.becomes:
            return False
        if self.old is None:
            disk.remove(self.target)
        else:
            disk.make_folders(self.target.parent, [])
            disk.move(self.old, self.target)
        return True


class _Steps(Frozen):
    """The steps in the order in which they must reach the disk."""

    begin: tuple[_Step, ...]
    moves: tuple[_Step, ...]
    last: tuple[_Step, ...]
    end: tuple[_Step, ...]


def _temporary(folder: Path) -> Path:
    return folder.parent / f".{folder.name}.cabdraw-{secrets.token_hex(4)}"


def at_once(files: Mapping[str, bytes], folder: Path, plan: Plan, state: _State) -> bool:
    """Whether the package could be made beside the earlier one and put in its place in one call of the system."""
    temporary = _temporary(folder)
    try:
        os.mkdir(temporary)
        ready = make_whole(files, folder, plan, temporary)
        if ready is None:
            return False
        with undisturbed():
            if not replace(ready, folder, state.stands):
                return False
            sync(temporary)
            sync(folder.parent)  # before the earlier one goes: or else a power cut could leave what is left of that
        return True
    finally:
        try:
            with undisturbed():
                state.discard(temporary, folder)
        except KeyboardInterrupt:  # it may have come just before it was put off
            with undisturbed():
                state.discard(temporary, folder)
            raise


def _file_by_file(files: Mapping[str, bytes], folder: Path, plan: Plan, state: _State) -> None:
    temporary = _temporary(folder)
    made: list[Path] = []
    done: list[_Step] = []
    state.said = _IN_PART_AGAIN
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
        state.said = _WHOLE
    except BaseException as problem:
        if state.said == _WHOLE:
            raise
        try:
            with undisturbed():
                if _undo(done, made):
                    state.said = _NOTHING
        except KeyboardInterrupt:  # it may have come just before it was put off; what is undone is not undone again
            with undisturbed():
                if _undo(done, made):
                    state.said = _NOTHING
            raise
        if state.said == _NOTHING:
            raise
        if not isinstance(problem, Exception):
            raise
        why = disk.reason(problem) if isinstance(problem, OSError) else "it changed in the meantime"
        raise CannotPlace(f"{folder}: {_IN_PART}: {why}; {_AGAIN}") from problem
    finally:
        try:
            with undisturbed():
                disk.clear(temporary)
        except KeyboardInterrupt:  # it may have come just before it was put off
            with undisturbed():
                disk.clear(temporary)
            raise


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
            raise changed(one.target)
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
    """Put everything back, the journal last; whether that went well.

    Where somebody changed the last file before its step was done, their change stays, and nothing of it is ours.
    """
    well = True
    try:
        for number, step in enumerate(reversed(done)):
            well &= step.undo() or number == 0
    except (OSError, InTheWay):
        return False
    disk.remove_empty(made)
    return well


def _clear_dead_runs(folder: Path, state: _State) -> None:
    """Remove what runs left that were killed; under the lock there can be no other run alive."""
    temporary = re.compile(re.escape(f".{folder.name}.cabdraw-") + "[0-9a-f]{8}")
    for name in os.listdir(folder.parent):
        if temporary.fullmatch(name) and disk.kind(folder.parent / name) == "folder":
            state.discard(folder.parent / name, folder)

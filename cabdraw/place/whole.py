"""A package made whole beside the earlier one, which it then replaces in one call of the system.

Whatever ends the run, and whenever, the folder holds the one package or the other. What changes is written anew;
what stays, ours or somebody's, is the very same file under two names until the earlier folder is gone.
"""

from __future__ import annotations

import json
import os
import shutil
import stat
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path

from cabdraw.frozen import Frozen
from cabdraw.place import disk
from cabdraw.place.exchange import can_exchange, exchange
from cabdraw.place.journal import JOURNAL, folders
from cabdraw.place.plan import CannotPlace, Plan, changed

#: A folder with more in it than this is somebody's archive: not all of it is given a second name.
MOST = 10_000
#: Names in a run's temporary folder: a package that is being made, which is nobody's yet; one that is whole, the new
#: and then the earlier; and what may be removed of those, which a later run can read.
_MAKING, _PACKAGE, _KNOWN = "1", "package", "2"
#: What tells one file of a disk from another, and from itself after a change: number, bytes, time of the change.
Identity = tuple[int, ...]
#: What a folder has instead.
_FOLDER: Identity = ()


class Whole(Frozen):
    """A new package that is complete and on the disk, and what stood in the folder that it is for; None for nothing."""

    place: Path
    found: Mapping[str, Identity] | None


def make_whole(files: Mapping[str, bytes], folder: Path, plan: Plan, temporary: Path) -> Whole | None:
    """Make the package in a temporary folder; None where what stands in its folder has to stay where it is.

    Raises `CannotPlace` or `InTheWay` where that is no longer what was planned for, and `OSError` of the disk.
    """
    found = None
    if disk.kind(folder) is not None:
        try:
            found = _entries(folder)
        except OSError:  # a folder that may not be looked into, or is too deep, or goes away
            return None
        if found is None or not can_exchange() or _stands_in(folder):
            return None
        for path in (*plan.write, *plan.remove):
            if disk.digest_at(folder, path) != plan.present.get(path, ""):
                raise changed(folder / path)
        if disk.content(folder, JOURNAL) != plan.journal:
            raise changed(folder / JOURNAL)
    making = temporary / _MAKING
    replaced = {*plan.write, *plan.remove, JOURNAL}
    there = found or {}
    inner = {path for path, identity in there.items() if identity == _FOLDER} | folders(plan.write)
    if not all(_make_folder(folder / path, making / path) for path in ("", *sorted(inner))):
        return None
    for path in there:
        if path not in inner and path not in replaced:
            try:
                os.link(folder / path, making / path)
            except OSError:  # a disk that knows no second name of a file, or somebody else's file
                return None
    try:
        for path in plan.write:
            disk.write(making / path, files[path])
    except FileExistsError:  # a disk to which capitals are the same, and a name that has others
        return None
    disk.write(making / JOURNAL, plan.ended)
    for path in plan.emptied:
        disk.remove_empty_inside(making, path)
    for path in sorted(inner - set(plan.emptied), reverse=True):
        disk.sync(making / path)
    disk.sync(making)
    disk.write(temporary / _KNOWN, json.dumps([there, _entries(making)]).encode())
    disk.sync(temporary)  # or else a later run could find a package of which it does not know what may go
    disk.rename(making, temporary / _PACKAGE)
    disk.sync(temporary)
    return Whole(temporary / _PACKAGE, found)


def replace(whole: Whole, folder: Path) -> bool:
    """Put the package in the place of the earlier one, all at once; False, with nothing changed, where that cannot be.

    Raises `CannotPlace`, with the earlier one back in its place, where somebody changed something in it meanwhile.
    """
    try:
        if whole.found is None:
            disk.rename(whole.place, folder)
            return True
        exchange(whole.place, folder)
    except OSError:
        return False
    refused: OSError | None = None
    now = None
    try:
        now = _entries(whole.place)
    except OSError as problem:
        refused = problem
    if now == whole.found:
        return True
    differ = {path for path, _ in (now or {}).items() ^ whole.found.items()}
    place = folder / min(differ, default="")
    try:
        exchange(whole.place, folder)
    except OSError as problem:
        words = f"the whole package is there; what changed there in the meantime, if anything, is in {whole.place}"
        raise CannotPlace(f"{place}: {words}: {disk.reason(problem)}") from problem
    raise refused or changed(place)


def discard(temporary: Path, folder: Path) -> None:
    """Remove the temporary folder of a run, this one or one that is dead, and what of a package in it may go.

    That is every file which has its other name in the package's folder, or which is as it was when the packages were
    exchanged: then the one that stays has it, or it was ours.
    """
    package = temporary / _PACKAGE
    with suppress(OSError, RecursionError):  # no folder of ours is so deep
        disk.remove_tree(temporary / _MAKING)
    with suppress(OSError):
        if disk.kind(package) == "folder":
            _discard(package, folder, _known(temporary))
            disk.sync(temporary)
        if disk.kind(package) is None:
            disk.clear(temporary)


def _known(temporary: Path) -> Sequence[Mapping[str, object]]:
    try:
        held: object = json.loads(disk.content(temporary, _KNOWN) or b"[]")
    except (disk.InTheWay, ValueError, RecursionError):
        return ()
    return [each for each in held if isinstance(each, dict)] if isinstance(held, list) else ()


def _discard(package: Path, folder: Path, known: Sequence[Mapping[str, object]]) -> None:
    there = _entries(package) or {}
    inner = [path for path, identity in there.items() if identity == _FOLDER]
    for path, identity in there.items():
        if identity != _FOLDER and (
            any(each.get(path) == list(identity) for each in known) or _is_same(package / path, folder / path)
        ):
            disk.remove(package / path)
    disk.remove_empty([package, *(package / path for path in sorted(inner))])


def _is_same(one: Path, other: Path) -> bool:
    try:
        return os.path.samestat(os.lstat(one), os.lstat(other))
    except (FileNotFoundError, NotADirectoryError):
        return False


def _entries(folder: Path) -> dict[str, Identity] | None:
    """All that stands in a folder, by path; None where it cannot be moved in one piece and left as it is.

    That is so of links and devices, of other disks, of folders that are somebody else's or may not be written to,
    and of very many files.
    """
    top = os.lstat(folder)
    found: dict[str, Identity] = {}
    left = [(folder, "")]
    while left:
        place, before = left.pop()
        if not os.access(place, os.W_OK | os.X_OK):
            return None
        for name in os.listdir(place):
            one = os.lstat(place / name)
            inner = stat.S_ISDIR(one.st_mode)
            if not (inner or stat.S_ISREG(one.st_mode)) or one.st_dev != top.st_dev or len(found) == MOST:
                return None
            if inner:
                left.append((place / name, f"{before}{name}/"))
            found[before + name] = _FOLDER if inner else (one.st_ino, one.st_size, one.st_mtime_ns)
    return found


def _make_folder(pattern: Path, place: Path) -> bool:
    """Make a folder as another is, if there is one; whether it can be."""
    os.mkdir(place)
    if disk.kind(pattern) is None:
        return True
    shutil.copystat(pattern, place)
    like, made = os.lstat(pattern), os.lstat(place)
    return (like.st_uid, like.st_gid, like.st_mode) == (made.st_uid, made.st_gid, made.st_mode)


def _stands_in(folder: Path) -> bool:
    """Whether this process works from within the folder, whose relative paths would then lead elsewhere."""
    try:
        here = Path.cwd()
    except OSError:
        return False
    return any(os.path.samefile(place, folder) for place in (here, *here.parents))

"""A package made whole beside the earlier one, which it then replaces in one call of the system.

Whatever ends the run, and whenever, the folder holds the one package or the other. What changes is written anew;
what stays, ours or somebody's, is the very same file under two names until the earlier folder is gone.
"""

from __future__ import annotations

import errno
import json
import os
import re
import shutil
import stat
from collections.abc import Callable, Mapping, Sequence, Set
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
    """A new package that is complete and on the disk, and what stood in the folder that it is for; None for nothing.

    `made` is what stands in the new one, `ours` the paths of either that are cabdraw's to write or to remove.
    """

    place: Path
    found: Mapping[str, Identity] | None
    made: Mapping[str, Identity]
    ours: frozenset[str]


def make_whole(files: Mapping[str, bytes], folder: Path, plan: Plan, temporary: Path) -> Whole | None:
    """Make the package in a temporary folder; None where what stands in its folder has to stay where it is.

    Raises `CannotPlace` or `InTheWay` where that is no longer what was planned for, and `OSError` of the disk.
    """
    found = None
    if disk.kind(folder) is not None:
        try:
            found = _entries(folder, MOST)
        except OSError:  # a folder that may not be looked into, or is too deep, or goes away
            return None
        if found is None or not can_exchange() or _stands_in(folder) or _mounted_inside(folder):
            return None
        for path in (*plan.write, *plan.remove):
            if disk.digest_at(folder, path) != plan.present.get(path, ""):
                raise changed(folder / path)
        if disk.content(folder, JOURNAL) != plan.journal:
            raise changed(folder / JOURNAL)
    making = temporary / _MAKING
    there = found or {}
    inner = {path for path, identity in there.items() if identity == _FOLDER} | folders(plan.write)
    try:
        if not _make(files, folder, plan, making, there, inner):
            return None
    except FileExistsError:  # a disk to which capitals are the same, and a name that has others
        return None
    except OSError as problem:
        if problem.errno == errno.ENAMETOOLONG:  # here, and not where it belongs, as the path is longer here
            return None
        raise
    # Somebody's folder too that the new package has no use for: or else a power cut could take what is in it.
    for path in sorted(inner, reverse=True):
        disk.sync(making / path)
    disk.sync(making)
    made = _entries(making)
    if made is None:
        return None
    disk.write(temporary / _KNOWN, json.dumps([there, made]).encode())
    disk.sync(temporary)  # or else a later run could find a package of which it does not know what may go
    disk.rename(making, temporary / _PACKAGE)
    disk.sync(temporary)
    return Whole(temporary / _PACKAGE, found, made, frozenset((*files, *plan.remove, JOURNAL)))


def _make(
    files: Mapping[str, bytes],
    folder: Path,
    plan: Plan,
    making: Path,
    there: Mapping[str, Identity],
    inner: Set[str],
) -> bool:
    """Fill the folder with what is written anew and what stays; whether everything there can be made again."""
    if not all(_make_folder(folder / path, making / path) for path in ("", *sorted(inner))):
        return False
    replaced = {*plan.write, *plan.remove, JOURNAL}
    for path in there:
        if path not in inner and path not in replaced:
            try:
                os.link(folder / path, making / path)
            except OSError:  # a disk that knows no second name of a file, or somebody else's file
                return False
    for path in plan.write:
        disk.write(making / path, files[path])
    disk.write(making / JOURNAL, plan.ended)
    for path in plan.emptied:
        disk.remove_empty_inside(making, path)
    # The folders that nothing changes in are as old as they were.
    changes = {path.rpartition("/")[0] for path in (*replaced, *plan.emptied)}
    for path in sorted(inner - changes, reverse=True):
        if path in there:
            like = os.lstat(folder / path)
            os.utime(making / path, ns=(like.st_atime_ns, like.st_mtime_ns))
    return True


def replace(whole: Whole, folder: Path, stands: Callable[[bool], None]) -> bool:
    """Put the package in the place of the earlier one, all at once; False, with nothing changed, where that cannot be.

    `stands` is told whenever it is in its place, and when it is no more. What somebody changed of their own meanwhile
    stays theirs: see `discard`. Raises `CannotPlace`, with the earlier one back, where something of ours was changed.
    """
    try:
        if whole.found is None:
            disk.rename(whole.place, folder)
            stands(True)
            return True
        exchange(whole.place, folder)
    except OSError:
        return False
    stands(True)
    refused: OSError | None = None
    place = folder
    try:
        now = _entries(whole.place)
        if now is not None:
            differ = [path for path in sorted(whole.ours) if now.get(path) != whole.found.get(path)]
            if not differ:
                _remove_too(whole, now, folder)
                return True
            place = folder / differ[0]
    except OSError as problem:
        refused = problem
    try:
        exchange(whole.place, folder)
    except OSError as problem:
        words = f"the whole package is there; what changed there in the meantime, if anything, is in {whole.place}"
        raise CannotPlace(f"{place}: {words}: {disk.reason(problem)}") from problem
    stands(False)
    raise refused or changed(place)


def _remove_too(whole: Whole, now: Mapping[str, Identity], folder: Path) -> None:
    """Take out of the new package what somebody removed or renamed of their own after it was given its second name."""
    for path, identity in (whole.found or {}).items():
        if identity and path not in now and path not in whole.ours and whole.made.get(path) == identity:
            with suppress(OSError):
                if _identity(folder / path) == identity:
                    disk.remove(folder / path)


def discard(temporary: Path, folder: Path) -> Path | None:
    """Remove the temporary folder of a run, this one or one that is dead, and what of a package in it may go.

    That is every file which has its other name in the package's folder, or which is as it was when the packages were
    exchanged: then the one that stays has it, or it was ours. What somebody saved there meanwhile goes to where they
    meant it, if nothing else stands there; what cannot stays, and where it stays is returned.
    """
    package = temporary / _PACKAGE
    with suppress(OSError, RecursionError):  # no folder of ours is so deep
        disk.remove_tree(temporary / _MAKING)
    with suppress(OSError):
        if disk.kind(package) == "folder":
            _discard(package, folder, _known(temporary))
            disk.sync(temporary)
        if disk.kind(package) is not None:
            return package
        disk.clear(temporary)
    return None


def _known(temporary: Path) -> Sequence[Mapping[str, object]]:
    try:
        held: object = json.loads(disk.content(temporary, _KNOWN) or b"[]")
    except (disk.InTheWay, ValueError, RecursionError):
        return ()
    return [each for each in held if isinstance(each, dict)] if isinstance(held, list) else ()


def _discard(package: Path, folder: Path, known: Sequence[Mapping[str, object]]) -> None:
    there = _entries(package) or {}
    inner = sorted(path for path, identity in there.items() if identity == _FOLDER)
    for path, identity in there.items():
        with suppress(FileNotFoundError):
            if identity == _FOLDER:
                continue
            if any(each.get(path) == list(identity) for each in known) or _is_same(package / path, folder / path):
                disk.remove(package / path)
            elif len(known) == 2:  # or else it may be ours, of one package that is no more
                _bring_back(package, folder, path, known)
    for path in inner:
        if len(known) == 2 and not any(path in each for each in known):
            with suppress(OSError):
                os.mkdir(folder / path)
    disk.remove_empty([package, *(package / path for path in inner)])


def _bring_back(package: Path, folder: Path, path: str, known: Sequence[Mapping[str, object]]) -> None:
    """Put a file that somebody saved meanwhile where they meant it, unless somebody has put something else there."""
    with suppress(OSError):
        target = folder
        for step in path.split("/")[:-1]:
            target /= step
            if disk.kind(target) is None:
                os.mkdir(target)
            elif disk.kind(target) != "folder":
                return
        target = folder / path
        if disk.kind(target) is None:
            os.link(package / path, target)
            disk.sync(target.parent)
            disk.remove(package / path)
        elif known[0].get(path) == known[1].get(path) == list(_identity(target)):
            # One that had the same file in both packages: theirs, and as it was before they saved it.
            disk.move(package / path, target)
            disk.sync(target.parent)


def _is_same(one: Path, other: Path) -> bool:
    try:
        return os.path.samestat(os.lstat(one), os.lstat(other))
    except (FileNotFoundError, NotADirectoryError):
        return False


def _identity(place: Path) -> Identity:
    one = os.lstat(place)
    return _FOLDER if stat.S_ISDIR(one.st_mode) else (one.st_ino, one.st_size, one.st_mtime_ns)


def _entries(folder: Path, most: int | None = None) -> dict[str, Identity] | None:
    """All that stands in a folder, by path; None where it cannot be moved in one piece and left as it is.

    That is so of links and devices, of other disks, of folders that are somebody else's or may not be written to,
    and of more than so many files.
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
            if not (inner or stat.S_ISREG(one.st_mode)) or one.st_dev != top.st_dev or len(found) == most:
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
        here, top = Path.cwd(), os.stat(folder)
    except OSError:
        return False
    for place in (here, *here.parents):
        with suppress(OSError):  # one that may not be looked at is another than one that may
            if os.path.samestat(os.stat(place), top):
                return True
    return False


def _mounted_inside(folder: Path) -> bool:
    """Whether another folder is mounted on one in this, which would go away with the earlier package; Linux tells."""
    try:
        mounted = Path("/proc/self/mountinfo").read_text(encoding="utf-8", errors="surrogateescape")
    except OSError:
        return False
    inside = os.path.join(os.path.realpath(folder), "")
    # proc(5): the fifth field is where, with blanks and the like in octal.
    places = (line.split(" ")[4] for line in mounted.splitlines() if line.count(" ") > 4)
    return any(re.sub(r"\\([0-7]{3})", _octal, place).startswith(inside) for place in places)


def _octal(found: re.Match[str]) -> str:
    return chr(int(found[1], 8))

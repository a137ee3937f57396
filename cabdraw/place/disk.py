"""What is asked of the disk: looking without following links, writing for good, making and removing folders."""

from __future__ import annotations

import errno
import hashlib
import os
import shutil
import stat
import sys
from collections.abc import Iterator, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Literal

Kind = Literal["file", "folder", "link", "device"]

#: More bytes than any file of a package has.
LARGEST = 64 << 20
#: Open flags without which a link would be followed, or Windows would change line ends.
PLAIN = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)


class InTheWay(Exception):
    """A link, a folder or a device stands where a file or a folder of the package belongs."""

    def __init__(self, place: Path, kind: Kind) -> None:
        super().__init__(f"{place}: this is a {kind}")
        self.place = place
        self.kind = kind


def reason(problem: OSError) -> str:
    """What the system objected to, in plain words."""
    denied = "permission was denied; is it read-only, or open in another program?"
    said = {
        errno.ENOSPC: "the disk is full",
        errno.EFBIG: "a file of it is larger than may be written here",
        errno.EDQUOT: "your share of the disk is used up",
        errno.EROFS: "the disk is read-only",
        errno.EACCES: denied,
        errno.EPERM: denied,
        errno.ENAMETOOLONG: "the name is too long",
        errno.ENOTDIR: "a file stands where a folder belongs",
        errno.EEXIST: "something else stands where a folder belongs",
        errno.EISDIR: "a folder stands where a file belongs",
        errno.ELOOP: "a link stands where a file belongs",
        errno.EXDEV: "it is on another disk than the folder that it stands in",
        errno.EIO: "the disk failed",
        errno.ENOENT: "it went away while it was being written",
    }.get(problem.errno or 0, (problem.strerror or type(problem).__name__).lower())
    # Of a file that is moved, the place that it was for: the other is a temporary one, of which nobody knows.
    place = problem.filename if problem.filename2 is None else problem.filename2
    return f"{place}: {said}" if isinstance(place, str | os.PathLike) else said


def kind(place: Path) -> Kind | None:
    """What stands at a place, links not followed; None for nothing."""
    try:
        mode = os.lstat(place).st_mode
    except FileNotFoundError:
        return None
    if stat.S_ISREG(mode):
        return "file"
    return "folder" if stat.S_ISDIR(mode) else "link" if stat.S_ISLNK(mode) else "device"


def content(folder: Path, path: str) -> bytes | None:
    """What a file of the package holds, None if there is none; raises `InTheWay` rather than follow a link.

    Of a file that is larger than any of ours not more is read than shows that.
    """
    pieces = _pieces(folder, path)
    return None if pieces is None else b"".join(pieces)


def digest_at(folder: Path, path: str) -> str:
    """The SHA-256 of a file of the package, read piece by piece, "" if there is none; raises `InTheWay` as `content`.

    One that is larger than any of ours has one that no file has.
    """
    pieces = _pieces(folder, path)
    if pieces is None:
        return ""
    found, size = hashlib.sha256(), 0
    for piece in pieces:
        found.update(piece)
        size += len(piece)
    return found.hexdigest() if size <= LARGEST else "larger than any of ours"


def _pieces(folder: Path, path: str) -> Iterator[bytes] | None:
    place = folder
    *parents, name = path.split("/")
    for parent in parents:
        place /= parent
        if (found := kind(place)) is None:
            return None
        if found != "folder":
            raise InTheWay(place, found)
    place /= name
    if (found := kind(place)) is None:
        return None
    if found != "file":
        raise InTheWay(place, found)
    return _read(os.open(place, os.O_RDONLY | PLAIN))


def _read(handle: int) -> Iterator[bytes]:
    size = 0
    try:
        while size <= LARGEST and (piece := os.read(handle, 1 << 20)):
            size += len(piece)
            yield piece
    finally:
        os.close(handle)


def digest(held: bytes | None) -> str:
    """The digest of what a file holds; empty for a file that is not there."""
    return "" if held is None else hashlib.sha256(held).hexdigest()


def write(place: Path, held: bytes) -> None:
    """Write a new file, and wait until it is on the disk."""
    handle = os.open(place, os.O_WRONLY | os.O_CREAT | os.O_EXCL | PLAIN, 0o666)
    try:
        rest = memoryview(held)
        while rest:
            rest = rest[os.write(handle, rest) :]
        os.fsync(handle)
    finally:
        os.close(handle)


def move(source: Path, target: Path) -> None:
    """Put a file in the place of another, all at once."""
    os.replace(source, target)


def rename(source: Path, target: Path) -> None:
    """Give a folder another name under which nothing stands."""
    os.rename(source, target)


def remove(place: Path) -> None:
    """Remove a file."""
    os.unlink(place)


def sync(folder: Path) -> None:
    """Have the folder's entries on the disk; not every file system can be asked to."""
    if sys.platform != "win32":
        with suppress(OSError):
            handle = os.open(folder, os.O_RDONLY)
            try:
                os.fsync(handle)
            finally:
                os.close(handle)


def make_folders(folder: Path, made: list[Path]) -> None:
    """Make a folder and those it stands in, for good; `made` gathers the new ones, from the outside in."""
    missing = []
    while not os.path.isdir(folder) and folder != folder.parent:
        missing.append(folder)
        folder = folder.parent
    for place in reversed(missing):
        made.append(place)
        try:
            os.mkdir(place)
        except FileExistsError:
            if kind(place) != "folder":  # or else another run was quicker
                raise
        sync(place.parent)  # or else a power cut could take the folder, with files in it that are on the disk


def remove_empty(folders: Sequence[Path]) -> None:
    """Remove those of the folders that are empty, the last first."""
    for place in reversed(folders):
        with suppress(OSError):
            os.rmdir(place)


def remove_empty_inside(folder: Path, path: str) -> None:
    """Remove a folder of the package if it is empty and no link leads there."""
    place = folder
    for step in path.split("/"):
        place /= step
        if kind(place) != "folder":
            return
    remove_empty([place])


def remove_tree(folder: Path) -> None:
    """Remove a folder with all in it, links not followed, nor one in its own place."""
    if kind(folder) == "folder":
        shutil.rmtree(folder)


def clear(temporary: Path) -> None:
    """Remove a temporary folder: only what can be ours, files with a number for a name."""
    with suppress(OSError):
        for name in os.listdir(temporary):
            if name.isdecimal():
                os.unlink(temporary / name)
        os.rmdir(temporary)

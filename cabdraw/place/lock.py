"""One run at a time writes a package: a locked file beside it, which the system frees when a run dies."""

from __future__ import annotations

import errno
import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from cabdraw.place import disk
from cabdraw.stop import undisturbed

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl


#: As often as this in a row it is no other run, but a folder in which no file can be made.
_GONE = 20


class Busy(Exception):
    """Another run holds the lock."""


@contextmanager
def locked(folder: Path, patience: float) -> Iterator[None]:
    """Hold the lock of a package's folder, making the folders it stands in; raises `Busy` after so many seconds."""
    path = folder.parent / f".{folder.name}.cabdraw-lock"
    made: list[Path] = []
    handle: int | None = None
    until = time.monotonic() + patience
    gone = 0
    try:
        while True:
            with undisturbed():
                try:
                    handle = _try(path, made)
                    gone = 0
                except FileNotFoundError:  # a run that failed has just removed the folder that it had made
                    gone += 1
                    if gone == _GONE:
                        raise
            if handle is not None:
                break
            if time.monotonic() >= until:
                raise Busy
            time.sleep(0.02)
        yield
    finally:
        try:
            with undisturbed():
                if handle is not None:
                    _free(path, handle)
                    handle = None
                disk.remove_empty(made)
        except KeyboardInterrupt:  # it may have come just before it was put off
            with undisturbed():
                if handle is not None:
                    _free(path, handle)
                    handle = None
                disk.remove_empty(made)
            raise


def _try(path: Path, made: list[Path]) -> int | None:
    """A handle on the locked file, or None while another run has it; `made` gathers the folders made for it."""
    disk.make_folders(path.parent, made)
    handle = os.open(path, os.O_RDWR | os.O_CREAT | disk.PLAIN, 0o666)
    held = False
    try:
        # A run removes the file as it ends: a lock on a file that is no longer there locks nothing.
        held = _lock(handle) and _same(path, handle)
    finally:
        if not held:
            with suppress(OSError):
                os.close(handle)
    return handle if held else None


def _lock(handle: int) -> bool:
    """Whether the lock was free; on a disk that knows no locks it always is."""
    try:
        if sys.platform == "win32":
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as problem:
        return problem.errno not in (errno.EWOULDBLOCK, errno.EAGAIN, errno.EACCES, errno.EDEADLK)
    return True


def _same(path: Path, handle: int) -> bool:
    try:
        there, here = os.lstat(path), os.fstat(handle)
    except FileNotFoundError:
        return False
    return (there.st_dev, there.st_ino) == (here.st_dev, here.st_ino)


def _free(path: Path, handle: int) -> None:
    with suppress(OSError):
        try:
            if os.fstat(handle).st_size == 0:  # one with something in it is somebody's file
                os.unlink(path)
        finally:
            os.close(handle)

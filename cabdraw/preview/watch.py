"""Whether files were saved: seen by looking, often, at what the disk says of them.

That sees a file that is replaced by another of its name as well as one that is written over, on every kind of disk and
system, and it is as quick as being told: see tests/bench/README.md.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

#: Seconds between two looks while a page is open, and while none is.
OFTEN, SELDOM = 0.008, 0.1
#: Seconds for which files have to stay the same before a mistake in them is said: it may be half a file.
SETTLED = 0.06

#: What the disk says of each file; None for one that is not there.
Stamps = Mapping[Path, tuple[int, int, int] | None]


def stamps(files: Iterable[Path]) -> Stamps:
    """What the disk says of files now."""
    return {path: _stamp(path) for path in files}


def _stamp(path: Path) -> tuple[int, int, int] | None:
    try:
        found = path.stat()
    except (OSError, ValueError):
        return None
    return found.st_mtime_ns, found.st_ino, found.st_size


def settled(files: Iterable[Path], known: Stamps) -> bool:
    """Wait until files have been as they were known for a while; False as soon as they are not."""
    files = tuple(files)
    until = time.monotonic() + SETTLED
    while time.monotonic() < until:
        if stamps(files) != known:
            return False
        time.sleep(OFTEN)
    return stamps(files) == known


def wait(files: Iterable[Path], known: Stamps, often: Callable[[], bool]) -> None:
    """Wait until any of some files is no longer as it was known."""
    files = tuple(files)
    while stamps(files) == known:
        time.sleep(OFTEN if often() else SELDOM)

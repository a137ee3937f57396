"""Exchanging two folders in one call of the system, so that each name always leads to one of them, whole."""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Callable
from functools import cache
from pathlib import Path

#: RENAME_EXCHANGE of Linux's renameat2, and RENAME_SWAP of macOS's renamex_np: rename(2) of each.
_EXCHANGE = 2
#: AT_FDCWD: a path is read from the working directory, rename(2).
_HERE = -100


def can_exchange() -> bool:
    """Whether the system has a call for it; the disk may refuse all the same."""
    return _call() is not None


def exchange(one: Path, other: Path) -> None:
    """Exchange two folders of one disk; raises `OSError`, with nothing changed, where the system or the disk cannot."""
    import ctypes

    call = _call()
    if call is None:
        raise OSError(errno.ENOSYS, os.strerror(errno.ENOSYS), str(other))
    if call(os.fsencode(one), os.fsencode(other)):
        number = ctypes.get_errno()
        raise OSError(number, os.strerror(number), str(other))


@cache
def _call() -> Callable[[bytes, bytes], int] | None:
    """The system's own call, None where it has none."""
    if sys.platform == "win32":
        return None
    try:
        import ctypes

        system = ctypes.CDLL(None, use_errno=True)
        if sys.platform == "darwin":
            swap = system.renamex_np
            swap.argtypes = (ctypes.c_char_p, ctypes.c_char_p, ctypes.c_uint)
            return lambda one, other: int(swap(one, other, _EXCHANGE))
        rename = system.renameat2
        rename.argtypes = (ctypes.c_int, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p, ctypes.c_uint)
        return lambda one, other: int(rename(_HERE, one, _HERE, other, _EXCHANGE))
    except (ImportError, OSError, AttributeError):  # a Python without ctypes, or a system without the call
        return None

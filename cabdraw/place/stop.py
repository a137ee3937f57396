"""Ctrl-C, which may come at any moment, put off while something is done that must not be left half done."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def undisturbed() -> Iterator[None]:
    """Let Ctrl-C take effect only at the end of a few quick calls; raises `KeyboardInterrupt` there if it came."""
    usual = signal.getsignal(signal.SIGINT)
    if usual is not signal.default_int_handler or threading.current_thread() is not threading.main_thread():
        yield  # it does not come as an exception here
        return
    came: list[int] = []
    signal.signal(signal.SIGINT, lambda number, _: came.append(number))
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, usual)
        if came:
            raise KeyboardInterrupt

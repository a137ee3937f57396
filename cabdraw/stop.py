"""Ctrl-C, which may come at any moment: put off while something is done that must not be left half done, and noted.

Libraries in C can turn it into an error of another kind, as numpy does that it could not be imported.
"""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

_came: list[int] = []


def _noted(number: int, frame: FrameType | None) -> None:
    _came.append(number)
    signal.default_int_handler(number, frame)


@contextmanager
def heeded() -> Iterator[None]:
    """Note while something is done whether Ctrl-C comes, which is `KeyboardInterrupt` all the same."""
    _came.clear()
    usual = signal.getsignal(signal.SIGINT)
    if usual is not signal.default_int_handler or threading.current_thread() is not threading.main_thread():
        yield
        return
    signal.signal(signal.SIGINT, _noted)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, usual)


@contextmanager
def ended_as_stopped() -> Iterator[list[int]]:
    """Have a request to end, as the system sends it, undo what is half done as Ctrl-C does; what it gives notes it."""
    came: list[int] = []

    def end(number: int, _: FrameType | None) -> None:
        came.append(number)
        signal.raise_signal(signal.SIGINT)

    if threading.current_thread() is not threading.main_thread():
        yield came
        return
    usual = signal.signal(signal.SIGTERM, end)
    try:
        yield came
    finally:
        signal.signal(signal.SIGTERM, usual)


def came() -> bool:
    """Whether Ctrl-C came since it was last begun to be heeded."""
    return bool(_came)


@contextmanager
def undisturbed() -> Iterator[None]:
    """Let Ctrl-C take effect only at the end of a few quick calls; raises `KeyboardInterrupt` there if it came."""
    usual = signal.getsignal(signal.SIGINT)
    heard = usual in (signal.default_int_handler, _noted)
    if not heard or threading.current_thread() is not threading.main_thread():
        yield  # it does not come as an exception here
        return
    late: list[int] = []
    signal.signal(signal.SIGINT, lambda number, _: late.append(number))
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, usual)
        if late:
            raise KeyboardInterrupt

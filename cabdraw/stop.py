"""Ctrl-C, which may come at any moment: put off while something is done that must not be left half done, and noted.

Libraries in C can turn it into an error of another kind, as numpy does that it could not be imported. And it can come
anywhere, so that what is to be said of what stands where is kept here, and not at the error alone.
"""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

_came: list[int] = []


class Standing:
    """What is to be said of what stands where, if Ctrl-C comes now; empty where nothing was begun."""

    said = ""


def _noted(number: int, frame: FrameType | None) -> None:
    _came.append(number)
    signal.default_int_handler(number, frame)


@contextmanager
def heeded() -> Iterator[None]:
    """Note while something is done whether Ctrl-C comes, which is `KeyboardInterrupt` all the same."""
    _came.clear()
    Standing.said = ""
    usual = signal.getsignal(signal.SIGINT)
    if usual is not signal.default_int_handler or threading.current_thread() is not threading.main_thread():
        yield
        return
    signal.signal(signal.SIGINT, _noted)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, usual)


def _noted_once(number: int, frame: FrameType | None) -> None:
    signal.signal(number, _no_more)
    _noted(number, frame)


def _no_more(number: int, frame: FrameType | None) -> None:
    """Nothing: all is coming to its end already."""


@contextmanager
def once(instead: Callable[..., None] | None = None) -> Iterator[None]:
    """Have Ctrl-C interrupt but once while something is done that then comes to its end by itself.

    A second one would interrupt what undoes, or what waits for another process that does. It interrupts where it did
    so before, and where `instead` is what it did.
    """
    usual = signal.getsignal(signal.SIGINT)
    heard = usual in (signal.default_int_handler, _noted, instead or _noted)
    if not heard or threading.current_thread() is not threading.main_thread():
        yield
        return
    signal.signal(signal.SIGINT, _noted_once)
    try:
        yield
    finally:
        if signal.getsignal(signal.SIGINT) is _noted_once:
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


def noted(stop: BaseException) -> tuple[str, ...]:
    """What is to be said of what stands where, as it was noted at a `KeyboardInterrupt` or else as it is kept."""
    kept = (Standing.said,) if Standing.said else ()
    return tuple(getattr(stop, "__notes__", ())) or kept


def note(stop: BaseException, *more: str) -> None:
    """Note at an error what is kept of what stands where, and more, so that it goes along to another process."""
    stop.__notes__ = [*noted(stop), *more]


def came() -> bool:
    """Whether Ctrl-C came since it was last begun to be heeded."""
    return bool(_came)


@contextmanager
def undisturbed() -> Iterator[None]:
    """Let Ctrl-C take effect only at the end of a few quick calls; raises `KeyboardInterrupt` there if it came."""
    usual = signal.getsignal(signal.SIGINT)
    heard = usual in (signal.default_int_handler, _noted, _noted_once)
    if not heard or threading.current_thread() is not threading.main_thread():
        yield  # it does not come as an exception here
        return
    late: list[int] = []
    signal.signal(signal.SIGINT, lambda number, _: late.append(number))
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, _no_more if late and usual is _noted_once else usual)
        if late:
            raise KeyboardInterrupt

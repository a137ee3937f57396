"""Several cars at once, each in a process; what comes of them is handed on in the order of the cars."""

from __future__ import annotations

import gc
import os
import signal
import threading
import time
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING, TypeVar

from cabdraw.stop import Standing, came, heeded, note, once, undisturbed

if TYPE_CHECKING:
    from concurrent.futures import Future, ProcessPoolExecutor
    from multiprocessing.synchronize import Event

_Car = TypeVar("_Car")
_Made = TypeVar("_Made")
#: How many cars a process may be ahead of the one that is waited for: what waits is kept in memory.
_AHEAD = 2
#: Loaded once, before the first process is made of it.
_LOADED = ("cabdraw.package", "cabdraw.write.dxf_parts", "cabdraw.write.page", "cabdraw.write.pdf", "cabdraw.write.svg",
           "cabdraw.write.workbook")  # fmt: skip


@contextmanager
def at_once(jobs: int, work: Callable[[_Car], _Made], cars: Sequence[_Car]) -> Iterator[Callable[[_Car], _Made]]:
    """What gives the work on each car, asked for in the order of the cars; it raises what the work raised.

    With more than one job and car, that many processes are at work and each car's is begun before it is asked for.
    Where one of them dies, what it had in hand and what comes after is done here. On Ctrl-C a process undoes the car
    that it is at, as one alone does, and no other car is begun; `KeyboardInterrupt` comes at the first car that was
    not done, with a note of how many behind it were.
    """
    if min(jobs, len(cars)) < 2:
        yield work
        return
    from concurrent.futures.process import BrokenProcessPool

    # Together, in this order, the cars that were not asked for yet.
    begun: deque[Future[_Made]] = deque()
    waiting = deque(cars)
    pool, stop = _processes(min(jobs, len(cars)))

    def begin() -> None:
        while waiting and len(begun) < _AHEAD * jobs:
            # A process that is half made could not be waited for.
            with undisturbed():
                begun.append(pool.submit(_do, work, waiting[0]))
                waiting.popleft()

    def made(car: _Car) -> _Made:
        if stop.is_set():
            return in_hand()
        # Where a process died no other car is begun, but what the others had done is there still.
        try:
            with suppress(BrokenProcessPool):
                begin()
        except KeyboardInterrupt:
            stop.set()
            return in_hand()
        if not begun:
            return work(waiting.popleft())
        future = begun.popleft()
        try:
            return future.result()
        except KeyboardInterrupt:
            stop.set()
            begun.appendleft(future)
            return in_hand()
        except BrokenProcessPool:
            return work(car)

    def in_hand() -> _Made:
        """What a process has done, or is at, as Ctrl-C comes; raises `KeyboardInterrupt` for a car of which none is."""
        if not begun or begun[0].cancel():
            raise KeyboardInterrupt
        try:
            return begun.popleft().result()
        except BrokenProcessPool:
            raise KeyboardInterrupt from None

    try:
        with once():
            yield made
            if stop.is_set():
                raise KeyboardInterrupt
    except KeyboardInterrupt as stopped:
        stop.set()
        pool.shutdown(wait=True, cancel_futures=True)
        behind = sum(not future.cancelled() and future.exception() is None for future in begun)
        if behind:
            cars_behind = f"{behind} {'car' if behind == 1 else 'cars'} after it"
            note(stopped, f"{cars_behind}: drawn, the whole package is there")
        raise
    finally:
        stop.set()
        pool.shutdown(wait=True, cancel_futures=True)


def _processes(count: int) -> tuple[ProcessPoolExecutor, Event]:
    """So many processes, made of one that has loaded everything and does nothing else, where the system can.

    Once the event is set they begin no other car.
    """
    import multiprocessing
    from concurrent.futures import ProcessPoolExecutor

    forks = "forkserver" in multiprocessing.get_all_start_methods()
    way = multiprocessing.get_context("forkserver" if forks else "spawn")
    if forks:
        from multiprocessing import forkserver, resource_tracker

        way.set_forkserver_preload(list(_LOADED))
        # While it loads, Ctrl-C is this process's alone to answer; the tracker lets it through again once it runs.
        resource_tracker.ensure_running()
        before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
        try:
            forkserver.ensure_running()
        finally:
            signal.pthread_sigmask(signal.SIG_SETMASK, before)
    stop = way.Event()
    return ProcessPoolExecutor(count, way, _ready, (stop,)), stop


def collect_rarely() -> None:
    """Let Python look less often for values that can go.

    A command makes a great many and lets go of nearly none before its end: looking every 700 for those that can go
    costs a tenth of its time.
    """
    gc.set_threshold(50_000, 20, 20)


class _Process:
    """What a process knows of its end: whether Ctrl-C came, what tells it to stop, and whether it is at work."""

    stopped = False
    at_work = False
    stop: Event | None = None


def _ready(stop: Event) -> None:
    gc.freeze()  # what was loaded before the first car stays to the end
    collect_rarely()
    _Process.stop = stop
    _listen()
    # So a process is asked to end where another of them died.
    signal.signal(signal.SIGTERM, _end)
    if hasattr(signal, "pthread_sigmask"):
        signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT})
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    """End this process where the command is no more, whatever ended it, once the car in hand is undone."""
    import multiprocessing

    parent = multiprocessing.parent_process()
    if parent is None:
        return
    parent.join()
    _Process.stopped = True
    if _Process.at_work:
        os.kill(os.getpid(), signal.SIGINT)
    _leave()


def _end(*_: object) -> None:
    """Undo the car in hand, hand on what is to be said of it, and end."""
    _Process.stopped = True
    threading.Thread(target=_leave, args=(1.0,), daemon=True).start()
    if _Process.at_work:
        signal.raise_signal(signal.SIGINT)


def _leave(after: float = 0.0) -> None:
    """End this process once it is not at work, so many seconds later."""
    for _ in range(100):
        if not _Process.at_work:
            break
        time.sleep(0.05)
    time.sleep(after)
    os._exit(1)


def _listen() -> None:
    """Note Ctrl-C, which reaches every process, without a word: one that waits has nothing to undo."""
    signal.signal(signal.SIGINT, _note)


def _note(*_: object) -> None:
    _Process.stopped = True


def _do(work: Callable[[_Car], _Made], car: _Car) -> _Made:
    _Process.at_work = True
    Standing.said = ""
    try:
        # One that is drawing stops and undoes.
        with once(_note), heeded():
            if _Process.stopped or (_Process.stop is not None and _Process.stop.is_set()):
                raise KeyboardInterrupt
            return work(car)
    except KeyboardInterrupt as stopped:
        _Process.stopped = True
        note(stopped)
        raise
    except Exception as problem:
        if came():
            _Process.stopped = True
            instead = KeyboardInterrupt()
            note(instead)
            raise instead from problem
        note(problem)
        raise
    finally:
        _listen()
        _Process.at_work = False

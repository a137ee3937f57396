"""Several cars at once, each in a process; what comes of them is handed on in the order of the cars."""

from __future__ import annotations

import gc
import signal
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING, TypeVar

from cabdraw.stop import came, heeded

if TYPE_CHECKING:
    from concurrent.futures import Future, ProcessPoolExecutor

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
    that it is at, as one alone does, and no other car is begun.
    """
    if min(jobs, len(cars)) < 2:
        yield work
        return
    from concurrent.futures.process import BrokenProcessPool

    # Together, in this order, the cars that were not asked for yet.
    begun: deque[Future[_Made]] = deque()
    waiting = deque(cars)
    pool = _processes(min(jobs, len(cars)))

    def begin() -> None:
        while waiting and len(begun) < _AHEAD * jobs:
            begun.append(pool.submit(_do, work, waiting[0]))
            waiting.popleft()

    def made(car: _Car) -> _Made:
        # Where a process died no other car is begun, but what the others had done is there still.
        with suppress(BrokenProcessPool):
            begin()
        if not begun:
            return work(waiting.popleft())
        try:
            return begun.popleft().result()
        except BrokenProcessPool:
            return work(car)

    try:
        yield made
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _processes(count: int) -> ProcessPoolExecutor:
    """So many processes, made of one that has loaded everything and does nothing else, where the system can."""
    import multiprocessing
    from concurrent.futures import ProcessPoolExecutor

    forks = "forkserver" in multiprocessing.get_all_start_methods()
    way = multiprocessing.get_context("forkserver" if forks else "spawn")
    if forks:
        way.set_forkserver_preload(list(_LOADED))
    return ProcessPoolExecutor(count, way, _ready)


def collect_rarely() -> None:
    """Let Python look less often for values that can go.

    A command makes a great many and lets go of nearly none before its end: looking every 700 for those that can go
    costs a tenth of its time.
    """
    gc.set_threshold(50_000, 20, 20)


def _ready() -> None:
    gc.freeze()  # what was loaded before the first car stays to the end
    collect_rarely()
    _wait_quietly()


def _wait_quietly() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _do(work: Callable[[_Car], _Made], car: _Car) -> _Made:
    # Ctrl-C reaches every process: one that is drawing stops and undoes, one that waits has nothing to say.
    signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        with heeded():
            return work(car)
    except Exception as problem:
        if came():
            raise KeyboardInterrupt from problem
        raise
    finally:
        _wait_quietly()

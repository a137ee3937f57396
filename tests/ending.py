"""That work comes to its end at all, where what is wrong would go on for hours; how fast it is, the benchmarks tell."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from contextlib import contextmanager

#: Seconds of processor time, far more than any slow machine takes for what ends.
ENOUGH = 30


class Endless(BaseException):
    """Not an `Exception`: those are turned into refusals by what is tried."""


@contextmanager
def comes_to_an_end(enough: float = ENOUGH) -> Iterator[None]:
    """Fail where what is done within takes more than any work that ends; it is stopped then, also in a long match."""

    def stop(*_: object) -> None:
        raise Endless(f"does not end within {enough} s of processor time")

    before = signal.signal(signal.SIGPROF, stop)
    signal.setitimer(signal.ITIMER_PROF, enough)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)

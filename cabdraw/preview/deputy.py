"""Lists and findings, worked out in a process of their own, so that they never keep a drawing waiting.

It is told of every car, and drops the one that it is at as soon as it is told of a newer one.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Iterator, Sequence
from multiprocessing import get_context
from multiprocessing.connection import Connection
from typing import Any

from cabdraw.cab import Cab

#: What comes back of a run: its number, a topic, and what is told of it.
Result = tuple[int, str, Any]
#: Topics that are no one's to show: findings as they are, a mistake in cabdraw, and that all of a run is told.
FOUND, MISTAKE, DONE = "found", "mistake", "done"


class Deputy:
    """The process, and the way to it; `send` from one thread, `results` in another."""

    def __init__(self) -> None:
        context = get_context("spawn")
        self._here, there = context.Pipe()
        self._process = context.Process(target=_serve, args=(there, sys.argv[1:]), daemon=True, name="cabdraw-preview")
        # Ctrl-C is this process's to act on; it ends the other by closing the pipe.
        before = signal.signal(signal.SIGINT, signal.SIG_IGN)
        try:
            self._process.start()
        finally:
            signal.signal(signal.SIGINT, before)
        there.close()

    def send(self, run: int, cab: Cab) -> bool:
        """Have a car worked out; False where the process is gone."""
        try:
            self._here.send((run, cab))
        except OSError:
            return False
        return True

    def results(self) -> Iterator[Result]:
        """What comes back, until the process ends."""
        try:
            while True:
                yield self._here.recv()
        except (EOFError, OSError):
            return

    def end(self) -> None:
        """End the process, in the middle of its work if need be."""
        self._process.terminate()
        self._process.join(2)
        if self._process.is_alive():
            self._process.kill()
            self._process.join()
        self._here.close()


def _serve(pipe: Connection, command: Sequence[str]) -> None:
    """What the process does: car after car, until nobody asks any more."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(os, "nice"):
        os.nice(10)
    from cabdraw.bug import write_report
    from cabdraw.preview.rest import Rest

    rest = Rest()
    try:
        while True:
            run, cab = _newest(pipe)
            try:
                for topic, told in rest.of(cab):
                    pipe.send((run, topic, told))
                    if pipe.poll():
                        break
                else:
                    pipe.send((run, DONE, None))
            except OSError:
                return
            except Exception as problem:
                pipe.send((run, MISTAKE, write_report(problem, command)))
    except (EOFError, OSError):
        return


def _newest(pipe: Connection) -> tuple[int, Cab]:
    """The car that was sent last; waits for one where there is none."""
    found: tuple[int, Cab] = pipe.recv()
    while pipe.poll():
        found = pipe.recv()
    return found

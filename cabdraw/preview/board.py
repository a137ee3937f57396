"""What the page shows, by topic: the newest of each, sent on to every page that is open, and only where it changed."""

from __future__ import annotations

import json
import threading
from collections.abc import Generator

#: Seconds after which a page that has heard nothing is sent a sign of life.
QUIET = 10.0


class Board:
    """The newest of every topic; pages follow it, each at its own pace, and miss only what was overtaken."""

    def __init__(self) -> None:
        self._changed = threading.Condition()
        self._topics: dict[str, tuple[int, str, bytes]] = {}
        self._count = 0
        self._ended = False
        self._followers = 0

    @property
    def followed(self) -> bool:
        """Whether any page is open."""
        return self._followers > 0

    def put(self, topic: str, told: object, run: int) -> bool:
        """Put something up as it was at a run; False where it is there already, word for word."""
        text = json.dumps(told, separators=(",", ":"))
        with self._changed:
            if topic in self._topics and self._topics[topic][1] == text:
                return False
            self._count += 1
            frame = f"id: {run}\nevent: {topic}\ndata: {text}\n\n".encode()
            self._topics[topic] = (self._count, text, frame)
            self._changed.notify_all()
        return True

    def end(self) -> None:
        """Let every page go."""
        with self._changed:
            self._ended = True
            self._changed.notify_all()

    def follow(self) -> Generator[bytes, None, None]:
        """Everything that is up, then whatever changes, as server-sent events; ends with the board."""
        seen = 0
        with self._changed:
            self._followers += 1
        try:
            while True:
                with self._changed:
                    if not self._ended and self._count == seen:
                        self._changed.wait(QUIET)
                    if self._ended:
                        return
                    fresh = sorted(entry for entry in self._topics.values() if entry[0] > seen)
                    seen = self._count
                yield b"".join(frame for _, _, frame in fresh) or b": still here\n\n"
        finally:
            with self._changed:
                self._followers -= 1

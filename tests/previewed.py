"""The preview as a person starts it, and what it tells its page, read without a browser."""

from __future__ import annotations

import http.client
import json
import os
import re
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

REPOSITORY = Path(__file__).resolve().parents[1]
COMMAND = "import sys; from cabdraw.cli import main; sys.exit(main())"
SECONDS = 30


def started(folder: Path, *arguments: str) -> subprocess.Popen[str]:
    """The command with some arguments, running in a folder, its output to be read."""
    env = {**os.environ, "PYTHONPATH": str(REPOSITORY), "TMPDIR": str(folder)}
    command = [sys.executable, "-c", COMMAND, "preview", "--no-browser", *arguments]
    return subprocess.Popen(
        command, cwd=folder, env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True
    )


@dataclass(frozen=True)
class Preview:
    """A preview that runs: its page's address, and its process."""

    address: str
    process: subprocess.Popen[str]

    @property
    def port(self) -> int:
        """Its port."""
        return int(re.search(r":(\d+)/", self.address)[1])  # type: ignore[index]

    @property
    def root(self) -> str:
        """The path that all of its addresses begin with."""
        return "/" + self.address.split("/", 3)[3]

    def ask(self, path: str = "", method: str = "GET", **headers: str) -> tuple[int, dict[str, str], bytes]:
        """Send a request for something of the page; status, headers and body of the answer."""
        return self.send(f"{method} {self.root}{path} HTTP/1.1", Host=f"127.0.0.1:{self.port}", **headers)

    def send(
        self, line: str, *lines: str, host: str = "127.0.0.1", **headers: str
    ) -> tuple[int, dict[str, str], bytes]:
        """Send a request as it stands; an underscore in a header's name is a dash."""
        sent = [line, *lines, *(f"{name.replace('_', '-')}: {value}" for name, value in headers.items()), "", ""]
        with socket.create_connection((host, self.port), timeout=SECONDS) as wire:
            wire.sendall("\r\n".join(sent).encode("latin-1"))
            answer = http.client.HTTPResponse(wire)
            answer.begin()
            stream = "event-stream" in (answer.getheader("Content-Type") or "")
            body = b"" if stream or line.startswith("HEAD") else answer.read()
            return answer.status, dict(answer.getheaders()), body


@contextmanager
def previewed(spec: Path, *arguments: str) -> Iterator[Preview]:
    """A preview of a spec, ended again by Ctrl-C."""
    process = started(spec.parent, str(spec), *arguments)
    try:
        assert process.stdout is not None
        found = re.search(r"http://\S+", process.stdout.readline())
        assert found is not None, process.stderr.read() if process.stderr else ""
        yield Preview(found[0], process)
    finally:
        if process.poll() is None:
            process.send_signal(signal.SIGINT)
        process.communicate(timeout=SECONDS)


class Listener:
    """A page without a browser: keeps the newest of every topic, and what came when."""

    def __init__(self, preview: Preview) -> None:
        self.topics: dict[str, Any] = {}
        self.came: list[tuple[int, str]] = []
        self._runs: dict[str, int] = {}
        self._news = threading.Condition()
        self._wire = http.client.HTTPConnection("127.0.0.1", preview.port, timeout=SECONDS)
        self._wire.request("GET", f"{preview.root}events")
        self._answer = self._wire.getresponse()
        assert self._answer.status == 200
        threading.Thread(target=self._listen, daemon=True).start()

    def _listen(self) -> None:
        run, topic = 0, ""
        try:
            for raw in self._answer:
                name, _, value = raw.decode().rstrip("\n").partition(": ")
                if name == "id":
                    run = int(value)
                elif name == "event":
                    topic = value
                elif name == "data":
                    with self._news:
                        self.topics[topic] = json.loads(value)
                        self.came.append((run, topic))
                        self._runs[topic] = run
                        self._news.notify_all()
        except (OSError, ValueError):
            return

    def wait(self, until: Any, seconds: float = SECONDS) -> None:
        """Wait until something holds of the topics; fails where it takes too long."""
        with self._news:
            assert self._news.wait_for(lambda: _holds(until, self.topics), seconds), self.topics.get("status")

    def done(self, after: int = 0) -> None:
        """Wait until all of a car is told, of one that came after a run."""
        self.wait(lambda topics: topics["status"]["done"] and self._runs["status"] > after)

    @property
    def run(self) -> int:
        """The newest run that anything was told of."""
        with self._news:
            return max((run for run, _ in self.came), default=0)

    def since(self, run: int) -> set[str]:
        """The topics that came after a run."""
        with self._news:
            return {topic for came, topic in self.came if came > run}


def _holds(until: Any, topics: dict[str, Any]) -> bool:
    try:
        return bool(until(topics))
    except (KeyError, IndexError):
        return False


def save(path: Path, text: str, renamed: bool = False) -> float:
    """Save a file as an editor does, over itself or as a new one in its place; when that began, in seconds."""
    began = time.time()
    if renamed:
        beside = path.with_name(f".{path.name}.new")
        beside.write_text(text, encoding="utf-8")
        beside.replace(path)
    else:
        path.write_text(text, encoding="utf-8")
    return began

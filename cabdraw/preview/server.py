"""The page's server: Python's own, on this machine's own address, with a fixed list of things that it gives.

It answers each request in a thread of its own. See tests/bench/README.md for why it is not a larger one.
"""

from __future__ import annotations

import os
import secrets
import socketserver
import threading
from collections.abc import Callable, Generator, Mapping
from contextlib import closing, suppress
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

from cabdraw.preview.gate import HEADERS, HOST, Gate, Refused

_HERE = Path(__file__).parent
_FONTS = _HERE.parent / "fonts"
_SCRIPT, _FONT = "text/javascript; charset=utf-8", "font/ttf"
#: Everything that is read from the disk to be given away, by the name that it is asked for.
FILES: Mapping[str, tuple[Path, str]] = {
    "": (_HERE / "page.html", "text/html; charset=utf-8"),
    "page.css": (_HERE / "page.css", "text/css; charset=utf-8"),
    "print.css": (_HERE / "print.css", "text/css; charset=utf-8"),
    "page.js": (_HERE / "page.js", _SCRIPT),
    "drawings.js": (_HERE / "drawings.js", _SCRIPT),
    "pane.js": (_HERE.parent / "write" / "pane.js", _SCRIPT),
    "lists.js": (_HERE / "lists.js", _SCRIPT),
    "build.js": (_HERE / "build.js", _SCRIPT),
    "icon.svg": (_HERE / "icon.svg", "image/svg+xml"),
    "sans.ttf": (_FONTS / "DejaVuSans.ttf", _FONT),
    "bold.ttf": (_FONTS / "DejaVuSans-Bold.ttf", _FONT),
}
#: What is worked out when it is asked for.
EVENTS, PART = "events", "part"
#: Most requests that are answered at once; a page that is open is one.
MOST = 48
#: Seconds that a request may take to be sent.
PATIENCE = 10


class Server(ThreadingHTTPServer):
    """Serves one page; raises OSError where the port cannot be had. Port 0 takes any that is free."""

    daemon_threads = True
    block_on_close = False
    # Elsewhere this would let another program share the port.
    allow_reuse_address = os.name == "posix"

    def __init__(
        self,
        port: int,
        follow: Callable[[], Generator[bytes, None, None]],
        part: Callable[[str], bytes | None],
        word: str = "",
    ) -> None:
        self.follow, self.part = follow, part
        self.files = {name: (path.read_bytes(), kind) for name, (path, kind) in FILES.items()}
        self._room = threading.BoundedSemaphore(MOST)
        super().__init__((HOST, port), _Handler)
        self.gate = Gate(self.server_port, word or secrets.token_urlsafe(16))

    def server_bind(self) -> None:
        """Take the port, without asking a network for this machine's name."""
        socketserver.TCPServer.server_bind(self)
        self.server_name, self.server_port = HOST, int(self.server_address[1])

    def process_request(self, request: Any, client_address: Any) -> None:
        """Answer a request in a thread of its own, unless there are too many."""
        if not self._room.acquire(blocking=False):
            self.shutdown_request(request)
            return
        super().process_request(request, client_address)

    def process_request_thread(self, request: Any, client_address: Any) -> None:
        """What that thread does."""
        try:
            super().process_request_thread(request, client_address)
        finally:
            self._room.release()

    def handle_error(self, request: Any, client_address: Any) -> None:
        """A browser that went away is no mistake."""


class _Handler(BaseHTTPRequestHandler):
    """Answers the requests of one connection."""

    server: Server
    protocol_version = "HTTP/1.1"
    timeout = PATIENCE
    # What is sent must not wait for more to send.
    disable_nagle_algorithm = True

    def do_GET(self) -> None:
        """Answer a request, whatever its method."""
        try:
            asked = self.server.gate.let_in(self.command, self.path, self.headers.items())
            if asked.name == EVENTS:
                self._events()
            elif asked.name == PART:
                found = self.server.part(asked.question)
                if found is None:
                    raise Refused(404, "there is no such part")
                self._answer(200, found, "application/json")
            elif asked.name in self.server.files:
                self._answer(200, *self.server.files[asked.name])
            else:
                raise Refused(404, "there is no such page")
        except Refused as refusal:
            self._refuse(refusal.status, refusal.why)

    do_HEAD = do_POST = do_PUT = do_DELETE = do_PATCH = do_OPTIONS = do_TRACE = do_CONNECT = do_GET

    def _answer(self, status: int, content: bytes, kind: str) -> None:
        self.send_response(status)
        self._head(kind, ("Content-Length", str(len(content))))
        self.wfile.write(content)

    def _head(self, kind: str, *more: tuple[str, str]) -> None:
        for name, value in (("Content-Type", kind), *HEADERS, *more):
            self.send_header(name, value)
        self.end_headers()

    def _events(self) -> None:
        self.close_connection = True
        self.send_response(200)
        self._head("text/event-stream; charset=utf-8", ("Connection", "close"))
        with closing(self.server.follow()) as following, suppress(OSError):
            for frames in following:
                self.wfile.write(frames)

    def _refuse(self, status: int, why: str) -> None:
        self.close_connection = True
        content = f"{why}\n".encode()
        self.send_response(status, "Refused")
        more = [("Allow", "GET")] if status == 405 else []
        self._head("text/plain; charset=utf-8", ("Content-Length", str(len(content))), ("Connection", "close"), *more)
        if self.command != "HEAD":
            self.wfile.write(content)

    def send_error(self, code: int, message: str | None = None, explain: str | None = None) -> None:
        """Refuse what is no request at all, with nothing of it in the answer."""
        self._refuse(code, "this cannot be answered")

    def version_string(self) -> str:
        """What the server calls itself."""
        return "cabdraw"

    def log_message(self, format: str, *args: Any) -> None:
        """Say nothing of each request."""

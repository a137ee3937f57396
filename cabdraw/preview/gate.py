"""Who is let in: this machine's own browser, on the page that was opened, and nothing else.

A page from elsewhere that is open in the same browser can send requests here, and can give its own name this
machine's address. So every request has to name this very host and port, must not come from another page, and has to
know a word that is made anew each time.
"""

from __future__ import annotations

import hmac
from collections.abc import Sequence
from urllib.parse import parse_qs, urlsplit

from cabdraw.frozen import Frozen

HOST = "127.0.0.1"
#: What a page from here may do: show its own files and ask for more of them, and nothing that a text could bring in.
POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "font-src 'self'",
        "img-src 'self'",
        "connect-src 'self'",
        "base-uri 'none'",
        "form-action 'none'",
        "frame-ancestors 'none'",
        "require-trusted-types-for 'script'",
        "trusted-types drawing",
    )
)
#: Sent with every answer, refusals too.
HEADERS: tuple[tuple[str, str], ...] = (
    ("Content-Security-Policy", POLICY),
    ("X-Content-Type-Options", "nosniff"),
    ("X-Frame-Options", "DENY"),
    ("Referrer-Policy", "no-referrer"),
    ("Cross-Origin-Opener-Policy", "same-origin"),
    ("Cross-Origin-Resource-Policy", "same-origin"),
    ("Cross-Origin-Embedder-Policy", "require-corp"),
    ("Permissions-Policy", "camera=(), geolocation=(), microphone=(), usb=()"),
    ("Cache-Control", "no-store"),
)


class Refused(Exception):
    """A request that is not answered, with the status and a word for whoever sent it."""

    def __init__(self, status: int, why: str) -> None:
        super().__init__(status, why)
        self.status, self.why = status, why


class Asked(Frozen):
    """A request that is let in: the name of what it asks for, and its one question, if it has one."""

    name: str
    question: str = ""


class Gate(Frozen):
    """Lets requests in to one preview: its port, and the word that its addresses begin with."""

    port: int
    word: str

    @property
    def address(self) -> str:
        """The page's address."""
        return f"http://{HOST}:{self.port}/{self.word}/"

    @property
    def hosts(self) -> frozenset[str]:
        """What a request may call this machine."""
        names = {f"{name}:{self.port}" for name in (HOST, "localhost")}
        return frozenset(names | ({HOST, "localhost"} if self.port == 80 else set()))

    def let_in(self, method: str, target: str, headers: Sequence[tuple[str, str]]) -> Asked:
        """What a request asks for; raises `Refused`. The page itself has the empty name."""

        def sent(name: str) -> list[str]:
            return [value.strip() for key, value in headers if key.lower() == name]

        if method != "GET":
            raise Refused(405, "this page is only looked at")
        if any(sent(name) not in ([], ["0"]) for name in ("content-length", "transfer-encoding")):
            raise Refused(400, "a request here has no body")
        if len(sent("host")) != 1 or sent("host")[0].lower() not in self.hosts:
            raise Refused(421, "this is not the host that was asked for")
        origins = {f"http://{host}" for host in self.hosts}
        if any(origin.lower() not in origins for origin in sent("origin")):
            raise Refused(403, "other pages get nothing here")
        if not target.startswith("/") or target.startswith("//"):
            raise Refused(400, "this is no path")
        parts = urlsplit(target)
        _, word, *rest = parts.path.split("/", 2)
        if not rest or not hmac.compare_digest(word.encode("utf-8", "replace"), self.word.encode()):
            raise Refused(404, "there is no such page; the preview that it was of has ended")
        name = rest[0]
        for site in sent("sec-fetch-site"):
            # The page is opened from nowhere, or by itself; everything else is asked for by the page.
            if site != "same-origin" and not (site == "none" and not name):
                raise Refused(403, "other pages get nothing here")
        if not name and any(wanted != "document" for wanted in sent("sec-fetch-dest")):
            raise Refused(403, "this page stands by itself")
        try:
            questions = parse_qs(parts.query, max_num_fields=4, errors="strict")
        except (UnicodeDecodeError, ValueError):
            raise Refused(400, "this is no question") from None
        return Asked(name, questions.get("mark", [""])[0])

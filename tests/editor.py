"""A YAML language server of another make, asked as an editor asks it: what is wrong, what fits, what it means."""

from __future__ import annotations

import json
import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from queue import Empty, Queue
from threading import Thread
from typing import Any

import pytest
from conftest import REPOSITORY
from readers import SECONDS, need

SERVER = REPOSITORY / ".ci" / "readers" / "node_modules" / "yaml-language-server" / "bin" / "yaml-language-server"


class Editor:
    """One editor with one server; files are opened under their real paths, which the first line counts from."""

    def __init__(self, process: subprocess.Popen[bytes]) -> None:
        self.process = process
        self.heard: Queue[dict[str, Any]] = Queue()
        self.number = 0
        Thread(target=self._listen, daemon=True).start()

    def _listen(self) -> None:
        out = self.process.stdout
        assert out is not None
        while line := out.readline():
            if line.lower().startswith(b"content-length:"):
                length = int(line.split(b":")[1])
                while out.readline().strip():
                    pass
                self.heard.put(json.loads(out.read(length)))

    def _say(self, method: str, params: dict[str, Any], number: int | None = None) -> None:
        said: dict[str, Any] = {"jsonrpc": "2.0", "method": method, "params": params}
        if number is not None:
            said["id"] = number
        body = json.dumps(said).encode()
        assert self.process.stdin is not None
        self.process.stdin.write(b"Content-Length: %d\r\n\r\n" % len(body) + body)
        self.process.stdin.flush()

    def _wait(self, wanted: Any) -> dict[str, Any]:
        while True:
            try:
                message = self.heard.get(timeout=SECONDS)
            except Empty:
                raise TimeoutError("the language server says nothing") from None
            if "method" in message and "id" in message:  # the server asks for settings: its own are fine
                items = message["params"].get("items", [None]) if message["params"] else [None]
                answer = {"jsonrpc": "2.0", "id": message["id"], "result": [None for _ in items]}
                body = json.dumps(answer).encode()
                assert self.process.stdin is not None
                self.process.stdin.write(b"Content-Length: %d\r\n\r\n" % len(body) + body)
                self.process.stdin.flush()
            elif wanted(message):
                return message

    def ask(self, method: str, params: dict[str, Any]) -> Any:
        """What the server answers."""
        self.number += 1
        number = self.number
        self._say(method, params, number)
        answer = self._wait(lambda message: message.get("id") == number and "method" not in message)
        assert "error" not in answer, answer
        return answer["result"]

    def start(self, folder: Path) -> None:
        """Tell the server what an editor would."""
        support = {"markdown": {}, "completion": {"completionItem": {"documentationFormat": ["markdown"]}}}
        wanted = {"textDocument": {"completion": support["completion"], "hover": {"contentFormat": ["markdown"]}}}
        self.ask("initialize", {"processId": os.getpid(), "rootUri": folder.as_uri(), "capabilities": wanted})
        self._say("initialized", {})
        settings = {"yaml": {"validate": True, "hover": True, "completion": True, "schemaStore": {"enable": False}}}
        self._say("workspace/didChangeConfiguration", {"settings": settings})

    def open(self, path: Path, text: str) -> list[dict[str, Any]]:
        """Open a file that holds a text; what the server finds wrong in it."""
        document = {"uri": path.as_uri(), "languageId": "yaml", "version": 1, "text": text}
        self._say("textDocument/didOpen", {"textDocument": document})
        told = self._wait(
            lambda message: (
                message.get("method") == "textDocument/publishDiagnostics" and message["params"]["uri"] == path.as_uri()
            )
        )
        found: list[dict[str, Any]] = told["params"]["diagnostics"]
        return found

    def at(self, path: Path, line: int, column: int) -> dict[str, Any]:
        """A place in a file, from 0, as the server wants it."""
        return {"textDocument": {"uri": path.as_uri()}, "position": {"line": line, "character": column}}

    def completions(self, path: Path, line: int, column: int) -> dict[str, str]:
        """What can be typed at a place, each with what is said of it."""
        answer = self.ask("textDocument/completion", self.at(path, line, column))
        items = answer["items"] if isinstance(answer, dict) else answer
        return {item["label"]: _text(item.get("documentation", "")) for item in items}

    def hover(self, path: Path, line: int, column: int) -> str:
        """What is said of the key at a place."""
        answer = self.ask("textDocument/hover", self.at(path, line, column))
        return _text(answer["contents"]) if answer else ""


def _text(contents: Any) -> str:
    return contents["value"] if isinstance(contents, dict) else str(contents)


@contextmanager
def editor(folder: Path) -> Iterator[Editor]:
    """An editor open in a folder; the test is skipped where there is no server, and fails where CABDRAW_CI is 1."""
    node = need("node")
    if not SERVER.exists():
        reason = "yaml-language-server is not installed: npm install --prefix .ci/readers"
        if os.environ.get("CABDRAW_CI") == "1":
            pytest.fail(reason)
        pytest.skip(reason)
    command = [node, str(SERVER), "--stdio"]
    pipes: dict[str, Any] = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "stderr": subprocess.DEVNULL}
    with subprocess.Popen(command, cwd=folder, env={**os.environ, "HOME": str(folder)}, **pipes) as process:
        try:
            one = Editor(process)
            one.start(folder)
            yield one
        finally:
            process.kill()

"""The pages of the guide: their snippets, which are run as they stand, and their parts that the tool makes."""

from __future__ import annotations

import contextlib
import io
import os
import re
import shlex
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import typer
from conftest import REPOSITORY
from schema_check import faults, snippet_faults
from typer.main import get_command

from cabdraw import cli
from cabdraw.cli.app import app
from cabdraw.errors import BadSpec, SpecError
from cabdraw.resolve import resolve
from cabdraw.spec import load_cars

DOCS = REPOSITORY / "docs"
PAGES = sorted(DOCS.glob("*.md"))
RENEW = os.environ.get("CABDRAW_RENEW") == "1"
#: What a fragment lies over, unless it says what else.
BASE = "specs/larkspur-car-2.yaml"
#: Commands that are shown, but not run here: they install something, or serve until they are stopped.
NOT_RUN = ("installs", "serves", "asks")
_FENCE = re.compile(r"( *)```(.*)")
_MARK = re.compile(r"<!-- (file|on|output|not run|refused)(?:: (.*?))? -->")


@dataclass
class Snippet:
    """A block of code of a page, with the marks in the comments right before it."""

    page: Path
    line: int
    language: str
    text: str
    marks: dict[str, str] = field(default_factory=dict)
    indent: int = 0

    @property
    def where(self) -> str:
        """Where it stands, for a failure."""
        return f"{self.page.relative_to(REPOSITORY)}:{self.line}"


def snippets(page: Path) -> list[Snippet]:
    """Every block of code of a page but the directives of its generator."""
    found: list[Snippet] = []
    marks: dict[str, str] = {}
    lines = iter(enumerate(page.read_text(encoding="utf-8").splitlines(), 1))
    for number, line in lines:
        if match := _MARK.fullmatch(line.strip()):
            marks[match[1]] = match[2] or ""
        elif match := _FENCE.match(line):
            indent = len(match[1])
            body: list[str] = []
            for _, inside in lines:
                if inside.strip() == "```":
                    break
                body.append(inside[indent:])
            if not match[2].startswith("{"):
                text = "".join(f"{inside}\n" for inside in body)
                found.append(Snippet(page, number, match[2].strip(), text, marks, indent))
            marks = {}
        elif line.strip():
            marks = {}
    return found


class Desk:
    """A folder in which the snippets of one page are run, one after the other, as a reader would."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.said = ""
        self.longer = 0
        self.names: dict[str, object] = {"__name__": "guide"}
        shutil.copytree(REPOSITORY / "specs", folder / "specs")
        shutil.copytree(DOCS / "recipes", folder / "recipes")
        tools = folder / ".tools"
        tools.mkdir()
        (tools / "cabdraw").write_text(
            f'#!/bin/sh\nexec {sys.executable} -c "from cabdraw.cli import main; main()" "$@"\n'
        )
        (tools / "cabdraw").chmod(0o755)

    def run(self, snippet: Snippet) -> list[str]:
        """What is wrong with a snippet."""
        if snippet.language == "yaml":
            return self.spec(snippet)
        if snippet.language == "sh":
            return self.commands(snippet)
        if snippet.language == "python":
            return self.program(snippet)
        if "output" in snippet.marks:
            return self.compare(snippet)
        if "file" in snippet.marks:
            (self.folder / snippet.marks["file"]).write_text(snippet.text, encoding="utf-8")
            return []
        return [f"a block of {snippet.language or 'nothing'} that no test looks at"]

    def compare(self, snippet: Snippet) -> list[str]:
        """Hold what a page shows of an output against what came out, or write it anew."""
        now = self.expected(snippet)
        if now == snippet.text:
            return []
        if not RENEW:
            return [f"this is not what comes out; write it anew with CABDRAW_RENEW=1:\n{now}"]
        lines = snippet.page.read_text(encoding="utf-8").splitlines(keepends=True)
        start = snippet.line + self.longer
        old = snippet.text.count("\n")
        new = [f"{' ' * snippet.indent if line.strip() else ''}{line}" for line in now.splitlines(keepends=True)]
        lines[start : start + old] = new
        self.longer += len(new) - old
        snippet.page.write_text("".join(lines), encoding="utf-8")
        return []

    def expected(self, snippet: Snippet) -> str:
        """What the last command said, or as much of it as the page shows."""
        lines = self.said.rstrip("\n").split("\n")
        if match := re.fullmatch(r"(\d+) lines", snippet.marks["output"]):
            most = int(match[1])
            lines = lines[:most] + ["…"] * (len(lines) > most)
        elif match := re.fullmatch(r"with (.*)", snippet.marks["output"]):
            lines = [line for line in lines if match[1] in line]
        return "\n".join(line.rstrip() for line in lines) + "\n"

    def spec(self, snippet: Snippet) -> list[str]:
        """A whole spec, a part of one over another, or a file to include, is read and resolved."""
        whole = re.search(r"^(cabdraw|cars|include):", snippet.text, re.MULTILINE) is not None
        path = self.folder / snippet.marks.get("file", "guide-snippet.yaml")
        path.write_text(snippet.text, encoding="utf-8")
        if whole:
            tried = path
        else:
            tried = self.folder / "guide-over.yaml"
            base = snippet.marks.get("on", BASE)
            text = (self.folder / base).read_text(encoding="utf-8")
            (self.folder / "guide-base.yaml").write_text(text, encoding="utf-8")
            # A part lies over a whole spec just as it would stand in it.
            units = re.findall(r"^units: \w+$", text, re.MULTILINE)[0]
            tried.write_text(f"cabdraw: 1\n{units}\ninclude: guide-base.yaml\n{snippet.text}", encoding="utf-8")
        errors: tuple[SpecError, ...] = ()
        try:
            for document in load_cars(tried):
                resolve(document)
        except BadSpec as bad:
            errors = bad.errors
        if "refused" in snippet.marks:
            return [] if errors else ["this should be refused, and is not"]
        seen = faults(snippet.text) if whole else snippet_faults(snippet.text)
        return [str(error) for error in errors] + [f"an editor would say: {said}" for said in seen]

    def commands(self, snippet: Snippet) -> list[str]:
        """Each line is run, and must end as a command that did what was asked; what it says is kept."""
        self.said = ""
        wrong: list[str] = []
        for line in snippet.text.replace("\\\n", " ").splitlines():
            if not line.strip() or line.startswith("#"):
                continue
            if "not run" in snippet.marks:
                wrong += self.not_run(line, snippet.marks["not run"])
                continue
            said, status = self.command(line)
            self.said += said
            allowed = (0, 4) if "refused" not in snippet.marks else (1,)
            if status not in allowed:
                wrong.append(f"{line}: status {status}\n{said}")
        return wrong

    def not_run(self, line: str, why: str) -> list[str]:
        """A command that is not run is at least one that there is, with options that there are."""
        if why not in NOT_RUN:
            return [f"{why!r} is no reason not to run a command"]
        words = shlex.split(line)
        if words[0] != "cabdraw":
            return [] if why == "installs" else [f"{line}: why is it not run?"]
        command = get_command(app)
        context = typer.Context(command)
        try:
            found = command.get_command(context, words[1])  # type: ignore[attr-defined]
            found.make_context(words[1], words[2:], resilient_parsing=False)
        except Exception as problem:
            return [f"{line}: {problem}"]
        return []

    def command(self, line: str) -> tuple[str, int]:
        """What a line of the shell says, on both its streams, and its status."""
        words = shlex.split(line)
        if words[0] == "cabdraw" and not set("|><&;*$`(") & set(line):
            said = io.StringIO()
            argv = sys.argv
            sys.argv = words
            try:
                with self.here(), contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
                    status = cli.run()
                return said.getvalue(), status
            finally:
                sys.argv = argv
        env = {
            **os.environ,
            "PATH": f"{self.folder / '.tools'}:{os.environ['PATH']}",
            "PYTHONPATH": str(REPOSITORY),
            "COLUMNS": "100",
        }
        done = subprocess.run(
            ["bash", "-c", line], cwd=self.folder, env=env, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
            text=True, check=False, timeout=120,
        )  # fmt: skip
        return done.stdout, done.returncode

    def program(self, snippet: Snippet) -> list[str]:
        """A program is run in one go with those before it on the page; what it prints is kept."""
        said = io.StringIO()
        try:
            with self.here(), contextlib.redirect_stdout(said):
                exec(compile(snippet.text, snippet.where, "exec"), self.names)
        except Exception as problem:
            return [f"{type(problem).__name__}: {problem}"]
        finally:
            self.said = said.getvalue()
        return []

    @contextlib.contextmanager
    def here(self) -> Iterator[None]:
        """In the folder, on paper of one width."""
        before, columns = Path.cwd(), os.environ.get("COLUMNS")
        os.chdir(self.folder)
        os.environ["COLUMNS"] = "100"
        try:
            yield
        finally:
            os.chdir(before)
            if columns is None:
                del os.environ["COLUMNS"]
            else:
                os.environ["COLUMNS"] = columns

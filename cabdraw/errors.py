"""What can be wrong: with a spec (it is refused), or with the car that a good spec describes (a finding)."""

from __future__ import annotations

from typing import Literal

from cabdraw.frozen import Frozen

#: A place in a spec: mapping keys and list indexes from the top of the file.
Path = tuple[str | int, ...]
Severity = Literal["error", "warning", "note"]
Stops = Literal["fabrication", "drilling", "nothing"]


def path_text(path: Path) -> str:
    """A path as people write it: `layout.stack[3].backer.centre`."""
    text = ""
    for step in path:
        text += f"[{step}]" if isinstance(step, int) else f".{step}" if text else step
    return text


class Problem(Frozen):
    """Something wrong at a place in a spec, before it is known which file and line that is."""

    path: Path
    what: str
    hint: str = ""


class SpecError(Frozen):
    """Something wrong in a spec, with its place in the file; lines and columns count from 1, 0 if unknown."""

    file: str
    line: int
    column: int
    path: str
    what: str
    hint: str = ""

    def __str__(self) -> str:
        where = f"{self.file}:{self.line}:{self.column}" if self.line else self.file
        text = f"{where}: {self.path}: {self.what}" if self.path else f"{where}: {self.what}"
        return f"{text}; {self.hint}" if self.hint else text


class BadSpec(Exception):
    """A spec that is refused, with everything that is wrong in it."""

    def __init__(self, errors: tuple[SpecError, ...]) -> None:
        super().__init__("\n".join(str(error) for error in errors))
        self.errors = errors


class Finding(Frozen):
    """Something about a resolved car that its makers must know; `path` is the place in the spec that mends it."""

    code: str
    severity: Severity
    message: str
    path: Path
    hint: str
    stops: Stops = "nothing"
    wall: str | None = None
    marks: tuple[str, ...] = ()

    @property
    def where(self) -> str:
        """The place in the spec as text."""
        return path_text(self.path)

"""What an explanation is: steps that a drafter can check with a pencil, each with its places in the spec."""

from __future__ import annotations

from pathlib import Path as FilePath

from cabdraw.cab import Place as SpecPath
from cabdraw.errors import path_text
from cabdraw.frozen import Frozen
from cabdraw.units import Length


class Place(Frozen):
    """A value's place in a spec: line and column from 1 in `file`, which errors call so and which is at `at`.

    `typed` is what was typed there, or what the default is in the spec's units; empty for a list or a section.
    A default stands in no file: `path` is the key that would set it, and the line that of the section it goes in.
    """

    file: str
    line: int
    column: int
    path: SpecPath
    at: FilePath
    typed: str = ""
    default: bool = False

    @property
    def keys(self) -> str:
        """The path as text, `layout.stack[2].lower`."""
        return path_text(self.path)


class Step(Frozen):
    """One line of arithmetic: what it gives, in words; the numbers, exactly, in the spec's units; what comes out.

    `expression` uses + - × ÷, brackets, `least of`, `rounded down to` and `rounded up` on numbers that earlier steps
    gave or that stand at `places`. `value` is a length, or for how many of something are there a whole number;
    `shown` is the same in the spec's units, exactly.
    """

    says: str
    expression: str
    value: Length | int
    places: tuple[Place, ...]
    shown: str


class Explanation(Frozen):
    """How one size of a part, of a wall or of the car came about: each step after those that it needs.

    The last step gives `value`; `shown` is that in the spec's units, exactly.
    """

    mark: str
    size: str
    value: Length
    steps: tuple[Step, ...]
    shown: str


class NoSuchPart(LookupError):
    """A mark or a size that is not there; the text names the nearest and what there is."""

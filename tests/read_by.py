"""Which programs that are not ours read which kind of file, noted by the tests that let them; the README's table.

A kind of file is a row of the README's table of files, named by its path with `<wall>`, `<mark>` and the like.
"""

from __future__ import annotations

import importlib
import re
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, TypeVar

from conftest import Shipped

#: By kind of file and program, what it is found to agree in with what was resolved.
READINGS: dict[str, dict[str, set[str]]] = {}
#: Read by fewer, a kind of file is not trusted.
FEWEST = 3
Test = TypeVar("Test", bound=Callable[..., Any])

TEMPLATES = ("site/drill-<wall>.pdf", "site/drill-<wall>-tiled.pdf", "site/drill-<wall>-local.pdf")
PAGES = ("drawings/set.pdf", *TEMPLATES, "site/steps.pdf", "site/blocks.pdf", "site/labels.pdf")
PICTURES = (
    "drawings/elevation-<wall>.svg", "drawings/look-<wall>.svg", "shop/sheets/<sheet>.svg", "site/drill-<wall>.svg",
)  # fmt: skip
FLATS = ("shop/parts/<mark>.dxf", "shop/sheets/<sheet>.dxf")
LISTS = ("shop/<list>.csv", "site/blocks.csv", "site/hardware.csv", "site/packing.csv")


def reads(program: str, agrees: str, *kinds: str) -> Callable[[Test], Test]:
    """Note that a test lets a program read every file of some kinds, and what it compares."""

    def noted(test: Test) -> Test:
        for kind in kinds:
            READINGS.setdefault(kind, {}).setdefault(program, set()).update(agrees.split(", "))
        return test

    return noted


def pattern(kind: str) -> re.Pattern[str]:
    """What the paths of a kind of file look like."""
    return re.compile(re.sub(r"<\w+>", r"[\\w-]+", re.escape(kind).replace("\\-", "-")))


def of_kind(shipped: Shipped, kind: str) -> dict[str, bytes]:
    """The files of a kind in a package; a wall's template alone is not the tiled one."""
    others = [other for other in READINGS if other != kind and len(other) > len(kind)]
    return {
        path: content
        for path, content in shipped.files.items()
        if pattern(kind).fullmatch(path) and not any(pattern(other).fullmatch(path) for other in others)
    }


def collect() -> None:
    """Import every test that notes what it reads."""
    for path in sorted(Path(__file__).parent.glob("test_*.py")):
        if "from read_by import" in path.read_text(encoding="utf-8"):
            importlib.import_module(path.stem)


def readers_table(kinds: Iterable[str]) -> str:
    """The README's table: each kind of file, in its table's order, with its readers and what is compared."""
    collect()
    rows = ["| file | opened by | and found to agree in |", "| --- | --- | --- |"]
    for kind in kinds:
        found = READINGS.get(kind, {})
        agrees = sorted({what for several in found.values() for what in several})
        rows.append(f"| `{kind}` | {', '.join(sorted(found, key=str.lower))} | {', '.join(agrees)} |")
    return "\n".join(rows)

"""Writes the table of advance widths, so that measuring text needs no font library.

Run `python -m cabdraw.fonts.widths` after changing a font file; it needs fontTools, which the tests bring.
"""

from __future__ import annotations

import unicodedata
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
FILES = {"regular": "DejaVuSans.ttf", "bold": "DejaVuSans-Bold.ttf"}
#: Neither control characters, surrogates nor private ones: they mean nothing on a drawing.
_MEANINGLESS = {"Cc", "Cs", "Co"}


def runs(path: Path) -> dict[int, list[int]]:
    """Advance widths in 2048ths of the type size, as runs of neighbouring characters by the first one's code."""
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped, unused-ignore]

    font: Any = TTFont(path)
    found: dict[int, list[int]] = {}
    last = first = -2
    for code, glyph in sorted(font.getBestCmap().items()):
        if code > 0xFFFF or unicodedata.category(chr(code)) in _MEANINGLESS:
            continue
        if code != last + 1:
            first = code
            found[first] = []
        found[first].append(font["hmtx"][glyph][0])
        last = code
    return found


def table() -> str:
    """The whole table as JSON, a run of characters a line."""
    faces = []
    for face, name in FILES.items():
        lines = (
            f'"{first}":[{",".join(str(width) for width in widths)}]' for first, widths in runs(HERE / name).items()
        )
        faces.append(f'"{face}":{{\n' + ",\n".join(lines) + "\n}")
    return "{\n" + ",\n".join(faces) + "\n}\n"


if __name__ == "__main__":
    (HERE / "widths.json").write_text(table(), encoding="ascii")

"""How wide and how high text is, from the font that the drawings use, never from what a machine has installed."""

from __future__ import annotations

import json
import unicodedata
from functools import lru_cache
from pathlib import Path

from cabdraw.draw.shapes import XY, Text
from cabdraw.draw.style import CAPITALS

_TABLE = Path(__file__).parent.parent / "fonts" / "widths.json"
_EM = 2048
#: Highest and lowest ink of letters, figures and brackets, as a share of the height of capitals.
ASCENT = 1565 / 2048 / CAPITALS
DESCENT = 483 / 2048 / CAPITALS
#: Stands for whatever the font cannot draw.
MISSING = "\N{REPLACEMENT CHARACTER}"
_SPACES = dict.fromkeys(map(ord, "\t\n\r\v\f\x85\u2028\u2029"), " ")


@lru_cache(maxsize=1)
def _widths() -> tuple[dict[str, int], dict[str, int]]:
    faces = json.loads(_TABLE.read_bytes())
    regular, bold = (
        {chr(int(first) + i): width for first, run in faces[face].items() for i, width in enumerate(run)}
        for face in ("regular", "bold")
    )
    return regular, bold


@lru_cache(maxsize=4096)
def legible(text: str) -> str:
    """The text as every format draws it: one line, composed, in characters that both faces of the font have.

    Others become U+FFFD, and so do control and invisible format characters, which could hide or reorder words.
    """
    if text.isascii() and text.isprintable():
        return text
    regular, bold = _widths()
    kept = (
        char if char in regular and char in bold and unicodedata.category(char) != "Cf" else MISSING
        for char in unicodedata.normalize("NFC", text).translate(_SPACES)
    )
    return "".join(kept)


def text_width(text: str, height: float, bold: bool = False) -> float:
    """Width in paper mm of one line of text whose capitals are `height` mm high; kerning is left out."""
    return _units(text, bold) * height / CAPITALS / _EM


@lru_cache(maxsize=16384)
def _units(text: str, bold: bool) -> int:
    widths = _widths()[bold]
    return sum([widths[char] for char in legible(text)])


def text_base(text: Text, scale: float = 1.0) -> XY:
    """Where the left end of the text's base line stands, in the coordinates of its view."""
    along = {"left": 0.0, "centre": -0.5, "right": -1.0}[text.across]
    along *= text_width(text.text, text.height, text.bold) / scale
    over = {"base": 0.0, "middle": -0.5, "top": -1.0}[text.up] * text.height / scale
    return (text.at[0] - over, text.at[1] + along) if text.angle else (text.at[0] + along, text.at[1] + over)


def text_box(text: Text, scale: float = 1.0) -> tuple[float, float, float, float]:
    """Left, lower, right and upper edge of a text with its descenders, in the coordinates of its view."""
    x, y = text_base(text, scale)
    width = text_width(text.text, text.height, text.bold) / scale
    below, above = DESCENT * text.height / scale, ASCENT * text.height / scale
    if text.angle:
        return (x - above, y, x + below, y + width)
    return (x, y - below, x + width, y + above)

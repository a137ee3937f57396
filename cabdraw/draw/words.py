"""Text that must fit: shrunk through the standard heights, wrapped into lines, or cut short with a sign that it was."""

from __future__ import annotations

from functools import lru_cache

from cabdraw.draw.measure import text_width

#: Text heights of ISO 3098 in paper mm (series from memory of the standard), smallest that still prints well first.
HEIGHTS = (1.8, 2.5, 3.5, 5.0, 7.0, 10.0, 14.0, 20.0)


def fitted(text: str, room: float, height: float, bold: bool = False) -> tuple[str, float]:
    """The text and the largest standard height up to `height` at which it fits a width; cut short where none does."""
    for size in reversed(HEIGHTS):
        if size <= height + 0.01 and text_width(text, size, bold) <= room:
            return text, size
    size = HEIGHTS[0]
    kept = text
    while kept and text_width(kept + "…", size, bold) > room:
        kept = kept[:-1]
    return kept.rstrip() + "…", size


def wrapped(text: str, room: float, height: float, bold: bool = False) -> list[str]:
    """The text in lines no wider than `room`; a word wider than that is broken."""
    return list(_wrapped(text, room, height, bold))


# Tables try several settings on a page, most of them with the same words in the same columns.
@lru_cache(maxsize=8192)
def _wrapped(text: str, room: float, height: float, bold: bool) -> tuple[str, ...]:
    lines: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}" if line else word
        if text_width(longer, height, bold) <= room:
            line = longer
            continue
        if line:
            lines.append(line)
        while text_width(word, height, bold) > room and len(word) > 1:
            cut = len(word) - 1
            while cut > 1 and text_width(word[:cut], height, bold) > room:
                cut -= 1
            lines.append(word[:cut])
            word = word[cut:]
        line = word
    if line:
        lines.append(line)
    return tuple(lines)

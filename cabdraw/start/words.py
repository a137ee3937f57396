"""How texts are written into a spec as values."""

from __future__ import annotations

import json
import re

_PLAIN = re.compile(r"[^\W\d_](?:[\w .()/'’&+-]*[\w.)’+-])?")
#: Words that YAML, or a reader of it, takes for something else than a text.
_TAKEN = {"yes", "no", "on", "off", "true", "false", "null", "y", "n"}


def scalar(text: str) -> str:
    """A text as a value in a spec: as it is where it is a text to every reader of YAML, in double quotes elsewhere."""
    if _PLAIN.fullmatch(text) and text.isprintable() and text.lower() not in _TAKEN:
        return text
    # A sign that cannot be seen is spelled out, as YAML would take some of them for the end of a line.
    return json.dumps(text, ensure_ascii=not text.isprintable())


def length(text: str) -> str:
    """A length as a value: in quotes where it holds a sign of YAML's own, such as the one for feet."""
    return text if re.fullmatch(r"[\w.][\w ./-]*", text) else scalar(text)


def lengths(texts: tuple[str, ...]) -> str:
    """One length as it is, several as a list."""
    return f"[{', '.join(length(text) for text in texts)}]" if len(texts) > 1 else length(texts[0])

"""Texts that mean something to a file format, a spreadsheet, a terminal or a shell, put into every field of a spec."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator, Sequence
from typing import Any

import grammar

from cabdraw.errors import BadSpec
from cabdraw.spec import loads
from cabdraw.spec.said import sample
from cabdraw.spec.schema import Spec
from cabdraw.spec.section import Section

#: What a field takes, since a drawing can show it: it must come out as text, everywhere.
TAKEN = (
    "</text><script>alert(1)</script>",
    "\"'><img src=x onerror=alert(1)> ]]> <!-- & &amp; &#60;",
    "</style></title><svg onload=alert(1)> javascript:alert(1)",
    '=HYPERLINK("http://x.example","y")',
    "+1+cmd|' /C calc'!A0",
    "-2+3",
    "@SUM(A1:A9)",
    "＝1+1",
    "100%%d %%u %%c %%65 ^J \\U+0041 \\M+1 {\\fArial;x} \\P <>",
    "(unbalanced \\( %PDF endobj stream \\",
    "../../../../etc/passwd",
    "C:\\con\\..\\nul.txt",
    "CON",
    "`id` $(id) ${7*7} {{7*7}} <%= 7 %> '; drop table parts; --",
    "שלום مرحبا ",
    "Z" + "̶̖̿" * 60,
    "🛗 面板 \N{FULLWIDTH LESS-THAN SIGN}b\N{FULLWIDTH GREATER-THAN SIGN} ﷽",
    "0 SECTION 2 ENTITIES 0 EOF",
    "- [x]: {y: *z} # & ! | > %",
)
#: What no field takes, since no drawing can show it, or it would hide or turn round what is beside it.
REFUSED = (
    "a\nb", "a\r\n0\nEOF", "tab\there", "nul\x00", "esc\x1b[2J", "bell\x07", "\x85", "\x9b31m", "bidi \u202eabc",
    "isolate \u2066x", "mark \u200f", "zero\u200bwidth", "join\u200der", "soft\xadhyphen", "\ufeffbom", "line\u2028x",
    "private \ue000", "none \U000e0041", "lone \ud800", "x" * 10_000, "=" * 10_000, "\u0301" * 201, "",
)  # fmt: skip


def placed(spec: dict[str, Any], path: Sequence[str], text: str) -> dict[str, Any] | None:
    """A spec with a text at a path, with what must stand beside it; None where the car has nothing to hang it on."""
    spec = copy.deepcopy(spec)
    place: Any = spec
    kind: grammar.Slot = grammar.Slot(section=Spec)
    for step, following in zip(path, [*path[1:], None], strict=True):
        if step == "0":
            kind = kind.items[0]
            if not place:
                place.append(_sample(kind.section, spec) if kind.section is not None else text)
            if following is None:
                place[0] = text
                break
            place = place[0]
            continue
        assert kind.section is not None
        kind = grammar.slots(kind.section)[step]
        if following is None:
            place[step] = text
            break
        if step == "layers":
            place.pop("thickness", None)
        if not isinstance(place.get(step), dict | list):
            place[step] = [] if following == "0" else _sample(kind.section, spec)
        place = place[step]
    return spec


def _sample(section: type[Section] | None, spec: dict[str, Any]) -> Any:
    return {} if section is None else sample(section, "mm" if spec["units"] == "mm" else "inch")


def good(spec: dict[str, Any]) -> bool:
    """Whether a spec is one."""
    try:
        loads(as_text(spec))
    except BadSpec:
        return False
    return True


def as_text(spec: dict[str, Any]) -> str:
    """A spec as a file holds it."""
    return json.dumps(spec, indent=1, ensure_ascii=False)


def filled(spec: dict[str, Any], texts: Sequence[str], turn: int = 0) -> tuple[dict[str, Any], list[tuple[str, ...]]]:
    """A spec with one of some texts, each with a number of its own, in every field that fits it; and those fields."""
    fields = []
    for number, path in enumerate(grammar.texts()):
        tried = placed(spec, path, f"{texts[(number + turn) % len(texts)]}{number}")
        if tried is not None and good(tried):
            spec = tried
            fields.append(path)
    return spec, fields


def said(thing: Any) -> Iterator[str]:
    """Every text in plain values."""
    if isinstance(thing, str):
        yield thing
    for item in thing.values() if isinstance(thing, dict) else thing if isinstance(thing, list) else ():
        yield from said(item)

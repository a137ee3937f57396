"""The parts of the guide that are made from the tool: the format's keys, from its schema."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from guide import DOCS
from make_pictures import README, between, findings_table

from cabdraw.draw.style import LAYERS
from cabdraw.spec.json_schema import json_schema
from cabdraw.spec.rules import FOLDER, KINDS, shipped
from cabdraw.spec.source import parse_source

#: Each part that is made: its page, and the name between its two marks.
PARTS = {
    "format": DOCS / "format.md",
    "layers": DOCS / "drawings.md",
    "rules": DOCS / "own-rules.md",
    "rule sets": DOCS / "own-rules.md",
    "findings": DOCS / "checks.md",
    "files": DOCS / "package.md",
}
#: What stands for a name that is free to choose, such as a material's.
_ANY = "…"


def format_keys() -> str:
    """Every section of the format with its keys: what each means, what to write, what holds where it is left out."""
    schema = json_schema()
    defs = schema["$defs"]
    homes: dict[str, str] = {}
    told: dict[str, str] = {}
    users: dict[str, dict[str, None]] = {}

    def walk(path: str, name: str, says: str) -> None:
        if name in homes:
            return
        homes[name] = path
        told[name] = defs[name].get("description") or says
        for key, found in defs[name]["properties"].items():
            for inner, suffix in _inside(found):
                if "properties" in defs.get(inner, {}):
                    users.setdefault(inner, {})[key] = None
                    walk(f"{path}.{key}{suffix}".lstrip("."), inner, found["description"])

    walk("", schema["else"]["$ref"].rpartition("/")[2], "")
    lines: list[str] = []
    for name, path in homes.items():
        lines += [f"### `{path}`" if path else "### The file", "", _sentence(told[name] or "One car."), ""]
        if len(keys := list(users.get(name, ()))) > 1:
            # One section that several keys hold is told once, for all of them.
            these = f"What each of {', '.join(f'`{key}`' for key in keys[:-1])} and `{keys[-1]}` holds."
            lines[-2:-1] = textwrap.wrap(these, 118)
        required = defs[name].get("required", [])
        lines += ["| key | what it is | write |", "| --- | --- | --- |"]
        for key, found in defs[name]["properties"].items():
            star = " \\*" if key in required else ""
            lines.append(
                f"| `{key}`{star} | {_cell(_sentence(found['description']))} | {_cell(_write(found, homes))} |"
            )
        if not path:
            together = defs["Together"]["properties"]
            for key in ("include", "cars"):
                lines.append(
                    f"| `{key}` | {_cell(_sentence(together[key]['description']))} | [Several files](shared.md) |"
                )
        lines.append("")
    return "\n".join(lines).strip()


def _inside(found: Any, suffix: str = "") -> Iterator[tuple[str, str]]:
    """The sections that a key can hold, each with what its path ends in: `[ ]` for one of a list."""
    if not isinstance(found, dict):
        return
    if "$ref" in found:
        yield found["$ref"].rpartition("/")[2], suffix
    for part in found.get("anyOf", []) + found.get("prefixItems", []):
        yield from _inside(part, suffix)
    if "items" in found:
        yield from _inside(found["items"], f"{suffix}[ ]")
    if isinstance(found.get("additionalProperties"), dict):
        yield from _inside(found["additionalProperties"], f".{_ANY}")


def _write(found: dict[str, Any], homes: dict[str, str]) -> str:
    """What to write, as the schema tells editors, and where a section's own keys are told."""
    said = found.get("markdownDescription", "")
    start = said.find("Write ")
    parts = (
        [said[start + len("Write ") :].strip().replace(" of at most 200 characters", "").replace("1, e.g. 1.", "1.")]
        if start >= 0
        else []
    )
    parts = [part[:1].upper() + part[1:] for part in parts]
    for inner, suffix in _inside(found):
        if inner in homes:
            what = f"Each: [`{homes[inner]}`]" if "[ ]" in suffix else f"[`{homes[inner]}`]"
            parts.append(f"{what}(#{_anchor(homes[inner])})")
    return " ".join(parts)


def _anchor(path: str) -> str:
    """Where the heading of a section is found, by the rule that Markdown's hosts share."""
    return re.sub(r"[^\w\- ]", "", path).replace(" ", "-")


def _sentence(text: str) -> str:
    text = text.strip()
    return text and text[0].upper() + text[1:] + ("" if text.endswith((".", "?")) else ".")


def _cell(text: str) -> str:
    return " ".join(text.split()).replace("|", "\\|").replace("<", "&lt;")


def layers() -> str:
    """The layers of the drawings, with what is on each."""
    rows = ["| layer | what is on it | line | weight |", "| --- | --- | --- | --- |"]
    rows += [f"| `{name}` | {_cell(style.about)} | {style.line} | {style.weight} |" for name, style in LAYERS.items()]
    return "\n".join(rows)


def rule_kinds() -> str:
    """The kinds of rules, with what each has to give."""
    rows = ["| kind | what it gives |", "| --- | --- |"]
    for kind, takes in sorted(KINDS.items()):
        given = ", ".join(f"`{key}`{_of(reader)}" for key, reader in takes.items())
        rows.append(f"| `{kind}` | {given} |")
    return "\n".join(rows)


def _of(reader: Any) -> str:
    """What is in a list of a rule."""
    if isinstance(reader, dict):
        return f" (each: {', '.join(f'`{key}`' for key in reader)})"
    return " (each: a rated load, an area)" if isinstance(reader, tuple) else ""


def rule_sets() -> str:
    """The sets of rules that come along, with where each comes from."""
    rows = ["| name | what it holds |", "| --- | --- |"]
    for name in shipped():
        about = parse_source((FOLDER / f"{name}.yaml").read_bytes(), name).plain()["about"]
        rows.append(f"| `{name}` | {_cell(about)} |")
    return "\n".join(rows)


def files() -> str:
    """The files of a package, as the README lists them, which is held against what is written."""
    return between(README.read_text(encoding="utf-8"), "files").replace("](docs/", "](")


def made(name: str) -> str:
    """A part as it is to stand on its page."""
    makers = {
        "format": format_keys,
        "layers": layers,
        "rules": rule_kinds,
        "rule sets": rule_sets,
        "findings": findings_table,
        "files": files,
    }
    return makers[name]()


def renewed(page: Path, name: str, text: str) -> str:
    """A page with a part made anew between its two marks."""
    whole = page.read_text(encoding="utf-8")
    head, rest = whole.split(f"<!-- made: {name} -->\n", 1)
    _, tail = rest.split(f"<!-- end of {name} -->", 1)
    return f"{head}<!-- made: {name} -->\n{text}\n<!-- end of {name} -->{tail}"

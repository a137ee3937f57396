"""Holds specs, and snippets of specs, against the JSON Schema, as an editor's YAML language server would.

`faults(text)` is for a whole spec. `snippet_faults(text)` is for a piece of one, as documentation shows them: some of
its sections, or the inside of one.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator
from functools import cache
from typing import Any, ClassVar

import jsonschema
import yaml

from cabdraw.spec.json_schema import json_schema


class _CoreLoader(yaml.SafeLoader):
    """YAML 1.2's core schema, which editors go by: `no` and `1:30` are texts, and so is a date."""

    yaml_implicit_resolvers: ClassVar[dict[str, Any]] = {}


_CoreLoader.add_implicit_resolver("tag:yaml.org,2002:null", re.compile(r"^(?:~|null|Null|NULL|)$"), ["~", "n", "N", ""])
_CoreLoader.add_implicit_resolver(
    "tag:yaml.org,2002:bool", re.compile(r"^(?:true|True|TRUE|false|False|FALSE)$"), list("tTfF")
)
_CoreLoader.add_implicit_resolver("tag:yaml.org,2002:int", re.compile(r"^[-+]?[0-9]+$"), list("-+0123456789"))
_CoreLoader.add_implicit_resolver(
    "tag:yaml.org,2002:float",
    re.compile(r"^[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?$"),
    list("-+.0123456789"),
)
_CoreLoader.add_implicit_resolver("tag:yaml.org,2002:merge", re.compile(r"^<<$"), ["<"])
_CoreLoader.add_constructor("tag:yaml.org,2002:int", lambda loader, node: int(str(node.value)))
_CoreLoader.add_constructor("tag:yaml.org,2002:float", lambda loader, node: float(str(node.value)))


def values(text: str) -> Any:
    """A YAML text as an editor sees it; raises yaml.YAMLError where it is none."""
    return yaml.load(text, _CoreLoader)


@cache
def _validator() -> Any:
    schema = json_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


def faults(text: str) -> list[str]:
    """What the schema refuses in a spec, each with its place."""
    return list(_said(_validator().iter_errors(values(text))))


def _said(errors: Any) -> Iterator[str]:
    for error in errors:
        yield f"{'.'.join(str(step) for step in error.absolute_path)}: {error.message[:200]}"


@cache
def _pieces() -> Any:
    """The schema with nothing asked for: a snippet leaves out what it does not speak of."""
    return jsonschema.Draft202012Validator(_lenient(copy.deepcopy(json_schema())))


def _lenient(schema: Any) -> Any:
    if isinstance(schema, dict):
        # What a list may hold is told by the keys that its items must have.
        return {
            key: value if key == "contains" else _lenient(value)
            for key, value in schema.items()
            if key not in ("required", "oneOf")
        }
    return [_lenient(item) for item in schema] if isinstance(schema, list) else schema


def snippet_faults(text: str) -> list[str]:
    """What the schema refuses in a piece of a spec; it may be the inside of any section, or a list of its items."""
    held = values(text)
    validator = _pieces()
    whole = list(_said(validator.iter_errors(held)))
    if not whole:
        return []
    items = held if isinstance(held, list) and held else [held]
    for name, section in validator.schema["$defs"].items():
        if "properties" not in section or name.endswith("-part") or not all(isinstance(item, dict) for item in items):
            continue
        one = validator.evolve(schema={**section, "$defs": validator.schema["$defs"]})
        if all(one.is_valid(item) for item in items):
            return []
    return whole

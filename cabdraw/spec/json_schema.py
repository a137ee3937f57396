"""The format as a JSON Schema, made from its models, for editors that complete, explain and check YAML.

It takes whatever the format takes, and refuses what can be seen in one place: a key that is none, a section left
out, a text that is no length. What lies between sections, and what a number means in its units, only cabdraw sees.
"""

from __future__ import annotations

import json
import types
import typing
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from pydantic import BeforeValidator, PlainValidator
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from cabdraw.spec.bands import ONCE
from cabdraw.spec.fields import Choice, Sized
from cabdraw.spec.looks import LENGTH, Look, any_case, look_of, plain
from cabdraw.spec.schema import Section, Spec, StackItem
from cabdraw.units import INCH, Length, fraction_text

#: The file that holds the schema, beside the specs that name it.
FILE = "cabdraw.schema.json"
#: The first line of a spec that lies beside the schema: editors look for it.
FIRST_LINE = f"# yaml-language-server: $schema={FILE}"


def json_schema() -> dict[str, Any]:
    """The schema of a spec, by JSON Schema 2020-12."""
    defs: dict[str, Any] = {
        "length": _length_or(),
        **{f"length-or-{word}": _length_or(word) for word in ("fill", "face")},
    }
    whole = _Walk(defs)
    one, part = whole.section(Spec), _Walk(defs, whole).section(Spec)
    # What has none of these is a shop's own file, for specs to include; what includes one need not be complete.
    shared = {"not": {"anyOf": [{"required": [key]} for key in ("cabdraw", "job", "survey")]}}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A cabdraw spec",
        "description": "An elevator car: its bare shell as measured, and the panelling that is wanted.",
        "type": "object",
        "if": {"anyOf": [{"required": ["include"]}, {"required": ["cars"]}, shared]},
        "then": {"$ref": "#/$defs/Together"},
        "else": one,
        "$defs": dict(sorted({**defs, "Together": _together(defs, part)}.items())),
    }


def _together(defs: dict[str, Any], part: dict[str, Any]) -> dict[str, Any]:
    """A spec of several cars, one that includes other files, or such a file: keys that lie over others' keys."""
    properties = defs[part["$ref"].rpartition("/")[2]]["properties"]
    name = {"type": "string", "pattern": r"\.[yY][aA]?[mM][lL]\s*$", "patternErrorMessage": "Name a file: shop.yaml"}
    car = {key: value for key, value in properties.items() if key not in ("cabdraw", "units")}
    return {
        "type": "object",
        "description": "One car or several, with what other files say of them.",
        "properties": {
            "include": {
                "anyOf": [name, {"type": "array", "items": name}],
                "description": "a file, or a list of files, that this one lies over key by key: a shop's own defaults",
            },
            "cars": {
                "type": "object",
                "minProperties": 1,
                "description": "several cars: a key for each, and below it what differs in that car",
                "additionalProperties": {"type": "object", "properties": car, "additionalProperties": False},
            },
            **properties,
        },
        "additionalProperties": False,
    }


def schema_text() -> str:
    """The schema as its file holds it."""
    return json.dumps(json_schema(), indent=1, ensure_ascii=False) + "\n"


class _Walk:
    """Turns models into definitions, each once, as they are come by.

    With another walk for what is whole, it makes parts of sections: no key is asked for, and `~` takes one out. Only
    lists are whole in them, as a list lies over another as one.
    """

    def __init__(self, defs: dict[str, Any], whole: _Walk | None = None) -> None:
        self.defs = defs
        self.whole = whole

    def section(self, section: type[Section]) -> dict[str, Any]:
        """A reference to the definition of a model."""
        name = section.__name__ if self.whole is None else f"{section.__name__}-part"
        if name not in self.defs:
            self.defs[name] = {}
            self.defs[name] = self._model(section)
        return {"$ref": f"#/$defs/{name}"}

    def _model(self, section: type[Section]) -> dict[str, Any]:
        fields = section.model_fields
        model: dict[str, Any] = {
            "type": "object",
            # Not a description: editors would show it in place of that of the key which leads here.
            "$comment": (section.__doc__ or "").strip(),
            "properties": {name: self._field(info) for name, info in fields.items()},
            "additionalProperties": False,
        }
        if self.whole is not None:
            return {**model, "type": ["object", "null"]}
        if required := [name for name, info in fields.items() if info.is_required()]:
            model["required"] = required
        extra = section.model_config.get("json_schema_extra")
        return {**model, **extra} if isinstance(extra, dict) else model

    def _field(self, info: FieldInfo) -> dict[str, Any]:
        look = self._look(info.annotation, info.metadata)
        field: dict[str, Any] = {**look.schema}
        if self.whole is not None and look.says:
            field = _either(look.schema, {"type": "null"})
        description = info.description or ""
        said = [description[:1].upper() + description[1:] + ".", f"Write {look.says}."] if look.says else [description]
        if info.examples and look.says:
            field["examples"] = [_spelled(example, at, look) for at, example in enumerate(info.examples)]
            said[-1] = f"{said[-1][:-1]}, e.g. {' or '.join(_shown(example) for example in field['examples'])}."
        if not info.is_required() and (default := _default(info, look)) is not None:
            field["default"] = default
            if default != [] and "left out" not in description:
                said.append(f"Left out: {_shown(default)}.")
        field["description"] = description
        if look.says:
            field["markdownDescription"] = " ".join(said)
        return {**field, **info.json_schema_extra} if isinstance(info.json_schema_extra, dict) else field

    def _look(self, kind: Any, metadata: Sequence[Any] = ()) -> Look:
        """What values of a type look like, with what is noted beside the type."""
        if typing.get_origin(kind) is typing.Annotated:
            bare, *notes = typing.get_args(kind)
            return self._look(bare, (*notes, *metadata))
        for note in metadata:
            if isinstance(note, PlainValidator):
                return _of_validator(note.func)
        if typing.get_origin(kind) in (typing.Union, types.UnionType):
            # None stands for what is left out, and nobody types it.
            (bare,) = (arg for arg in typing.get_args(kind) if arg is not type(None))
            return self._look(bare, metadata)
        if typing.get_origin(kind) is tuple:
            look = self._list(typing.get_args(kind), metadata)
        elif isinstance(kind, type) and issubclass(kind, Section):
            look = Look("", self.section(kind), lambda _: None)
        else:
            raise LookupError(f"{kind!r} has no validator that says what its values look like")
        for note in metadata:
            if isinstance(note, BeforeValidator):
                look = self._or_short(note.func, look, kind)
        return look

    def _list(self, items: tuple[Any, ...], metadata: Sequence[Any]) -> Look:
        if self.whole is not None:
            return self.whole._list(items, metadata)
        each = [self._look(item) for item in items if item is not Ellipsis]
        schema: dict[str, Any] = {"type": "array", "items": each[0].schema}
        if items[-1] is not Ellipsis:
            schema = {"type": "array", "minItems": len(items), "maxItems": len(items)}
            schema |= {"items": each[0].schema} if each[0] == each[-1] else {"prefixItems": [e.schema for e in each]}
        for note in metadata:
            for bound in note.metadata if isinstance(note, FieldInfo) else (note,):
                for name, word in (("min_length", "minItems"), ("max_length", "maxItems")):
                    if (most := getattr(bound, name, None)) is not None:
                        schema[word] = most
        if items[0] is StackItem:
            schema["allOf"] = [{"contains": {"required": [kind]}, "minContains": 0, "maxContains": 1} for kind in ONCE]
        says = f"a list, each {each[0].says}" if each[0].says else ""
        return Look(says, schema, lambda values: [each[0].typed(value) for value in values])

    def _or_short(self, reader: Any, look: Look, kind: Any) -> Look:
        """A list or a section, or what may be written in short for it."""
        short = look_of(reader)
        of = short.schema.get("of")
        if of == "item":
            item = self._look(typing.get_args(kind)[0])
            return Look(f"{item.says}, or a list of such", _either(item.schema, {**look.schema, "minItems": 1}))
        if of is not None:
            info = kind.model_fields[of]
            field = self._look(info.annotation, info.metadata)
            return Look(f"{field.says}, or a section with more", _either(field.schema, look.schema))
        return Look(f"{short.says}, or {look.says}", _either(short.schema, {**look.schema, "minItems": 1}))


def _either(short: dict[str, Any], full: dict[str, Any]) -> dict[str, Any]:
    return {"anyOf": [*(short["anyOf"] if set(short) == {"anyOf"} else [short]), full]}


def _of_validator(reader: Any) -> Look:
    if isinstance(reader, Choice):
        return _choice(reader.names)
    if isinstance(reader, Sized):
        return _length(reader)
    look = look_of(reader)
    if "pattern" not in look.schema:
        return look
    return Look(look.says, {**look.schema, "patternErrorMessage": f"Write {look.says}"}, look.typed)


def _choice(names: tuple[str, ...]) -> Look:
    """One of a few words; the pattern takes them in capitals too, the list of words is what is offered."""
    return Look("one of " + ", ".join(names), {"anyOf": _words(*names)})


def _words(*names: str) -> list[dict[str, Any]]:
    return [{"enum": list(names)}, {"type": "string", "pattern": rf"^\s*(?:{any_case(*names)})\s*$"}]


def _length_or(word: str = "") -> dict[str, Any]:
    typed = f"{LENGTH}|{any_case(word)}" if word else LENGTH
    return {
        "$comment": "Without a description, which editors would show in place of a key's own.",
        "type": ["number", "string"],
        "pattern": rf"^\s*(?:{typed})\s*$",
        "patternErrorMessage": "This is no length: write e.g. 34 1/2, 3/8, 3' 4-1/2\", 864mm"
        + f", or {word}" * bool(word),
    }


def _length(reader: Sized) -> Look:
    """A length: a bare number is in either unit, so the bounds that no unit could save it from are all that hold."""
    bounds = {
        "minimum": float(Fraction(int(Fraction(reader.least) / INCH * 1000), 1000)),
        "maximum": float(Fraction(reader.most)),
    }
    if reader.word:
        schema = {"$ref": f"#/$defs/length-or-{reader.word}", **bounds, "examples": [reader.word]}
        return Look(f"a length or {reader.word}", schema, _typed_length)
    return Look("a length", {"$ref": "#/$defs/length", **bounds}, _typed_length)


def _typed_length(length: Length | None) -> Any:
    if length is None:
        return None
    inches = length.mm / INCH
    if inches == 0:
        return 0
    return f"{fraction_text(inches) if inches.denominator in (1, 2, 4, 8, 16, 32, 64) else plain(inches)} in"


def _default(info: FieldInfo, look: Look) -> Any:
    value = info.get_default(call_default_factory=True)
    if value is None or value is PydanticUndefined or isinstance(value, Section):
        return None
    return look.typed(value)


def _spelled(example: Any, at: int, look: Look) -> Any:
    """An example; of a length in either unit the first is in inches and the second in mm, and says so."""
    if "length" not in look.says or not isinstance(example, str):
        return example
    if not example[-1:].isdigit() or len(example) > 12:
        return example
    return f"{example} in" if at == 0 else f"{example} mm"


def _shown(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return f"[{', '.join(_shown(item) for item in value)}]"
    return json.dumps(value, ensure_ascii=False) if isinstance(value, dict) else str(value)

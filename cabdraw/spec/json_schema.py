"""The format as a JSON Schema, made from its sections, for editors that complete, explain and check YAML.

It takes whatever the format takes, and refuses what can be seen in one place: a key that is none, a section left
out, a text that is no length. What lies between sections, and what a number means in its units, only cabdraw sees.
"""

from __future__ import annotations

import json
from typing import Any

from cabdraw.rational import Fraction
from cabdraw.spec.bands import ONCE
from cabdraw.spec.fields import Choice, Sized
from cabdraw.spec.looks import LENGTH, Look, any_case, look_of, plain
from cabdraw.spec.schema import Spec, StackItem
from cabdraw.spec.section import Key, Kind, ListOf, PairOf, Section, SectionOf, Single
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
    """Turns sections into definitions, each once, as they are come by.

    With another walk for what is whole, it makes parts of sections: no key is asked for, and `~` takes one out. Only
    lists are whole in them, as a list lies over another as one.
    """

    def __init__(self, defs: dict[str, Any], whole: _Walk | None = None) -> None:
        self.defs = defs
        self.whole = whole

    def section(self, section: type[Section]) -> dict[str, Any]:
        """A reference to the definition of a section."""
        name = section.__name__ if self.whole is None else f"{section.__name__}-part"
        if name not in self.defs:
            self.defs[name] = {}
            self.defs[name] = self._section(section)
        return {"$ref": f"#/$defs/{name}"}

    def _section(self, section: type[Section]) -> dict[str, Any]:
        found: dict[str, Any] = {
            "type": "object",
            # Not a description: editors would show it in place of that of the key which leads here.
            "$comment": (section.__doc__ or "").strip(),
            "properties": {name: self._key(key) for name, key in section.format_keys.items()},
            "additionalProperties": False,
        }
        if self.whole is not None:
            return {**found, "type": ["object", "null"]}
        if needed := [name for name, key in section.format_keys.items() if key.needed]:
            found["required"] = needed
        return {**found, **section.schema_words}

    def _key(self, key: Key[Any]) -> dict[str, Any]:
        look = self._look(key.kind)
        found: dict[str, Any] = {**look.schema}
        if self.whole is not None and look.says:
            found = _either(look.schema, {"type": "null"})
        description = key.description
        said = [description[:1].upper() + description[1:] + ".", f"Write {look.says}."] if look.says else [description]
        if key.examples and look.says:
            found["examples"] = [_spelled(example, at, look) for at, example in enumerate(key.examples)]
            said[-1] = f"{said[-1][:-1]}, e.g. {' or '.join(_shown(example) for example in found['examples'])}."
        if (default := _default(key, look)) is not None:
            found["default"] = default
            if default != [] and "left out" not in description:
                said.append(f"Left out: {_shown(default)}.")
        found["description"] = description
        if look.says:
            found["markdownDescription"] = " ".join(said)
        return {**found, "uniqueItems": True} if key.once else found

    def _look(self, kind: Kind[Any]) -> Look:
        """What values of a kind look like."""
        if isinstance(kind, SectionOf):
            section = Look("", self.section(kind.section), lambda _: None)
            return section if kind.short is None else self._or_short(kind.short, section, kind)
        if isinstance(kind, ListOf):
            listed = self._list(kind)
            return listed if kind.short is None else self._or_short(kind.short, listed, kind)
        return self._pair(kind) if isinstance(kind, PairOf) else look_of_single(kind)

    def _list(self, kind: ListOf[Any]) -> Look:
        if self.whole is not None:
            return self.whole._list(kind)
        each = self._look(kind.item)
        schema: dict[str, Any] = {"type": "array", "items": each.schema}
        if kind.least:
            schema["minItems"] = kind.least
        if kind.most is not None:
            schema["maxItems"] = kind.most
        if isinstance(kind.item, SectionOf) and kind.item.section is StackItem:
            schema["allOf"] = [{"contains": {"required": [word]}, "minContains": 0, "maxContains": 1} for word in ONCE]
        return _listed(schema, each)

    def _pair(self, kind: PairOf[Any, Any]) -> Look:
        if self.whole is not None:
            return self.whole._pair(kind)
        first, second = self._look(kind.first), self._look(kind.second)
        schema: dict[str, Any] = {"type": "array", "minItems": 2, "maxItems": 2}
        schema |= {"items": first.schema} if first == second else {"prefixItems": [first.schema, second.schema]}
        return _listed(schema, first)

    def _or_short(self, reader: Any, look: Look, kind: ListOf[Any] | SectionOf[Any]) -> Look:
        """A list or a section, or what may be written in short for it."""
        short = look_of(reader)
        of = short.schema.get("of")
        if isinstance(kind, ListOf) and of == "item":
            item = self._look(kind.item)
            return Look(f"{item.says}, or a list of such", _either(item.schema, {**look.schema, "minItems": 1}))
        if isinstance(kind, SectionOf):
            only = self._look(kind.section.format_keys[str(of)].kind)
            return Look(f"{only.says}, or a section with more", _either(only.schema, look.schema))
        return Look(f"{short.says}, or {look.says}", _either(short.schema, {**look.schema, "minItems": 1}))


def _listed(schema: dict[str, Any], each: Look) -> Look:
    says = f"a list, each {each.says}" if each.says else ""
    return Look(says, schema, lambda values: [each.typed(value) for value in values])


def _either(short: dict[str, Any], full: dict[str, Any]) -> dict[str, Any]:
    return {"anyOf": [*(short["anyOf"] if set(short) == {"anyOf"} else [short]), full]}


def look_of_single(kind: Kind[Any]) -> Look:
    """What a single value looks like; raises LookupError where its reader does not say."""
    if isinstance(kind, Choice):
        return _choice(kind.names)
    if isinstance(kind, Sized):
        return _length(kind)
    if not isinstance(kind, Single):
        raise LookupError(f"{kind!r} does not say what its values look like")
    look = look_of(kind.reader)
    return (
        Look(look.says, {**look.schema, "patternErrorMessage": f"Write {look.says}"}, look.typed)
        if "pattern" in look.schema
        else look
    )


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


def _length(kind: Sized[Any]) -> Look:
    """A length: a bare number is in either unit, so the bounds that no unit could save it from are all that hold."""
    bounds = {
        "minimum": float(Fraction(int(Fraction(kind.least) / INCH * 1000), 1000)),
        "maximum": float(Fraction(kind.most)),
    }
    if kind.word:
        schema = {"$ref": f"#/$defs/length-or-{kind.word}", **bounds, "examples": [kind.word]}
        return Look(f"a length or {kind.word}", schema, _typed_length)
    return Look("a length", {"$ref": "#/$defs/length", **bounds}, _typed_length)


def _typed_length(length: Length | None) -> Any:
    if length is None:
        return None
    inches = length.mm / INCH
    if inches == 0:
        return 0
    return f"{fraction_text(inches) if inches.denominator in (1, 2, 4, 8, 16, 32, 64) else plain(inches)} in"


def _default(key: Key[Any], look: Look) -> Any:
    if key.needed or key.default is None or isinstance(key.default, Section):
        return None
    return look.typed(key.default)


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

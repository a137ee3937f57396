"""A spec in full: every value that counts, as typed or as it is where it was left out, and beside it where it is from.

What comes of it is a spec itself, of one car in one file, and resolves to the very same car.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from cabdraw.cab import Cab
from cabdraw.errors import Path
from cabdraw.frozen import Frozen
from cabdraw.rational import Fraction
from cabdraw.spec import Document
from cabdraw.spec.fields import as_typed
from cabdraw.spec.schema import BandSize, Handrail, LayoutWall, Panel, RailSection, Section, StackItem
from cabdraw.spec.tree import Mapping as Keys
from cabdraw.spec.tree import Node, Scalar, Sequence, Source, shown_name
from cabdraw.units import Length, NotALength, System, decimal_text, length_text, mm, parse_length, with_unit

DEFAULT = "default"
#: Keys of which a section has one, or, of a rail's height, none where a backer says it: not to be filled in besides.
CHOICES = {
    Panel: ("thickness", "layers"),
    LayoutWall: ("panels", "widths"),
    RailSection: ("round", "flat"),
    Handrail: ("centre", "rail_top"),
}
#: As far as a survey may be off as a tolerance; its uncertainty, which stands for it, may be more.
MOST_SURVEY = mm(25)
#: Where comments begin, if what they stand beside leaves room.
COLUMN = 48
#: Lists no longer than this stand in one line.
WIDEST = 72
#: Texts that YAML reads as they stand, wherever they stand.
_PLAIN = re.compile(
    r"[A-Za-z0-9.½¼¾](?:[A-Za-z0-9 ./'\"%+*=_()°½¼¾\u00c0-\u024f-]*[A-Za-z0-9./'\"%°½¼¾\u00c0-\u024f])?"
)


class Line(Frozen):
    """A line of a spec: how far in, its text, and what stands in the comment beside it."""

    level: int
    text: str
    comment: str = ""


def complete_text(document: Document, cab: Cab | None) -> str:
    """A car's spec in full as YAML; without what rests on sizes where no `cab` comes of it."""
    said = shown_name(document.source.name)
    which = f"Car {document.car} of {said}" if document.car is not None else said
    head = f"# {which} in full, each value with the line that it is from. A spec itself, for the same folder.\n"
    return head + "".join(map(_text, _Writer(document, derived(document, cab)).lines()))


def _text(line: Line) -> str:
    text = "  " * line.level + line.text
    return (f"{text.ljust(COLUMN)}  # {line.comment}" if line.comment else text) + "\n"


def derived(document: Document, cab: Cab | None) -> dict[Path, Any]:
    """What is left out of a spec and yet has a size or a name, by its path, as the car that comes of it has it."""
    if cab is None:
        return {}
    spec = document.spec
    found: dict[Path, Any] = {
        ("increment",): cab.increment,
        ("install", "tile"): cab.tile,
        ("install", "level_line"): cab.site.level_line,
    }
    if spec.labels is not None:
        found |= {("labels", key): getattr(cab.site.labels, key) for key in ("paper", "left", "top")}
    if cab.tolerances is not None:
        found |= {("tolerances", key): getattr(cab.tolerances, key) for key in ("cutting", "survey", "setting", "gap")}
    for name, profile in cab.practice.profiles:
        here: Path = ("profiles", name)
        found |= {(*here, "thickness"): profile.thickness, (*here, "radius"): profile.radius}
        if profile.method == "k-factor":
            found[*here, "k"] = profile.k
    for band, finish in cab.finishes.items():
        found["finishes", band, "code"] = finish.code
    for wall, finishes in cab.wall_finishes.items():
        found |= {("finishes", "walls", wall, band, "code"): finish.code for band, finish in finishes.items()}
    placings = [wall.rail.placing for wall in cab.walls.values() if wall.rail is not None]
    if placings:
        found["handrail", "min_spacing"] = placings[0].least_spacing
        if placings[0].by != "rule":
            found["handrail", "min_overhang"] = placings[0].least_overhang
            found["handrail", "max_overhang"] = placings[0].greatest_overhang
    return {path: value for path, value in found.items() if _sayable(path, value, spec.units)}


def _sayable(path: Path, value: Any, units: System) -> bool:
    """Whether a value can be typed: not one of more digits than the format takes, or beyond what a key may be."""
    if not isinstance(value, Length):
        return value is not None
    try:
        exact = parse_length(length_text(value, units), units) == value
    except NotALength:
        return False
    return exact and (path != ("tolerances", "survey") or value <= MOST_SURVEY)


class _Writer:
    """Writes the lines of one spec."""

    def __init__(self, document: Document, derived: Mapping[Path, Any]) -> None:
        self.document = document
        self.source: Source = document.source
        self.units: System = document.spec.units
        self.derived = derived

    def lines(self) -> Iterator[Line]:
        """Every line."""
        yield from self.section(self.document.spec, self.source.root, (), 0)

    def section(self, section: Section, node: Node | None, path: Path, level: int) -> Iterator[Line]:
        """The lines of a section's keys, in the order of the format; those without any value in a comment."""
        kind = type(section)
        entries = node.entries if isinstance(node, Keys) else {}
        lacking = []
        for name in kind.format_keys:
            value, here = getattr(section, name), (*path, name)
            if name in entries:
                yield from self.given(name, value, entries[name][1], here, level)
            elif here in self.derived:
                yield Line(level, f"{name}: {self.of(self.derived[here])}", DEFAULT)
            elif isinstance(section, BandSize) and name == "height":
                yield Line(level, f"{name}: fill", DEFAULT)
            elif value is None or here == ("handrail", "min_spacing"):
                lacking.append(name)
            elif isinstance(value, Section):
                below = list(self.section(value, None, here, level + 1))
                if _says(below):
                    yield Line(level, f"{name}:")
                    yield from below
                else:
                    lacking.append(name)
            elif not (isinstance(section, BandSize) and not section.fills):
                # The share of a band that is no fill is none.
                yield Line(level, f"{name}: {self.default(kind, name, value)}", DEFAULT)
        lacking = [name for name in lacking if name not in CHOICES.get(kind, ())]
        if lacking and kind not in (StackItem, BandSize):
            yield from _left_out(lacking, level)

    def given(self, name: str, value: Any, node: Node, path: Path, level: int) -> Iterator[Line]:
        """The lines of a key that a file gives."""
        if isinstance(value, Section) and self.opened(value, node):
            below = list(self.opens(value, node, path, level + 1))
            yield Line(level, f"{name}:" if _says(below) else f"{name}: {{}}", "" if _says(below) else _from(node))
            yield from below
        elif isinstance(node, Sequence):
            yield from self.listed(f"{name}:", value, node, path, level)
        else:
            yield Line(level, f"{name}: {self.typed(node, value)}", _from(node))

    def opened(self, section: Section, node: Node) -> bool:
        """Whether a section is written key by key: also one given as a single value, where more than that counts."""
        return isinstance(node, Keys) or not isinstance(section, BandSize) or section.fills

    def opens(self, section: Section, node: Node, path: Path, level: int) -> Iterator[Line]:
        """The keys of a section; a single value that stands for a section is that of its first key."""
        if isinstance(node, Keys):
            yield from self.section(section, node, path, level)
            return
        first, *others = (name for name in section.format_keys)
        yield Line(level, f"{first}: {self.typed(node, getattr(section, first))}", _from(node))
        for name in others:
            value = getattr(section, name)
            if value is not None:
                yield Line(level, f"{name}: {self.default(type(section), name, value)}", DEFAULT)

    def listed(self, key: str, value: Any, node: Sequence, path: Path, level: int) -> Iterator[Line]:
        """The lines of a list: in one where it is short and stands in one, else an item a line."""
        values = value if isinstance(value, tuple) and len(value) == len(node.items) else (None,) * len(node.items)
        if all(isinstance(item, Scalar) and (item.line, item.file) == (node.items[0].line, node.items[0].file)
               and not isinstance(one, Section) for item, one in zip(node.items, values, strict=True)):  # fmt: skip
            items = [self.typed(item, one) for item, one in zip(node.items, values, strict=True)]
            text = f"{key} [{', '.join(items)}]"
            if len(text) <= WIDEST:
                yield Line(level, text, _from(node.items[0] if node.items else node))
                return
        yield Line(level, key)
        for index, (item, one) in enumerate(zip(node.items, values, strict=True)):
            if isinstance(one, Section):
                below = list(self.opens(one, item, (*path, index), level + 2))
                first, *rest = below
                yield Line(level + 1, f"- {first.text}", first.comment)
                yield from rest
            else:
                yield Line(level + 1, f"- {self.typed(item, one)}", _from(item))

    def typed(self, node: Node, value: Any) -> str:
        """A single value as it was typed; a length of a file in other units with its own."""
        assert isinstance(node, Scalar)
        if isinstance(value, BandSize):
            value = value.height
        if isinstance(value, tuple) and len(value) == 1:
            (value,) = value
        if isinstance(value, Length) and node.file in self.source.units:
            return quote(with_unit(node.text, self.source.units[node.file]))
        return quote(node.text)

    def default(self, section: type[Section], name: str, value: Any) -> str:
        """A key's default as one would type it."""
        found = as_typed(section.format_keys[name], value, self.units)
        return quote(found) if isinstance(found, str) else f"[{', '.join(map(quote, found))}]"

    def of(self, value: Any) -> str:
        """A value that was worked out, as one would type it."""
        if isinstance(value, Length):
            return length_text(value, self.units)
        return decimal_text(value, 9) if isinstance(value, Fraction) else quote(str(value))


def quote(text: str) -> str:
    """A text as YAML reads it: as it stands where that is sure, else in double quotes."""
    if _PLAIN.fullmatch(text):
        return text
    signs = ("\\" + sign if sign in '"\\' else sign if sign.isprintable() else f"\\U{ord(sign):08X}" for sign in text)
    return f'"{"".join(signs)}"'


def _from(node: Node) -> str:
    return f"{shown_name(node.file.name)}:{node.line}"


def _says(lines: list[Line]) -> bool:
    """Whether a section says anything; one that has no value but empty lists says nothing."""
    return any(not line.text.startswith("#") and not line.text.endswith(" []") for line in lines)


def _left_out(names: list[str], level: int) -> Iterator[Line]:
    """A comment, or several, with the keys of a section that have no value."""
    text = "# left out: "
    for index, name in enumerate(names):
        word = name + ("," if index + 1 < len(names) else "")
        if len(text) + len(word) > WIDEST:
            yield Line(level, text.rstrip())
            text = "#   "
        text += word + " "
    yield Line(level, text.rstrip())

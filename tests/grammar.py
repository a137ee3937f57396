"""Specs made from the format's own sections, so that a new key is tried without being told of it.

What fits a value is found by asking its kind: texts of a pool are tried, and the words that a refusal names.
"""

from __future__ import annotations

import copy
import re
import typing
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from hypothesis import strategies as st

from cabdraw.spec.said import sample
from cabdraw.spec.schema import Spec
from cabdraw.spec.section import Kind, ListOf, PairOf, Reading, Section, SectionOf
from cabdraw.units import System

#: A strategy's own way to draw from another.
Draw = Callable[[st.SearchStrategy[Any]], Any]

_LENGTHS = (
    "0", "0.02", "0.1", "1/64", "1/32", "1/16", "1/8", "5/32", "1/4", "3/8", "1/2", "3/4", "1", "1 1/2", "2", "3",
    "4", "6", "7/7", "10", "12", "12.5", "19", "20", "25.4", "30", "34 1/2", "36", "48", "68 1/8", "92 1/4", "100",
    "150", "180", "600", "900", "1200", "1730", "2360", "2500", "3000", "0.1mm", "0.5mm", "1mm", "2mm", "3 mm", "5mm",
    "8mm", "12mm", "19mm", "25mm", "40mm", "60mm", "90mm", "150mm", "300mm", "864mm", "1000mm", "2 m", "2.4m", "9m",
    "1/2\"", "4in", "2 ft", "7' 8-1/4\"", "20m",
    # Fractions that nobody types: denominators as large as the format lets them be, and prime to one another.
    "1/999999937", "12 999999935/999999937", "700.123456789mm", "2300 1/999999893 mm", "3/999983", "10000/997",
)  # fmt: skip
#: One text at least fits any value of the format.
POOL = (
    *_LENGTHS, "fill", "auto", "true", "no", "5", "7", "50", "99", "199", "10%", "33.333%", "0%", "100%", "3500 lb",
    "1600 kg", "0.001 kg", "999999999 kg", "45 lb/ft3", "720 kg/m3", "7.93 g/cm3", "300 ml", "10.1 fl oz", "2026-03-02",
    "0001-01-01", "9999-12-31", "1:10", "1:1", "1:500", '3/4" = 1\'-0"', "walnut", "#7a5538", "F1", "PL-2", "us-ada",
    "eu", "back", "left", "right", "2.5", "1.5", "0.4", "999999", ".000001", "45", "90", "135", "any text",
)  # fmt: skip
#: What fits nowhere, or only where a text does.
MISFITS = (
    "", " ", "~", "null", "-1", "1e9", "nan", "inf", "1/0", "999999999", "0x10", "010", "1:30", "١٢", "½", "1,5", "[]",
    "{}", "\ufeff", "x" * 10_000, "<script>", "=1+1", "../../etc", "\x00", "\ud800", "\u202e", "9" * 400, "a\nb", "&a",
)  # fmt: skip


@dataclass(frozen=True, eq=False)
class Slot:
    """What belongs at a place of the format: one of a section, a list of some kind, or a scalar."""

    section: type[Section] | None = None
    items: tuple[Slot, ...] = ()
    repeated: bool = False
    kind: Kind[Any] | None = None

    def fitting(self) -> tuple[str, ...]:
        """The texts that this scalar takes."""
        return _fitting(self)


@cache
def _fitting(slot: Slot) -> tuple[str, ...]:
    assert slot.kind is not None
    kind = slot.kind

    def takes(text: str, units: System) -> bool:
        reading = Reading(units)
        kind.read(text, (), reading)
        for mistake in reading.mistakes:
            words.extend(re.split(r", | or ", mistake.hint.partition("write one of ")[2]))
        return not reading.mistakes

    words: list[str] = []
    takes("no such word", "mm")
    tried = (*POOL, *dict.fromkeys(word.strip() for word in words if word.strip()))
    return tuple(text for text in tried if takes(text, "inch") or takes(text, "mm"))


@cache
def slots(section: type[Section]) -> dict[str, Slot]:
    """The keys of a section, and what belongs at each."""
    return {name: _slot(key.kind) for name, key in section.format_keys.items()}


def _slot(kind: Kind[Any]) -> Slot:
    if isinstance(kind, ListOf):
        return Slot(items=(_slot(kind.item),), repeated=True)
    if isinstance(kind, PairOf):
        return Slot(items=(_slot(kind.first), _slot(kind.second)))
    return Slot(section=kind.section) if isinstance(kind, SectionOf) else Slot(kind=kind)


@st.composite
def values(draw: Draw, slot: Slot, wild: bool = False, deep: int = 0) -> Any:
    """A value for a place; where `wild`, now and then one that does not belong there."""
    if wild and draw(st.integers(0, 24)) == 0:
        return draw(misplaced())
    if slot.section is not None:
        return draw(sections(slot.section, wild, deep + 1))
    if slot.repeated:
        most = draw(st.sampled_from((1, 2, 3, 3, 5, 12)))
        return draw(st.lists(values(slot.items[0], wild, deep), min_size=1, max_size=most))
    if slot.items:
        return [draw(values(item, wild, deep)) for item in slot.items]
    return draw(st.sampled_from(slot.fitting()))


@st.composite
def misplaced(draw: Draw) -> Any:
    """A value that belongs hardly anywhere."""
    what = draw(st.integers(0, 4))
    if what == 0:
        return draw(st.sampled_from(MISFITS))
    if what == 1:
        return draw(st.text(max_size=12))
    if what == 2:
        return [draw(st.sampled_from(POOL))] * draw(st.sampled_from((0, 1, 2, 200, 3000)))
    return {draw(st.sampled_from(("height", "walls", "<<", "x", "", "é"))): draw(st.sampled_from(POOL))}


@st.composite
def sections(draw: Draw, section: type[Section], wild: bool = False, deep: int = 0) -> dict[str, Any]:
    """A section with what it must have and some of what it may have."""
    told: dict[str, Any] = {}
    keys = slots(section)
    # A section of which one key is chosen out of several - a band, a rail's section - takes one.
    single = not any(key.needed for key in section.format_keys.values()) and draw(st.booleans())
    chosen = draw(st.sampled_from(list(keys)))
    for name, slot in keys.items():
        needed = section.format_keys[name].needed
        if needed or name == chosen or (not single and deep < 6 and draw(st.integers(0, 2)) == 0):
            told[name] = draw(values(slot, wild, deep))
    if wild and draw(st.integers(0, 30)) == 0:
        told[draw(st.sampled_from(("widht", "x", "<<", "", "cars", "include", "-")))] = draw(misplaced())
    return told


def fits(section: type[Section], told: Any, units: System) -> bool:
    """Whether a section is one, taken by itself."""
    reading = Reading(units)
    SectionOf(section).read(told, (), reading)
    return not reading.mistakes


@st.composite
def grown(draw: Draw, spec: dict[str, Any], changes: int) -> dict[str, Any]:
    """A spec with some sections and values put in or replaced, each fitting its place when looked at alone."""
    units = spec.get("units", "mm")
    for _ in range(changes):
        section: type[Section] = Spec
        place, keys = spec, slots(Spec)
        while True:
            name = draw(st.sampled_from([key for key in keys if key not in ("cabdraw", "units")]))
            slot, there = keys[name], place.get(name)
            if slot.section is not None and isinstance(there, dict) and draw(st.integers(0, 9)):
                section, place, keys = slot.section, there, slots(slot.section)
                continue
            if slot.repeated and slot.items[0].section is not None and isinstance(there, list) and draw(st.booleans()):
                inner = [item for item in there if isinstance(item, dict)]
                if inner:
                    section, place = slot.items[0].section, draw(st.sampled_from(inner))
                    keys = slots(section)
                    continue
            break
        new = draw(values(slot))
        for tried in ({**place, name: new}, {name: new}, {k: v for k, v in place.items() if k != name}):
            if fits(section, tried, units):
                place.clear()
                place.update(tried)
                break
    return spec


def smallest(units: str) -> dict[str, Any]:
    """The smallest spec that fits, of the format's own examples."""
    # A copy: what grows out of it must not change the examples.
    spec: dict[str, Any] = copy.deepcopy(sample(Spec, units))  # type: ignore[arg-type]
    spec["survey"] = {"height": spec["survey"]["height"], "walls": {"back": {"width": "1800mm"}}}
    spec["layout"]["walls"] = {"back": {"panels": "3"}}
    return {**spec, "units": units}


def texts(kind: type[Section] = Spec) -> Sequence[tuple[str, ...]]:
    """The path of every place that takes any text: keys, and 0 for the items of a list."""
    return tuple(_texts(Slot(section=kind), ()))


def _texts(slot: Slot, path: tuple[str, ...]) -> typing.Iterator[tuple[str, ...]]:
    if slot.section is not None:
        for name, inner in slots(slot.section).items():
            yield from _texts(inner, (*path, name))
    elif slot.items:
        yield from _texts(slot.items[0], (*path, "0"))
    elif "any text" in slot.fitting():
        yield path

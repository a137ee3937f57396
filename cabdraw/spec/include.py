"""Shared parts: the files that a spec includes and the cars that it holds, laid over one another into one tree a car.

The rule: what a file includes lies under it, and of several files the later lies over the earlier. Where one lies
over another, sections are merged key by key; anything else, a list too, is replaced whole; and `~` takes out what
lies under it. A car of `cars:` lies over all the rest.
"""

from __future__ import annotations

import os
import posixpath
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path as FilePath

from cabdraw.errors import BadSpec, Path, SpecError
from cabdraw.frozen import Frozen, replace
from cabdraw.spec.source import MOST_BYTES, MOST_VALUES, parse_source, read_bytes
from cabdraw.spec.tree import File, Mapping, Node, Scalar, Sequence, Source, place_of, spec_error
from cabdraw.units import System, quoted

#: Bounds on what is read together, the same file counted each time: a shop has a file or two, a job a dozen cars.
MOST_FILES = 50
MOST_LEVELS = 8
MOST_CARS = 99
MOST_TOGETHER = 100_000
#: Longest key of a car.
LONGEST_CAR = 40
#: What stands in a spec itself, and differs between none of its cars.
OF_SPEC = ("cabdraw", "units", "include", "cars")
ENDINGS = (".yaml", ".yml")
#: The keys that say which parts a spec has; they are gone from its tree once the parts lie over one another.
SHARED = {
    "include": "a file, or a list of files, that this one lies over key by key: a shop's own defaults",
    "cars": "several cars: a key for each, and below it what differs in that car",
}


class Parts(Frozen):
    """A spec with all that it includes, and its cars by their keys, none where it is one car."""

    base: Source
    cars: dict[str, Mapping]
    errors: tuple[SpecError, ...] = ()
    """Every reason why they make no spec; then this is what could be read of it."""
    units_settled: bool = True
    """Whether its files do not contradict one another in which units they are."""

    def car(self, name: str | None = None) -> Source:
        """The tree of one car, or of the spec where it holds one."""
        if name is None:
            return self.base
        flaws: list[SpecError] = []
        over, root = self.cars[name], self.base.root
        merged = replace(laid_over(root, over, flaws), line=root.line, column=root.column, file=root.file)
        return replace(self.base, root=merged, flaws=(*self.base.flaws, *flaws))


def laid_over(lower: Mapping, upper: Mapping, flaws: list[SpecError], path: Path = ()) -> Mapping:
    """One section over another, by the rule; a `~` that takes out nothing is added to the flaws."""
    entries = dict(lower.entries)
    for name, (key, value) in upper.entries.items():
        here = (*path, name)
        under = entries[name][1] if name in entries else None
        if _takes_out(value):
            if entries.pop(name, None) is None:
                flaws.append(_nothing(value, here))
        elif isinstance(value, Mapping) and isinstance(under, Mapping):
            entries[name] = key, laid_over(under, value, flaws, here)
        else:
            entries[name] = key, _cleared(value, here, flaws)
    return Mapping(entries, upper.line, upper.column, upper.file)


def _takes_out(node: Node) -> bool:
    return isinstance(node, Scalar) and node.plain and node.text == "~"


def _cleared(node: Node, path: Path, flaws: list[SpecError]) -> Node:
    """What lies over nothing, without what would take out of it."""
    if not isinstance(node, Mapping):
        return node
    entries = {}
    for name, (key, value) in node.entries.items():
        if _takes_out(value):
            flaws.append(_nothing(value, (*path, name)))
        else:
            entries[name] = key, _cleared(value, (*path, name), flaws)
    return replace(node, entries=entries)


def _nothing(node: Node, path: Path) -> SpecError:
    what = '"~" takes out what an included file or the rest of the spec says here, and none says anything'
    return _error(node, path, what, "take the line out; is the key right?")


def _error(node: Node, path: Path, what: str, hint: str) -> SpecError:
    at = place_of(node)
    return spec_error(at.file, at.line, at.column, path, what, hint)


def gather(source: Source) -> Parts:
    """A spec's file with all that it includes, and every reason why they make no spec."""
    reading = _Reading(source)
    reading.lay(source, 0)
    before = len(reading.errors)
    reading.settle_units()
    settled = len(reading.errors) == before
    cars = reading.cars()
    errors = (*reading.flaws(), *reading.errors) if reading.errors else ()
    return Parts(reading.whole(reading.merged()), cars, errors, settled)


def included(source: Source) -> Iterator[tuple[Path, Node]]:
    """Each value under a file's own `include`, with its path."""
    if "include" not in source.root.entries:
        return
    _, given = source.root.entries["include"]
    if not isinstance(given, Sequence):
        yield ("include",), given
        return
    for index, item in enumerate(given.items):
        yield ("include", index), item


@dataclass(slots=True)
class _Reading:
    """Reads a spec's files, and keeps every error with its place."""

    spec: Source
    layers: list[Source] = field(default_factory=list)
    files: list[File] = field(default_factory=list)
    errors: list[SpecError] = field(default_factory=list)
    read: dict[str, Source | None] = field(default_factory=dict)
    ring: list[tuple[str, File]] = field(default_factory=list)
    units: dict[File, System] = field(default_factory=dict)
    silent: list[tuple[Source, dict[System, File]]] = field(default_factory=list)
    bytes: int = 0
    values: int = 0
    count: int = 0

    @property
    def folder(self) -> FilePath:
        """The spec's own folder, which the names of its files are seen from."""
        return self.spec.files[0].path.parent

    def lay(self, source: Source, level: int) -> dict[System, File]:
        """Lay a file over those before it, after all that it includes; the units that it and they state."""
        file = source.files[0]
        if file not in self.files:
            self.files.append(file)
            self.check_own(source, level)
        self.ring.append((os.path.realpath(file.path), file))
        stated: dict[System, File] = {}
        for path, node in included(source):
            part = self.part(source, node, path, level)
            if part is not None:
                stated = self.lay(part, level + 1) | stated
        self.ring.pop()
        self.layers.append(source)
        if file in self.units:
            return {self.units[file]: file}
        if stated:
            self.silent.append((source, stated))
        return stated

    def part(self, source: Source, node: Node, path: Path, level: int) -> Source | None:
        """The file that a value names, as it is included; None where it cannot be, and then that has been noted."""
        wrong = _wrong_name(node)
        if wrong is None:
            assert isinstance(node, Scalar)
            self.count += 1
            if self.count > MOST_FILES:
                wrong = f"more than {MOST_FILES} files are included up to here", "a shop has a file or two"
            elif level >= MOST_LEVELS:
                wrong = f"files include one another more than {MOST_LEVELS} deep here", "include it further up"
        if wrong is not None:
            # One word is enough of a spec that names too many.
            if self.count <= MOST_FILES + 1:
                self.errors.append(_error(node, path, *wrong))
            return None
        assert isinstance(node, Scalar)
        file = beside(source.files[0], node.text, self.folder)
        real = os.path.realpath(file.path)
        rings = [number for number, (other, _) in enumerate(self.ring) if other == real]
        if rings:
            ring = " includes ".join(quoted(each.name, 80) for _, each in [*self.ring[rings[0] :], self.ring[rings[0]]])
            self.errors.append(_error(node, path, f"the files go round in a ring: {ring}", "take one include out"))
            return None
        if real not in self.read:
            self.read[real] = self.opened(file, node, path)
        found = self.read[real]
        if found is not None:
            self.values += found.values
            if self.spec.values + self.values > MOST_VALUES or self.spec.size + self.bytes > MOST_BYTES:
                what = f"with this file the spec holds more than 1 MB or {MOST_VALUES:,} values, and no spec does"
                self.errors.append(_error(node, path, what, "is this the right file?"))
                return None
        return found

    def opened(self, file: File, node: Node, path: Path) -> Source | None:
        """A file that is to be included, read for the first time."""
        try:
            found = parse_source(read_bytes(file.path, file.name), file.name, file.path)
            self.bytes += found.size
            return found
        except BadSpec as bad:
            for error in bad.errors:
                if error.line:
                    self.errors.append(error)
                else:
                    what = f"{quoted(file.name, 80)} cannot be included: {error.what}"
                    self.errors.append(_error(node, path, what, error.hint or "is the name right?"))
        return None

    def check_own(self, source: Source, level: int) -> None:
        """What a file says of itself: its version and units, and that no part of a spec holds cars."""
        entries, file = source.root.entries, source.files[0]
        if "units" in entries:
            _, node = entries["units"]
            word = node.text.strip().lower() if isinstance(node, Scalar) else ""
            if word in ("inch", "mm"):
                self.units[file] = "inch" if word == "inch" else "mm"
            elif level:
                what = f"{_said(node)} is not known here"
                self.errors.append(_error(node, ("units",), what, "write one of inch, mm"))
        if not level:
            return
        if "cabdraw" in entries:
            _, node = entries["cabdraw"]
            if not isinstance(node, Scalar) or node.text.strip() != "1":
                what = f"{_said(node)} is not a version of the format that this cabdraw knows"
                hint = "it reads version 1; a part of a spec need not say"
                self.errors.append(_error(node, ("cabdraw",), what, hint))
        if "cars" in entries:
            key, _ = entries["cars"]
            hint = "put them in the spec that includes this file"
            self.errors.append(_error(key, ("cars",), "cars stand in a spec itself, not in a part of one", hint))

    def settle_units(self) -> None:
        """Whether it is sure which units the bare numbers of each file are in that does not say so itself."""
        of_spec = self.units.get(self.spec.files[0])
        stated = next((stated for source, stated in self.silent if source is self.spec), {})
        if of_spec is None and len(stated) == 1:
            of_spec = next(iter(stated))
        for source, others in self.silent:
            own = source.root.entries.get("units")
            other = [system for system in others if system != of_spec]
            if own is not None or not other or (source is not self.spec and of_spec is None):
                continue
            node = next(node for _, node in included(source))
            if source is self.spec:
                said = " and ".join(f"{quoted(file.name, 80)} in {system}" for system, file in others.items())
                what = f"the files here are in different units, {said}, and this spec states none of its own"
            else:
                said = quoted(others[other[0]].name, 80)
                what = f"{said} is in {other[0]}, the spec in {of_spec}, and this file states no units of its own"
            self.errors.append(_error(node, ("include",), what, "write e.g. units: inch at its top"))

    def cars(self) -> dict[str, Mapping]:
        """The cars of the spec by their keys, each of which can be a part of a folder's name."""
        if "cars" not in self.spec.root.entries:
            return {}
        key, given = self.spec.root.entries["cars"]
        top: Path = ("cars",)
        if not isinstance(given, Mapping) or not given.entries:
            what = "names no car" if isinstance(given, Mapping) else f"{_said(given)} names no cars"
            hint = "write a key for each car, e.g. car-1:, and below it what differs in that car"
            self.errors.append(_error(given, top, what, hint))
            return {}
        values = len(given.entries) * (self.values + self.spec.values)
        if len(given.entries) > MOST_CARS or values > MOST_TOGETHER:
            what = f"holds more than {MOST_CARS} cars, or cars of more than {MOST_TOGETHER:,} values in all"
            self.errors.append(_error(key, top, what, "spread them over several files, and include what they share"))
            return {}
        found: dict[str, Mapping] = {}
        seen: dict[str, str] = {}
        for name, (named, node) in given.entries.items():
            here = (*top, name)
            if said := _wrong_car(name):
                self.errors.append(_error(named, here, *said))
            elif (twin := seen.setdefault(name.casefold(), name)) != name:
                what = f"{quoted(name)} and {quoted(twin)} would be drawn into one folder on some disks"
                self.errors.append(_error(named, here, what, "call one of them something else"))
            if isinstance(node, Mapping):
                found[name] = node
                for word in OF_SPEC:
                    if word in node.entries:
                        what = f"{quoted(word)} does not differ between cars"
                        self.errors.append(_error(node.entries[word][0], here, what, "write it at the top of the file"))
            else:
                what = f"{_said(node)}, but what differs in this car belongs here"
                self.errors.append(_error(node, here, what, "write its keys below it, or {} where nothing differs"))
        return found

    def merged(self) -> Mapping:
        """All layers over one another, without what a file says of itself alone."""
        flaws: list[SpecError] = []
        below: Mapping | None = None
        for layer in self.layers:
            apart = ("include", "cars") if layer is self.spec else ("include", "cars", "cabdraw")
            entries = {name: entry for name, entry in layer.root.entries.items() if name not in apart}
            if layer is not self.spec and "rules" in entries:
                key, listed = entries["rules"]
                entries["rules"] = key, _seen_from_spec(listed, self.folder)
            own = replace(layer.root, entries=entries)
            below = own if below is None else laid_over(below, own, flaws)
        assert below is not None
        self.spec = replace(self.spec, flaws=(*self.spec.flaws, *flaws))
        return below

    def flaws(self) -> tuple[SpecError, ...]:
        """What is wrong with the files themselves."""
        parts = dict.fromkeys(flaw for layer in self.layers for flaw in layer.flaws)
        return tuple(dict.fromkeys((*self.spec.flaws, *parts)))

    def whole(self, root: Mapping) -> Source:
        """The tree of the spec with all that is known of its files."""
        own = _units_of(root)
        units = {file: system for file, system in self.units.items() if system != own}
        units.pop(self.spec.files[0], None)
        return replace(self.spec, root=root, flaws=self.flaws(), files=tuple(self.files), units=units)


def _units_of(root: Mapping) -> str:
    _, node = root.entries.get("units", (None, None))
    return node.text.strip().lower() if isinstance(node, Scalar) else ""


def beside(file: File, text: str, folder: FilePath) -> File:
    """The file that a text in another file names, relative to that one; `folder` is the spec's own."""
    name = posixpath.join(posixpath.dirname(file.name), text.strip())
    tidy = posixpath.normpath(name)
    # Through a link, a/../b need not be b.
    if os.path.realpath(folder / tidy) == os.path.realpath(folder / name):
        name = tidy
    return File(name, folder / name)


def _seen_from_spec(node: Node, folder: FilePath) -> Node:
    """The rules that a part of a spec names, files of a shop's own as they are seen from the spec."""
    if isinstance(node, Sequence):
        return replace(node, items=[_seen_from_spec(item, folder) for item in node.items])
    if isinstance(node, Scalar) and node.text.strip().lower().endswith(ENDINGS):
        return replace(node, text=beside(node.file, node.text, folder).name)
    return node


def _wrong_name(node: Node) -> tuple[str, str] | None:
    """Why a value names no file to include, and what to write; None if it does."""
    text = node.text.strip() if isinstance(node, Scalar) else ""
    hint = "write the name of a part of the spec, relative to this file, e.g. include: shop.yaml"
    if not isinstance(node, Scalar) or not text:
        return f"{_said(node)}, but the name of a file belongs here", hint
    if not text.lower().endswith(ENDINGS) or not text.isprintable() or len(text) > 300:
        return f"{quoted(text)} is not the name of a .yaml or .yml file", hint
    if "\\" in text:
        return f"{quoted(text)} is not a name that every computer reads", "write / between folders"
    if text.startswith(("/", "~")) or text[1:2] == ":":
        return f"{quoted(text)} is a place on one computer", hint
    return None


def _wrong_car(name: str) -> tuple[str, str] | None:
    """Why no car can be called so, and what to write; None if one can."""
    fit = all(sign.isalnum() or sign in "-_" for sign in name) and name[:1].isalnum() and name.isprintable()
    if fit and len(name) <= LONGEST_CAR:
        return None
    what = f"{quoted(name)} cannot be a part of a folder's name, which a car's key is"
    return what, f"write at most {LONGEST_CAR} letters, digits, - and _, e.g. car-2; its full name stands in job.car"


def _said(node: Node) -> str:
    if isinstance(node, Scalar):
        return quoted(node.text.strip()) if node.text.strip() else "is empty"
    return "a list" if isinstance(node, Sequence) else "a section with keys"

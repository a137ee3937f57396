"""What a spec's text comes to: mappings, lists, and scalars as they were typed, each knowing where it stands."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from collections.abc import Mapping as Table
from pathlib import Path as FilePath
from typing import Any

from cabdraw.errors import BadSpec, Path, SpecError, path_text
from cabdraw.frozen import Frozen, field
from cabdraw.units import System, quoted


class File(Frozen):
    """A file that was read: what errors call it, as seen from the spec's folder, and where it really is."""

    name: str
    path: FilePath


class Where(Frozen):
    """A place in a file: what errors call the file, line and column from 1, and where the file really is."""

    file: str
    line: int
    column: int
    path: FilePath


class Typed(str):
    """A text of a file whose bare numbers are in other units than the spec's."""

    __slots__ = ("units",)
    units: System

    @staticmethod
    def of(text: str, units: System) -> Typed:
        """A text that knows its units."""
        typed = Typed(text)
        typed.units = units
        return typed


class Scalar(Frozen):
    """A single value as the text that was typed; `plain` means that it stood without quotes."""

    text: str
    line: int
    column: int
    plain: bool
    file: File


class Sequence(Frozen):
    """A list."""

    items: list[Node]
    line: int
    column: int
    file: File


class Mapping(Frozen):
    """Keys and their values, each key with its own place."""

    entries: dict[str, tuple[Scalar, Node]]
    line: int
    column: int
    file: File


Node = Scalar | Sequence | Mapping


class Source(Frozen):
    """A spec as typed: the name it goes by in errors, its tree, and what is wrong with the tree itself.

    `files` lists every file that the tree is of, the spec first; `units` has those of files that are not the spec's;
    `size` is in bytes, `values` counts with every alias written out.
    """

    name: str
    root: Mapping
    flaws: tuple[SpecError, ...] = ()
    files: tuple[File, ...] = ()
    units: Table[File, System] = field(default_factory=dict)
    size: int = 0
    values: int = 0

    def plain(self) -> dict[str, Any]:
        """The tree as plain dicts, lists and texts; a text whose bare numbers are in other units is `Typed`."""
        found = _plain(self.root, self.units)
        assert isinstance(found, dict)
        return found

    def existing(self, path: Path) -> Path:
        """As much of a path as is really there."""
        return path[: sum(1 for _ in self._walk(path)) - 1]

    def node(self, path: Path) -> Node:
        """What stands at a path, or at its nearest ancestor that is there."""
        *_, (_, found) = self._walk(path)
        return found

    def where(self, path: Path) -> Where:
        """File, line and column, from 1, of the value at a path, or of its nearest ancestor that is there."""
        return place_of(self.node(path))

    def key_where(self, path: Path) -> Where:
        """File, line and column of the key at a path; of the value where it has no key, in a list or at the top."""
        *_, (key, found) = self._walk(path)
        return place_of(found if key is None else key)

    def place(self, path: Path) -> tuple[int, int]:
        """Line and column of the value at a path, or of its nearest ancestor that is there; `where` has the file."""
        found = self.node(path)
        return found.line, found.column

    def key_place(self, path: Path) -> tuple[int, int]:
        """Line and column of the key at a path, as `key_where`."""
        found = self.key_where(path)
        return found.line, found.column

    def in_order(self, errors: Iterable[SpecError]) -> list[SpecError]:
        """Errors sorted by place: the files as they were read, then lines; each said once."""
        place = {shown_name(file.name): number for number, file in enumerate(self.files)}
        last = len(place)
        return sorted(dict.fromkeys(errors), key=lambda e: (place.get(e.file, last), e.line, e.column))

    def _walk(self, path: Path) -> Iterator[tuple[Scalar | None, Node]]:
        node: Node = self.root
        yield None, node
        for step in path:
            if isinstance(node, Mapping) and isinstance(step, str) and step in node.entries:
                key, node = node.entries[step]
                yield key, node
            elif isinstance(node, Sequence) and isinstance(step, int) and 0 <= step < len(node.items):
                node = node.items[step]
                yield None, node
            else:
                return


def place_of(node: Node) -> Where:
    """Where a node stands."""
    return Where(node.file.name, node.line, node.column, node.file.path)


def _plain(node: Node, units: Table[File, System]) -> Any:
    if isinstance(node, Scalar):
        return Typed.of(node.text, units[node.file]) if units and node.file in units else node.text
    if isinstance(node, Sequence):
        return [_plain(item, units) for item in node.items]
    return {key: _plain(value, units) for key, (_, value) in node.entries.items()}


def refused(name: str, what: str, hint: str = "", line: int = 0, column: int = 0, path: Path = ()) -> BadSpec:
    """A spec refused for one reason."""
    return BadSpec((spec_error(name, line, column, path, what, hint),))


def spec_error(name: str, line: int, column: int, path: Path, what: str, hint: str) -> SpecError:
    """An error whose name and path are fit to be shown, whatever the file and its keys are called."""
    steps = tuple(step if isinstance(step, int) else quoted(step)[1:-1] for step in path)
    return SpecError(shown_name(name), line, column, path_text(steps), what, hint)


def shown_name(name: str) -> str:
    """A file's name as it stands in errors: shortened, and fit to be shown whatever it is called."""
    return quoted(name, 200)[1:-1]

"""From the text of a spec to its tree, which knows where each value stands.

The tree is built from parse events and bounded in size and depth, so that no file, however hostile, uses up
memory or stack. This is the only place that knows YAML.
"""

from __future__ import annotations

import errno
import os
import re
import stat
from dataclasses import dataclass, field
from pathlib import Path as FilePath
from typing import Any

import yaml

from cabdraw.errors import BadSpec, Path, SpecError
from cabdraw.frozen import Frozen, replace
from cabdraw.spec.syntax import explain
from cabdraw.spec.tree import File, Mapping, Node, Scalar, Sequence, Source, refused, spec_error
from cabdraw.units import quoted

#: Bounds on a file. A car's spec is a few kilobytes, nine levels deep.
MOST_BYTES = 1_000_000
MOST_DEPTH = 40
MOST_VALUES = 50_000

#: As many errors of one file as are worth reading.
MOST_ERRORS = 200

_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_AT_ONCE = getattr(os, "O_NONBLOCK", 0)
_CORE = "tag:yaml.org,2002:"
_SCALAR_TAGS = {"!", *(_CORE + kind for kind in ("str", "int", "float", "bool", "null", "timestamp"))}
_UNREADABLE = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def read_source(path: FilePath, name: str = "") -> Source:
    """Read a spec file; raises `BadSpec` where it cannot be read as one tree of keys and values.

    `name` is what errors call the file if that is not the end of its path.
    """
    name = name or path.name or str(path)
    return parse_source(read_bytes(path, name), name, path)


def read_bytes(path: FilePath, name: str) -> bytes:
    """The bytes of a file on a disk, up to one more than a spec may have; raises `BadSpec`, also for a pipe."""
    try:
        # Without a wait for whoever writes into a pipe: a file comes all the same.
        with open(path, "rb", opener=lambda name, flags: os.open(name, flags | _AT_ONCE)) as file:
            if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
                raise refused(name, "is no file on a disk", "name a file that ends in .yaml")
            return file.read(MOST_BYTES + 1)
    except IsADirectoryError:
        raise refused(name, "is a folder, not a file", "name the spec file in it") from None
    except (OSError, ValueError) as problem:
        raise refused(name, *why_unread(problem)) from None


def why_unread(problem: Exception) -> tuple[str, str]:
    """Why a file cannot be opened and read, in plain words, and what would mend it, if anything."""
    number = problem.errno if isinstance(problem, OSError) else None
    if number == errno.ENOENT:
        return "there is no such file", ""
    if number in (errno.EACCES, errno.EPERM):
        return "may not be read", "check the file's permissions"
    if number == errno.ELOOP:
        return "is a link that leads round to itself", "name the file itself"
    if number == errno.ENOTDIR:
        return "there is no such file", "a file stands on the way to it, where a folder belongs"
    if number == errno.ENAMETOOLONG:
        return "there is no such file", "no file can have a name as long as this"
    said = problem.strerror if isinstance(problem, OSError) else None
    return "cannot be read" + (f": {said.lower()}" if said else ""), ""


def parse_source(data: bytes, name: str, path: FilePath | None = None) -> Source:
    """Read a spec's bytes; `name` is what errors call the file, `path` where it is. Raises `BadSpec`."""
    if len(data) > MOST_BYTES:
        raise refused(name, "is larger than 1 MB, and no spec is", "is this the right file?")
    text = _decoded(data, name)
    if found := _UNREADABLE.search(text):
        line, column = _line_column(text, found.start())
        what = f"the character U+{ord(found[0]):04X} stands here, which no text has"
        raise refused(name, what, "take it out; is this a text file?", line, column)
    # Every such line is compared with every other one, and no spec needs any.
    if len(re.findall(r"^%", text, re.MULTILINE)) > 20:
        raise refused(name, "too many lines begin with %", "take them out")
    return replace(_Builder(File(name, FilePath(name) if path is None else path), text).build(), size=len(data))


def _decoded(data: bytes, name: str) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise refused(name, "is UTF-16 text, and a spec is UTF-8", "save it again as UTF-8", 1, 1)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        # The decoder counts from after a byte order mark.
        start = error.start + (3 if data.startswith(b"\xef\xbb\xbf") else 0)
        before = data[:start].decode("utf-8-sig", "replace")
        line, column = _line_column(before, len(before))
        what = f"the byte 0x{data[start]:02X} here, number {start + 1} of the file, is not UTF-8 text"
        raise refused(name, what, "save the file again as UTF-8", line, column) from None


def _line_column(text: str, at: int) -> tuple[int, int]:
    before = re.split(r"\r\n|[\r\n\x85\u2028\u2029]", text[:at])
    return len(before), len(before[-1]) + 1


@dataclass(slots=True)
class _Open:
    """A mapping or list that is not yet complete."""

    node: Sequence | Mapping
    anchor: str | None
    counted: int
    merges: list[tuple[Scalar, Node]] = field(default_factory=list)
    key: Scalar | None = None
    bad_key: bool = False
    awaits_value: bool = False
    height: int = 1


class _Anchored(Frozen):
    """What an alias stands for, how many values that is written out, and how deep it goes."""

    node: Node
    size: int
    height: int


class _Builder:
    """Builds the tree from parse events with a stack of its own."""

    def __init__(self, file: File, text: str) -> None:
        self.file = file
        self.name = file.name
        self.text = text
        self.flaws: list[SpecError] = []
        self.open: list[_Open] = []
        self.anchors: dict[str, _Anchored | None] = {}
        self.count = 0
        self.root: Node | None = None

    def build(self) -> Source:
        """The tree; raises `BadSpec` at the first thing that leaves no tree to speak of."""
        documents = 0
        try:
            for event in yaml.parse(self.text, Loader=_LOADER):
                if isinstance(event, yaml.DocumentStartEvent):
                    documents += 1
                    if documents > 1:
                        self.stop(event, "a second document begins here, and a file holds one car", "take out the ---")
                elif isinstance(event, yaml.NodeEvent):
                    self.take(event)
                elif isinstance(event, yaml.CollectionEndEvent):
                    self.close()
        except yaml.MarkedYAMLError as error:
            marks = [(mark.line, mark.column) for mark in (error.problem_mark, error.context_mark) if mark is not None]
            line, column, what, hint = explain(self.text, error.problem or "", error.context or "", marks)
            raise refused(self.name, what, hint, line, column) from None
        except yaml.YAMLError:
            raise refused(self.name, "cannot be read as text", "is this the right file?") from None
        root = self.root
        if root is None or (isinstance(root, Scalar) and root.plain and not root.text):
            raise refused(self.name, "is empty", "a spec begins with the line cabdraw: 1")
        if not isinstance(root, Mapping):
            kind = "a list" if isinstance(root, Sequence) else f"the text {quoted(root.text)}"
            what = f"holds {kind}, but a spec is lines of key: value"
            raise refused(self.name, what, "begin with the line cabdraw: 1", root.line, root.column)
        return Source(self.name, root, tuple(self.flaws), (self.file,), values=self.count)

    def take(self, event: Any) -> None:
        """Take in a scalar, an alias, or the start of a mapping or list."""
        line, column = event.start_mark.line + 1, event.start_mark.column + 1
        if isinstance(event, yaml.AliasEvent):
            return self.put(*self.aliased(event))
        self.spend(1, event)
        self.check_tag(event)
        if isinstance(event, yaml.ScalarEvent):
            text = event.value
            if found := re.search("[\ud800-\udfff]", text):
                self.flaw(line, column, f"the character U+{ord(found[0]):04X} stands here, which no text has", "")
                text = text.replace(found[0], "\ufffd")
            scalar = Scalar(text, line, column, not event.style, self.file)
            if event.anchor:
                self.anchors[event.anchor] = _Anchored(scalar, 1, 0)
            return self.put(scalar, 0)
        if len(self.open) >= MOST_DEPTH:
            self.stop(
                event, f"sections are nested more than {MOST_DEPTH} deep here", "no spec is; look at the brackets"
            )
        if event.anchor:
            self.anchors[event.anchor] = None
        is_list = isinstance(event, yaml.SequenceStartEvent)
        node: Sequence | Mapping
        node = Sequence([], line, column, self.file) if is_list else Mapping({}, line, column, self.file)
        self.open.append(_Open(node, event.anchor, self.count - 1))

    def close(self) -> None:
        """The innermost mapping or list is complete."""
        done = self.open.pop()
        if isinstance(done.node, Mapping):
            for key, value in done.merges:
                self.merge(done.node, key, value)
        if done.anchor:
            self.anchors[done.anchor] = _Anchored(done.node, self.count - done.counted, done.height)
        self.put(done.node, done.height)

    def put(self, node: Node, height: int) -> None:
        """Put a complete value, so many levels high, where it belongs."""
        if not self.open:
            self.root = node
            return
        inside = self.open[-1]
        inside.height = max(inside.height, height + 1)
        if isinstance(inside.node, Sequence):
            inside.node.items.append(node)
        elif not inside.awaits_value:
            self.put_key(inside, node)
        else:
            key, inside.awaits_value = inside.key, False
            if inside.bad_key or key is None:
                return
            if key.text == "<<" and key.plain:
                inside.merges.append((key, node))
            elif key.text in inside.node.entries:
                first = inside.node.entries[key.text][0]
                what = f"{quoted(key.text)} is given twice"
                self.flaw(key.line, key.column, what, f"it stands at {first.line}:{first.column} too; keep one of them")
            else:
                inside.node.entries[key.text] = (key, node)

    def put_key(self, inside: _Open, node: Node) -> None:
        """A complete key: a text, or else an error and its value is passed over."""
        inside.awaits_value, inside.bad_key = True, not isinstance(node, Scalar)
        if isinstance(node, Scalar):
            inside.key = node
            return
        kind = "a list" if isinstance(node, Sequence) else "another section"
        inside.key = None
        self.flaw(
            node.line, node.column, f"{kind} stands here in place of a key", "put a text that holds [ or { in quotes"
        )

    def merge(self, into: Mapping, key: Scalar, value: Node) -> None:
        """Take over the entries of a mapping, or of each in a list, that are not there already."""
        for other in value.items if isinstance(value, Sequence) else [value]:
            if not isinstance(other, Mapping):
                hint = "write e.g. <<: *name, where &name marks a section"
                self.flaw(key.line, key.column, '"<<" takes over the keys of a section, and this is none', hint)
                return
            for text, entry in other.entries.items():
                into.entries.setdefault(text, entry)

    def aliased(self, event: Any) -> tuple[Node, int]:
        """What an alias stands for, and its height."""
        alias = quoted("*" + event.anchor)
        if event.anchor not in self.anchors:
            self.stop(event, f"{alias} stands for nothing", f"no {quoted('&' + event.anchor)} comes before it")
        found = self.anchors[event.anchor]
        if found is None:
            self.stop(event, f"{alias} stands for the very section that it is in", "write its keys out")
        assert found is not None
        if len(self.open) + found.height > MOST_DEPTH:
            self.stop(event, f"with {alias} sections are nested more than {MOST_DEPTH} deep", "write its keys out")
        self.spend(found.size, event)
        return found.node, found.height

    def spend(self, values: int, event: Any) -> None:
        """Count values as they would be with every alias written out."""
        self.count += values
        if self.count > MOST_VALUES:
            self.stop(event, f"the file holds more than {MOST_VALUES:,} values up to here, and no spec does",
                      "is this the right file?")  # fmt: skip

    def check_tag(self, event: Any) -> None:
        """Values are what the format says, so a tag can only agree or be wrong."""
        fits = {yaml.SequenceStartEvent: {"!", _CORE + "seq"}, yaml.MappingStartEvent: {"!", _CORE + "map"}}
        if event.tag is None or event.tag in fits.get(type(event), _SCALAR_TAGS):
            return
        tag = "!!" + event.tag.removeprefix(_CORE) if event.tag.startswith(_CORE) else event.tag
        line, column = event.start_mark.line + 1, event.start_mark.column + 1
        self.flaw(line, column, f"{quoted(tag)} cannot stand before a value here", "take it out")

    def flaw(self, line: int, column: int, what: str, hint: str) -> None:
        """Note an error that leaves the rest readable."""
        if len(self.flaws) < MOST_ERRORS:
            self.flaws.append(spec_error(self.name, line, column, self.path(), what, hint))

    def stop(self, event: Any, what: str, hint: str) -> None:
        """Refuse the file for something that leaves no tree to speak of."""
        line, column = event.start_mark.line + 1, event.start_mark.column + 1
        errors = (*self.flaws, spec_error(self.name, line, column, self.path(), what, hint))
        raise BadSpec(errors)

    def path(self) -> Path:
        """Where the builder is, as keys and indexes from the top."""
        steps: list[str | int] = []
        for outer in self.open:
            if isinstance(outer.node, Sequence):
                steps.append(len(outer.node.items))
            elif outer.awaits_value and outer.key is not None:
                steps.append(outer.key.text)
        return tuple(steps) if len(steps) < MOST_DEPTH - 1 else ()

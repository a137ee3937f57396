"""The power goes while a package is put in place: what was not yet asked to be on the disk may be lost, all or some."""

from __future__ import annotations

import copy
import json
import os
import random
import shutil
import stat
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from cabdraw.place import disk, lock, new, put, put_in_place, whole
from cabdraw.place.exchange import exchange

OLD = {
    "resolved.json": b"old sizes",
    "drawings/back.svg": b"old back",
    "drawings/left.svg": b"left, the same in both",
    "site/drill-back.pdf": b"old template",
    "shop/sheets/a/1.dxf": b"old sheet",
    "only/old.csv": b"old list",
}
NEW = {
    "resolved.json": b"new sizes",
    "drawings/back.svg": b"new back",
    "drawings/left.svg": b"left, the same in both",
    "site/drill-back.pdf": b"new template",
    "shop/parts/a/1.dxf": b"new part",
    "shop/sheets/a/1.dxf": b"new sheet",
    "deep/er/and/deeper.csv": b"new list",
}
CHANCES = 3


#: What one call changes in folders, all of it or nothing: a folder, a name in it, and what has that name then.
Names = tuple[tuple[int, str, int | None], ...]


@dataclass
class Disk:
    """Files and folders by number: what stands in a folder, what is in a file; a file may have several names."""

    folders: dict[int, dict[str, int]] = field(default_factory=dict)
    files: dict[int, tuple[bytes, bytes]] = field(default_factory=dict)

    def name(self, names: Names) -> None:
        for folder, name, number in names:
            if number is None:
                self.folders[folder].pop(name, None)
            else:
                self.folders[folder][name] = number

    def leave(self, number: int, place: Path, lost: Callable[[], bool], known: dict[int, Path]) -> None:
        """Make it in a place; of a file, what was not asked to be kept may be lost."""
        if number in self.folders:
            place.mkdir()
            for name, each in self.folders[number].items():
                self.leave(each, place / name, lost, known)
        elif number in known:
            os.link(known[number], place)
        else:
            kept, written = self.files[number]
            place.write_bytes(kept if lost() else written)
            known[number] = place


class Log:
    """The os module, noting in order each thing that changes the disk or has it keep what was changed."""

    def __init__(self, base: Path) -> None:
        self.base = base
        self.count = 0
        self.disk = Disk()
        self.operations: list[tuple[Any, ...]] = []
        self.handles: dict[int, int] = {}
        self.found(base)
        self.before = copy.deepcopy(self.disk)

    def __getattr__(self, name: str) -> Any:
        return getattr(os, name)

    def found(self, place: Path) -> int:
        """Note what stands on the disk to begin with; the folder around all has the number 1."""
        number = self.made(place.is_dir())
        if place.is_dir():
            self.disk.folders[number] = {each.name: self.found(each) for each in place.iterdir()}
        else:
            self.disk.files[number] = (place.read_bytes(),) * 2
        return number

    def made(self, folder: bool) -> int:
        self.count += 1
        if folder:
            self.disk.folders[self.count] = {}
        else:
            self.disk.files[self.count] = (b"", b"")
        return self.count

    def at(self, path: Path) -> int:
        number = 1
        for step in Path(path).relative_to(self.base).parts:
            number = self.disk.folders[number][step]
        return number

    def named(self, *changes: tuple[Path, int | None]) -> None:
        names = tuple((self.at(Path(path).parent), Path(path).name, number) for path, number in changes)
        self.disk.name(names)
        self.operations.append(("names", names))

    def open(self, path: Path, flags: int, *mode: int) -> int:
        made = bool(flags & os.O_CREAT) and not os.path.lexists(path)
        handle = os.open(path, flags, *mode)
        if made:
            self.named((path, self.made(folder=False)))
        self.handles[handle] = self.at(path)
        return handle

    def write(self, handle: int, held: bytes) -> int:
        written = os.write(handle, held)
        self.operations.append(("write", self.handles[handle], bytes(held[:written])))
        return written

    def fsync(self, handle: int) -> None:
        self.operations.append(("keep", self.handles[handle]))

    def replace(self, source: Path, target: Path) -> None:
        os.replace(source, target)
        self.named((target, self.at(source)), (source, None))

    def rename(self, source: Path, target: Path) -> None:
        os.rename(source, target)
        self.named((target, self.at(source)), (source, None))

    def link(self, source: Path, target: Path) -> None:
        os.link(source, target)
        self.named((target, self.at(source)))

    def exchange(self, one: Path, other: Path) -> None:
        exchange(one, other)
        self.named((one, self.at(other)), (other, self.at(one)))

    def unlink(self, path: Path) -> None:
        os.unlink(path)
        self.named((path, None))

    def mkdir(self, path: Path) -> None:
        os.mkdir(path)
        self.named((path, self.made(folder=True)))

    def rmdir(self, path: Path) -> None:
        os.rmdir(path)
        self.named((path, None))


class ByContent:
    """An os module to which a file is what it holds: one that is left after a power cut is the one that was there."""

    def __init__(self, real: Any) -> None:
        self.real = real

    def __getattr__(self, name: str) -> Any:
        return getattr(self.real, name)

    def lstat(self, place: Path) -> Any:
        found = os.lstat(place)
        if not stat.S_ISREG(found.st_mode):
            return found
        number = zlib.crc32(place.read_bytes())
        return SimpleNamespace(
            st_mode=found.st_mode, st_dev=found.st_dev, st_ino=number, st_size=found.st_size, st_mtime_ns=0
        )


def logged(monkeypatch: pytest.MonkeyPatch, files: dict[str, bytes], base: Path) -> Log:
    """What putting the files in place asks of the disk."""
    log = Log(base)
    with monkeypatch.context() as patched:
        for module in (disk, lock, new, put):
            patched.setattr(module, "os", log)
        patched.setattr(whole, "os", ByContent(log))
        patched.setattr(whole, "exchange", log.exchange)
        put_in_place(files, base / "out" / "p")
    return log


def cut(log: Log, number: int, after: Path, lost: Callable[[], bool]) -> None:
    """Leave in a place what is on the disk after so many operations, where what was not kept may be lost."""
    left = copy.deepcopy(log.before)
    for each in range(1, log.count + 1):
        if each in log.disk.folders:
            left.folders.setdefault(each, {})
        else:
            left.files.setdefault(each, (b"", b""))
    done = log.operations[:number]
    for at, (kind, *given) in enumerate(done):
        if kind == "write":
            kept, written = left.files[given[0]]
            left.files[given[0]] = (kept, written + given[1])
        elif kind == "keep" and given[0] in left.files:
            left.files[given[0]] = (left.files[given[0]][1],) * 2
        elif kind == "names":
            kept_later = any(("keep", folder) in done[at + 1 :] for folder, _, _ in given[0])
            if kept_later or not lost():
                left.name(given[0])
    left.leave(1, after, lost, {})


def held(folder: Path) -> dict[str, bytes]:
    """Everything in a folder but the journal."""
    found = {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    found.pop(".cabdraw.json", None)
    return found


def losses() -> Iterator[Callable[[], bool]]:
    """Everything is lost that can be, nothing is, or some of it."""
    yield lambda: True
    yield lambda: False
    for chance in range(CHANCES):
        some = random.Random(chance)
        yield lambda some=some: some.random() < 0.5  # type: ignore[misc]


def assert_whole(folder: Path) -> None:
    """Each file is whole, old or new, and the list of what is ours has it; with the new sizes all of it is new."""
    found = held(folder)
    for path, content in found.items():
        assert content in (OLD.get(path), NEW.get(path)), path
    if found:
        listed = json.loads((folder / ".cabdraw.json").read_text())["written"]
        assert all(disk.digest(content) in listed[path] for path, content in found.items())
    if found.get("resolved.json") == NEW["resolved.json"]:
        assert {path: found.get(path) for path in NEW} == NEW
    if found.get("resolved.json") == OLD["resolved.json"]:
        assert OLD.keys() & NEW.keys() <= found.keys()


@pytest.mark.parametrize("first", [False, True], ids=["over an earlier package", "a first one"])
def test_a_power_cut_at_any_point_leaves_one_package_or_whole_files_that_the_next_run_repairs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, way: str, first: bool
) -> None:
    base = tmp_path / "real"
    base.mkdir()
    if not first:
        put_in_place(OLD, base / "out" / "p")
    log = logged(monkeypatch, NEW, base)
    assert len(log.operations) > 60
    monkeypatch.setattr(os, "fsync", lambda handle: None)
    monkeypatch.setattr(whole, "os", ByContent(os))
    for at in range(len(log.operations) + 1):
        for loss in losses():
            after = tmp_path / "after"
            cut(log, at, after, loss)
            folder = after / "out" / "p"
            if way == "at once":
                assert held(folder) in ({} if first else OLD, NEW)
            if folder.exists():
                assert_whole(folder)
            if at == len(log.operations):
                assert held(folder) == NEW, "what was said to be written is on the disk"
            put_in_place(OLD if at % 3 == 0 else NEW, folder)
            assert held(folder) == (OLD if at % 3 == 0 else NEW)
            assert [path.name for path in folder.parent.iterdir()] == ["p"]
            shutil.rmtree(after)


def test_a_power_cut_loses_nobodys_file_in_a_folder_that_the_new_package_has_no_more(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, way: str
) -> None:
    base = tmp_path / "real"
    base.mkdir()
    put_in_place(OLD, base / "out" / "p")
    (base / "out" / "p" / "only" / "notes.txt").write_bytes(b"mine")
    log = logged(monkeypatch, NEW, base)
    monkeypatch.setattr(os, "fsync", lambda handle: None)
    monkeypatch.setattr(whole, "os", ByContent(os))
    for at in range(len(log.operations) + 1):
        for loss in losses():
            after = tmp_path / "after"
            cut(log, at, after, loss)
            folder = after / "out" / "p"
            assert held(folder)["only/notes.txt"] == b"mine"
            put_in_place(NEW, folder)
            assert held(folder) == NEW | {"only/notes.txt": b"mine"}
            shutil.rmtree(after)

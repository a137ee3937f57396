"""The power goes while a package is put in place: what was not yet asked to be on the disk may be lost, all or some."""

from __future__ import annotations

import json
import os
import random
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from cabdraw.place import disk, lock, new, put, put_in_place

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


@dataclass
class Log:
    """The os module, noting in order each thing that changes the disk or has it keep what was changed."""

    operations: list[tuple[Any, ...]] = field(default_factory=list)
    handles: dict[int, Path] = field(default_factory=dict)
    files: dict[Path, int] = field(default_factory=dict)
    count: int = 0

    def __getattr__(self, name: str) -> Any:
        return getattr(os, name)

    def open(self, path: Path, flags: int, *mode: int) -> int:
        made = bool(flags & os.O_CREAT) and not os.path.lexists(path)
        handle = os.open(path, flags, *mode)
        self.handles[handle] = Path(path)
        if made:
            self.count += 1
            self.files[Path(path)] = self.count
            self.operations.append(("put", Path(path), self.count))
        return handle

    def write(self, handle: int, held: bytes) -> int:
        written = os.write(handle, held)
        self.operations.append(("write", self.files[self.handles[handle]], bytes(held[:written])))
        return written

    def fsync(self, handle: int) -> None:
        path = self.handles[handle]
        self.operations.append(("keep", path) if path.is_dir() else ("flush", self.files[path]))

    def close(self, handle: int) -> None:
        os.close(handle)

    def replace(self, source: Path, target: Path) -> None:
        os.replace(source, target)
        self.files[target] = self.files.pop(source)
        self.operations += [("put", target, self.files[target]), ("take", source)]

    def unlink(self, path: Path) -> None:
        os.unlink(path)
        self.operations.append(("take", path))

    def mkdir(self, path: Path) -> None:
        os.mkdir(path)
        self.operations.append(("folder", path))

    def rmdir(self, path: Path) -> None:
        os.rmdir(path)
        self.operations.append(("take", path))


def logged(monkeypatch: pytest.MonkeyPatch, files: dict[str, bytes], folder: Path) -> list[tuple[Any, ...]]:
    """What putting the files in place asks of the disk."""
    log = Log()
    for path in folder.rglob("*") if folder.exists() else ():
        if path.is_file():
            log.count += 1
            log.files[path] = log.count
    with monkeypatch.context() as patched:
        for module in (disk, lock, new, put):
            patched.setattr(module, "os", log)
        put_in_place(files, folder)
    return log.operations


def cut(base: Path, folder: Path, done: list[tuple[Any, ...]], lost: Callable[[], bool]) -> None:
    """Leave in a folder what is on the disk after so many operations, where what was not kept may be lost."""
    contents: dict[int, tuple[bytes, bytes]] = {}
    for kind, *given in done:
        if kind == "write":
            kept, all_of_it = contents.get(given[0], (b"", b""))
            contents[given[0]] = (kept, all_of_it + given[1])
        elif kind == "flush":
            _, all_of_it = contents.get(given[0], (b"", b""))
            contents[given[0]] = (all_of_it, all_of_it)
    for at, (kind, *given) in enumerate(done):
        if kind not in ("put", "take", "folder"):
            continue
        path = folder / given[0].relative_to(base)
        kept = ("keep", given[0].parent) in done[at + 1 :]
        if (not kept and lost()) or not path.parent.is_dir():
            continue
        if kind == "folder":
            path.mkdir(exist_ok=True)
        elif kind == "put":
            flushed, all_of_it = contents.get(given[1], (b"", b""))
            path.write_bytes(flushed if lost() else all_of_it)
        elif path.is_dir():
            shutil.rmtree(path)
        else:
            path.unlink(missing_ok=True)


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
def test_a_power_cut_at_any_point_leaves_whole_files_that_the_next_run_repairs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, first: bool
) -> None:
    base = tmp_path / "real"
    base.mkdir()
    if not first:
        put_in_place(OLD, base / "out" / "p")
    shutil.copytree(base, tmp_path / "before")
    operations = logged(monkeypatch, NEW, base / "out" / "p")
    assert len(operations) > 60
    monkeypatch.setattr(os, "fsync", lambda handle: None)
    for at in range(len(operations) + 1):
        for loss in losses():
            after = tmp_path / "after"
            shutil.copytree(tmp_path / "before", after)
            cut(base, after, operations[:at], loss)
            folder = after / "out" / "p"
            if folder.exists():
                assert_whole(folder)
            if at == len(operations):
                assert held(folder) == NEW, "what was said to be written is on the disk"
            put_in_place(OLD if at % 3 == 0 else NEW, folder)
            assert held(folder) == (OLD if at % 3 == 0 else NEW)
            assert [path.name for path in folder.parent.iterdir()] == ["p"]
            shutil.rmtree(after)

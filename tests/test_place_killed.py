"""A run is killed, stopped or refused at any point while it puts a package over an earlier one.

Each point is a copy of this process that ends there, so that what the system does with a dead run is what is tried.
"""

from __future__ import annotations

import errno
import json
import os
import pickle
import resource
import shutil
import signal
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from test_place import Counted, beside, held

from cabdraw.place import CannotPlace, disk, put, put_in_place
from cabdraw.stop import noted

#: Packages of as many files as make over 200 points.
OLD = {f"drawings/{n}.svg": f"old {n}".encode() for n in range(6)} | {
    "resolved.json": b"old sizes", "shop/parts/old.dxf": b"old part", "report.html": b"in both",
}  # fmt: skip
NEW = {f"drawings/{n}.svg": f"new {n}".encode() for n in range(1, 8)} | {
    "resolved.json": b"new sizes", "site/new.pdf": b"new", "report.html": b"in both",
}  # fmt: skip
IN_PART = "written in part, each file whole, old or new; draw again to put it right"


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch, way: str) -> None:
    """Waiting for a real disk proves nothing here."""
    monkeypatch.setattr(os, "fsync", lambda handle: None)


def child(work: Callable[[], object]) -> tuple[int, object]:
    """Do something in a copy of this process: the status that it ends with, and what it says."""
    reading, writing = os.pipe()
    run = os.fork()
    if run == 0:
        os.close(reading)
        status = 0
        try:
            said = work()
        except CannotPlace as refusal:
            status, said = 1, refusal.lines
        except KeyboardInterrupt as stop:
            status, said = 130, list(noted(stop))
        except BaseException as problem:
            status, said = 3, repr(problem)
        os.write(writing, pickle.dumps(said))
        os._exit(status)
    os.close(writing)
    with os.fdopen(reading, "rb") as pipe:
        answer = pipe.read()
    return os.waitstatus_to_exitcode(os.waitpid(run, 0)[1]), pickle.loads(answer) if answer else None


def points(base: Path, monkeypatch: pytest.MonkeyPatch) -> int:
    """How many calls of the system it takes to replace the one package with the other."""
    counted = Counted(0, lambda name: None)
    put_in_place(OLD, base / "count" / "p")
    with monkeypatch.context() as patched:
        counted.patch(patched)
        put_in_place(NEW, base / "count" / "p")
    assert counted.count > 200
    return counted.count


def at_every_point(base: Path, monkeypatch: pytest.MonkeyPatch, number: int) -> Iterator[tuple[Path, int, object]]:
    """Each point with its folder, and how a run ended to which a signal came there."""
    for at in range(1, points(base, monkeypatch) + 1):
        folder = base / str(at) / "p"
        put_in_place(OLD, folder)

        def work(at: int = at, folder: Path = folder) -> object:
            signal.signal(signal.SIGINT, signal.default_int_handler)
            Counted(at, lambda name: os.kill(os.getpid(), number)).patch(monkeypatch)
            return put_in_place(NEW, folder).written

        yield folder, *child(work)
        shutil.rmtree(folder.parent)


def which(folder: Path) -> str:
    """Which package a folder holds: `old`, `new`, or `in part` where every file is still whole and known to be ours."""
    found = held(folder)
    listed = json.loads((folder / ".cabdraw.json").read_text())["written"]
    assert all(disk.digest(content) in listed[path] for path, content in found.items())
    if found in (OLD, NEW):
        return "old" if found == OLD else "new"
    assert all(content in (OLD.get(path), NEW.get(path)) for path, content in found.items())
    assert OLD.keys() & NEW.keys() <= found.keys()
    assert found["resolved.json"] == OLD["resolved.json"]
    return "in part"


def test_killed_at_any_point_one_package_is_whole_or_each_file_and_the_next_run_repairs_and_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, way: str
) -> None:
    ways = set()
    for folder, status, _ in at_every_point(tmp_path, monkeypatch, signal.SIGKILL):
        assert status == -signal.SIGKILL
        left = which(folder)
        ways.add(left)
        unfinished = any(
            len(found) > 1 for found in json.loads((folder / ".cabdraw.json").read_text())["written"].values()
        )
        placed = put_in_place(NEW, folder)
        assert placed.repaired == unfinished
        assert placed.repaired or left != "in part"
        assert held(folder) == NEW
        assert beside(folder) == []
    assert ways == ({"old", "new"} if way == "at once" else {"old", "in part", "new"})


def test_ctrl_c_at_any_point_leaves_one_package_whole_and_says_which(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    said = set()
    for folder, status, notes in at_every_point(tmp_path, monkeypatch, signal.SIGINT):
        assert status == 130
        assert isinstance(notes, list)
        (note,) = notes
        place, _, words = note.partition(": ")
        assert place == str(folder)
        assert which(folder) == {"nothing was written": "old", "the whole package is there": "new"}[words]
        assert beside(folder) == []
        said.add(words)
    assert len(said) == 2


def test_ctrl_c_again_and_again_still_leaves_whole_files_and_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, way: str
) -> None:
    folder = tmp_path / "p"
    put_in_place(OLD, folder)
    moved = 0
    if way == "at once":
        monkeypatch.setattr(put, "at_once", lambda *_: False)

    def impatient(name: str) -> None:
        raise KeyboardInterrupt

    def work() -> object:
        real = disk.move

        def move(source: Path, target: Path) -> None:
            nonlocal moved
            real(source, target)
            moved += 1
            if moved == 4:
                Counted(1, impatient, on=True).patch(monkeypatch)

        monkeypatch.setattr(disk, "move", move)
        return put_in_place(NEW, folder).written

    assert child(work) == (130, [f"{folder}: {IN_PART}"])
    assert which(folder) == "in part"
    assert put_in_place(OLD, folder).repaired
    assert held(folder) == OLD
    assert beside(folder) == []


def test_a_file_that_may_not_be_so_large_leaves_the_earlier_package(tmp_path: Path) -> None:
    folder = tmp_path / "p"
    put_in_place(OLD, folder)

    def work() -> object:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (2000, 2000))
        return put_in_place({**NEW, "drawings/large.svg": b"x" * 5000}, folder).written

    said = f"{folder}: nothing was written: a file of it is larger than may be written here"
    assert child(work) == (1, (said,))
    assert held(folder) == OLD
    assert beside(folder) == []


def test_a_full_disk_of_its_own_leaves_the_earlier_package(tmp_path: Path) -> None:
    disk_of_its_own = tmp_path / "small"
    disk_of_its_own.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=400k", "none", str(disk_of_its_own)]
    if os.geteuid() != 0 or subprocess.run(mount, capture_output=True, check=False).returncode != 0:
        pytest.skip("no small disk can be mounted here")
    try:
        folder = disk_of_its_own / "p"
        put_in_place(OLD, folder)
        fitting = 0
        for size in range(0, 400_000, 9_000):
            large = {**NEW, "drawings/large.svg": b"x" * size}
            try:
                put_in_place(large, folder)
            except CannotPlace as refused:
                lines = refused.lines
            else:
                lines = ()
            if lines:
                assert lines == (f"{folder}: nothing was written: the disk is full",)
                assert held(folder) == OLD
            else:
                fitting += 1
                assert held(folder) == large
                shutil.rmtree(folder)
                put_in_place(OLD, folder)
            assert beside(folder) == []
        assert 5 < fitting < 40
    finally:
        subprocess.run(["umount", str(disk_of_its_own)], check=True)


@pytest.mark.parametrize("where", ["p", "p/drawings", "."])
def test_a_read_only_folder_leaves_the_earlier_package(where: str) -> None:
    base = Path(tempfile.mkdtemp())
    try:
        base.chmod(0o755)
        folder = base / "out" / "p"
        put_in_place(OLD, folder)
        for path in (base / "out", *(base / "out").rglob("*")):
            if os.geteuid() == 0:
                os.chown(path, 65534, 65534)
        locked = base / "out" / where
        locked.chmod(0o555)

        def work() -> object:
            if os.geteuid() == 0:
                os.setgroups([])
                os.setgid(65534)
                os.setuid(65534)
            return put_in_place(NEW, folder).written

        status, said = child(work)
        locked.chmod(0o755)
        assert status == 1
        assert isinstance(said, tuple)
        assert said[0].startswith(f"{folder}: nothing was written: ")
        assert "permission was denied; is it read-only" in said[0]
        assert held(folder) == OLD
        assert beside(folder) == []
    finally:
        shutil.rmtree(base)


def test_the_disk_says_no_to_anything_and_the_earlier_package_is_whole_or_said_to_be_in_part(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every refusal of the disk, at every tenth point and from there on."""
    codes = (errno.ENOSPC, errno.EDQUOT, errno.EROFS, errno.EACCES, errno.EIO, errno.ENOENT)
    for at in range(3, points(tmp_path, monkeypatch), 10):
        for code in codes:
            folder = tmp_path / f"{at}-{code}" / "p"
            put_in_place(OLD, folder)

            def refuse(name: str, code: int = code) -> None:
                raise OSError(code, os.strerror(code))

            with monkeypatch.context() as patched:
                Counted(at, refuse, on=True).patch(patched)
                lines = ()
                try:
                    put_in_place(NEW, folder)
                except CannotPlace as refused:
                    lines = refused.lines
            if lines:
                # A disk that answers nothing any more cannot be asked what it holds: then the worst is said.
                there = "new" if "the whole package is there" in lines[0] else "old"
                assert "in part" in lines[0] or which(folder) == there
                assert "Errno" not in lines[0]
            put_in_place(NEW, folder)
            assert held(folder) == NEW
            assert beside(folder) == []
            shutil.rmtree(folder.parent)

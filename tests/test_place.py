"""Putting a package in place: whatever happens, every file is whole and nobody's own file is touched."""

from __future__ import annotations

import errno
import fcntl
import json
import os
import signal
import subprocess
import sys
import tracemalloc
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from cabdraw.place import CannotPlace, disk, lock, put, put_in_place, whole

OLD = {
    "resolved.json": b"old sizes",
    "drawings/back.svg": b"old back",
    "drawings/left.svg": b"left, the same in both",
    "site/drill-back.pdf": b"old template",
    "shop/parts/lower-back-1.dxf": b"old part",
}
NEW = {
    "resolved.json": b"new sizes",
    "drawings/back.svg": b"new back",
    "drawings/left.svg": b"left, the same in both",
    "drawings/right.svg": b"new right",
    "labels/labels.pdf": b"new labels",
    "site/drill-back.pdf": b"new template",
}
CALLS = (
    "close", "fstat", "fsync", "link", "listdir", "lstat", "mkdir", "open", "read", "rename", "replace", "rmdir",
    "unlink", "write",
)  # fmt: skip
#: Calls that clear away: where one fails, the lock file or the temporary folder may stay for the next run.
CLEARING = ("close", "fstat", "listdir", "rmdir", "unlink")
#: And those of an earlier package that was exchanged, which is looked at first.
CLEARING_IT = ("fsync", "lstat", "open", "read")
LOCK = ".p.cabdraw-lock"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "out" / "larkspur"


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch, way: str) -> None:
    """Waiting for a real disk proves nothing here."""
    monkeypatch.setattr(os, "fsync", lambda handle: None)


def held(folder: Path) -> dict[str, bytes]:
    """Everything in a folder but the journal."""
    found = {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    found.pop(".cabdraw.json", None)
    return found


def beside(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.parent.iterdir() if path != folder) if folder.parent.exists() else []


def journal(folder: Path) -> dict[str, list[str]]:
    listed: dict[str, list[str]] = json.loads((folder / ".cabdraw.json").read_text())["written"]
    return listed


def assert_is(folder: Path, files: dict[str, bytes]) -> None:
    assert held(folder) == files
    assert journal(folder) == {path: [disk.digest(content)] for path, content in files.items()}


class Counted:
    """The os module with its calls counted; at call `at`, or from there `on`, `happen` comes before it, or `late`."""

    def __init__(self, at: int, happen: Callable[[str], None], on: bool = False, late: bool = False) -> None:
        self.count, self.at, self.happen, self.on, self.late = 0, at, happen, on, late
        self.struck = ""

    def __getattr__(self, name: str) -> object:
        real = getattr(os, name)
        return self.counted(name, real) if name in CALLS else real

    def counted(self, name: str, real: Callable[..., object]) -> Callable[..., object]:
        def call(*args: object, **options: object) -> object:
            self.count += 1
            strikes = self.count == self.at or (self.on and self.count > self.at)
            if strikes and (self.late or name == "close"):
                # The system closes the files of a dead run, and with them frees its lock.
                done = None
                with suppress(OSError):
                    done = real(*args, **options)
                self.strike(name)
                return done
            if strikes:
                self.strike(name)
            return real(*args, **options)

        return call

    def strike(self, name: str) -> None:
        self.struck = self.struck or name
        self.happen(name)

    def patch(self, monkeypatch: pytest.MonkeyPatch) -> None:
        for module in (disk, lock, put, whole):
            monkeypatch.setattr(module, "os", self)
        monkeypatch.setattr(whole, "exchange", self.counted("exchange", whole.exchange))


def calls(monkeypatch: pytest.MonkeyPatch, base: Path) -> int:
    """How many calls it takes to replace the old package with the new one."""
    counted = Counted(0, lambda name: None)
    put_in_place(OLD, base / "count" / "p")
    with monkeypatch.context() as patched:
        counted.patch(patched)
        put_in_place(NEW, base / "count" / "p")
    return counted.count


def every_call(
    monkeypatch: pytest.MonkeyPatch, base: Path, happen: Callable[[str], None], on: bool = False, late: bool = False
) -> Iterator[tuple[Path, Counted, BaseException | None]]:
    """Replace the old package with the new in a fresh folder for each call, and let it happen there."""
    number = calls(monkeypatch, base)
    assert number > 60
    for at in range(1, number + 1):
        folder = base / str(at) / "p"
        put_in_place(OLD, folder)
        (folder / "notes.txt").write_bytes(b"mine")
        counted = Counted(at, happen, on, late)
        caught: BaseException | None = None
        with monkeypatch.context() as patched:
            counted.patch(patched)
            try:
                put_in_place(NEW, folder)
            except (CannotPlace, KeyboardInterrupt, Dead) as problem:
                caught = problem
        assert counted.struck
        assert (folder / "notes.txt").read_bytes() == b"mine"
        (folder / "notes.txt").unlink()
        yield folder, counted, caught


def tidy(folder: Path, counted: Counted) -> bool:
    """Whether nothing is left beside the package, or only what the failed call should have cleared away.

    An empty lock file stays, too, where a run ended before it could know that the lock was its own.
    """
    found = beside(folder)
    if held(folder) == NEW and counted.struck in CLEARING_IT:
        return True
    return found == [] or counted.struck in CLEARING or (found == [LOCK] and counted.struck in ("open", "lstat"))


class Dead(BaseException):
    """Stands for the death of the run: nothing that is called after it does anything."""


def full(name: str) -> None:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def interrupt(name: str) -> None:
    raise KeyboardInterrupt


def die(name: str) -> None:
    raise Dead


def test_first_run_writes_the_package_and_its_journal(folder: Path) -> None:
    placed = put_in_place(OLD, folder)
    assert placed.files == placed.written == tuple(sorted(OLD))
    assert_is(folder, OLD)
    assert beside(folder) == []


def test_second_run_replaces_adds_and_removes(folder: Path) -> None:
    put_in_place(OLD, folder)
    placed = put_in_place(NEW, folder)
    assert_is(folder, NEW)
    assert placed.removed == ("shop/parts/lower-back-1.dxf",)
    assert "drawings/left.svg" not in placed.written
    assert not (folder / "shop").exists()
    assert beside(folder) == []


def test_same_files_again_touch_nothing(folder: Path) -> None:
    put_in_place(OLD, folder)
    before = {path: path.stat().st_mtime_ns for path in folder.rglob("*")}
    assert put_in_place(OLD, folder).written == ()
    assert {path: path.stat().st_mtime_ns for path in folder.rglob("*")} == before


def test_a_file_that_was_deleted_comes_back(folder: Path) -> None:
    put_in_place(OLD, folder)
    (folder / "drawings/back.svg").unlink()
    assert put_in_place(OLD, folder).written == ("drawings/back.svg",)
    assert_is(folder, OLD)


def test_file_by_file_resolved_json_is_put_in_place_last(
    folder: Path, monkeypatch: pytest.MonkeyPatch, way: str
) -> None:
    if way == "at once":
        monkeypatch.setattr(put, "at_once", lambda *_: False)
    order: list[str] = []
    move = disk.move
    monkeypatch.setattr(disk, "move", lambda source, target: (order.append(target.name), move(source, target)))
    put_in_place(OLD, folder)
    put_in_place(NEW, folder)
    assert order.count("resolved.json") == 2
    assert order[-2:] == ["resolved.json", ".cabdraw.json"]


@pytest.mark.parametrize("path", ["drawings/back.svg", "resolved.json", "drawings/right.svg"])
def test_a_foreign_file_stops_the_run_before_anything_is_touched(folder: Path, path: str) -> None:
    (folder / path).parent.mkdir(parents=True)
    (folder / path).write_bytes(b"mine")
    with pytest.raises(CannotPlace) as refused:
        put_in_place(NEW, folder)
    (line,) = refused.value.lines
    assert line.startswith(f"{folder / path}: ")
    assert "was not written by cabdraw" in line
    assert "move it away or rename it" in line
    assert held(folder) == {path: b"mine"}
    assert not (folder / ".cabdraw.json").exists()
    assert beside(folder) == []


def test_an_edited_file_stops_the_run_and_every_one_is_named(folder: Path) -> None:
    put_in_place(OLD, folder)
    for path in ("drawings/back.svg", "resolved.json"):
        (folder / path).write_bytes(b"edited")
    before = held(folder)
    with pytest.raises(CannotPlace) as refused:
        put_in_place(NEW, folder)
    assert [line.split(": ")[0] for line in refused.value.lines] == [
        str(folder / "drawings/back.svg"),
        str(folder / "resolved.json"),
    ]
    assert "was changed since cabdraw wrote it" in refused.value.lines[0]
    assert held(folder) == before


def test_a_file_that_grew_beyond_any_of_ours_is_not_read_whole(folder: Path) -> None:
    put_in_place(OLD, folder)
    path = next(path for path in OLD if path != "resolved.json")
    os.truncate(folder / path, 3 << 30)
    tracemalloc.start()
    with pytest.raises(CannotPlace, match="was changed since cabdraw wrote it"):
        put_in_place(NEW, folder)
    assert tracemalloc.get_traced_memory()[1] < 10 << 20
    tracemalloc.stop()


def test_moving_the_edited_file_away_mends_it(folder: Path) -> None:
    put_in_place(OLD, folder)
    (folder / "drawings/back.svg").write_bytes(b"edited")
    with pytest.raises(CannotPlace):
        put_in_place(NEW, folder)
    (folder / "drawings/back.svg").rename(folder / "drawings/Back by hand.svg")
    put_in_place(NEW, folder)
    assert held(folder) == NEW | {"drawings/Back by hand.svg": b"edited"}


def test_a_foreign_file_that_holds_just_what_would_be_written_is_fine(folder: Path) -> None:
    (folder / "drawings").mkdir(parents=True)
    (folder / "drawings/back.svg").write_bytes(NEW["drawings/back.svg"])
    put_in_place(NEW, folder)
    assert_is(folder, NEW)


def test_a_stale_file_that_was_edited_is_left_and_named(folder: Path) -> None:
    put_in_place(OLD, folder)
    (folder / "shop/parts/lower-back-1.dxf").write_bytes(b"edited")
    placed = put_in_place(NEW, folder)
    assert placed.kept == ("shop/parts/lower-back-1.dxf",)
    assert placed.removed == ()
    assert held(folder) == NEW | {"shop/parts/lower-back-1.dxf": b"edited"}


def test_a_folder_of_ours_with_a_foreign_file_in_it_stays(folder: Path) -> None:
    put_in_place(OLD, folder)
    (folder / "shop/parts/mine.dxf").write_bytes(b"mine")
    put_in_place(NEW, folder)
    assert held(folder) == NEW | {"shop/parts/mine.dxf": b"mine"}


def test_empty_folders_of_others_stay(folder: Path) -> None:
    put_in_place(OLD, folder)
    (folder / "photos").mkdir()
    put_in_place(NEW, folder)
    assert (folder / "photos").is_dir()


@pytest.mark.parametrize("where", ["drawings", "drawings/back.svg", "resolved.json"])
def test_a_link_in_the_package_is_not_followed(folder: Path, tmp_path: Path, where: str) -> None:
    put_in_place(OLD, folder)
    outside = tmp_path / "outside"
    (folder / where).rename(outside)
    (folder / where).symlink_to(outside)
    before = held(outside) if outside.is_dir() else outside.read_bytes()
    with pytest.raises(CannotPlace, match="link was not made by cabdraw"):
        put_in_place(NEW, folder)
    assert (held(outside) if outside.is_dir() else outside.read_bytes()) == before


def test_a_stale_file_behind_a_link_is_not_removed(folder: Path, tmp_path: Path) -> None:
    put_in_place(OLD, folder)
    (folder / "shop").rename(tmp_path / "outside")
    (folder / "shop").symlink_to(tmp_path / "outside")
    assert put_in_place(NEW, folder).kept == ("shop/parts/lower-back-1.dxf",)
    assert held(tmp_path / "outside") == {"parts/lower-back-1.dxf": b"old part"}


def test_the_package_folder_may_not_be_a_link_but_the_one_around_it_may(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "out").symlink_to(tmp_path / "real")
    put_in_place(OLD, tmp_path / "out" / "p")
    assert_is(tmp_path / "real" / "p", OLD)
    (tmp_path / "out" / "q").symlink_to(tmp_path / "real" / "p")
    with pytest.raises(CannotPlace, match="this is a link, not a folder"):
        put_in_place(NEW, tmp_path / "out" / "q")
    assert_is(tmp_path / "real" / "p", OLD)


@pytest.mark.parametrize("make", [lambda p: p.mkdir(parents=True), os.mkfifo], ids=["folder", "device"])
def test_what_is_no_file_stops_the_run(folder: Path, make: Callable[[Path], None]) -> None:
    folder.mkdir(parents=True)
    make(folder / "resolved.json")
    with pytest.raises(CannotPlace, match="was not made by cabdraw"):
        put_in_place(NEW, folder)


def test_a_file_where_the_package_belongs_stops_the_run(folder: Path) -> None:
    folder.parent.mkdir()
    folder.write_bytes(b"mine")
    with pytest.raises(CannotPlace, match="this is a file, not a folder"):
        put_in_place(NEW, folder)
    assert folder.read_bytes() == b"mine"


@pytest.mark.parametrize("link", [False, True])
def test_a_file_or_a_dangling_link_where_out_belongs(folder: Path, link: bool) -> None:
    if link:
        folder.parent.symlink_to("nowhere")
    else:
        folder.parent.write_bytes(b"mine")
    with pytest.raises(CannotPlace, match=r"something else stands|a file stands"):
        put_in_place(NEW, folder)
    assert link or folder.parent.read_bytes() == b"mine"


@pytest.mark.parametrize(
    "text",
    [
        "",
        "not json",
        "[]",
        '{"cabdraw": 2, "written": {}}',
        '{"cabdraw": 1, "written": {"../../outside": []}}',
        '{"cabdraw": 1, "written": {"a": ["x"]}}',
        '{"cabdraw": 1, "written": {"a": 1}}',
        "[" * 200_000,
    ],
)
def test_a_journal_that_is_not_ours_is_trusted_in_nothing(folder: Path, text: str) -> None:
    put_in_place(OLD, folder)
    (folder / ".cabdraw.json").write_text(text)
    with pytest.raises(CannotPlace, match="is damaged"):
        put_in_place(NEW, folder)
    assert held(folder) == OLD
    assert (folder / ".cabdraw.json").read_text() == text


@pytest.mark.parametrize(
    "path",
    [
        "",
        "/etc/hosts",
        "../x",
        "a/../b",
        "a//b",
        "a/",
        ".a",
        ".cabdraw.json",
        "a\\b",
        "A",
        "c:x",
        "a b",
        "é",
        "-a",
        "a.",
    ],
)
def test_a_path_that_is_no_path_for_a_package_is_a_bug(folder: Path, path: str) -> None:
    with pytest.raises(ValueError, match="not a path for a package"):
        put_in_place({path: b""}, folder)
    assert not folder.parent.exists()


def test_a_file_and_a_folder_of_one_name_is_a_bug(folder: Path) -> None:
    with pytest.raises(ValueError, match="of the same name"):
        put_in_place({"a": b"", "a/b": b""}, folder)


def test_disk_full_at_any_call_leaves_the_earlier_package_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    failed = 0
    for folder, counted, caught in every_call(monkeypatch, tmp_path, full):
        if caught is None:
            assert_is(folder, NEW)
        else:
            failed += 1
            assert isinstance(caught, CannotPlace)
            assert caught.lines == (f"{folder}: nothing was written: the disk is full",)
            assert_is(folder, OLD)
        assert tidy(folder, counted)
        put_in_place(NEW, folder)
        assert_is(folder, NEW)
        assert beside(folder) == []
    assert failed > 40


def test_a_disk_that_stays_full_leaves_whole_files_that_the_next_run_repairs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, way: str
) -> None:
    parted = 0
    for folder, _, caught in every_call(monkeypatch, tmp_path, full, on=True):
        assert_each_whole(folder, way)
        if caught is not None and "written in part" in str(caught):
            parted += 1
            assert "draw again" in str(caught)
        elif caught is not None:
            assert_is(folder, NEW if "the whole package is there" in str(caught) else OLD)
        put_in_place(NEW, folder)
        assert_is(folder, NEW)
        assert beside(folder) == []
    assert parted == 0 if way == "at once" else parted > 10


@pytest.mark.parametrize("late", [False, True])
def test_ctrl_c_at_any_call_leaves_one_package_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, late: bool
) -> None:
    for folder, counted, caught in every_call(monkeypatch, tmp_path, interrupt, late=late):
        assert isinstance(caught, KeyboardInterrupt)
        assert held(folder) in (OLD, NEW)
        assert_is(folder, held(folder))
        assert tidy(folder, counted)
        put_in_place(NEW, folder)
        assert_is(folder, NEW)
        assert beside(folder) == []


def assert_each_whole(folder: Path, way: str) -> None:
    if way == "at once":
        assert held(folder) in (OLD, NEW)
        assert_is(folder, held(folder))
        return
    for path, content in held(folder).items():
        assert content in (OLD.get(path), NEW.get(path))
        assert disk.digest(content) in journal(folder)[path]
    for path in OLD.keys() & NEW.keys():
        assert (folder / path).exists()
    if (folder / "resolved.json").read_bytes() == NEW["resolved.json"]:
        assert held(folder) == NEW


def test_death_at_any_call_leaves_a_package_or_whole_files_that_the_next_run_repairs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, way: str
) -> None:
    for folder, _, caught in every_call(monkeypatch, tmp_path, die, on=True):
        assert isinstance(caught, Dead)
        assert_each_whole(folder, way)
        other = {"resolved.json": b"third", "drawings/back.svg": b"third back"}
        repaired = OLD if int(folder.parent.name) % 3 == 0 else NEW if int(folder.parent.name) % 3 == 1 else other
        put_in_place(repaired, folder)
        assert_is(folder, repaired)
        assert beside(folder) == []


def test_a_killed_process_is_repaired_by_the_next_run(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, way: str
) -> None:
    number = calls(monkeypatch, tmp_path)
    for at in range(1, number + 1, 5):
        folder = tmp_path / str(at) / "p"
        put_in_place(OLD, folder)
        child = os.fork()
        if child == 0:
            Counted(at, lambda name: os.kill(os.getpid(), signal.SIGKILL)).patch(monkeypatch)
            put_in_place(NEW, folder)
            os._exit(1)
        assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == -signal.SIGKILL
        assert_each_whole(folder, way)
        put_in_place(NEW, folder)
        assert_is(folder, NEW)
        assert beside(folder) == []


def test_a_first_run_that_fails_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    counted = Counted(0, lambda name: None)
    with monkeypatch.context() as patched:
        counted.patch(patched)
        put_in_place(OLD, tmp_path / "count" / "p")
    for at in range(1, counted.count + 1):
        folder = tmp_path / str(at) / "deep" / "p"
        failing = Counted(at, full)
        with monkeypatch.context() as patched:
            failing.patch(patched)
            try:
                put_in_place(OLD, folder)
            except CannotPlace:
                assert not (tmp_path / str(at)).exists() or tidy(folder, failing)
                assert held(folder) == {}
            else:
                assert_is(folder, OLD)
        put_in_place(OLD, folder)
        assert_is(folder, OLD)
        assert beside(folder) == []


@pytest.mark.parametrize(
    ("code", "said"),
    [
        (errno.ENOSPC, "the disk is full"),
        (errno.EROFS, "the disk is read-only"),
        (errno.EACCES, "permission was denied"),
        (errno.EDQUOT, "your share of the disk"),
        (errno.EIO, "the disk failed"),
        (errno.ENAMETOOLONG, "the name is too long"),
        (errno.EXDEV, "on another disk"),
        (errno.ETXTBSY, "busy"),
    ],
)
def test_what_the_disk_refuses_is_said_in_plain_words(
    folder: Path, monkeypatch: pytest.MonkeyPatch, way: str, code: int, said: str
) -> None:
    def refuse(*given: object) -> None:
        raise OSError(code, os.strerror(code), str(folder / ".cabdraw.json"))

    with monkeypatch.context() as patched:
        patched.setattr(disk, "write" if way == "at once" else "move", refuse)
        with pytest.raises(CannotPlace) as refused:
            put_in_place(OLD, folder)
    (line,) = refused.value.lines
    assert line.startswith(f"{folder}: nothing was written: {folder / '.cabdraw.json'}: ")
    assert said in line
    assert "Errno" not in line
    assert not folder.parent.exists()


def test_a_read_only_folder_is_refused_in_plain_words(folder: Path) -> None:
    if os.geteuid() == 0:
        pytest.skip("nothing is read-only for root")
    put_in_place(OLD, folder)
    (folder / "drawings").chmod(0o555)
    try:
        with pytest.raises(CannotPlace, match="permission was denied"):
            put_in_place(NEW, folder)
    finally:
        (folder / "drawings").chmod(0o755)
    assert_is(folder, OLD)


def test_a_name_that_is_too_long_is_refused_in_plain_words(tmp_path: Path) -> None:
    with pytest.raises(CannotPlace, match="the name is too long"):
        put_in_place(OLD, tmp_path / "out" / ("x" * 250))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("moment", ["written", "all written", "just before"])
@pytest.mark.parametrize("path", ["drawings/right.svg", "drawings/back.svg", "shop/parts/lower-back-1.dxf"])
def test_a_file_that_changes_while_the_package_is_written_is_not_overwritten(
    folder: Path, monkeypatch: pytest.MonkeyPatch, way: str, moment: str, path: str
) -> None:
    module, call = {
        ("at once", "written"): (disk, "write"),
        ("at once", "all written"): (disk, "rename"),
        ("at once", "just before"): (whole, "exchange"),
        ("file by file", "written"): (disk, "write"),
        ("file by file", "all written"): (put, "sync"),
        ("file by file", "just before"): (disk, "move"),
    }[way, moment]
    put_in_place(OLD, folder)
    real = getattr(module, call)
    came = False

    def meddle(*given: object) -> None:
        nonlocal came
        if moment == "just before" and not came:
            (folder / path).write_bytes(b"mine")
        real(*given)
        if moment != "just before" and not came:
            (folder / path).write_bytes(b"mine")
        came = True

    monkeypatch.setattr(module, call, meddle)
    with pytest.raises(CannotPlace, match="changed in the meantime"):
        put_in_place(NEW, folder)
    assert held(folder) == OLD | {path: b"mine"}
    assert beside(folder) == []


def test_what_dead_runs_left_is_cleared_but_nothing_else(folder: Path) -> None:
    put_in_place(OLD, folder)
    out = folder.parent
    for name in (".larkspur.cabdraw-0123abcd", ".larkspur-2.cabdraw-0123abcd", ".larkspur.cabdraw-mine"):
        (out / name).mkdir()
        (out / name / "1").write_bytes(b"half")
    (out / ".larkspur.cabdraw-89ab4567").mkdir()
    (out / ".larkspur.cabdraw-89ab4567" / "mine.txt").write_bytes(b"mine")
    put_in_place(OLD, folder)
    assert beside(folder) == [
        ".larkspur-2.cabdraw-0123abcd",
        ".larkspur.cabdraw-89ab4567",
        ".larkspur.cabdraw-mine",
    ]


@pytest.mark.parametrize("name", ["1", "package", "package/drawings", "2"])
def test_a_link_in_what_a_dead_run_left_leads_nowhere(folder: Path, tmp_path: Path, name: str) -> None:
    put_in_place(OLD, folder)
    mine = tmp_path / "mine" / "photos"
    mine.mkdir(parents=True)
    (mine / "shaft.jpg").write_bytes(b"mine")
    link = folder.parent / ".larkspur.cabdraw-0123abcd" / name
    link.parent.mkdir(parents=True)
    link.symlink_to(mine.parent)
    put_in_place(NEW, folder)
    assert (mine / "shaft.jpg").read_bytes() == b"mine"
    assert_is(folder, NEW)


def test_however_deep_folders_are_they_are_no_fault(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put_in_place(OLD, folder)
    for place in (folder / "mine", folder.parent / ".larkspur.cabdraw-0123abcd" / "1"):
        place.mkdir(parents=True)
        with monkeypatch.context() as patched:
            for _ in range(1500):
                patched.chdir(place)
                os.mkdir("deeper")
                place = Path("deeper")
    put_in_place(NEW, folder)
    assert [(folder / path).read_bytes() for path in NEW] == list(NEW.values())
    subprocess.run(["rm", "-r", folder.parent], check=True)


def test_a_second_run_at_the_same_time_is_told_to_wait(folder: Path) -> None:
    put_in_place(OLD, folder)
    with open(folder.parent / ".larkspur.cabdraw-lock", "w") as other:
        fcntl.flock(other, fcntl.LOCK_EX)
        with pytest.raises(CannotPlace, match="another run of cabdraw is writing there"):
            put_in_place(NEW, folder, patience=0.05)
        assert_is(folder, OLD)
    put_in_place(NEW, folder)
    assert_is(folder, NEW)
    assert beside(folder) == []


def test_a_lock_on_a_file_that_the_run_before_has_removed_is_no_lock(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    flock, handles = fcntl.flock, []

    def flock_late(handle: int, how: int) -> None:
        if not handles:
            (folder.parent / ".larkspur.cabdraw-lock").unlink()
        handles.append(handle)
        flock(handle, how)

    monkeypatch.setattr(fcntl, "flock", flock_late)
    with lock.locked(folder, 1.0):
        assert (folder.parent / ".larkspur.cabdraw-lock").exists()
    assert len(handles) == 2


def test_a_foreign_file_with_the_name_of_the_lock_is_left_alone(folder: Path) -> None:
    folder.parent.mkdir()
    (folder.parent / ".larkspur.cabdraw-lock").write_bytes(b"mine")
    put_in_place(OLD, folder)
    assert (folder.parent / ".larkspur.cabdraw-lock").read_bytes() == b"mine"


def test_a_link_with_the_name_of_the_lock_is_not_followed(folder: Path, tmp_path: Path) -> None:
    folder.parent.mkdir()
    (folder.parent / ".larkspur.cabdraw-lock").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(CannotPlace, match="a link stands where a file belongs"):
        put_in_place(OLD, folder)
    assert not (tmp_path / "elsewhere").exists()


def test_a_folder_in_which_no_file_can_be_made_is_not_waited_for(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    tries = []

    def none(path: Path, *given: int) -> int:
        tries.append(path)
        raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT), str(path))

    monkeypatch.setattr(lock.os, "open", none)
    monkeypatch.setattr(lock.time, "sleep", lambda seconds: None)
    with pytest.raises(CannotPlace, match="nothing was written"):
        put_in_place(OLD, folder, patience=1e9)
    assert 1 < len(tries) < 100


def test_a_disk_that_knows_no_locks_can_still_be_written_to(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_locks(handle: int, how: int) -> None:
        raise OSError(errno.ENOLCK, "no locks")

    monkeypatch.setattr(fcntl, "flock", no_locks)
    put_in_place(OLD, folder)
    assert_is(folder, OLD)


def test_runs_at_the_same_time_leave_one_package_whole(folder: Path) -> None:
    text = (
        "import sys; from pathlib import Path; from cabdraw.place import put_in_place\n"
        "for turn in range(15):\n"
        "    put_in_place({f'drawings/{n}.svg': (sys.argv[2] * 2000).encode() for n in range(3)}\n"
        "        | {'resolved.json': sys.argv[2].encode(), f'only-{sys.argv[2]}.csv': b''}, Path(sys.argv[1]))\n"
    )
    runs = [subprocess.Popen([sys.executable, "-c", text, str(folder), who]) for who in "abc"]
    assert [run.wait(60) for run in runs] == [0, 0, 0]
    who = (folder / "resolved.json").read_text()
    assert held(folder) == {f"drawings/{n}.svg": (who * 2000).encode() for n in range(3)} | {
        "resolved.json": who.encode(),
        f"only-{who}.csv": b"",
    }
    assert beside(folder) == []

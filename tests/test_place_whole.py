"""A package that replaces the earlier one in one call of the system, and where it goes file by file instead."""

from __future__ import annotations

import errno
import json
import os
import signal
import stat
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from test_place import NEW, OLD, Counted, assert_is, beside, held
from test_place_killed import child

from cabdraw.place import CannotPlace, exchange, put, put_in_place, whole


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "out" / "larkspur"


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Waiting for a real disk proves nothing here."""
    monkeypatch.setattr(os, "fsync", lambda handle: None)


@pytest.fixture
def went(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Which way each package went."""
    ways: list[str] = []
    real = put.at_once

    def noted(*given: object) -> bool:
        done = real(*given)  # type: ignore[arg-type]
        ways.append("at once" if done else "file by file")
        return done

    monkeypatch.setattr(put, "at_once", noted)
    return ways


def test_a_folder_never_holds_anything_but_one_of_the_packages(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Seen at every call of the system."""
    seen: list[str] = []

    def look(name: str) -> None:
        found = held(folder)
        seen.append("old" if found == OLD else "new" if found == NEW else "neither")

    put_in_place(OLD, folder)
    with monkeypatch.context() as patched:
        Counted(1, look, on=True).patch(patched)
        put_in_place(NEW, folder)
    assert set(seen) == {"old", "new"}
    assert seen == sorted(seen, reverse=True)


def test_a_first_package_comes_at_once(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[int] = []
    with monkeypatch.context() as patched:
        Counted(1, lambda name: seen.append(len(held(folder))), on=True).patch(patched)
        put_in_place(OLD, folder)
    assert set(seen) == {0, len(OLD)}


def test_what_stays_is_the_very_same_file_with_one_name(folder: Path, went: list[str]) -> None:
    put_in_place(OLD, folder)
    (folder / "notes.txt").write_bytes(b"mine")
    (folder / "photos" / "shaft").mkdir(parents=True)
    (folder / "photos" / "shaft" / "1.jpg").write_bytes(b"a photograph")
    (folder / "empty").mkdir()
    same = [folder / "notes.txt", folder / "photos/shaft/1.jpg", folder / "drawings/left.svg"]
    before = [path.stat() for path in same]
    placed = put_in_place(NEW, folder)
    assert went == ["at once", "at once"]
    assert placed.written == tuple(sorted(path for path in NEW if NEW[path] != OLD.get(path)))
    assert held(folder) == NEW | {"notes.txt": b"mine", "photos/shaft/1.jpg": b"a photograph"}
    assert (folder / "empty").is_dir()
    for path, was in zip(same, before, strict=True):
        now = path.stat()
        assert (now.st_ino, now.st_nlink, now.st_mtime_ns) == (was.st_ino, 1, was.st_mtime_ns)
    assert beside(folder) == []


def test_folders_stay_as_their_owner_made_them(folder: Path, went: list[str]) -> None:
    put_in_place(OLD, folder)
    folder.chmod(0o2750)
    (folder / "drawings").chmod(0o700)
    put_in_place(NEW, folder)
    assert went == ["at once", "at once"]
    assert stat.S_IMODE(folder.stat().st_mode) == 0o2750
    assert stat.S_IMODE((folder / "drawings").stat().st_mode) == 0o700


def refuse(*given: object, **options: object) -> None:
    raise OSError(errno.EINVAL, os.strerror(errno.EINVAL))


def of_others(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(whole, "_make_folder", lambda pattern, place: False)


def link(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (folder / "photos").symlink_to("/")


def pipe(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    os.mkfifo(folder / "pipe")


def archive(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(whole, "MOST", 8)


def read_only(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (folder / "mine").mkdir()
    real = os.access
    monkeypatch.setattr(os, "access", lambda place, mode: Path(place).name != "mine" and real(place, mode))


def not_looked_into(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (folder / "mine").mkdir()
    real = os.listdir

    def listed(place: Path) -> list[str]:
        if Path(place).name == "mine":
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(place))
        return real(place)

    monkeypatch.setattr(os, "listdir", listed)


def other_capitals(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(place: Path, held: bytes) -> None:
        if place.name == "resolved.json":
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(place))
        real(place, held)

    real = whole.disk.write
    monkeypatch.setattr(whole.disk, "write", refused)


def no_call(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(exchange, "_call", lambda: None)


def no_exchange(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(whole, "exchange", refuse)


def no_second_name(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "link", refuse)


def worked_in(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(folder / "drawings")


@pytest.mark.parametrize(
    "prepare",
    [
        of_others,
        link,
        pipe,
        archive,
        read_only,
        not_looked_into,
        other_capitals,
        no_call,
        no_exchange,
        no_second_name,
        worked_in,
    ],
)
def test_where_folders_cannot_be_exchanged_it_goes_file_by_file(
    folder: Path,
    monkeypatch: pytest.MonkeyPatch,
    went: list[str],
    prepare: Callable[[Path, pytest.MonkeyPatch], None],
) -> None:
    put_in_place(OLD, folder)
    prepare(folder, monkeypatch)
    put_in_place(NEW, folder)
    assert went == ["at once", "file by file"]
    (folder / "photos").unlink(missing_ok=True)
    (folder / "pipe").unlink(missing_ok=True)
    assert_is(folder, NEW)
    assert beside(folder) == []


def test_a_system_without_a_call_to_exchange_folders_says_so(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(exchange, "_call", lambda: None)
    assert not exchange.can_exchange()
    with pytest.raises(OSError, match="not implemented"):
        exchange.exchange(tmp_path, tmp_path)


def test_a_python_without_the_system_s_calls_has_none_to_exchange_folders(monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as patched:
        patched.setitem(sys.modules, "ctypes", None)
        exchange._call.cache_clear()
        assert not exchange.can_exchange()
    exchange._call.cache_clear()


def test_the_call_says_why_it_cannot(tmp_path: Path) -> None:
    if not exchange.can_exchange():
        pytest.skip("this system exchanges no folders")
    with pytest.raises(FileNotFoundError) as refused:
        exchange.exchange(tmp_path, tmp_path / "none")
    assert refused.value.filename == str(tmp_path / "none")


def test_a_folder_that_somebody_makes_just_before_the_first_package_is_written_to_with_care(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = put.replace

    def meddle(*given: object) -> bool:
        (folder / "drawings").mkdir(parents=True)
        (folder / "drawings" / "back.svg").write_bytes(b"mine")
        return real(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(put, "replace", meddle)
    with pytest.raises(CannotPlace, match="it changed in the meantime"):
        put_in_place(OLD, folder)
    assert held(folder) == {"drawings/back.svg": b"mine"}
    assert beside(folder) == []


@pytest.mark.parametrize("mine", ["notes.txt", "photos/1.jpg", "drawings/mine.svg"])
def test_what_comes_into_the_earlier_folder_after_all_goes_to_the_new_one(
    folder: Path, monkeypatch: pytest.MonkeyPatch, mine: str
) -> None:
    """Through a terminal that stands in it, after it was looked at."""
    put_in_place(OLD, folder)
    late(monkeypatch, mine)
    assert put_in_place(NEW, folder).beside == ()
    assert held(folder) == NEW | {mine: b"mine, and late"}
    assert beside(folder) == []


def late(monkeypatch: pytest.MonkeyPatch, mine: str) -> None:
    """Have a file saved into the package that was exchanged, the moment before it is removed."""
    real = put.discard

    def saved(temporary: Path, folder: Path) -> Path | None:
        monkeypatch.setattr(put, "discard", real)
        (temporary / "package" / mine).parent.mkdir(exist_ok=True)
        (temporary / "package" / mine).write_bytes(b"mine, and late")
        return real(temporary, folder)

    monkeypatch.setattr(put, "discard", saved)


def test_what_cannot_go_to_the_new_folder_is_kept_and_said_until_somebody_takes_it(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put_in_place(OLD, folder)
    late(monkeypatch, "drawings/back.svg")
    for _ in range(3):
        (left,) = put_in_place(NEW, folder).beside
        assert_is(folder, NEW)
        assert held(left) == {"drawings/back.svg": b"mine, and late"}
    (folder / "resolved.json").write_bytes(b"mine")
    with pytest.raises(CannotPlace) as said:
        put_in_place(OLD, folder)
    assert said.value.lines[-1] == put.beside(left)
    (folder / "resolved.json").unlink()
    (left / "drawings/back.svg").unlink()
    assert put_in_place(NEW, folder).beside == ()
    assert beside(folder) == []


def save(place: Path, content: bytes) -> None:
    """Save a file as an editor does: a new one is moved over the one before."""
    (new := place.with_name(f"{place.name}~")).write_bytes(content)
    new.replace(place)


def append(folder: Path) -> dict[str, bytes]:
    with (folder / "notes.txt").open("ab") as notes:
        notes.write(b", and more")
    return {"notes.txt": b"mine, and more", "site/log.txt": b"a log"}


def save_anew(folder: Path) -> dict[str, bytes]:
    save(folder / "notes.txt", b"mine, anew")
    return {"notes.txt": b"mine, anew", "site/log.txt": b"a log"}


def save_another(folder: Path) -> dict[str, bytes]:
    (folder / "photos").mkdir(exist_ok=True)
    (folder / "photos/1.jpg").write_bytes(b"a photograph")
    return {"notes.txt": b"mine", "photos/1.jpg": b"a photograph", "site/log.txt": b"a log"}


def rename(folder: Path) -> dict[str, bytes]:
    (folder / "notes.txt").rename(folder / "site/notes.txt")
    return {"site/notes.txt": b"mine", "site/log.txt": b"a log"}


def remove(folder: Path) -> dict[str, bytes]:
    (folder / "site/log.txt").unlink()
    return {"notes.txt": b"mine"}


@pytest.mark.parametrize("change", [append, save_anew, save_another, rename, remove])
def test_what_somebody_does_to_their_own_as_the_package_is_replaced_is_done(
    folder: Path, monkeypatch: pytest.MonkeyPatch, went: list[str], change: Callable[[Path], dict[str, bytes]]
) -> None:
    """After it was given its second name and before the exchange; just after it, in what was the package's folder."""
    for when in ("before", "after"):
        put_in_place(OLD, folder)
        (folder / "site").mkdir(exist_ok=True)
        (folder / "notes.txt").write_bytes(b"mine")
        (folder / "site/log.txt").write_bytes(b"a log")
        theirs: dict[str, bytes] = {}

        def meddle(one: Path, other: Path, when: str = when, theirs: dict[str, bytes] = theirs) -> None:
            if when == "before":
                theirs |= change(folder)
            exchange.exchange(one, other)
            if when == "after":
                theirs |= change(one)

        with monkeypatch.context() as patched:
            patched.setattr(whole, "exchange", meddle)
            assert put_in_place(NEW, folder).beside == ()
        assert held(folder) == NEW | theirs
        assert beside(folder) == []
        for path in theirs:
            (folder / path).unlink()
    assert set(went) == {"at once"}


def test_what_is_saved_between_the_exchange_and_the_exchange_back_stays_in_the_folder(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put_in_place(OLD, folder)
    (folder / "notes.txt").write_bytes(b"mine")
    turns = iter([True, False])

    def meddle(one: Path, other: Path) -> None:
        if next(turns):
            (folder / "drawings/back.svg").write_bytes(b"mine too")
        else:
            (folder / "letter.txt").write_bytes(b"a letter")
            save(folder / "notes.txt", b"mine, anew")
        exchange.exchange(one, other)

    monkeypatch.setattr(whole, "exchange", meddle)
    with pytest.raises(CannotPlace, match=r"drawings/back\.svg: nothing was written: it changed in the meantime"):
        put_in_place(NEW, folder)
    assert held(folder) == OLD | {
        "drawings/back.svg": b"mine too", "letter.txt": b"a letter", "notes.txt": b"mine, anew",
    }  # fmt: skip
    assert beside(folder) == []


def test_what_was_saved_as_a_run_was_killed_is_brought_back_by_the_next(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put_in_place(OLD, folder)
    (folder / "notes.txt").write_bytes(b"mine")

    class Killed(BaseException):
        pass

    def killed(one: Path, other: Path) -> None:
        save(folder / "notes.txt", b"mine, anew")
        (folder / "letter.txt").write_bytes(b"a letter")
        exchange.exchange(one, other)
        raise Killed

    with monkeypatch.context() as patched:
        patched.setattr(whole, "exchange", killed)
        patched.setattr(put, "discard", lambda *_: None)
        with pytest.raises(Killed):
            put_in_place(NEW, folder)
    assert held(folder) == NEW | {"notes.txt": b"mine"}
    put_in_place(NEW, folder)
    assert held(folder) == NEW | {"notes.txt": b"mine, anew", "letter.txt": b"a letter"}
    assert beside(folder) == []


def test_a_file_that_goes_away_while_the_earlier_package_is_removed_stops_nothing(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put_in_place(OLD, folder)
    real = whole.disk.remove

    def remove_first(place: Path) -> None:
        real(place)
        if place.name == "back.svg":
            real(place)

    monkeypatch.setattr(whole.disk, "remove", remove_first)
    put_in_place(NEW, folder)
    assert_is(folder, NEW)
    assert beside(folder) == []


def test_somebodys_folder_is_as_old_as_it_was(folder: Path) -> None:
    put_in_place(OLD, folder)
    for path in ("mine/inner", "mine"):
        (folder / path).mkdir(parents=True, exist_ok=True)
        (folder / path / "1.jpg").write_bytes(b"a photograph")
        os.utime(folder / path, (1e9, 1e9))
    put_in_place(NEW, folder)
    assert [(folder / path).stat().st_mtime for path in ("mine", "mine/inner")] == [1e9, 1e9]


def test_a_working_folder_that_may_not_be_looked_at_is_no_hindrance(
    folder: Path, monkeypatch: pytest.MonkeyPatch, went: list[str]
) -> None:
    put_in_place(OLD, folder)
    (here := folder.parent / "private" / "job").mkdir(parents=True)
    monkeypatch.chdir(here)
    real = os.stat

    def refused(place: Path, **options: bool) -> os.stat_result:
        if Path(place) == here:
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(place))
        return real(place, **options)

    monkeypatch.setattr(os, "stat", refused)
    put_in_place(NEW, folder)
    assert went == ["at once", "at once"]


def test_more_files_than_are_moved_leave_nothing_behind_where_the_new_ones_are_too_many(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put_in_place(OLD, folder)
    monkeypatch.setattr(whole, "MOST", len([*folder.rglob("*")]))
    with monkeypatch.context() as patched:
        patched.setattr(put, "replace", lambda *_: False)
        put_in_place(NEW | {f"{n}.csv": b"" for n in range(9)}, folder)
    assert beside(folder) == []


def test_a_path_that_is_too_long_only_beside_is_written_where_it_belongs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, went: list[str]
) -> None:
    folder = tmp_path / "p"
    put_in_place(OLD, folder)
    monkeypatch.chdir(folder)
    step = "x" * 200
    length = len(os.fsencode(folder))
    while length + len(step) + 1 < 4095 - len("/.p.cabdraw-01234567/1") + len("/p"):
        os.mkdir(step)
        os.chdir(step)
        length += len(step) + 1
    if (rest := 4095 - length - 1) > 1:
        os.mkdir("y" * min(rest - 1, 200))
    monkeypatch.chdir(tmp_path)
    put_in_place(NEW, folder)
    assert went == ["at once", "file by file"]


def test_a_folder_on_which_another_is_mounted_stays_where_it_is(folder: Path, went: list[str], tmp_path: Path) -> None:
    put_in_place(OLD, folder)
    (photos := folder / "photos of the shaft").mkdir()
    (shared := tmp_path / "shared").mkdir()
    done = subprocess.run(["mount", "--bind", shared, photos], capture_output=True, text=True, check=False)
    if done.returncode:
        pytest.skip(f"nothing can be mounted here: {done.stderr.strip()}")
    try:
        put_in_place(NEW, folder)
        (photos / "1.jpg").write_bytes(b"a photograph")
    finally:
        subprocess.run(["umount", photos], check=True)
    assert held(shared) == {"1.jpg": b"a photograph"}
    assert went == ["at once", "file by file"]


def test_what_is_written_into_a_file_of_others_in_place_stays_whichever_name_it_is_written_by(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put_in_place(OLD, folder)
    (folder / "notes.txt").write_bytes(b"mine")
    real = put.discard

    def saved(temporary: Path, folder: Path) -> Path | None:
        (temporary / "package" / "notes.txt").write_bytes(b"mine, and longer")
        return real(temporary, folder)

    monkeypatch.setattr(put, "discard", saved)
    put_in_place(NEW, folder)
    assert held(folder) == NEW | {"notes.txt": b"mine, and longer"}
    assert beside(folder) == []


@pytest.mark.parametrize("known", [b"", b"[]", b"{}", b"7", b"[7, null]", b"[" * 100_000, b'[{"notes.txt": 7}]'])
def test_of_a_dead_run_whose_list_is_damaged_nothing_is_removed_but_what_has_another_name(
    folder: Path, known: bytes
) -> None:
    put_in_place(OLD, folder)
    dead = folder.parent / ".larkspur.cabdraw-0123abcd"
    (dead / "package").mkdir(parents=True)
    (dead / "package" / "notes.txt").write_bytes(b"mine")
    os.link(folder / "resolved.json", dead / "package" / "resolved.json")
    (dead / "2").write_bytes(known)
    put_in_place(OLD, folder)
    assert held(dead / "package").get("notes.txt") == b"mine"
    assert_is(folder, OLD)


def test_ctrl_c_again_and_again_leaves_the_package_that_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def impatient(name: str) -> None:
        raise KeyboardInterrupt

    for when, words, left in (("before", "nothing was written", OLD), ("after", "the whole package is there", NEW)):
        folder = tmp_path / when / "p"
        put_in_place(OLD, folder)

        def work(when: str = when, folder: Path = folder) -> object:
            signal.signal(signal.SIGINT, signal.default_int_handler)
            call = {"before": "replace", "after": "sync"}[when]
            real = getattr(put, call)

            def struck(*given: object) -> object:
                Counted(1, impatient, on=True).patch(monkeypatch)
                return real(*given)

            monkeypatch.setattr(put, call, struck)
            return put_in_place(NEW, folder).written

        assert child(work) == (130, [f"{folder}: {words}"])
        assert_is(folder, left)
        put_in_place(NEW, folder)
        assert_is(folder, NEW)
        assert beside(folder) == []


def test_where_it_cannot_be_put_back_it_is_said_where_what_changed_is(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put_in_place(OLD, folder)
    real, turns = whole.exchange, iter([True, False])

    def once(one: Path, other: Path) -> None:
        (folder / "drawings/back.svg").write_bytes(b"mine")
        if not next(turns):
            raise OSError(errno.EIO, "failed")
        real(one, other)

    with monkeypatch.context() as patched:
        patched.setattr(whole, "exchange", once)
        with pytest.raises(CannotPlace, match=r"drawings/back\.svg: the whole package is there; what changed") as said:
            put_in_place(NEW, folder)
    (left,) = folder.parent.glob(".larkspur.cabdraw-*/package")
    assert str(left) in str(said.value)
    assert (left / "drawings/back.svg").read_bytes() == b"mine"


def test_a_reader_sees_one_package_or_the_other_while_runs_go_on(folder: Path) -> None:
    """Through one handle on the folder, what is read of it is always of one run."""
    put_in_place({"resolved.json": b"0", "drawings/back.svg": b"0", "site/a.csv": b"0"}, folder)
    text = (
        "import sys; from pathlib import Path; from cabdraw.place import put_in_place\n"
        "for turn in range(60):\n"
        "    each = str(turn).encode()\n"
        "    put_in_place({'resolved.json': each, 'drawings/back.svg': each, 'site/a.csv': each}, Path(sys.argv[1]))\n"
    )

    def look(path: str, top: int) -> bytes:
        with open(os.open(path, os.O_RDONLY, dir_fd=top), "rb") as file:
            return file.read()

    looked = 0
    with subprocess.Popen([sys.executable, "-c", text, str(folder)]) as run:
        while run.poll() is None:
            top = os.open(folder, os.O_RDONLY)
            try:
                read = {look(path, top) for path in ("resolved.json", "drawings/back.svg", "site/a.csv")}
            except FileNotFoundError:  # the earlier one, which is being removed
                continue
            finally:
                os.close(top)
            looked += 1
            assert len(read) == 1
    assert run.returncode == 0
    assert looked > 10
    assert json.loads((folder / "resolved.json").read_text()) == 59

"""Several cars drawn at once are the same files and the same words as one after the other, and stop as cleanly."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from concurrent.futures import Future
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path

import pytest

from cabdraw.cli import jobs
from cabdraw.cli.jobs import at_once
from cabdraw.stop import heeded, once, undisturbed

SPECS = Path(__file__).parent.parent / "specs"
COMMAND = [sys.executable, "-c", "from cabdraw.cli import main; main()", "draw", "--wall", "left"]


@pytest.fixture
def specs(tmp_path: Path) -> Path:
    """Four specs, of which one is wrong."""
    text = (SPECS / "quayside-lift-b.yaml").read_text()
    for name in ("a", "b", "d"):
        (tmp_path / f"{name}.yaml").write_text(text)
    (tmp_path / "c.yaml").write_text(text.replace("layout:", "lay-out:"))
    return tmp_path


def test_the_same_files_words_and_status(specs: Path) -> None:
    cars = ["a.yaml", "b.yaml", "c.yaml", "d.yaml"]

    def run(*more: str) -> tuple[int, str, str, dict[str, bytes]]:
        out = specs / "out"
        done = subprocess.run([*COMMAND, *cars, *more], cwd=specs, capture_output=True, text=True, timeout=300)
        files = {path.relative_to(out).as_posix(): path.read_bytes() for path in out.rglob("*") if path.is_file()}
        subprocess.run(["rm", "-r", out], check=True)
        return done.returncode, done.stdout, done.stderr, files

    one, two = run(), run("-j", "2")
    assert one[0] == 1
    assert "[4/4] d ... drawn" in two[1]
    assert two == one


@pytest.mark.skipif(sys.platform == "win32", reason="sends a signal as a terminal does")
def test_ctrl_c_undoes_what_is_half_done(specs: Path) -> None:
    run = subprocess.Popen(
        [*COMMAND, "a.yaml", "b.yaml", "d.yaml", "-j", "2"], cwd=specs, stderr=subprocess.PIPE, start_new_session=True
    )
    until = time.monotonic() + 60
    while not (specs / "out").exists() and time.monotonic() < until:
        time.sleep(0.005)
    os.killpg(run.pid, signal.SIGINT)
    said = run.communicate(timeout=120)[1].decode()
    assert run.returncode == 130
    assert "stopped" in said
    assert "Traceback" not in said
    for folder in (specs / "out").glob("*"):
        assert not folder.name.startswith("."), "left behind"
        assert (folder / "resolved.json").exists(), "half a package"


@pytest.mark.skipif(sys.platform == "win32", reason="sends a signal as a terminal does")
@pytest.mark.parametrize("whole_group", [True, False], ids=["as a terminal", "to the command alone"])
@pytest.mark.parametrize("gap", [0.005, 0.03, 0.1])
def test_ctrl_c_again_and_again_undoes_and_says_the_same(specs: Path, whole_group: bool, gap: float) -> None:
    names = ["a", "b", "d"]
    command = [*COMMAND, *(f"{name}.yaml" for name in names), "-j", "3"]
    run = subprocess.Popen(command, cwd=specs, stderr=subprocess.PIPE, start_new_session=True)
    until = time.monotonic() + 60
    while not any((specs / "out").glob(".*.cabdraw-*")) and time.monotonic() < until:
        time.sleep(0.002)
    for _ in range(3):
        with contextlib.suppress(ProcessLookupError):
            (os.killpg if whole_group else os.kill)(run.pid, signal.SIGINT)
        time.sleep(gap)
    said = run.communicate(timeout=120)[1].decode()
    assert run.returncode in (0, 130)
    assert "Traceback" not in said
    assert sorted(folder.name for folder in (specs / "out").glob("*") if folder.name.startswith(".")) == []
    for name in names:
        if (specs / "out" / name / "resolved.json").exists():
            assert f"{name}.yaml: nothing was written" not in said


def _struck_again() -> None:
    try:
        signal.raise_signal(signal.SIGINT)
    except KeyboardInterrupt:
        signal.raise_signal(signal.SIGINT)
        with undisturbed():
            signal.raise_signal(signal.SIGINT)
        raise


def _struck_where_it_is_put_off() -> None:
    try:
        with undisturbed():
            signal.raise_signal(signal.SIGINT)
    finally:
        signal.raise_signal(signal.SIGINT)


@pytest.mark.parametrize("struck", [_struck_again, _struck_where_it_is_put_off])
def test_ctrl_c_interrupts_once_where_all_then_ends_by_itself(struck: Callable[[], None]) -> None:
    usual = signal.getsignal(signal.SIGINT)
    with heeded():
        noted = signal.getsignal(signal.SIGINT)
        with once():
            pass
        assert signal.getsignal(signal.SIGINT) is noted
        with pytest.raises(KeyboardInterrupt), once():
            struck()
    assert signal.getsignal(signal.SIGINT) is usual


@pytest.mark.skipif(sys.platform != "linux", reason="looks at processes as Linux lists them")
def test_a_process_that_is_asked_to_end_undoes_first(specs: Path) -> None:
    """As the others are where one of them died: what that one had in hand, and what comes after, is done here."""
    command = [*COMMAND, "a.yaml", "b.yaml", "d.yaml", "-j", "2"]
    run = subprocess.Popen(command, cwd=specs, stderr=subprocess.PIPE, start_new_session=True)
    until = time.monotonic() + 60
    while not (begun := list((specs / "out").glob(".*.cabdraw-????????"))) and time.monotonic() < until:
        time.sleep(0.002)
    assert begun
    (server,) = _children(run.pid, "forkserver")
    for worker in _children(server, ""):
        os.kill(worker, signal.SIGTERM)
    said = run.communicate(timeout=120)[1].decode()
    assert "Traceback" not in said
    assert sorted(folder.name for folder in (specs / "out").glob("*") if folder.name.startswith(".")) == []


def _children(process: int, doing: str) -> list[int]:
    listed = Path(f"/proc/{process}/task/{process}/children").read_text().split()
    return [int(each) for each in listed if doing in Path(f"/proc/{each}/cmdline").read_text()]


@pytest.mark.skipif(sys.platform != "linux", reason="looks at processes as Linux lists them")
@pytest.mark.parametrize("end", [signal.SIGINT, signal.SIGTERM, signal.SIGKILL])
def test_no_process_outlives_the_command(specs: Path, end: signal.Signals) -> None:
    run = subprocess.Popen(
        [*COMMAND, "a.yaml", "b.yaml", "d.yaml", "-j", "2"], cwd=specs, stderr=subprocess.PIPE, start_new_session=True
    )
    until = time.monotonic() + 60
    while not (specs / "out").exists() and time.monotonic() < until:
        time.sleep(0.005)
    run.send_signal(end)
    # Only when the last process is gone does what it may write to come to its end.
    said = run.communicate(timeout=60)[1].decode()
    assert run.returncode == {signal.SIGINT: 130, signal.SIGTERM: 143, signal.SIGKILL: -9}[end]
    assert "Traceback" not in said


def test_one_job_needs_no_process() -> None:
    with at_once(1, lambda car: (car, os.getpid()), ["a", "b"]) as made:
        assert made("a") == ("a", os.getpid())


def _die_once(car: Path) -> str:
    if car.exists():
        car.unlink()
        os._exit(9)
    return car.name


def test_what_a_dead_process_had_in_hand_is_done_all_the_same(tmp_path: Path) -> None:
    cars = [tmp_path / name for name in "abcdef"]
    cars[2].touch()
    with at_once(2, _die_once, cars) as made:
        assert [made(car) for car in cars] == list("abcdef")


class Dying:
    """Processes of which some cars get done, at one car a process dies, and after some cars none takes more."""

    def __init__(self, dies: int, closes: int) -> None:
        self.dies, self.closes, self.begun = dies, closes, 0

    def submit(self, do: Callable[..., str], work: Callable[[str], str], car: str) -> Future[str]:
        if self.begun == self.closes:
            raise BrokenProcessPool
        done: Future[str] = Future()
        if self.begun >= self.dies:
            done.set_exception(BrokenProcessPool())
        else:
            done.set_result(f"{car} by a process")
        self.begun += 1
        return done

    def shutdown(self, **_: bool) -> None:
        pass


@pytest.mark.parametrize("closes", range(7))
@pytest.mark.parametrize("dies", range(7))
def test_no_car_gets_what_was_done_for_another(dies: int, closes: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(jobs, "_processes", lambda count: (Dying(dies, closes), threading.Event()))
    with at_once(2, lambda car: f"{car} here", "abcdef") as made:
        done = [made(car) for car in "abcdef"]
    by_processes = min(dies, closes)
    assert done == [f"{car} {'by a process' if n < by_processes else 'here'}" for n, car in enumerate("abcdef")]


@pytest.mark.parametrize("number", ["0", "65", "-1"])
def test_as_many_at_once_as_cannot_be_is_a_wrong_command(number: str) -> None:
    done = subprocess.run([*COMMAND, "a.yaml", "-j", number], capture_output=True, text=True, timeout=60)
    assert done.returncode == 2
    assert f"{number} cars cannot be drawn at once, only 1 to 64." in done.stderr

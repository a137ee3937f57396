"""Whole runs of the command killed, stopped by Ctrl-C, or two at once: what is left, and what is said of it."""

from __future__ import annotations

import json
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from functools import cache
from pathlib import Path

import pytest
from test_place import held
from test_place_killed import IN_PART

#: How many moments are tried; 200 in the benchmarks.
MOMENTS = 200 if os.environ.get("CABDRAW_BENCH") == "1" else 8
SPEC = """\
cabdraw: 1
units: mm
job: {project: Stopped, car: Car}
survey: {height: 2350, walls: {back: {width: 1500}}}
layout:
  panel: {air_gap: 10, thickness: 19}
  joint: {engagement: 9, groove_depth: 12, clearance: 1.5, base_tab: 9}
  reveal: 12
  corner_gap: 12
  front_gap: 25
  stack: [{gap: 22}, {base: 100}, {full: fill}, {gap: 20}]
  walls: {back: {panels: 2}}
"""
COMMAND = (sys.executable, "-c", "from cabdraw.cli import main; main()", "draw", "--quiet", "car.yaml")


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "car.yaml").write_text(SPEC)
    return tmp_path


@cache
def package(projects: str) -> dict[str, bytes]:
    """What is drawn of a project."""
    Path("car.yaml").write_text(SPEC.replace("Stopped", projects))
    assert subprocess.run([*COMMAND, "--out", "whole"], check=False).returncode == 0
    found = held(Path("whole/car"))
    shutil.rmtree("whole")
    return found


def moments(chance: random.Random, whole: float) -> list[float]:
    """Moments spread over a run, more of them about its end, where files are put in place."""
    spread = [whole * n / MOMENTS for n in range(1, MOMENTS + 1)]
    return [moment if n % 2 else whole * chance.uniform(0.85, 1.05) for n, moment in enumerate(spread)]


def begun(desk: Path) -> tuple[dict[str, bytes], dict[str, bytes], float]:
    """An earlier package and the new one, and how long a run takes."""
    old, new = package("Old"), package("New")
    Path("car.yaml").write_text(SPEC.replace("Stopped", "New"))
    start = time.monotonic()
    assert subprocess.run(COMMAND, check=False).returncode == 0
    whole = time.monotonic() - start
    shutil.rmtree("out")
    return old, new, whole


def written(old: dict[str, bytes]) -> None:
    """Put the earlier package there as a run leaves it."""
    shutil.rmtree("out", ignore_errors=True)
    from cabdraw.place import put_in_place

    put_in_place(old, Path("out/car"))


def test_killed_at_any_moment_the_earlier_package_is_whole_or_the_new_one_and_the_next_run_clears_up(
    desk: Path,
) -> None:
    old, new, whole = begun(desk)
    for moment in moments(random.Random(1), whole):
        written(old)
        with subprocess.Popen(COMMAND, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as run:
            time.sleep(moment)
            run.kill()
        assert held(Path("out/car")) in (old, new)
        assert subprocess.run(COMMAND, check=False).returncode == 0
        assert held(Path("out/car")) == new
        assert os.listdir("out") == ["car"]


def test_the_run_after_a_killed_one_says_that_it_puts_it_right(desk: Path) -> None:
    old = package("Old")
    written(old)
    journal = Path("out/car/.cabdraw.json")
    listed = json.loads(journal.read_text())
    listed["written"]["report.html"].append("0" * 64)
    journal.write_text(json.dumps(listed))
    again = [part for part in COMMAND if part != "--quiet"]
    said = [subprocess.run(again, capture_output=True, text=True, check=True).stdout for _ in range(2)]
    assert ["cut short while it wrote there; all of it is put right" in words for words in said] == [True, False]


@pytest.mark.parametrize(
    ("late", "there"),
    [("collect_rarely = strike", ""), ("guarded = lambda work: (real(work), strike())", "the whole package is there")],
)
def test_ctrl_c_before_the_command_begins_and_after_its_last_word_is_said(desk: Path, late: str, there: str) -> None:
    struck = f"""
import signal
from cabdraw import cli
real = cli.guarded
def strike():
    signal.raise_signal(signal.SIGINT)
cli.{late}
cli.main()
"""
    command = [sys.executable, "-c", struck, *COMMAND[3:], "--wall", "back"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 130
    assert done.stderr == "\nstopped\n" + (f"car.yaml: {there}\n" if there else "")
    assert Path("out/car/resolved.json").exists() == bool(there)


def test_ctrl_c_at_any_moment_gives_130_and_leaves_nothing_behind(desk: Path) -> None:
    old, new, whole = begun(desk)
    stopped = 0
    for number, share in enumerate(moments(random.Random(2), 1.0)):
        first = number % 2 == 1
        written(old)
        if first:
            shutil.rmtree("out")
        with subprocess.Popen(COMMAND, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as run:
            time.sleep(share * whole)
            run.send_signal(signal.SIGINT)
            err = run.communicate(timeout=60)[1]
        if run.returncode == 0:
            assert held(Path("out/car")) == new
            whole *= 0.85  # runs are quicker than the first, which others on this machine held up
            continue
        # Before Python has read the command's own first line it is the signal itself that ends it: 130 to a shell; or,
        # where it is still loading its own modules, an error of its own.
        starting = "Fatal Python error: init_import_site" in err
        assert run.returncode in (130, -signal.SIGINT) or starting, err
        assert "Traceback" not in err or run.returncode == -signal.SIGINT or starting, err
        assert IN_PART not in err
        if run.returncode == 130:
            stopped += 1
            assert err.startswith("\nstopped\n")
            there = "the whole package is there" in err
            assert (held(Path("out/car")) if Path("out/car").exists() else {}) == (
                new if there else {} if first else old
            )
        assert sorted(os.listdir()) == (["car.yaml"] if first and not Path("out").exists() else ["car.yaml", "out"])
        assert not Path("out").exists() or os.listdir("out") == ["car"]
    assert stopped


def test_a_request_to_end_undoes_as_ctrl_c_does(desk: Path) -> None:
    old, new, whole = begun(desk)
    ended = 0
    for share in (0.6, 0.75, 0.85, 0.9, 0.95, 0.6, 0.7, 0.8):
        written(old)
        with subprocess.Popen(COMMAND, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as run:
            time.sleep(share * whole)
            run.terminate()
            err = run.communicate(timeout=60)[1]
        assert "Traceback" not in err
        assert run.returncode in (0, 143, -signal.SIGTERM)
        ended += run.returncode == 143
        whole *= 0.85 if run.returncode == 0 else 1  # runs are quicker than the first, as others held that up
        found = held(Path("out/car"))
        # Before the command's first line and after its last it is the signal that ends it.
        assert found in (old, new)
        if run.returncode == 143:
            assert found == (new if "the whole package is there" in err else old)
        assert os.listdir("out") == ["car"]
    assert ended


def test_two_runs_at_once_into_one_folder_leave_one_package_whole(desk: Path) -> None:
    old, new, _ = begun(desk)
    for name, project in (("a", "Old"), ("b", "New")):
        Path(name).mkdir()
        Path(name, "car.yaml").write_text(SPEC.replace("Stopped", project))
    runs = [
        subprocess.Popen([*COMMAND[:-1], f"{name}/car.yaml", "--out", "out"], stderr=subprocess.PIPE, text=True)
        for name in ("a", "b")
    ]
    ended = [(run.communicate(timeout=120)[1], run.returncode) for run in runs]
    for err, status in ended:
        assert status == 0 or (status == 1 and "another run of cabdraw is writing there" in err)
    assert held(Path("out/car")) in (old, new)
    assert os.listdir("out") == ["car"]


def test_a_device_or_a_pipe_is_no_spec_and_is_not_waited_for(desk: Path) -> None:
    os.mkfifo("pipe.yaml")
    Path("zero.yaml").symlink_to("/dev/zero")
    for name in ("pipe.yaml", "zero.yaml", "/dev/stdin", "."):
        run = subprocess.run([*COMMAND[:-1], name], capture_output=True, text=True, timeout=30, check=False, input="")
        assert run.returncode == 1
        assert "Traceback" not in run.stderr
        assert name in run.stderr
    for include in ("pipe.yaml", "zero.yaml", "/dev/zero", "/etc/passwd", "car.yaml", ".", "../" * 40 + "etc/passwd"):
        Path("car.yaml").write_text(SPEC + f"include: {include}\n")
        run = subprocess.run(COMMAND, capture_output=True, text=True, timeout=30, check=False)
        assert run.returncode == 1
        assert "car.yaml:" in run.stderr
        assert "root:" not in run.stderr

"""`--json`: one document on the output whatever becomes of the specs, with all that the words would say."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from conftest import REPOSITORY

from cabdraw import __version__, cli, looked, package
from cabdraw.errors import Finding

LARKSPUR = REPOSITORY / "specs" / "larkspur-car-2.yaml"
CAR = {
    "name", "spec", "car", "status", "result", "not_for_fabrication", "findings", "errors", "folder", "files",
    "removed", "kept", "since",
}  # fmt: skip
WHOLE = {"cabdraw", "version", "command", "status", "cars", "all_cars", "errors", "notes"}
ERROR = {"file", "line", "column", "path", "what", "hint"}
FOUND = {
    "code", "severity", "stops", "message", "where", "file", "line", "column", "hint", "wall", "marks",
}  # fmt: skip


@pytest.fixture(autouse=True)
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder to work in, with one good spec and one bad one; only `resolved.json` is drawn, which is quick."""
    monkeypatch.chdir(tmp_path)
    text = LARKSPUR.read_text(encoding="utf-8")
    Path("good.yaml").write_text(text, encoding="utf-8")
    Path("bad.yaml").write_text(text.replace("standoff: 1 1/2", "standof: 1 1/2"), encoding="utf-8")
    Path("older.yaml").write_text(text.replace("panels: 3", "panels: 4"), encoding="utf-8")
    for name in ("_shop", "_sheets", "_site", "_templates", "_report"):
        monkeypatch.setattr(package, name, lambda *_: ())
    monkeypatch.setattr(package, "DRAWINGS", ())


class Run:
    """A command that was run: its status, its document, and what it said besides."""

    def __init__(self, status: int, out: str, err: str) -> None:
        self.status, self.out, self.err = status, out, err
        assert out.isascii()
        assert out.endswith("}\n")
        self.said: dict[str, Any] = json.loads(out)
        assert self.said.keys() == WHOLE
        assert self.said["cabdraw"] == 1
        assert self.said["version"] == __version__
        assert self.said["status"] == status
        for car in self.said["cars"]:
            assert car.keys() == CAR
            assert all(error.keys() == ERROR for error in car["errors"])
            assert all(finding.keys() == FOUND for finding in car["findings"])

    @property
    def car(self) -> dict[str, Any]:
        """The one car."""
        (found,) = self.said["cars"]
        return dict(found)


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Any:
    """Run a command in this process, once in words for its status and once as JSON."""

    def run(*typed: str, stderr: bool = False) -> Run:
        monkeypatch.setattr(sys, "argv", ["cabdraw", *typed])
        status = cli.run()
        capsys.readouterr()
        monkeypatch.setattr(sys, "argv", ["cabdraw", *typed, "--json"])
        assert cli.run() == status
        said = capsys.readouterr()
        assert bool(said.err) == stderr
        return Run(status, said.out, said.err)

    return run


def test_what_was_drawn(run: Any) -> None:
    done = run("draw", "good.yaml")
    car = done.car
    assert (done.status, done.said["command"], done.said["all_cars"]) == (0, "draw", None)
    assert (car["name"], car["spec"], car["car"], car["status"], car["result"]) == (
        "good",
        "good.yaml",
        None,
        0,
        "drawn",
    )
    assert car["folder"] == os.path.join("out", "good")
    assert car["files"] == ["resolved.json"]
    assert (Path(car["folder"]) / car["files"][0]).exists()
    resolved = json.loads(Path("out/good/resolved.json").read_text())
    assert [found["code"] for found in car["findings"]] == [found["code"] for found in resolved["findings"]]
    for found in car["findings"]:
        assert found["file"] == "good.yaml"
        assert found["line"] > 1
        assert found["hint"]
    unverified = next(found for found in car["findings"] if found["code"] == "drill-unverified")
    assert (unverified["stops"], unverified["wall"], unverified["where"]) == ("drilling", "left", "survey.walls.left")


def test_check_writes_nothing_but_the_document(run: Any) -> None:
    done = run("check", "good.yaml", "bad.yaml")
    good, bad = done.said["cars"]
    assert done.said["command"] == "check"
    assert (good["result"], good["status"], good["folder"], good["files"]) == ("checked", 0, None, [])
    assert len(good["findings"]) >= 3
    assert (bad["result"], bad["status"]) == ("refused", 1)
    assert not Path("out").exists()


def test_a_refused_spec_says_each_error_with_its_place(run: Any) -> None:
    done = run("draw", "bad.yaml")
    car = done.car
    assert (done.status, car["status"], car["result"]) == (1, 1, "refused")
    assert (car["folder"], car["files"], car["findings"]) == (None, [], [])
    error = next(error for error in car["errors"] if "standof" in error["what"])
    line = 1 + Path("bad.yaml").read_text().split("standof:")[0].count("\n")
    assert (error["file"], error["line"], error["column"], error["path"]) == ("bad.yaml", line, 3, "handrail")
    assert '"standoff"' in error["what"]
    assert not Path("out").exists()


def test_every_car_of_a_spec_and_of_several_specs(run: Any) -> None:
    for name in ("shop-defaults", "job-of-two-cars"):
        Path(f"{name}.yaml").write_bytes((REPOSITORY / "docs" / "recipes" / f"{name}.yaml").read_bytes())
    done = run("draw", "job-of-two-cars.yaml", "bad.yaml", "good.yaml")
    assert [(car["car"], car["result"]) for car in done.said["cars"]] == [
        ("car-1", "drawn"), ("car-2", "drawn"), (None, "refused"), (None, "drawn"),
    ]  # fmt: skip
    assert done.status == 1
    assert done.said["all_cars"]["folder"] == os.path.join("out", "all-cars")
    assert done.said["all_cars"]["without"] == []
    assert "cut-list.csv" in done.said["all_cars"]["files"]


def test_an_error_in_an_included_file_names_that_file(run: Any) -> None:
    text = (REPOSITORY / "docs" / "recipes" / "shop-defaults.yaml").read_text(encoding="utf-8")
    Path("shop-defaults.yaml").write_text(text.replace("reveal: 1/2\n  corner", "reveal: wide\n  corner"))
    Path("job.yaml").write_bytes((REPOSITORY / "docs" / "recipes" / "job-of-two-cars.yaml").read_bytes())
    done = run("check", "job.yaml", "--car", "car-1")
    assert [(error["file"], error["path"]) for error in done.car["errors"]] == [("shop-defaults.yaml", "layout.reveal")]


def test_a_finding_that_is_an_error_makes_the_status(run: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    found = Finding(
        "too-narrow", "error", "A panel is too narrow.", ("layout",), "Use fewer.", "fabrication", None, ("a",)
    )
    monkeypatch.setattr(looked, "check", lambda cab: (found,))
    car = run("draw", "good.yaml").car
    assert (car["status"], car["result"], car["not_for_fabrication"]) == (1, "drawn", True)
    assert car["findings"][0]["marks"] == ["a"]


def test_what_changed_since(run: Any) -> None:
    done = run("draw", "good.yaml", "--since", "older.yaml")
    since = done.car["since"]
    assert since["spec"] == "older.yaml"
    assert not since["same"]
    assert {"lower-back-1", "lower-back-4"} <= {change["mark"] for change in since["changes"]}
    assert done.said["notes"] == ["both are revision A: give the new one a mark of its own, as job.revision"]


def test_a_bad_earlier_spec_is_told_by_its_place(run: Any) -> None:
    done = run("draw", "good.yaml", "--since", "bad.yaml")
    assert done.status == 1
    assert done.said["cars"] == []
    assert [(error["file"], error["path"]) for error in done.said["errors"]][:1] == [("bad.yaml", "handrail")]
    assert all(error.keys() == ERROR for error in done.said["errors"])


def test_what_cannot_be_placed_or_is_not_there(run: Any) -> None:
    Path("out").write_text("a file")
    car = run("draw", "good.yaml").car
    assert (car["result"], car["status"]) == ("not written", 1)
    assert "out" in car["errors"][0]["what"]
    (Path("b") / "good").mkdir(parents=True)
    narrow = Path("side.yaml")
    narrow.write_bytes((REPOSITORY / "specs" / "quayside-lift-b.yaml").read_bytes())
    done = run("draw", "side.yaml", "--wall", "back", "--out", "b")
    assert (done.status, done.car["result"]) == (2, "not drawn")
    assert "back" in done.car["errors"][0]["what"]


def test_two_cars_for_one_folder(run: Any) -> None:
    Path("b").mkdir()
    Path("b/good.yaml").write_bytes(Path("good.yaml").read_bytes())
    done = run("draw", "good.yaml", "b/good.yaml")
    assert done.status == 2
    assert "would go into one folder" in done.said["errors"][0]["what"]
    assert done.said["cars"] == []


def test_a_file_that_somebody_changed_is_named(run: Any) -> None:
    run("draw", "good.yaml")
    Path("out/good/resolved.json").write_text("mine")
    car = run("draw", "good.yaml").car
    assert car["result"] == "not written"
    assert any("resolved.json" in error["what"] for error in car["errors"])
    assert Path("out/good/resolved.json").read_text() == "mine"


def test_what_no_longer_belongs_is_removed_or_kept(run: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(package, "_sheets", lambda *_: [("drawings/one.txt", b"1"), ("drawings/two.txt", b"2")])
    run("draw", "good.yaml")
    Path("out/good/drawings/two.txt").write_text("mine")
    monkeypatch.setattr(package, "_sheets", lambda *_: ())
    monkeypatch.setattr(sys, "argv", ["cabdraw", "draw", "good.yaml", "--json"])
    with pytest.MonkeyPatch.context() as patch:
        said = io.StringIO()
        patch.setattr(sys, "stdout", said)
        assert cli.run() == 0
    car = json.loads(said.getvalue())["cars"][0]
    assert (car["removed"], car["kept"]) == (["drawings/one.txt"], ["drawings/two.txt"])


def test_a_car_that_must_not_be_made_is_not_in_the_lists_over_all(run: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    found = Finding("too-narrow", "error", "A panel is too narrow.", ("layout",), "Use fewer.", "fabrication")
    monkeypatch.setattr(looked, "check", lambda cab: (found,) if cab.name == "older" else ())
    Path("third.yaml").write_bytes(Path("good.yaml").read_bytes())
    done = run("draw", "good.yaml", "older.yaml", "third.yaml")
    assert done.said["all_cars"]["without"] == ["older"]
    assert done.said["notes"] == [note for note in done.said["notes"] if "very readings of" in note] != []


def test_a_mistake_in_cabdraw_is_one_in_the_document_too(run: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(cab: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(looked, "check", broken)
    done = run("check", "good.yaml", stderr=True)
    assert (done.status, done.car["result"], done.car["status"]) == (3, "failed", 3)
    assert "mistake in cabdraw" in done.car["errors"][0]["what"]
    assert "a report is in" in done.err


@pytest.mark.parametrize(
    "project", ['</script><b>"x"', "=cmd|' /C calc'!A0", "{}]}\\n", "‮evil", "Größe №1 ✓ 😀", "a: b, [c"]
)
def test_hostile_text_stays_text(run: Any, project: str) -> None:
    text = Path("good.yaml").read_text(encoding="utf-8")
    Path("good.yaml").write_text(
        text.replace("project: Larkspur Court", f"project: {json.dumps(project, ensure_ascii=False)}")
        .replace("by: R. Vance", f"by: {json.dumps(project, ensure_ascii=False)}")
        .replace("colour: ivory", f"colour: {json.dumps(project, ensure_ascii=False)}"),
        encoding="utf-8",
    )
    car = run("check", "good.yaml").car
    # It is said back in the error about the colour, and a sign that cannot be printed as what it is.
    assert car["result"] == "refused"
    said = "".join(error["what"] for error in car["errors"])
    assert project.strip()[1:8] in said or "U+202E" in said


def test_a_file_name_that_is_no_text_is_said_in_signs_that_every_reader_takes(run: Any) -> None:
    name = os.fsdecode(b"na\xffme\x1b[2J.yaml")
    try:
        Path(name).write_bytes(LARKSPUR.read_bytes())
    except OSError:
        pytest.skip("this file system takes no such name")
    car = run("check", name).car
    assert car["spec"] == "na\\udcffme\x1b[2J.yaml"
    assert json.dumps(car).encode()


def test_nothing_else_is_on_the_output_of_the_real_command() -> None:
    command = [sys.executable, "-c", "from cabdraw.cli import main; main()", "check", "--json", "good.yaml", "bad.yaml"]
    env = {**os.environ, "PYTHONPATH": str(REPOSITORY)}
    done = subprocess.run(command, capture_output=True, check=False, timeout=60, env=env)
    assert (done.returncode, done.stderr) == (1, b"")
    assert [car["result"] for car in json.loads(done.stdout)["cars"]] == ["checked", "refused"]


def test_a_command_that_is_wrong_says_so_on_the_error_stream(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "argv", ["cabdraw", "draw", "--json", "good.yaml", "--wall", "roof"])
    assert cli.run() == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "no wall called" in said.err

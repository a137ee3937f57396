"""The command line: what is said, where, and the exit status."""

from __future__ import annotations

import json
import os
import pydoc
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from cabdraw import __version__, cli, looked, package
from cabdraw.cab import WALLS, Cab
from cabdraw.errors import BadSpec, Finding
from cabdraw.package import folder_name

SPECS = Path(__file__).parent.parent / "specs"


@pytest.fixture(autouse=True)
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to work in, with one good spec."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    copy("larkspur-car-2.yaml")
    return tmp_path


def copy(name: str, to: str = "", old: str = "", new: str = "") -> None:
    text = (SPECS / name).read_text(encoding="utf-8")
    assert old in text
    Path(to or name).write_text(text.replace(old, new), encoding="utf-8")


def line_of(text: str) -> int:
    """The line of the good spec in which a text first stands."""
    whole = Path("larkspur-car-2.yaml").read_text(encoding="utf-8")
    return whole[: whole.index(text)].count("\n") + 1


def bad(name: str) -> None:
    """A spec with a misspelt key and a length that is none."""
    copy("larkspur-car-2.yaml", name, "standoff: 1 1/2\n  end_clearance: 4", "standof: 1 1/2\n  end_clearance: four")


@pytest.fixture
def no_drawings(monkeypatch: pytest.MonkeyPatch) -> None:
    """Only `resolved.json`: quick, where the drawings are not what is asked."""
    monkeypatch.setattr(package, "_shop", lambda *_: ())
    monkeypatch.setattr(package, "DRAWINGS", ())
    monkeypatch.setattr(package, "_sheets", lambda *_: ())
    monkeypatch.setattr(package, "_site", lambda *_: ())
    monkeypatch.setattr(package, "_templates", lambda *_: ())
    monkeypatch.setattr(package, "_report", lambda *_: ())


def found(monkeypatch: pytest.MonkeyPatch, *findings: Finding) -> None:
    monkeypatch.setattr(looked, "check", lambda cab: findings)


STOPS = Finding(
    "too-narrow", "error", "A panel is too narrow.", ("layout", "walls", "back"), "Use fewer.", "fabrication"
)
WARNS = Finding("not-verified", "warning", "Not verified.", ("survey", "walls", "left"), "Verify it.", "drilling")


class Said:
    def __init__(self, status: int, out: str, err: str) -> None:
        self.status, self.out, self.err = status, out, err


Run = Callable[..., Said]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command in this process."""

    def run(*typed: str) -> Said:
        monkeypatch.setattr(sys, "argv", ["cabdraw", *typed])
        status = cli.run()
        said = capsys.readouterr()
        return Said(status, said.out, said.err)

    return run


COMMAND = [sys.executable, "-c", "from cabdraw.cli import main; main()"]


def started(*typed: str, env: dict[str, str] | None = None) -> subprocess.CompletedProcess[str]:
    """Run a command in a process of its own."""
    return subprocess.run([*COMMAND, *typed], capture_output=True, text=True, timeout=60, env=env)


# --- drawing ---


def test_draw_writes_the_whole_package(run: Run) -> None:
    said = run("draw", "larkspur-car-2.yaml")
    assert said.err == ""
    assert said.status == 0
    written = sorted(
        path.relative_to("out/larkspur-car-2").as_posix() for path in Path("out").rglob("*.*") if path.is_file()
    )
    parts = [path for path in written if path.startswith("shop/parts/")]
    assert len(parts) == len(json.loads(Path("out/larkspur-car-2/resolved.json").read_text())["parts"])
    assert [path for path in written if path not in parts] == sorted(
        [".cabdraw.json", "report.html", "resolved.json"]
        + [f"drawings/elevation-{wall}.{kind}" for wall in WALLS for kind in ("dxf", "svg")]
        + [f"drawings/look-{wall}.svg" for wall in WALLS]
        + ["drawings/set.dxf", "drawings/set.pdf"]
        + [f"shop/{name}.csv" for name in ("bends", "cut-list", "edges", "mass")]
        + ["shop/lists.xlsx"]
        + [f"site/drill-{wall}{kind}" for wall in WALLS for kind in (".svg", ".pdf", "-tiled.pdf", "-local.pdf")]
        + [f"site/{name}.csv" for name in ("blocks", "hardware", "packing")]
        + [f"site/{name}.pdf" for name in ("blocks", "labels", "steps")]
    )
    assert said.out.startswith("larkspur-car-2 ... drawn, ")
    assert f"{len(written) - 1} files in out/larkspur-car-2\n" in said.out
    assert json.loads(Path("out/larkspur-car-2/resolved.json").read_text())["cabdraw"] == 1


def test_only_one_wall(run: Run) -> None:
    run("draw", "larkspur-car-2.yaml")
    said = run("draw", "larkspur-car-2.yaml", "--wall", "back")
    assert said.status == 0
    shop = {path.stem for path in Path("out/larkspur-car-2/shop/parts").iterdir()}
    assert {"lower-back-1", "rail-back"} <= shop
    assert not any("left" in mark or "right" in mark for mark in shop)
    drawn = (path for path in Path("out/larkspur-car-2").rglob("*-*.*") if "shop" not in path.parts)
    assert sorted(path.name for path in drawn) == [
        "drill-back-local.pdf", "drill-back-tiled.pdf", "drill-back.pdf", "drill-back.svg", "elevation-back.dxf",
        "elevation-back.svg", "look-back.svg",
    ]  # fmt: skip
    assert "removed, of an earlier run: drawings/elevation-left.dxf, " in said.out
    assert list(json.loads(Path("out/larkspur-car-2/resolved.json").read_text())["walls"]) == list(WALLS)


def test_templates_are_corrected_for_a_printer_and_nothing_else_is(run: Run) -> None:
    run("draw", "larkspur-car-2.yaml", "--wall", "back", "-o", "true")
    said = run("draw", "larkspur-car-2.yaml", "--wall", "back", "--print-scale", " 99.4/100 X 99.8/100 ", "-o", "off")
    assert (said.status, said.err) == (0, "")
    true, off = (
        {path.relative_to(folder).as_posix(): path.read_bytes() for path in Path(folder).rglob("*.*") if path.is_file()}
        for folder in ("true/larkspur-car-2", "off/larkspur-car-2")
    )
    names = {name.replace("-corrected-x99.4of100-y99.8of100", ""): name for name in off}
    assert set(names) == set(true)
    changed = {name for name in true if true[name] != off[names[name]]}
    assert changed == {"site/drill-back.pdf", "site/drill-back-tiled.pdf", "site/drill-back-local.pdf", ".cabdraw.json"}
    assert all(("corrected" in names[name]) == name.endswith(".pdf") for name in changed)


@pytest.mark.parametrize(
    ("typed", "what"),
    [
        ("0.994", "'0.994' is not a print scale; write what was measured over what it should be, e.g. 99.4/100"),
        ("99.4/0", "is not a print scale"),
        ("94.9/100", "94.9/100 is 94.9%, and no printer is so far off"),
        ("100/100x105.1/100", "105.1/100 is 105.1%, and no printer is so far off"),
        ("99.4/100x", "is not a print scale"),
        ("-99.4/100", "is not a print scale"),
        ("1e2/100", "is not a print scale"),
        ("\x1b[31m", r"'\x1b[31m' is not a print scale"),
    ],
)
def test_a_print_scale_that_is_none(run: Run, typed: str, what: str) -> None:
    said = run("draw", "larkspur-car-2.yaml", f"--print-scale={typed}")
    assert said.status == 2
    assert what in " ".join(said.err.split())
    assert not Path("out").exists()


def test_several_walls_into_a_folder_of_ones_own(run: Run) -> None:
    assert (
        run("draw", "larkspur-car-2.yaml", "--wall", "left", "--wall", "left", "--wall", "back", "-o", "a/b").status
        == 0
    )
    names = {path.stem for path in Path("a/b/larkspur-car-2/drawings").iterdir()}
    assert names == {"elevation-left", "elevation-back", "look-left", "look-back"}
    assert not Path("out").exists()


def test_a_wall_without_panels_is_a_mistake_in_the_command(run: Run) -> None:
    copy("quayside-lift-b.yaml")
    said = run("draw", "quayside-lift-b.yaml", "--wall", "back")
    assert said.status == 2
    assert said.err == "quayside-lift-b.yaml: there is no back wall to draw: this car has panels on left and right\n"
    assert not Path("out").exists()


@pytest.mark.usefixtures("no_drawings")
def test_a_finding_that_is_an_error_gives_status_1_and_is_drawn(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    found(monkeypatch, STOPS, WARNS)
    said = run("draw", "larkspur-car-2.yaml")
    assert said.status == 1
    assert said.out.splitlines() == [
        "larkspur-car-2 ... drawn, 2 findings, NOT FOR FABRICATION",
        "  warning not-verified, stops drilling: Not verified.",
        f"    larkspur-car-2.yaml:{line_of('left:  {width')}:12: survey.walls.left",
        "    Verify it.",
        "  1 file in out/larkspur-car-2",
    ]
    assert said.err.splitlines() == [
        "  error too-narrow, stops fabrication: A panel is too narrow.",
        f"    larkspur-car-2.yaml:{line_of('back:  {panels')}:12: layout.walls.back",
        "    Use fewer.",
    ]


@pytest.mark.usefixtures("no_drawings")
def test_quiet_says_only_what_is_wrong(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    found(monkeypatch, WARNS)
    said = run("draw", "-q", "larkspur-car-2.yaml")
    assert (said.status, said.out, said.err) == (0, "", "")
    found(monkeypatch, STOPS, WARNS)
    said = run("draw", "-q", "larkspur-car-2.yaml")
    assert (said.status, said.out) == (1, "")
    assert "A panel is too narrow." in said.err


def test_the_shop_folder_is_withheld_while_a_finding_stops_fabrication(monkeypatch: pytest.MonkeyPatch) -> None:
    def one_wall(cab: Cab) -> tuple[str, ...]:
        return ("back",)

    drawing = package.Drawing("fabricator", one_wall, lambda *_: None, {"shop/{wall}.dxf": lambda *_: b"cut me"})  # type: ignore
    monkeypatch.setattr(package, "DRAWINGS", (drawing,))
    monkeypatch.setattr(package, "_shop", lambda *_: ())
    monkeypatch.setattr(package, "_sheets", lambda *_: ())
    monkeypatch.setattr(package, "_site", lambda *_: ())
    monkeypatch.setattr(package, "_templates", lambda *_: ())
    monkeypatch.setattr(package, "_report", lambda *_: ())
    cab = package.look(Path("larkspur-car-2.yaml")).cab
    assert set(package.build(cab, ())) == {"resolved.json", "shop/back.dxf"}
    assert set(package.build(cab, (WARNS,))) == {"resolved.json", "shop/back.dxf"}
    assert set(package.build(cab, (WARNS, STOPS))) == {"resolved.json"}


def test_the_same_spec_gives_the_same_bytes(run: Run) -> None:
    files = []
    for seed in ("1", "2"):
        out = f"out-{seed}"
        done = started("draw", "larkspur-car-2.yaml", "-o", out, env={**os.environ, "PYTHONHASHSEED": seed})
        assert done.returncode == 0
        files.append({path.relative_to(out): path.read_bytes() for path in Path(out).rglob("*") if path.is_file()})
    assert files[0] == files[1]


# --- what is refused ---


@pytest.mark.parametrize("command", ["draw", "check"])
def test_a_bad_spec_writes_nothing_and_every_error_has_its_place(run: Run, command: str) -> None:
    Path("jobs").mkdir()
    bad("jobs/bad.yaml")
    said = run(command, "jobs/bad.yaml")
    assert said.status == 1
    lines = said.err.splitlines()
    assert len(lines) >= 2
    assert all(line.startswith("jobs/bad.yaml:") and line.split(":")[1].isdigit() for line in lines)
    assert said.out == f"bad ... refused, {len(lines)} errors\n"
    assert not Path("out").exists()


@pytest.mark.usefixtures("no_drawings")
def test_a_bad_spec_leaves_the_earlier_package(run: Run) -> None:
    run("draw", "larkspur-car-2.yaml")
    before = Path("out/larkspur-car-2/resolved.json").read_bytes()
    bad("larkspur-car-2.yaml")
    assert run("draw", "larkspur-car-2.yaml").status == 1
    assert Path("out/larkspur-car-2/resolved.json").read_bytes() == before


@pytest.mark.usefixtures("no_drawings")
def test_a_file_that_is_not_ours_is_named_and_left(run: Run) -> None:
    Path("out/larkspur-car-2").mkdir(parents=True)
    Path("out/larkspur-car-2/resolved.json").write_text("mine")
    said = run("draw", "larkspur-car-2.yaml")
    assert said.status == 1
    assert said.out == "larkspur-car-2 ... not written\n"
    assert said.err.startswith(
        "out/larkspur-car-2/resolved.json: nothing was written: this file was not written by cabdraw"
    )
    assert Path("out/larkspur-car-2/resolved.json").read_text() == "mine"


@pytest.mark.usefixtures("no_drawings")
def test_a_stale_file_that_was_changed_is_left_and_named(run: Run) -> None:
    from cabdraw.place import put_in_place

    put_in_place({"shop/old.dxf": b"old"}, Path("out/larkspur-car-2"))
    Path("out/larkspur-car-2/shop/old.dxf").write_text("edited")
    said = run("draw", "-q", "larkspur-car-2.yaml")
    assert said.status == 0
    assert said.err.startswith("out/larkspur-car-2/shop/old.dxf: left there")


def test_no_such_spec(run: Run) -> None:
    said = run("draw", "nowhere.yaml")
    assert said.status == 1
    assert said.err == "nowhere.yaml: there is no such file\n"


@pytest.mark.parametrize(
    "name",
    ["-.yaml", "con.yaml", "COM1.yaml", "nul.back.yaml", ".hidden", "...yaml", "a\nb.yaml", "a\x1b[31m.yaml",
     'a"b.yaml', "-x.yaml", "x .yaml", "x" * 300 + ".yaml", "\u202egnp.yaml", "\udcff.yaml"],
)  # fmt: skip
def test_a_name_that_no_folder_should_have_is_refused(name: str) -> None:
    with pytest.raises(BadSpec) as refused:
        folder_name(Path(name))
    assert "rename the file" in str(refused.value)


@pytest.mark.parametrize(
    ("name", "said"),
    [("x" * 151, "longer than 150 characters"), ("梯" * 51, "takes 153 bytes, and 150 are the most"),
     (os.fsdecode("Łódź".encode()[:-1]), "cannot be read as utf-8, which this system is set to")],
)  # fmt: skip
def test_why_a_name_is_refused_is_said_truly(name: str, said: str) -> None:
    with pytest.raises(BadSpec, match=said):
        folder_name(Path(name + ".yaml"))


@pytest.mark.parametrize("name", ["larkspur-car-2", "Aufzug Süd 3", "2025.07 Larkspur (B)", "console", "升降機"])
def test_other_names_are_the_folders_name(name: str) -> None:
    assert folder_name(Path("jobs") / f"{name}.yaml") == name


def test_a_name_with_signs_for_the_terminal_is_printed_harmlessly(run: Run) -> None:
    said = run("draw", "--", "a\x1b[31mb\nc.yaml")
    assert said.status == 1
    assert "\x1b" not in said.out + said.err
    assert said.err.count("\n") == 1
    assert r"a\x1b[31mb\nc.yaml" in said.err


# --- several specs ---


@pytest.mark.usefixtures("no_drawings")
def test_several_specs_go_on_after_a_bad_one_and_the_worst_status_counts(run: Run) -> None:
    bad("bad.yaml")
    copy("quayside-lift-b.yaml")
    said = run("draw", "bad.yaml", "larkspur-car-2.yaml", "quayside-lift-b.yaml")
    assert said.status == 1
    lines = [line for line in said.out.splitlines() if line.startswith("[")]
    assert lines[0].startswith("[1/3] bad ... refused, ")
    assert lines[1].startswith("[2/3] larkspur-car-2 ... drawn, ")
    assert lines[2].startswith("[3/3] quayside-lift-b ... drawn, ")
    assert "2 of 3 were drawn\n" in said.out
    assert sorted(path.name for path in Path("out").iterdir()) == ["all-cars", "larkspur-car-2", "quayside-lift-b"]


@pytest.mark.parametrize(
    "other", ["larkspur-car-2.yaml", "./larkspur-car-2.yaml", "b/larkspur-car-2.yaml", "LARKSPUR-car-2.yml"]
)
def test_two_specs_that_would_go_into_one_folder(run: Run, other: str) -> None:
    Path("b").mkdir()
    copy("larkspur-car-2.yaml", other)
    said = run("draw", "larkspur-car-2.yaml", other)
    assert said.status == 2
    assert "would go into one folder" in said.err
    assert not Path("out").exists()


def test_check_looks_and_writes_nothing(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    found(monkeypatch, WARNS)
    before = sorted(Path().iterdir())
    said = run("check", "larkspur-car-2.yaml", "larkspur-car-2.yaml")
    assert said.status == 0
    assert said.out.count("larkspur-car-2 ... 1 finding\n  warning not-verified, stops drilling: Not verified.\n") == 2
    found(monkeypatch, STOPS)
    assert run("check", "larkspur-car-2.yaml").status == 1
    assert sorted(Path().iterdir()) == before


# --- the command was wrong ---


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ([], "Usage: cabdraw"),
        (["draw"], "Missing argument 'SPEC..."),
        (["check"], "Missing argument 'SPEC..."),
        (["drow", "a.yaml"], "No such command 'drow'"),
        (["draw", "--wal", "a.yaml"], "No such option"),
        (["draw", "a.yaml", "--wall", "top"], "there is no wall called 'top', only back, left, right"),
        (["draw", "a.yaml", "--wall", "Back"], "there is no wall called 'Back'"),
        (["draw", "a.yaml", "--out"], "requires an argument"),
    ],
)
def test_a_wrong_command_gives_status_2(run: Run, typed: list[str], said: str) -> None:
    done = run(*typed)
    assert done.status == 2
    assert said in done.out + done.err
    assert not Path("out").exists()


@pytest.mark.parametrize("typed", [["--help"], ["draw", "--help"], ["check", "--help"]])
def test_help_speaks_no_python(run: Run, typed: list[str]) -> None:
    said = run(*typed)
    assert said.status == 0
    for word in ("list[", "Path", "<", "str", "None", "YAML", "exception"):
        assert word not in said.out
    assert typed == ["--help"] or "Examples:\n    cabdraw" in said.out


def test_the_walls_of_the_command_are_those_of_a_car() -> None:
    assert cli.WALLS == WALLS


# --- when something goes wrong ---


def test_a_bug_is_kept_in_a_report_and_not_shown(run: Run, desk: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise KeyError("a secret of the code")

    monkeypatch.setattr(package, "load", broken)
    copy("quayside-lift-b.yaml")
    said = run("draw", "larkspur-car-2.yaml", "quayside-lift-b.yaml")
    assert said.status == 3
    assert "Traceback" not in said.out + said.err
    reports = sorted(desk.glob("cabdraw-report-*.txt"))
    assert len(reports) == 2
    assert all(str(report) in said.err for report in reports)
    assert said.err.count("yaml: nothing was written\n") == 2
    assert len(said.err.splitlines()) == 4
    text = reports[0].read_text()
    assert f"cabdraw {__version__}\n" in text
    assert "command: cabdraw draw larkspur-car-2.yaml quayside-lift-b.yaml\n" in text
    assert "Traceback" in text
    assert "a secret of the code" in text


def test_a_bug_where_no_report_can_be_written(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(looked, "load", lambda *_: 1 / 0)
    monkeypatch.setattr(tempfile, "tempdir", "/nowhere/at/all")
    said = run("check", "larkspur-car-2.yaml")
    assert said.status == 3
    assert "no report could be written" in said.err


def test_ctrl_c_stops_with_130(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(package, "load", interrupted)
    said = run("draw", "larkspur-car-2.yaml")
    assert said.status == 130
    assert said.err == "\nstopped\nlarkspur-car-2.yaml: nothing was written\n"


@pytest.mark.parametrize("typed", ["check", "draw", "show"])
def test_ctrl_c_that_a_library_turns_into_another_error_stops_too(
    run: Run, monkeypatch: pytest.MonkeyPatch, typed: str
) -> None:
    # As was seen: where it comes while shapely loads numpy, numpy says that it could not be imported.
    def turned(*_: object, **__: object) -> None:
        try:
            signal.raise_signal(signal.SIGINT)
        except KeyboardInterrupt:
            raise ImportError("numpy._core.multiarray failed to import") from None

    for where in ("spec.load", "spec.load_cars", "spec.document.load", "looked.load", "package.load"):
        monkeypatch.setattr(f"cabdraw.{where}", turned)
    said = run(typed, "larkspur-car-2.yaml")
    assert said.status == 130
    assert said.err.startswith("\nstopped\n")
    monkeypatch.setattr("cabdraw.looked.load", lambda *_: 1 / 0)
    assert run("check", "larkspur-car-2.yaml").status == 3


@pytest.mark.parametrize(
    ("where", "first"),
    [("package.draw_package", True), ("package.draw_package", False), ("progress.Report.placed", True),
     ("progress.Report.end", True), ("progress.Report.findings", False)],
)  # fmt: skip
@pytest.mark.parametrize(("sent", "status"), [(signal.SIGINT, 130), (signal.SIGTERM, 143)])
def test_stopped_after_the_package_is_in_place_it_says_so(
    run: Run, monkeypatch: pytest.MonkeyPatch, where: str, first: bool, sent: signal.Signals, status: int
) -> None:
    monkeypatch.setattr(package, "DRAWINGS", ())
    owner, name = where.rsplit(".", 1)
    found = pydoc.locate(f"cabdraw.{owner}")
    work = getattr(found, name)

    def stopped(*given: object, **named: object) -> object:
        if first:
            work(*given, **named)
            signal.raise_signal(sent)
        signal.raise_signal(sent)
        return work(*given, **named)

    monkeypatch.setattr(found, name, stopped)
    said = run("draw", "--quiet", "larkspur-car-2.yaml")
    assert said.status == status
    there = Path("out/larkspur-car-2").exists()
    assert there == (where != "package.draw_package" or first)
    assert said.err.count("stopped") == 1
    assert ("the whole package is there" in said.err, "nothing was written" in said.err) == (there, not there)


def test_ctrl_c_from_the_terminal_leaves_nothing_half_done() -> None:
    text = (
        "import time; from cabdraw import package, cli\n"
        "from cabdraw.place import disk\n"
        "package.DRAWINGS = ()\n"
        "write = disk.write\n"
        "def slowly(*given):\n"
        "    write(*given); print('writing', flush=True); time.sleep(30)\n"
        "disk.write = slowly\n"
        "cli.main()\n"
    )
    command = [sys.executable, "-c", text, "draw", "larkspur-car-2.yaml"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert "writing" in process.stdout.readline()
        time.sleep(0.05)
        process.send_signal(signal.SIGINT)
        _, err = process.communicate(timeout=20)
    assert process.returncode == 130
    assert err == "\nstopped\nout/larkspur-car-2: nothing was written\n"
    assert not Path("out").exists()


def test_an_output_that_nobody_reads_is_no_fault() -> None:
    reading, writing = os.pipe()
    os.close(reading)
    command = [*COMMAND, "draw", "larkspur-car-2.yaml"]
    done = subprocess.run(command, stdout=writing, stderr=subprocess.PIPE, text=True, timeout=60)
    os.close(writing)
    assert (done.returncode, done.stderr) == (0, "")
    assert Path("out/larkspur-car-2/resolved.json").exists()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
@pytest.mark.parametrize("typed", [["check", "larkspur-car-2.yaml"], ["draw", "--help"], ["--version"]])
def test_an_output_that_cannot_be_kept_gives_status_1(typed: list[str]) -> None:
    with open("/dev/full", "w") as full:
        done = subprocess.run([*COMMAND, *typed], stdout=full, stderr=subprocess.PIPE, text=True, timeout=60)
    assert done.returncode == 1
    assert done.stderr == "the output could not be written\n"


def test_a_terminal_that_knows_only_ascii_gets_everything() -> None:
    copy("larkspur-car-2.yaml", "Süd.yaml")
    env = {**os.environ, "PYTHONIOENCODING": "ascii:strict", "LANG": "C", "LC_ALL": "C"}
    done = started("draw", "Süd.yaml", env=env)
    assert done.returncode == 0
    assert r"S\xfcd ... drawn" in done.stdout
    assert started("draw", "Süd.yaml", "--wall", "süd", env=env).returncode == 2


def test_the_package_is_the_command_too() -> None:
    done = subprocess.run([sys.executable, "-m", "cabdraw", "--version"], capture_output=True, text=True, check=True)
    assert done.stdout == f"cabdraw {__version__}\n"


@pytest.mark.parametrize("typed", [["--version"], ["draw", "--help"], ["draw"], ["draw", "--wall", "top", "a.yaml"]])
def test_what_needs_no_drawing_comes_at_once(typed: list[str]) -> None:
    heavy = {"shapely", "ezdxf", "yaml", "reportlab", "svgwrite", "rich", "pydantic"}
    assert loaded_by(*typed) & heavy == set()


def test_check_loads_no_writer_and_no_geometry_where_nothing_is_cut() -> None:
    heavy = {"ezdxf", "reportlab", "svgwrite", "pydantic", "shapely", "numpy"}
    assert loaded_by("check", "larkspur-car-2.yaml") & heavy == set()
    copy("orchard-street-service-car.yaml")
    assert loaded_by("check", "orchard-street-service-car.yaml") & heavy == {"shapely", "numpy"}


def loaded_by(*typed: str) -> set[str]:
    """The modules that are loaded once a command has run."""
    text = "import sys; from cabdraw.cli import run; run(); print(*sys.modules, sep='\\n', file=open('loaded', 'w'))"
    subprocess.run([sys.executable, "-c", text, *typed], capture_output=True, timeout=60, check=True)
    return set(Path("loaded").read_text().split())


def test_version(run: Run) -> None:
    assert run("--version").out == f"cabdraw {__version__}\n"


def test_rules_lists_each_with_its_source(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    from cabdraw.package import rule_listing
    from cabdraw.spec.rules import ALWAYS, shipped

    names = [row[0] for row in rule_listing()]
    assert {name.split()[0] for name in names} == {*shipped(), ALWAYS}
    assert "us-ada car-size" in names
    wrong = tmp_path / "wrong.yaml"
    wrong.write_text("rules: wrong\nlist: []\n", encoding="utf-8")
    with pytest.raises(BadSpec):
        rule_listing([wrong])


def test_cars_with_one_survey_are_said(tmp_path: Path) -> None:
    from cabdraw.package import copied_surveys, look

    text = (SPECS / "larkspur-car-2.yaml").read_text(encoding="utf-8")
    for name, content in (("car-a", text), ("car-b", text), ("car-c", text.replace("[68 1/8, 68,", "[68 1/4, 68,"))):
        (tmp_path / f"{name}.yaml").write_text(content, encoding="utf-8")
    every = [look(tmp_path / f"{name}.yaml") for name in ("car-a", "car-b", "car-c")]
    (said,) = copied_surveys(every)
    assert "car-b has the very readings of car-a" in said

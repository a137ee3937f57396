"""`cabdraw new`: whatever is answered, the spec that it writes can be read, checked by its schema, and worked out."""

from __future__ import annotations

import io
import os
import pty
import re
import select
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from schema_check import faults
from test_survey_form import filled

from cabdraw.check import findings
from cabdraw.cli import run as run_command
from cabdraw.resolve import resolve
from cabdraw.spec import loads
from cabdraw.spec.json_schema import FILE, FIRST_LINE, schema_text
from cabdraw.start.interview import Interview, Lacking, WrongOption
from cabdraw.start.text import new_text
from cabdraw.start.words import scalar
from cabdraw.survey import NOT_MEASURED, spec_text, survey

MM = ["--units", "mm", "--walls", "left,right", "--width", "left=2103", "--width", "right=2102", "--height", "2360"]


class Said:
    def __init__(self, status: int, out: str, err: str) -> None:
        self.status, self.out, self.err = status, out, err


Run = Callable[..., Said]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.stdin", io.StringIO())

    def run(*typed: str) -> Said:
        monkeypatch.setattr("sys.argv", ["cabdraw", *typed])
        status = run_command()
        said = capsys.readouterr()
        return Said(status, said.out, said.err)

    return run


# --- any answers ---


class Answers:
    """Answers each question from a list, and what is usual once that is used up; some have no usual answer."""

    def __init__(self, answers: list[str], units: str) -> None:
        self.answers, self.units, self.refused = answers, units, 0
        self.questions: list[str] = []

    def ask(self, question: str, usual: str) -> str:
        self.questions.append(question)
        if self.answers:
            return self.answers.pop(0)
        if usual:
            return ""
        if "units" in question or "unit are in" in question:
            return self.units
        return "68 1/8 in" if "width" in question else "92 in"

    def object(self, said: str) -> None:
        self.refused += 1
        assert said
        assert self.refused < 60, said  # what is usual must be an answer, or nobody gets any further


LENGTHS = st.one_of(
    st.sampled_from(["68 1/8", "51", "92 1/4", "1730", "2360", "2103, 2102.5, 2104", "30", "5' 8\"", "1.8 m", "", "x",
                     "0", "-1", "12000", "40000", "20", "700", "450mm", "[68, 68 1/16]", "68,", "120", "1e3", "36"]),
    st.integers(250, 4000).map(lambda size: f"{size}mm"),
    st.integers(12, 150).map(lambda size: f"{size} 1/2 in"),
)  # fmt: skip
WALLS = st.lists(st.sampled_from(["back", "left", "right"]), min_size=1, max_size=3).map(",".join)
ANSWERS = st.lists(
    st.one_of(
        LENGTHS, WALLS, st.sampled_from(["", "1", "2", "3", "9", "99", "1, 2, 1", "0", "none", "all", "inch", "mm"]),
        st.sampled_from(["Larkspur: Court #1", "'", '"', "yes", "Süd 3", "\u202e", "x" * 300, "- a", "{a}", "null"]),
    ),
    max_size=25,
)  # fmt: skip


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(answers=ANSWERS, units=st.sampled_from(["inch", "mm"]))
def test_any_answers_give_a_spec_that_is_right(answers: list[str], units: str) -> None:
    desk = Answers([units, *answers], units)
    wanted = Interview({}, desk.ask, desk.object).wanted("Larkspur")
    text = new_text(wanted)
    assert text.startswith(FIRST_LINE + "\n")
    assert faults(text) == []
    document = loads(text)
    cab = resolve(document)
    assert tuple(cab.walls) == wanted.names
    assert (document.spec.job.project, document.spec.job.car) == (wanted.project, wanted.car)
    assert {name for name, wall in cab.walls.items() if wall.rail is not None} == set(wanted.rail)
    assert max(map(len, text.splitlines())) < 400
    findings(cab)


@pytest.mark.parametrize("units", ["inch", "mm"])
@pytest.mark.parametrize("tiers", ["1", "2", "3"])
@pytest.mark.parametrize("rail", ["none", "all"])
@pytest.mark.parametrize("walls", ["back,left,right", "left,right", "back", "right"])
def test_what_is_usual_draws_without_an_error(units: str, tiers: str, rail: str, walls: str) -> None:
    desk = Answers([], units)
    given = {"units": units, "tiers": tiers, "rail": rail, "walls": walls}
    cab = resolve(loads(new_text(Interview(given, desk.ask, desk.object).wanted("Larkspur"))))
    assert desk.refused == 0
    assert [found.code for found in findings(cab) if found.severity == "error"] == []


@pytest.mark.parametrize("units", ["inch", "mm"])
def test_lines_that_do_nothing_can_be_put_in_force(units: str) -> None:
    desk = Answers([], units)
    given = {"units": units, "width:back": "68 in", "width:left": "51in", "width:right": "51in", "height:back": "92in",
             "height": "92 1/8in"}  # fmt: skip
    text = new_text(Interview(given, desk.ask, desk.object).wanted("Larkspur"))
    inside = {"what": "thing", "x": "20in", "y": "40in", "width": "9in", "height": "12in", "clearance": "1/8in",
              "underside": "84in", "rated_load": "3500 lb", "mass": "4100 lb", "removed": "200 lb", "by": "D. Marsh",
              "date": "2026-04-16", "number": "L-1", "shell": "2mm", "depth": "3in", "uncertainty": "1mm",
              "floor_finish": "3mm"}  # fmt: skip
    lines = []
    for line in text.splitlines():
        if re.match("#  ", line):
            line = line[1:]
            high = "front" in line or "left: {" in line or "right: {" in line
            for key, value in (inside | ({"height": "90in"} if high else {})).items():
                line = re.sub(rf"\b{key}:(?= ?(?:[,}}]|  +#|$))", f"{key}: {value}", line)
        lines.append(line)
    cab = resolve(loads("\n".join(lines)))
    assert cab.walls["back"].verified is not None
    assert cab.front is not None
    assert all(len(wall.fixtures) == 1 for wall in cab.walls.values())


TEXTS = ["Car 2", "Süd", "yes", "NO", "12", "a: b", "a #b", "- a", "'", '"', "\\", "", "null", "~", "@a", "a:", "%",
         "O'Hara & Sons, Ltd.", "{a}", "[", "|", ">", "=1+1", "a\u00a0b", "a,",
         "a\u2028b", "a\u0085b", "\t", "😀:", "\u202e"]  # fmt: skip


@pytest.mark.parametrize("text", TEXTS)
def test_a_text_is_the_same_text_in_the_spec(text: str) -> None:
    assert yaml.safe_load(f"- {scalar(text)}") == [text]
    assert yaml.load(f"{{a: {scalar(text)}}}", yaml.BaseLoader) == {"a": text}


# --- from a form ---


def test_a_filled_in_form_is_gone_on_from_with_every_reading(run: Run) -> None:
    form = filled(spec_text(survey("inch")), "inch")
    Path("survey.yaml").write_text(form, encoding="utf-8")
    said = run("new", "larkspur", "--from", "survey.yaml", "--tiers", "3", "--panels", "back=1,2,1", "--rail", "back")
    assert (said.status, said.err) == (0, "")
    text = Path("larkspur.yaml").read_text(encoding="utf-8")
    assert text.startswith(FIRST_LINE + "\n" + form[: form.index(NOT_MEASURED)].rstrip("\n"))
    assert NOT_MEASURED not in text
    spec = loads(text).spec
    assert [str(share) for share in spec.layout.walls.back.panels] == ["1", "2", "1"]  # type: ignore[union-attr]
    assert [item.kind for item in spec.layout.stack].count("middle") == 1
    assert spec.handrail is not None
    assert spec.handrail.walls == ("back",)
    assert spec.layout.front_trim is not None
    assert faults(text) == []
    resolve(loads(text))
    assert Path("survey.yaml").read_text(encoding="utf-8") == form


def test_a_reading_left_blank_is_refused_by_its_line(run: Run) -> None:
    form = filled(spec_text(survey("mm")), "mm").splitlines()
    at = next(number for number, line in enumerate(form) if "# B3 " in line)
    form[at] = re.sub(r"-.*# ", "-    # ", form[at])
    Path("jobs").mkdir()
    Path("jobs/survey.yaml").write_text("\n".join(form) + "\n", encoding="utf-8")
    said = run("new", "larkspur", "--from", "jobs/survey.yaml")
    assert said.status == 1
    assert said.err.splitlines()[0].startswith(f"jobs/survey.yaml:{at + 1}:")
    assert "is empty" in said.err
    assert said.err.splitlines()[-1] == "nothing was written"
    assert not Path("larkspur.yaml").exists()


def test_a_layout_that_somebody_made_is_not_thrown_away(run: Run) -> None:
    form = filled(spec_text(survey("inch")), "inch")
    line = form[: form.index("layout:")].count("\n") + 1
    Path("survey.yaml").write_text(form.replace("air_gap: 1/2", "air_gap: 5/8"), encoding="utf-8")
    said = run("new", "larkspur", "--from", "survey.yaml")
    assert said.status == 1
    assert said.err.startswith(f"survey.yaml:{line}:1: it has a layout of its own already; draw it as it is")
    assert not Path("larkspur.yaml").exists()


def test_a_survey_alone_is_gone_on_from(run: Run) -> None:
    Path("s.yaml").write_text(
        "cabdraw: 1\nunits: mm  # as read\njob: {project: Quay, car: B}\nsurvey:\n  height: 2360\n"
        "  walls:\n    right: {width: [2102, 2104]}  # with the long tape\n"
    )
    assert run("new", "quay", "--from", "s.yaml").status == 0
    text = Path("quay.yaml").read_text()
    assert "# with the long tape" in text
    assert tuple(resolve(loads(text)).walls) == ("right",)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "s.yaml: is empty"),
        ("units: feet\nsurvey: {walls: {back: {width: 68}}}", "s.yaml:1:1: its units cannot be used"),
        ("units: mm\nsurvey: {height: 2300}", "s.yaml:2:1: no wall is measured in it"),
        ("units: mm\nsurvey: {walls: {back: {width: 68}}}", "and a wall's width is at least 300 mm"),
    ],
)
def test_what_is_no_survey_is_refused(run: Run, text: str, said: str) -> None:
    Path("s.yaml").write_text(text)
    done = run("new", "quay", "--from", "s.yaml")
    assert done.status == 1
    assert said in done.err
    assert sorted(path.name for path in Path().iterdir()) == ["s.yaml"]


# --- the command ---


def test_with_options_nothing_is_asked(run: Run) -> None:
    said = run("new", "quayside-lift-b", *MM)
    assert (said.status, said.err) == (0, "")
    assert said.out.splitlines()[0].startswith("quayside-lift-b.yaml: written; go on in it, and draw it with")
    assert Path(FILE).read_text(encoding="utf-8") == schema_text()
    assert "project: Quayside Lift B\n" in Path("quayside-lift-b.yaml").read_text()
    assert run("check", "quayside-lift-b.yaml").status == 0
    assert run("draw", "-q", "quayside-lift-b.yaml", "--wall", "left").status == 0


def test_the_schema_beside_it_is_left_as_it_is(run: Run) -> None:
    Path(FILE).write_text("mine")
    said = run("new", "a", *MM)
    assert said.status == 0
    assert FILE not in said.out
    assert Path(FILE).read_text() == "mine"


@pytest.mark.parametrize("name", ["a", "a.yaml", "jobs/a.yaml", "jobs/a"])
def test_no_file_is_overwritten(run: Run, name: str) -> None:
    Path("jobs").mkdir()
    for place in (Path("a.yaml"), Path("jobs/a.yaml")):
        place.write_text("somebody's work")
    said = run("new", name, *MM)
    assert (said.status, said.out) == (1, "")
    assert "there is something under this name already" in said.err
    assert {path.read_text() for path in Path().rglob("*.yaml")} == {"somebody's work"}
    Path("a.yaml").unlink()
    Path("a.yaml").symlink_to("elsewhere")
    assert run("new", "a", *MM).status == 1
    assert not Path("elsewhere").exists()


@pytest.mark.parametrize(
    ("typed", "status", "said"),
    [
        (["a"], 2, "give --units, --width back=…, --width left=…, --width right=…, --height"),
        (["a", "--units", "mm", "--walls", "left", "--width", "left=2000"], 2, "so give --height"),
        (["a", "--units", "mm", "--height", "left=2300"], 2, "--height back=…, --height right=…"),
        (["a", *MM[:-2], "--height", "23"], 2, '--height 23: "23" is 23 mm'),
        (["a", *MM, "--width", "back=2000"], 2, "--width: the back wall gets no panels"),
        (["a", *MM, "--panels", "left=100"], 2, "--panels left=100: "),
        (["a", *MM, "--tiers", "4"], 2, '"4" is not a number of tiers'),
        (["a", *MM, "--rail", "back"], 2, "the back wall gets no panels"),
        (["a", *MM, "--project", ""], 2, "--project : "),
        (["a", *MM, "--width", "left=1"], 2, "second for the same wall"),
        (["a", "--width", "68"], 2, "says no wall"),
        (["a", "--from", "nowhere.yaml"], 1, "nowhere.yaml: there is no such file"),
        (["con", *MM], 1, "rename the file"),
        (["a", "--units", "feet", *MM[2:]], 2, "answer inch or mm"),
    ],
)
def test_what_cannot_be_is_said(run: Run, typed: list[str], status: int, said: str) -> None:
    done = run("new", *typed)
    assert (done.status, done.out) == (status, "")
    assert said in " ".join(done.err.split())
    assert list(Path().iterdir()) == []


def test_options_that_lack_are_all_named() -> None:
    with pytest.raises(Lacking) as lacking:
        Interview({"walls": "left"}, None, print).wanted("a")
    assert lacking.value.options == ["--units", "--width left=…", "--height"]
    with pytest.raises(WrongOption):
        Interview({"walls": "lef"}, None, print).wanted("a")


def test_on_a_terminal_it_asks_and_asks_again(tmp_path: Path) -> None:
    """A real terminal: an answer that cannot be is told why, and the question comes again."""
    here, there = pty.openpty()
    command = [sys.executable, "-c", "from cabdraw.cli import main; main()", "new", "larkspur", "--walls", "left"]
    with subprocess.Popen(command, stdin=there, stdout=there, stderr=there, cwd=tmp_path, close_fds=True) as process:
        os.close(there)
        seen = ""

        def until(wanted: str) -> None:
            nonlocal seen
            while wanted not in seen:
                ready, _, _ = select.select([here], [], [], 30)
                assert ready, f"no {wanted!r} in {seen!r}"
                seen += os.read(here, 4096).decode()
            seen = seen[seen.index(wanted) + len(wanted) :]

        for question, answer in (
            ("inch or mm: ", "feet"), ("answer inch or mm", ""), ("an answer is needed here", ""),
            ("inch or mm: ", "inch"), ("Project [Larkspur]: ", "Larkspur Court"), ("Car [Car 1]: ", ""),
            ("The left wall's clear width", "51,4"), ("is at least 300 mm", ""), ("an answer is needed", ""),
            ("with commas: ", "51 3/8, 51 7/16"), ("height, floor to ceiling: ", "92 1/4"),
            ("Panels across the left wall", "90"), ("2]: ", ""), ("Tiers of panels", ""),
            ("Handrail on which walls", ""),
        ):  # fmt: skip
            until(question)
            os.write(here, f"{answer}\n".encode())
        until("larkspur.yaml: written")
        assert process.wait(30) == 0
    os.close(here)
    spec = loads((tmp_path / "larkspur.yaml").read_text()).spec
    assert (spec.job.project, spec.job.car) == ("Larkspur Court", "Car 1")
    assert [length.typed for length in spec.survey.walls.left.width] == ["51 3/8", "51 7/16"]  # type: ignore[union-attr]


@pytest.mark.parametrize("keys", [b"\x04", b"\x03"])
def test_answers_that_end_write_nothing(tmp_path: Path, keys: bytes) -> None:
    here, there = pty.openpty()
    # The terminal has to be the process's own, for the keys to reach it as more than letters.
    program = "import fcntl, termios; fcntl.ioctl(0, termios.TIOCSCTTY, 0); from cabdraw.cli import main; main()"
    command = [sys.executable, "-c", program, "new", "larkspur"]
    streams: dict[str, Any] = {"stdin": there, "stdout": there, "stderr": there, "start_new_session": True}
    with subprocess.Popen(command, cwd=tmp_path, **streams) as process:
        os.close(there)
        seen = b""
        while b"inch or mm: " not in seen:
            seen += os.read(here, 4096)
        os.write(here, keys)
        assert process.wait(30) == (2 if keys == b"\x04" else 130)
    os.close(here)
    assert list(tmp_path.iterdir()) == []

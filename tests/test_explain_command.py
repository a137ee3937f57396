"""`cabdraw explain`: what it says on a terminal, as JSON, and where something is wrong."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest
from pencil import number, worked

from cabdraw import cli

SPECS = Path(__file__).parent.parent / "specs"
INCH = Fraction(254, 10)

Said = tuple[int, str, str]
Run = Callable[..., Said]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Run:
    """Run a command in this process, in a folder with a good spec: its status, what it says, and what it objects."""
    monkeypatch.chdir(tmp_path)
    Path("car.yaml").write_bytes((SPECS / "larkspur-car-2.yaml").read_bytes())

    def run(*typed: str) -> Said:
        monkeypatch.setattr(sys, "argv", ["cabdraw", "explain", *typed])
        status = cli.run()
        said = capsys.readouterr()
        return status, said.out, said.err

    return run


def place(text: str, at: str) -> str:
    """Where a text stands in the spec from `at` on, as it is told."""
    whole = Path("car.yaml").read_text(encoding="utf-8")
    start = whole.index(at, whole.index(text))
    before = whole[:start].split("\n")
    return f"car.yaml:{len(before)}:{len(before[-1]) + 1}"


def test_one_width_step_by_step(run: Run) -> None:
    status, out, err = run("car.yaml", "lower-back-2.width")
    assert (status, err) == (0, "")
    panel = place("panel:", "{thickness")
    row, column = panel.rsplit(":", 2)[1], int(panel.rsplit(":", 1)[1])
    assert (
        out
        == f"""\
lower-back-2.width = 21 5/32 in
   1  least reading of the width of the back wall
        least of 68 1/8, 68, 68 1/16 = 68
          {place("back:  {width", "[68")} survey.walls.back.width
   2  width of the back wall: least reading of the width - uncertainty
        68 - 0 = 68
          0 by default; survey.uncertainty would set it
   3  projection of the left wall: air gap + thickness of the panel
        1/2 + 3/4 = 1 1/4
          car.yaml:{row}:{column + 26} layout.panel.air_gap: 1/2
          car.yaml:{row}:{column + 12} layout.panel.thickness: 3/4
   4  nominal margin at the left end of the back wall: projection of the left wall + corner gap
        1 1/4 + 1/2 = 1 3/4
          {place("corner_gap", "1/2")} layout.corner_gap: 1/2
   5  projection of the right wall: air gap + thickness of the panel
        1/2 + 3/4 = 1 1/4
          car.yaml:{row}:{column + 26} layout.panel.air_gap: 1/2
          car.yaml:{row}:{column + 12} layout.panel.thickness: 3/4
   6  nominal margin at the right end of the back wall: projection of the right wall + corner gap
        1 1/4 + 1/2 = 1 3/4
          {place("corner_gap", "1/2")} layout.corner_gap: 1/2
   7  room for the panels of the back wall: width - nominal margin at the left end - nominal margin
      at the right end - 2 × reveal
        68 - 1 3/4 - 1 3/4 - 2 × 1/2 = 63 1/2
          {place("  reveal: 1/2", "1/2")} layout.reveal: 1/2
          {place("back:  {panels", "3}")} layout.walls.back.panels
   8  width of panel 2 of the back wall: room for the panels × 1/3, rounded down
        63 1/2 × 1/3 rounded down to 1/32 = 21 5/32
          {place("back:  {panels", "3}")} layout.walls.back.panels
          1/32 by default; increment would set it
"""
    )


def test_all_sizes_of_a_part_tell_no_step_twice_and_fold_at_the_width_of_a_terminal(run: Run) -> None:
    status, out, _ = run("car.yaml", "upper-back-3", "frieze-back.height", "frieze-back.height")
    assert status == 0
    lines = out.splitlines()
    assert max(map(len, lines)) <= 100
    heads = [line.split(" = ")[0] for line in lines if line and not line.startswith(" ")]
    sizes = ("width", "height", "thickness", "core.width", "core.height", "x", "y")
    assert heads == [*(f"upper-back-3.{size}" for size in sizes), "frieze-back.height", "frieze-back.height"]
    numbers = [int(line[:4]) for line in lines if line[:4].strip().isdecimal() and line[4:6] == "  "]
    assert numbers == list(range(1, len(numbers) + 1))
    assert lines[-1] == f"      as in step {numbers[-1]}"
    assert 'upper-back-3.core.width = 21.11625 in, on drawings and lists 21.1163"' in lines


@pytest.mark.parametrize("spec", sorted(SPECS.glob("*.yaml")), ids=lambda path: path.stem)
def test_everything_there_is_fits_a_terminal(run: Run, spec: Path) -> None:
    Path("car.yaml").write_bytes(spec.read_bytes())
    marks = run("car.yaml")[1].split("\n\n")[0].replace("\n", " ").split(", ")
    assert {"clear", "left"} <= set(marks)
    status, out, err = run("car.yaml", *marks)
    assert (status, err) == (0, "")
    assert max(map(len, out.splitlines())) <= 100


def test_json_without_a_mark_is_what_can_be_asked_for(run: Run) -> None:
    status, out, _ = run("--json", "car.yaml")
    assert status == 0
    marks = json.loads(out)["marks"]
    assert {"lower-back-2", "back", "clear"} <= set(marks)
    assert ", ".join(marks) in " ".join(run("car.yaml")[1].split())


def test_json_has_lengths_in_mm_exactly(run: Run) -> None:
    status, out, _ = run("--json", "car.yaml", "lower-back-2.core", "rail-back.spacing")
    assert status == 0
    told = json.loads(out)
    assert told["units"] == "inch"
    assert [(size["mark"], size["size"]) for size in told["sizes"]] == [
        ("lower-back-2", "core.width"), ("lower-back-2", "core.height"), ("rail-back", "spacing")
    ]  # fmt: skip
    width = told["sizes"][0]
    assert Fraction(width["exact_mm"]) == (21 + Fraction(93, 800)) * INCH
    assert (width["mm"], width["shown"], width["printed"]) == (536.35275, "21.11625", '21.1163"')
    for size in told["sizes"]:
        for step in size["steps"]:
            assert worked(step["expression"]).value == number(step["shown"])
            if "count" not in step:
                assert Fraction(step["exact_mm"]) == number(step["shown"]) * INCH
    places = [place for size in told["sizes"] for step in size["steps"] for place in step["places"]]
    assert {place["file"] for place in places} == {"car.yaml"}
    assert {"path": "survey.uncertainty", "typed": "0", "default": True}.items() <= places[1].items()
    (count,) = [step for step in told["sizes"][2]["steps"] if "count" in step]
    assert count["expression"].endswith("÷ 20 rounded up")


def test_without_a_mark_it_lists_what_there_is(run: Run) -> None:
    status, out, _ = run("car.yaml")
    assert status == 0
    for mark in ("lower-back-2", "spline-lower-back-1", "rail-right", "back", "clear"):
        assert mark in out.replace("\n", " ").split("Ask")[0].replace(",", "").split()
    assert out.endswith("Ask for one of these, or for one of its sizes, as base-back.width.\n")


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("lower-bakc-2.width", 'car.yaml: nothing is called "lower-bakc-2"; is it lower-back-2? there are '),
        ("lower-back-2.witdh", 'car.yaml: lower-back-2 has no size "witdh"; is it width? there are width, height, '),
        ("lower-back-2.", 'car.yaml: lower-back-2 has no size ""; there are width, '),
        ("\x1b[31m", 'car.yaml: nothing is called "\\u001B[31m"; there are '),
    ],
)
def test_what_is_not_there_gives_status_2_and_names_the_nearest(run: Run, typed: str, said: str) -> None:
    status, out, err = run("car.yaml", typed)
    assert (status, out) == (2, "")
    assert err.startswith(said)
    assert len(err.splitlines()) == 1


def test_a_bad_spec_gives_status_1_and_its_errors(run: Run) -> None:
    Path("car.yaml").write_text(Path("car.yaml").read_text().replace("corner_gap: 1/2", "corner_gap: half"))
    status, out, err = run("car.yaml", "lower-back-2.width")
    assert (status, out) == (1, "")
    assert err.startswith('car.yaml:15:15: layout.corner_gap: "half" is not a length')
    assert run("gone.yaml", "back")[0] == 1


def test_a_car_of_several_is_named(run: Run) -> None:
    text = Path("car.yaml").read_text()
    head, survey = text.split("survey:\n")
    survey, rest = survey.split("layout:\n")
    inside = "".join(f"      {line}\n" for line in survey.splitlines())
    two = "".join(f"  {name}:\n    survey:\n{inside}" for name in ("car-1", "car-2")).replace("[68 1/8,", "[67 7/8,", 1)
    Path("cars.yaml").write_text(f"{head}layout:\n{rest}cars:\n{two}")
    status, out, err = run("cars.yaml", "lower-back-1.width")
    assert (status, out) == (2, "")
    assert "car-1, car-2" in err
    for name, width, reading in (("car-1", "21 1/8", "67 7/8"), ("car-2", "21 5/32", "68 1/8")):
        status, out, err = run("cars.yaml", "--car", name, "lower-back-1.width")
        assert (status, err) == (0, "")
        assert out.startswith(f"lower-back-1.width = {width} in\n")
        assert f"least of {reading}, 68, 68 1/16" in out
        line = next(line for line in out.splitlines() if line.endswith(" survey.walls.back.width"))
        number = int(line.split(":")[1])
        assert f"[{reading}," in Path("cars.yaml").read_text().splitlines()[number - 1]


def test_help_says_what_can_be_asked(run: Run) -> None:
    status, out, _ = run("--help")
    assert status == 0
    assert "cabdraw explain larkspur-car-2.yaml lower-back-2.width" in out
    for word in ("list[", "Path", "<", "None", "exception"):
        assert word not in out

"""The survey form and the spec beside it: legible, the same numbers on both, and filled in it draws."""

from __future__ import annotations

import re
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import get_args

import pytest
from legible import faults, words
from pypdf import PdfReader

from cabdraw import package
from cabdraw.cli import run as run_command
from cabdraw.draw.survey_form import survey_form
from cabdraw.errors import BadSpec
from cabdraw.resolve import resolve
from cabdraw.spec import loads
from cabdraw.spec.json_schema import FILE, FIRST_LINE, schema_text
from cabdraw.survey import Units, spec_text, survey
from cabdraw.write.pdf import pdf_bytes

UNITS: tuple[Units, ...] = get_args(Units)
PAPERS = ("A4", "Letter")
CARS = (("back", "left", "right"), ("left", "right"), ("back",), ("right",), ("back", "left"))
#: A blank of the spec: the key or the dash, and the number of what belongs there.
BLANK = re.compile(r"^( *)(- *|[a-z_]+:)( +)# ([A-Z][0-9]+) ", re.MULTILINE)
NUMBER = re.compile(r"\b[A-Z][0-9]+\b")

#: What is measured in a car of 68 by 51 3/8 by 92 1/4 in, by what the reading is called on the form.
_INCH = {
    "project": "Larkspur Court", "car's own mass": "4100 lb", "car": "Car 2", "surveyed by": "R. Vance",
    "date": "2026-02-20", "level line": "48", "greatest difference": "1/16", "flooring": "0",
    "floor to ceiling": "92 5/16",
    "left shell": "68", "rated load": "3500 lb", "mass of all": "260 lb",
    "left return, width": "10 1/2", "left return, height": "92", "right return, width": "10 7/16",
    "right return, height": "92", "floor to transom": "84", "transom proud": "1/4", "thickness": "0.0781",
    "clear depth": "2 1/2",
}  # fmt: skip


def value(units: str, number: str, what: str) -> str:
    """A plausible reading for a blank."""
    for start, typed in _INCH.items():
        if what.startswith(start):
            # A length in inches stands in a spec in mm as well, with its unit.
            plain = re.fullmatch(r"[0-9. /]+", typed)
            return f"{typed} in" if plain and units == "mm" else typed
    place = int(number[1:])
    wide = {"B": 68, "L": 51, "R": 51}[number[0]]
    length = f"{wide} {place}/16" if place <= 5 else f"92 {place - 5}/16" if place <= 8 else f"{place - 9}/32"
    return f"{length} in" if units == "mm" else length


def filled(text: str, units: str) -> str:
    """The spec with every blank filled."""

    def fill(match: re.Match[str]) -> str:
        what = text[match.end() : text.index("\n", match.end())].strip()
        return f"{match[1]}{match[2]} {value(units, match[4], what)}  # {match[4]} "

    return BLANK.sub(fill, text)


def opened(text: str) -> str:
    """The spec with every line in force that was taken out by a # at its start, and its rows filled."""
    inside = {"x": "20", "y": "40", "width": "9", "height": "12", "diameter": "1/2"}
    lines = []
    for line in text.splitlines():
        if not re.match(r"#      ", line):
            lines.append(line)
            continue
        line = (
            line[1:]
            .replace("what: ,", "what: thing,")
            .replace("by: ,", "by: D. Marsh,")
            .replace("date: }", "date: 2026-04-16}")
        )
        for key, typed in inside.items():
            line = re.sub(rf"\b{key}: (?=[,}}])", f'{key}: "{typed} in"', line)
        lines.append(line)
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize("walls", CARS, ids="-".join)
@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("paper", PAPERS)
def test_every_page_is_legible(paper: str, units: Units, walls: tuple[str, ...]) -> None:
    sheets = survey_form(survey(units, walls), paper)
    assert len(sheets) == 1 + len(walls)
    assert 2 <= len(sheets) <= 4
    assert [fault for sheet in sheets for fault in faults(sheet)] == []


@pytest.mark.parametrize("paper", PAPERS)
def test_boxes_are_large_enough_to_write_in(paper: str) -> None:
    for sheet in survey_form(survey("mm"), paper):
        boxes = [shape for shape in sheet.paper if shape.layer == "TITLE" and len(getattr(shape, "points", ())) == 4]
        sizes = [(p[2][0] - p[0][0], p[2][1] - p[0][1]) for p in (box.points for box in boxes)]
        rows = [(wide, high) for wide, high in sizes if wide > 14.9]
        assert len(rows) > 20
        assert min(high for _, high in rows) > 7.0


def test_it_prints_black_on_white_at_full_size() -> None:
    sheets = survey_form(survey("inch"), "Letter")
    reader = PdfReader(BytesIO(pdf_bytes(sheets)))
    assert [tuple(round(float(side)) for side in page.mediabox[2:]) for page in reader.pages] == [(612, 792)] * 4
    drawn = b"".join(page.get_contents().get_data() for page in reader.pages)  # type: ignore[union-attr]
    colours = {tuple(rgb.split()) for rgb in re.findall(rb"([0-9. ]+) (?:rg|RG)\b", drawn)}
    assert {len(set(rgb)) for rgb in colours} == {1}


@pytest.mark.parametrize("walls", CARS, ids="-".join)
def test_form_and_spec_have_the_same_numbers(walls: tuple[str, ...]) -> None:
    wanted = survey("inch", walls)
    printed = {word.text for sheet in survey_form(wanted, "A4") for word in words(sheet) if NUMBER.fullmatch(word.text)}
    text = spec_text(wanted)
    asked = set(NUMBER.findall(text.partition("# Not measured")[0])) - {"A4"}
    spans = re.findall(r"([A-Z])([0-9]+) to [A-Z]([0-9]+)", text)
    asked |= {f"{letter}{n}" for letter, low, high in spans for n in range(int(low), int(high) + 1)}
    assert printed == asked


def test_what_has_a_place_is_shown_there_and_has_its_box() -> None:
    wanted = survey("mm")
    car = wanted.car
    placed = [*car.diagonals, *(reading for pair in car.returns for reading in pair), car.underside, car.projects]
    placed.append(car.door)
    for wall in wanted.walls:
        placed += (*wall.widths, *wall.heights, *wall.falls, *wall.plumb, *wall.diagonals)
    printed = [word.text for sheet in survey_form(wanted, "A4") for word in words(sheet)]
    assert {reading.number: printed.count(reading.number) for reading in placed} == dict.fromkeys(
        (reading.number for reading in placed), 2
    )


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("walls", CARS, ids="-".join)
def test_filled_in_it_resolves(units: Units, walls: tuple[str, ...]) -> None:
    text = filled(spec_text(survey(units, walls)), units)
    assert not BLANK.search(text)
    cab = resolve(loads(text))
    assert tuple(cab.walls) == tuple(name for name in ("back", "left", "right") if name in walls)
    for name, wall in cab.walls.items():
        widest = {"back": 68, "left": 51, "right": 51}[name]
        # The least width is the first, less the uncertainty; the least height the first, less its floor's fall of 0.
        assert wall.width.mm * 10 == (widest * 16) * 254 / 16
        assert wall.height.mm * 10 == 92 * 254
        assert wall.verified is None
    assert cab.front is not None
    assert cab.mass.removed is not None
    assert cab.clear.width is not None


@pytest.mark.parametrize("units", UNITS)
def test_lines_that_were_taken_out_can_be_put_back(units: Units) -> None:
    text = opened(filled(spec_text(survey(units)), units))
    text = re.sub(r"(depth:) +#", r"\1 2.5 in  #", text)
    cab = resolve(loads(text))
    for wall in cab.walls.values():
        assert wall.verified is not None
        assert (len(wall.fixtures), len(wall.holes), len(wall.obstructions)) == (4, 4, 3)


def test_what_is_left_blank_is_refused_at_its_line() -> None:
    text = filled(spec_text(survey("inch")), "inch").splitlines()
    blank = spec_text(survey("inch")).splitlines()
    asked = [i for i, line in enumerate(blank) if BLANK.match(line)]
    assert len(asked) == 53
    for line in asked:
        with pytest.raises(BadSpec) as refused:
            loads("\n".join([*text[:line], blank[line], *text[line + 1 :]]))
        (error,) = refused.value.errors
        assert error.line == line + 1
        assert "is empty" in error.what
        assert error.hint


def test_all_blank_is_refused_line_by_line() -> None:
    text = spec_text(survey("mm"))
    with pytest.raises(BadSpec) as refused:
        loads(text)
    wanted = [i for i, line in enumerate(text.splitlines(), 1) if BLANK.match(line)]
    told = [error.line for error in refused.value.errors if error.line]
    assert told == wanted[: len(told)]
    assert len(told) >= 20


# --- the command ---

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    monkeypatch.chdir(tmp_path)

    def run(*typed: str) -> tuple[int, str, str]:
        monkeypatch.setattr("sys.argv", ["cabdraw", *typed])
        status = run_command()
        said = capsys.readouterr()
        return status, said.out, said.err

    return run


def test_the_command_writes_both_and_says_what_to_do(run: Run) -> None:
    status, out, err = run("survey")
    assert (status, err) == (0, "")
    assert sorted(path.name for path in Path().iterdir()) == [FILE, "survey-form.pdf", "survey.yaml"]
    assert "survey-form.pdf: print it" in out
    assert Path("survey.yaml").read_text() == f"{FIRST_LINE}\n{spec_text(survey('inch'))}"
    assert Path(FILE).read_text() == schema_text()


def test_units_walls_paper_and_folder_are_heeded(run: Run) -> None:
    status, _, _ = run("survey", "--units", "mm", "--walls", "right, left", "--out", "jobs/204", "--paper", "letter")
    assert status == 0
    assert Path("jobs/204/survey.yaml").read_text() == f"{FIRST_LINE}\n{spec_text(survey('mm', ('left', 'right')))}"
    page = PdfReader("jobs/204/survey-form.pdf").pages[0]
    assert tuple(round(float(side)) for side in page.mediabox[2:]) == (612, 792)


def test_paper_goes_by_the_units(run: Run) -> None:
    run("survey", "--units", "mm")
    assert round(float(PdfReader("survey-form.pdf").pages[0].mediabox[2])) == 595


def test_no_file_is_overwritten(run: Run) -> None:
    for name in ("survey.yaml", "survey-form.pdf"):
        Path(name).write_text("somebody's work")
        status, out, err = run("survey", "--quiet")
        assert (status, out) == (1, "")
        assert err.startswith(f"{name}: nothing was written: this is there already")
        assert [path.name for path in Path().iterdir()] == [name]
        assert Path(name).read_text() == "somebody's work"
        Path(name).unlink()


def test_a_link_is_not_followed_and_a_file_is_no_folder(run: Run) -> None:
    Path("survey.yaml").symlink_to("elsewhere.yaml")
    assert run("survey")[0] == 1
    assert not Path("elsewhere.yaml").exists()
    Path("taken").write_text("")
    status, _, err = run("survey", "--out", "taken/here")
    assert status == 1
    assert err.startswith("taken/here: nothing was written: taken: ")


def test_a_full_disk_leaves_nothing(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    from cabdraw.place import disk

    write = disk.write

    def full(place: Path, held: bytes) -> None:
        if ".yaml" in place.name:
            raise OSError(28, "No space left on device", str(place))
        write(place, held)

    monkeypatch.setattr(disk, "write", full)
    status, _, err = run("survey", "--out", "new")
    assert status == 1
    assert "the disk is full" in err
    assert list(Path().iterdir()) == []


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (("--units", "feet"), "'feet' is not inch or mm"),
        (("--paper", "A3"), "'A3' is not A4 or Letter"),
        (("--walls", "back,front"), "there is no wall called 'front'"),
        (("--walls", ""), "there is no wall called ''"),
    ],
)
def test_a_wrong_command_says_so(run: Run, typed: tuple[str, ...], said: str) -> None:
    status, _, err = run("survey", *typed)
    assert status == 2
    assert said in " ".join(err.replace("│", "").split())
    assert list(Path().iterdir()) == []


def test_the_same_command_gives_the_same_bytes() -> None:
    assert package.survey_files("mm", ("back",), "A4") == package.survey_files("mm", ("back",), "A4")

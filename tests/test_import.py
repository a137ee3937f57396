"""`cabdraw import`: readings out of a spreadsheet, and what spreadsheets do to them."""

from __future__ import annotations

import csv
import datetime
import io
import json
import os
import re
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from ending import comes_to_an_end
from hypothesis import given, settings
from hypothesis import strategies as st
from schema_check import faults
from test_survey_form import CARS, value

from cabdraw.cli import run as run_command
from cabdraw.errors import BadSpec
from cabdraw.resolve import resolve
from cabdraw.spec import loads
from cabdraw.spec.source import parse_source
from cabdraw.start.figures import looks_like_a_date
from cabdraw.start.files import blank_table
from cabdraw.start.filled import blanks
from cabdraw.start.imported import imported
from cabdraw.start.table import BadTable
from cabdraw.survey import Units, spec_text, survey

HEAD = ["number", "item", "reading 1", "reading 2", "reading 3", "unit", "note"]
#: The fewest rows that make a survey.
FEW = [
    ["", "units", "inch"],
    ["", "project", "Larkspur Court"],
    ["", "car", "Car 2"],
    ["", "height", "92 1/4"],
    ["", "back width", "68 1/8", "68", "68 1/16"],
]


def table(
    tmp_path: Path, *rows: list[str], name: str = "survey.csv", separator: str = ",", encoding: str = "utf-8"
) -> Path:
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=separator).writerows([HEAD, *rows])
    path = tmp_path / name
    path.write_bytes(out.getvalue().encode(encoding))
    return path


def refused(path: Path, units: Units | None = None) -> list[str]:
    with pytest.raises(BadTable) as bad:
        imported(path, units)
    return list(bad.value.lines)


def workbook(path: Path, rows: list[list[Any]], formats: dict[str, str] | None = None, **more: list[list[Any]]) -> Path:
    book = openpyxl.Workbook()
    for sheet, held in ((book.active, rows), *((book.create_sheet(title), held) for title, held in more.items())):
        assert sheet is not None
        for row in held:
            sheet.append(row)
    for place, shown in (formats or {}).items():
        book.active[place].number_format = shown  # type: ignore[index]
    book.save(path)
    return path


def filled_table(units: Units, walls: tuple[str, ...]) -> list[list[str]]:
    """The blank table with a plausible reading for each number, as on the form."""
    held = blank_table(units, walls, "csv")["survey.csv"].decode("utf-8-sig")
    rows = list(csv.reader(io.StringIO(held)))
    wanted = {r.number: r.what for r in _readings(survey(units, walls))}
    for row in rows[2:]:
        first, _, last = row[0].partition(" to ")
        for at, number in enumerate(range(int(first[1:]), int((last or first)[1:]) + 1)):
            name = f"{first[0]}{number}"
            if re.search("fixture|hole|verified|obstruction|depth", row[1]):
                continue
            row[3 + at] = value(units, name, wanted[name])
    return rows


def _readings(of: Any) -> list[Any]:
    if hasattr(of, "number"):
        return [of]
    if isinstance(of, tuple):
        return [reading for each in of for reading in _readings(each)]
    return [r for name in getattr(of, "__struct_fields__", ()) for r in _readings(getattr(of, name))]


# --- whole tables ---


@pytest.mark.parametrize("units", ["inch", "mm"])
@pytest.mark.parametrize("walls", CARS, ids="-".join)
def test_a_filled_in_table_is_the_filled_in_form(tmp_path: Path, units: Units, walls: tuple[str, ...]) -> None:
    from test_survey_form import filled

    rows = filled_table(units, walls)
    path = tmp_path / "survey.csv"
    with path.open("w", encoding="utf-8-sig", newline="") as file:
        csv.writer(file).writerows(rows)
    found = imported(path)
    assert [number for _, number in found.blank] == []
    form = resolve(loads(filled(spec_text(survey(units, walls)), units)))
    assert resolve(loads(found.text)) == form
    assert faults(found.text) == []
    # Every number of the form's spec is there still, beside its reading.
    assert re.findall(r"# ([A-Z]\d+) ", found.text) == re.findall(r"# ([A-Z]\d+) ", spec_text(survey(units, walls)))
    book = openpyxl.load_workbook(io.BytesIO(blank_table(units, walls, "xlsx")["survey.xlsx"]))
    sheet = book.active
    assert sheet is not None
    for y, row in enumerate(rows, 1):
        for x, text in enumerate(row, 1):
            if text:
                sheet.cell(y, x).value = text  # type: ignore[union-attr]
    book.save(tmp_path / "survey.xlsx")
    assert imported(tmp_path / "survey.xlsx").text == found.text


def test_a_blank_workbook_keeps_what_is_typed_as_it_was_typed() -> None:
    sheet = openpyxl.load_workbook(io.BytesIO(blank_table("inch", ("back",), "xlsx")["survey.xlsx"])).active
    assert sheet is not None
    assert {cell.number_format for row in sheet.iter_rows(min_row=2) for cell in row} == {"@"}


@pytest.mark.parametrize(
    ("separator", "encoding"),
    [(",", "utf-8"), (",", "utf-8-sig"), (";", "utf-8-sig"), ("\t", "utf-16"), (",", "utf-16-le"), (";", "utf-16-be"),
     (";", "cp1252"), ("\t", "utf-8")],
)  # fmt: skip
def test_however_a_spreadsheet_saves_it(tmp_path: Path, separator: str, encoding: str) -> None:
    rows = [*FEW, ["", "surveyed by", "Jörg Müller"], [], ["", "", ""], ["", "", "", ""]]
    found = imported(table(tmp_path, *rows, separator=separator, encoding=encoding))
    assert "by: Jörg Müller" in found.text
    assert ("Windows-1252" in found.remark) == (encoding == "cp1252")
    assert re.search("      width: +# clear, shell to shell; evenly spaced from floor to ceiling\n", found.text)
    assert re.search(
        "        - 68 1/8 +# at the floor\n +- 68 +# 1/2 of the way up\n +- 68 1/16 +# at the ceiling\n", found.text
    )


def test_a_line_that_names_the_separator_is_heeded_and_counted(tmp_path: Path) -> None:
    path = tmp_path / "survey.csv"
    path.write_text("sep=;\n" + ";".join(HEAD) + "\n;units;mm\n;back width;x\n")
    assert refused(path) == ['survey.csv:4:C: "x" is not a length; write e.g. 864, 12.5, 1/2"']


def test_what_stands_on_a_wall_and_notes(tmp_path: Path) -> None:
    head = ["number", "item", *(f"reading {n}" for n in range(1, 6)), "unit", "note"]
    path = tmp_path / "s.csv"
    with path.open("w", newline="") as file:
        csv.writer(file).writerows([
            head, *FEW,
            ["", "back fixture", "4", "36", "9", "26", "1/8", "", 'operating: "panel"'],
            ["B27", "", "20", "40", "1/2"],
            ["", "back verified", "D. Marsh", "2026-02-20", "", "", "", "", "at night"],
            ["", "back depth", "2.5"],
            ["", "back obstruction", "20", "30", "2", "12", "", "", "=cable"],
            ["", "back shell", "2", "", "", "", "", "mm", "by the\ndoor"],
        ])  # fmt: skip
    text = imported(path).text
    assert '- {what: "operating: \\"panel\\"", x: 4, y: 36, width: 9, height: 26, clearance: 1/8}' in text
    assert "shell: 2 mm" in text
    assert "thickness of the shell sheet; by the door\n" in text
    assert "verified: {by: D. Marsh, date: 2026-02-20}" in text
    assert "at night\n" in text
    wall = loads(_completed(text)).spec.survey.walls.back
    assert wall is not None
    assert [fixture.what for fixture in wall.fixtures] == ['operating: "panel"']
    assert [obstruction.what for obstruction in wall.behind.obstructions] == ["=cable"]
    assert len(wall.holes) == 1


def _completed(text: str) -> str:
    """The spec with each line filled in that is blank."""
    for number, name in reversed(blanks(text)):
        lines = text.splitlines()
        what = lines[number - 1].split(f"# {name}")[1].strip()
        if name[0] == "B" and "at the" not in what and "way up" not in what and "end" not in what and what != "middle":
            what = what or "x"
        filled = re.sub(r" +# ", f" {value('inch', name, what)}  # ", lines[number - 1], count=1)
        text = "\n".join([*lines[: number - 1], filled, *lines[number:]]) + "\n"
    return text


def test_a_table_without_the_forms_numbers_leaves_out_what_was_not_read(tmp_path: Path) -> None:
    found = imported(table(tmp_path, *FEW, ["", "left width", "51"], ["", "back shell", "0.0781"]))
    assert found.blank == ()
    document = loads(found.text)
    assert (document.spec.survey.front, document.spec.survey.car) == (None, None)
    assert document.spec.layout.front_trim is None
    assert tuple(resolve(document).walls) == ("back", "left")
    assert faults(found.text) == []
    assert "has heights of its own" not in found.text
    # All that was left out is there to be put in force.
    assert re.findall(r"^#.* # ([A-Z]\d+) ", found.text, re.M)[:2] == ["C3", "C4"]
    lacking = imported(table(tmp_path, ["", "units", "mm"], ["", "back height", "2300"], ["", "back shell", "2"]))
    assert {number for _, number in lacking.blank} == {"C1", "C2", "C8", "B1", "B2", "B3", "B4", "B5"}


def test_fewer_readings_than_the_form_stay_to_be_taken_or_are_evenly_spaced(tmp_path: Path) -> None:
    numbered = imported(table(tmp_path, *FEW[:-1], ["B1 to B5", "back width", "68 1/8", "68", "68 1/16"]))
    assert {"B4", "B5"} <= {number for _, number in numbered.blank}
    assert "        - 68 1/8                  # B1   at the floor\n" in numbered.text
    plain = imported(table(tmp_path, *FEW))
    assert {"B1", "B4", "B5"}.isdisjoint(number for _, number in plain.blank)


# --- what spreadsheets do to readings ---


@pytest.mark.parametrize(
    "text",
    ["4-Mar", "04-Mar", "Mar-04", "4. Mrz", "04.Mrz", "3. Apr", "Apr 03", "3/4/2026", "03/04/26", "2026-03-04",
     "4.3.2026", "04.03.", "2026-03-04 00:00:00", "1:30", "Mar-2004", "4 mars 2026", "01:02:03"],
)  # fmt: skip
def test_a_date_in_place_of_a_fraction_is_refused(tmp_path: Path, text: str) -> None:
    (line,) = refused(table(tmp_path, *FEW, ["", "back shell", text]))
    assert line.startswith("survey.csv:7:C: ")
    assert "is a date, and a length belongs here; a spreadsheet makes a date of a fraction such as 3/4" in line
    assert "type 0 3/4" in line


@pytest.mark.parametrize(
    "text", ["3/4", "34 in", "34 inch", "3 ft 6 in", "5 feet", "12 mm", "1-1/2", "34.5", "0.0781", '7/8"']
)
def test_a_length_is_no_date(text: str) -> None:
    assert not looks_like_a_date(text)


@pytest.mark.parametrize(
    ("text", "read"),
    [("68,5", "68.5"), ("1730,25", "1730.25"), ("0,781", "0.781"), ("1.730,5", "1730.5"), ("1,730.5", "1730.5"),
     (",5", ".5"), ("68,5 in", "68.5 in"), ("1730,1234", "1730.1234"), ("'3/4", "3/4"), ("68  1/8", "68 1/8"),
     ("68\u00a01/8", "68 1/8"), ("68½", "68½"), ("5' 8\"", "5' 8\"")],
)  # fmt: skip
def test_numbers_as_people_have_them(tmp_path: Path, text: str, read: str) -> None:
    units = "mm" if "730" in text else "inch"
    item = "left width" if text[0] in "651" else "left floor"
    found = imported(table(tmp_path, ["", "units", units], ["", "back width", "68 in"], ["", item, text]))
    written = json.dumps(read, ensure_ascii=False) if "'" in read else read
    assert re.search(rf"^ +- {re.escape(written)}( |$)", found.text, re.M)


@pytest.mark.parametrize(("text", "other"), [("1,730", ""), ("2,103 mm", ""), ("1.730", "1801,5"), ("12,345", "")])
def test_what_can_be_read_in_two_ways_is_refused(tmp_path: Path, text: str, other: str) -> None:
    rows = [["", "units", "mm"], ["", "back width", text], ["", "left width", other]]
    (line,) = refused(table(tmp_path, *rows, separator=";"))
    assert line.startswith("survey.csv:3:C: ")
    assert "can be read in two ways" in line


def test_a_point_before_three_decimals_is_plain_where_no_cell_has_a_comma(tmp_path: Path) -> None:
    assert "- 1730.125\n" in imported(table(tmp_path, ["", "units", "mm"], ["", "back width", "1730.125"])).text


def test_all_errors_come_at_once_each_at_its_cell(tmp_path: Path) -> None:
    rows = [
        ["", "units", "inch"],
        ["", "project", "x" * 300],
        ["", "date", "02/03/2026"],
        ["", "back width", "68", "sixty", "2"],
        ["", "back widht", "68"],
        ["B1", "left width", "51"],
        ["", "rated load", "3500"],
        ["", "back shell", "3/4", "1/2"],
        ["", "left floor", "0", "", "1/8"],
        ["", "back fixture", "4", "36", "9", "", "panel"],
        ["", "", "12"],
        ["", "left width", "51", "", "", "lbs", ""],
        ["", "left height", "92 in", "", "", "mm", ""],
        ["", "back width", "68"],
        ["", "level line", "-48"],
    ]
    said = refused(table(tmp_path, *rows))
    wanted = {
        "3:C": "is 300 characters long", "4:C": "is not a date that can be read in one way only",
        "5:D": '"sixty" is not a length', "6:B": '"back widht" is no item here',
        "7:A": '"B1" is the number of back width',
        "8:C": "is not a mass with its unit", "9:D": "back shell has one reading", "10:D": "is blank, and a later",
        "11:A": "height is missing", "12:A": "neither its item nor a number", "13:C": "no unit of length|lbs",
        "14:C": "has a unit of its own", "15:B": "stands in an earlier row", "16:C": "negative",
    }  # fmt: skip
    found = {line.split(": ")[0].removeprefix("survey.csv:"): line for line in said}
    assert sorted(found) == sorted(wanted), said
    for place, what in wanted.items():
        assert re.search(what, found[place]), found[place]


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "no row heads columns"),
        (b"a,b\n1,2\n", "no row heads columns"),
        (b"item,reading 1\nback width,68\n", "no row says what the readings are in"),
        (b"item,reading 1\nunits,feet\nback width,68\n", "answer inch or mm"),
        (b"item,reading 1\nunits,mm\n", "no wall has any reading"),
        (b"item,reading 1,reading 1\nunits,mm\nback width,1700\n", "heads a second column"),
        (b"item,reading 1,colour\nunits,mm\nback width,1700,red\n", '"colour" is no column here'),
        (b"item,reading 1,\nunits,mm\nback width,1700,1701\n", "stands in a column that has no head"),
        (b'item,reading 1\nunits,"mm\n', "answer inch or mm|never closed"),
        (b"item,reading 1\nunits,mm\n\x81\x8d\n", "byte 0x81 is of no text"),
        (b"\xd0\xcf\x11\xe0" + b"\0" * 100, "of an old kind"),
        (b"PK\x03\x04" + b"\0" * 100, "is broken"),
        (b"item,reading 1\n" + b"back width,1700\n" * 3000, "more than 2000 rows"),
        (b"item,reading 1\n" + b"x" * 2000, "holds 2000 characters"),
        (b"x" * 1_100_000, "larger than 1 MB"),
        (b"x" * 6_000_000, "larger than 5 MB"),
        (b"item,reading 1" + b",a" * 100 + b"\n", "more than 60 cells"),
        (b"\xff\xfea", "no UTF-16 text"),
        (b"%PDF-1.4\n\0\0", "no row heads|no table"),
    ],
)
def test_what_is_no_table_is_refused_at_once(tmp_path: Path, data: bytes, said: str) -> None:
    path = tmp_path / "survey.csv"
    path.write_bytes(data)
    with comes_to_an_end():
        lines = refused(path)
    assert re.search(said, lines[0]), lines


def test_units_may_be_said_with_the_command(tmp_path: Path) -> None:
    path = table(tmp_path, ["", "back width", "1700"])
    assert "units: mm" in imported(path, "mm").text
    assert "longer than 20 m" in refused(path, "inch")[0]


# --- workbooks ---


def test_a_workbooks_numbers_dates_and_formulas(tmp_path: Path) -> None:
    rows: list[list[Any]] = [
        HEAD,
        [None, "units", "mm"],
        [None, "project", 204],
        [None, "date", datetime.date(2026, 3, 2)],
        [None, "height", 2360.5, 2360.1 + 0.2],
        [None, "back width", 1730, "1731.5", 68.125, None, None],
    ]
    rows[-1][4] = 1729.5000000001
    path = workbook(tmp_path / "survey.xlsx", [["Survey of a car"], [], *rows])
    text = imported(path).text
    assert 'project: "204"' in text
    assert "date: 2026-03-02" in text
    assert re.search("- 2360.5 *\n +- 2360.3 *\n", text)
    assert re.search("- 1730 .*\n +- 1731.5 .*\n +- 1729.5 ", text)


@pytest.mark.parametrize(
    ("held", "shown", "said"),
    [
        (datetime.datetime(2026, 3, 4), "", '"2026-03-04" is a date, and a length belongs here'),
        (46085, "d-mmm", "is a date"),
        (datetime.time(1, 30), "", "is a date"),
        (True, "", "TRUE is a truth value"),
        ("=1+2", "", "a formula whose value was not saved; open the workbook"),
        ("#DIV/0!", "", "is an error of the spreadsheet|is not a length"),
        (-3, "", "negative"),
        (1e300, "", "is not a length|longer than"),
        ("=cmd|' /C calc'!A0", "", "a formula whose value was not saved"),
    ],
)
def test_a_workbooks_cell_that_is_no_reading_is_refused(tmp_path: Path, held: Any, shown: str, said: str) -> None:
    rows = [HEAD, [None, "units", "inch"], [None, "back width", "68"], [None, "back shell", held]]
    path = workbook(tmp_path / "survey.xlsx", rows, {"C4": shown} if shown else None)
    (line,) = refused(path)
    assert line.startswith("survey.xlsx:Sheet!C4: ")
    assert re.search(said, line), line


def test_the_sheet_with_readings_is_found_and_two_are_refused(tmp_path: Path) -> None:
    rows: list[list[Any]] = [HEAD, [None, "units", "mm"], [None, "back width", 1700]]
    assert "1700" in imported(workbook(tmp_path / "a.xlsx", [["notes"]], Readings=rows)).text
    assert "several sheets have readings" in refused(workbook(tmp_path / "b.xlsx", rows, More=rows))[0]
    assert "no sheet has a column called reading 1" in refused(workbook(tmp_path / "c.xlsx", [["notes"]]))[0]


def repacked(path: Path, change: Callable[[str, bytes], bytes], *more: tuple[str, bytes]) -> Path:
    held = path.read_bytes()
    with zipfile.ZipFile(io.BytesIO(held)) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, change(name, old.read(name)))
        for name, data in more:
            new.writestr(name, data)
    return path


def test_hostile_workbooks_are_refused_at_once(tmp_path: Path) -> None:
    rows: list[list[Any]] = [HEAD, [None, "units", "mm"], [None, "back width", 1700]]
    laughs = b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]>'
    with comes_to_an_end():
        for number, (change, more) in enumerate((
            (lambda name, data: laughs + data if name.endswith("sheet1.xml") else data, ()),
            (lambda name, data: data, (("xl/media/bomb.bin", b"\0" * 40_000_000),)),
            (lambda name, data: data, tuple((f"a{n}", b"") for n in range(400))),
            (lambda name, data: data.decode().encode("utf-16") if name.endswith("sheet1.xml") else data, ()),
            (lambda name, data: data[: len(data) // 2] if name.endswith("sheet1.xml") else data, ()),
            (lambda name, data: b"<a/>" if name.endswith("workbook.xml") else data, ()),
            (lambda name, data: data.replace(b"</cellXfs>", b"<xf/>" * 300_000 + b"</cellXfs>"), ()),
            (lambda name, data: data.replace(b"</sheetData>", b"<row>" + b"<c/>" * 900_000 + b"</row>"), ()),
            (lambda name, data: data.replace(b"</sheetData>", b'<row r="999999999"/></sheetData>'), ()),
        )):  # fmt: skip
            path = repacked(workbook(tmp_path / f"{number}.xlsx", rows), change, *more)
            (line,) = refused(path)
            assert re.search(
                "holds more than any|no spreadsheet program|no workbook that can be read|is broken|no sheet has", line
            )


def test_a_pipe_a_device_and_a_folder_are_no_tables(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.csv")
    for path, said in ((tmp_path / "pipe.csv", "no file on a disk"), (Path("/dev/zero"), "no file on a disk"),
                       (tmp_path, "is a folder"), (Path(), "is a folder"), (Path("/"), "is a folder")):  # fmt: skip
        (line,) = refused(path)
        assert said in line


def test_a_sheet_that_goes_on_blank_is_read_in_time(tmp_path: Path) -> None:
    rows: list[list[Any]] = [HEAD, [None, "units", "mm"], [None, "back width", 1700]]
    blank = "".join(f'<row r="{n}" spans="1:7"/>' for n in range(10, 300_000)).encode()
    path = workbook(tmp_path / "survey.xlsx", rows)
    repacked(path, lambda name, data: data.replace(b"</sheetData>", blank + b"</sheetData>"))
    with comes_to_an_end():
        assert "1700" in imported(path).text


CELLS = st.one_of(
    st.sampled_from(["", "68", "68 1/8", "inch", "mm", "units", "back width", "left floor", "back fixture", "B1", "C9",
                     "item", "reading 1", "=1+1", "4-Mar", "1,5", "\u202e", "x: #", "2026-03-04", "project", "note"]),
    st.text(max_size=8),
)  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(rows=st.lists(st.lists(CELLS, max_size=8), max_size=12), head=st.booleans())
def test_any_table_is_taken_or_refused_by_its_cells(tmp_path_factory: Any, rows: list[list[str]], head: bool) -> None:
    path = tmp_path_factory.mktemp("any") / "survey.csv"
    out = io.StringIO(newline="")
    csv.writer(out).writerows([*([HEAD, ["", "units", "inch"], ["", "back width", "68"]] if head else []), *rows])
    path.write_bytes(out.getvalue().encode("utf-8", "surrogatepass"))
    lines: tuple[str, ...] = ()
    try:
        text = imported(path).text
    except BadTable as bad:
        lines = bad.lines
    assert all(line.startswith("survey.csv") for line in lines)
    if lines:
        return
    assert parse_source(text.encode(), "survey.yaml").flaws == ()
    still: tuple[Any, ...] = ()
    try:
        loads(text)
    except BadSpec as bad:
        still = bad.errors
    for error in still:  # what is blank is refused, and nothing else but what rests on it
        assert re.search("is empty|front_trim|is missing", str(error)), error


# --- the command ---

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.stdin", io.StringIO())

    def run(*typed: str) -> tuple[int, str, str]:
        monkeypatch.setattr("sys.argv", ["cabdraw", *typed])
        status = run_command()
        said = capsys.readouterr()
        return status, said.out, said.err

    return run


def test_the_command_says_what_is_still_blank(run: Run, tmp_path: Path) -> None:
    table(tmp_path, *FEW, ["C9", "", "3500 lb"])
    status, out, err = run("import", "survey.csv")
    assert (status, err) == (0, "")
    assert re.match(r"survey\.yaml: written, and \d+ readings still blank: line \d+ \(C3\), ", out)
    line = int(re.search(r"line (\d+) \(C4\)", out)[1])  # type: ignore[index]
    assert "# C4 " in Path("survey.yaml").read_text().splitlines()[line - 1]
    status, _, err = run("import", "survey.csv")
    assert status == 1
    assert "there is something under this name already" in err


def test_from_a_spreadsheet_straight_to_a_spec(run: Run, tmp_path: Path) -> None:
    run("survey", "--walls", "left,right", "--table", "csv", "--units", "mm")
    with Path("survey.csv").open("w", encoding="utf-8-sig", newline="") as file:
        csv.writer(file).writerows(filled_table("mm", ("left", "right")))
    status, _, err = run("new", "quay", "--from", "survey.csv", "--tiers", "1")
    assert (status, err) == (0, ""), err
    assert tuple(resolve(loads(Path("quay.yaml").read_text())).walls) == ("left", "right")
    assert run("check", "quay.yaml")[0] == 0
    run("import", "survey.csv", "--out", "again.yaml")
    assert run("check", "again.yaml")[0] == 0
    assert run("new", "third", "--from", "again.yaml", "--tiers", "1")[0] == 0
    assert Path("third.yaml").read_text() == Path("quay.yaml").read_text()


def test_the_place_of_an_error_can_be_opened_from_here(run: Run, tmp_path: Path) -> None:
    (tmp_path / "jobs").mkdir()
    table(tmp_path / "jobs", *FEW, ["", "back shell", "4-Mar"])
    status, out, err = run("import", "jobs/survey.csv")
    assert (status, out) == (1, "")
    assert err.startswith("jobs/survey.csv:7:C: ")
    assert not Path("survey.yaml").exists()
    assert run("import", "nowhere.csv")[2] == "nowhere.csv: there is no such file\n"
    assert run("new", "a", "--from", "jobs/survey.csv")[0] == 1


def test_what_is_wrong_in_a_tables_spec_is_said_by_the_forms_numbers(run: Run) -> None:
    run("survey", "--walls", "left", "--table", "csv", "--units", "mm")
    rows = filled_table("mm", ("left",))
    blank = next(row for row in rows if row and row[0] == "C1")
    blank[2:] = ["" for _ in blank[2:]]
    with Path("survey.csv").open("w", encoding="utf-8-sig", newline="") as file:
        csv.writer(file).writerows(rows)
    status, out, err = run("new", "quay", "--from", "survey.csv")
    assert (status, out) == (1, "")
    assert err.splitlines()[0].startswith("survey.csv: C1: job.project: ")
    assert err.splitlines()[-1] == "nothing was written"
    assert not Path("quay.yaml").exists()

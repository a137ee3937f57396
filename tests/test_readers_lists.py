"""Every list, record and report of a package in programs that are not ours, and the README's table of all readers."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import zipfile
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import openpyxl
import pyogrio
import pytest
import python_calamine
from browser import DESKTOP, browser
from conftest import SPECS, Shipped, drawn
from make_pictures import README, between, renew
from read_by import FEWEST, LISTS, READINGS, of_kind, pattern, readers_table, reads
from readers import need, run
from test_readme import files_table

WORKBOOK, RECORD, REPORT = "shop/lists.xlsx", "resolved.json", "report.html"
Rows = list[list[str]]


def by_python(content: bytes) -> Rows:
    """A CSV as Python's own reader has it."""
    return list(csv.reader(io.StringIO(content.decode("utf-8"), newline="")))


def alike(one: str, other: str) -> bool:
    """Whether two cells hold the same: the same number, or the same words."""
    try:
        return abs(float(one) - float(other)) < 1e-6
    except ValueError:
        return one == other


def same(path: str, found: Rows, wanted: Rows) -> None:
    """Hold the rows that a program finds against those that Python finds."""
    assert len(found) == len(wanted) > 0, path
    for n, (row, line) in enumerate(zip(found, wanted, strict=True)):
        row = row + [""] * (len(line) - len(row))
        assert [(a, b) for a, b in zip(row, line, strict=True) if not alike(a, b)] == [], (path, n)


@pytest.mark.parametrize("kind", LISTS)
@reads("Python", "rows", *LISTS)
@reads("Python", "marks, sizes, masses", LISTS[0])
@reads("Python", "sizes", LISTS[1])
def test_python(kind: str, shipped: Shipped) -> None:
    resolved = {part["mark"]: part for part in shipped.resolved["parts"]}
    mm = 25.4 if shipped.resolved["units"] == "inch" else 1.0
    for path, content in of_kind(shipped, kind).items():
        header, *rows = by_python(content)
        assert {len(row) for row in rows} <= {len(header)}, path
        if path == "shop/cut-list.csv":
            listed = [dict(zip(header, row, strict=True)) for row in rows]
            assert set(resolved) <= {row["mark"] for row in listed}
            for row in listed:
                if (part := resolved.get(row["mark"])) is None:
                    assert row["kind"] == "standoff", row["mark"]
                    continue
                # Of a reveal strip what shows was resolved, and of every other part all of it.
                for side in ("width", "height"):
                    listed_as = {float(row[f"{what}_{side}"] or 0) * mm for what in ("visible", "finished")}
                    assert min(abs(size - part[side]) for size in listed_as) < 1e-4, (row["mark"], side)
                assert float(row["mass_kg"] or 0) == pytest.approx(part["mass"] or 0, abs=1e-3), row["mark"]
        if path == "site/blocks.csv":
            listed = [dict(zip(header, row, strict=True)) for row in rows]
            sizes = {float(row["size_mm"]) for row in listed if row["size_mm"]}
            missing = [b["size"] for b in shipped.resolved["blocks"] if min(abs(b["size"] - s) for s in sizes) > 0.06]
            assert missing == [], path


@pytest.mark.parametrize("kind", LISTS)
@reads("GDAL", "rows", *LISTS)
def test_gdal(kind: str, shipped: Shipped, tmp_path: Path) -> None:
    for path, content in of_kind(shipped, kind).items():
        (tmp_path / "read.csv").write_bytes(content)
        meta, _, _, columns = pyogrio.raw.read(tmp_path / "read.csv", AUTODETECT_TYPE="NO")
        rows = [["" if cell is None else str(cell) for cell in row] for row in zip(*columns, strict=True)]
        same(path, [list(meta["fields"]), *rows], by_python(content))


@pytest.mark.parametrize("kind", LISTS)
@reads("Gnumeric", "rows", *LISTS)
def test_gnumeric(kind: str, shipped: Shipped, tmp_path: Path) -> None:
    for path, content in of_kind(shipped, kind).items():
        (tmp_path / "read.csv").write_bytes(content)
        run(tmp_path, "ssconvert", "-T", "Gnumeric_stf:stf_csv", "read.csv", "made.csv")
        same(path, by_python((tmp_path / "made.csv").read_bytes()), by_python(content))


@reads("LibreOffice", "rows", *LISTS)
def test_libreoffice(tmp_path: Path) -> None:
    shipped = drawn(SPECS[0])
    files = {path: content for kind in LISTS for path, content in of_kind(shipped, kind).items()}
    names = [f"{number}.csv" for number in range(len(files))]
    for name, content in zip(names, files.values(), strict=True):
        (tmp_path / name).write_bytes(content)
    # Commas, quotes, UTF-8, every column as it stands.
    office(tmp_path, "csv", *names, options="--infilter=CSV:44,34,76,1")
    for name, (path, content) in zip(names, files.items(), strict=True):
        same(path, by_python((tmp_path / "made" / name).read_bytes()), by_python(content))


def office(folder: Path, to: str, *names: str, options: str = "") -> None:
    """Let LibreOffice turn files into another kind, in a folder beside them."""
    need("soffice")
    profile = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
    # Every sheet, in UTF-8, as it is and not as it is shown.
    into = f"{to}:Text - txt - csv (StarCalc):44,34,76,1,,0,false,false,false,false,false,{-1 if not options else 0}"
    command = [profile, "--headless", *([options] if options else []), "--convert-to", into, "--outdir", "made"]
    run(folder, "soffice", *command, *names)


def sheets(shipped: Shipped) -> dict[str, Rows]:
    """What each sheet of the workbook must hold: the list of the same name."""
    lists = of_kind(shipped, LISTS[0])
    return {Path(path).stem: by_python(content) for path, content in lists.items()}


def cells(rows: list[list[Any]]) -> Rows:
    """Cells as they would stand in a list."""
    return [["" if cell is None else str(cell) for cell in row] for row in rows]


@reads("openpyxl", "sheets, rows", WORKBOOK)
def test_openpyxl(shipped: Shipped) -> None:
    for content in of_kind(shipped, WORKBOOK).values():
        book = openpyxl.load_workbook(io.BytesIO(content))
        for name, wanted in sheets(shipped).items():
            same(name, cells([list(row) for row in book[name].iter_rows(values_only=True)]), wanted)


@reads("calamine", "sheets, rows", WORKBOOK)
def test_calamine(shipped: Shipped) -> None:
    for content in of_kind(shipped, WORKBOOK).values():
        book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(content))
        for name, wanted in sheets(shipped).items():
            same(name, cells(book.get_sheet_by_name(name).to_python()), wanted)


@reads("Gnumeric", "sheets, rows", WORKBOOK)
def test_gnumeric_opens_the_workbook(shipped: Shipped, tmp_path: Path) -> None:
    for content in of_kind(shipped, WORKBOOK).values():
        (tmp_path / "read.xlsx").write_bytes(content)
        run(tmp_path, "ssconvert", "-S", "-T", "Gnumeric_stf:stf_csv", "read.xlsx", "%s.csv")
        for name, wanted in sheets(shipped).items():
            same(name, by_python((tmp_path / f"{name}.csv").read_bytes()), wanted)


@reads("LibreOffice", "sheets, rows", WORKBOOK)
def test_libreoffice_opens_the_workbook(tmp_path: Path) -> None:
    shipped = drawn(SPECS[0])
    (tmp_path / "read.xlsx").write_bytes(shipped.files[WORKBOOK])
    office(tmp_path, "csv", "read.xlsx")
    for name, wanted in sheets(shipped).items():
        same(name, by_python((tmp_path / "made" / f"read-{name}.csv").read_bytes()), wanted)


def test_a_workbook_holds_no_formula_and_no_link_outward(shipped: Shipped) -> None:
    with zipfile.ZipFile(io.BytesIO(shipped.files[WORKBOOK])) as held:
        for name in held.namelist():
            assert not re.search(rb"<f[ >]|externalLink|TargetMode=.External", held.read(name)), name


def summed(record: dict[str, Any]) -> list[float]:
    """How many parts, walls and findings there are, and what the sizes of all parts come to."""
    parts = record["parts"]
    return [
        len(parts), len(record["walls"]), len(record["findings"]),
        sum(part["width"] for part in parts), sum(part["height"] for part in parts),
    ]  # fmt: skip


@reads("Python", "entity counts, sizes", RECORD)
def test_python_reads_the_record(shipped: Shipped) -> None:
    cab = shipped.looked.cab
    found = json.loads(shipped.files[RECORD])
    assert len(found["parts"]) == len({part["mark"] for part in found["parts"]}) > 0
    assert set(found["walls"]) == set(cab.walls)
    assert len(found["findings"]) == len(shipped.looked.findings)


@reads("jq", "entity counts, sizes", RECORD)
def test_jq(shipped: Shipped, tmp_path: Path) -> None:
    (tmp_path / "read.json").write_bytes(shipped.files[RECORD])
    asked = "[(.parts|length), (.walls|length), (.findings|length), ([.parts[].width]|add), ([.parts[].height]|add)]"
    assert json.loads(run(tmp_path, "jq", "-c", asked, "read.json")) == pytest.approx(summed(shipped.resolved))


@reads("Node", "entity counts, sizes", RECORD)
def test_node(shipped: Shipped, tmp_path: Path) -> None:
    (tmp_path / "read.json").write_bytes(shipped.files[RECORD])
    script = """
        const record = JSON.parse(require("fs").readFileSync("read.json", "utf8"));
        const sum = (key) => record.parts.reduce((all, part) => all + part[key], 0);
        console.log(JSON.stringify([record.parts.length, Object.keys(record.walls).length, record.findings.length,
          sum("width"), sum("height")]));
    """
    assert json.loads(run(tmp_path, "node", "-e", script)) == pytest.approx(summed(shipped.resolved))


def told(shipped: Shipped, words: str) -> None:
    """Hold the words that a program finds in the report against what was resolved."""
    found = re.sub(r"\s+", "", words).lower()
    resolved = shipped.resolved
    wanted = [part["mark"] for part in resolved["parts"]] + [finding["message"] for finding in resolved["findings"]]
    assert [text for text in wanted if re.sub(r"\s+", "", text).lower() not in found] == []


@reads("Chromium", "marks, findings", REPORT)
def test_chromium(shipped: Shipped, tmp_path: Path) -> None:
    (tmp_path / "report.html").write_bytes(shipped.files[REPORT])
    with browser(tmp_path, DESKTOP) as page:
        page.driver.get((tmp_path / "report.html").as_uri())
        told(shipped, page.run("return document.body.textContent"))


@reads("w3m", "marks, findings", REPORT)
def test_w3m(shipped: Shipped, tmp_path: Path) -> None:
    (tmp_path / "report.html").write_bytes(shipped.files[REPORT])
    told(shipped, run(tmp_path, "w3m", "-dump", "-cols", "1000", "-I", "UTF-8", "-O", "UTF-8", "report.html"))


@reads("HTML Tidy", "marks, findings, well-formedness", REPORT)
def test_tidy(shipped: Shipped, tmp_path: Path) -> None:
    (tmp_path / "report.html").write_bytes(shipped.files[REPORT])
    # An element that is newer than Tidy is a warning, and ends it with 1; an error, with 2.
    options = ("-utf8", "-q", "--show-warnings", "no", "--new-inline-tags", "data", "-asxml", "-o", "made.html")
    run(tmp_path, "tidy", *options, "report.html", worst=1)
    told(shipped, "".join(ElementTree.parse(tmp_path / "made.html").getroot().itertext()))


def test_the_table_of_readers_is_what_the_tests_read() -> None:
    """`CABDRAW_RENEW=1` puts the table into the README anew."""
    kinds = list(files_table())
    table = readers_table(kinds)
    if os.environ.get("CABDRAW_RENEW") == "1":
        renew(README, "readers", table)
    assert between(README.read_text(encoding="utf-8"), "readers") == table
    assert {kind: sorted(found) for kind, found in READINGS.items() if len(found) < FEWEST} == {}
    assert [kind for kind in kinds if kind not in READINGS] == []


def test_every_file_of_every_shipped_package_is_of_a_kind_that_is_read() -> None:
    readers_table([])
    known = [pattern(kind) for kind in READINGS]
    for spec in SPECS:
        shipped = drawn(spec)
        assert [path for path in shipped.files if not any(kind.fullmatch(path) for kind in known)] == []
    assert [kind for kind in READINGS if not any(of_kind(drawn(spec), kind) for spec in SPECS)] == []

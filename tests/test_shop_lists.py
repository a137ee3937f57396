"""The shop's lists: fixed, documented columns, cells that spreadsheets cannot run, and lists over several cars."""

from __future__ import annotations

import csv
import os
import subprocess
import sys
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from spec_texts import cab, document

from cabdraw import package
from cabdraw.check import findings as findings_of
from cabdraw.errors import BadSpec
from cabdraw.frozen import replace
from cabdraw.shop.lists import BENDS, CUT_LIST, EDGES, MASS, cut_list
from cabdraw.shop.nesting_list import NESTING
from cabdraw.shop.parts import shop_parts
from cabdraw.shop.stock_plan import Wanted, plan_stock
from cabdraw.shop_package import cleared, several_files, shop_files
from cabdraw.units import mm
from cabdraw.write.tables import csv_bytes
from cabdraw.write.workbook import workbook_bytes

REPOSITORY = Path(__file__).parent.parent
COLUMNS = REPOSITORY / "docs" / "lists.md"
LISTS = {"cut-list": CUT_LIST, "edges": EDGES, "bends": BENDS, "mass": MASS, "nesting": NESTING}
STOCK: dict[str, Any] = {
    "sheets": [{"material": "mdf", "width": "61", "height": "97", "count": "10"}],
    "bars": [{"kind": kind, "length": "144"} for kind in ("base", "frieze", "reveal", "spline")],
    "kerf": "1/8",
    "edge_trim": "1/2",
}
STOCKED: dict[str, Any] = {"stock": STOCK, "materials": {"panel": "mdf"}}


def rows(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(data.decode("utf-8"), newline="")))


@pytest.fixture(scope="module")
def stocked() -> dict[str, bytes]:
    return dict(shop_files(cab(STOCKED), ()))


def documented() -> str:
    head = (
        "# The shop's lists and their columns\n\n"
        "Each list is a CSV with one header line, and a sheet of `shop/lists.xlsx`. Columns keep their names, their\n"
        "order and their meaning; a new one comes last. A text that a spreadsheet would run as a formula has an\n"
        "apostrophe before it in the CSV.\n"
    )
    lists = []
    for name, columns in LISTS.items():
        lines = [f"| `{column}` | {meaning} |" for column, meaning in columns]
        lists.append("\n".join([f"\n## {name}\n", "| column | what it holds |", "| --- | --- |", *lines]) + "\n")
    return head + "".join(lists)


def test_the_columns_are_documented() -> None:
    if os.environ.get("CABDRAW_RENEW") == "1":
        COLUMNS.write_text(documented(), encoding="utf-8")
    assert COLUMNS.read_text(encoding="utf-8") == documented()


def test_each_list_has_its_columns_in_one_header_line(stocked: dict[str, bytes]) -> None:
    for name, columns in LISTS.items():
        first = stocked[f"{name}.csv"].decode("utf-8").split("\r\n")[0]
        assert first == ",".join(column for column, _ in columns)
        assert len({column for column, _ in columns}) == len(columns)


def test_the_workbook_holds_the_same_lists(stocked: dict[str, bytes]) -> None:
    book = openpyxl.load_workbook(BytesIO(stocked["lists.xlsx"]))
    assert book.sheetnames == ["cut-list", "edges", "bends", "mass", "nesting", "columns"]
    for name in LISTS:
        listed = rows(stocked[f"{name}.csv"])
        header, *cells = book[name].iter_rows(values_only=True)
        assert list(header) == [column for column, _ in LISTS[name]]
        assert len(cells) == len(listed)
        for row, line in zip(cells, listed, strict=True):
            for value, said in zip(row, line.values(), strict=True):
                assert ("" if value is None else float(said) == value if isinstance(value, int | float) else value) in (
                    said,
                    True,
                )


def test_a_text_from_the_spec_is_never_a_formula() -> None:
    hostile = '=HYPERLINK("http://x","y")'
    files = dict(shop_files(cab({**STOCKED, "job": {"project": "Test", "car": hostile}}), ()))
    (car,) = {row["car"] for row in rows(files["cut-list.csv"])}
    assert car == "'" + hostile
    sheet = openpyxl.load_workbook(BytesIO(files["lists.xlsx"]))["cut-list"]
    cells = [cell for line in sheet.iter_rows() for cell in line if cell.value == hostile]
    assert cells
    assert {cell.data_type for cell in cells} == {"s"}


def test_sizes_are_numbers_and_as_printed() -> None:
    listed = rows(csv_bytes((t := cut_list(c := cab(), shop_parts(c))).header, t.rows))
    panel = next(row for row in listed if row["mark"] == "lower-back-1")
    assert panel["unit"] == "inch"
    assert (panel["visible_width"], panel["visible_height"]) == ("21.15625", "25.625")
    assert panel["visible"] == '21 5/32" x 25 5/8"'
    assert panel["core"] == '21.1163" x 25.5850"'
    assert panel["thickness_printed"] == '0.7500"'
    spline = next(row for row in listed if row["kind"] == "vertical-spline")
    assert spline["visible_width"] == ""


def test_a_board_is_nested_and_a_strip_is_cut_once(stocked: dict[str, bytes]) -> None:
    listed = rows(stocked["nesting.csv"])
    cut = rows(stocked["cut-list.csv"])
    boards = {row["mark"] for row in cut if row["made"] == "board"}
    lengths = {row["mark"] for row in cut if row["kind"] in ("base", "frieze") or "spline" in row["kind"]}
    lengths |= {row["mark"] for row in cut if "reveal" in row["kind"]}
    assert sorted(row["mark"] for row in listed if row["row"] == "piece") == sorted(boards)
    assert sorted(row["mark"] for row in listed if row["row"] == "length") == sorted(lengths)
    assert {row["mark"] for row in listed if row["row"] == "no stock"} == {
        row["mark"] for row in cut if row["kind"] == "handrail"
    }
    sizes = {row["mark"]: (float(row["blank_width"]), float(row["blank_height"])) for row in cut}
    for row in listed:
        if row["row"] == "piece":
            size = (float(row["width"]), float(row["height"]))
            assert size == pytest.approx(sizes[row["mark"]][:: -1 if row["turned"] == "yes" else 1])
    totals = [row for row in listed if row["row"] == "total"]
    assert all(float(row["stock_used"]) >= float(row["least_possible"]) > 0 for row in totals)
    assert all(0 < float(row["used"]) <= 100 for row in totals)


def test_each_nested_sheet_has_a_drawing_and_a_flat(stocked: dict[str, bytes], tmp_path: Path) -> None:
    import pyogrio

    listed = rows(stocked["nesting.csv"])
    sheets = [row["file"] for row in listed if row["row"] == "sheet"]
    assert {f"sheets/{name}" for name in sheets} == {
        path for path in stocked if path.startswith("sheets/") and path.endswith(".dxf")
    }
    assert {path[:-4] for path in stocked if path.endswith(".svg")} == {f"sheets/{name[:-4]}" for name in sheets}
    (tmp_path / "sheet.dxf").write_bytes(stocked[f"sheets/{sheets[0]}"])
    meta, _, _, columns = pyogrio.raw.read(tmp_path / "sheet.dxf")
    layers = list(dict(zip(meta["fields"], columns, strict=True))["Layer"])
    pieces = [row for row in listed if row["row"] == "piece" and row["number"] == "1"]
    assert layers.count("OUTSIDE_CUT_BLANK") == len(pieces)
    assert layers.count("SAW_LINE") == len([row for row in listed if row["row"] == "saw cut" and row["number"] == "1"])


def test_front_trims_of_one_return_come_out_of_one_length() -> None:
    front = {"left": {"width": "10", "height": "91"}, "transom": {"underside": "84", "projects": "1/4"}}
    car = cab({**STOCKED, "survey.front": front, "layout.front_trim": {"width": "1 1/2", "stock": "96"}})
    parts = shop_parts(car)
    assert car.stock is not None
    plan = plan_stock([Wanted(part.mark, part) for part in parts], car.stock, car.front)
    (trims,) = (group for group in plan.bars if group.kind == "front_trim")
    ((mark, _, length),) = trims.plan.bars[0].pieces
    assert mark == "front-trim-left-1 + front-trim-left-2"
    assert length == mm("25.4").mm * 91 + mm("3.175").mm


def test_without_stock_nothing_is_nested() -> None:
    files = dict(shop_files(cab(), ()))
    assert "nesting.csv" not in files
    assert not any(path.startswith("sheets/") for path in files)


def test_walls_are_cleared_one_by_one() -> None:
    car = cab({"survey.walls.left.behind": {}})
    found = findings_of(car)
    assert cleared(car, found) == ("back", "right")
    files = dict(shop_files(car, found))
    assert b"DRILL_0.5000IN_THROUGH" in files["parts/backer-back.dxf"]
    assert b"DRILL_" not in files["parts/backer-left.dxf"]


def test_r12_names_its_unit_in_every_files_name() -> None:
    files = dict(shop_files(cab(), (), None, "r12"))
    parts = {path for path in files if path.startswith("parts/")}
    assert all(path.endswith("-inch.dxf") for path in parts)
    listed = rows(files["cut-list.csv"])
    assert {f"parts/{row['file']}" for row in listed if row["file"]} == parts


def test_a_fabrication_stop_withholds_the_shop() -> None:
    car = cab({**STOCKED, "profiles": {"base": {"legs": ["1/16", "face"], "bends": ["90"]}}})
    found = findings_of(car)
    assert any(finding.stops == "fabrication" for finding in found)
    assert not any(path.startswith("shop/") for path in package.build(car, found))


def test_several_cars_have_one_cut_list_and_one_nesting() -> None:
    other = cab({**STOCKED, "layout.walls.back.panels": "4", "job": {"project": "Test", "car": "Car 2"}})
    two = [cab(STOCKED), replace(other, name="car-2")]
    files = several_files([(car, ()) for car in two])
    listed = rows(files["cut-list.csv"])
    assert len(listed) == sum(len(shop_parts(car)) for car in two)
    assert {row["car"] for row in listed} == {"Car", "Car 2"}
    nested = rows(files["nesting.csv"])
    pieces = [row["mark"] for row in nested if row["row"] == "piece"]
    assert len(pieces) == len([row for row in listed if row["made"] == "board"])
    assert {mark.split("/")[0] for mark in pieces} == {"car", "car-2"}
    assert {"cut-list.csv", "edges.csv", "bends.csv", "mass.csv", "nesting.csv", "lists.xlsx"} <= set(files)


def test_the_same_lists_are_the_same_bytes_in_another_process() -> None:
    program = (
        "import sys, hashlib; sys.path.insert(0, 'tests')\n"
        "from spec_texts import cab; from cabdraw.shop_package import shop_files\n"
        "from test_shop_lists import STOCKED\n"
        "print(hashlib.sha256(repr(sorted(shop_files(cab(STOCKED), ()))).encode()).hexdigest())"
    )
    said = {
        subprocess.run(
            [sys.executable, "-c", program],
            env={**os.environ, "PYTHONHASHSEED": seed},
            cwd=REPOSITORY,
            capture_output=True,
            check=True,
            text=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(said) == 1


def test_a_workbook_refuses_a_row_of_another_length() -> None:
    with pytest.raises(ValueError, match="a row has 1 cells where the header has 2"):
        workbook_bytes([("x", ("a", "b"), [("1",)])], "t")


@pytest.mark.parametrize(
    ("stock", "said"),
    [
        ({"sheets": [{"material": "mdf", "width": "61"}]}, "height"),
        ({"sheets": [{"material": "mdf", "width": "61", "height": "97", "count": "-1"}]}, "is not a number of pieces"),
        ({"bars": [{"kind": "front trim", "length": "96"}]}, "write it as layout.front_trim.stock"),
        ({"bars": [{"kind": "panel", "length": "96"}]}, "is not a kind of part cut from bars"),
        ({"kerf": "2"}, "a saw cut is at most 15 mm"),
    ],
)
def test_stock_that_cannot_be(stock: dict[str, Any], said: str) -> None:
    with pytest.raises(BadSpec) as refused:
        document({"stock": stock})
    assert said in str(refused.value)

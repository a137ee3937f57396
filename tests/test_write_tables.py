"""Lists that spreadsheets open and cannot be made to run."""

from __future__ import annotations

import csv
import io
import json

import pytest

from cabdraw.write.tables import csv_bytes, json_bytes


def test_csv_is_plain_utf8_with_crlf_and_quotes_where_needed() -> None:
    table = csv_bytes(["part", "size"], [["P1", '23 9/32"'], ["a,b", "Ø\nx"], ["", None]])
    assert table == 'part,size\r\nP1,"23 9/32"""\r\n"a,b","Ø\nx"\r\n,\r\n'.encode()
    assert list(csv.reader(io.StringIO(table.decode(), newline="")))[1] == ["P1", '23 9/32"']


@pytest.mark.parametrize("text", ["=1+1", "+cmd", "-x", "@a", "\tx", "\rx", "\nx", "＝1", "-1-2"])
def test_a_text_that_would_run_is_defused(text: str) -> None:
    (cell,) = list(csv.reader(io.StringIO(csv_bytes(["a"], [[text]]).decode(), newline="")))[1]
    assert cell == "'" + text


@pytest.mark.parametrize(
    ("text", "written"),
    [("C;=1+1;z", "C;'=1+1;z"), ("+1;=2", "'+1;'=2"), ("a\t@b", "a\t'@b"), ("a; =b", "a; '=b"), ("a-b; c", "a-b; c")],
)
def test_a_text_that_would_run_where_another_separator_is_read_is_defused(text: str, written: str) -> None:
    ((cell,),) = list(csv.reader(io.StringIO(csv_bytes(["a"], [[text]]).decode(), newline="")))[1:]
    assert cell == written


@pytest.mark.parametrize(("value", "written"), [(-3, "-3"), (-2.5, "-2.5"), ("-3", "-3"), ("+0.5", "+0.5")])
def test_numbers_stay_as_they_are(value: str | int | float, written: str) -> None:
    assert csv_bytes(["a"], [[value]]) == f"a\r\n{written}\r\n".encode()


def test_a_row_of_the_wrong_length_is_refused() -> None:
    with pytest.raises(ValueError, match="3 cells where the header has 2"):
        csv_bytes(["a", "b"], [[1, 2, 3]])


def test_json_is_indented_in_the_order_given_and_ends_its_line() -> None:
    value = {"b": [1, 2.5], "a": "Ø"}
    assert json_bytes(value) == '{\n  "b": [\n    1,\n    2.5\n  ],\n  "a": "Ø"\n}\n'.encode()
    assert json.loads(json_bytes(value)) == value
    with pytest.raises(ValueError):
        json_bytes(float("nan"))

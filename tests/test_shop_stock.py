"""What is said where the stock that a spec names has nothing for a part."""

from __future__ import annotations

from typing import Any

import pytest
from spec_texts import cab

from cabdraw.check.stock import stock

MDF = {"material": "mdf", "width": "61", "height": "97"}


def found(
    sheets: list[dict[str, str]] | None = None, bars: list[dict[str, str]] | None = None, **more: Any
) -> list[Any]:
    listed = {"sheets": sheets or [], "bars": bars or [], "edge_trim": "1/2"}
    return list(stock(cab({"materials": {"panel": "mdf"}, "stock": listed, **more})))


def test_without_stock_and_with_enough_of_it_nothing_is_found() -> None:
    assert list(stock(cab())) == []
    assert found([{**MDF, "height": "121"}], [{"kind": "base", "length": "120"}]) == []


def test_a_board_of_another_material_or_thickness_than_any_sheet() -> None:
    (finding,) = found([{**MDF, "material": "plywood"}])
    assert finding.code == "stock-none"
    assert finding.message.startswith('no sheet of mdf, 0.7500" thick, is in stock for lower-back-1, lower-back-2 and ')
    assert [f.code for f in found([{**MDF, "height": "121", "thickness": "5/8"}])] == ["stock-none"]
    assert found([{**MDF, "height": "121", "thickness": "3/4"}]) == []


def test_a_material_is_the_same_in_capitals() -> None:
    assert found([{**MDF, "material": "MDF", "height": "121"}]) == []


def test_a_blank_that_fits_no_sheet() -> None:
    (finding,) = found([{**MDF, "height": "60"}])
    assert finding.code == "stock-size"
    assert finding.marks == ("backer-back", "crown-back")
    # Upright grain does not let a long band lie along a sheet with grain.
    (finding,) = found([{**MDF, "height": "121", "grain": "vertical"}])
    assert set(finding.marks) == {"backer-back", "crown-back"}


def test_a_blank_just_fits_its_trimmed_sheet() -> None:
    # The back's bands are 64 15/32 in long: a core of 64.42875 and a blank of 64.92875, and the trim takes 1.
    assert found([{**MDF, "height": "65.92875"}]) == []
    assert [f.code for f in found([{**MDF, "height": "65.92874"}])] == ["stock-size"]


def test_fewer_sheets_than_the_area_takes() -> None:
    (finding,) = found([{**MDF, "height": "121", "count": "1"}])
    assert finding.code == "stock-short"
    assert found([{**MDF, "height": "121", "count": "9"}]) == []


@pytest.mark.parametrize(("length", "codes"), [("64", ["stock-size"]), ("64.5", [])])
def test_a_base_longer_than_its_bars(length: str, codes: list[str]) -> None:
    every = found(bars=[{"kind": "base", "length": length}, {"kind": "base", "length": "60"}])
    assert [finding.code for finding in every] == codes

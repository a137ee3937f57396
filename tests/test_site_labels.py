"""Labels: one for each piece, on the stock's grid, with a code that a reader of another make reads."""

from __future__ import annotations

from typing import Any

import pytest
from conftest import SPECS as SHIPPED
from conftest import Shipped, drawn
from legible import faults
from readers import pdfium
from spec_texts import cab, plain, text

from cabdraw.draw.labels_sheet import code_of, front_arrow, label_sheets
from cabdraw.draw.shapes import Polyline, Text
from cabdraw.errors import BadSpec
from cabdraw.shop.parts import shop_parts
from cabdraw.site_package import site_plan
from cabdraw.spec import loads
from cabdraw.write.pdf import pdf_bytes


def codes_of(pdf: bytes, pages: int) -> list[str]:
    import zxingcpp

    found = []
    for page in range(1, pages + 1):
        found += [code.text for code in zxingcpp.read_barcodes(pdfium(pdf, 300, page))]
    return found


@pytest.mark.parametrize("spec", SHIPPED, ids=lambda spec: spec.stem)
def test_every_code_is_read_and_holds_the_mark_and_the_revision(spec: Any) -> None:
    shipped = drawn(spec)
    plan = site_plan(shipped.looked.cab)
    pages = len(label_sheets(shipped.looked.cab, plan.pieces))
    read = codes_of(shipped.files["site/labels.pdf"], pages)
    revision = shipped.looked.cab.job.revision
    assert sorted(read) == sorted(f"{piece.mark} rev {revision}" for piece in plan.pieces)


def test_a_label_for_each_piece_and_all_different(shipped: Shipped) -> None:
    car = shipped.looked.cab
    plan = site_plan(car)
    made = [part for part in shop_parts(car) if part.made != "bought"]
    assert [piece.mark for piece in plan.pieces] == [part.mark for part in made]
    assert len({piece.mark for piece in plan.pieces}) == len(plan.pieces)
    assert len({piece.where for piece in plan.pieces}) == len(plan.pieces)
    sheets = label_sheets(car, plan.pieces)
    boxes = [s for sheet in sheets for s in sheet.paper if isinstance(s, Polyline) and s.layer == "FAINT"]
    assert len(boxes) == len(plan.pieces)


def test_labels_are_legible_and_always_carry_mark_and_revision(shipped: Shipped) -> None:
    car = shipped.looked.cab
    plan = site_plan(car)
    sheets = label_sheets(car, plan.pieces)
    assert [fault for sheet in sheets for fault in faults(sheet)] == []
    words = [s.text for sheet in sheets for s in sheet.paper if isinstance(s, Text)]
    for piece in plan.pieces:
        assert piece.mark in words
    revisions = [word for word in words if word.startswith(f"rev {car.job.revision}, step ")]
    assert len(revisions) == len(plan.pieces)


def test_tier_wall_and_order_are_spelled_out_first() -> None:
    car = cab()
    where = {piece.mark: piece.where for piece in site_plan(car).pieces}
    assert where["lower-back-2"] == "lower tier, back wall, 2 of 3 from the left"
    assert where["spline-upper-left-1"] == "upper tier, left wall, spline of joint 1 from the left"
    assert where["reveal-right-3"] == "right wall, level reveal 3 from the floor"
    assert where["base-back"] == "base, back wall"


def test_arrows_are_true_on_the_back_of_a_part() -> None:
    by_mark = {piece.mark: piece for piece in site_plan(cab()).pieces}
    car = cab()
    assert front_arrow(car, by_mark["lower-left-1"]) == (1.0, "FRONT")
    assert front_arrow(car, by_mark["lower-right-1"]) == (-1.0, "FRONT")
    assert front_arrow(car, by_mark["lower-back-1"]) == (1.0, "LEFT WALL")


def test_the_grid_is_the_stock_s() -> None:
    stock = {
        "paper": "Letter", "columns": "3", "rows": "4", "width": "2 1/2", "height": "2 1/4", "left": "1/2",
        "top": "3/4", "gap_x": "1/8", "gap_y": "1/4",
    }  # fmt: skip
    car = cab({"labels": stock})
    (first, *_) = label_sheets(car, site_plan(car).pieces)
    boxes = [s.points for s in first.paper if isinstance(s, Polyline) and s.layer == "FAINT"]
    assert (first.width, first.height) == (pytest.approx(8.5 * 25.4), pytest.approx(11 * 25.4))
    assert len(boxes) == 12
    for index, points in enumerate(boxes):
        row, column = divmod(index, 3)
        left, high = (0.5 + column * 2.625) * 25.4, (11 - 0.75 - row * 2.5) * 25.4
        assert points[3] == (pytest.approx(left), pytest.approx(high))
        assert points[1] == (pytest.approx(left + 2.5 * 25.4), pytest.approx(high - 2.25 * 25.4))


def test_what_is_left_out_puts_the_labels_in_the_middle() -> None:
    car = cab({"labels": {"columns": "2", "rows": "5", "width": "4", "height": "2"}})
    assert car.site.labels.paper == "Letter"
    assert (float(car.site.labels.left), float(car.site.labels.top)) == (0.25 * 25.4, 0.5 * 25.4)


def test_labels_that_run_off_the_paper_are_refused() -> None:
    with pytest.raises(BadSpec, match='3 columns take 12", and Letter is 8 1/2"'):
        loads(text(plain({"labels": {"columns": "3", "rows": "5", "width": "4", "height": "2"}})), "car.yaml")


def test_small_labels_and_a_hostile_revision() -> None:
    stock = {"columns": "4", "rows": "10", "width": "2", "height": "1"}
    changes = {"labels": stock, "job.revision": '<b>&";=cmd()' * 3, "job.project": "=HYPERLINK(1)"}
    car = cab(changes)
    pieces = site_plan(car).pieces
    sheets = label_sheets(car, pieces)
    assert [fault for sheet in sheets for fault in faults(sheet)] == []
    read = codes_of(pdf_bytes(sheets), len(sheets))
    assert sorted(read) == sorted(code_of(car, piece) for piece in pieces)

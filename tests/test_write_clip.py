"""Views that are cut off at their window, and sheets that are stretched for one printer, in every format."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pytest
from PIL import ImageChops
from pypdf import PdfReader
from readers import ink_box, mupdf, need, pdfium, poppler, rsvg
from sample_sheet import every_shape

from cabdraw.draw.shapes import Circle, Line, Sheet, View
from cabdraw.frozen import replace
from cabdraw.write.dxf import drawing_bytes, set_bytes
from cabdraw.write.pdf import pdf_bytes
from cabdraw.write.svg import svg_bytes

#: A line of 100 mm of which a window shows the middle 40 mm, 10 mm high.
LINE = (Line("CHECK", (0.0, 0.0), (100.0, 0.0)), Circle("DRILL", (50.0, 0.0), 30.0))


def page(name: str, left: float, stretch: tuple[float, float] = (1.0, 1.0)) -> Sheet:
    view = View(name, 1.0, (10.0, 30.0), LINE, ((left, 25.0), (left + 40.0, 35.0)), True)
    return Sheet(name, name, 120.0, 60.0, (), (view,), (), stretch)


SHOWN = (40.0, 25.0, 80.0, 35.0)


@pytest.mark.parametrize("program", ["pdftoppm", "mutool", "pdfium", "rsvg-convert"])
def test_only_what_the_window_shows_is_drawn(program: str, tmp_path: Path) -> None:
    if program != "pdfium":
        need(program)
    # The second page shows another part of the same shapes.
    sheet, dpi = page("middle", 40.0), 300
    other = replace(sheet, views=(replace(sheet.views[0], window=((0.0, 0.0), (120.0, 60.0))),))
    if program == "rsvg-convert":
        image = rsvg(svg_bytes(sheet), tmp_path, dpi)
    else:
        pdf = pdf_bytes([sheet, other])
        image = {
            "pdftoppm": lambda: poppler(pdf, tmp_path, dpi),
            "mutool": lambda: mupdf(pdf, tmp_path, dpi),
            "pdfium": lambda: pdfium(pdf, dpi),
        }[program]()
    left, top, right, bottom = (edge / dpi * 25.4 for edge in ink_box(image) or (0, 0, 0, 0))
    assert (left, right) == (pytest.approx(SHOWN[0], abs=0.15), pytest.approx(SHOWN[2], abs=0.15))
    # The line is thin and the circle is larger than the window is high: the ink ends at the line.
    assert 60.0 - (top + bottom) / 2 == pytest.approx(30.0, abs=0.15)


def test_shapes_that_views_share_are_in_the_file_once() -> None:
    shared = pdf_bytes([page(str(n), 10.0 + n) for n in range(30)])
    pages = PdfReader(BytesIO(shared), strict=True).pages
    forms = {
        thing.get_object().indirect_reference.idnum  # type: ignore[union-attr]
        for each in pages
        for thing in dict(each["/Resources"].get("/XObject", {})).values()  # type: ignore[arg-type, union-attr]
    }
    assert len(forms) == 1
    apart = replace(page("other", 10.0), views=(replace(page("other", 10.0).views[0], shapes=(*LINE, LINE[0])),))
    both = PdfReader(BytesIO(pdf_bytes([page("one", 10.0), apart])), strict=True)
    assert len(both.pages) == 2


def test_a_cut_off_view_can_hold_every_shape() -> None:
    sheet = every_shape(0.1)
    whole = replace(sheet.views[0], window=((0.0, 0.0), (sheet.width, sheet.height)), clip=True)
    clipped = replace(sheet, views=(whole,))
    apart = ImageChops.difference(pdfium(pdf_bytes([clipped]), 100), pdfium(pdf_bytes([sheet]), 100))
    assert apart.getextrema()[1] < 16
    assert PdfReader(BytesIO(pdf_bytes([clipped]))).pages[0].extract_text() != ""
    assert pdf_bytes([clipped]) == pdf_bytes([clipped])


@pytest.mark.parametrize("program", ["pdftoppm", "mutool"])
def test_a_stretched_sheet_is_larger_each_way(program: str, tmp_path: Path) -> None:
    need(program)
    pdf, dpi = pdf_bytes([page("middle", 40.0, (1.02, 0.97))]), 300
    box = PdfReader(BytesIO(pdf)).pages[0].mediabox
    assert float(box.width) / 72 * 25.4 == pytest.approx(120 * 1.02, abs=0.01)
    assert float(box.height) / 72 * 25.4 == pytest.approx(60 * 0.97, abs=0.01)
    image = (poppler if program == "pdftoppm" else mupdf)(pdf, tmp_path, dpi)
    left, top, right, bottom = (edge / dpi * 25.4 for edge in ink_box(image) or (0, 0, 0, 0))
    assert (left, right) == (pytest.approx(40 * 1.02, abs=0.15), pytest.approx(80 * 1.02, abs=0.15))
    assert 60 * 0.97 - (top + bottom) / 2 == pytest.approx(30 * 0.97, abs=0.15)


def test_svg_is_stretched_in_its_size_only() -> None:
    true, stretched = svg_bytes(page("a", 40.0)).decode(), svg_bytes(page("a", 40.0, (1.02, 0.97))).decode()
    assert 'width="122.4mm"' in stretched
    assert 'height="58.2mm"' in stretched
    assert 'preserveAspectRatio="none"' in stretched
    assert "preserveAspectRatio" not in true
    assert 'viewBox="0 0 120 60"' in stretched


def test_a_page_stretched_too_long_is_refused() -> None:
    long = replace(page("a", 40.0), width=5000.0, stretch=(1.02, 1.0))
    with pytest.raises(ValueError, match=r"'a' is 5100 mm long"):
        pdf_bytes([long])


def test_a_drawing_in_cad_is_neither_cut_off_nor_stretched() -> None:
    with pytest.raises(ValueError, match="has a view that is cut off"):
        drawing_bytes(page("a", 40.0), "mm")
    with pytest.raises(ValueError, match="is stretched for one printer"):
        drawing_bytes(replace(every_shape(0.1), stretch=(1.01, 1.0)), "mm")
    with pytest.raises(ValueError, match="is stretched for one printer"):
        set_bytes([replace(every_shape(0.1), stretch=(1.01, 1.0))], "mm")

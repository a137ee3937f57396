"""PDF: pages of true size, vector, with both fonts within."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image
from pypdf import PdfReader
from readers import ink_box, mupdf, pdfium, poppler
from sample_sheet import FIGURES, bars, every_shape

from cabdraw.draw.style import LAYERS
from cabdraw.frozen import replace
from cabdraw.write.pdf import pdf_bytes

MM = 72 / 25.4


@pytest.fixture(scope="module")
def book() -> bytes:
    return pdf_bytes([every_shape(0.1), replace(every_shape(1 / 12, "A-102"), width=420.0, height=297.0)])


@pytest.fixture(scope="module")
def reader(book: bytes) -> PdfReader:
    return PdfReader(BytesIO(book), strict=True)


def test_each_sheet_is_a_page_of_its_own_size_with_a_bookmark(reader: PdfReader) -> None:
    sizes = [(float(page.mediabox.width) / MM, float(page.mediabox.height) / MM) for page in reader.pages]
    assert sizes == [pytest.approx((210, 148), abs=0.01), pytest.approx((420, 297), abs=0.01)]
    titles = [item.title for item in reader.outline if not isinstance(item, list)]
    assert titles == ["A-101 Elevation of wall", "A-102 Elevation of wall"]


def test_it_says_what_it_is_and_asks_not_to_be_scaled(reader: PdfReader) -> None:
    about = reader.metadata
    assert about is not None
    assert (about.title, about.subject, about.author, about.producer) == (
        "Elevation of wall", "Sample", "The shop", "cabdraw",
    )  # fmt: skip
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"


def test_only_the_two_faces_are_used_and_both_are_within(reader: PdfReader) -> None:
    names = set()
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():
            names.add(font["/BaseFont"].split("+")[-1])
            assert "/FontFile2" in font["/FontDescriptor"]
            assert "/ToUnicode" in font
    assert names == {"DejaVuSans", "DejaVuSans-Bold"}


def test_texts_can_be_searched(reader: PdfReader) -> None:
    text = reader.pages[0].extract_text()
    for found in (*FIGURES, 'P1 Ø 5/8" <A&B>', "upright", "Elevation × 90°"):
        assert found in text


def test_everything_is_vector(reader: PdfReader) -> None:
    assert all(not page.images for page in reader.pages)


RENDERERS: dict[str, Callable[[bytes, Path], Image.Image]] = {
    "poppler": lambda pdf, folder: poppler(pdf, folder, 600),
    "mupdf": lambda pdf, folder: mupdf(pdf, folder, 600),
    "pdfium": lambda pdf, folder: pdfium(pdf, 600),
}


@pytest.mark.parametrize("renderer", RENDERERS)
def test_bar_is_100_mm_and_circle_round(renderer: str, tmp_path: Path) -> None:
    image, mm = RENDERERS[renderer](pdf_bytes([bars()]), tmp_path), 600 / 25.4
    left, _, right, _ = ink_box(image.crop((0, 0, image.width, int(15 * mm)))) or (0, 0, 0, 0)
    assert (right - left) / mm == pytest.approx(100, abs=0.1)
    x0, y0, x1, y1 = ink_box(image.crop((0, int(15 * mm), image.width, image.height))) or (0, 0, 0, 0)
    diameter = 40 + LAYERS["DRILL"].weight
    assert ((x1 - x0) / mm, (y1 - y0) / mm) == pytest.approx((diameter, diameter), abs=0.1)


def test_a_page_too_long_for_viewers_is_refused() -> None:
    with pytest.raises(ValueError, match=r"'A-101' is 5081 mm long; a PDF page can be 5080 mm at most"):
        pdf_bytes([replace(every_shape(0.1), width=5081.0)])
    with pytest.raises(ValueError, match="at least one sheet"):
        pdf_bytes([])

"""Whatever people type stays text, in every format."""

from __future__ import annotations

import re
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree

import pytest
from ezdxf import recover
from pypdf import PdfReader
from readers import gdal
from sample_sheet import words

from cabdraw.draw.measure import legible
from cabdraw.write.dxf import drawing_bytes, set_bytes
from cabdraw.write.pdf import pdf_bytes
from cabdraw.write.svg import svg_bytes

TEXTS = (
    "</text><script>alert(1)</script>",
    "\"'><g onload='x'> & &amp; ]]> <!--",
    "line\nbreak\r\n0\nEOF\ttab",
    "nul\x00 esc\x1b bell\x07 \x85",
    "bidi \u202eabc\u202c \u2066x\u2069",
    "100%%d %%u %%c ^J \\U+0041 \\M+1 {\\fArial;x} \\P <>",
    "(unbalanced \\( %PDF endobj",
    "lone \ud800 and \U0001f600 and 面板",
)


def test_svg_keeps_it_as_text() -> None:
    root = ElementTree.fromstring(svg_bytes(words(*TEXTS)))
    found = [element.text for element in root.iter("{http://www.w3.org/2000/svg}text")]
    assert found == [legible(text) for text in TEXTS] * 2
    marks = [element.get("data-mark") for element in root.iter() if "data-mark" in element.attrib]
    assert marks == [legible(text) for text in TEXTS]
    assert not [element for element in root.iter() if element.tag.endswith("script")]


def test_svg_is_well_formed_with_each_as_title() -> None:
    for text in TEXTS:
        root = ElementTree.fromstring(svg_bytes(words(text)))
        assert root.findtext("{http://www.w3.org/2000/svg}title") == legible(text)


def test_pdf_keeps_it_as_text() -> None:
    for text in TEXTS:
        reader = PdfReader(BytesIO(pdf_bytes([words(text)])), strict=True)
        assert "".join(legible(text).split()) in "".join(reader.pages[0].extract_text().split())
        assert reader.metadata is not None
        assert reader.metadata.title == legible(text)


@pytest.mark.parametrize("text", TEXTS)
def test_dxf_keeps_it_as_text(text: str, tmp_path: Path) -> None:
    dxf = drawing_bytes(words(text), "mm")
    doc, auditor = recover.read(BytesIO(dxf))
    assert (auditor.errors, auditor.fixes) == ([], [])
    assert len(doc.modelspace()) == 3
    wanted = _bare(legible(text))
    assert [_bare(found) for found in gdal(dxf, tmp_path).texts] == [wanted, wanted]


def _bare(text: str) -> str:
    # Codes are kept from acting by spaces within them.
    return re.sub(r"\s", "", text)


def test_set_takes_any_name() -> None:
    for text in TEXTS:
        _, auditor = recover.read(BytesIO(set_bytes([words(text)], "inch")))
        assert (auditor.errors, auditor.fixes) == ([], [])

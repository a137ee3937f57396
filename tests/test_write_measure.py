"""The measure of text, against the font itself."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from fontTools.ttLib import TTFont

from cabdraw.draw.measure import ASCENT, DESCENT, MISSING, legible, text_box, text_width
from cabdraw.draw.shapes import Text
from cabdraw.draw.style import CAPITALS
from cabdraw.fonts import widths


@pytest.fixture(scope="module", params=["regular", "bold"])
def face(request: pytest.FixtureRequest) -> tuple[bool, Any]:
    return request.param == "bold", TTFont(widths.HERE / widths.FILES[request.param])


@pytest.mark.parametrize("text", ['23 9/32"', "Ø 5/8 × 90° ⅛ → △ ∠ ²", "Größe ÀÉ Жук", "WWW iii", ""])
def test_width_is_the_sum_of_the_fonts_advances(face: tuple[bool, Any], text: str) -> None:
    bold, font = face
    glyphs = font.getBestCmap()
    expected = sum(font["hmtx"][glyphs[ord(char)]][0] for char in text) / 2048 * 2.5 / (1493 / 2048)
    assert text_width(text, 2.5, bold) == pytest.approx(expected, abs=1e-9)


def test_height_of_capitals_and_extremes_are_the_fonts(face: tuple[bool, Any]) -> None:
    _, font = face
    glyphs, shapes = font.getBestCmap(), font["glyf"]
    assert shapes[glyphs[ord("H")]].yMax / 2048 == CAPITALS
    common = [shapes[glyphs[code]] for code in range(33, 127) if chr(code) != "`"]
    assert max(shape.yMax for shape in common) / 2048 / CAPITALS <= ASCENT + 1e-12
    assert min(shape.yMin for shape in common) / 2048 / CAPITALS >= -DESCENT - 1e-12


def test_the_shipped_table_is_made_from_the_shipped_fonts() -> None:
    shipped = Path(widths.HERE / "widths.json").read_text(encoding="ascii")
    assert shipped == widths.table(), "run python -m cabdraw.fonts.widths"


@pytest.mark.parametrize(
    ("text", "drawn"),
    [
        ("plain", "plain"),
        ("two\nlines\tand", "two lines and"),
        ("e\u0301", "é"),
        ("a\x00b\x1b\x7f", f"a{MISSING}b{MISSING}{MISSING}"),
        ("left\u202etfel", f"left{MISSING}tfel"),
        ("\u2066x\u2069\ufeff", f"{MISSING}x{MISSING}{MISSING}"),
        ("面板 \U0001f600", f"{MISSING}{MISSING} {MISSING}"),
        ("\ud800", MISSING),
        ("Ø⌀±×″′⁄°½⅛→△∠²", "Ø⌀±×″′⁄°½⅛→△∠²"),
    ],
)
def test_what_the_font_cannot_draw_or_the_eye_cannot_see_is_marked(text: str, drawn: str) -> None:
    assert legible(text) == drawn
    assert text_width(text, 1) == text_width(drawn, 1)


@pytest.mark.parametrize(
    ("across", "up", "left", "base"),
    [("left", "base", 0, 0), ("centre", "middle", -0.5, -0.5), ("right", "top", -1, -1)],
)
def test_box_follows_the_anchor_and_the_scale(across: Any, up: Any, left: float, base: float) -> None:
    text, scale = Text("TEXT", (100.0, 200.0), "Panel gap", 2.5, across, up), 0.1
    width, height = text_width("Panel gap", 2.5) / scale, 2.5 / scale
    x, y = 100 + left * width, 200 + base * height
    expected = (x, y - DESCENT * height, x + width, y + ASCENT * height)
    assert text_box(text, scale) == pytest.approx(expected)


def test_box_of_upright_text_runs_up_with_its_foot_to_the_right() -> None:
    text = Text("TEXT", (100.0, 200.0), "Panel gap", 2.5, "left", "top", 90)
    width = text_width("Panel gap", 2.5)
    assert text_box(text) == pytest.approx((102.5 - 2.5 * ASCENT, 200, 102.5 + 2.5 * DESCENT, 200 + width))

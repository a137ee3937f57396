"""SVG: well formed, at true size, in the right order."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PIL import ImageChops, ImageFilter, ImageStat
from readers import ink_box, inkscape_sizes, poppler, rsvg
from sample_sheet import bars, every_shape

from cabdraw.draw.shapes import Line, Polyline, Sheet, View
from cabdraw.draw.style import LAYERS
from cabdraw.frozen import replace
from cabdraw.write.pdf import pdf_bytes
from cabdraw.write.svg import number, svg_bytes

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def root() -> ElementTree.Element:
    return ElementTree.fromstring(svg_bytes(every_shape(0.1)))


def test_paper_is_in_mm_and_so_is_the_drawing(root: ElementTree.Element) -> None:
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("210mm", "148mm", "0 0 210 148")
    assert root.findtext(f"{SVG}title") == "Elevation of wall"
    assert "author: The shop" in (root.findtext(f"{SVG}desc") or "")


def test_a_view_is_painted_fills_hatches_lines_texts(root: ElementTree.Element) -> None:
    view = root.find(f"{SVG}g[@class='view']")
    assert view is not None
    runs = [group.get("class", "").split() for group in view]
    assert [stage for stage, _ in runs] == sorted(
        (stage for stage, _ in runs), key=["fill", "hatch", "line", "text"].index
    )
    assert ["fill", "TINT"] in runs
    assert ["line", "TINT"] not in runs


def test_lines_have_the_weight_colour_and_dashes_of_their_layer(root: ElementTree.Element) -> None:
    for group in root.iter(f"{SVG}g"):
        stage, _, layer = group.get("class", "").partition(" ")
        if stage == "line":
            assert float(group.get("stroke-width", "")) == LAYERS[layer].weight
            assert ("stroke-dasharray" in group.attrib) == (LAYERS[layer].line != "continuous")


def test_outlines_carry_their_part_mark_and_ids_are_unique(root: ElementTree.Element) -> None:
    marked = [element for element in root.iter() if "data-mark" in element.attrib]
    assert [(element.get("data-mark"), element.get("d")) for element in marked] == [
        ("P1", "M40 108L100 108L100 48L40 48Z")
    ]
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids)) > 5


def test_same_picture_on_paper_at_every_scale() -> None:
    # Half a unit in the last place may fall either way.
    numbers = [
        [float(found) for found in re.findall(r"-?[0-9]+(?:[.][0-9]+)?", svg_bytes(every_shape(scale)).decode())]
        for scale in (0.1, 1 / 12)
    ]
    assert numbers[0] == pytest.approx(numbers[1], abs=2e-4)


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.1 + 0.2, "0.3"), (-0.00001, "0"), (2.0, "2"), (1e-9, "0"), (-1.50004, "-1.5"), (1234567.891, "1234567.891")],
)
def test_numbers_are_short(value: float, text: str) -> None:
    assert number(value) == text


def test_no_float_noise_anywhere() -> None:
    text = svg_bytes(every_shape(1 / 12)).decode()
    assert not re.search(r"\d\.\d{5}|e-\d|[ \"ML]-0[ \"LZ]", text)


def test_a_name_without_a_style_is_refused() -> None:
    def sheet(shape: Line | Polyline) -> Sheet:
        return Sheet("s", "s", 100, 100, (), (View("v", 1, (0, 0), (shape,)),))

    with pytest.raises(ValueError, match="no layer 'NONE'"):
        svg_bytes(sheet(Line("NONE", (0, 0), (1, 1))))
    with pytest.raises(ValueError, match="no tint 'pink'"):
        svg_bytes(sheet(Polyline("PANEL", ((0, 0), (1, 1)), fill="pink")))


def test_bar_is_100_mm_and_circle_round_in_rsvg(tmp_path: Path) -> None:
    image, mm = rsvg(svg_bytes(bars()), tmp_path, 600), 600 / 25.4
    left, _, right, _ = ink_box(image.crop((0, 0, image.width, int(15 * mm)))) or (0, 0, 0, 0)
    assert (right - left) / mm == pytest.approx(100, abs=0.1)
    x0, y0, x1, y1 = ink_box(image.crop((0, int(15 * mm), image.width, image.height))) or (0, 0, 0, 0)
    diameter = 40 + LAYERS["DRILL"].weight
    assert ((x1 - x0) / mm, (y1 - y0) / mm) == pytest.approx((diameter, diameter), abs=0.1)


def test_bar_is_100_mm_in_inkscape(tmp_path: Path) -> None:
    sizes = inkscape_sizes(svg_bytes(bars()), tmp_path)
    assert sizes["bars-1-bar"][0] == pytest.approx(100, abs=0.01)


def test_svg_and_pdf_look_the_same(tmp_path: Path) -> None:
    sheet = every_shape(0.1)
    ours, theirs = rsvg(svg_bytes(sheet), tmp_path, 150), poppler(pdf_bytes([sheet]), tmp_path, 150)
    assert ours.size == theirs.size
    apart = ImageChops.difference(ours.filter(ImageFilter.BoxBlur(4)), theirs.filter(ImageFilter.BoxBlur(4)))
    assert apart.getextrema()[1] < 40
    assert ImageStat.Stat(apart).mean[0] < 0.5


def test_sheet_name_cannot_break_an_id() -> None:
    root = ElementTree.fromstring(svg_bytes(replace(every_shape(0.1), name='"><script> ü')))
    assert all(re.fullmatch(r"[a-z0-9-]+", element.get("id", "x")) for element in root.iter())

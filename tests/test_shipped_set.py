"""The sheet set as DXF and PDF, read by programs that are not ours: every layout, viewport, figure and style."""

from __future__ import annotations

import json
import os
import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import pyogrio
import pytest
import readers
from conftest import REPOSITORY, SPECS
from PIL import Image
from read_by import reads

from cabdraw.check import findings
from cabdraw.draw.occupied import texts
from cabdraw.draw.shapes import Dimension, Sheet, Text
from cabdraw.draw.sheet_set import sheet_set
from cabdraw.resolve import resolve
from cabdraw.spec import load
from cabdraw.units import System
from cabdraw.write.dxf import set_bytes
from cabdraw.write.pdf import pdf_bytes

MODULES = REPOSITORY / ".ci" / "readers" / "node_modules"
INCH = 25.4


class Set:
    """A spec's sheets and both files that hold them."""

    def __init__(self, spec: Path, folder: Path) -> None:
        cab = resolve(load(spec))
        self.sheets: list[Sheet] = sheet_set(cab, findings(cab))
        self.system: System = cab.printing.system
        self.unit = INCH if self.system == "inch" else 1.0
        self.dxf = folder / "set.dxf"
        self.dxf.write_bytes(set_bytes(self.sheets, self.system))
        self.pdf = folder / "set.pdf"
        self.pdf.write_bytes(pdf_bytes(self.sheets))
        self.folder = folder

    def dimensions(self) -> list[str]:
        return [s.text for sheet in self.sheets for _, s in sheet.shapes() if isinstance(s, Dimension)]

    @staticmethod
    def paper_texts(sheet: Sheet) -> list[str]:
        return [t.text for shape in sheet.paper for t in texts(shape)]


@pytest.fixture(scope="module", params=SPECS, ids=lambda spec: spec.stem)
def whole(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Set:
    return Set(request.param, tmp_path_factory.mktemp(request.param.stem))


def read_with_node(drawing: Set) -> dict[str, Any]:
    readers.need("node")
    if not MODULES.is_dir():
        reason = "the dxf package for node is not installed: npm install --prefix .ci/readers"
        if os.environ.get("CABDRAW_CI") == "1":
            pytest.fail(reason)
        pytest.skip(reason)
    script = str(REPOSITORY / "tests" / "read_layouts.js")
    printed = readers.run(drawing.folder, "node", script, str(drawing.dxf), NODE_PATH=str(MODULES))
    found: dict[str, Any] = json.loads(printed)
    return found


@reads("dxf for Node", "layouts, page sizes, windows", "drawings/set.dxf")
def test_another_reader_finds_every_layout_with_its_size_and_viewports(whole: Set) -> None:
    found = read_with_node(whole)
    layouts = {layout["name"]: layout for layout in found["layouts"]}
    assert next(iter(layouts)) == "Model"
    assert set(layouts) - {"Model"} == {sheet.name for sheet in whole.sheets}
    for sheet in whole.sheets:
        assert layouts[sheet.name]["width"] * whole.unit == pytest.approx(sheet.width, abs=0.1)
        assert layouts[sheet.name]["height"] * whole.unit == pytest.approx(sheet.height, abs=0.1)
    assert len(found["papers"]) == len(whole.sheets)
    for sheet in whole.sheets:
        number = next(t for t in Set.paper_texts(sheet) if re.fullmatch(r"\d+ of \d+", t))
        (paper,) = [paper for paper in found["papers"] if number in paper["texts"]]
        assert sorted(paper["texts"]) == sorted(t for t in Set.paper_texts(sheet) if t)
        ports = [port for port in paper["ports"] if port["id"] != 1]
        expected = sorted(((v.window[0], v.window[1]) for v in sheet.views), key=lambda w: (w[0][0], -w[0][1]))
        assert len(ports) == len(expected)
        for port, ((x0, y0), (x1, y1)) in zip(
            sorted(ports, key=lambda p: (round(p["x"] - p["width"] / 2, 3), -(p["y"] - p["height"] / 2))),
            expected,
            strict=True,
        ):
            box = [port[key] * whole.unit for key in ("x", "y", "width", "height")]
            assert box == pytest.approx([(x0 + x1) / 2, (y0 + y1) / 2, x1 - x0, y1 - y0], abs=0.01)


def test_another_reader_finds_dimensions_unexploded_styles_and_layers(whole: Set) -> None:
    found = read_with_node(whole)
    assert found["model"]["DIMENSION"] == len(whole.dimensions())
    assert found["model"]["LWPOLYLINE"] > 0
    styles = dict(found["styles"])
    assert {"DejaVuSans.ttf", "DejaVuSans-Bold.ttf"} <= set(styles.values())


def test_gdal_finds_every_layer_by_its_name(whole: Set) -> None:
    found = set(gdal_layer(whole.dxf, "blocks")["Layer"]) | set(gdal_layer(whole.dxf, "entities")["Layer"])
    assert {s.layer for sheet in whole.sheets for _, s in sheet.shapes()} <= found


def gdal_layer(path: Path, layer: str) -> dict[str, Any]:
    pyogrio.set_gdal_config_options({"DXF_INLINE_BLOCKS": "FALSE"})
    try:
        meta, _, _, columns = pyogrio.raw.read(path, layer=layer, ENCODING="UTF-8")
    finally:
        pyogrio.set_gdal_config_options({"DXF_INLINE_BLOCKS": None})
    fields = dict(zip(meta["fields"], columns, strict=True))
    # GDAL gives the name of a hatch's pattern as its text.
    hatches = ["AcDbHatch" in (kind or "") for kind in fields["SubClasses"]]
    fields["Text"] = [None if hatch else text for hatch, text in zip(hatches, fields["Text"], strict=True)]
    return fields


def test_gdal_finds_every_sheets_texts_in_its_own_layout(whole: Set) -> None:
    blocks, entities = gdal_layer(whole.dxf, "blocks"), gdal_layer(whole.dxf, "entities")
    layouts: dict[str, set[str]] = {}
    for block, text in zip(blocks["Block"], blocks["Text"], strict=True):
        if text and str(block).startswith("*Paper_Space"):
            layouts.setdefault(str(block), set()).add(text)
    for paper, text in zip(entities["PaperSpace"], entities["Text"], strict=True):
        if text and paper == 1:
            layouts.setdefault("active", set()).add(text)
    assert len(layouts) == len(whole.sheets)
    for sheet in whole.sheets:
        wanted = {text for text in Set.paper_texts(sheet) if text.strip()}
        assert any(wanted == found for found in layouts.values()), sheet.name


@reads("GDAL", "dimension texts, every text", "drawings/set.dxf")
def test_gdal_reads_every_figure_word_for_word(whole: Set) -> None:
    read = readers.gdal(whole.dxf.read_bytes(), whole.folder)
    assert set(whole.dimensions()) <= set(read.texts)


def tags(path: Path) -> list[tuple[str, str]]:
    lines = path.read_text(encoding="utf-8").splitlines()
    return [(code.strip(), value) for code, value in zip(lines[::2], lines[1::2], strict=True)]


def test_every_dimension_has_a_dimension_style_that_the_file_holds(whole: Set) -> None:
    held, used = set(), set()
    kind = ""
    for (code, value), (next_code, following) in pairwise(tags(whole.dxf)):
        if code == "0":
            kind = value
        if kind == "DIMSTYLE" and code == "100" and value == "AcDbDimStyleTableRecord" and next_code == "2":
            held.add(following)
        if kind == "DIMENSION" and code == "3":
            used.add(value)
    assert used
    assert used <= held
    scales = {view.scale for sheet in whole.sheets for view in sheet.views if any(
        isinstance(shape, Dimension) for shape in view.shapes)}  # fmt: skip
    assert len(used) >= len(scales)


def test_rendered_pages_are_inked_inside_the_frame_and_blank_outside_it(whole: Set) -> None:
    readers.run(whole.folder, "pdftoppm", "-r", "50", "-gray", str(whole.pdf), "page")
    pages = sorted(whole.folder.glob("page*.pgm"))
    assert len(pages) == len(whole.sheets)
    for page, sheet in zip(pages, whole.sheets, strict=True):
        image = Image.open(page)
        dark = image.point(lambda value: 255 if value < 200 else 0)
        box = dark.getbbox()
        assert box is not None
        across = image.width / sheet.width
        # Nothing stands nearer the edge of the paper than the border of the zones.
        assert box[0] >= 4.0 * across
        assert image.width - box[2] >= 4.0 * across
        assert box[1] >= 4.0 * across
        assert image.height - box[3] >= 4.0 * across
        share = dark.histogram()[255] / (image.width * image.height)
        assert share > 0.005, f"{sheet.name} is nearly empty"


def test_pdf_texts_can_be_searched_and_fonts_are_embedded(whole: Set) -> None:
    listed = readers.run(whole.folder, "pdffonts", str(whole.pdf)).splitlines()[2:]
    assert listed
    assert all(re.search(r"\byes +yes +yes\b|\byes +yes +no\b|\byes\b", line) for line in listed)
    assert all("DejaVuSans" in line for line in listed)
    text = readers.run(whole.folder, "pdftotext", "-layout", str(whole.pdf), "-")
    marks = [s.text for sheet in whole.sheets for _, s in sheet.shapes() if isinstance(s, Text) and s.layer == "MARK"]
    assert marks
    assert all(mark in text for mark in marks)

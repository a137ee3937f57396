"""DXF: the model at true size in the spec's units, with real dimensions, as other programs read it."""

from __future__ import annotations

from io import BytesIO, StringIO
from math import sqrt
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from ezdxf import recover
from readers import Read, freecad, gdal, ink_box, librecad
from sample_sheet import FIGURES, bars, every_shape

from cabdraw.draw.shapes import Dimension, Line, Text
from cabdraw.draw.style import DASHES, EXTENSION_GAP, EXTENSION_PAST, LAYERS, STROKE
from cabdraw.frozen import replace
from cabdraw.units import System
from cabdraw.write import dxf
from cabdraw.write.dxf import drawing_bytes, set_bytes

CASES: list[tuple[System, float]] = [("inch", 1 / 12), ("inch", 0.1), ("mm", 0.1), ("mm", 1 / 12)]


@pytest.fixture(scope="module", params=CASES, ids=str)
def case(request: pytest.FixtureRequest) -> tuple[System, float, bytes]:
    system, scale = request.param
    return system, scale, drawing_bytes(every_shape(scale), system)


@pytest.fixture(scope="module")
def drawing(case: tuple[System, float, bytes]) -> tuple[Any, float, float]:
    """The document, drawing units for each model mm, and for each paper mm."""
    system, scale, dxf = case
    unit = 1 / 25.4 if system == "inch" else 1.0
    return ezdxf.read(StringIO(dxf.decode("utf-8"))), unit, unit / scale


def test_audit_finds_nothing_to_mend(case: tuple[System, float, bytes]) -> None:
    doc, auditor = recover.read(BytesIO(case[2]))
    assert (auditor.errors, auditor.fixes) == ([], [])
    assert doc.dxfversion == "AC1024"


def test_header_says_the_unit_and_the_extents(case: tuple[System, float, bytes], drawing: Any) -> None:
    doc, _, paper = drawing
    assert (doc.header["$INSUNITS"], doc.header["$MEASUREMENT"]) == {"inch": (1, 0), "mm": (4, 1)}[case[0]]
    assert doc.header["$EXTMIN"][:2] == pytest.approx((-40 * paper, -40 * paper))
    assert doc.header["$EXTMAX"][:2] == pytest.approx((170 * paper, 108 * paper))


def test_model_is_true_size_and_the_frame_stands_round_it(drawing: Any) -> None:
    doc, _, paper = drawing
    panel, frame = (doc.modelspace().query(f"LWPOLYLINE[layer=='{name}']").first for name in ("PANEL", "FRAME"))
    assert panel.closed
    assert [tuple(point) for point in panel.get_points("xy")] == [
        pytest.approx((x * paper, y * paper), abs=1e-9) for x, y in ((0, 0), (60, 0), (60, 60), (0, 60))
    ]
    assert frame.get_points("xy")[2] == pytest.approx((160 * paper, 98 * paper))


@pytest.mark.parametrize("system", ["inch", "mm"])
@pytest.mark.parametrize("scale", [0.1, 0.25])
@pytest.mark.parametrize("areas", [True, False], ids=["areas", "lines-only"])
def test_a_kept_document_that_is_filled_is_what_the_library_writes(system: System, scale: float, areas: bool) -> None:
    sheet = every_shape(scale)
    (view,) = sheet.views
    if not areas:
        plain = tuple(shape for shape in view.shapes if isinstance(shape, Line | Text | Dimension))
        view = replace(view, shapes=plain)
        sheet = replace(sheet, views=(view,), paper=tuple(s for s in sheet.paper if isinstance(s, Line | Text)))
    layers = frozenset(dxf._layers([sheet]))
    written = dxf._in_a_document(sheet, view, layers, system)
    assert (b"SORTENTSTABLE\n  5" in written) == areas
    for _ in range(2):
        assert drawing_bytes(sheet, system) == written


def test_an_inch_is_exactly_25_4_mm() -> None:
    doc = ezdxf.read(StringIO(drawing_bytes(every_shape(1.5 / 25.4), "inch").decode("utf-8")))
    panel = doc.modelspace().query("LWPOLYLINE[layer=='PANEL']").first
    assert panel.get_points("xy")[1] == (40.0, 0.0)


def test_dimensions_are_real_and_print_word_for_word(drawing: Any) -> None:
    doc, _, paper = drawing
    found = list(doc.modelspace().query("DIMENSION"))
    assert [entity.dxf.text for entity in found] == list(FIGURES)
    assert [entity.dxf.actual_measurement for entity in found] == pytest.approx([60 * paper, 60 * paper, 5 * paper])
    assert [entity.dxf.angle for entity in found] == [0, 90, 0]
    middle = found[0].dxf.text_midpoint
    assert (middle.x, middle.y) == pytest.approx((30 * paper, 72.5 * paper))
    for entity in found:
        block = doc.blocks.get(entity.dxf.geometry)
        assert [text.dxf.text for text in block.query("TEXT")] == [entity.dxf.text]
    assert [line.dxf.layer for line in doc.modelspace().query("LWPOLYLINE") if len(line) == 3] == [
        "HIDDEN",
        "DIMENSION",
    ]


def test_dimension_style_is_the_paper_style_at_this_scale_and_in_the_header(
    case: tuple[System, float, bytes], drawing: Any
) -> None:
    doc, _, paper = drawing
    style = doc.dimstyles.get("CABDRAW").dxf
    assert (style.dimtxt, style.dimexo, style.dimexe, style.dimtsz) == pytest.approx(
        (2.5 * paper, EXTENSION_GAP * paper, EXTENSION_PAST * paper, STROKE * paper / 2 / sqrt(2))
    )
    assert (style.dimtih, style.dimtoh, style.dimdsep, style.dimclrd, style.dimclrt) == (1, 1, 46, 256, 256)
    assert style.dimlunit == {"inch": 5, "mm": 2}[case[0]]
    assert doc.header["$DIMSTYLE"] == "CABDRAW"
    assert doc.header["$DIMTXT"] == style.dimtxt
    last = list(doc.modelspace().query("DIMENSION"))[-1]
    assert last.override().get("dimtxt") == pytest.approx(3.5 * paper)
    assert last.override().get("dimse2") == 1


def test_texts_have_paper_heights_and_their_anchors(drawing: Any) -> None:
    doc, _, paper = drawing
    texts = {text.dxf.text: text.dxf for text in doc.modelspace().query("TEXT")}
    mark = texts['P1 Ø 5/8" <A&B>']
    assert (mark.halign, mark.valign, mark.style) == (1, 2, "CABDRAW-BOLD")
    assert (mark.height, mark.align_point.x, mark.align_point.y) == pytest.approx((3.5 * paper, 30 * paper, 50 * paper))
    assert texts["upright"].rotation == 90
    assert doc.styles.get("CABDRAW").dxf.font == "DejaVuSans.ttf"


def test_layers_in_use_and_no_others_have_their_style(drawing: Any) -> None:
    doc, _, paper = drawing
    layers = {layer.dxf.name: layer for layer in doc.layers}
    used = {entity.dxf.layer for entity in doc.modelspace()}
    assert set(layers) == used | {"0", "Defpoints"}
    for name in used:
        assert layers[name].dxf.lineweight == round(LAYERS[name].weight * 100)
        assert layers[name].dxf.color == LAYERS[name].index
    assert (layers["HIDDEN"].dxf.linetype, layers["CENTRE"].dxf.linetype) == ("DASHED", "CENTER")
    assert layers["TINT"].is_frozen()
    dash = doc.linetypes.get("DASHED").pattern_tags.tags[3].value
    assert doc.header["$LTSCALE"] * dash == pytest.approx(DASHES["dashed"][0] * paper)


def test_areas_stand_last_in_the_file_and_first_in_the_order_of_drawing(drawing: Any) -> None:
    doc, _, paper = drawing
    kinds = [entity.dxftype() for entity in doc.modelspace()]
    first = kinds.index("HATCH")
    assert set(kinds[first:]) == {"HATCH"}
    order = [
        doc.entitydb[handle] for handle, _ in sorted(doc.modelspace().get_redraw_order(), key=lambda o: int(o[1], 16))
    ]
    assert [entity.dxf.layer for entity in order[:5]] == ["TINT", "TINT", "DRILL", "HATCH", "HATCH"]
    assert len(order) == len(kinds)
    assert order[0].rgb == (250, 247, 240)
    lines = [hatch.pattern.lines[0] for hatch in order[3:5]]
    assert [line.angle for line in lines] == [45, 135]
    assert [line.offset.magnitude for line in lines] == pytest.approx([4 * paper, 4 * paper])
    assert len(order[3].paths) == 2


@pytest.fixture(scope="module")
def read(case: tuple[System, float, bytes], tmp_path_factory: pytest.TempPathFactory) -> Read:
    return gdal(case[2], tmp_path_factory.mktemp("gdal"))


def test_gdal_reads_layers_words_and_extents(case: tuple[System, float, bytes], drawing: Any, read: Read) -> None:
    _, _, paper = drawing
    assert read.layers == {shape.layer for _, shape in every_shape(case[1]).shapes()}
    assert sorted(read.texts) == sorted([*FIGURES, 'P1 Ø 5/8" <A&B>', "upright", "Elevation × 90°"])
    assert read.bounds == pytest.approx((-30 * paper, -30 * paper, 160 * paper, 98 * paper))


@pytest.mark.parametrize("system", ["inch", "mm"])
def test_freecad_takes_the_unit_from_the_file(system: System, tmp_path: Path) -> None:
    found = freecad(drawing_bytes(every_shape(0.1), system), tmp_path)
    assert found["bounds"] == pytest.approx([-300, -300, 1600, 980], abs=1e-3)
    assert sorted(found["distances"]) == pytest.approx([50, 600, 600], abs=1e-3)


@pytest.mark.parametrize("system", ["inch", "mm"])
def test_librecad_shows_the_sheet_and_builds_figures_of_a_size_to_read(system: System, tmp_path: Path) -> None:
    sheet = every_shape(0.1)
    image = librecad(drawing_bytes(sheet, system), tmp_path)
    left, top, right, bottom = ink_box(image) or (0, 0, 0, 0)
    assert (right - left) / (bottom - top) == pytest.approx(190 / 128, rel=0.02)
    # The figure stands alone above the dimension line: find its ink within its place on the paper.
    mm = (right - left) / 190
    box = [(60 - 10) * mm + left, bottom - (40 + 74.5 - 10) * mm, (80 - 10) * mm + left, bottom - (40 + 70.6 - 10) * mm]
    figure = image.crop((round(box[0]), round(box[1]), round(box[2]), round(box[3])))
    x0, y0, x1, y1 = figure.point(lambda grey: 255 * (grey < 250)).getbbox() or (0, 0, 0, 0)
    assert 1.8 <= (y1 - y0) / mm <= 3.5
    assert 8 <= (x1 - x0) / mm <= 20


def test_two_views_do_not_fit_in_one_model() -> None:
    with pytest.raises(ValueError, match="has 2 views"):
        drawing_bytes(bars(), "mm")


def test_a_sheet_without_views_is_drawn_at_paper_size() -> None:
    doc = ezdxf.read(StringIO(drawing_bytes(replace(every_shape(0.1), views=()), "mm").decode()))
    assert doc.modelspace().query("LWPOLYLINE").first.get_points("xy")[2] == (200, 138)


@pytest.mark.parametrize(("system", "unit"), [("inch", 1 / 25.4), ("mm", 1.0)])
def test_set_has_a_layout_a_sheet_with_viewports_at_scale(system: System, unit: float) -> None:
    sheets = [every_shape(0.1), every_shape(0.05, "A/102"), bars()]
    doc, auditor = recover.read(BytesIO(set_bytes(sheets, system)))
    assert (auditor.errors, auditor.fixes) == ([], [])
    assert doc.layouts.names_in_taborder() == ["Model", "A-101", "A-102", "bars"]
    assert doc.layers.get("VIEWPORTS").dxf.plot == 0
    for name, sheet in zip(("A-101", "A-102"), sheets, strict=False):
        layout: Any = doc.layouts.get(name)
        assert (layout.dxf.paper_width, layout.dxf.paper_height) == pytest.approx((210, 148))
        assert layout.dxf.plot_paper_units == {"inch": 0, "mm": 1}[system]
        assert layout.query("LWPOLYLINE").first.get_points("xy")[2] == pytest.approx((200 * unit, 138 * unit))
        (port,) = [port for port in layout.query("VIEWPORT") if port.dxf.id > 1]
        assert (port.dxf.width, port.dxf.height) == pytest.approx((115 * unit, 100 * unit))
        assert port.dxf.height / port.dxf.view_height == pytest.approx(sheet.views[0].scale)
    assert len([port for port in doc.layouts.get("bars").query("VIEWPORT") if port.dxf.id > 1]) == 2


def test_viewport_looks_at_its_view() -> None:
    sheets = [every_shape(0.1), every_shape(0.05, "A-102")]
    doc, _ = recover.read(BytesIO(set_bytes(sheets, "mm")))
    panels = doc.modelspace().query("LWPOLYLINE[layer=='PANEL']")
    for panel, sheet in zip(panels, sheets, strict=True):
        (port,) = [port for port in doc.layouts.get(sheet.name).query("VIEWPORT") if port.dxf.id > 1]
        scale = port.dxf.height / port.dxf.view_height
        for corner, paper in zip(panel.get_points("xy"), ((40, 40), (100, 40), (100, 100), (40, 100)), strict=True):
            x = port.dxf.center.x + (corner[0] - port.dxf.view_center_point.x) * scale
            y = port.dxf.center.y + (corner[1] - port.dxf.view_center_point.y) * scale
            assert (x, y) == pytest.approx(paper)


def test_dimensions_in_a_set_have_a_style_for_each_scale() -> None:
    doc, _ = recover.read(BytesIO(set_bytes([every_shape(0.1), every_shape(0.05, "A-102")], "mm")))
    heights = {doc.dimstyles.get(d.dxf.dimstyle).dxf.dimtxt for d in doc.modelspace().query("DIMENSION")}
    assert heights == {25.0, 50.0}


def test_two_sheets_of_one_name_are_refused() -> None:
    with pytest.raises(ValueError, match="a name of its own"):
        set_bytes([every_shape(0.1), every_shape(0.1)], "mm")


def test_a_dimension_without_a_figure_prints_none() -> None:
    sheet = every_shape(0.1)
    (view,) = sheet.views
    blank = replace(view, shapes=tuple(replace(s, text="") if isinstance(s, Dimension) else s for s in view.shapes))
    doc, auditor = recover.read(BytesIO(drawing_bytes(replace(sheet, views=(blank,)), "mm")))
    assert not auditor.errors
    assert {entity.dxf.text for entity in doc.modelspace().query("DIMENSION")} == {" "}

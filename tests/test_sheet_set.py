"""The sheet set: which sheets a car has, what stands on each, and the figures of the standards its paper follows."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path

import pypdf
import pytest
from legible import faults

from cabdraw.cab import Cab
from cabdraw.check import findings
from cabdraw.draw.figures import Figures
from cabdraw.draw.occupied import texts
from cabdraw.draw.paper import SIZES, paper
from cabdraw.draw.scales import INCH_SCALES, METRIC, read_scale
from cabdraw.draw.shapes import Dimension, Line, Polyline, Sheet, Text
from cabdraw.draw.sheet_set import sheet_set
from cabdraw.draw.title import frame
from cabdraw.frozen import replace
from cabdraw.resolve import resolve
from cabdraw.spec import load
from cabdraw.units import Length, mm
from cabdraw.write.pdf import pdf_bytes

SPECS = sorted((Path(__file__).parent.parent / "specs").glob("*.yaml"))


def cab_of(spec: Path) -> Cab:
    return resolve(load(spec))


def sheets_of(cab: Cab) -> dict[str, Sheet]:
    return {sheet.name: sheet for sheet in sheet_set(cab, findings(cab))}


def words(sheet: Sheet) -> list[str]:
    return [text.text for _, shape in sheet.shapes() for text in texts(shape)]


@pytest.fixture(scope="module", params=SPECS, ids=lambda spec: spec.stem)
def cab(request: pytest.FixtureRequest) -> Cab:
    return cab_of(request.param)


@pytest.fixture(scope="module")
def sheets(cab: Cab) -> dict[str, Sheet]:
    return sheets_of(cab)


def test_every_sheet_that_an_approver_expects_is_there(cab: Cab, sheets: dict[str, Sheet]) -> None:
    names = list(sheets)
    assert names[:2] == ["cover", "plan"]
    assert [name for name in names if name.startswith("elevation-")] == [f"elevation-{wall}" for wall in cab.walls]
    assert ("front" in names) == (cab.front is not None and bool(cab.front.returns))
    for kind in ("section", "details", "schedules"):
        assert any(name.startswith(kind) for name in names)
    assert len(sheets) == len(set(names))


def test_sheets_are_numbered_and_the_cover_lists_them(sheets: dict[str, Sheet]) -> None:
    for number, sheet in enumerate(sheets.values(), 1):
        assert f"{number} of {len(sheets)}" in words(sheet)
    listed = words(sheets["cover"])
    start = listed.index("Sheet", listed.index("Sheets")) + 1
    assert listed[start : start + 2 * len(sheets) : 2] == [str(n) for n in range(1, len(sheets) + 1)]


#: Fields that ISO 7200:2004 makes mandatory in a title block, and what stands for each in ours
#: (as listed at proficad.com, "data fields in ISO 7200"; the standard itself was not read).
MANDATORY = {
    "legal owner": "Issued by",
    "identification number": "Number",
    "date of issue": "Date of issue",
    "segment or sheet number": "Sheet",
    "title": "Title",
    "approval person": "Approved by",
    "creator": "Drawn by",
    "document type": "Document",
}


def test_title_block_has_every_mandatory_field_of_iso_7200(sheets: dict[str, Sheet]) -> None:
    for sheet in sheets.values():
        assert set(MANDATORY.values()) <= set(words(sheet)), sheet.name


#: ISO 5457: drawing space inside the frame, and number of fields across and up. A0 as drawn in a published
#: CC0 template after the standard; the other sizes from the same margins; field counts other than A0's from memory.
FRAMES = {
    "A0": (1159, 821, 24, 16),
    "A1": (811, 574, 16, 12),
    "A2": (564, 400, 12, 8),
    "A3": (390, 277, 8, 6),
}


@pytest.mark.parametrize("size", FRAMES)
def test_iso_frames_follow_iso_5457(size: str) -> None:
    page = paper(size)
    across, up, columns, rows = FRAMES[size]
    assert (page.frame.width, page.frame.height) == (across, up)
    assert (page.frame.left, page.width - page.frame.right, page.frame.low) == (20, 10, 10)
    letters = [s.text for s in frame(page) if isinstance(s, Text) and s.layer == "ZONE"]
    assert {w for w in letters if w.isdecimal()} == {str(n) for n in range(1, columns + 1)}
    assert {w for w in letters if w.isalpha()} == set("ABCDEFGHJKLMNPQRSTUVWXYZ"[:rows])
    assert not {"I", "O"} & set(letters)
    centring = [s for s in frame(page) if isinstance(s, Line) and s.layer == "FRAME"]
    assert len(centring) == 4
    assert all(abs(a - b) == 10 for s in centring for a, b in zip(s.start, s.end, strict=True) if a != b)


@pytest.mark.parametrize("size", SIZES)
def test_every_size_by_name_holds_a_set(size: str) -> None:
    cab = cab_of(SPECS[0])
    resized = replace(cab, sheet=replace(cab.sheet, size=size))
    for sheet in sheet_set(resized, ()):
        assert (sheet.width, sheet.height) == SIZES[size]
        assert faults(sheet) == []


def test_scales_are_the_preferred_ones(sheets: dict[str, Sheet]) -> None:
    known = {round(scale.ratio, 9) for scale in (*METRIC, *INCH_SCALES)}
    for sheet in sheets.values():
        for view in sheet.views:
            assert round(view.scale, 9) in known, view.name


@pytest.mark.parametrize(
    ("text", "factor"),
    # Scale factors of customary scales: 3/4" 16, 1" 12, 1 1/2" 8, 3" 4 (published CAD help table of scale factors).
    [('3/4" = 1\'-0"', 16), ('1" = 1\'-0"', 12), ('1 1/2" = 1\'-0"', 8), ('3" = 1\'-0"', 4), ("1:10", 10)],
)
def test_scales_mean_what_the_trade_means(text: str, factor: int) -> None:
    scale = read_scale(text)
    assert scale is not None
    assert scale.factor == factor


def dimensions(sheet: Sheet) -> Iterator[Dimension]:
    for _, shape in sheet.shapes():
        if isinstance(shape, Dimension):
            yield shape


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.stem)
def test_dual_prints_the_other_units_beside_and_stays_legible(spec: Path) -> None:
    cab = cab_of(spec)
    dual = replace(cab, sheet=replace(cab.sheet, dual=True))
    for sheet in sheet_set(dual, findings(dual)):
        assert faults(sheet) == []
        for dimension in dimensions(sheet):
            assert "[" in dimension.text, (sheet.name, dimension.text)


def test_dual_chains_add_up_in_both_units() -> None:
    cab = cab_of(next(spec for spec in SPECS if spec.stem == "larkspur-car-2"))
    figures = Figures(replace(cab, sheet=replace(cab.sheet, dual=True)))
    wall = cab.walls["back"]
    chain = figures.chain([band.height for band in wall.bands], [band.kind == "gap" for band in wall.bands])
    bracketed = [mm(part.split("[")[1].rstrip("]")) for part in chain.parts]
    assert sum(bracketed, Length(mm(0).mm)) == mm(chain.overall.split("[")[1].rstrip("]"))
    assert chain.running[-1] == chain.overall


def test_plan_shows_clear_sizes_and_every_wall(cab: Cab, sheets: dict[str, Sheet]) -> None:
    shown = " ".join(words(sheets["plan"]))
    figures = Figures(cab)
    if cab.clear.width is not None:
        assert f"clear {figures(cab.clear.width)}" in shown
    if cab.clear.depth is not None:
        assert f"clear depth {figures(cab.clear.depth)}" in shown
    for name in cab.walls:
        assert f"{name} wall" in shown
        assert figures(cab.walls[name].projection) in shown


def test_front_shows_the_trims_and_where_they_are_cut(cab: Cab, sheets: dict[str, Sheet]) -> None:
    if "front" not in sheets:
        pytest.skip("this car's front was not surveyed")
    shown = words(sheets["front"])
    assert {t.mark for t in cab.trims if t.kind == "front-trim"} <= set(shown)
    front = cab.front
    assert front is not None
    if front.cut is not None:
        assert f"{cab.printing.size(front.cut)} transom" in shown


def test_sections_name_every_band_and_show_every_groove(cab: Cab, sheets: dict[str, Sheet]) -> None:
    shown = [word for name, sheet in sheets.items() if name.startswith("section") for word in words(sheet)]
    for band in next(iter(cab.walls.values())).bands:
        if band.kind not in ("gap", "reveal"):
            assert any(band.kind in word for word in shown), band.kind


def test_details_are_at_full_or_half_size_on_a_sheet_that_has_room(sheets: dict[str, Sheet]) -> None:
    scales = {view.scale for name, sheet in sheets.items() if name.startswith("details") for view in sheet.views}
    assert scales <= {1.0, 0.5}
    titles = " ".join(w for name, s in sheets.items() if name.startswith("details") for w in words(s))
    for kind in ("ertical joint", "Base", "rieze", "Handrail mount"):
        assert kind in titles


def test_schedules_hold_every_board_and_count_every_other_part(cab: Cab, sheets: dict[str, Sheet]) -> None:
    shown = [word for name, sheet in sheets.items() if name.startswith("schedules") for word in words(sheet)]
    for part in cab.parts:
        if part.kind in ("panel", "backer", "bumper", "crown"):
            assert part.mark in shown


def test_not_for_fabrication_stands_on_every_sheet() -> None:
    cab = cab_of(SPECS[0])
    wrong = replace(cab, joint=replace(cab.joint, groove_depth=mm(5)))
    found = findings(wrong)
    assert any(f.stops == "fabrication" for f in found)
    for sheet in sheet_set(wrong, found):
        said = " ".join(words(sheet))
        assert "NOT FOR" in said
        assert "FABRICATION" in said


def test_pdf_has_a_page_and_a_bookmark_a_sheet_in_the_sheets_own_size(cab: Cab, sheets: dict[str, Sheet]) -> None:
    reader = pypdf.PdfReader(io.BytesIO(pdf_bytes(list(sheets.values()))))
    assert len(reader.pages) == len(sheets)
    assert len(reader.outline) == len(sheets)
    for page, sheet in zip(reader.pages, sheets.values(), strict=True):
        assert abs(float(page.mediabox.width) * 25.4 / 72 - sheet.width) < 0.1
        assert abs(float(page.mediabox.height) * 25.4 / 72 - sheet.height) < 0.1
        assert cab.job.car.split()[0] in page.extract_text()


def test_outlines_of_parts_stand_once(sheets: dict[str, Sheet]) -> None:
    for sheet in sheets.values():
        marks = [s.mark for _, s in sheet.shapes() if isinstance(s, Polyline) and s.mark and "rail" not in s.mark]
        assert len(marks) == len(set(marks)), sheet.name

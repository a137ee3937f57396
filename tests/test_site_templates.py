"""Templates in tiles and hole by hole: what stands on every page, and how they join."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from io import BytesIO
from itertools import pairwise
from math import hypot
from pathlib import Path
from typing import Any

import pytest
from conftest import SPECS
from legible import faults
from pypdf import PdfReader
from spec_texts import ONE_TIER, cab, found

from cabdraw.cab import WallName
from cabdraw.draw.leaf import PAPERS
from cabdraw.draw.local import local
from cabdraw.draw.measure import text_box
from cabdraw.draw.occupied import extent, inside, meet, texts
from cabdraw.draw.shapes import Circle, Line, Polyline, Sheet, Text
from cabdraw.draw.template import template
from cabdraw.draw.tiles import Tiled, divided, tiled
from cabdraw.draw.tiling import OVERLAP, Tile
from cabdraw.errors import Finding
from cabdraw.package import Looked, look
from cabdraw.print_scale import TRUE, parse_print_scale
from cabdraw.write.pdf import pdf_bytes

OFF = parse_print_scale("99.4/100x100.6/100")


@cache
def looked(spec: Path) -> Looked:
    return look(spec)


def walls() -> Iterator[Any]:
    for spec in SPECS:
        for name, wall in looked(spec).cab.walls.items():
            if wall.rail is not None:
                yield pytest.param(spec, name, id=f"{spec.stem}-{name}")


WALLS = list(walls())


def stopped(findings: tuple[Finding, ...], wall: str) -> bool:
    return any(finding.stops == "drilling" and finding.wall == wall for finding in findings)


def pages(spec: Path, name: WallName, kind: str) -> tuple[Sheet, ...]:
    car = looked(spec)
    return {"tiled": tiled, "local": local}[kind](car.cab, name, car.findings)


def said(sheet: Sheet) -> list[str]:
    return [text.text for _, shape in sheet.shapes() for text in texts(shape)]


def own(sheet: Sheet) -> list[str]:
    """What the page itself says, not what is drawn of the template on it."""
    return [shape.text for shape in sheet.paper if isinstance(shape, Text)]


@pytest.mark.parametrize(("spec", "name"), WALLS)
@pytest.mark.parametrize("kind", ["tiled", "local"])
def test_every_page_has_its_number_its_bars_and_its_state(spec: Path, name: WallName, kind: str) -> None:
    made = pages(spec, name, kind)
    car = looked(spec)
    for number, sheet in enumerate(made, 1):
        assert any(text.endswith(f"page {number} of {len(made)}") for text in own(sheet))
        lines = [s for s in sheet.paper if isinstance(s, Line) and s.layer == "CHECK"]
        lengths = [
            (abs(line.end[0] - line.start[0]), abs(line.end[1] - line.start[1]))
            for line in lines
            if hypot(line.end[0] - line.start[0], line.end[1] - line.start[1]) > 50
        ]
        assert sorted(length for length in lengths) == [
            (0.0, pytest.approx(100)), (0.0, pytest.approx(101.6)),
            (pytest.approx(100), 0.0), (pytest.approx(101.6), 0.0),
        ]  # fmt: skip
        across, up = ("x", "y") if sheet.width <= sheet.height else ("y", "x")
        for axis in (across, up):
            assert {f"100 mm   {axis}", f"4 in   {axis}"} <= set(own(sheet))
        assert any(text.startswith("Print at 100 %") or "Measure every bar" in text for text in own(sheet))
        told = [text for text in said(sheet) if "DO NOT DRILL" in text]
        assert bool(told) == stopped(car.findings, name)
        assert (sheet.width, sheet.height) in {size for w, h in PAPERS.values() for size in ((w, h), (h, w))}
        assert faults(sheet) == []


@pytest.mark.parametrize(("spec", "name"), WALLS)
def test_tiles_cover_the_template_and_cut_no_hole_and_no_word(spec: Path, name: WallName) -> None:
    car = looked(spec)
    made = divided(car.cab, name, car.findings)
    rail = made.leaf.wall.rail
    assert rail is not None
    cut = made.tiling
    whole = (cut.xs[0], cut.ys[0], cut.xs[-1], cut.ys[-1])
    assert inside(extent(made.shapes, 1.0), whole)
    assert all(a < b for a, b in pairwise(cut.xs))
    names = [tile.name for tile in cut.tiles]
    assert len(names) == len(set(names)) == cut.rows * cut.columns
    drawn = [shape for shape in made.shapes if shape.layer != "CAUTION"]
    words = [text_box(text) for shape in drawn for text in texts(shape)]
    for standoff in rail.standoffs:
        x, y = float(standoff.x), float(standoff.y)
        reach = float(rail.flange or rail.hole) / 2 + OVERLAP / 2
        words.append((x - reach, y - reach, x + reach, y + reach))
    for box in words:
        assert any(inside(box, tile.cell) for tile in cut.tiles), box
    for tile in cut.tiles:
        level = [
            s
            for s in drawn
            if isinstance(s, Text) and s.text.startswith("LEVEL LINE") and inside(text_box(s), tile.cell)
        ]
        assert len(level) == (tile.cell[1] < float(rail.y) < tile.cell[3])
        assert any(meet(extent([shape], 1.0), tile.cell) for shape in drawn)


@pytest.mark.parametrize(("spec", "name"), WALLS)
def test_each_tile_shows_its_cell_its_place_and_its_crosses(spec: Path, name: WallName) -> None:
    made = tiled_of(spec, name)
    sheets = pages(spec, name, "tiled")[-len(made.tiling.tiles) :]
    for tile, sheet in zip(made.tiling.tiles, sheets, strict=True):
        art, marks = sheet.views
        assert art.clip
        assert art.shapes == made.shapes
        assert art.on_paper((tile.cell[0], tile.cell[1])) == pytest.approx(
            (art.window[0][0] + OVERLAP / 2, art.window[0][1] + OVERLAP / 2)
        )
        assert art.window[1][0] - art.window[0][0] == pytest.approx(tile.cell[2] - tile.cell[0] + OVERLAP)
        rings = {shape.centre for shape in marks.shapes if isinstance(shape, Circle)}
        assert rings == {(x, y) for x in (tile.cell[0], tile.cell[2]) for y in (tile.cell[1], tile.cell[3])}
        lines = {(s.layer, s.start[0] == s.end[0]) for s in marks.shapes if isinstance(s, Line) and _long(s)}
        beside = {
            ("CHECK", True): (0, 1), ("HIDDEN", True): (0, -1), ("CHECK", False): (-1, 0), ("HIDDEN", False): (1, 0),
        }  # fmt: skip
        for line, (down, right) in beside.items():
            assert (line in lines) == (made.tiling.at(tile.row + down, tile.column + right) is not None)
        here = [shape for shape in sheet.paper if isinstance(shape, Polyline) and shape.fill == "here"]
        assert len(here) == 1
        assert any(f"tile {tile.name} · page" in text for text in own(sheet))


def _long(line: Line) -> bool:
    return hypot(line.end[0] - line.start[0], line.end[1] - line.start[1]) > 20


def tiled_of(spec: Path, name: WallName) -> Tiled:
    car = looked(spec)
    return divided(car.cab, name, car.findings)


@pytest.mark.parametrize(("spec", "name"), WALLS)
def test_crosses_to_measure_stand_as_far_apart_as_is_said(spec: Path, name: WallName) -> None:
    made = tiled_of(spec, name)
    rings = [s.centre for s in made.shapes if isinstance(s, Circle) and s.layer == "CHECK"]
    across, *up = [(a, b) for a, b in zip(rings[::2], rings[1::2], strict=True)]
    length = across[1][0] - across[0][0]
    assert across[0][1] == across[1][1]
    assert length == pytest.approx(1270 if made.tiling.xs[-1] - made.tiling.xs[0] < 2540 else 2540)
    inches, mm = f"{length / 25.4:.3f} in", f"{length:.1f} mm"
    inch = made.leaf.cab.printing.system == "inch"
    assert made.measured[0] == f"A to B: {inches} ({mm})" if inch else f"A to B: {mm} ({inches})"
    assert len(up) == (made.tiling.rows > 1)
    for low, high in up:
        assert low[0] == high[0]
        assert made.measured[1].startswith("C to D: ")
        assert f"{high[1] - low[1]:.1f} mm" in made.measured[1]
    first = pages(spec, name, "tiled")[0]
    # Its number stands beside the first line of each sentence.
    assert made.measured[0] in " ".join(text for text in own(first) if not text.isdigit())


@pytest.mark.parametrize(
    ("tile", "local_paper"), [("A4", "A4"), ("Letter", "Letter"), ("A3", "A4"), ("Tabloid", "Letter")]
)
def test_each_paper(tile: str, local_paper: str) -> None:
    car = cab({"install.tile": tile})
    sheet = tiled(car, "back", ())[0]
    assert {sheet.width, sheet.height} == set(PAPERS[tile])  # type: ignore[index]
    assert {local(car, "back", ())[0].width, local(car, "back", ())[0].height} == set(PAPERS[local_paper])  # type: ignore[index]
    fewer = len(divided(cab({"install.tile": "A3"}), "back", ()).tiling.tiles)
    assert fewer < len(divided(cab({"install.tile": "A4"}), "back", ()).tiling.tiles)


def test_paper_goes_by_the_units_where_none_is_named() -> None:
    assert {looked(spec).cab.printing.system: looked(spec).cab.tile for spec in SPECS} == {"inch": "Letter", "mm": "A4"}


@pytest.mark.parametrize(("spec", "name"), WALLS)
def test_a_sheet_for_each_standoff_with_its_distances(spec: Path, name: WallName) -> None:
    car = looked(spec)
    rail = car.cab.walls[name].rail
    assert rail is not None
    both, size = car.cab.printing.both, car.cab.printing.size
    sheets = pages(spec, name, "local")[-len(rail.standoffs) :]
    around = 101.6 if car.cab.printing.system == "inch" else 100.0
    for standoff, sheet in zip(rail.standoffs, sheets, strict=True):
        art = sheet.views[0]
        x, y = art.on_paper((float(standoff.x), float(standoff.y)))
        windows = [view.window for view in sheet.views]
        assert x - min(w[0][0] for w in windows) == pytest.approx(around, abs=0.2)
        assert max(w[1][0] for w in windows) - x == pytest.approx(around, abs=0.2)
        assert max(w[1][1] for w in windows) - y == pytest.approx(around, abs=0.2)
        assert y - min(w[0][1] for w in windows) == pytest.approx(around, abs=0.2)
        words = own(sheet)
        assert f"Hole {standoff.number} of {len(rail.standoffs)}, {name} wall" in words
        assert f"From the wall's left end: {both(standoff.x)}" in words
        assert any(text.startswith(f"Level line: {both(rail.y)}") for text in words)
        assert any(size(rail.pilot) in text and size(rail.hole) in text for text in words)
        shown = said(sheet)
        if standoff.number > 1:
            assert any(text.startswith(f"← hole {standoff.number - 1}: ") for text in shown)
        if standoff.number < len(rail.standoffs):
            assert any(text.startswith(f"hole {standoff.number + 1}: ") for text in shown)
        assert {"UP", "Clear behind?", "initials", "date"} <= set(shown)
        circles = {shape.radius for shape in art.shapes if isinstance(shape, Circle) and shape.layer == "DRILL"}
        assert circles == {float(rail.pilot) / 2, float(rail.hole) / 2}


def test_a_hole_that_must_not_be_drilled_is_struck_on_its_own_sheet_only() -> None:
    blocked = {
        "survey.walls.back.behind.obstructions": [
            {"what": "wireway", "x": "10", "y": "30", "width": "4", "height": "9"}
        ]
    }
    sheets = local(cab(blocked), "back", found(blocked))[-3:]
    struck = [sum(s.layer == "CAUTION" and isinstance(s, Line) for s in sheet.views[0].shapes) for sheet in sheets]
    assert struck == [2, 0, 0]
    told = [[text for text in said(sheet) if text.startswith("DO NOT DRILL")] for sheet in sheets]
    assert "DO NOT DRILL THIS HOLE" in told[0]
    assert all("DO NOT DRILL" in texts for texts in told[1:])
    assert "wireway, behind the shell" in said(sheets[0])
    assert any(text.startswith("Because: Hole 1 of the back wall") for text in said(sheets[0]))
    assert not any(text.startswith("Because") for text in said(sheets[1]))


def test_old_holes_are_shown_on_local_sheets() -> None:
    car = cab({"survey.walls.back.holes": [{"x": "13", "y": "36", "diameter": "1/2"}]})
    assert "old hole 1" in said(local(car, "back", ())[-3])


# --- a template that is corrected for one printer ---


def test_a_corrected_template_is_stretched_on_the_same_paper_and_says_so() -> None:
    car, findings = cab(ONE_TIER), found(ONE_TIER)
    for make in (tiled, local):
        true, corrected = make(car, "back", findings), make(car, "back", findings, OFF)
        for sheet in corrected:
            x, y = (1 / 0.994, 1 / 1.006) if sheet.width <= sheet.height else (1 / 1.006, 1 / 0.994)
            assert sheet.stretch == pytest.approx((x, y))
            size = (sheet.width * sheet.stretch[0], sheet.height * sheet.stretch[1])
            assert sorted(size) == pytest.approx(sorted((true[0].width, true[0].height)))
            assert any("CORRECTED FOR ONE PRINTER ONLY: x 99.4/100, y 100.6/100." in text for text in own(sheet))
            assert any("Measure the bars again: they must now read" in text for text in said(sheet)) or make is local
            assert faults(sheet) == []
        assert not any("CORRECTED" in text for sheet in true for text in said(sheet))
    long = template(car, "back", findings, OFF)
    assert long.stretch == pytest.approx((1 / 1.006, 1 / 0.994))
    assert any("CORRECTED FOR ONE PRINTER" in text for text in said(long))
    assert faults(long) == []


def test_pages_of_a_corrected_template_are_true_paper() -> None:
    reader = PdfReader(BytesIO(pdf_bytes(tiled(cab(), "back", (), OFF))))
    for page in reader.pages:
        assert sorted((float(page.mediabox.width), float(page.mediabox.height))) == pytest.approx([612, 792], abs=0.01)


def test_tiles_are_drawn_once_and_shown_page_by_page() -> None:
    sheets = tiled(cab(), "back", ())
    reader = PdfReader(BytesIO(pdf_bytes(sheets)), strict=True)
    things = [dict(page["/Resources"].get("/XObject", {})) for page in reader.pages]
    forms = {thing.get_object().indirect_reference.idnum for each in things for thing in each.values()}
    assert len(forms) == 1
    assert pdf_bytes(sheets) == pdf_bytes(tiled(cab(), "back", ()))


def test_true_is_no_correction() -> None:
    assert TRUE.true
    assert TRUE.name == ""
    assert tiled(cab(), "back", ())[0].stretch == (1.0, 1.0)


def _tile(row: int, column: int) -> Tile:
    return Tile(row, column, (0, 0, 1, 1))


def test_tiles_are_named_by_row_and_column() -> None:
    assert [_tile(0, 0).name, _tile(0, 10).name, _tile(1, 1).name] == ["A1", "A11", "B2"]

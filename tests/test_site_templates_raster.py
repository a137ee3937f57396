"""Templates as two programs print them at 600 dpi: every hole where resolved.json has it, tiles joined, bars true."""

from __future__ import annotations

import json
from functools import cache
from math import hypot
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from conftest import SPECS
from readers import need
from site_pages import MM, RENDERERS, bar, circle, paper_height
from site_pages import drawn as pixels_of
from spec_texts import cab

from cabdraw.cab import WallName
from cabdraw.draw.local import local
from cabdraw.draw.shapes import XY, Line, Sheet
from cabdraw.draw.tiles import divided, tiled
from cabdraw.draw.tiling import OVERLAP
from cabdraw.package import Looked, look
from cabdraw.print_scale import TRUE, PrintScale, parse_print_scale
from cabdraw.record import record
from cabdraw.write.pdf import pdf_bytes

#: How far a hole may be off, in mm, over the whole rail.
TRUE_TO = 0.1


@cache
def looked(spec: Path) -> Looked:
    return look(spec)


def _walls() -> list[Any]:
    found = []
    for spec in SPECS:
        for name, wall in looked(spec).cab.walls.items():
            if wall.rail is not None:
                found.append(pytest.param(spec, name, id=f"{spec.stem}-{name}"))
    return found


def _holes(spec: Path, name: str) -> list[XY]:
    """Where resolved.json has the holes, in mm."""
    car = looked(spec)
    rail = json.loads(json.dumps(record(car.cab, car.findings, ())))["walls"][name]["rail"]
    return [(standoff["x"], standoff["y"]) for standoff in rail["standoffs"]]


def _diameter(spec: Path, name: WallName) -> float:
    rail = looked(spec).cab.walls[name].rail
    assert rail is not None
    return float(rail.hole)


@pytest.mark.parametrize("renderer", RENDERERS)
@pytest.mark.parametrize(("spec", "name"), _walls())
def test_every_hole_is_where_it_should_be_on_joined_tiles(
    spec: Path, name: WallName, renderer: str, tmp_path: Path
) -> None:
    need(renderer)
    car = looked(spec)
    sheets = tiled(car.cab, name, car.findings)
    cut = divided(car.cab, name, car.findings).tiling
    first = len(sheets) - len(cut.tiles)
    wanted = _holes(spec, name)
    on = {
        page: [
            hole for hole in wanted if tile.cell[0] < hole[0] < tile.cell[2] and tile.cell[1] < hole[1] < tile.cell[3]
        ]
        for page, tile in enumerate(cut.tiles, first + 1)
    }
    pages = [page for page, holes in on.items() if holes]
    assert sum(map(len, on.values())) == len(wanted)
    images = pixels_of(pdf_bytes(sheets), tmp_path, renderer, pages)
    for page in pages:
        sheet = sheets[page - 1]
        view, height = sheet.views[0], paper_height(sheet)
        for hole in on[page]:
            x, y = view.on_paper(hole)
            diameter = _diameter(spec, name)
            a, b, radius = circle(images[page], (x, y), diameter / 2, height)
            # Joined, a tile lies where its own origin says, which is one place on the wall for all of them.
            assert hypot(a - view.at[0] - hole[0], b - view.at[1] - hole[1]) < TRUE_TO
            assert radius == pytest.approx(diameter / 2, abs=TRUE_TO)
        _true_bars(sheet, images[page])


def _true_bars(sheet: Sheet, image: Any) -> None:
    height = paper_height(sheet)
    bars = [s for s in sheet.paper if isinstance(s, Line) and s.layer == "CHECK" and _length(s) > 50]
    assert len(bars) == 4
    for line in bars:
        assert bar(image, line.start, line.end, height) == pytest.approx(_length(line), abs=TRUE_TO)


def _length(line: Line) -> float:
    return hypot(line.end[0] - line.start[0], line.end[1] - line.start[1])


@pytest.mark.parametrize("renderer", RENDERERS)
@pytest.mark.parametrize("stem", ["quayside-lift-b"])
def test_tiles_joined_cross_on_cross_hold_every_hole(stem: str, renderer: str, tmp_path: Path) -> None:
    """Nothing but ink is used: each tile is laid on the last by the crosses that both show."""
    need(renderer)
    spec = next(spec for spec in SPECS if spec.stem == stem)
    car = looked(spec)
    name: WallName = "left"
    sheets = tiled(car.cab, name, car.findings)
    made = divided(car.cab, name, car.findings)
    cut = made.tiling
    first = len(sheets) - len(cut.tiles)
    images = pixels_of(pdf_bytes(sheets), tmp_path, renderer, range(first + 1, len(sheets) + 1))
    crosses: dict[tuple[int, int], dict[str, np.ndarray[Any, Any]]] = {}
    for page, tile in enumerate(cut.tiles, first + 1):
        sheet = sheets[page - 1]
        x0, y0, x1, y1 = tile.cell
        corners = {"low left": (x0, y0), "low right": (x1, y0), "top left": (x0, y1), "top right": (x1, y1)}
        crosses[tile.row, tile.column] = {
            corner: np.array(circle(images[page], sheet.views[0].on_paper(at), 2.5, paper_height(sheet))[:2])
            for corner, at in corners.items()
        }
    laid = {(0, 0): np.zeros(2)}
    for tile in cut.tiles[1:]:
        here = crosses[tile.row, tile.column]
        if tile.column:
            there, origin = crosses[tile.row, tile.column - 1], laid[tile.row, tile.column - 1]
            pairs = [("low right", "low left"), ("top right", "top left")]
        else:
            there, origin = crosses[tile.row - 1, 0], laid[tile.row - 1, 0]
            pairs = [("low left", "top left"), ("low right", "top right")]
        laid[tile.row, tile.column] = origin + np.mean([there[a] - here[b] for a, b in pairs], axis=0)
    start = np.array(sheets[first].views[0].at)
    for x, y in _holes(spec, name):
        page, tile = next(
            (page, tile)
            for page, tile in enumerate(cut.tiles, first + 1)
            if tile.cell[0] < x < tile.cell[2] and tile.cell[1] < y < tile.cell[3]
        )
        sheet = sheets[page - 1]
        spot = circle(images[page], sheet.views[0].on_paper((x, y)), _diameter(spec, name) / 2, paper_height(sheet))
        joined = np.array(spot[:2]) + laid[tile.row, tile.column] - start
        assert hypot(*(joined - (x, y))) < TRUE_TO
    assert OVERLAP == 12


@pytest.mark.parametrize("renderer", RENDERERS)
@pytest.mark.parametrize(("spec", "name"), _walls())
def test_every_local_sheet_is_true(spec: Path, name: WallName, renderer: str, tmp_path: Path) -> None:
    need(renderer)
    car = looked(spec)
    sheets = local(car.cab, name, car.findings)
    holes = _holes(spec, name)
    first = len(sheets) - len(holes)
    images = pixels_of(pdf_bytes(sheets), tmp_path, renderer, range(first + 1, len(sheets) + 1))
    for page, hole in enumerate(holes, first + 1):
        sheet = sheets[page - 1]
        view = sheet.views[0]
        a, b, radius = circle(images[page], view.on_paper(hole), _diameter(spec, name) / 2, paper_height(sheet))
        assert hypot(a - view.at[0] - hole[0], b - view.at[1] - hole[1]) < TRUE_TO
        assert radius == pytest.approx(_diameter(spec, name) / 2, abs=TRUE_TO)
        _true_bars(sheet, images[page])


@pytest.mark.parametrize("renderer", RENDERERS)
def test_a_corrected_page_is_true_once_its_printer_has_shrunk_it(renderer: str, tmp_path: Path) -> None:
    need(renderer)
    printer = parse_print_scale("98.7/100x101.2/100")
    car = cab()
    for make in (tiled, local):
        sheets = make(car, "back", (), printer)
        page = next(i for i, sheet in enumerate(sheets, 1) if len(sheet.views) > 1)
        (image,) = pixels_of(pdf_bytes(sheets), tmp_path, renderer, [page]).values()
        _bars_after(sheets[page - 1], image, printer)
        with pytest.raises(AssertionError):
            _bars_after(sheets[page - 1], image, TRUE)


def _bars_after(sheet: Sheet, image: Any, printer: PrintScale) -> None:
    """The bars as they come out of a printer that makes everything so much smaller or larger."""
    upright = sheet.width <= sheet.height
    across, up = (printer.x, printer.y) if upright else (printer.y, printer.x)
    height = paper_height(sheet)
    for line in (s for s in sheet.paper if isinstance(s, Line) and s.layer == "CHECK" and _length(s) > 50):
        start, end = ((point[0] * sheet.stretch[0], point[1] * sheet.stretch[1]) for point in (line.start, line.end))
        level = start[1] == end[1]
        shown = bar(image, start, end, height) * float(across if level else up)
        assert shown == pytest.approx(_length(line), abs=TRUE_TO)


def test_a_pixel_is_small_enough() -> None:
    assert 1 / MM < TRUE_TO / 2

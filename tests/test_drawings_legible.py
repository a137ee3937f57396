"""Every sheet can be read: nothing on a text, nothing over the frame, every panel named, ISO lines and texts."""

from __future__ import annotations

from pathlib import Path

import pytest
from conftest import Shipped
from legible import RULES, faults, figures_on_their_own_dimension, outside, small_texts, texts_on_lines
from odd_cars import ODD, write

from cabdraw.draw.long_page import pages
from cabdraw.draw.shapes import XY, Dimension, Line, Polyline, Shape, Sheet, Text, View
from cabdraw.draw.sheet_set import sheet_set
from cabdraw.draw.style import DASHES, LAYERS
from cabdraw.draw.template import template
from cabdraw.frozen import replace
from cabdraw.package import look

#: Widths of lines in ISO 128-20 and heights of capitals in ISO 3098, in mm (both series from memory of the standards).
WEIGHTS = {0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1.0}
HEIGHTS = {1.8, 2.5, 3.5, 5.0, 7.0, 10.0, 14.0, 20.0}


def test_every_shipped_sheet_is_legible(shipped: Shipped) -> None:
    assert len(shipped.sheets) >= len(shipped.looked.cab.walls)
    assert [fault for sheet in shipped.sheets.values() for fault in faults(sheet)] == []


def sheets_of(spec: Path) -> dict[str, Sheet]:
    """The sheet set of a car and its templates, by name, written to no format."""
    looked = look(spec)
    cab, findings = looked.cab, looked.findings
    railed = [name for name, wall in cab.walls.items() if wall.rail is not None]
    templates = [page for name in railed for page in pages(template(cab, name, findings))]
    return {sheet.name: sheet for sheet in (*sheet_set(cab, findings), *templates)}


@pytest.mark.parametrize("name", ODD)
def test_odd_cars_are_legible_too(name: str, tmp_path: Path) -> None:
    sheets = sheets_of(write(name, tmp_path))
    assert len(sheets) >= 6
    assert [fault for sheet in sheets.values() for fault in faults(sheet)] == []


def test_every_wall_has_its_elevation_and_every_rail_its_template(shipped: Shipped) -> None:
    cab = shipped.looked.cab
    for name, wall in cab.walls.items():
        marks = {part.mark for part in wall.panels}
        outlined = {
            shape.mark
            for view in shipped.sheets[f"elevation-{name}"].views
            for shape in view.shapes
            if isinstance(shape, Polyline) and shape.layer == "PANEL" and shape.mark
        }
        assert outlined == marks
        assert (f"drill-{name}" in shipped.sheets) == (wall.rail is not None)


def test_stated_scale_is_kept_where_it_fits_and_said_where_not(tmp_path: Path) -> None:
    def scale_and_texts(name: str) -> tuple[float, str]:
        sheet = sheets_of(write(name, tmp_path))["elevation-back"]
        return sheet.views[0].scale, " ".join(shape.text for shape in sheet.paper if isinstance(shape, Text))

    assert scale_and_texts("A3 1:20")[0] == 1 / 20
    assert "asks for" not in scale_and_texts("A3 1:20")[1]
    scale, said = scale_and_texts("A3 1:5")
    assert scale == 1 / 10
    assert "1:10" in said
    assert "The spec asks for 1:5" in said


def test_line_weights_are_of_the_series_and_wide_is_twice_narrow() -> None:
    assert {style.weight for style in LAYERS.values()} <= WEIGHTS
    wide = min(LAYERS[layer].weight for layer in ("SHELL", "FLOOR", "RAIL", "FRAME", "CAUTION"))
    narrow = max(LAYERS[layer].weight for layer in ("DIMENSION", "CENTRE", "HATCH", "GRAIN", "HIDDEN"))
    assert wide >= 2 * narrow
    assert {style.line for style in LAYERS.values()} <= set(DASHES)


def test_text_heights_are_of_the_series(shipped: Shipped) -> None:
    stamps = {"DO NOT DRILL"}
    heights = {
        shape.height
        for sheet in shipped.sheets.values()
        for _, shape in sheet.shapes()
        if isinstance(shape, Text | Dimension) and shape.text not in stamps
    }
    assert heights <= HEIGHTS


def sheet(*shapes: Shape) -> Sheet:
    """A framed sheet at 1:10 with some shapes in its view."""
    frame = Polyline("FRAME", ((10.0, 10.0), (190.0, 10.0), (190.0, 90.0), (10.0, 90.0)))
    return Sheet("s", "s", 200.0, 100.0, (frame,), (View("v", 0.1, (50.0, 50.0), shapes),))


TEXT = Text("TEXT", (100.0, 100.0), "12345")
DIMENSION = Dimension("DIMENSION", "x", (0.0, 0.0), (500.0, 0.0), -70.0, "500", (250.0, -47.0))


def _panel(mark: str) -> Polyline:
    corners: tuple[XY, ...] = ((0.0, 0.0), (100.0, 0.0), (100.0, 100.0))
    return Polyline("PANEL", corners, mark=mark)


@pytest.mark.parametrize(
    ("shapes", "rule"),
    [
        ((TEXT, replace(TEXT, at=(150.0, 110.0))), "texts_that_meet"),
        ((TEXT, Line("SHELL", (0.0, 110.0), (300.0, 110.0))), "texts_on_lines"),
        ((TEXT, Line("SHELL", (0.0, 91.0), (300.0, 91.0))), "texts_on_lines"),
        ((replace(DIMENSION, text_at=(250.0, -70.0)),), "figures_on_their_own_dimension"),
        ((replace(TEXT, at=(1405.0, 0.0)),), "outside"),
        ((Line("SHELL", (0.0, 0.0), (0.0, -401.0)),), "outside"),
        ((replace(TEXT, height=1.7),), "small_texts"),
        ((_panel("upper-back-1"),), "unmarked_panels"),
    ],
)
def test_each_rule_sees_what_it_is_for(shapes: tuple[Shape, ...], rule: str) -> None:
    assert [found.__name__ for found in RULES if list(found(sheet(*shapes)))] == [rule]


def test_what_is_well_is_let_be() -> None:
    well = sheet(TEXT, DIMENSION, Line("SHELL", (0.0, 85.0), (300.0, 85.0)), Line("SHELL", (0.0, 0.0), (0.0, -400.0)))
    for rule in (texts_on_lines, figures_on_their_own_dimension, outside, small_texts):
        assert list(rule(well)) == []

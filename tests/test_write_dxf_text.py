"""Every entity that is written as text is, sign for sign, what the library writes for the same entity."""

from __future__ import annotations

from collections.abc import Callable
from io import StringIO
from typing import Any

import ezdxf
import pytest

from cabdraw.write.dxf_library import fixed, saved
from cabdraw.write.dxf_text import Entities, LibrarySpace

Draw = Callable[[Any], object]
ON = {"layer": "PANEL"}
SQUARE = [(0.0, 0.0), (2.5, 0.0), (2.5, 1e-7), (0.1 + 0.2, 7.0)]


def _text(**more: Any) -> Draw:
    return lambda space: space.add_text('23 9/32"', dxfattribs={**ON, "height": 2.5, "insert": (1.5, 2), **more})


def _filled(space: Any) -> None:
    hatch = space.add_hatch(dxfattribs=ON)
    hatch.set_solid_fill(color=256, rgb=(236, 222, 8))
    hatch.paths.add_polyline_path(SQUARE, is_closed=True)
    hatch.paths.add_edge_path().add_arc((3.0, 4.0), 0.5, 0, 360)


def _hatched(space: Any) -> None:
    hatch = space.add_hatch(color=256, dxfattribs=ON)
    lines = [(82, (0.0, 0.0), (-0.25, 0.125), [])]
    hatch.set_pattern_fill("ANSI31", color=256, style=0, pattern_type=1, definition=lines)
    hatch.set_pattern_definition(lines)
    hatch.dxf.pattern_angle, hatch.dxf.pattern_scale = 37, 0.0868
    for ring in (SQUARE, SQUARE[:3]):
        hatch.paths.add_polyline_path(ring, is_closed=True)


def _dimension(angle: int, override: dict[str, float]) -> Draw:
    def draw(space: Any) -> None:
        style = space.add_linear_dim(
            (1, 5), (0, 0.5), (9.5, 2), angle=angle, text="<9>", dimstyle="Standard", override=override, dxfattribs=ON
        )
        if override:
            style.commit()
        entity = style.dimension
        entity.dxf.geometry, entity.dxf.text_midpoint = "*D1", (4.0, 5.5)
        entity.dxf.dimtype |= 128
        entity.dxf.attachment_point, entity.dxf.actual_measurement = 5, 9.5

    return draw


def _written_dimension(vertical: bool, override: dict[int, float]) -> Callable[[Entities], object]:
    points = ((1, 5), (4.0, 5.5), (0, 0.5), (9.5, 2))
    return lambda new: new.dimension(vertical, points, 9.5, "<9>", "PANEL", "Standard", "*D1", override)


CASES: dict[str, tuple[Draw, Callable[[Entities], object]]] = {
    "line": (
        lambda space: space.add_line((0, 1), (2.25, 1e-9), dxfattribs=ON),
        lambda new: new.line((0, 1), (2.25, 1e-9), "PANEL"),
    ),
    "closed": (
        lambda space: space.add_lwpolyline(SQUARE, close=True, dxfattribs=ON),
        lambda new: new.polyline(SQUARE, True, "PANEL"),
    ),
    "open": (
        lambda space: space.add_lwpolyline(SQUARE, dxfattribs=ON),
        lambda new: new.polyline(SQUARE, False, "PANEL"),
    ),
    "bulge": (
        lambda space: space.add_lwpolyline([(0.0, 1.0, -0.5), (2.0, 3.0, 0)], format="xyb", close=True, dxfattribs=ON),
        lambda new: new.polyline([(0.0, 1.0, -0.5), (2.0, 3.0, 0)], True, "PANEL"),
    ),
    "circle": (
        lambda space: space.add_circle((1, 2), 0.5, dxfattribs=ON),
        lambda new: new.circle((1, 2), 0.5, "PANEL"),
    ),
    "arc": (
        lambda space: space.add_arc((1, 2), 0.5, 10, 270.5, dxfattribs=ON),
        lambda new: new.arc((1, 2), 0.5, 10, 270.5, "PANEL"),
    ),
    "text": (_text(), lambda new: new.text('23 9/32"', (1.5, 2), 2.5, "PANEL")),
    "text centred": (
        _text(halign=1, valign=2, align_point=(1.5, 2), style="BOLD", rotation=90),
        lambda new: new.text('23 9/32"', (1.5, 2), 2.5, "PANEL", "BOLD", 90, (1, 2)),
    ),
    "text on top": (
        _text(valign=3, align_point=(1.5, 2)),
        lambda new: new.text('23 9/32"', (1.5, 2), 2.5, "PANEL", "", 0, (0, 3)),
    ),
    "filled": (_filled, lambda new: new.filled([SQUARE], [((3.0, 4.0), 0.5)], "PANEL", (236, 222, 8))),
    "hatched": (
        _hatched,
        lambda new: new.hatch([SQUARE, SQUARE[:3]], "PANEL", 37, 0.0868, (82, (0.0, 0.0), (-0.25, 0.125))),
    ),
    "dimension": (_dimension(0, {}), _written_dimension(False, {})),
    "dimension with less": (
        _dimension(90, {"dimse1": 1, "dimtxt": 1.8}),
        _written_dimension(True, {75: 1, 140: 1.8}),
    ),
}


@pytest.mark.parametrize("space", ["model", "paper"])
@pytest.mark.parametrize("case", CASES)
def test_as_the_library_writes_it(case: str, space: str) -> None:
    library, text = CASES[case]

    def written(draw: Callable[[Any], object]) -> list[str]:
        doc: Any = ezdxf.new("R2010", setup=False)
        layout = doc.modelspace() if space == "model" else doc.layouts.get("Layout1")
        draw(layout)
        out = StringIO()
        doc.write(out)
        section = out.getvalue().partition("  2\nENTITIES\n")[2].partition("ENDSEC")[0]
        return section.splitlines()

    def as_text(layout: Any) -> None:
        space = LibrarySpace(layout)
        new = space.entities()
        text(new)
        new.finish(space)

    assert written(as_text) == written(library)


def _saved(draw: Callable[[Any], object]) -> bytes:
    with fixed():
        doc: Any = ezdxf.new("R2010")
        draw(doc)
        return saved(doc)


def test_a_block_is_as_the_library_writes_it() -> None:
    def theirs(doc: Any) -> None:
        for name in ("*D1", "*D2"):
            block = doc.blocks.new(name, dxfattribs={"flags": 1})
            block.add_line((1.0, 2.0), (3.0, 4.0), dxfattribs=ON)

    def ours(doc: Any) -> None:
        blocks = LibrarySpace(doc.modelspace())
        for name in ("*D1", "*D2"):
            assert blocks.name() == name
            block = blocks.new(name)
            inside = block.entities()
            inside.line((1.0, 2.0), (3.0, 4.0), "PANEL")
            block.finish(inside)
        assert "*d2" in doc.blocks

    assert _saved(ours) == _saved(theirs)

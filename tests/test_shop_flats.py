"""Flats for machines, read back: closed loops, the core's size and area, nothing twice, and a tool path round one."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator
from io import StringIO
from itertools import pairwise
from math import atan, hypot, pi, sin
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from conftest import SPECS
from readers import run
from spec_texts import cab

from cabdraw.cab import Cab, Point
from cabdraw.draw.flat import flat, rounded
from cabdraw.draw.loops import FlatDrawing, Loop
from cabdraw.draw.shapes import Circle, Line, Text
from cabdraw.shop.outline import area
from cabdraw.shop.parts import ShopPart, shop_parts
from cabdraw.units import mm
from cabdraw.write.dxf_parts import CamVersion, part_bytes, unit_ending

BOX = {"what": "box", "x": "8", "y": "10", "width": "4", "height": "6", "clearance": "1/8"}
BENT = {"legs": ["7/8", "face"], "bends": [{"angle": "90", "direction": "down"}], "hems": {"last": {"length": "3/8"}}}


@pytest.fixture(scope="module", params=[path.stem for path in SPECS])
def car(request: pytest.FixtureRequest) -> Cab:
    from cabdraw.resolve import resolve
    from cabdraw.spec import load

    return resolve(load(next(path for path in SPECS if path.stem == request.param)))


def flats(car: Cab, cleared: tuple[str, ...] = ("back",)) -> Iterator[tuple[ShopPart, FlatDrawing]]:
    for part in shop_parts(car, cleared):
        drawing = flat(car, part)
        if drawing is not None:
            yield part, drawing


def one(changes: dict[str, Any], mark: str, cleared: tuple[str, ...] = ()) -> tuple[Cab, ShopPart, FlatDrawing]:
    car = cab(changes)
    return next((car, part, drawing) for part, drawing in flats(car, cleared) if part.mark == mark)


def unit(car: Cab) -> float:
    return 25.4 if car.printing.system == "inch" else 1.0


def geometries(dxf: bytes, folder: Path) -> list[tuple[str, Any]]:
    """Every entity as GDAL reads it, by layer; arcs come as chords."""
    import pyogrio
    import shapely

    path = folder / "part.dxf"
    path.write_bytes(dxf)
    meta, _, shapes, columns = pyogrio.raw.read(path)
    layers = dict(zip(meta["fields"], columns, strict=True))["Layer"]
    return [(layer, shapely.from_wkb(shape)) for layer, shape in zip(layers, shapes, strict=True)]


@pytest.mark.parametrize("version", ["r2000", "r12"])
def test_gdal_reads_closed_loops_of_the_cores_size_and_area(car: Cab, version: CamVersion, tmp_path: Path) -> None:
    import shapely

    scale = unit(car)
    for part, drawing in flats(car):
        read = geometries(part_bytes(drawing, car.printing.system, version), tmp_path)
        outside = [shape for layer, shape in read if layer in ("OUTSIDE_CUT_THROUGH", "SAW_TO_LENGTH")]
        assert len(outside) == 1, part.mark
        cuts = [(layer, shape) for layer, shape in read if not layer.startswith(("NOTE", "UNIT", "BEND", "HEM"))]
        for layer, shape in cuts:
            assert shape.geom_type in ("LineString", "Polygon"), layer
            assert shapely.Polygon(shape.coords if shape.geom_type == "LineString" else shape.exterior.coords).is_valid
            if shape.geom_type == "LineString":
                assert shape.is_closed, f"{part.mark}: {layer} is open"
        bounds = [side * scale for side in outside[0].bounds]
        size = [0.0, 0.0, float(part.core.width), float(part.core.height)]
        assert bounds == pytest.approx(size, abs=1e-4), part.mark
        whole = shapely.union_all([shape for layer, shape in read if not layer.startswith(("NOTE", "UNIT"))])
        assert [side * scale for side in whole.bounds] == pytest.approx(size, abs=1e-4), part.mark
        left = shapely.Polygon(outside[0].coords).area
        holes = [shapely.Polygon(shape.coords).area for layer, shape in read if layer.startswith("INSIDE")]
        # Each corner that the cutter leaves round gives back (1 - pi / 4) r2.
        radius = float(car.practice.corner_radius)
        corners = sum(
            corner[2] != 0 for loop in drawing.shapes if isinstance(loop, Loop) for corner in loop.corners
        )  # fmt: skip
        given = corners * (1 - pi / 4) * radius**2
        assert (left - sum(holes)) * scale**2 == pytest.approx(float(area(part.outline)) + given, rel=1e-5)


def entities(dxf: bytes) -> list[Any]:
    return list(ezdxf.read(StringIO(dxf.decode("ascii"))).modelspace())


def test_nothing_is_drawn_twice_and_nothing_has_no_length(car: Cab) -> None:
    for part, drawing in flats(car):
        sides: Counter[tuple[Any, ...]] = Counter()
        for shape in drawing.shapes:
            if isinstance(shape, Loop):
                for a, b in pairwise((*shape.points, shape.points[0])):
                    assert hypot(b[0] - a[0], b[1] - a[1]) > 1e-3, f"{part.mark}: {shape.layer}"
                    sides[tuple(sorted(((round(a[0], 3), round(a[1], 3)), (round(b[0], 3), round(b[1], 3)))))] += 1
            elif isinstance(shape, Circle):
                assert shape.radius > 0
                sides[("circle", round(shape.centre[0], 3), round(shape.centre[1], 3))] += 1
            elif isinstance(shape, Line):
                sides[tuple(sorted((shape.start, shape.end)))] += 1
        assert max(sides.values()) == 1, part.mark


def test_r2000_holds_its_unit_and_r12_says_it_outside_the_cut() -> None:
    _, _, drawing = one({"survey.walls.back.fixtures": [BOX]}, "lower-back-1")
    new = ezdxf.read(StringIO(part_bytes(drawing, "inch").decode("ascii")))
    assert (new.dxfversion, new.header["$INSUNITS"], new.header["$MEASUREMENT"]) == ("AC1015", 1, 0)
    assert ezdxf.read(StringIO(part_bytes(drawing, "mm").decode("ascii"))).header["$INSUNITS"] == 4
    old = ezdxf.read(StringIO(part_bytes(drawing, "inch", "r12").decode("ascii")))
    assert old.dxfversion == "AC1009"
    (note,) = old.modelspace().query("TEXT[layer=='UNIT_NOTE']")
    assert note.dxf.text == "UNIT: INCH"
    assert note.dxf.insert.y + note.dxf.height < 0
    assert all(len(layer.dxf.name) <= 31 and "." not in layer.dxf.name for layer in old.layers)
    assert {entity.dxftype() for entity in old.modelspace()} == {"POLYLINE", "TEXT"}
    assert {entity.dxftype() for entity in new.modelspace()} == {"LWPOLYLINE", "TEXT"}
    assert (unit_ending("inch", "r2000"), unit_ending("inch", "r12"), unit_ending("mm", "r12")) == ("", "-inch", "-mm")


def test_no_text_stands_on_a_layer_that_is_cut(car: Cab) -> None:
    for _, drawing in flats(car):
        texts = [shape for shape in drawing.shapes if isinstance(shape, Text)]
        assert {text.layer for text in texts} == {"NOTE_FACE", "NOTE_BACK"}
        cut = {shape.layer for shape in drawing.shapes if not isinstance(shape, Text)}
        assert not any(layer.startswith("NOTE") for layer in cut)


def test_face_up_grain_and_id_are_marked() -> None:
    _, part, drawing = one({}, "lower-back-1")
    layers = Counter(shape.layer for shape in drawing.shapes)
    assert (layers["MARK_UP"], layers["MARK_GRAIN"]) == (1, 1)
    back = next(s for s in drawing.shapes if isinstance(s, Text) and s.layer == "NOTE_BACK")
    assert part.mark in back.text
    assert part.class_id in back.text


def test_grooves_are_marked_with_their_depth_in_the_core() -> None:
    _, part, drawing = one({"layout.panel.edge": "0.02"}, "lower-back-2")
    marks = [shape for shape in drawing.shapes if shape.layer == "MARK_EDGE_GROOVE_0.4800IN_DEEP"]
    assert len(marks) == len(part.grooves) == 4
    for mark in marks:
        assert isinstance(mark, Loop)
        xs, ys = [p[0] for p in mark.points], [p[1] for p in mark.points]
        assert min(xs) > 0
        assert min(ys) > 0
        assert max(xs) < drawing.width
        assert max(ys) < drawing.height


def test_openings_have_the_stated_radius_in_their_corners() -> None:
    _, _, drawing = one({"survey.walls.back.fixtures": [BOX], "shop": {"corner_radius": "1/4"}}, "lower-back-1")
    (hole,) = (s for s in drawing.shapes if isinstance(s, Loop) and s.layer == "INSIDE_CUT_THROUGH")
    arcs = [
        (a, b) for a, b in pairwise((*hole.corners, hole.corners[0])) if a[2]
    ]  # fmt: skip
    assert len(arcs) == 4
    for a, b in arcs:
        angle = 4 * atan(abs(a[2]))
        assert angle == pytest.approx(pi / 2)
        assert hypot(b[0] - a[0], b[1] - a[1]) / (2 * sin(angle / 2)) == pytest.approx(6.35)
    xs = [p[0] for p in hole.points]
    assert max(xs) - min(xs) == pytest.approx(4.25 * 25.4)


def test_only_inside_corners_are_rounded() -> None:
    _, part, drawing = one({"survey.walls.back.fixtures": [{**BOX, "x": "20", "width": "6"}]}, "lower-back-1")
    (outline,) = (s for s in drawing.shapes if isinstance(s, Loop) and s.layer == "OUTSIDE_CUT_THROUGH")
    assert len(part.outline.outline) == 8
    assert sum(corner[2] != 0 for corner in outline.corners) == 2
    assert len(rounded(part.outline.outline, 0.0)) == 8


def test_holes_are_true_circles_where_cleared_and_crosses_where_not() -> None:
    for cleared, layer, kind in ((("back",), "DRILL_0.5000IN_THROUGH", Circle), ((), "MARK_HOLE_NOT_CLEARED", Loop)):
        _, part, drawing = one({}, "backer-back", cleared)
        found = [shape for shape in drawing.shapes if shape.layer == layer]
        assert len(found) == len(part.holes) > 1
        assert all(isinstance(shape, kind) for shape in found)
        circles = [e for e in entities(part_bytes(drawing, "inch")) if e.dxftype() == "CIRCLE"]
        assert [e.dxf.radius for e in circles] == ([pytest.approx(0.25)] * len(found) if cleared else [])
    face = next(s for s in drawing.shapes if isinstance(s, Text) and s.layer == "NOTE_FACE")
    assert "HOLES NOT BORED" in face.text


def test_bend_lines_lie_where_the_table_says_on_layers_that_say_how() -> None:
    _, part, drawing = one({"profiles": {"base": BENT}}, "base-back")
    lines = [shape for shape in drawing.shapes if isinstance(shape, Line)]
    assert [line.layer for line in lines] == ["BEND_DOWN_90", "HEM_DOWN"]
    assert part.developed is not None
    for line, bend in zip(lines, part.developed.bends, strict=True):
        assert line.start == (0.0, float(bend.position))
        assert line.end == (drawing.width, float(bend.position))


def test_a_round_rail_is_sawn_and_not_routed() -> None:
    layers = {shape.layer for shape in one({}, "rail-back")[2].shapes}
    assert "SAW_TO_LENGTH" in layers
    assert "OUTSIDE_CUT_THROUGH" not in layers
    assert "OUTSIDE_CUT_THROUGH" in {
        shape.layer for shape in one({"handrail.section": {"flat": ["2", "3/8"]}}, "rail-back")[2].shapes
    }


def test_words_from_the_spec_come_out_in_ascii() -> None:
    _, _, drawing = one({"job": {"project": "Test", "car": "Käfig №2 日本"}}, "lower-back-1")
    assert part_bytes(drawing, "inch").isascii()
    assert any("Kafig" in shape.text for shape in drawing.shapes if isinstance(shape, Text))
    with pytest.raises(ValueError, match="not ASCII"):
        part_bytes(FlatDrawing("x", 1, 1, (Text("NOTE", (0, 0), "ü", 1),)), "mm")


def test_the_same_part_is_the_same_bytes() -> None:
    _, _, drawing = one({}, "lower-back-1")
    assert part_bytes(drawing, "inch") == part_bytes(drawing, "inch")
    assert part_bytes(drawing, "inch", "r12") == part_bytes(drawing, "inch", "r12")


_TOOL_PATH = """
import json, FreeCAD, Part, importDXF
settings = FreeCAD.ParamGet("User parameter:BaseApp/Preferences/Mod/Draft")
for key, value in {"dxfShowDialog": False, "groupLayers": True, "dxfCreateDraft": False, "dxflayout": False,
                   "dxftext": False}.items():
    settings.SetBool(key, value)
document = FreeCAD.newDocument("read")
importDXF.insert("part.dxf", "read")
import PathScripts.PathJob as PathJob
import PathScripts.PathProfile as PathProfile
found = {}
for thing in list(document.Objects):
    if thing.Label not in ("OUTSIDE_CUT_THROUGH", "INSIDE_CUT_THROUGH"):
        continue
    (edges,) = Part.sortEdges(thing.Shape.Edges)
    body = document.addObject("Part::Feature", "Body" + str(len(found)))
    body.Shape = Part.Face(Part.Wire(edges)).extrude(FreeCAD.Vector(0, 0, 19))
    job = PathJob.Create("Job" + str(len(found)), [body])
    document.recompute()
    profile = PathProfile.Create("Profile" + str(len(found)), parentJob=job)
    profile.Base = []
    profile.Side = "Outside" if thing.Label.startswith("OUTSIDE") else "Inside"
    profile.UseComp = True
    profile.setExpression("StepDown", None)
    profile.StepDown = 30
    document.recompute()
    x = y = 0.0
    points = []
    for command in profile.Path.Commands:
        x, y = command.Parameters.get("X", x), command.Parameters.get("Y", y)
        if command.Name in ("G1", "G2", "G3"):
            points.append((x, y))
    tool = float(profile.ToolController.Tool.Diameter)
    found[thing.Label] = {"tool": tool, "x": [p[0] for p in points], "y": [p[1] for p in points]}
open("path.json", "w").write(json.dumps(found))
"""


def test_a_cam_program_makes_a_tool_path_of_the_parts_extents(tmp_path: Path) -> None:
    """FreeCAD's Path workbench takes the flat in and goes round it, half a tool outside it."""
    _, part, drawing = one({"survey.walls.back.fixtures": [BOX]}, "lower-back-1")
    (tmp_path / "part.dxf").write_bytes(part_bytes(drawing, "inch"))
    (tmp_path / "cut.py").write_text(_TOOL_PATH)
    run(tmp_path, "freecadcmd", "cut.py", QT_QPA_PLATFORM="offscreen")
    found = json.loads((tmp_path / "path.json").read_text())
    outside = found["OUTSIDE_CUT_THROUGH"]
    half = outside["tool"] / 2
    width, height = float(part.core.width), float(part.core.height)
    assert len(outside["x"]) >= 4
    ends = [min(outside["x"]), min(outside["y"]), max(outside["x"]), max(outside["y"])]
    assert ends == pytest.approx([-half, -half, width + half, height + half], abs=1e-3)
    inside = found["INSIDE_CUT_THROUGH"]
    hole = part.outline.holes[0]
    low, high = (min(p.x for p in hole), min(p.y for p in hole)), (max(p.x for p in hole), max(p.y for p in hole))
    ends = [min(inside["x"]), min(inside["y"]), max(inside["x"]), max(inside["y"])]
    wanted = [float(low[0]) + half, float(low[1]) + half, float(high[0]) - half, float(high[1]) - half]
    assert ends == pytest.approx(wanted, abs=1e-3)


def test_rounding_keeps_to_half_a_short_side() -> None:
    def ring(*points: tuple[int, int]) -> tuple[Point, ...]:
        return tuple(Point(mm(x), mm(y)) for x, y in points)

    hole = rounded(ring((0, 0), (0, 4), (20, 4), (20, 0)), 10)
    radii = {round(hypot(b[0] - a[0], b[1] - a[1]) / 2 / sin(pi / 4), 6) for a, b in pairwise(hole) if a[2]}
    assert radii == {2.0}

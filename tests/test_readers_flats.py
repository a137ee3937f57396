"""Every DXF of a package in programs that are not ours: closed areas, extents, marks, units.

What reads elevations and the set more closely stands in `test_shipped_readers.py` and `test_shipped_set.py`.
"""

from __future__ import annotations

import csv
import json
import os
from collections import Counter
from pathlib import Path

import pyogrio
import pytest
import shapely
from conftest import REPOSITORY, Shipped, drawn
from PIL import Image
from read_by import FLATS, of_kind, reads
from readers import gdal, ink_box, need, run
from test_readers_pages import CARS, pieces
from test_shipped_readers import Bounds, unit

ELEVATION, SET = "drawings/elevation-<wall>.dxf", "drawings/set.dxf"
MODULES = REPOSITORY / ".ci" / "readers" / "node_modules"
#: Closed areas by layer, in mm.
Areas = dict[str, list[Bounds]]


@pytest.fixture(params=CARS, ids=lambda spec: spec.stem)
def car(request: pytest.FixtureRequest) -> Shipped:
    """Each of two cars in turn."""
    return drawn(request.param)


def rows(shipped: Shipped, path: str) -> list[dict[str, str]]:
    """The rows of a list."""
    return list(csv.DictReader(shipped.files[path].decode("utf-8").splitlines()))


def flats(shipped: Shipped) -> dict[str, tuple[float, float]]:
    """The flat size of each part that has a file, in mm, as the cut list has it; resolved where it is not bent."""
    unit_of = {"inch": 25.4, "mm": 1.0}
    found = {
        row["mark"]: (
            float(row["core_width"]) * unit_of[row["unit"]],
            float(row["core_height"]) * unit_of[row["unit"]],
        )
        for row in rows(shipped, "shop/cut-list.csv")
        if row["core_width"]
    }
    for part in shipped.resolved["parts"]:
        if part["core"]:
            assert found[part["mark"]] == pytest.approx(part["core"], abs=0.002), part["mark"]
    return found


def agree(shipped: Shipped, path: str, areas: Areas) -> None:
    """Hold the closed areas that a program finds in a file for the shop against what was resolved."""
    name = Path(path).stem
    if path.startswith("shop/sheets"):
        rings = areas["OUTSIDE_CUT_BLANK"]
        wanted = sorted((float(row["width"]), float(row["height"])) for row in pieces(shipped, name))
        mm = 25.4 if shipped.resolved["units"] == "inch" else 1.0
        found = sorted((round(x1 - x0, 3), round(y1 - y0, 3)) for x0, y0, x1, y1 in rings)
        assert len(found) == len(wanted), path
        for size, (width, height) in zip(found, wanted, strict=True):
            assert size == pytest.approx((width * mm, height * mm), abs=0.01), path
        return
    flat = flats(shipped).get(name)
    rings = areas.get("OUTSIDE_CUT_THROUGH", [])
    if flat is None or not rings:
        return
    low, high = (min(box[i] for box in rings) for i in (0, 1)), (max(box[i] for box in rings) for i in (2, 3))
    assert (*low, *high) == pytest.approx((0.0, 0.0, *flat), abs=0.01), path
    pieces_of = next(part for part in shipped.resolved["parts"] if part["mark"] == name)["shapes"]
    assert len(rings) == max(1, len(pieces_of)), path


def read_areas(dxf: bytes, folder: Path, mm: float) -> Areas:
    """The closed areas of a DXF by layer, as GDAL reads it."""
    (folder / "read.dxf").write_bytes(dxf)
    meta, _, shapes, columns = pyogrio.raw.read(folder / "read.dxf", ENCODING="UTF-8")
    fields = dict(zip(meta["fields"], columns, strict=True))
    found: Areas = {}
    for layer, kind, wkb in zip(fields["Layer"], fields["SubClasses"], shapes, strict=True):
        shape = shapely.from_wkb(wkb)
        if kind.endswith("AcDbPolyline") and shape.is_closed:
            x0, y0, x1, y1 = shape.bounds
            found.setdefault(layer, []).append((x0 / mm, y0 / mm, x1 / mm, y1 / mm))
    return found


@pytest.mark.parametrize("kind", FLATS)
@reads("GDAL", "closed areas, extents, marks", *FLATS)
def test_gdal(kind: str, shipped: Shipped, tmp_path: Path) -> None:
    for path, dxf in of_kind(shipped, kind).items():
        agree(shipped, path, read_areas(dxf, tmp_path, unit(shipped)))
        told = " ".join(gdal(dxf, tmp_path).texts)
        marks = [row["mark"] for row in pieces(shipped, Path(path).stem)] if "sheets" in kind else [Path(path).stem]
        assert [mark for mark in marks if mark not in told] == [], path


@pytest.mark.parametrize("kind", [*FLATS, ELEVATION, SET])
@reads("dxf for Node", "units", *FLATS, ELEVATION, SET)
@reads("dxf for Node", "closed areas, extents", *FLATS)
@reads("dxf for Node", "extents, entity counts", ELEVATION)
def test_dxf_for_node(kind: str, shipped: Shipped, tmp_path: Path) -> None:
    need("node")
    if not MODULES.is_dir():
        reason = "the dxf package for node is not installed: npm install --prefix .ci/readers"
        if os.environ.get("CABDRAW_CI") == "1":
            pytest.fail(reason)
        pytest.skip(reason)
    files = of_kind(shipped, kind)
    for number, dxf in enumerate(files.values()):
        (tmp_path / f"{number}.dxf").write_bytes(dxf)
    if not files:
        return
    names = [f"{number}.dxf" for number in range(len(files))]
    script = str(REPOSITORY / "tests" / "read_outlines.js")
    found = json.loads(run(tmp_path, "node", script, *names, NODE_PATH=str(MODULES)))
    mm = unit(shipped)
    for name, path in zip(names, files, strict=True):
        assert found[name]["unit"] == {"inch": 1, "mm": 4}[shipped.resolved["units"]], path
        areas: Areas = {}
        for layer, *box in found[name]["boxes"]:
            x0, y0, x1, y1 = (value / mm for value in box)
            areas.setdefault(layer, []).append((x0, y0, x1, y1))
        if kind in FLATS:
            agree(shipped, path, areas)
        if kind == ELEVATION:
            wall = shipped.resolved["walls"][Path(path).stem.rpartition("-")[2]]
            shell = (0.0, 0.0, wall["width"], wall["height"])
            assert any(box == pytest.approx(shell, abs=0.001) for box in areas["SHELL"]), path
            figures = sum(type(shape).__name__ == "Dimension" for _, shape in shipped.made[files[path]][0].shapes())
            assert found[name]["dimensions"] == figures > 0, path


_FREECAD = """
import json, sys, FreeCAD, importDXF
settings = FreeCAD.ParamGet("User parameter:BaseApp/Preferences/Mod/Draft")
for key, value in {"dxfShowDialog": False, "groupLayers": True, "dxfCreateDraft": False, "dxflayout": False,
                   "dxftext": False}.items():
    settings.SetBool(key, value)
found = {}
for number in range(int(open("count").read())):
    document = FreeCAD.newDocument("read")
    importDXF.insert(str(number) + ".dxf", document.Name)
    layers = []
    for thing in document.Objects:
        if hasattr(thing, "Shape") and not thing.Shape.isNull():
            box = thing.Shape.BoundBox
            layers.append([thing.Label, box.XMin, box.YMin, box.XMax, box.YMax])
    found[number] = layers
    FreeCAD.closeDocument(document.Name)
open("found.json", "w").write(json.dumps(found))
"""


@pytest.mark.parametrize("kind", FLATS)
@reads("FreeCAD", "extents, units", *FLATS)
def test_freecad(kind: str, car: Shipped, tmp_path: Path) -> None:
    # Parts made alike are read once.
    files = {path: dxf for path, dxf in of_kind(car, kind).items() if not path.endswith(("-2.dxf", "-3.dxf", "-4.dxf"))}
    for number, dxf in enumerate(files.values()):
        (tmp_path / f"{number}.dxf").write_bytes(dxf)
    (tmp_path / "count").write_text(str(len(files)))
    (tmp_path / "read.py").write_text(_FREECAD)
    run(tmp_path, "freecadcmd", "read.py", QT_QPA_PLATFORM="offscreen")
    found = json.loads((tmp_path / "found.json").read_text())
    sizes = flats(car)
    for number, path in enumerate(files):
        # FreeCAD numbers what has one name.
        boxes = [box for name, *box in found[str(number)] if name.startswith(("OUTSIDE_CUT", "MARK_SHEET"))]
        if not boxes:
            assert Path(path).name.startswith("rail-"), path
            continue
        low = (min(box[0] for box in boxes), min(box[1] for box in boxes))
        high = (max(box[2] for box in boxes), max(box[3] for box in boxes))
        if kind == FLATS[1]:
            mm = 25.4 if car.resolved["units"] == "inch" else 1.0
            sheet = next(row for row in rows(car, "shop/nesting.csv") if row["file"] == Path(path).name)
            wanted = (float(sheet["width"]) * mm, float(sheet["height"]) * mm)
        else:
            wanted = sizes[Path(path).stem]
        assert (*low, *high) == pytest.approx((0.0, 0.0, *wanted), abs=0.01), path


@pytest.mark.parametrize("kind", [*FLATS, ELEVATION, SET])
@reads("LibreCAD", "look as printed", *FLATS, ELEVATION, SET)
@reads("LibreCAD", "extents", FLATS[1])
def test_librecad(kind: str, car: Shipped, tmp_path: Path) -> None:
    files = of_kind(car, kind)
    names = [f"{number}.dxf" for number in range(len(files))]
    for name, dxf in zip(names, files.values(), strict=True):
        (tmp_path / name).write_bytes(dxf)
    if not names:
        return
    run(tmp_path, "librecad", "dxf2pdf", "-a", "-k", *names, QT_QPA_PLATFORM="offscreen")
    for name, (path, dxf) in zip(names, files.items(), strict=True):
        run(tmp_path, "pdftoppm", "-scale-to", "800", "-gray", "-singlefile", name.replace(".dxf", ".pdf"), "page")
        with Image.open(tmp_path / "page.pgm") as image:
            box = ink_box(image.convert("L"))
            across, up = image.size
        assert box is not None, path
        wide, high = box[2] - box[0], box[3] - box[1]
        # Fitted to its page, a drawing fills it one way or the other.
        assert max(wide / across, high / up) > 0.5, path
        # What is written on a part may reach over its edge, and on a sheet it does not.
        if kind == FLATS[1]:
            x0, y0, x1, y1 = gdal(dxf, tmp_path).bounds
            assert wide / high == pytest.approx((x1 - x0) / (y1 - y0), rel=0.02), path


def test_every_part_that_is_cut_has_its_file(shipped: Shipped) -> None:
    named = Counter(row["file"] for row in rows(shipped, "shop/cut-list.csv") if row["file"])
    held = {Path(path).name for path in of_kind(shipped, FLATS[0])}
    assert set(named) == held

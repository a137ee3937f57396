"""Every drawing of every shipped spec as other programs read it, held against `resolved.json`."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from io import BytesIO
from itertools import accumulate
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
import shapely
from conftest import REPOSITORY, Shipped, drawn
from ezdxf import recover
from pypdf import PdfReader
from read_by import reads
from readers import freecad, gdal, run

from cabdraw.units import Length, Printing, System, total

SVG = "{http://www.w3.org/2000/svg}"
#: The least difference in mm between two sizes in `resolved.json`, which has 6 places.
PLACES = 2e-6
Bounds = tuple[float, float, float, float]


def length(value: float) -> Length:
    """A length from `resolved.json`, exactly as it is written there."""
    return Length(Fraction(str(value)))


def unit(shipped: Shipped) -> float:
    """Drawing units for each mm."""
    return 1 / 25.4 if shipped.resolved["units"] == "inch" else 1.0


def outlines(dxf: bytes, folder: Path, mm: float) -> dict[str, list[Bounds]]:
    """The bounds in mm of every closed outline and circle in a DXF by layer, as GDAL reads it."""
    import pyogrio

    path = folder / "outlines.dxf"
    path.write_bytes(dxf)
    meta, _, shapes, columns = pyogrio.raw.read(path, ENCODING="UTF-8")
    fields = dict(zip(meta["fields"], columns, strict=True))
    found: dict[str, list[Bounds]] = {}
    for layer, kind, wkb in zip(fields["Layer"], fields["SubClasses"], shapes, strict=True):
        shape = shapely.from_wkb(wkb)
        if kind.endswith(("AcDbPolyline", "AcDbCircle")) and shape.is_closed:
            x0, y0, x1, y1 = shape.bounds
            found.setdefault(layer, []).append((x0 / mm, y0 / mm, x1 / mm, y1 / mm))
    return found


def _bounds(ring: list[list[float]]) -> Bounds:
    xs, ys = zip(*ring, strict=True)
    return (min(xs), min(ys), max(xs), max(ys))


def _box(x: float, y: float, width: float, height: float) -> Bounds:
    return (x, y, x + width, y + height)


def expected_outlines(resolved: dict[str, Any], name: str) -> dict[str, list[Bounds]]:
    """The bounds of what shows of a wall's panels, boards and metal, from what was resolved."""
    wall = resolved["walls"][name]
    parts = {part["mark"]: part for part in resolved["parts"] if part["wall"] == name}
    found: dict[str, list[Bounds]] = {"PANEL": [], "BAND": [], "METAL": []}

    def add(layer: str, part: dict[str, Any], whole: Bounds) -> None:
        for shape in part["shapes"]:
            found[layer] += [_bounds(ring) for ring in (shape["outline"], *shape["holes"])]
        if not part["shapes"]:
            found[layer].append(whole)

    for panel in wall["panels"]:
        whole = _box(panel["x"], panel["y"], panel["width"], panel["height"])
        add("PANEL", parts[panel["mark"]], whole)
    layers = {"backer": "BAND", "bumper": "BAND", "crown": "BAND", "base": "METAL", "frieze": "METAL"}
    for kind, layer in layers.items():
        bands = [band for band in wall["bands"] if band["kind"] == kind]
        made = [part for part in parts.values() if part["kind"] == kind]
        for band, part in zip(bands, made, strict=True):
            add(layer, part, _box(wall["margins"][0], band["y"], wall["run"], band["height"]))
    return found


def inside(bounds: list[Bounds], wall: dict[str, Any]) -> list[Bounds]:
    """Those that lie on the wall: a legend's samples stand beside it."""
    return [
        b
        for b in bounds
        if b[0] > -0.01 and b[1] > -0.01 and b[2] < wall["width"] + 0.01 and b[3] < wall["height"] + 0.01
    ]


def alike(found: list[Bounds], wanted: list[Bounds]) -> bool:
    """Whether two lots of bounds are the same, in whatever order."""
    return len(found) == len(wanted) and all(
        a == pytest.approx(b, abs=10 * PLACES) for a, b in zip(sorted(found), sorted(wanted), strict=True)
    )


def figures(shipped: Shipped, name: str) -> Counter[str]:
    """Every figure that must stand on a wall's elevation, from what was resolved."""
    resolved = shipped.resolved
    wall = resolved["walls"][name]
    system: System = resolved["units"]
    printings = [Printing.of(system, length(resolved["increment"]))]
    if shipped.looked.cab.sheet.dual:
        printings.append(Printing("mm" if system == "inch" else "inch", 64))

    def size(value: Length) -> str:
        first, *second = (printing.size(value) for printing in printings)
        return f"{first} [{second[0]}]" if second else first

    def chain(lengths: list[Length], absorbs: list[bool], heights: bool) -> list[str]:
        columns = []
        for printing in printings:
            printed = printing.chain(lengths, absorbs)
            shown = [*printed, total(printed), *(accumulate(printed) if heights else ())]
            columns.append([printing.size(value) for value in shown])
        if len(columns) == 1:
            return columns[0]
        return [f"{first} [{second}]" for first, second in zip(*columns, strict=True)]

    first = wall["panels"][0]["tier"]
    columns = [(length(p["x"]), length(p["width"])) for p in wall["panels"] if p["tier"] == first]
    row = [length(wall["margins"][0])]
    for i, (x, width) in enumerate(columns):
        row.append(width)
        row.append(columns[i + 1][0] - x - width if i + 1 < len(columns) else length(wall["margins"][1]))
    kept = [i for i, part in enumerate(row) if part]
    found = chain([row[i] for i in kept], [i in (0, len(row) - 1) for i in kept], heights=False)
    bands = [band for band in wall["bands"] if band["height"]]
    stack = [length(band["height"]) for band in bands]
    found += chain(stack, [band["kind"] == "gap" for band in bands], heights=True)
    if wall["rail"]:
        high = next(p["height"] for p in resolved["parts"] if p["mark"] == f"rail-{name}")
        centre = length(wall["rail"]["y"])
        found += [f"{size(centre + length(high) / 2)} rail top", f"{size(centre)} rail centre"]
        found += [size(length(standoff["x"])) for standoff in wall["rail"]["standoffs"]]
    return Counter(found)


def svg_texts(svg: bytes, layer: str) -> Counter[str]:
    """The texts of one layer of an SVG."""
    root = ElementTree.fromstring(svg)
    return Counter(
        "".join(text.itertext())
        for group in root.iter(f"{SVG}g")
        if group.get("class", "").split() == ["text", layer]
        for text in group.iter(f"{SVG}text")
    )


def _with_figures(texts: Counter[str]) -> Counter[str]:
    return Counter({text: count for text, count in texts.items() if any(sign.isdigit() for sign in text)})


def test_ezdxf_has_nothing_to_mend(shipped: Shipped) -> None:
    for path, dxf in shipped.of(".dxf").items():
        doc, auditor = recover.read(BytesIO(dxf))
        assert (path, auditor.errors, auditor.fixes) == (path, [], [])
        wanted = {"inch": (1, 0), "mm": (4, 1)}[shipped.resolved["units"]]
        assert (path, doc.header["$INSUNITS"], doc.header["$MEASUREMENT"]) == (path, *wanted)


@reads("GDAL", "closed areas", "drawings/elevation-<wall>.dxf")
def test_outlines_are_those_of_resolved_json_in_gdal(shipped: Shipped, tmp_path: Path) -> None:
    for name, wall in shipped.resolved["walls"].items():
        found = outlines(shipped.files[f"drawings/elevation-{name}.dxf"], tmp_path, unit(shipped))
        for layer, wanted in expected_outlines(shipped.resolved, name).items():
            assert alike(inside(found.get(layer, []), wall), wanted), (name, layer)
        assert (0.0, 0.0, wall["width"], wall["height"]) in [
            pytest.approx(bounds, abs=10 * PLACES) for bounds in found["SHELL"]
        ]
        if rail := wall["rail"]:
            on_wall = inside(found["RAIL"], wall)
            body = max(on_wall, key=lambda bounds: bounds[2] - bounds[0])
            assert (body[0], body[2]) == pytest.approx((rail["x"], rail["x"] + rail["length"]), abs=10 * PLACES)
            centres = sorted(((b[0] + b[2]) / 2, (b[1] + b[3]) / 2) for b in on_wall if b != body)
            wanted_centres = sorted((standoff["x"], standoff["y"]) for standoff in rail["standoffs"])
            # GDAL draws a circle as chords, whose ends need not fall on its sides.
            assert [x for x, _ in centres] == pytest.approx([x for x, _ in wanted_centres], abs=0.05)
            assert [y for _, y in centres] == pytest.approx([y for _, y in wanted_centres], abs=0.05)


@reads("GDAL", "dimension texts", "drawings/elevation-<wall>.dxf")
def test_figures_are_the_same_in_dxf_svg_and_resolved_json(shipped: Shipped, tmp_path: Path) -> None:
    for name in shipped.resolved["walls"]:
        dxf = shipped.files[f"drawings/elevation-{name}.dxf"]
        doc, _ = recover.read(BytesIO(dxf))
        blocks = Counter(
            text.dxf.text
            for entity in doc.modelspace().query("DIMENSION")
            for text in doc.blocks.get(entity.dxf.geometry).query("TEXT")
        )
        overrides = Counter(entity.dxf.text for entity in doc.modelspace().query("DIMENSION"))
        in_svg = _with_figures(svg_texts(shipped.files[f"drawings/elevation-{name}.svg"], "DIMENSION"))
        assert blocks == overrides == in_svg == figures(shipped, name)
        assert Counter(gdal(dxf, tmp_path).texts) >= blocks


@reads("GDAL", "extents", "drawings/elevation-<wall>.dxf")
def test_gdal_finds_the_extents_of_the_sheet(shipped: Shipped, tmp_path: Path) -> None:
    for path, dxf in shipped.of(".dxf").items():
        bounds = gdal(dxf, tmp_path).bounds
        assert bounds[2] > bounds[0], path
        assert bounds[3] > bounds[1], path
        if path.startswith("drawings/elevation"):
            doc, _ = recover.read(BytesIO(dxf))
            (x0, y0, _), (x1, y1, _) = doc.header["$EXTMIN"], doc.header["$EXTMAX"]
            sheet = shipped.sheets[Path(path).stem]
            mm = unit(shipped) / sheet.views[0].scale
            assert (x1 - x0, y1 - y0) == pytest.approx((sheet.width * mm, sheet.height * mm))
            assert x0 <= bounds[0] < bounds[2] <= x1
            assert y0 <= bounds[1] < bounds[3] <= y1
            assert bounds[2] - bounds[0] > 0.9 * (x1 - x0)


@pytest.mark.parametrize("spec", ["larkspur-car-2", "quayside-lift-b"])
@reads("FreeCAD", "units, extents, what dimensions measure", "drawings/elevation-<wall>.dxf")
def test_freecad_takes_the_unit_in(spec: str, tmp_path: Path) -> None:
    shipped = drawn(REPOSITORY / "specs" / f"{spec}.yaml")
    name, wall = next(iter(shipped.resolved["walls"].items()))
    found = freecad(shipped.files[f"drawings/elevation-{name}.dxf"], tmp_path)
    sheet = shipped.sheets[f"elevation-{name}"]
    scale = sheet.views[0].scale
    x0, y0, x1, y1 = found["bounds"]
    assert 0.9 * sheet.width / scale < x1 - x0 <= sheet.width / scale + 0.01
    assert 0.9 * sheet.height / scale < y1 - y0 <= sheet.height / scale + 0.01
    for size in (wall["width"], wall["height"], wall["panels"][0]["width"], wall["margins"][0]):
        assert min(abs(distance - size) for distance in found["distances"]) < 1e-4


def test_svg_has_the_size_of_its_paper_in_rsvg(shipped: Shipped, tmp_path: Path) -> None:
    for path, svg in shipped.of(".svg").items():
        if not path.startswith(("drawings/elevation", "site/drill")):
            continue
        sheet = shipped.sheets[Path(path).stem]
        root = ElementTree.fromstring(svg)
        size = [float(root.get(key, "").removesuffix("mm")) for key in ("width", "height")]
        assert size == pytest.approx([sheet.width, sheet.height], abs=0.001), path
        (tmp_path / "page.svg").write_bytes(svg)
        run(tmp_path, "rsvg-convert", "-f", "pdf", "-o", "page.pdf", "page.svg")
        assert _page(tmp_path / "page.pdf") == pytest.approx((sheet.width, sheet.height), abs=0.1), path


def test_svg_has_the_size_of_its_paper_in_inkscape(tmp_path: Path) -> None:
    shipped = drawn(REPOSITORY / "specs" / "larkspur-car-2.yaml")
    sheet = shipped.sheets["elevation-back"]
    (tmp_path / "page.svg").write_bytes(shipped.files["drawings/elevation-back.svg"])
    run(tmp_path, "inkscape", "--export-type=pdf", "--export-filename=page.pdf", "page.svg")
    assert _page(tmp_path / "page.pdf") == pytest.approx((sheet.width, sheet.height), abs=0.1)


def _page(pdf: Path) -> tuple[float, float]:
    box = PdfReader(pdf).pages[0].mediabox
    return float(box.width) * 25.4 / 72, float(box.height) * 25.4 / 72

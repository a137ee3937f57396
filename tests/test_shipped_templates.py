"""Every drilling template as it comes out of printers' programs: bars, holes, cautions, paper.

Programs that are not ours render it, SVG and PDF alike, at 600 dpi; what is measured is measured in the pixels.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from math import cos, pi, sin
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from conftest import SPECS, Shipped, drawn
from odd_cars import write
from PIL import Image
from pypdf import PdfReader, PdfWriter
from pypdf.generic import RectangleObject
from readers import INK, need, run

from cabdraw.draw.shapes import Circle, Line, Sheet

DPI = 600
MM = DPI / 25.4
#: What may be off, in mm.
CLOSE = 0.1
Pixels = np.ndarray[Any, np.dtype[np.bool_]]
Box = tuple[float, float, float, float]
POINT = 72 / 25.4


@dataclass(frozen=True)
class Crop:
    """A piece of a rendered page: where it lies on the paper in mm, y up, and which pixels are inked."""

    box: Box
    ink: Pixels

    def across(self, x: float, low: float, high: float) -> Pixels:
        """The pixels around an x, between two heights, all on the paper."""
        return self.part((x - 3.0, low, x + 3.0, high))

    def part(self, box: Box) -> Pixels:
        """The pixels of a smaller box."""
        left, low, right, high = box
        columns = slice(round((left - self.box[0]) * MM), round((right - self.box[0]) * MM))
        rows = slice(round((self.box[3] - high) * MM), round((self.box[3] - low) * MM))
        return self.ink[rows, columns]

    def inked(self, x: float, y: float) -> bool:
        """Whether there is ink at a point or right beside it."""
        column, row = round((x - self.box[0]) * MM), round((self.box[3] - y) * MM)
        return bool(self.ink[row - 1 : row + 2, column - 1 : column + 2].any())

    def upright(self, box: Box) -> list[float]:
        """The x of every upright line that runs through a box."""
        return [box[0] + place for place in _runs(self.part(box).mean(axis=0))]

    def level(self, box: Box) -> list[float]:
        """The y of every level line that runs through a box."""
        return [box[3] - place for place in _runs(self.part(box).mean(axis=1))]


def _runs(share: np.ndarray[Any, np.dtype[np.float64]]) -> list[float]:
    """The middle in mm of every run of rows or columns that are inked nearly throughout."""
    found: list[float] = []
    dark = [*(share > 0.85), False]
    start = None
    for i, is_dark in enumerate(dark):
        if is_dark and start is None:
            start = i
        elif not is_dark and start is not None:
            found.append((start + i) / 2 / MM)
            start = None
    return found


def cropped(pdf: bytes, boxes: Sequence[Box]) -> bytes:
    """A PDF with a page for each box of the one page that there is."""
    writer = PdfWriter()
    page = PdfReader(BytesIO(pdf)).pages[0]
    for left, low, right, high in boxes:
        added = writer.add_page(page)
        for name in ("/MediaBox", "/CropBox", "/TrimBox", "/BleedBox", "/ArtBox"):
            added.__setitem__(_name(name), RectangleObject((left * POINT, low * POINT, right * POINT, high * POINT)))
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


def _name(text: str) -> Any:
    from pypdf.generic import NameObject

    return NameObject(text)


def poppler(pdf: bytes, folder: Path) -> list[Image.Image]:
    """Every page of a PDF by poppler."""
    (folder / "crops.pdf").write_bytes(pdf)
    run(folder, "pdftoppm", "-r", str(DPI), "-gray", "-cropbox", "crops.pdf", "poppler")
    return [Image.open(path) for path in sorted(folder.glob("poppler-*.pgm"))]


def mupdf(pdf: bytes, folder: Path) -> list[Image.Image]:
    """Every page of a PDF by MuPDF."""
    (folder / "crops.pdf").write_bytes(pdf)
    run(folder, "mutool", "draw", "-q", "-r", str(DPI), "-c", "gray", "-o", "mupdf-%03d.png", "crops.pdf")
    return [Image.open(path) for path in sorted(folder.glob("mupdf-*.png"))]


def crops(
    pdf: bytes, boxes: Sequence[Box], folder: Path, render: Callable[[bytes, Path], list[Image.Image]]
) -> list[Crop]:
    """Pieces of a PDF's page, rendered."""
    # Whole pixels, or each program rounds a crop's edge in its own way.
    snapped = [tuple(round(edge * MM) / MM for edge in box) for box in boxes]
    images = render(cropped(pdf, snapped), folder)  # type: ignore[arg-type]
    return [
        Crop(box, np.asarray(image.convert("L")) < INK)  # type: ignore[arg-type]
        for box, image in zip(snapped, images, strict=True)
    ]


@cache
def svg_as_pdf(svg: bytes, folder: Path) -> bytes:
    """An SVG as librsvg lays it on a page."""
    (folder / "page.svg").write_bytes(svg)
    run(folder, "rsvg-convert", "-f", "pdf", "-o", "page.pdf", "page.svg")
    return (folder / "page.pdf").read_bytes()


WAYS = ("poppler", "mupdf", "rsvg")


def look(way: str, shipped: Shipped, wall: str, boxes: Sequence[Box], folder: Path) -> list[Crop]:
    """Pieces of a wall's template: its PDF by poppler or MuPDF, or its SVG by librsvg."""
    if way == "rsvg":
        svg = shipped.files[f"site/drill-{wall}.svg"]
        return crops(svg_as_pdf(svg, folder), boxes, folder, poppler)
    return crops(shipped.files[f"site/drill-{wall}.pdf"], boxes, folder, {"poppler": poppler, "mupdf": mupdf}[way])


def rails(shipped: Shipped) -> list[str]:
    """The walls of a car that have a rail, and so a template."""
    return [name for name, wall in shipped.resolved["walls"].items() if wall["rail"]]


def bars(sheet: Sheet) -> list[tuple[Line, float]]:
    """Every bar to be measured on a sheet, and how long it must be."""
    found = []
    for shape in sheet.paper:
        if isinstance(shape, Line) and shape.layer == "CHECK":
            long = abs(shape.end[0] - shape.start[0]) + abs(shape.end[1] - shape.start[1])
            found += [(shape, length) for length in (100.0, 101.6) if abs(long - length) < 1]
    return found


@pytest.mark.parametrize("way", WAYS)
def test_bars_are_true_across_and_up(way: str, shipped: Shipped, tmp_path: Path) -> None:
    need({"rsvg": "rsvg-convert", "poppler": "pdftoppm", "mupdf": "mutool"}[way])
    for wall in rails(shipped):
        sheet = shipped.sheets[f"drill-{wall}"]
        folder = tmp_path / wall
        folder.mkdir()
        wanted = bars(sheet)
        kinds = {(bar.start[0] == bar.end[0], length) for bar, length in wanted}
        assert kinds == {(upright, length) for upright in (True, False) for length in (100.0, 101.6)}
        boxes = []
        for bar, _ in wanted:
            (x0, y0), (x1, y1) = sorted((bar.start, bar.end))
            boxes.append((x0 - 4, y0 - 4, x1 + 4, y1 + 4))
        for (bar, length), crop in zip(wanted, look(way, shipped, wall, boxes, folder), strict=True):
            (x0, y0), (x1, y1) = sorted((bar.start, bar.end))
            # The strokes across the ends, on the side where no text stands.
            if x0 == x1:
                ends = crop.level((x0 + 0.6, y0 - 3, x0 + 2.2, y1 + 3))
            else:
                ends = crop.upright((x0 - 3, y0 - 2.2, x1 + 3, y0 - 0.6))
            assert len(ends) == 2
            assert abs(ends[1] - ends[0]) == pytest.approx(length, abs=CLOSE)


@pytest.mark.parametrize("way", WAYS)
def test_holes_are_where_resolved_json_has_them(way: str, shipped: Shipped, tmp_path: Path) -> None:
    need({"rsvg": "rsvg-convert", "poppler": "pdftoppm", "mupdf": "mutool"}[way])
    for wall in rails(shipped):
        resolved = shipped.resolved["walls"][wall]
        rail = shipped.looked.cab.walls[wall].rail  # type: ignore[index]
        assert rail is not None
        sheet = shipped.sheets[f"drill-{wall}"]
        view = next(view for view in sheet.views if view.name == f"drill-{wall}")
        assert view.scale == 1
        folder = tmp_path / wall
        folder.mkdir()
        reach = float(rail.hole) / 2
        holes = [(view.at[0] + s["x"], view.at[1] + s["y"]) for s in resolved["rail"]["standoffs"]]
        low = view.at[1] + next(b["y"] for b in resolved["bands"] if b["kind"] == rail.through)
        if rail.through != "backer":
            low = max(low, holes[0][1] - 100)
        edges = [
            (view.at[0] - 4, low - 20, view.at[0] + 4, low - 4),
            (view.at[0] + resolved["margins"][0] + 2, low - 4, view.at[0] + resolved["margins"][0] + 10, low + 4),
        ]
        around = reach + 9
        boxes = [*edges, *((x - around, y - around, x + around, y + around) for x, y in holes)]
        left, foot, *found = look(way, shipped, wall, boxes, folder)
        (end,) = left.upright((edges[0][0] + 1, low - 19, edges[0][2] - 1, low - 14))
        bottom = min(foot.level((edges[1][0] + 1, low - 2, edges[1][2] - 1, low + 2)), key=lambda y: abs(y - low))
        for standoff, (x, y), crop in zip(resolved["rail"]["standoffs"], holes, found, strict=True):
            centre = _cross(crop, x, y, reach)
            assert centre[0] - end == pytest.approx(standoff["x"], abs=CLOSE)
            wanted = standoff["y"] - (low - view.at[1])
            assert centre[1] - bottom == pytest.approx(wanted, abs=CLOSE)
            for radius in (reach, float(rail.pilot) / 2):
                angles = [i * pi / 36 for i in range(72)]
                ring = [crop.inked(centre[0] + radius * cos(a), centre[1] + radius * sin(a)) for a in angles]
                assert sum(ring) >= 70, f"no circle of {2 * radius} mm at hole {standoff}"


def _cross(crop: Crop, x: float, y: float, reach: float) -> tuple[float, float]:
    """Where the lines of a crosshair meet, found outside the hole."""
    xs = crop.upright((x - 2, y + reach + 1.5, x + 2, y + reach + 6))
    ys = crop.level((x + reach + 1.5, y - 2, x + reach + 6, y + 2))
    assert xs, "no upright line"
    assert ys, "no level line"
    return min(xs, key=lambda found: abs(found - x)), min(ys, key=lambda found: abs(found - y))


def test_paper_is_as_large_as_the_sheet(shipped: Shipped, tmp_path: Path) -> None:
    for wall in rails(shipped):
        sheet = shipped.sheets[f"drill-{wall}"]
        pdf = shipped.files[f"site/drill-{wall}.pdf"]
        reader = PdfReader(BytesIO(pdf))
        (page,) = reader.pages
        assert (float(page.mediabox.width) / POINT, float(page.mediabox.height) / POINT) == pytest.approx(
            (sheet.width, sheet.height), abs=CLOSE
        )
        assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"
        assert sheet.width > shipped.resolved["walls"][wall]["width"]
        (tmp_path / "page.pdf").write_bytes(pdf)
        said = run(tmp_path, "pdfinfo", "page.pdf")
        size = next(line for line in said.splitlines() if line.startswith("Page size")).split()
        assert (float(size[2]) / POINT, float(size[4]) / POINT) == pytest.approx((sheet.width, sheet.height), abs=CLOSE)


def words(pdf: bytes, folder: Path) -> str:
    """The words of a PDF as poppler finds them, in the order in which they are written, as one line."""
    (folder / "words.pdf").write_bytes(pdf)
    return " ".join(run(folder, "pdftotext", "-raw", "words.pdf", "-").split())


def _must_not_be_drilled(shipped: Shipped, wall: str) -> bool:
    verified = shipped.looked.cab.walls[wall].verified is not None  # type: ignore[index]
    errors = [f for f in shipped.resolved["findings"] if f["wall"] == wall and f["stops"] == "drilling"]
    return not verified or any(finding["severity"] == "error" for finding in errors)


@pytest.mark.parametrize("spec", [*SPECS, "much behind the shell"], ids=str)
def test_do_not_drill_stands_just_where_it_must(spec: Path | str, tmp_path: Path) -> None:
    shipped = drawn(write(spec, tmp_path) if isinstance(spec, str) else spec)
    for wall in rails(shipped):
        said = words(shipped.files[f"site/drill-{wall}.pdf"], tmp_path)
        svg = shipped.files[f"site/drill-{wall}.svg"].decode()
        must = _must_not_be_drilled(shipped, wall)
        assert ("DO NOT DRILL" in said) == must
        assert (">DO NOT DRILL<" in svg) == must


def test_some_walls_may_be_drilled_and_some_not() -> None:
    states = {_must_not_be_drilled(drawn(spec), wall) for spec in SPECS for wall in rails(drawn(spec))}
    assert states == {True, False}


@pytest.mark.parametrize("way", WAYS)
def test_a_hole_that_meets_something_is_struck_through(way: str, tmp_path: Path) -> None:
    need({"rsvg": "rsvg-convert", "poppler": "pdftoppm", "mupdf": "mutool"}[way])
    shipped = drawn(write("much behind the shell", tmp_path))
    concerned = {mark for finding in shipped.resolved["findings"] for mark in finding["marks"]}
    view = shipped.sheets["drill-back"].views[-1]
    standoffs = shipped.resolved["walls"]["back"]["rail"]["standoffs"]
    centres = [(view.at[0] + s["x"], view.at[1] + s["y"]) for s in standoffs]
    boxes = [(x - 20, y - 20, x + 20, y + 20) for x, y in centres]
    struck = set()
    for number, ((x, y), crop) in enumerate(zip(centres, look(way, shipped, "back", boxes, tmp_path), strict=True), 1):
        ways = [(a * off / 10, b * off / 10) for off in range(50, 110) for a in (1, -1) for b in (1, -1)]
        if sum(crop.inked(x + dx, y + dy) for dx, dy in ways) > 0.95 * len(ways):
            struck.add(f"hole-back-{number}")
    assert struck == {mark for mark in concerned if mark.startswith("hole-back-")}
    assert 0 < len(struck) < len(standoffs)


def test_it_says_what_must_be_said(shipped: Shipped, tmp_path: Path) -> None:
    for wall in rails(shipped):
        said = words(shipped.files[f"site/drill-{wall}.pdf"], tmp_path).lower()
        for wanted in (
            "measure before use",
            "level line",
            "above the finished floor",
            "up",
            "pilot first",
            "no impact",
        ):
            assert wanted in said
        for behind in ("travelling cables", "wireways", "car frame"):
            assert behind in said
        if wall != "back":
            assert "front" in said
        svg = shipped.files[f"site/drill-{wall}.svg"].decode()
        assert "Print the PDF of the same name" in svg
        assert "print the pdf of the same name" not in said


def test_every_template_shows_one_crosshair_a_standoff(shipped: Shipped) -> None:
    for wall in rails(shipped):
        view = shipped.sheets[f"drill-{wall}"].views[-1]
        centres = {s.centre for s in view.shapes if isinstance(s, Circle) and s.layer == "DRILL"}
        standoffs = shipped.resolved["walls"][wall]["rail"]["standoffs"]
        assert sorted(centres) == [pytest.approx((s["x"], s["y"]), abs=2e-6) for s in standoffs]

"""Every PDF and SVG of a package in programs that are not ours: sizes of pages, marks and figures, sizes of parts."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from browser import DESKTOP, Browser, browser
from conftest import REPOSITORY, Shipped, drawn
from pypdf import PdfReader
from read_by import PAGES, PICTURES, of_kind, reads
from readers import run
from test_shipped_readers import figures, length

from cabdraw.draw.occupied import texts
from cabdraw.draw.shapes import Sheet

MM = 25.4 / 72
#: One car in inches and one in millimetres, with every kind of file between them.
CARS = [REPOSITORY / "specs" / f"{name}.yaml" for name in ("larkspur-car-2", "orchard-street-service-car")]
Pages = list[tuple[float, float, str]]


@pytest.fixture(params=CARS, ids=lambda spec: spec.stem)
def car(request: pytest.FixtureRequest) -> Shipped:
    """Each of two cars in turn."""
    return drawn(request.param)


def squeezed(text: str) -> str:
    """A text without its spaces: programs put them where words stand apart."""
    return re.sub(r"\s+", "", text)


def by_poppler(pdf: bytes, folder: Path) -> Pages:
    (folder / "read.pdf").write_bytes(pdf)
    said = run(folder, "pdfinfo", "-f", "1", "-l", "9999", "read.pdf")
    sizes = re.findall(r"^Page +\d+ size: +([\d.]+) x ([\d.]+)", said, re.MULTILINE)
    words = run(folder, "pdftotext", "-raw", "read.pdf", "-").split("\f")
    return [(float(w) * MM, float(h) * MM, text) for (w, h), text in zip(sizes, words, strict=False)]


def by_mupdf(pdf: bytes, folder: Path) -> Pages:
    (folder / "read.pdf").write_bytes(pdf)
    said = run(folder, "mutool", "draw", "-q", "-F", "stext.json", "read.pdf")
    found: list[dict[str, Any]] = json.loads(said[said.index("{") :])["pages"]
    size = re.compile(r'<MediaBox l="([\d.-]+)" b="([\d.-]+)" r="([\d.-]+)" t="([\d.-]+)"')
    boxes = [[float(v) for v in box] for box in size.findall(run(folder, "mutool", "pages", "read.pdf"))]
    assert len(boxes) == len(found)
    return [
        ((r - left) * MM, (t - b) * MM, " ".join(line["text"] for block in page["blocks"] for line in block["lines"]))
        for (left, b, r, t), page in zip(boxes, found, strict=True)
    ]


def by_pdfium(pdf: bytes, _: Path) -> Pages:
    document = pypdfium2.PdfDocument(pdf)
    found = []
    for page in document:
        words = page.get_textpage()
        found.append((page.get_width() * MM, page.get_height() * MM, words.get_text_range()))
    return found


def words_of(shipped: Shipped, path: str) -> set[str]:
    """What `resolved.json` says that a file must name: marks of parts, sizes of blocks, numbers of holes."""
    parts = shipped.resolved["parts"]
    if path == "drawings/set.pdf":
        return {part["mark"] for part in parts if part["kind"] == "panel"}
    if path in ("site/labels.pdf", "site/steps.pdf"):
        return {part["mark"] for part in parts}
    if path == "site/blocks.pdf":
        printing = shipped.looked.cab.printing
        return {printing.size(length(block["size"])) for block in shipped.resolved["blocks"]}
    wall = path.split("-")[1].removesuffix(".pdf")
    return {str(number) for number in range(1, len(shipped.resolved["walls"][wall]["rail"]["standoffs"]) + 1)}


def whole_texts(sheet: Sheet) -> list[str]:
    """The texts of a sheet that no window cuts."""
    shapes = [shape for view, shape in sheet.shapes() if view is None or not view.clip]
    return [text.text for shape in shapes for text in texts(shape)]


def agree(shipped: Shipped, path: str, pages: Pages) -> None:
    """Hold what a program finds in a PDF against the sheets and against what was resolved."""
    sheets = shipped.made[shipped.files[path]]
    assert len(pages) == len(sheets) > 0, path
    for sheet, (width, height, words) in zip(sheets, pages, strict=True):
        wanted = (sheet.width * sheet.stretch[0], sheet.height * sheet.stretch[1])
        assert (width, height) == pytest.approx(wanted, abs=0.02), (path, sheet.name)
        found = squeezed(words)
        assert [text for text in whole_texts(sheet) if squeezed(text) not in found] == [], (path, sheet.name)
    every = squeezed(" ".join(words for _, _, words in pages))
    assert [word for word in words_of(shipped, path) if squeezed(word) not in every] == [], path


@pytest.mark.parametrize("kind", PAGES)
@reads("poppler", "page sizes, every text, marks", *PAGES)
def test_poppler(kind: str, shipped: Shipped, tmp_path: Path) -> None:
    for path, pdf in of_kind(shipped, kind).items():
        agree(shipped, path, by_poppler(pdf, tmp_path))


@pytest.mark.parametrize("kind", PAGES)
@reads("MuPDF", "page sizes, every text, marks", *PAGES)
def test_mupdf(kind: str, shipped: Shipped, tmp_path: Path) -> None:
    for path, pdf in of_kind(shipped, kind).items():
        agree(shipped, path, by_mupdf(pdf, tmp_path))


@pytest.mark.parametrize("kind", PAGES)
@reads("PDFium", "page sizes, every text, marks", *PAGES)
def test_pdfium(kind: str, shipped: Shipped, tmp_path: Path) -> None:
    for path, pdf in of_kind(shipped, kind).items():
        agree(shipped, path, by_pdfium(pdf, tmp_path))


def marks_in(shipped: Shipped, path: str) -> set[str]:
    """What `resolved.json` says that an SVG must name."""
    if path.startswith("drawings/elevation-"):
        return set(figures(shipped, Path(path).stem.partition("-")[2]))
    if path.startswith("shop/sheets/"):
        return {row["mark"] for row in pieces(shipped, Path(path).stem)}
    return set()


def pieces(shipped: Shipped, sheet: str) -> list[dict[str, str]]:
    """The rows of the nesting list that lie on one sheet of stock."""
    import csv

    rows = list(csv.DictReader(shipped.files["shop/nesting.csv"].decode("utf-8").splitlines()))
    number = next(row["number"] for row in rows if row["file"] == f"{sheet}.dxf")
    return [row for row in rows if row["row"] == "piece" and row["number"] == number]


def printed(pdf: bytes, shipped: Shipped, path: str, folder: Path) -> None:
    """Hold an SVG that a program turned into a PDF against its sheet and what was resolved."""
    (sheet,) = shipped.made[shipped.files[path]]
    ((width, height, words),) = by_poppler(pdf, folder)
    assert (width, height) == pytest.approx((sheet.width, sheet.height), abs=0.2), path
    found = squeezed(words)
    assert [word for word in marks_in(shipped, path) if squeezed(word) not in found] == [], path
    assert PdfReader(BytesIO(pdf)).pages[0].extract_text()


@pytest.mark.parametrize("kind", PICTURES)
@reads("rsvg", "page sizes", *PICTURES)
@reads("rsvg", "dimension texts", PICTURES[0])
@reads("rsvg", "marks", PICTURES[2])
def test_rsvg(kind: str, shipped: Shipped, tmp_path: Path) -> None:
    for path, svg in of_kind(shipped, kind).items():
        (tmp_path / "read.svg").write_bytes(svg)
        run(tmp_path, "rsvg-convert", "-f", "pdf", "-o", "made.pdf", "read.svg")
        printed((tmp_path / "made.pdf").read_bytes(), shipped, path, tmp_path)


@pytest.mark.parametrize("kind", PICTURES)
@reads("Inkscape", "page sizes", *PICTURES)
@reads("Inkscape", "dimension texts", PICTURES[0])
@reads("Inkscape", "marks", PICTURES[2])
def test_inkscape(kind: str, car: Shipped, tmp_path: Path) -> None:
    files = of_kind(car, kind)
    names = [f"{number}.svg" for number in range(len(files))]
    for name, svg in zip(names, files.values(), strict=True):
        (tmp_path / name).write_bytes(svg)
    if names:
        run(tmp_path, "inkscape", "--export-type=pdf", *names)
    for name, path in zip(names, files, strict=True):
        printed((tmp_path / name).with_suffix(".pdf").read_bytes(), car, path, tmp_path)


_LOOK = """
const box = document.documentElement.getBoundingClientRect();
const views = {};
for (const view of document.querySelectorAll("g.view"))
  for (const group of view.querySelectorAll("g[class]"))
    for (const part of group.querySelectorAll(":scope > :is(path, line, circle, rect)")) {
      const b = part.getBBox();
      ((views[view.id] ||= {})[group.getAttribute("class")] ||= []).push([b.width, b.height]);
    }
return {
  size: [box.width * 25.4 / 96, box.height * 25.4 / 96], views,
  texts: [...document.querySelectorAll("text")].map((text) => text.textContent),
};
"""


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    """One browser for all drawings."""
    with browser(tmp_path_factory.mktemp("browser"), DESKTOP) as found:
        yield found


def near(sizes: list[list[float]], wanted: tuple[float, float]) -> bool:
    """Whether one of some sizes in mm on paper is that which is wanted."""
    return any(size == pytest.approx(wanted, abs=2e-3) for size in sizes)


@pytest.mark.parametrize("kind", PICTURES)
@reads("Chromium", "page sizes, every text", *PICTURES)
@reads("Chromium", "extents", PICTURES[0])
@reads("Chromium", "entity counts", *PICTURES[2:])
def test_chromium(kind: str, shipped: Shipped, page: Browser, tmp_path: Path) -> None:
    for path, svg in of_kind(shipped, kind).items():
        (sheet,) = shipped.made[svg]
        (tmp_path / "read.svg").write_bytes(svg)
        page.driver.get((tmp_path / "read.svg").as_uri())
        found = page.run(_LOOK)
        assert found["size"] == pytest.approx([sheet.width, sheet.height], abs=0.02), path
        told = sorted(text.text for _, shape in sheet.shapes() for text in texts(shape) if text.text)
        assert sorted(text for text in found["texts"] if text) == told, path
        views = {view.name: view for view in sheet.views}
        name = Path(path).stem
        shown = {key: groups for key, groups in found["views"].items() if key.endswith(name)}
        (groups,) = shown.values()
        scale = views[name].scale
        if kind.startswith("shop/sheets"):
            assert len(groups["line PANEL"]) == len(pieces(shipped, name))
            continue
        wall = shipped.resolved["walls"][name.rpartition("-")[2]]
        if kind.startswith("drawings/elevation"):
            assert near(groups["line SHELL"], (wall["width"] * scale, wall["height"] * scale)), path
            plain = {part["mark"] for part in shipped.resolved["parts"] if not part["shapes"]}
            for panel in wall["panels"]:
                if panel["mark"] in plain:
                    assert near(groups["line PANEL"], (panel["width"] * scale, panel["height"] * scale)), panel["mark"]
        if kind.startswith("site"):
            sizes = [size for size in groups["line DRILL"] if size[0] == pytest.approx(size[1], abs=1e-3)]
            assert len(sizes) >= 2 * len(wall["rail"]["standoffs"]), path

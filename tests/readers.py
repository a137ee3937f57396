"""Other programs that read what cabdraw writes, each run in a folder of its own with a time limit."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

SECONDS = 90
#: Darker than this counts as ink.
INK = 128


def need(program: str) -> str:
    """The path of a program; without it the test is skipped, or fails where CABDRAW_CI is 1."""
    path = shutil.which(program)
    if path is None:
        reason = f"the program {program} is not installed"
        if os.environ.get("CABDRAW_CI") == "1":
            pytest.fail(reason)
        pytest.skip(reason)
    return path


def run(folder: Path, program: str, *arguments: str, worst: int = 0, **environment: str) -> str:
    """Run a program in a folder and return what it prints; raises if it takes too long or ends worse than it may."""
    env = {**os.environ, "HOME": str(folder), "XDG_CONFIG_HOME": str(folder), "LC_ALL": "C.UTF-8", **environment}
    done = subprocess.run(
        [need(program), *arguments],
        cwd=folder,
        env=env,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        timeout=SECONDS,
        check=False,
    )
    printed = done.stdout.decode("utf-8", "replace")
    assert 0 <= done.returncode <= worst, f"{program} ended with {done.returncode}: {printed[-2000:]}"
    return printed


@dataclass(frozen=True)
class Read:
    """What GDAL finds in a DXF: layers, texts, and the extents of everything in drawing units."""

    layers: frozenset[str]
    texts: tuple[str, ...]
    bounds: tuple[float, float, float, float]


def gdal(dxf: bytes, folder: Path) -> Read:
    """Read a DXF with GDAL; the texts include the figures of dimensions as their blocks show them."""
    import pyogrio

    path = folder / "gdal.dxf"
    path.write_bytes(dxf)
    # GDAL takes the header's old code page at its word, where this version of the format means UTF-8.
    meta, _, _, columns = pyogrio.raw.read(path, ENCODING="UTF-8")
    fields = dict(zip(meta["fields"], columns, strict=True))
    bounds = pyogrio.read_info(path, force_total_bounds=True)["total_bounds"]
    kinds = zip(fields["SubClasses"], fields["Text"], strict=True)
    texts = tuple(text for kind, text in kinds if text and "AcDbHatch" not in (kind or ""))
    return Read(frozenset(fields["Layer"]), texts, tuple(bounds))


def librecad(dxf: bytes, folder: Path, pixels: int = 1600) -> Image.Image:
    """A DXF as LibreCAD prints it, which builds dimensions anew from their style."""
    (folder / "librecad.dxf").write_bytes(dxf)
    run(folder, "librecad", "dxf2pdf", "-a", "-k", "librecad.dxf", QT_QPA_PLATFORM="offscreen")
    run(folder, "pdftoppm", "-r", "72", "-scale-to", str(pixels), "-gray", "-singlefile", "librecad.pdf", "librecad")
    return _image(folder / "librecad.pgm")


_FREECAD = """
import json, FreeCAD, importDXF
settings = FreeCAD.ParamGet("User parameter:BaseApp/Preferences/Mod/Draft")
settings.SetBool("dxfShowDialog", False)
settings.SetBool("dxftext", True)
document = FreeCAD.newDocument("read")
importDXF.insert("freecad.dxf", "read")
box = FreeCAD.BoundBox()
distances = []
for thing in document.Objects:
    if hasattr(thing, "Distance"):
        distances.append(float(thing.Distance.Value))
    elif hasattr(thing, "Shape") and not thing.Shape.isNull():
        box.add(thing.Shape.BoundBox)
found = {"bounds": [box.XMin, box.YMin, box.XMax, box.YMax], "distances": distances}
open("freecad.json", "w").write(json.dumps(found))
"""


def freecad(dxf: bytes, folder: Path) -> dict[str, list[float]]:
    """A DXF as FreeCAD takes it in, in mm by the file's own unit: bounds, and what its dimensions measure."""
    (folder / "freecad.dxf").write_bytes(dxf)
    (folder / "read.py").write_text(_FREECAD)
    run(folder, "freecadcmd", "read.py")
    found: dict[str, list[float]] = json.loads((folder / "freecad.json").read_text())
    return found


def rsvg(svg: bytes, folder: Path, dpi: int) -> Image.Image:
    """An SVG as librsvg draws it, by way of a PDF at true size."""
    (folder / "rsvg.svg").write_bytes(svg)
    run(folder, "rsvg-convert", "-f", "pdf", "-o", "rsvg.pdf", "rsvg.svg")
    return poppler((folder / "rsvg.pdf").read_bytes(), folder, dpi)


def inkscape_sizes(svg: bytes, folder: Path) -> dict[str, tuple[float, float]]:
    """Width and height in mm of everything with an id in an SVG, line width included, as Inkscape sees it."""
    (folder / "inkscape.svg").write_bytes(svg)
    sizes = {}
    for line in run(folder, "inkscape", "--query-all", "inkscape.svg").splitlines():
        cells = line.split(",")
        if len(cells) == 5:
            sizes[cells[0]] = (float(cells[3]) * 25.4 / 96, float(cells[4]) * 25.4 / 96)
    return sizes


def poppler(pdf: bytes, folder: Path, dpi: int, page: int = 1) -> Image.Image:
    """A page of a PDF as poppler draws it."""
    (folder / "poppler.pdf").write_bytes(pdf)
    number = str(page)
    options = ("-r", str(dpi), "-gray", "-singlefile", "-f", number, "-l", number)
    run(folder, "pdftoppm", *options, "poppler.pdf", "poppler")
    return _image(folder / "poppler.pgm")


def mupdf(pdf: bytes, folder: Path, dpi: int, page: int = 1) -> Image.Image:
    """A page of a PDF as MuPDF draws it."""
    (folder / "mupdf.pdf").write_bytes(pdf)
    run(folder, "mutool", "draw", "-q", "-r", str(dpi), "-c", "gray", "-o", "mupdf.png", "mupdf.pdf", str(page))
    return _image(folder / "mupdf.png")


def pdfium(pdf: bytes, dpi: int, page: int = 1) -> Image.Image:
    """A page of a PDF as PDFium draws it."""
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    image: Any = document[page - 1].render(scale=dpi / 72).to_pil()
    return image.convert("L")


def ink_box(image: Image.Image) -> tuple[int, int, int, int] | None:
    """The pixels within which there is ink: left, upper, right and lower edge; None on a blank page."""
    return image.point(lambda grey: 255 * (grey < INK)).getbbox()


def _image(path: Path) -> Image.Image:
    with Image.open(BytesIO(path.read_bytes())) as image:
        return image.convert("L")

"""Template pages as two programs draw them at 600 dpi, and where circles and bars stand on them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image
from readers import run

from cabdraw.draw.shapes import XY, Sheet

Image.MAX_IMAGE_PIXELS = None
DPI = 600
MM = DPI / 25.4
RENDERERS = ("pdftoppm", "mutool")
Pixels = Any


def drawn(pdf: bytes, folder: Path, renderer: str, pages: Sequence[int]) -> dict[int, Pixels]:
    """Pages of a PDF as grey pixels, 0 black, by their number from 1."""
    (folder / "pages.pdf").write_bytes(pdf)
    found = {}
    if renderer == "mutool":
        wanted = ",".join(map(str, pages))
        run(folder, "mutool", "draw", "-q", "-r", str(DPI), "-c", "gray", "-o", "mutool-%d.pgm", "pages.pdf", wanted)
        for page in pages:
            found[page] = _pixels(folder / f"mutool-{page}.pgm")
    for page in pages if renderer == "pdftoppm" else ():
        number = str(page)
        run(folder, "pdftoppm", "-r", str(DPI), "-gray", "-singlefile", "-f", number, "-l", number, "pages.pdf", "one")
        found[page] = _pixels(folder / "one.pgm")
    return found


def _pixels(path: Path) -> Pixels:
    with Image.open(path) as image:
        pixels = np.asarray(image.convert("L"))
    path.unlink()
    return pixels


def paper_height(sheet: Sheet) -> float:
    """The height in mm of the page that a sheet becomes."""
    return sheet.height * sheet.stretch[1]


def ink_at(pixels: Pixels, x: Any, y: Any, height: float) -> Any:
    """How black the paper is at places in mm from its lower left corner, 0 to 1, between pixels on a straight line."""
    column, row = np.asarray(x) * MM - 0.5, (height - np.asarray(y)) * MM - 0.5
    left, top = np.floor(column).astype(int), np.floor(row).astype(int)
    right, down = column - left, row - top
    left, top = np.clip(left, 0, pixels.shape[1] - 2), np.clip(top, 0, pixels.shape[0] - 2)
    grey = (
        pixels[top, left] * (1 - right) * (1 - down)
        + pixels[top, left + 1] * right * (1 - down)
        + pixels[top + 1, left] * (1 - right) * down
        + pixels[top + 1, left + 1] * right * down
    )
    return 1 - grey / 255


def circle(pixels: Pixels, near: XY, radius: float, height: float) -> tuple[float, float, float]:
    """Middle and radius in mm of the circle that is drawn near a place: through its ink in sixteen directions."""
    along = np.arange(radius - 0.7, radius + 0.7, 0.01)
    points = []
    for angle in np.radians(np.arange(11.25, 360, 22.5)):
        ink = ink_at(pixels, near[0] + along * np.cos(angle), near[1] + along * np.sin(angle), height)
        ink = np.where(ink > 0.4, ink, 0.0)
        if ink.sum() > 0:
            at = (along * ink).sum() / ink.sum()
            points.append((near[0] + at * np.cos(angle), near[1] + at * np.sin(angle)))
    assert len(points) >= 12, f"no circle of {radius} mm at {near}"
    x, y = np.array(points).T
    # Least squares of x² + y² = 2ax + 2by + c.
    a, b, c = np.linalg.lstsq(np.column_stack([2 * x, 2 * y, np.ones_like(x)]), x**2 + y**2, rcond=None)[0]
    return float(a), float(b), float(np.sqrt(c + a**2 + b**2))


def bar(pixels: Pixels, start: XY, end: XY, height: float) -> float:
    """The length in mm of a bar between the middles of the strokes across its ends."""
    upright = start[0] == end[0]
    ends = []
    for x, y in (start, end):
        off = np.arange(-1.2, 1.2, 0.01)
        # Beside the bar itself there is only the stroke across its end.
        spots = [(x + side, y + off) if upright else (x + off, y + side) for side in (-0.9, 0.9)]
        ink = sum(ink_at(pixels, px, py, height) for px, py in spots)
        ends.append((y if upright else x) + float((off * ink).sum() / ink.sum()))
    return ends[1] - ends[0]

"""The floor: a bare script that imports what cabdraw imports and writes as many entities, with no car behind them.

    python tests/bench/floor.py COUNTS.json FOLDER [TIMES]

It uses each library the plain way, as its own tutorial does, and leaves out all that a careful tool has besides:
no reading back, no digests, no waiting for the disk, nothing moved into place.
"""

from __future__ import annotations

import csv
import json
import sys
from collections.abc import Iterable
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any

import ezdxf
import segno  # noqa: F401
import shapely  # noqa: F401
import svgwrite
import typer  # noqa: F401
import xlsxwriter
import yaml  # noqa: F401
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

FONT = Path(__file__).parents[2] / "cabdraw/fonts/DejaVuSans.ttf"
Counts = dict[str, Any]


def dxf(counts: Counts) -> bytes:
    doc: Any = ezdxf.new(counts["version"])
    for n in range(counts["layers"] - len(doc.layers)):
        doc.layers.add(f"LAYER-{n}", color=n % 7 + 1)
    for n in range(counts["styles"] - len(doc.styles)):
        doc.styles.add(f"STYLE-{n}", font="DejaVuSans.ttf")
    for n in range(counts["dimstyles"] - len(doc.dimstyles)):
        doc.dimstyles.new(f"STYLE-{n}")
    for name, entities in counts["layouts"].items():
        if name == "Model":
            space = doc.modelspace()
        elif name in doc.layouts:
            space = doc.layouts.get(name)
        else:
            space = doc.layouts.new(name)
        _entities(space, entities)
    for entities in counts["blocks"]:
        _entities(doc.blocks.new_anonymous_block(type_char="D"), entities)
    out = StringIO()
    doc.write(out)
    return out.getvalue().encode()


def _entities(space: Any, entities: Iterable[tuple[str, int, int]]) -> None:
    on = {"layer": "LAYER-0"}
    for kind, size, many in entities:
        for n in range(many):
            if kind == "LINE":
                space.add_line((n * 0.37, 1.25), (n * 0.37 + 10.5, 2.75), dxfattribs=on)
            elif kind == "LWPOLYLINE":
                space.add_lwpolyline([(i * 1.37, n * 0.71) for i in range(size)], close=True, dxfattribs=on)
            elif kind == "TEXT":
                space.add_text("x" * size, dxfattribs={**on, "height": 2.5, "insert": (n * 0.37, 1.25)})
            elif kind == "CIRCLE":
                space.add_circle((n * 0.37, 1.25), 3.5, dxfattribs=on)
            elif kind == "ARC":
                space.add_arc((n * 0.37, 1.25), 3.5, 10, 80, dxfattribs=on)
            elif kind in ("HATCH", "SOLID-HATCH"):
                hatch = space.add_hatch(dxfattribs=on)
                if kind == "HATCH":
                    hatch.set_pattern_fill("ANSI31")
                hatch.paths.add_polyline_path([(i * 1.37, n * 0.71) for i in range(size)])
            elif kind == "DIMENSION":
                space.add_linear_dim(base=(0, 5), p1=(n * 0.37, 1.25), p2=(9.5, 2), text="23", dxfattribs=on)
            elif kind == "VIEWPORT":
                space.add_viewport((5, 5), (10, 10), (0, 0), 10)
            else:
                raise ValueError(kind)


def svg(counts: Counts) -> bytes:
    return f"<?xml?>\n{_drawing(counts['elements'])}\n".encode()


def _drawing(elements: Iterable[tuple[str, int, int]]) -> str:
    drawing = svgwrite.Drawing(size=("420mm", "297mm"), debug=False)
    for tag, size, many in elements:
        for n in range(many):
            if tag == "path":
                drawing.add(drawing.path(d="M0 0L1 1" * (size // 8), fill="none"))
            elif tag == "line":
                drawing.add(drawing.line((f"{n * 0.37:.4f}", "1.25"), (f"{n * 0.37 + 10:.4f}", "2.75")))
            elif tag == "text":
                drawing.add(drawing.text("x" * size, insert=(f"{n * 0.37:.4f}", "1.25"), font_size="2.5"))
            elif tag == "circle":
                drawing.add(drawing.circle((f"{n * 0.37:.4f}", "1.25"), "3.5"))
            elif tag == "rect":
                drawing.add(drawing.rect((f"{n * 0.37:.4f}", "1.25"), ("3.5", "4.5")))
            elif tag in ("g", "a"):
                drawing.add(drawing.g(id=f"g{n}"))
    text: str = drawing.tostring()
    return text


def pdf(counts: Counts) -> bytes:
    if "DejaVuSans" not in pdfmetrics.getRegisteredFontNames():
        pdfmetrics.registerFont(TTFont("DejaVuSans", str(FONT)))
    out = BytesIO()
    canvas: Any = Canvas(out, pageCompression=1)
    for paths, points, states, texts, signs in counts["pages"]:
        for n in range(states // 3):
            canvas.setStrokeColorRGB(n % 7 / 7, 0, 0)
            canvas.setFillColorRGB(n % 7 / 7, 0, 0)
            canvas.setLineWidth(0.25)
        for n in range(paths):
            path = canvas.beginPath()
            path.moveTo(n * 0.37, 1.25)
            for i in range(points // paths - 1 + (n < points % paths)):
                path.lineTo(i * 0.71, n * 0.37 + 0.123)
            canvas.drawPath(path, stroke=1, fill=0)
        canvas.setFont("DejaVuSans", 7)
        for n in range(texts):
            canvas.drawString(n * 0.37, 1.25, "x" * (signs // texts))
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def csv_file(counts: Counts) -> bytes:
    out = StringIO(newline="")
    csv.writer(out).writerows([["x" * size for size in row] for row in counts["rows"]])
    return out.getvalue().encode()


def json_file(counts: Counts) -> bytes:
    leaves = counts["leaves"]
    return json.dumps({f"key-{n}": n * 1.37 for n in range(leaves)}, indent=2).encode()


def html(counts: Counts) -> bytes:
    return ("".join(map(_drawing, counts["drawings"])) + "x" * counts["bytes"]).encode()


def xlsx(counts: Counts) -> bytes:
    out = BytesIO()
    book: Any = xlsxwriter.Workbook(out, {"in_memory": True})
    for rows in counts["sheets"]:
        sheet = book.add_worksheet()
        for n, row in enumerate(rows):
            for column, size in enumerate(row):
                sheet.write_string(n, column, "x" * size)
    book.close()
    return out.getvalue()


KINDS = {"dxf": dxf, "svg": svg, "pdf": pdf, "csv": csv_file, "json": json_file, "html": html, "xlsx": xlsx}


def main() -> None:
    counts = json.loads(Path(sys.argv[1]).read_text())
    for time in range(int(sys.argv[3]) if len(sys.argv) > 3 else 1):
        for path, counted in counts.items():
            place = Path(sys.argv[2]) / str(time) / path
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(KINDS[counted["kind"]](counted))


if __name__ == "__main__":
    main()

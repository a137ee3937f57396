"""What a package holds, counted: so many entities, paths, texts, cells and bytes of each kind in each file.

The bare script of `floor.py` writes as many of each with the same libraries.
"""

from __future__ import annotations

import csv
import json
import re
from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import ezdxf
import openpyxl
import pypdf

Counts = dict[str, Any]
_PATH = re.compile(r'd="([^"]*)"')
_SVG = re.compile(r"<svg.*?</svg>", re.DOTALL)


def counts(folder: Path) -> Counts:
    """The counts of each file of a package, by its path."""
    paths = sorted(path for path in folder.rglob("*") if path.is_file() and not path.name.startswith("."))
    return {path.relative_to(folder).as_posix(): _KINDS[path.suffix](path) for path in paths}


def _dxf(path: Path) -> Counts:
    doc: Any = ezdxf.readfile(path)
    layouts = {layout.name: _entities(layout) for layout in doc.layouts}
    blocks = [_entities(block) for block in doc.blocks if block.name.upper().startswith("*D")]
    return {
        "kind": "dxf",
        "version": doc.dxfversion,
        "layers": len(doc.layers),
        "styles": len(doc.styles),
        "dimstyles": len(doc.dimstyles),
        "layouts": layouts,
        "blocks": blocks,
    }


def _entities(space: Iterable[Any]) -> list[list[Any]]:
    """Each kind of entity with how many points or signs it has, and how many there are of it."""
    found: Counter[tuple[str, int]] = Counter()
    for entity in space:
        kind, size = entity.dxftype(), 0
        if kind == "LWPOLYLINE":
            size = len(entity)
        elif kind == "TEXT":
            size = len(entity.dxf.text)
        elif kind == "HATCH":
            size = sum(len(getattr(path, "vertices", ())) for path in entity.paths)
            kind = "SOLID-HATCH" if entity.dxf.solid_fill else "HATCH"
        found[kind, size] += 1
    return [[kind, size, many] for (kind, size), many in sorted(found.items())]


def _svg(path: Path) -> Counts:
    return {"kind": "svg", "elements": _elements(path.read_text())}


def _elements(text: str) -> list[list[Any]]:
    """Each kind of element with how many signs of path or text it has, and how many there are of it."""
    found: Counter[tuple[str, int]] = Counter()
    for tag, attributes, words in re.findall(r"<(\w+)([^>]*)>([^<]*)", text):
        course = _PATH.search(attributes)
        found[tag, len(course[1]) if course else len(words.strip())] += 1
    return [[tag, size, many] for (tag, size), many in sorted(found.items())]


def _pdf(path: Path) -> Counts:
    reader = pypdf.PdfReader(path)
    streams = [page.get_contents() for page in reader.pages]
    pages = [_painted(stream.get_data()) for stream in streams if stream is not None]
    forms = {
        form.get_object().indirect_reference.idnum: _painted(form.get_object().get_data())
        for page in reader.pages
        for form in page.get("/Resources", {}).get_object().get("/XObject", {}).values()
        if form.get_object().get("/Subtype") == "/Form"
    }
    return {"kind": "pdf", "pages": [*pages, *forms.values()]}


def _painted(stream: bytes) -> list[int]:
    """How many paths, points of them, changes of colour, width or dash, texts and signs of texts."""
    texts = re.findall(rb"\(((?:[^()\\]|\\.)*)\)\s*Tj", stream)
    words = Counter(re.sub(rb"\((?:[^()\\]|\\.)*\)", b"", stream).split())
    paths = sum(words[word] for word in (b"S", b"f", b"f*", b"B", b"n", b"s"))
    points = sum(words[word] for word in (b"m", b"l", b"c", b"re"))
    states = sum(words[word] for word in (b"rg", b"RG", b"w", b"d"))
    return [paths, points, states, len(texts), sum(map(len, texts))]


def _csv(path: Path) -> Counts:
    with path.open(newline="") as stream:
        rows = list(csv.reader(stream))
    return {"kind": "csv", "rows": [[len(cell) for cell in row] for row in rows]}


def _json(path: Path) -> Counts:
    def leaves(value: object) -> int:
        if isinstance(value, dict):
            return sum(map(leaves, value.values()))
        return sum(map(leaves, value)) if isinstance(value, list) else 1

    return {"kind": "json", "leaves": leaves(json.loads(path.read_text())), "bytes": path.stat().st_size}


def _html(path: Path) -> Counts:
    text = path.read_text()
    drawings = _SVG.findall(text)
    return {
        "kind": "html",
        "drawings": [_elements(drawing) for drawing in drawings],
        "bytes": len(text) - sum(map(len, drawings)),
    }


def _xlsx(path: Path) -> Counts:
    book = openpyxl.load_workbook(path)
    sheets = [[[len(str(cell.value or "")) for cell in row] for row in sheet.iter_rows()] for sheet in book]
    return {"kind": "xlsx", "sheets": sheets}


_KINDS = {".dxf": _dxf, ".svg": _svg, ".pdf": _pdf, ".csv": _csv, ".json": _json, ".html": _html, ".xlsx": _xlsx}

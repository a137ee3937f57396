"""Text from a spec stays text in every file of the package and on the terminal, whatever it holds."""

from __future__ import annotations

import csv
import io
import json
import os
import re
from collections.abc import Iterator
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from xml.etree import ElementTree
from zipfile import ZipFile

import ezdxf
import grammar
import hostile
import openpyxl
import pytest
from ezdxf import recover
from hostile import REFUSED, TAKEN, as_text, filled, placed
from odd_cars import _TIGHT, car
from pypdf import PdfReader
from typer.testing import CliRunner

from cabdraw.cli import app
from cabdraw.draw.measure import legible
from cabdraw.draw.style import LAYERS
from cabdraw.errors import BadSpec
from cabdraw.package import build, look
from cabdraw.spec import loads

#: With CABDRAW_BENCH=1 each field has each text in turn; else each field has one, and each text many fields.
TURNS = range(len(TAKEN)) if os.environ.get("CABDRAW_BENCH") == "1" else (0,)
#: Stands in each field of a car that is drawn beside, to see which marks of a format are ours.
PLAIN = ("plain words of no meaning",)
_FRONT = {
    "left": {"width": 270, "height": 2340}, "right": {"width": 270, "height": 2340}, "transom": {"underside": 2130},
}  # fmt: skip


def everything() -> dict[str, Any]:
    """A car that has nearly everything that takes a text."""
    return car(
        layout__stack=_TIGHT, layout__reveal=3, survey__front=_FRONT,
        layout__front_trim={"width": 40, "stock": 2600}, layout__corner_trim={"width": 40},
        profiles={
            "front_trim": {"thickness": 1.2, "legs": [20, "face"], "bends": [{"angle": 90, "direction": "down"}]},
            "corner_trim": {"thickness": 1.2, "legs": [20, "face"], "bends": [{"angle": 90, "direction": "down"}]},
        },
    )  # fmt: skip


def one_tier() -> dict[str, Any]:
    """The car with one tier, which the first has not."""
    stack = [{"gap": 22}, {"base": 100}, {"full": "fill"}, {"frieze": 110}, {"gap": 20}]
    return car(layout__stack=stack, handrail__centre=865)


@cache
def drawn(tier: str, turn: int, plain: bool, folder: Path) -> tuple[dict[str, bytes], tuple[tuple[str, ...], ...]]:
    """The package of a car with a text in every field that takes one, and those fields."""
    spec, fields = filled(everything() if tier == "three tiers" else one_tier(), PLAIN if plain else TAKEN, turn)
    path = folder / "car.yaml"
    path.write_text(as_text(spec), encoding="utf-8")
    looked = look(path)
    files = build(looked.cab, looked.findings)
    return files, tuple(fields)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("hostile")


CARS = [(tier, turn) for turn in TURNS for tier in ("three tiers", "one tier")]


@pytest.fixture(scope="module", params=CARS, ids=lambda which: f"{which[0]}, turn {which[1]}")
def package(request: pytest.FixtureRequest, folder: Path) -> tuple[dict[str, bytes], dict[str, bytes]]:
    """A package full of hostile texts, and the same car's with plain words in place of them."""
    tier, turn = request.param
    return drawn(tier, turn, False, folder)[0], drawn(tier, 0, True, folder)[0]


def test_every_field_that_takes_a_text_is_tried(folder: Path) -> None:
    tried = {path for tier in ("three tiers", "one tier") for path in drawn(tier, 0, False, folder)[1]}
    left_out = {path for path in grammar.texts() if path not in tried}
    # A trim's finish is the same on every wall: a wall's own is refused.
    assert left_out <= {path for path in grammar.texts() if path[:2] == ("finishes", "walls") and path[3] == "trim"}


@pytest.mark.parametrize("text", REFUSED, ids=ascii)
def test_what_cannot_be_drawn_is_refused_by_every_field_with_its_place_and_in_printable_words(text: str) -> None:
    for path in grammar.texts()[:: 1 if len(text) < 300 else 23]:
        spec = placed(everything(), path, text)
        assert spec is not None
        with pytest.raises(BadSpec) as refused:
            loads(json.dumps(spec).encode("utf-8"), "car.yaml")
        for error in refused.value.errors:
            assert error.line > 0
            assert error.column > 0
            assert str(error).isprintable()
            assert len(str(error)) < 900


def test_file_names_are_the_same_whatever_the_texts(package: tuple[dict[str, bytes], dict[str, bytes]]) -> None:
    hostile_one, plain = package
    assert hostile_one.keys() <= plain.keys() | hostile_one.keys()
    for name in hostile_one:
        assert re.fullmatch(r"(?:[a-z]+/)*[a-z0-9][a-z0-9._-]*", name)


SVG = "{http://www.w3.org/2000/svg}"


def marks(content: bytes) -> set[tuple[str, str]]:
    """The elements of an SVG with the names of their attributes."""
    root = ElementTree.fromstring(content)
    return {(each.tag, name) for each in root.iter() for name in ("", *each.attrib)}


def test_svg_has_no_mark_that_the_plain_one_has_not(package: tuple[dict[str, bytes], dict[str, bytes]]) -> None:
    known = {found for name, content in package[1].items() if name.endswith(".svg") for found in marks(content)}
    seen = 0
    for name, content in package[0].items():
        if name.endswith(".svg"):
            assert marks(content) <= known, name
            assert not re.search(rb"<script|<img|onload=['\"]|<!ENTITY", content)
            seen += b"&lt;" in content
    assert seen


class Page(HTMLParser):
    """The marks of a page, its scripts, and where its links lead."""

    def __init__(self) -> None:
        super().__init__()
        self.marks: set[tuple[str, str]] = set()
        self.scripts: list[str] = []
        self.styles: list[str] = []
        self.links: set[str] = set()
        self.inside = ""
        self.declared: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.marks |= {(tag, name) for name in ("", *(name for name, _ in attrs))}
        self.links |= {value or "" for name, value in attrs if name in ("href", "src", "action", "xlink:href")}
        self.inside = tag

    def handle_endtag(self, tag: str) -> None:
        self.inside = ""

    def handle_data(self, data: str) -> None:
        if self.inside in ("script", "style"):
            (self.scripts if self.inside == "script" else self.styles).append(data)

    def handle_comment(self, data: str) -> None:
        self.declared.append(data)


def page(content: bytes) -> Page:
    found = Page()
    found.feed(content.decode("utf-8"))
    found.close()
    return found


def test_html_has_no_mark_script_or_link_that_the_plain_one_has_not(
    package: tuple[dict[str, bytes], dict[str, bytes]],
) -> None:
    for name in (name for name in package[0] if name.endswith(".html")):
        found, plain = page(package[0][name]), page(package[1][name])
        assert found.marks <= plain.marks
        assert found.declared == plain.declared
        assert found.styles == plain.styles
        for script, ours in zip(found.scripts, plain.scripts, strict=True):
            assert "<" not in script.replace("<=", "").replace("< ", "") or script == ours
        for link in found.links - plain.links:
            assert re.match(r"#[\w.-]*$|data:image/", link), link


def texts_of(document: Any) -> Iterator[tuple[str, str]]:
    """Every text of a drawing as it is kept in the file, and the kind of thing that it belongs to."""
    for entity in document.entitydb.values():
        if entity.dxftype() in ("TEXT", "ATTRIB", "ATTDEF", "DIMENSION") and entity.is_alive:
            yield entity.dxftype(), entity.dxf.get("text", "")
        elif entity.dxftype() == "MTEXT":
            yield "MTEXT", entity.text


def test_dxf_is_sound_and_no_code_in_a_text_acts(package: tuple[dict[str, bytes], dict[str, bytes]]) -> None:
    for name, content in package[0].items():
        if not name.endswith(".dxf"):
            continue
        document, audit = recover.read(io.BytesIO(content))
        assert (audit.errors, audit.fixes) == ([], []), name
        lines = content.decode("utf-8", "surrogateescape").splitlines()
        tags = list(zip(map(str.strip, lines[::2]), lines[1::2], strict=True))
        assert all(code.isdecimal() for code, _ in tags)
        assert tags.index(("0", "EOF")) == len(tags) - 1
        plain = ezdxf.read(io.StringIO(package[1].get(name, content).decode("utf-8", "surrogateescape")))
        kinds = {entity.dxftype() for entity in plain.entitydb.values()}
        assert {entity.dxftype() for entity in document.entitydb.values()} <= kinds
        assert {layer.dxf.name for layer in document.layers} <= {
            layer.dxf.name for layer in plain.layers
        } | LAYERS.keys()
        for kind, text in texts_of(document):
            assert not re.search(r"[\r\n\x00-\x1f]", text)
            assert not re.search(r"%%[a-zA-Z0-9]", text), text
            if kind == "MTEXT":
                assert not re.search(r"(?<!\\)(?:\\\\)*\\[A-Z]", text.replace(r"\P", "")), text
            assert not re.search(r"\^[A-Z]", text), text


def test_pdf_does_nothing_and_says_the_texts(package: tuple[dict[str, bytes], dict[str, bytes]]) -> None:
    for name, content in package[0].items():
        if not name.endswith(".pdf"):
            continue
        reader = PdfReader(io.BytesIO(content), strict=True)
        assert len(reader.pages) >= 1
        for number in range(1, len(reader.xref[0])):
            thing = reader.get_object(number)
            keys = set(thing.keys()) if hasattr(thing, "keys") else set()
            assert not keys & {"/JS", "/JavaScript", "/AA", "/Launch", "/OpenAction", "/EmbeddedFiles", "/URI"}, name
        assert reader.metadata is not None
        assert reader.metadata.title is not None
        assert legible(reader.metadata.title) == reader.metadata.title
    said = "".join(p.extract_text() for p in PdfReader(io.BytesIO(package[0]["drawings/set.pdf"])).pages)
    assert "script>" in said


def test_csv_has_no_formula_and_no_row_too_many(package: tuple[dict[str, bytes], dict[str, bytes]]) -> None:
    for name, content in package[0].items():
        if name.endswith(".csv"):
            header, *rows = csv.reader(io.StringIO(content.decode("utf-8-sig"), newline=""), strict=True)
            assert all(len(row) == len(header) for row in rows)
            assert len(rows) == content.decode("utf-8").count("\r\n") - 1
            for cell in (cell for row in rows for cell in row):
                assert not re.match(r"[=+\-@\t\r＝＋－＠]", cell) or re.fullmatch(r"-?[0-9.]+", cell), cell


def test_xlsx_has_no_formula_no_link_and_nothing_outside(package: tuple[dict[str, bytes], dict[str, bytes]]) -> None:
    for name, content in package[0].items():
        if not name.endswith(".xlsx"):
            continue
        assert ZipFile(io.BytesIO(content)).namelist() == ZipFile(io.BytesIO(package[1][name])).namelist()
        book = openpyxl.load_workbook(io.BytesIO(content))
        assert [sheet.title for sheet in book] == [
            sheet.title for sheet in openpyxl.load_workbook(io.BytesIO(package[1][name]))
        ]
        for sheet in book:
            for row in sheet.iter_rows():
                assert all(cell.data_type in ("s", "n") and cell.hyperlink is None for cell in row)


def test_json_keeps_the_texts_as_they_are(package: tuple[dict[str, bytes], dict[str, bytes]]) -> None:
    told = json.loads(package[0]["resolved.json"].decode("utf-8"))
    said = set(hostile.said(told["job"]))
    assert any(text.rstrip("0123456789") in TAKEN for text in said)
    assert len(said & set(hostile.said(json.loads(package[1]["resolved.json"])))) <= 4


@pytest.mark.parametrize("command", ["check", "draw", "show"])
def test_the_terminal_gets_nothing_that_it_would_act_on(command: str, folder: Path) -> None:
    spec, _ = filled(everything(), TAKEN, 5)
    path = folder / "terminal.yaml"
    path.write_text(as_text(spec), encoding="utf-8")
    where = ["--out", str(folder / "out"), "--wall", "back"] if command == "draw" else []
    said = CliRunner().invoke(app, [command, str(path), *where])
    assert said.exit_code in (0, 1)
    assert said.output
    assert all(line.isprintable() for line in said.output.split("\n"))
    if command == "show":
        assert loads(said.output).spec.job == loads(as_text(spec)).spec.job

"""report.html, read as text: what it holds and in which order, that nothing of a spec's text can run in it."""

from __future__ import annotations

import hashlib
import json
import os
import re
import subprocess
import sys
from base64 import b64encode
from collections import Counter
from collections.abc import Iterator
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import odd_cars
import pytest
import spec_texts
from conftest import Shipped

from cabdraw import package
from cabdraw.cab import Cab
from cabdraw.check import findings as findings_of
from cabdraw.draw.cautions import named
from cabdraw.draw.page import Card, Step, Table
from cabdraw.draw.sheet_set import sheet_set
from cabdraw.errors import Finding
from cabdraw.frozen import replace
from cabdraw.report import report
from cabdraw.shop.parts import shop_parts
from cabdraw.site_package import site_plan
from cabdraw.write.page import page_bytes, text

VOID = {"meta", "link", "input", "br", "img", "hr"}


class Element:
    """An element of a page with its attributes, its children and its own text."""

    def __init__(self, tag: str, attributes: dict[str, str], parent: Element | None) -> None:
        self.tag, self.attributes, self.parent = tag, attributes, parent
        self.children: list[Element | str] = []

    def walk(self) -> Iterator[Element]:
        yield self
        for child in self.children:
            if isinstance(child, Element):
                yield from child.walk()

    def find(self, tag: str = "", **wanted: str) -> list[Element]:
        attributes = {key.replace("_", "-").strip("-"): value for key, value in wanted.items()}
        return [
            element
            for element in self.walk()
            if (not tag or element.tag == tag)
            and all(
                value in element.attributes.get(key, "").split()
                if key == "class"
                else element.attributes.get(key) == value
                for key, value in attributes.items()
            )
        ]

    @property
    def text(self) -> str:
        return "".join(child if isinstance(child, str) else child.text for child in self.children)


class Reader(HTMLParser):
    """Reads a page strictly: every element that is opened must be closed in its order."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.root = Element("", {}, None)
        self.here = self.root

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert len({name for name, _ in attrs}) == len(attrs), f"an attribute of {tag} stands there twice"
        element = Element(tag, {name: value or "" for name, value in attrs}, self.here)
        self.here.children.append(element)
        if tag not in VOID:
            self.here = element

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.here.children.append(Element(tag, {name: value or "" for name, value in attrs}, self.here))

    def handle_endtag(self, tag: str) -> None:
        assert self.here.tag == tag, f"</{tag}> stands where </{self.here.tag}> belongs"
        assert self.here.parent is not None
        self.here = self.here.parent

    def handle_data(self, data: str) -> None:
        self.here.children.append(data)


def read(page: bytes) -> Element:
    """A page as its elements."""
    reader = Reader()
    reader.feed(page.decode("utf-8"))
    reader.close()
    assert reader.here is reader.root
    return reader.root


def made(cab: Cab, findings: tuple[Finding, ...] = (), steps: tuple[Step, ...] = ()) -> bytes:
    """The page of a car."""
    plan = site_plan(cab)
    page = report(cab, findings, sheet_set(cab, findings), shop_parts(cab), plan.steps, plan.kit, plan.needs)
    return page_bytes(replace(page, steps=steps) if steps else page)


@cache
def plain() -> Element:
    return read(made(spec_texts.cab(), spec_texts.found()))


@pytest.fixture
def root(shipped: Shipped) -> Element:
    return read(shipped.files["report.html"])


# --- what it holds ---


def test_every_package_has_one_and_it_is_not_large(shipped: Shipped) -> None:
    assert len(shipped.files["report.html"]) < 1_000_000


def test_findings_come_first_and_say_all_that_is_known(shipped: Shipped, root: Element) -> None:
    (main,) = root.find("main")
    first = next(child for child in main.children if isinstance(child, Element))
    assert first.attributes["id"] == "findings"
    cards = [card.text for card in first.find("li", class_="card")]
    assert len(cards) == len(shipped.looked.findings)
    for finding in shipped.looked.findings:
        (card,) = [card for card in cards if finding.message[1:] in card]
        assert finding.where in card
        assert finding.hint[1:] in card
        assert finding.severity in card
        assert f"Stops {finding.stops}" in card
        assert finding.code in card


def test_findings_are_ordered_by_severity_then_by_what_they_stop() -> None:
    kinds: list[tuple[Any, Any]] = [
        ("note", "nothing"), ("warning", "drilling"), ("error", "drilling"), ("warning", "nothing"),
        ("error", "fabrication"),
    ]  # fmt: skip
    findings = tuple(
        Finding(f"code-{i}", severity, f"message {i}", ("survey",), f"hint {i}", stops, "back")
        for i, (severity, stops) in enumerate(kinds)
    )
    page = report(spec_texts.cab(), findings, sheet_set(spec_texts.cab(), ()), ())
    assert [card.code for card in page.findings] == ["code-4", "code-2", "code-1", "code-3", "code-0"]
    assert isinstance(page.findings[0], Card)


def test_marks_that_stop_work_stand_at_the_top_and_on_each_wall() -> None:
    findings = (
        Finding("a", "error", "too wide", ("layout",), "mend", "fabrication"),
        Finding("b", "warning", "not seen", ("survey",), "look", "drilling", "left"),
    )
    root = read(made(spec_texts.cab(), findings))
    (header,) = root.find("header")
    stamps = [stamp.text for stamp in header.find("li")]
    assert stamps[0].startswith("NOT FOR FABRICATION")
    assert stamps[1].startswith("DO NOT DRILL On left wall")
    for wall, wanted in (("back", ["NOT FOR FABRICATION"]), ("left", ["NOT FOR FABRICATION", "DO NOT DRILL"])):
        (drawing,) = root.find("section", id=f"wall-{wall}")
        assert [stamp.text for stamp in drawing.find("span", class_="stamp")] == wanted


def test_a_finding_links_to_its_parts_and_names_what_is_none() -> None:
    finding = Finding("a", "note", "moved", ("handrail",), "look", "nothing", "back", ("rail-back", "hole-back-2"))
    (card,) = read(made(spec_texts.cab(), (finding,))).find("li", class_="card")
    (things,) = card.find("ul", class_="marks")
    assert [thing.text for thing in things.find("li")] == ["rail-back", "hole-back-2"]
    assert [link.attributes["href"] for link in things.find("a")] == ["#part-rail-back"]


def test_nothing_found_is_said_in_words() -> None:
    root = read(made(spec_texts.cab()))
    (findings,) = root.find("section", id="findings")
    assert "None: nothing was found" in findings.text
    assert root.find(class_="stamps") == []


def test_every_part_stands_there_as_it_was_resolved(shipped: Shipped, root: Element) -> None:
    rows = {row.attributes["data-part"]: row for row in root.find("tr") if "data-part" in row.attributes}
    assert list(rows) == [part["mark"] for part in shipped.resolved["parts"]]
    heads = [head.text for head in root.find("section", id="parts")[0].find("th", scope="col")]
    for part in shipped.resolved["parts"]:
        row = rows[part["mark"]]
        cells = [child for child in row.children if isinstance(child, Element)]
        values = {
            head: [float(data.attributes["value"]) for data in cell.find("data")]
            for head, cell in zip(heads, cells, strict=True)
        }
        assert values["Overall"] == [part["width"], part["height"]]
        assert values["Core"] == (part["core"] or [])
        assert values["Thick"] == ([part["thickness"]] if part["thickness"] is not None else [])
        if part["mass"] is not None:
            assert values["Mass"] == pytest.approx([part["mass"]], abs=2e-6)
        if part["kind"] == "panel":
            assert values["Visible"] == values["Overall"]


def test_each_wall_is_drawn_with_every_part_that_is_on_it(shipped: Shipped, root: Element) -> None:
    for name in shipped.looked.cab.walls:
        (drawing,) = root.find("section", id=f"wall-{name}")
        places = {link.attributes["data-part"] for link in drawing.find("a") if "data-part" in link.attributes}
        trims = {part.mark for part in shipped.looked.cab.trims}
        wanted = {part["mark"] for part in shipped.resolved["parts"] if part["wall"] == name} - trims
        assert places == wanted
        # The drawing itself is for the eye; what is read aloud are the parts.
        assert drawing.find("svg")[0].find("g", aria_hidden="true")


def test_steps_hold_what_the_step_sheet_holds(shipped: Shipped, root: Element) -> None:
    cab = shipped.looked.cab
    when: dict[str, str] = {}
    for step in site_plan(cab).steps:
        (shown,) = root.find("li", id=f"step-{step.number}")
        assert f"Step {step.number}: {step.title}" in shown.text
        links = [link.attributes["data-part"] for link in shown.find("a")]
        marks = [piece.part.mark for piece in step.pieces if piece.part.mark == piece.mark]
        assert links[: len(marks)] == marks or set(marks) <= set(links)
        when |= {piece.part.mark: str(step.number) for piece in step.pieces}
        for words in (*step.how, *(check.words for check in step.checks), *(need.item for need in step.hardware)):
            assert words in shown.text
        assert [row.text for row in shown.find("p", class_="caution")] == [named(name) for name in step.cautions]
    heads = [head.text for head in root.find("section", id="parts")[0].find("th", scope="col")]
    for row in root.find("tr"):
        if "data-part" in row.attributes:
            cells = [child.text for child in row.children if isinstance(child, Element)]
            said = dict(zip(heads, cells, strict=True))["Step"]
            assert said == when[row.attributes["data-part"]]


def test_a_step_that_drills_says_when_it_must_not() -> None:
    found = (Finding("b", "warning", "not seen", ("survey",), "look", "drilling", "left"),)
    root = read(made(spec_texts.cab(), found))
    stamped = [step.find("h3")[0].text for step in root.find("li", class_="step") if step.find("span", class_="stamp")]
    assert any("Handrail, left wall" in title for title in stamped)
    assert not any("Handrail, back wall" in title for title in stamped)


def test_the_cut_list_is_withheld_with_the_shop_files() -> None:
    stops = (Finding("a", "error", "too wide", ("layout",), "mend", "fabrication"),)
    for findings, there in (((), True), (stops, False)):
        titles = [heading.text for heading in read(made(spec_texts.cab(), findings)).find("h3")]
        assert ("Cut list" in titles) is there
        assert {"Parts", "Spacer blocks", "Hardware to bring", "Masses", "Materials, front to back"} <= set(titles)


@pytest.mark.parametrize("name", ["ten narrow panels", "long texts", "much behind the shell"])
def test_odd_cars_have_one_too(name: str, tmp_path: Path) -> None:
    looked = package.look(odd_cars.write(name, tmp_path))
    page = made(looked.cab, looked.findings)
    assert len(page) < 1_000_000
    root = read(page)
    assert_closed(root)
    assert len(root.find("section", id="parts")[0].find("tr")) == len(looked.cab.parts) + 1


# --- one file that is safe to open ---


def test_ids_are_unique_and_every_link_leads_somewhere(root: Element) -> None:
    ids = Counter(element.attributes["id"] for element in root.walk() if "id" in element.attributes)
    assert [name for name, count in ids.items() if count > 1] == []
    for element in root.walk():
        if "href" in element.attributes and element.tag != "link":
            assert element.attributes["href"].startswith("#")
            assert element.attributes["href"][1:] in ids
        for name in ("aria-labelledby", "for"):
            assert set(element.attributes.get(name, "").split()) <= set(ids)


def test_it_asks_for_nothing_and_runs_only_its_own_script(shipped: Shipped, root: Element) -> None:
    assert_closed(root)
    page = shipped.files["report.html"].decode()
    addresses = set(re.findall(r"[a-z]+://[^\s\"'<>]+", page))
    assert addresses <= {"http://www.w3.org/2000/svg"}
    assert not re.search(r"@import|url\(|fetch\(|XMLHttpRequest|WebSocket|eval\(|innerHTML|document\.write", page)


def assert_closed(root: Element) -> None:
    """A page whose policy lets only what it was written with run, and that has nothing else to run."""
    scripts, styles = root.find("script"), root.find("style")
    assert (len(scripts), len(styles)) == (1, 1)
    (policy,) = root.find("meta", http_equiv="Content-Security-Policy")
    for element, directive in ((scripts[0], "script-src"), (styles[0], "style-src")):
        digest = b64encode(hashlib.sha256(element.text.encode()).digest()).decode()
        assert f"{directive} 'sha256-{digest}'" in policy.attributes["content"]
    assert policy.attributes["content"].startswith("default-src 'none';")
    assert "unsafe" not in policy.attributes["content"]
    for element in root.walk():
        assert not [name for name in element.attributes if name.startswith("on") or name in ("style", "src", "srcset")]
        assert element.tag not in ("iframe", "object", "embed", "img", "base", "foreignobject")


HOSTILE = (
    "</script><img src=x onerror=alert(1)>",
    "\"><svg onload=alert(1)>' onmouseover='alert(1)",
    "]]> <!-- --> &lt; &amp;#60; </style></title></textarea>",
    "javascript:alert(1) {{7*7}} ${7*7} \\u003cscript\\u003e",
    "\u2603 and \u9762\u677f and \u05d0\u05d1",
)


JOB = ("project", "car", "number", "client", "address", "drawn_by", "checked_by", "revision", "approved_by")


def hostile(words: str) -> dict[str, Any]:
    """Changes that put some words into every text of a spec."""
    return {
        "job": dict.fromkeys(JOB, words),
        "survey.by": words,
        "survey.walls.back.fixtures": [{"what": words, "x": "20", "y": "40", "width": "9", "height": "12"}],
        "survey.walls.back.behind.verified.by": words,
        "survey.walls.back.behind.obstructions": [{"what": words, "x": "2", "y": "2", "width": "2", "height": "2"}],
        "layout.panel.thickness": spec_texts.GONE,
        "layout.panel.layers": [{"material": words, "thickness": "3/4"}],
        "finishes.lower": {"code": "F1", "name": words, "colour": "oak", "texture": "plain", "material": words,
                           "fire": words},
    }  # fmt: skip


def skeleton(root: Element) -> list[tuple[str, tuple[str, ...]]]:
    """Tags and names of attributes of a page outside its drawings, in their order."""
    found = []
    for element in root.walk():
        above = element
        while above.parent is not None and above.tag != "svg":
            above = above.parent
        if above.tag != "svg":
            # How wide a cell is follows from how many words are in it.
            names = tuple(sorted(name for name in element.attributes if name != "class"))
            found.append((element.tag, names))
    return found


@cache
def harmless() -> Element:
    cab = spec_texts.cab(hostile("words"))
    return read(made(cab, findings_of(cab)))


@pytest.mark.parametrize("words", HOSTILE)
def test_text_of_a_spec_stays_text(words: str) -> None:
    cab = spec_texts.cab(hostile(words))
    root = read(made(cab, findings_of(cab)))
    assert_closed(root)
    assert skeleton(root) == skeleton(harmless())
    assert {element.tag for element in root.walk()} == {element.tag for element in harmless().walk()}
    (heading,) = root.find("h1")
    assert heading.text == f"{shown(words)}, {shown(words)}"


def shown(words: str) -> str:
    """Words as a page shows them."""
    kept = " ".join(words.split())
    return re.sub("[\ud800\u0000-\u001f\u200b-\u200f\u202a-\u202e\u2066-\u2069]", "\N{REPLACEMENT CHARACTER}", kept)


def test_what_could_hide_or_reorder_text_is_replaced() -> None:
    assert text("a\u202eb\u0000c\ud800d\r\n e") == "a\ufffdb\ufffdc\ufffdd e"
    assert text("<&\"'>") == "&lt;&amp;&quot;&#x27;&gt;"


@pytest.mark.parametrize("words", [*HOSTILE, "bidi \u202eabc\u202c \u2066x\u2069 \u200b \x07 end \ud800"])
def test_hostile_findings_and_steps_stay_text(words: str) -> None:
    finding = Finding(words, "error", words, (words, "layout"), words, "nothing", "back", (words,))
    table = Table(words, words, (words,), ((words,),), (), words)
    step = Step(1, words, (words,), (words,), (table,), (words,), (words,))
    root = read(made(spec_texts.cab(), (finding,), (step,)))
    assert_closed(root)
    assert shown(words) in root.find("section", id="findings")[0].text


def test_its_own_script_and_style_cannot_end_early() -> None:
    import cabdraw.write.page as writer

    folder = Path(writer.__file__).parent
    script, style = ((folder / name).read_text(encoding="utf-8") for name in ("page.js", "page.css"))
    assert not re.search(r"</script|<!--", script, re.IGNORECASE)
    assert "</style" not in style.lower()


# --- the same bytes ---

PROGRAM = """
import hashlib
import spec_texts
from test_report import hostile, made
cab = spec_texts.cab(hostile("words"))
print(hashlib.sha256(made(cab, spec_texts.found())).hexdigest())
"""


def test_bytes_do_not_follow_hash_seed_or_time_zone() -> None:
    def digest(seed: str, zone: str) -> str:
        env = {**os.environ, "PYTHONPATH": str(Path(__file__).parent), "PYTHONHASHSEED": seed, "TZ": zone}
        done = subprocess.run([sys.executable, "-c", PROGRAM], env=env, capture_output=True, check=True, timeout=120)
        return done.stdout.decode().strip()

    assert digest("1", "UTC") == digest("77", "Asia/Kolkata")


def test_figures_behind_the_words_are_exact() -> None:
    data = plain().find("tr", id="part-lower-back-1")[0].find("data")
    resolved = json.loads(
        json.dumps({part.mark: [float(part.width), float(part.height)] for part in spec_texts.cab().parts})
    )
    assert [float(one.attributes["value"]) for one in data[:2]] == pytest.approx(resolved["lower-back-1"], abs=1e-6)

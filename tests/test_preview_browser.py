"""The preview in a browser: an edit, an error, recovery; zoom and place kept; touched, on a phone, dark, printed."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from browser import DESKTOP, PHONE, Browser, browser, module
from conftest import REPOSITORY
from previewed import Preview, previewed, save
from pypdf import PdfReader

TEXT = (REPOSITORY / "specs" / "larkspur-car-2.yaml").read_text(encoding="utf-8")
PART = "lower-back-2"
SECONDS = 20


@pytest.fixture(scope="module")
def spec(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("preview") / "larkspur-car-2.yaml"
    path.write_text(TEXT, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def shown(spec: Path) -> Iterator[Preview]:
    with previewed(spec) as found:
        yield found


@pytest.fixture(scope="module", params=[PHONE, DESKTOP], ids=["phone", "desktop"])
def window(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    with browser(tmp_path_factory.mktemp("browser"), request.param) as found:
        yield found


@pytest.fixture
def page(window: Browser, shown: Preview, spec: Path) -> Iterator[Browser]:
    """The preview of the spec as it is shipped, opened anew; afterwards nothing else may have been asked for."""
    save(spec, TEXT)
    window.driver.get("about:blank")
    window.note()
    window.asked.clear()
    window.complaints.clear()
    window.driver.get(shown.address)
    until(window, lambda: len(window.every("#steps .step")) > 5 and words(window, "#state").startswith("As saved"))
    until(window, lambda: "21 5/32" in window.run("return document.querySelector('#sheet-back .ink').textContent"))
    yield window
    window.note()
    assert window.complaints == []
    assert [url for url in window.asked if not url.startswith((shown.address, "about:blank"))] == []


def until(page: Browser, holds: Callable[[], bool]) -> None:
    """Wait until something holds on the page."""
    last: Exception | None = None
    for _ in range(SECONDS * 20):
        try:
            if holds():
                return
        except Exception as problem:
            last = problem
        time.sleep(0.05)
    raise AssertionError(f"it did not come: {last}")


def words(page: Browser, selector: str) -> str:
    return str(page.run("return document.querySelector(arguments[0]).textContent", selector))


def drawn(page: Browser, wall: str = "back") -> str:
    return words(page, f"#sheet-{wall} .ink")


def box(page: Browser, wall: str = "back") -> list[float]:
    """What of a drawing shows: left, top, width, height."""
    found = page.run(f'return document.querySelector("#sheet-{wall} svg").getAttribute("viewBox")')
    return [float(number) for number in found.split()]


def place(mark: str, wall: str = "back") -> str:
    return f'#sheet-{wall} .places [data-part="{mark}"]:not(.out)'


def touch(page: Browser, selector: str) -> None:
    """Touch an element, with a finger on a phone."""
    if page.size == PHONE:
        page.tap(selector)
        return
    x, y = page.middle(selector)
    page.mouse("mousePressed", x, y, button="left", clickCount=1)
    page.mouse("mouseReleased", x, y, button="left", clickCount=1)


def lit(page: Browser, kind: str) -> set[tuple[str, str]]:
    """The parts that are lit up, each with its drawing."""
    script = """
        return [...document.querySelectorAll(".places ." + arguments[0])]
          .map((place) => [place.closest(".leaf").id, place.dataset.part]);
    """
    return {(sheet, mark) for sheet, mark in page.run(script, kind)}


def lines(page: Browser, kind: str = "on") -> set[int]:
    """The lines of the spec that are marked."""
    script = """
        return [...document.querySelectorAll("#spec-text li")]
          .flatMap((line, index) => (line.classList.contains(arguments[0]) ? [index + 1] : []));
    """
    return set(page.run(script, kind))


def line(text: str, words_: str) -> int:
    return next(number for number, found in enumerate(text.splitlines(), 1) if words_ in found)


def axe(page: Browser) -> list[Any]:
    found = module("axe_core_python.selenium").Axe().run(page.driver)
    return [(one["id"], [node["html"][:160] for node in one["nodes"]]) for one in found["violations"]]


def overflow(page: Browser) -> int:
    return int(page.run("const e = document.scrollingElement; return e.scrollWidth - e.clientWidth"))


def test_all_walls_the_plan_parts_findings_and_steps_are_shown(page: Browser) -> None:
    assert [sheet.get_attribute("id") for sheet in page.every("section.leaf")] == [
        "sheet-left", "sheet-back", "sheet-right", "sheet-plan"
    ]  # fmt: skip
    assert "upper-right-2" in drawn(page, "right")
    assert "clear" in drawn(page, "plan")
    assert len(page.every("#part-table tbody tr")) == 63
    assert len(page.every("#findings .card")) == 4
    assert len(page.every("#steps .step")) == 28
    assert "DO NOT DRILL" in words(page, "#stamps")
    assert words(page, "#spec-text").count("fill") == TEXT.count("fill")


def test_an_edit_an_error_and_recovery(page: Browser, spec: Path) -> None:
    save(spec, TEXT.replace("crown: 3", "crown: 3 11/32"), renamed=True)
    until(page, lambda: '3 11/32"' in drawn(page))
    until(page, lambda: '3 11/32"' in words(page, '#part-table tr[data-mark="crown-back"]'))
    before = drawn(page)
    wrong = TEXT.replace("crown: 3", "crown: 3 11/32").replace("  reveal: 1/2\n  corner", "  reveal: half\n  corner")
    save(spec, wrong)
    until(page, lambda: page.shown("#trouble"))
    at = line(wrong, "reveal: half")
    assert f"line {at}" in words(page, "#trouble-list")
    assert "half" in words(page, "#trouble-list")
    assert "last drawing that was right" in words(page, "#trouble-note")
    assert drawn(page) == before
    assert lines(page, "wrong") == {at}
    assert words(page, "#state") == "1 error"
    save(spec, TEXT.replace("crown: 3", "crown: 3 13/32"))
    until(page, lambda: '3 13/32"' in drawn(page))
    until(page, lambda: not page.shown("#trouble"))
    assert lines(page, "wrong") == set()


def test_zoom_and_place_are_kept(page: Browser, spec: Path) -> None:
    touch(page, '[data-sheet="back"]')
    for _ in range(4):
        touch(page, '#sheet-back [data-zoom="in"]')
    page.run("document.querySelector('#sheet-back .pane').focus()")
    keys = module("selenium.webdriver.common.keys").Keys
    page.keys(keys.ARROW_LEFT, keys.ARROW_UP)
    model = middle(page)
    assert box(page)[2] < 60
    save(spec, TEXT.replace("crown: 3", "crown: 3 15/32"))
    until(page, lambda: '3 15/32"' in drawn(page))
    assert middle(page) == pytest.approx(model, abs=0.5)
    # Where the drawing moves on its paper, the same place of the wall stays in the middle, as large as before.
    save(spec, TEXT.replace("68 1/8, 68, 68 1/16", "88 1/8, 88, 88 1/16").replace("crown: 3", "crown: 3 17/32"))
    until(page, lambda: '3 17/32"' in drawn(page))
    assert middle(page) == pytest.approx(model, abs=0.5)
    assert page.one('[data-sheet="back"]').get_attribute("aria-pressed") == "true"
    save(spec, "no spec at all")
    until(page, lambda: page.shown("#trouble"))
    assert middle(page) == pytest.approx(model, abs=0.5)


def middle(page: Browser) -> list[float]:
    """The middle of what shows of the back wall, in mm of the wall, and how many mm across it shows."""
    script = """
        const [shell] = [...document.querySelectorAll("#sheet-back .ink .SHELL path")].map((path) => path.getBBox());
        const view = document.querySelector("#sheet-back svg").viewBox.baseVal;
        const mm = arguments[0] / shell.height;
        return [(view.x + view.width / 2 - shell.x) * mm, (shell.y + shell.height - view.y - view.height / 2) * mm,
                view.width * mm];
    """
    return [float(number) for number in page.run(script, 92.25 * 25.4)]


def test_touching_a_part_shows_it_everywhere_and_the_lines_that_made_it(page: Browser) -> None:
    touch(page, place(PART))
    until(page, lambda: page.shown("#chosen-lines .line"))
    assert words(page, "#chosen-mark") == PART
    assert '21 5/32" × 25 5/8"' in words(page, "#chosen-facts")
    assert lit(page, "on") == {("sheet-back", PART), ("sheet-plan", PART)}
    assert [row.get_attribute("data-mark") for row in page.every("#part-table tr.on")] == [PART]
    assert lines(page) >= {line(TEXT, "back:  {panels: 3}"), line(TEXT, "- lower: fill"), line(TEXT, "back:  {width")}
    assert line(TEXT, "project:") not in lines(page)
    page.run("document.querySelector('#chosen-how details').open = true")
    assert "68" in words(page, "#chosen-how")
    assert "rounded down" in words(page, "#chosen-how")
    page.keys(module("selenium.webdriver.common.keys").Keys.ESCAPE)
    assert not page.shown("#chosen")
    assert lit(page, "on") == set()
    assert lines(page) == set()


def test_a_chosen_part_stays_chosen_and_goes_with_the_spec(page: Browser, spec: Path) -> None:
    touch(page, place(PART))
    until(page, lambda: page.shown("#chosen-lines .line"))
    save(spec, "# moved down\n\n" + TEXT.replace("back:  {panels: 3}", "back:  {panels: 4}"))
    until(page, lambda: lines(page) >= {line(TEXT, "back:  {panels: 3}") + 2})
    until(page, lambda: '15 3/4" ×' in words(page, "#chosen-facts"))
    assert ("sheet-back", PART) in lit(page, "on")
    save(spec, TEXT.replace("back:  {panels: 3}", "back:  {panels: 1}"))
    until(page, lambda: not page.shown("#chosen"))


def finding(page: Browser, says: str) -> str:
    """The selector of the finding that says something, on its list."""
    if not page.shown("#findings"):
        touch(page, '[data-tab="findings"]')
    return f"#findings li:nth-child({entry(page, '#findings .card', says)}) .finding"


def entry(page: Browser, selector: str, says: str) -> int:
    """Which entry of a list, from 1, says something."""
    script = """
        const said = [...document.querySelectorAll(arguments[0])].map((found) => found.textContent.toLowerCase());
        return said.findIndex((text) => text.includes(arguments[1].toLowerCase())) + 1;
    """
    found = int(page.run(script, selector, says))
    assert found, says
    return found


def test_touching_a_finding_shows_the_place(page: Browser, spec: Path) -> None:
    wide = TEXT.replace("back:  {width", "back:  {fixtures: [{what: plate, x: 30, y: 20, width: 6, height: 20}], width")
    save(spec, wide)
    until(page, lambda: "splits backer-back" in words(page, "#findings"))
    card = finding(page, "splits backer-back")
    marks = set(page.run(f"return JSON.parse(document.querySelector('{card}').dataset.marks)"))
    assert marks
    touch(page, card)
    assert {mark for sheet, mark in lit(page, "hit") if sheet == "sheet-back"} == marks
    assert lines(page) == {line(wide, "back:  {fixtures")}
    if page.size == PHONE:
        assert page.shown("#desk")
    touch(page, finding(page, "splits backer-back"))
    assert lit(page, "hit") == set()
    assert lines(page) == set()
    # One that is about a whole wall shows that.
    touch(page, finding(page, "left wall's shell is not recorded"))
    assert [found.get_attribute("id") for found in page.every(".leaf.hit")] == ["sheet-left"]
    assert lines(page) == {line(wide, "left:  {width")}


def test_touching_a_step_shows_its_parts(page: Browser) -> None:
    touch(page, '[data-tab="steps"]')
    step = entry(page, "#steps .step-title", "base")
    touch(page, f"#step-{step} .step-title")
    assert any(mark.startswith("base-") for _, mark in lit(page, "hit"))


def test_everything_can_be_reached_with_keys_alone(page: Browser) -> None:
    keys = module("selenium.webdriver.common.keys").Keys
    page.run("document.querySelector('#sheet-back .pane').focus()")
    page.keys(keys.TAB)
    first = page.run("return document.activeElement.dataset.part")
    assert first
    page.keys(keys.ARROW_RIGHT)
    second = page.run("return document.activeElement.dataset.part")
    assert second not in (None, first)
    page.keys(keys.ENTER)
    assert words(page, "#chosen-mark") == second
    assert page.run("return document.activeElement.getAttribute('aria-pressed')") == "true"
    page.keys(keys.ESCAPE)
    page.run("document.querySelector('[role=tab][aria-selected=true]').focus()")
    before = page.run("return document.body.dataset.show")
    page.keys(keys.ARROW_RIGHT)
    assert page.run("return document.body.dataset.show") != before
    assert page.run("return document.activeElement.getAttribute('aria-selected')") == "true"


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_no_barrier_that_axe_knows(page: Browser, dark: bool, spec: Path) -> None:
    page.media(dark)
    try:
        touch(page, place(PART))
        until(page, lambda: page.shown("#chosen-lines .line"))
        for tab in ("findings", "parts", "steps"):
            page.run(f"document.querySelector('[data-tab={tab}]').click()")
            assert axe(page) == []
        save(spec, TEXT.replace("units: inch", "units: ell"))
        until(page, lambda: page.shown("#trouble"))
        assert axe(page) == []
    finally:
        page.media(False)


@pytest.mark.parametrize("width", [320, 390, 768, 1024, 1280])
def test_the_page_is_never_wider_than_the_window(page: Browser, width: int) -> None:
    page.cdp("Emulation.setDeviceMetricsOverride", width=width, height=800, deviceScaleFactor=1, mobile=width < 700)
    try:
        for tab in ("findings", "parts", "steps"):
            page.run(f"document.querySelector('[data-tab={tab}]').click()")
            assert overflow(page) == 0
        page.run(f"document.querySelector('{place(PART)}').dispatchEvent(new MouseEvent('click', {{bubbles: true}}))")
        until(page, lambda: page.shown("#chosen-mark"))
        assert overflow(page) == 0
    finally:
        page.cdp("Emulation.clearDeviceMetricsOverride")


def test_two_fingers_zoom(page: Browser) -> None:
    if page.size != PHONE:
        pytest.skip("a desk has no touch screen")
    touch(page, '[data-sheet="back"]')
    x, y = page.middle("#sheet-back .pane")
    before = box(page)
    page.fingers("touchStart", (x - 20, y), (x + 20, y))
    for step in range(1, 6):
        page.fingers("touchMove", (x - 20 - 10 * step, y), (x + 20 + 10 * step, y))
    page.fingers("touchEnd")
    assert box(page)[2] < before[2] / 2


def test_the_dark_is_dark(page: Browser) -> None:
    page.media(dark=True)
    try:
        colours = page.run("""
            const colour = (selector) => getComputedStyle(document.querySelector(selector)).backgroundColor;
            return [colour("body"), colour(".pane"), getComputedStyle(document.querySelector(".ink")).filter];
        """)
        assert all(sum(map(int, found[4:-1].split(", "))) < 120 for found in colours[:2])
        assert "invert" in colours[2]
    finally:
        page.media(False)


def test_it_prints_all_drawings_and_lists_whatever_is_shown(page: Browser) -> None:
    touch(page, '[data-sheet="back"]')
    touch(page, '#sheet-back [data-zoom="in"]')
    zoomed = box(page)
    document = PdfReader(BytesIO(page.printed()))
    text = " ".join(found.extract_text() for found in document.pages)
    for wanted in ("Left wall", "Back wall", "Right wall", "Plan at rail height", "upper-right-2", "Findings", "Steps"):
        assert wanted in text
    assert 3 <= len(document.pages) <= 9
    assert box(page) == zoomed


def test_what_the_spec_says_stays_text(page: Browser, spec: Path) -> None:
    evil = "</script><img src=x onerror=document.title=1><svg onload=document.title=2>"
    save(spec, TEXT.replace("Larkspur Court", f"'{evil}'").replace("name: Cherry", f"name: '{evil}'"))
    until(page, lambda: evil in words(page, "#title"))
    until(page, lambda: evil in words(page, "#spec-text"))
    assert page.run("return document.querySelectorAll('img, body > svg, .ink svg, script:not([src])').length") == 0
    assert evil in page.driver.title


def test_what_has_ended_is_said(window: Browser, tmp_path: Path) -> None:
    path = tmp_path / "car.yaml"
    path.write_text(TEXT, encoding="utf-8")
    with previewed(path) as found:
        window.driver.get(found.address)
        until(window, lambda: words(window, "#state").startswith("As saved"))
    until(window, lambda: words(window, "#state").startswith("Ended"))
    assert "upper-back-1" in drawn(window)
    window.driver.get("about:blank")
    window.note()
    window.complaints.clear()
    window.asked.clear()

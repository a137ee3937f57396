"""report.html in a real browser, on a phone and on a desk: touched, driven by keys alone, searched, read aloud."""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
import spec_texts
from browser import DESKTOP, PHONE, Browser, browser, module
from conftest import REPOSITORY, Shipped, drawn
from pypdf import PdfReader
from test_report import HOSTILE, hostile, made

#: A car with a finding, a fixture that cuts panels, a rail and finishes.
SPEC = REPOSITORY / "specs" / "harrow-house-car-1.yaml"
PART = "full-back-2"


@pytest.fixture(scope="module")
def car() -> Shipped:
    return drawn(SPEC)


@pytest.fixture(scope="module")
def address(car: Shipped, tmp_path_factory: pytest.TempPathFactory) -> str:
    path = tmp_path_factory.mktemp("report") / "report.html"
    path.write_bytes(car.files["report.html"])
    return path.as_uri()


@pytest.fixture(scope="module", params=[PHONE, DESKTOP], ids=["phone", "desktop"])
def window(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    with browser(tmp_path_factory.mktemp("browser"), request.param) as found:
        yield found


@pytest.fixture
def page(window: Browser, address: str) -> Iterator[Browser]:
    """The report, opened anew; afterwards nothing may have been asked of a network, or complained of."""
    window.driver.get("about:blank")
    window.note()
    window.asked.clear()
    window.complaints.clear()
    window.driver.get(address)
    yield window
    window.note()
    assert window.complaints == []
    assert {url.partition("#")[0] for url in window.asked if not url.startswith("data:")} <= {address, "about:blank"}


def resolved(car: Shipped, mark: str) -> dict[str, Any]:
    (part,) = [part for part in car.resolved["parts"] if part["mark"] == mark]
    return dict(part)


def panel(page: Browser) -> dict[str, tuple[str, list[float]]]:
    """What the panel says of the chosen part: the words and the exact values under each name."""
    script = """
        return [...document.querySelectorAll("#panel-facts dt")].map((name) => {
            const value = name.nextElementSibling;
            return [name.textContent, value.textContent,
                    [...value.querySelectorAll("data")].map((data) => Number(data.value))];
        });
    """
    return {name: (words, values) for name, words, values in page.run(script)}


def same(page: Browser, car: Shipped, mark: str) -> None:
    """The panel shows a part with the sizes that were resolved."""
    assert page.shown("#panel-mark")
    assert page.one("#panel-mark").text == mark
    part, said = resolved(car, mark), panel(page)
    assert said["Overall"][1] == [part["width"], part["height"]]
    if part["core"]:
        assert said["Core"][1] == part["core"]
    if part["mass"] is not None:
        assert said["Mass"][1] == pytest.approx([part["mass"]], abs=2e-6)
    assert "wall" in said["Label"][0]


def place(mark: str) -> str:
    return f'.pane a[data-part="{mark}"]'


def box(page: Browser, wall: str = "back") -> list[float]:
    """What of a wall's drawing shows: left, top, width, height."""
    found = page.run(f'return document.querySelector("#wall-{wall} svg").getAttribute("viewBox")')
    return [float(number) for number in found.split()]


def overflow(page: Browser) -> int:
    return int(page.run("const e = document.scrollingElement; return e.scrollWidth - e.clientWidth"))


def test_findings_are_on_the_first_screen(page: Browser) -> None:
    top = page.run('return document.querySelector("#findings .card h3").getBoundingClientRect().bottom')
    assert 0 < top < page.run("return innerHeight")


@pytest.mark.parametrize("width", [320, 390, 768, 1280])
def test_the_page_is_never_wider_than_the_window(page: Browser, width: int) -> None:
    page.cdp("Emulation.setDeviceMetricsOverride", width=width, height=800, deviceScaleFactor=1, mobile=width < 700)
    try:
        assert overflow(page) == 0
        page.run(f"document.querySelector('{place(PART)}').dispatchEvent(new MouseEvent('click', {{bubbles: true}}))")
        assert page.shown("#panel-mark")
        assert overflow(page) == 0
    finally:
        page.cdp("Emulation.clearDeviceMetricsOverride")


def test_touching_a_part_shows_it_as_resolved(page: Browser, car: Shipped) -> None:
    for mark in (PART, "base-back", "rail-back", "full-right-1"):
        if page.size == PHONE:
            page.tap(place(mark))
        else:
            x, y = page.middle(place(mark))
            page.mouse("mousePressed", x, y, button="left", clickCount=1)
            page.mouse("mouseReleased", x, y, button="left", clickCount=1)
        same(page, car, mark)
        assert "on" in page.one(place(mark)).get_attribute("class").split()
        assert [link.get_attribute("data-part") for link in page.every(".places a.on")] == [mark]
    page.one("#panel-close").click()
    assert not page.shown("#panel-mark")
    assert page.every(".on") == []


def test_search_by_mark_filters_the_list_and_lights_up_the_walls(page: Browser, car: Shipped) -> None:
    page.one("#search").send_keys("full-back")
    wanted = [part["mark"] for part in car.resolved["parts"] if "full-back" in part["mark"]]
    script = 'return [...document.querySelectorAll("#parts tbody tr:not([hidden])")].map((row) => row.dataset.part)'
    assert page.run(script) == wanted
    lit = [link.get_attribute("data-part") for link in page.every(".places a.hit")]
    assert sorted(lit) == sorted(wanted)
    assert page.one("#count").get_attribute("textContent").startswith(f"{len(wanted)} of {len(car.resolved['parts'])}")
    page.keys("-2", "\ue007")
    same(page, car, "full-back-2")
    assert page.run(
        "const b = document.querySelector('#wall-back').getBoundingClientRect(); return b.top < innerHeight"
    )
    page.keys("\ue00c")
    assert page.one("#search").get_attribute("value") == ""
    assert len(page.run(script)) == len(car.resolved["parts"])
    page.one("#search").send_keys("nothing-of-the-kind")
    assert page.one("#count").get_attribute("textContent") == "no part is called that"


def test_zoom_stays_while_parts_are_chosen(page: Browser) -> None:
    whole = box(page)
    page.middle("#wall-back .pane")
    page.one('#wall-back [data-zoom="in"]').click()
    zoomed = box(page)
    assert zoomed[2] == pytest.approx(whole[2] / 1.5, rel=1e-3)
    x, y = page.middle("#wall-back .pane")
    page.mouse("mousePressed", x, y, button="left", clickCount=1)
    page.mouse("mouseReleased", x, y, button="left", clickCount=1)
    assert page.shown("#panel-mark")
    assert box(page) == zoomed
    page.one('#wall-back [data-zoom="out"]').click()
    page.one('#wall-back [data-zoom="out"]').click()
    assert box(page) == whole


def test_dragging_moves_the_drawing_and_chooses_nothing(page: Browser) -> None:
    page.middle("#wall-back .pane")
    page.one('#wall-back [data-zoom="in"]').click()
    before = box(page)
    x, y = page.middle("#wall-back .pane")
    page.mouse("mousePressed", x, y, button="left", clickCount=1)
    for step in (10, 25, 40):
        page.mouse("mouseMoved", x - step, y - step, button="left", buttons=1)
    page.mouse("mouseReleased", x - 40, y - 40, button="left", clickCount=1)
    after = box(page)
    assert after[0] > before[0]
    assert after[1] > before[1]
    assert after[2] == before[2]
    assert not page.shown("#panel-mark")


@pytest.mark.parametrize("window", [DESKTOP], indirect=True, ids=["desktop"])
def test_wheel_zooms_with_a_key_and_else_scrolls(page: Browser) -> None:
    x, y = page.middle("#wall-back .pane")
    whole = box(page)
    page.mouse("mouseWheel", x, y, deltaX=0, deltaY=-240)
    assert box(page) == whole
    x, y = page.middle("#wall-back .pane")
    page.mouse("mouseWheel", x, y, deltaX=0, deltaY=-240, modifiers=2)
    page.run("return new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
    assert box(page)[2] < whole[2]


@pytest.mark.parametrize("window", [PHONE], indirect=True, ids=["phone"])
def test_two_fingers_zoom(page: Browser) -> None:
    x, y = page.middle("#wall-back .pane")
    whole = box(page)
    page.fingers("touchStart", (x - 20, y), (x + 20, y))
    for reach in (30, 45, 60):
        page.fingers("touchMove", (x - reach, y), (x + reach, y))
    page.fingers("touchEnd")
    assert box(page)[2] == pytest.approx(whole[2] / 3, rel=0.1)
    assert not page.shown("#panel-mark")
    page.fingers("touchStart", (x, y))
    for step in (15, 40):
        page.fingers("touchMove", (x, y - step))
    before = box(page)
    page.fingers("touchEnd")
    assert before[1] > box(page, "left")[1]


def focus(page: Browser) -> str:
    script = "const e = document.activeElement; return e.id || e.dataset.part || e.className || e.tagName"
    return str(page.run(script))


def test_everything_can_be_done_with_the_keyboard_alone(page: Browser, car: Shipped) -> None:
    tab, enter, escape, right, end = "\ue004", "\ue007", "\ue00c", "\ue014", "\ue010"
    page.keys(tab)
    assert focus(page) == "skip"
    page.keys(enter)
    assert page.run("return location.hash") == "#findings"
    page.run("document.querySelector('#search').focus()")
    page.keys("base-back", "\ue015")
    assert focus(page) == "base-back"
    page.keys(enter)
    same(page, car, "base-back")
    page.keys(escape, escape)
    assert not page.shown("#panel-mark")
    page.run("document.querySelector('#wall-back button[data-zoom=all]').focus()")
    page.keys(tab)
    assert focus(page).startswith("pane")
    whole = box(page)
    page.keys("+", "+")
    assert box(page)[2] < whole[2] / 2
    before = box(page)
    page.keys(right)
    assert box(page)[0] > before[0]
    page.keys("0")
    assert box(page) == whole
    page.keys(tab)
    first = focus(page)
    assert first == next(part["mark"] for part in car.resolved["parts"] if part["wall"] == "back")
    outline = page.run("return getComputedStyle(document.activeElement.firstElementChild).strokeWidth")
    assert float(re.sub("px", "", outline)) > 1
    page.keys(right, enter)
    same(page, car, focus(page))
    assert focus(page) != first
    page.keys(end)
    assert focus(page) != first
    # Out of the drawing with one more: no part holds the focus back.
    page.keys(tab)
    assert not page.run("return Boolean(document.activeElement.closest('#wall-back .pane'))")


def test_what_is_chosen_is_said_aloud(page: Browser) -> None:
    page.run(f"document.querySelector('{place(PART)}').dispatchEvent(new MouseEvent('click', {{bubbles: true}}))")
    said = page.one("#said")
    assert said.get_attribute("role") == "status"
    words = said.get_attribute("textContent")
    assert words.startswith(f"{PART}: Part panel, Step ")
    assert ", Visible " in words
    assert "–" not in words


def test_the_tree_that_is_read_aloud(page: Browser, car: Shipped) -> None:
    page.cdp("Accessibility.enable")
    nodes = [node for node in page.cdp("Accessibility.getFullAXTree")["nodes"] if not node.get("ignored")]
    roles: dict[str, list[str]] = {}
    for node in nodes:
        roles.setdefault(node["role"]["value"], []).append(node.get("name", {}).get("value", ""))
    for landmark in ("banner", "navigation", "main", "contentinfo", "search"):
        assert len(roles[landmark]) == 1, landmark
    assert roles["searchbox"] == ["Find a part"]
    assert "Findings" in roles["heading"]
    assert [name for role in ("link", "button", "region", "navigation") for name in roles[role] if not name] == []
    marks = {part["mark"] for part in car.resolved["parts"]}
    assert marks <= set(roles["link"])
    assert len([name for name in roles["button"] if name.startswith("Zoom in: ")]) == len(car.looked.cab.walls) + 1


def violations(page: Browser) -> list[str]:
    """What axe-core objects to."""
    engine = Path(module("axe_core_python").__file__).parent / "axe.min.js"
    # The page's policy lets no script in, so it is put in from outside, as an extension would.
    page.cdp("Runtime.evaluate", expression=engine.read_text(encoding="utf-8"))
    options = json.dumps({"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "best-practice"]})
    script = f"const done = arguments[0]; axe.run(document, {options}).then((found) => done(found.violations))"
    found = page.driver.execute_async_script(script)
    return [f"{one['id']}: {one['help']}: {one['nodes'][0]['html'][:160]}" for one in found]


def test_axe_finds_nothing_to_object_to(page: Browser) -> None:
    assert violations(page) == []
    page.run(f"document.querySelector('{place(PART)}').dispatchEvent(new MouseEvent('click', {{bubbles: true}}))")
    page.one("#search").send_keys("base")
    assert violations(page) == []


def test_axe_finds_nothing_to_object_to_in_the_dark(page: Browser) -> None:
    page.media(dark=True)
    try:
        page.run(f"document.querySelector('{place(PART)}').dispatchEvent(new MouseEvent('click', {{bubbles: true}}))")
        dark = page.run("return getComputedStyle(document.body).backgroundColor")
        assert max(map(int, re.findall("[0-9]+", dark)[:3])) < 60
        assert violations(page) == []
    finally:
        page.media()


def test_what_is_touched_is_large_enough(page: Browser) -> None:
    script = """
        return [...document.querySelectorAll("button, .bar a, .marks a, input")].filter((e) => e.offsetParent)
            .map((e) => [e.textContent, e.getBoundingClientRect()]).filter(([_, b]) => b.width < 24 || b.height < 24)
            .map(([text]) => text);
    """
    assert page.run(script) == []


def test_all_of_it_prints(page: Browser, car: Shipped) -> None:
    page.one('#wall-back [data-zoom="in"]').click()
    zoomed = box(page)
    pages = [found.extract_text() for found in PdfReader(BytesIO(page.printed())).pages]
    words = "".join(unicodedata.normalize("NFKC", "".join(pages)).split())
    for part in car.resolved["parts"]:
        assert part["mark"] in words
    for finding in car.looked.findings:
        assert "".join(finding.message[1:].split()) in words
    assert "DONOTDRILL" in words
    assert 4 <= len(pages) <= 24
    assert box(page) == zoomed


def test_without_a_script_everything_is_there(address: str, car: Shipped, tmp_path: Path) -> None:
    with browser(tmp_path, PHONE, script=False) as page:
        page.driver.get(address)
        assert page.shown("#findings .card")
        assert page.shown("#job dd")
        assert not page.shown("#find")
        assert not page.shown(".tools")
        rows = page.every("#parts tbody tr")
        assert len(rows) == len(car.resolved["parts"])
        assert all(row.is_displayed() for row in rows[:5])
        page.tap(place(PART))
        page.note()
        assert page.driver.current_url.endswith(f"#part-{PART}")
        assert page.complaints == []


def test_hostile_text_runs_nothing(tmp_path: Path) -> None:
    for index, words in enumerate(HOSTILE[:2]):
        cab = spec_texts.cab(hostile(words))
        (tmp_path / f"{index}.html").write_bytes(made(cab))
    with browser(tmp_path, DESKTOP) as page:
        for index in range(2):
            page.driver.get((tmp_path / f"{index}.html").as_uri())
            assert page.every("img, body > svg, iframe") == []
            page.one("#search").send_keys("lower-back-1\ue007")
            assert page.shown("#panel-mark")
            page.note()
        assert page.complaints == []
        assert all(url.startswith(("file:", "data:")) for url in page.asked)


def test_the_policy_stops_what_gets_in_all_the_same(address: str, tmp_path: Path) -> None:
    """Should an escape fail one day, the browser still runs nothing but the page's own script."""
    with browser(tmp_path, DESKTOP) as page:
        page.driver.get(address)
        page.run(
            "document.querySelector('main').insertAdjacentHTML('beforeend', '<img src=x onerror=\"window.ran=1\">')"
        )
        page.run(
            "const s = document.createElement('script'); s.textContent = 'window.ran = 2'; document.body.append(s)"
        )
        page.run("return new Promise((done) => setTimeout(done, 150))")
        assert page.run("return window.ran") is None
        page.note()
        assert len(page.complaints) >= 2
        assert [url for url in page.asked if not url.startswith(("file:", "data:"))] == []

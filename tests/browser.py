"""A real browser that opens a page from the disk: Chromium, driven, with its console and its requests noted."""

from __future__ import annotations

import base64
import importlib
import importlib.util
import json
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from readers import need

PHONE, DESKTOP = (390, 844), (1280, 900)
#: What keeps the browser from asking anything of a network by itself, and from needing a screen.
FLAGS = (
    "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--disable-background-networking",
    "--no-first-run", "--no-default-browser-check", "--disable-component-update", "--disable-sync",
    "--disable-extensions", "--disable-default-apps", "--metrics-recording-only", "--mute-audio",
    "--hide-scrollbars", "--force-color-profile=srgb",
)  # fmt: skip


def module(name: str) -> Any:
    """A module that tests with a browser need; without it the test is skipped, or fails where CABDRAW_CI is 1."""
    if importlib.util.find_spec(name.split(".")[0]) is None:
        reason = f"the module {name} is not installed"
        if os.environ.get("CABDRAW_CI") == "1":
            pytest.fail(reason)
        pytest.skip(reason)
    return importlib.import_module(name)


class Browser:
    """One window of a size, a phone's with touch; what it asks for and complains of is kept."""

    def __init__(self, driver: Any, size: tuple[int, int]) -> None:
        self.driver, self.size = driver, size
        self.asked: list[str] = []
        self.complaints: list[str] = []

    def cdp(self, command: str, **arguments: Any) -> dict[str, Any]:
        """A command of the browser's own protocol."""
        found: dict[str, Any] = self.driver.execute_cdp_cmd(command, arguments)
        return found

    def run(self, script: str, *arguments: Any) -> Any:
        """What a script returns in the page."""
        return self.driver.execute_script(script, *arguments)

    def note(self) -> None:
        """Take in what was asked and complained since the last time."""
        for entry in self.driver.get_log("performance"):
            message = json.loads(entry["message"])["message"]
            if message["method"] == "Network.requestWillBeSent":
                self.asked.append(message["params"]["request"]["url"])
        self.complaints += [entry["message"] for entry in self.driver.get_log("browser")]

    def one(self, selector: str) -> Any:
        """The first element that a selector finds."""
        return self.driver.find_element("css selector", selector)

    def every(self, selector: str) -> list[Any]:
        """Every element that a selector finds."""
        found: list[Any] = self.driver.find_elements("css selector", selector)
        return found

    def shown(self, selector: str) -> bool:
        """Whether an element is there and can be seen."""
        found = self.every(selector)
        return bool(found) and bool(found[0].is_displayed())

    def keys(self, *typed: str) -> None:
        """Press keys, one after the other, wherever the focus is."""
        actions = module("selenium.webdriver.common.action_chains").ActionChains(self.driver)
        for key in typed:
            actions.send_keys(key)
        actions.perform()

    def middle(self, selector: str) -> tuple[float, float]:
        """The middle of an element, in the window, brought into view."""
        script = """
            const element = document.querySelector(arguments[0]);
            element.scrollIntoView({ block: "center", behavior: "instant" });
            const box = element.getBoundingClientRect();
            return [box.x + box.width / 2, box.y + box.height / 2];
        """
        x, y = self.run(script, selector)
        return float(x), float(y)

    def tap(self, selector: str) -> None:
        """Touch the middle of an element with one finger."""
        x, y = self.middle(selector)
        self.fingers("touchStart", (x, y))
        self.fingers("touchEnd")

    def fingers(self, kind: str, *points: tuple[float, float]) -> None:
        """One event of a touch screen, with every finger that is down."""
        touches = [{"x": x, "y": y, "id": number} for number, (x, y) in enumerate(points)]
        self.cdp("Input.dispatchTouchEvent", type=kind, touchPoints=touches)

    def mouse(self, kind: str, x: float, y: float, **more: Any) -> None:
        """One event of a mouse."""
        self.cdp("Input.dispatchMouseEvent", type=kind, x=x, y=y, **more)

    def media(self, dark: bool = False) -> None:
        """What the person asks of every page: light or dark, and nothing that moves by itself."""
        scheme = {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
        self.cdp("Emulation.setEmulatedMedia", features=[scheme, {"name": "prefers-reduced-motion", "value": "reduce"}])

    def picture(self, path: Path) -> None:
        """Keep what the window shows."""
        path.write_bytes(base64.b64decode(self.cdp("Page.captureScreenshot", format="png")["data"]))

    def printed(self) -> bytes:
        """The page as it prints, on A4."""
        options = {"printBackground": False, "paperWidth": 8.27, "paperHeight": 11.69}
        return base64.b64decode(self.cdp("Page.printToPDF", **options)["data"])


@contextmanager
def browser(folder: Path, size: tuple[int, int], dark: bool = False, script: bool = True) -> Iterator[Browser]:
    """A browser of its own, which is ended again; `folder` holds its profile."""
    chromium, driver = need("chromium"), need("chromedriver")
    webdriver = module("selenium.webdriver")
    service = module("selenium.webdriver.chrome.service")
    options = webdriver.ChromeOptions()
    options.binary_location = chromium
    for flag in (*FLAGS, f"--window-size={size[0]},{size[1]}", f"--user-data-dir={folder / 'profile'}"):
        options.add_argument(flag)
    if size == PHONE:
        screen = {"width": size[0], "height": size[1], "pixelRatio": 2, "touch": True, "mobile": True}
        options.add_experimental_option("mobileEmulation", {"deviceMetrics": screen})
    if not script:
        options.add_experimental_option("prefs", {"profile.managed_default_content_settings.javascript": 2})
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    started = webdriver.Chrome(
        options=options, service=service.Service(driver, env={**os.environ, "HOME": str(folder)})
    )
    try:
        found = Browser(started, size)
        found.media(dark)
        # The browser's own first page is left, and what it asked for is forgotten.
        started.get("about:blank")
        found.note()
        found.asked.clear()
        found.complaints.clear()
        yield found
    finally:
        started.quit()

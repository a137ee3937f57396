"""How long after a save the preview shows it: `python -m tests.bench.preview` from the repository's folder.

A spec is saved again and again, in two ways that editors have, each time with another number in it that moves every
wall; the page in Chromium notes when each drawing was on screen, and both read the same clock.
"""

from __future__ import annotations

import re
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from browser import DESKTOP, Browser, browser
from previewed import previewed, save

REPOSITORY = Path(__file__).resolve().parents[2]
CARS = ("larkspur-car-2", "orchard-street-service-car")
SAVES = 120
#: Seconds between two saves.
PAUSE = 0.8
MARKS = """
const since = arguments[0];
return performance.getEntriesByType("mark").filter((mark) => mark.detail && mark.detail.run > since)
  .map((mark) => [mark.detail.run, mark.name, performance.timeOrigin + mark.startTime]);
"""


def share(found: list[float], at: float) -> float:
    """The value under which a share of all lies."""
    return sorted(found)[min(len(found) - 1, int(len(found) * at))]


def edits(text: str) -> Iterator[str]:
    """The text with one number changed, another each time: the height of what stands on the base of every wall."""
    found = re.search(r"(\bbase: *)([\d ./]+)", text)
    assert found is not None
    metric = "units: mm" in text
    for number in range(SAVES):
        other = f"{100 + number % 37}" if metric else f"{3 + number % 2} {1 + 2 * (number % 15)}/32"
        yield f"{text[: found.start()]}{found[1]}{other}{text[found.end() :]}"


def measured(name: str, window: Browser, folder: Path) -> dict[str, list[float]]:
    """Milliseconds from each save until the first wall, all walls and everything else were on screen."""
    path = folder / f"{name}.yaml"
    text = (REPOSITORY / "specs" / f"{name}.yaml").read_text(encoding="utf-8")
    path.write_text(text, encoding="utf-8")
    took: dict[str, list[float]] = {"first wall": [], "all walls": [], "plan": [], "all lists": []}
    with previewed(path) as found:
        window.driver.get(found.address)
        time.sleep(3)
        run = max((mark[0] for mark in window.run(MARKS, 0)), default=1)
        for number, edited in enumerate(edits(text)):
            began = 1000 * save(path, edited, renamed=number % 2 == 1)
            time.sleep(PAUSE)
            marks = window.run(MARKS, run)
            assert marks, f"{name}: save {number + 1} was not seen"
            run = max(mark[0] for mark in marks)
            walls = [at - began for _, topic, at in marks if topic in ("drawing-left", "drawing-back", "drawing-right")]
            took["first wall"].append(min(walls))
            took["all walls"].append(max(walls))
            took["plan"] += [at - began for _, topic, at in marks if topic == "drawing-plan"]
            took["all lists"].append(max(at - began for _, _, at in marks))
    return took


def main() -> None:
    """Print the table."""
    print("| car | on screen | saves | median | 95 of 100 under | longest |")
    print("| --- | --- | --- | --- | --- | --- |")
    with tempfile.TemporaryDirectory() as folder, browser(Path(folder), DESKTOP) as window:
        for name in sys.argv[1:] or CARS:
            for what, found in measured(name, window, Path(folder)).items():
                if found:
                    figures = f"{share(found, 0.5):.0f} ms | {share(found, 0.95):.0f} ms | {max(found):.0f} ms"
                    print(f"| {name} | {what} | {len(found)} | {figures} |", flush=True)


if __name__ == "__main__":
    main()

"""Makes the README's picture of the preview: `python tests/make_preview_picture.py`; it needs Chromium."""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

from browser import Browser, browser
from make_pictures import PICTURES
from PIL import Image
from previewed import REPOSITORY, previewed

SPEC = REPOSITORY / "specs" / "larkspur-car-2.yaml"
#: What is touched before the picture is taken.
PART = "lower-back-2"
SIZE = (1440, 1010)


def shown(window: Browser, address: str, picture: Path) -> None:
    """Keep what the page shows once a part is chosen."""
    window.driver.get(address)
    for _ in range(200):
        if window.every("#steps .step"):
            break
        time.sleep(0.05)
    touch = f"document.querySelector('#sheet-back [data-part=\"{PART}\"]')"
    window.run(f"{touch}.dispatchEvent(new MouseEvent('click', {{bubbles: true}})); document.activeElement.blur()")
    time.sleep(1)
    # The clock would make another picture of it each time.
    window.run("document.querySelector('#state').textContent = 'As saved at 10:24:06'")
    window.picture(picture)


def main() -> None:
    """Make it."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        spec = folder / SPEC.name
        spec.write_bytes(SPEC.read_bytes())
        raw = folder / "preview.png"
        with previewed(spec) as found, browser(folder, SIZE) as window:
            shown(window, found.address, raw)
        with Image.open(raw) as image:
            image.convert("RGB").quantize(96).save(PICTURES / "preview.png", optimize=True)


if __name__ == "__main__":
    main()

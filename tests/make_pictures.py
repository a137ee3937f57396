"""Makes the pictures and tables that the README and DEVELOPERS.md show: `python tests/make_pictures.py`."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path

import pypdfium2
from conftest import REPOSITORY, drawn
from PIL.PngImagePlugin import PngInfo
from test_house import MAY
from test_shipped_golden import drawing, written

from cabdraw.check import all_codes
from cabdraw.draw.shapes import Sheet
from cabdraw.write.pdf import pdf_bytes

README = REPOSITORY / "README.md"
DEVELOPERS = REPOSITORY / "DEVELOPERS.md"
PICTURES = REPOSITORY / "docs" / "pictures"
#: Each picture: its spec, its sheet, and how many pixels an inch of paper has.
SHOWN = {
    "elevation-back": ("larkspur-car-2", "elevation-back", 100),
    "elevation-right": ("orchard-street-service-car", "elevation-right", 75),
    "template": ("larkspur-car-2", "drill-left", 36),
}
KEY = "Sheet"


def sheet(name: str) -> Sheet:
    """The sheet that a picture shows, as it is drawn now; of a template, the printed one."""
    spec, of, _ = SHOWN[name]
    sheets = drawn(REPOSITORY / "specs" / f"{spec}.yaml").sheets
    return sheets.get(f"{of} 2", sheets[of])


def digest(shown: Sheet) -> str:
    """What a sheet means, in short; it goes into the picture, and tells whether the picture is still right."""
    return sha256(written(drawing(shown))).hexdigest()


def picture(name: str, folder: Path = PICTURES) -> Path:
    """Draw one picture."""
    shown = sheet(name)
    page = pypdfium2.PdfDocument(pdf_bytes([shown]))[0]
    image = page.render(scale=SHOWN[name][2] / 72).to_pil().convert("RGB").quantize(48)
    about = PngInfo()
    about.add_text(KEY, digest(shown))
    path = folder / f"{name}.png"
    image.save(path, pnginfo=about, optimize=True)
    return path


def findings_table() -> str:
    """Every kind of finding, as the README lists it."""
    rows = ["| code | severity | stops | when |", "| --- | --- | --- | --- |"]
    rows += [f"| `{c.code}` | {c.severity} | {c.stops} | {c.meaning} |" for c in sorted(all_codes(), key=_family)]
    return "\n".join(rows)


def _family(code: object) -> str:
    return str(getattr(code, "code", ""))


def between(text: str, name: str) -> str:
    """What stands in the README between a part's two marks."""
    begin, end = f"<!-- {name} -->\n", f"<!-- end of {name} -->"
    return text.split(begin, 1)[1].split(end, 1)[0].strip()


def house_table() -> str:
    """Who may import whom, as DEVELOPERS.md lists it."""
    rows = ["| room | may import |", "| --- | --- |"]
    rows += [f"| `{room}` | {', '.join(f'`{other}`' for other in sorted(may)) or '–'} |" for room, may in MAY.items()]
    return "\n".join(rows)


def renew(page: Path, name: str, table: str) -> None:
    """Put a table between its two marks on a page."""
    text = page.read_text(encoding="utf-8")
    head, rest = text.split(f"<!-- {name} -->\n", 1)
    _, tail = rest.split(f"<!-- end of {name} -->", 1)
    page.write_text(f"{head}<!-- {name} -->\n{table}\n<!-- end of {name} -->{tail}", encoding="utf-8")


def main() -> None:
    """Make all of it."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    for name in SHOWN:
        picture(name)
    renew(README, "findings", findings_table())
    renew(DEVELOPERS, "house", house_table())


if __name__ == "__main__":
    main()

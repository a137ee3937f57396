"""Makes the pictures and tables that the README, DEVELOPERS.md and the guide show: `python tests/make_pictures.py`."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path

import pypdfium2
from conftest import REPOSITORY, drawn
from PIL.PngImagePlugin import PngInfo
from test_house import MAY
from test_shipped_golden import drawing, written

from cabdraw.cab import WALLS
from cabdraw.check import all_codes
from cabdraw.draw.shapes import Sheet
from cabdraw.draw.sheet_set import sheet_set
from cabdraw.draw.survey_form import survey_form
from cabdraw.package import look
from cabdraw.survey import survey
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
#: Each picture of the guide: its spec, its sheet, pixels to the inch, and which part of the sheet: left, upper, right
#: and lower edge as shares of it.
WHOLE = (0.0, 0.0, 1.0, 1.0)
GUIDE = {
    **{
        f"recipe-{recipe}": (f"docs/recipes/{recipe}.yaml", sheet, 85, (0.075, 0.06, 0.79, 0.95))
        for recipe, sheet in (
            ("one-tier", "elevation-back"),
            ("three-tiers", "elevation-back"),
            ("service-car", "elevation-left"),
            ("side-walls", "plan"),
            ("millimetres", "elevation-left"),
            ("transom-proud", "front"),
            ("fixtures", "elevation-right"),
        )
    },
    "survey-form": ("survey", "A4", 75, WHOLE),
    "reading-plan": ("specs/larkspur-car-2.yaml", "plan", 75, (0.06, 0.1, 0.795, 0.9)),
    "reading-elevation": ("specs/larkspur-car-2.yaml", "elevation-back", 90, (0.14, 0.1, 0.72, 0.9)),
    "reading-section": ("specs/larkspur-car-2.yaml", "sections", 110, (0.2, 0.24, 0.41, 0.75)),
    "template-whole": ("specs/larkspur-car-2.yaml", "drill-back", 60, (0.0, 0.0, 0.335, 1.0)),
    "template-tile": ("specs/larkspur-car-2.yaml", "tiled-drill-left-6", 60, WHOLE),
    "template-local": ("specs/larkspur-car-2.yaml", "local-drill-back-3", 60, WHOLE),
}
KEY = "Sheet"


def sheet(name: str) -> Sheet:
    """The sheet that a picture shows, as it is drawn now; of a template, the printed one."""
    spec, of = GUIDE[name][:2] if name in GUIDE else (f"specs/{SHOWN[name][0]}.yaml", SHOWN[name][1])
    if spec == "survey":
        return survey_form(survey("inch", WALLS), of)[0]
    if spec.startswith("docs/"):
        looked = look(REPOSITORY / spec)
        return next(sheet for sheet in sheet_set(looked.cab, looked.findings, None) if sheet.name == of)
    sheets = drawn(REPOSITORY / spec).sheets
    return sheets.get(f"{of} 2", sheets[of])


def digest(shown: Sheet) -> str:
    """What a sheet means, in short; it goes into the picture, and tells whether the picture is still right."""
    return sha256(written(drawing(shown))).hexdigest()


def picture(name: str, folder: Path = PICTURES) -> Path:
    """Draw one picture."""
    shown = sheet(name)
    page = pypdfium2.PdfDocument(pdf_bytes([shown]))[0]
    dpi, part = GUIDE[name][2:] if name in GUIDE else (SHOWN[name][2], WHOLE)
    image = page.render(scale=dpi / 72).to_pil().convert("RGB")
    width, height = image.size
    image = image.crop((int(part[0] * width), int(part[1] * height), int(part[2] * width), int(part[3] * height)))
    image = image.quantize(48 if name in SHOWN else 16)
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
    for name in (*SHOWN, *GUIDE):
        picture(name)
    renew(README, "findings", findings_table())
    renew(DEVELOPERS, "house", house_table())


if __name__ == "__main__":
    main()

"""From a spec to its package: which files are made, for whom, and where they are put."""

from __future__ import annotations

import sys
import unicodedata
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path

from cabdraw.cab import Cab, WallName
from cabdraw.compare import Comparison, compare
from cabdraw.draw.local import local
from cabdraw.draw.long_page import pages
from cabdraw.draw.look import look as finished_look
from cabdraw.draw.look import walls_with_finishes
from cabdraw.draw.shapes import Sheet
from cabdraw.draw.sheet_set import sheet_set
from cabdraw.draw.survey_form import survey_form
from cabdraw.draw.template import on_screen, template
from cabdraw.draw.tiles import tiled
from cabdraw.errors import BadSpec, Finding, SpecError
from cabdraw.frozen import Frozen
from cabdraw.install.blocks import blocks
from cabdraw.looked import (
    Looked,
    NoSuchCar,
    NoSuchWall,
    cars_of,
    copied_surveys,
    look,
    look_at,
    resolved,
    rule_listing,
)
from cabdraw.place import CannotPlace, Placed, put_in_place
from cabdraw.print_scale import TRUE, PrintScale
from cabdraw.record import record
from cabdraw.report import report
from cabdraw.shop.parts import shop_parts
from cabdraw.shop_package import SEVERAL, CamVersion, several_files, shop_files
from cabdraw.site_package import SitePlan, site_files, site_plan
from cabdraw.spec import Document, load
from cabdraw.survey import Units, spec_text, survey

__all__ = [
    "SEVERAL",
    "CannotPlace",
    "Drawn",
    "Looked",
    "NoSuchCar",
    "NoSuchWall",
    "build",
    "cars_of",
    "copied_surveys",
    "draw_package",
    "draw_several",
    "folder_called",
    "folder_name",
    "look",
    "look_at",
    "resolved",
    "rule_listing",
]

#: Where packages go unless another folder is named.
OUT = Path("out")
#: What the fabricator works from; withheld while a finding stops fabrication.
SHOP = "shop/"

# The writers are imported where they are used: their libraries are slow to load, and looking at a spec needs none.


def _dxf(sheet: Sheet, cab: Cab) -> bytes:
    from cabdraw.write.dxf import drawing_bytes

    return drawing_bytes(sheet, cab.printing.system)


def _svg(sheet: Sheet, cab: Cab) -> bytes:
    from cabdraw.write.svg import svg_bytes

    return svg_bytes(sheet)


class Drawing(Frozen):
    """A drawing that is made of some walls, and the files that it is written to; {wall} stands for the wall's name."""

    whom: str
    walls: Callable[[Cab], tuple[WallName, ...]]
    view: Callable[[Cab, WallName, Sequence[Finding]], Sheet]
    files: Mapping[str, Callable[[Sheet, Cab], bytes]]


#: The files of each wall's elevation, which is a sheet of the set.
ELEVATION = {"drawings/elevation-{wall}.dxf": _dxf, "drawings/elevation-{wall}.svg": _svg}
#: Every other drawing of some walls.
DRAWINGS: tuple[Drawing, ...] = (
    Drawing(
        whom="customer",
        walls=walls_with_finishes,
        view=finished_look,
        files={"drawings/look-{wall}.svg": _svg},
    ),
)


class Drawn(Looked):
    """A spec that was drawn: the files of its package by path, and what became of the folder."""

    files: Mapping[str, bytes]
    placed: Placed
    since: Comparison | None = None

    @property
    def folder(self) -> Path:
        """Where the package stands."""
        return self.placed.folder


def draw_package(
    spec: Path | Document,
    out: Path = OUT,
    walls: Sequence[str] | None = None,
    since: Cab | None = None,
    scale: PrintScale = TRUE,
    cam: CamVersion = "r2000",
    car: str | None = None,
) -> Drawn:
    """Draw a spec into its folder inside `out`, all walls or only some; what changed `since` an earlier car in clouds.

    Of a spec that holds several cars, `car` says which. Templates are corrected for a printer that prints at some
    other `scale`.
    Raises `BadSpec`, `NoSuchWall` or `CannotPlace`, and has then changed nothing.
    """
    looked = look_at(spec if isinstance(spec, Document) else load(spec, car))
    name = folder_called(looked.document.name, looked.document.source.name)
    changed = compare(since, looked.cab) if since is not None else None
    files = build(looked.cab, looked.findings, walls, changed, scale, cam=cam)
    placed = put_in_place(files, out / name)
    return Drawn(looked.document, looked.cab, looked.findings, files, placed, changed)


def survey_files(units: Units, walls: Sequence[str], paper: str) -> dict[str, bytes]:
    """The survey of a bare car: the form to print, on `A4` or `Letter`, and the spec to fill in from it."""
    from cabdraw.write.pdf import pdf_bytes

    wanted = survey(units, walls)
    return {
        "survey-form.pdf": pdf_bytes(survey_form(wanted, paper)),
        "survey.yaml": spec_text(wanted).encode(),
    }


def draw_several(drawn: Sequence[Drawn], out: Path = OUT, cam: CamVersion = "r2000") -> Placed | None:
    """Write the lists over several cars and one nesting of them all into their own folder inside `out`.

    A car whose fabrication a finding stops is left out; None where fewer than two are left. Raises `CannotPlace`.
    """
    cars = [(each.cab, each.findings) for each in drawn if not each.stopped]
    return put_in_place(several_files(cars, cam), out / SEVERAL) if len(cars) > 1 else None


def build(
    cab: Cab,
    findings: Sequence[Finding],
    walls: Sequence[str] | None = None,
    since: Comparison | None = None,
    scale: PrintScale = TRUE,
    cam: CamVersion = "r2000",
) -> dict[str, bytes]:
    """The files of a car's package by path, in the order of their paths; of all walls, or only of some."""
    from cabdraw.write.tables import json_bytes

    for wall in walls or ():
        if wall not in cab.walls:
            raise NoSuchWall(f"there is no {wall} wall to draw: this car has panels on {_listed(tuple(cab.walls))}")
    sheets, plan = sheet_set(cab, findings, since), site_plan(cab)
    files = {"resolved.json": json_bytes(record(cab, findings, blocks(cab)))}
    files.update(_drawn(cab, findings, walls, sheets, plan))
    files.update(_templates(cab, findings, walls, scale))
    files.update(_report(cab, findings, sheets, plan))
    if any(finding.stops == "fabrication" for finding in findings):
        files = {path: content for path, content in files.items() if not path.startswith(SHOP)}
    else:
        files.update(_shop(cab, findings, walls, cam))
    return dict(sorted(files.items()))


def _shop(
    cab: Cab, findings: Sequence[Finding], walls: Sequence[str] | None, cam: CamVersion
) -> Iterator[tuple[str, bytes]]:
    """What the fabricator works from."""
    for path, content in shop_files(cab, findings, walls, cam):
        yield SHOP + path, content


def _drawn(
    cab: Cab, findings: Sequence[Finding], walls: Sequence[str] | None, sheets: Sequence[Sheet], plan: SitePlan
) -> Iterator[tuple[str, bytes]]:
    yield from _sheets(cab, walls, sheets)
    for drawing in DRAWINGS:
        for wall in drawing.walls(cab):
            if not walls or wall in walls:
                sheet = drawing.view(cab, wall, findings)
                for path, written in drawing.files.items():
                    yield path.format(wall=wall), written(sheet, cab)
    if not walls:
        yield from _site(cab, findings, plan)


def _templates(
    cab: Cab, findings: Sequence[Finding], walls: Sequence[str] | None, scale: PrintScale
) -> Iterator[tuple[str, bytes]]:
    """Each rail's drilling template: to look at, and to print on one sheet, in tiles and hole by hole.

    Those to print say in their names which printer they are corrected for, if they are for one.
    """
    from cabdraw.write.pdf import pdf_bytes

    for name, wall in cab.walls.items():
        if wall.rail is not None and (not walls or name in walls):
            path = f"site/drill-{name}"
            yield f"{path}.svg", _svg(on_screen(template(cab, name, findings)), cab)
            yield f"{path}{scale.name}.pdf", pdf_bytes(pages(template(cab, name, findings, scale)))
            yield f"{path}-tiled{scale.name}.pdf", pdf_bytes(tiled(cab, name, findings, scale))
            yield f"{path}-local{scale.name}.pdf", pdf_bytes(local(cab, name, findings, scale))


def _sheets(cab: Cab, walls: Sequence[str] | None, sheets: Sequence[Sheet]) -> Iterator[tuple[str, bytes]]:
    """The sheet set as one PDF and one DXF, and each wall's elevation by itself; only that where walls are named."""
    by_name = {sheet.name: sheet for sheet in sheets}
    for wall in cab.walls:
        if not walls or wall in walls:
            for path, written in ELEVATION.items():
                yield path.format(wall=wall), written(by_name[f"elevation-{wall}"], cab)
    if not walls:
        from cabdraw.write.dxf import set_bytes
        from cabdraw.write.pdf import pdf_bytes

        yield "drawings/set.pdf", pdf_bytes(sheets)
        yield "drawings/set.dxf", set_bytes(sheets, cab.printing.system)


def _site(cab: Cab, findings: Sequence[Finding], plan: SitePlan) -> Iterator[tuple[str, bytes]]:
    """What the installer has in hand but for the templates: of the whole car."""
    for path, content in site_files(cab, findings, plan):
        yield f"site/{path}", content


def _report(
    cab: Cab, findings: Sequence[Finding], sheets: Sequence[Sheet], plan: SitePlan
) -> Iterator[tuple[str, bytes]]:
    """The report of the whole car, whichever walls are drawn."""
    from cabdraw.write.page import page_bytes

    told = report(cab, findings, sheets, shop_parts(cab), plan.steps, plan.kit, plan.needs)
    yield "report.html", page_bytes(told)


def _listed(words: tuple[str, ...]) -> str:
    *most, last = words
    return f"{', '.join(most)} and {last}" if most else last


#: Names that Windows keeps for devices, with or without an ending.
_DEVICES = {"con", "prn", "aux", "nul", *(f"{port}{number}" for port in ("com", "lpt") for number in range(1, 10))}
_LONGEST_NAME = 150


def folder_name(spec: Path) -> str:
    """The name of a spec's folder: the file's name without its ending; raises `BadSpec` if no folder can have it."""
    return folder_called(spec.stem, spec.name)


def folder_called(car: str, file: str) -> str:
    """The name of the folder of a car that its `file` calls so; raises `BadSpec` if no folder can have it."""
    name = unicodedata.normalize("NFC", car)
    what = ""
    size = len(name.encode(errors="replace"))
    if size > _LONGEST_NAME and name.isascii():
        what = f"the file's name is longer than {_LONGEST_NAME} characters"
    elif size > _LONGEST_NAME:
        what = f"the file's name takes {size} bytes, and {_LONGEST_NAME} are the most; some letters take up to four"
    elif any("\ud800" <= letter <= "\udfff" for letter in name):
        what = f"the file's name cannot be read as {sys.getfilesystemencoding()}, which this system is set to"
    elif not name.isprintable() or set(name) & set('<>:"/\\|?*'):
        what = "the file's name holds a character that a folder cannot have in its name everywhere"
    elif not any(letter.isalnum() for letter in name):
        what = "the file's name holds no letter and no digit"
    elif name[0] in ".-~ " or name[-1] in ". ":
        what = "the file's name begins or ends with a sign that a folder's name should not"
    elif name.split(".")[0].rstrip().lower() in _DEVICES:
        what = f'"{name}" is a name that Windows keeps for a device'
    if what:
        hint = "the folder of the package is named after it; rename the file, e.g. larkspur-car-2.yaml"
        raise BadSpec((SpecError(file, 0, 0, "", what, hint),))
    return name

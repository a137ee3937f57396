"""The sheet set: which sheets a car has, in their order, numbered."""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.cab import Cab
from cabdraw.compare import Comparison
from cabdraw.draw.clouds import revised
from cabdraw.draw.cover import cover, notes_sheet, overflow
from cabdraw.draw.detail_sheets import detail_sheet, pages
from cabdraw.draw.elevation import elevation
from cabdraw.draw.front import can_draw, front
from cabdraw.draw.paper import paper
from cabdraw.draw.plan import plan
from cabdraw.draw.schedules import schedule_sheet, schedules
from cabdraw.draw.section import section_pages, section_sheet
from cabdraw.draw.shapes import Sheet
from cabdraw.errors import Finding


def sheet_set(cab: Cab, findings: Sequence[Finding], since: Comparison | None = None) -> list[Sheet]:
    """Every sheet of the set: cover, plan, elevations, front, sections, details, schedules.

    What changed `since` an earlier spec stands in clouds on the elevations.
    """
    names: list[tuple[str, str]] = [("cover", "Cover")]
    if more := overflow(cab):
        names.append(("notes", "Notes and cautions"))
    names.append(("plan", "Plan at rail height"))
    names += [(name, f"{name.capitalize()} wall, elevation") for name in cab.walls]
    if can_draw(cab):
        names.append(("front", "Front, elevation"))
    sections = section_pages(cab)
    names += [(f"sections-{i}", "Sections") for i in range(len(sections))]
    details = pages(cab, paper(cab.sheet.size))
    names += [(f"details-{i}", "Details") for i in range(len(details))]
    tables = schedules(cab)
    names += [(f"schedules-{i}", "Schedules") for i in range(len(tables))]
    numbers = {name: str(i) for i, (name, _) in enumerate(names, 1)}
    index = [(numbers[name], title) for name, title in names]

    def number(name: str) -> str:
        return f"{numbers[name]} of {len(names)}"

    found = [cover(cab, findings, number("cover"), index)]
    if more:
        found.append(notes_sheet(cab, findings, number("notes")))
    found.append(plan(cab, findings, number("plan"), numbers))
    found += [elevation(cab, name, findings, number(name), since) for name in cab.walls]
    if can_draw(cab):
        sheet = front(cab, findings, number("front"))
        found.append(revised(sheet, since) if since is not None else sheet)
    found += [section_sheet(cab, findings, number(f"sections-{i}"), group) for i, group in enumerate(sections)]
    first = 0
    for i, (scale, shown) in enumerate(details):
        found.append(detail_sheet(cab, findings, number(f"details-{i}"), scale, shown, first))
        first += len(shown)
    for i, shapes in enumerate(tables):
        found.append(schedule_sheet(cab, findings, number(f"schedules-{i}"), shapes, i + 1))
    return found

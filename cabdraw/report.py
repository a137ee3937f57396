"""The report: what every reader of a package needs first, as one page for a phone in a car without a network."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence

from cabdraw.cab import Cab, Part, WallName
from cabdraw.draw.cautions import CAR, named
from cabdraw.draw.figures import Figures
from cabdraw.draw.page import (
    Card,
    Cell,
    Drawing,
    Figure,
    Jump,
    Mark,
    Page,
    PartList,
    PartRow,
    Stamp,
    Step,
    Table,
)
from cabdraw.draw.schedules import finishes, materials
from cabdraw.draw.shapes import Sheet
from cabdraw.draw.steps import step_tables
from cabdraw.draw.table import Table as Schedule
from cabdraw.draw.touch import plan_drawing, wall_drawing
from cabdraw.errors import Finding
from cabdraw.install.hardware import Need, to_bring
from cabdraw.install.kit import CALLED, Kit
from cabdraw.install.lists import brought_words
from cabdraw.install.parts import where
from cabdraw.install.steps import Step as WorkStep
from cabdraw.shop.lists import Table as ShopTable
from cabdraw.shop.lists import cut_list, mass_table
from cabdraw.shop.mass import masses
from cabdraw.shop.parts import ShopPart
from cabdraw.units import Length, Mass, Printing

_SEVERITIES = ("error", "warning", "note")
_STOPS = ("fabrication", "drilling", "nothing")
HEADS = ("Step", "Visible", "Overall", "Core", "Thick", "Mass", "Label", "Finish")


def report(
    cab: Cab,
    findings: Sequence[Finding],
    sheets: Sequence[Sheet],
    made: Sequence[ShopPart],
    work: Sequence[WorkStep] = (),
    blocks: Kit | None = None,
    needs: Sequence[Need] = (),
) -> Page:
    """The report of a car: from its sheet set, its parts as the shop makes them, and the steps of the work with the
    blocks and the hardware that they need."""
    by_name = {sheet.name: sheet for sheet in sheets}
    steps = tuple(told_step(cab, step, findings) for step in work)
    job = cab.job
    return Page(
        title=f"{job.project}, {job.car}",
        subtitle="New wall panelling: report",
        issue=", ".join(
            word for word in (f"Revision {job.revision}" if job.revision else "", job.date, job.number) if word
        ),
        about=tuple(about(cab)),
        stamps=tuple(page_stamps(cab, findings)),
        findings=cards(cab, findings),
        walls=tuple(_wall(cab, name, by_name[f"elevation-{name}"], findings) for name in cab.walls),
        plan=plan_drawing(by_name["plan"].views[0], "report-plan") if "plan" in by_name else None,
        steps=steps,
        parts=part_list(cab, made, steps),
        tables=tuple(_lists(cab, findings, made, blocks, needs)),
        cautions=CAR,
        notes=tuple(_notes(cab)),
    )


def part_masses(parts: Iterable[Part], made: Sequence[ShopPart]) -> dict[str, Mass]:
    """The mass of each part, of all its pieces where a fixture splits it; none where one of them is not known."""
    found: dict[str, Mass] = {}
    pieces: dict[str, list[ShopPart]] = {}
    for piece in made:
        pieces.setdefault(piece.mark, []).append(piece)
    for part in parts:
        own = pieces.get(part.mark) or [
            piece for piece in made if piece.kind == part.kind and piece.mark.rpartition("-")[0] == part.mark
        ]
        known = [piece.mass for piece in own if piece.mass is not None]
        if own and len(known) == len(own):
            found[part.mark] = Mass(sum((mass.kg for mass in known), start=known[0].kg * 0))
    return found


def about(cab: Cab) -> Iterator[tuple[str, str]]:
    """What is known of the job and the car as a whole, by name."""
    job = cab.job
    units = "inches" if cab.printing.system == "inch" else "millimetres"
    for name, value in (
        ("Project", job.project), ("Car", job.car), ("Revision", job.revision), ("Date", job.date),
        ("Number", job.number), ("Client", job.client), ("Address", job.address),
        ("Drawn by", job.drawn_by), ("Checked by", job.checked_by), ("Approved by", job.approved_by),
        ("Surveyed", " ".join(word for word in (cab.survey.date, cab.survey.by) if word)), ("Lengths in", units),
    ):  # fmt: skip
        if value:
            yield name, value
    clear = cab.clear
    for name, size in (("width", clear.width), ("depth", clear.depth), ("height", clear.height)):
        if size is not None:
            yield f"Clear {name} inside", cab.printing.both(size)


def page_stamps(cab: Cab, findings: Sequence[Finding]) -> Iterator[Stamp]:
    """What must be seen before anything else."""
    stops = [finding for finding in findings if finding.stops == "fabrication"]
    if stops:
        count = "one finding stops" if len(stops) == 1 else f"{len(stops)} findings stop"
        yield Stamp("NOT FOR FABRICATION", f"{_sentence(count)} fabrication; the shop's files are withheld.")
    drilling = [name for name in cab.walls if _no_drilling(findings, name)]
    if drilling:
        walls = f"{' and '.join(drilling) if len(drilling) < 3 else 'any'} wall{'s' if len(drilling) == 2 else ''}"
        yield Stamp("DO NOT DRILL", f"On {walls}, until the findings that stop drilling are cleared.")


def _no_drilling(findings: Sequence[Finding], wall: str) -> bool:
    return any(finding.stops == "drilling" and finding.wall in (wall, None) for finding in findings)


def cards(cab: Cab, findings: Sequence[Finding]) -> tuple[Card, ...]:
    """The findings by severity, then by what they stop, else in their order."""
    marks = {part.mark for part in cab.parts}
    ordered = sorted(findings, key=lambda found: (_SEVERITIES.index(found.severity), _STOPS.index(found.stops)))
    return tuple(
        Card(
            found.severity, found.code, _sentence(found.message), found.stops, found.where, _sentence(found.hint),
            found.wall or "", tuple(Mark(mark) if mark in marks else mark for mark in found.marks),
        )
        for found in ordered
    )  # fmt: skip


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] if text else ""


def _wall(cab: Cab, name: WallName, sheet: Sheet, findings: Sequence[Finding]) -> Drawing:
    return wall_drawing(cab, name, sheet.views[0], f"report-{name}", wall_stamps(findings, name))


def wall_stamps(findings: Sequence[Finding], wall: str) -> tuple[str, ...]:
    """The marks that must stand over a wall's drawing."""
    stamps = []
    if any(finding.stops == "fabrication" for finding in findings):
        stamps.append("NOT FOR FABRICATION")
    if _no_drilling(findings, wall):
        stamps.append("DO NOT DRILL")
    return tuple(stamps)


_PARTS = (
    "Visible is what shows on the finished wall; overall is the piece as it hangs, hidden edges included; core is"
    " what is cut before edge bands. Cut from the shop's lists, never from here."
)


def part_list(cab: Cab, made: Sequence[ShopPart], steps: Sequence[Step]) -> PartList:
    """Every part of a car with its sizes, its mass and the step in which it goes on."""
    return PartList(HEADS, tuple(_parts(cab, made, steps)), _PARTS)


def _parts(cab: Cab, made: Sequence[ShopPart], steps: Sequence[Step]) -> Iterator[PartRow]:
    figures = Figures(cab)
    masses = part_masses(cab.parts, made)
    when = {mark: step.number for step in steps for mark in step.marks}
    for part in cab.parts:
        finish = cab.finish(part)
        mass = masses.get(part.mark)
        visible = (part.visible.width, part.visible.height) if part.visible is not None else None
        step = when.get(part.mark)
        yield PartRow(
            part.mark,
            part.kind.replace("-", " "),
            part.wall,
            (
                Jump(step) if step is not None else "–",
                _across_up(figures, visible),
                _across_up(figures, (part.width, part.height)),
                _across_up(figures.decimal, part.core),
                _figure(cab.printing.decimal(part.thickness), part.thickness) if part.thickness is not None else "–",
                Figure(mass_words(cab.printing, mass), float(mass.kg)) if mass is not None else "not known",
                _sentence(where(cab, part)),
                f"{finish.code}, {finish.name}" if finish is not None else "–",
            ),
        )


def mass_words(printing: Printing, mass: Mass) -> str:
    """A mass to a tenth, in both units, the spec's own first."""
    lb, kg = f"{float(mass.lb):.1f} lb", f"{float(mass.kg):.1f} kg"
    return f"{lb} ({kg})" if printing.system == "inch" else f"{kg} ({lb})"


def _figure(text: str, length: Length) -> Figure:
    return Figure(text, round(float(length), 6))


def _across_up(said: Callable[[Length], str], size: tuple[Length, Length] | None) -> Cell:
    if size is None:
        return "–"
    return _figure(said(size[0]), size[0]), " × ", _figure(said(size[1]), size[1])


def told_step(cab: Cab, step: WorkStep, findings: Sequence[Finding]) -> Step:
    """A step of the work as its sheet has it."""
    marks = tuple(dict.fromkeys(piece.part.mark for piece in step.pieces))
    every = {part.mark for part in cab.parts}
    stamps = ["NOT FOR FABRICATION"] if any(finding.stops == "fabrication" for finding in findings) else []
    if step.drills and step.wall is not None and _no_drilling(findings, step.wall):
        stamps.append("DO NOT DRILL")
    tables = tuple(linked(table, "step", every) for table in step_tables(cab, step))
    cautions = tuple(named(name) for name in step.cautions)
    return Step(step.number, step.title, marks, step.how, tables, cautions, tuple(stamps))


def _lists(
    cab: Cab, findings: Sequence[Finding], made: Sequence[ShopPart], blocks: Kit | None, needs: Sequence[Need]
) -> Iterator[Table]:
    """Blocks, hardware, masses, finishes, materials; and the cut list, where the shop's files are not withheld."""
    marks = {part.mark for part in cab.parts}
    if blocks is not None:
        yield _blocks(cab, blocks)
    if needs:
        yield _hardware(cab, needs)
    if made:
        found = mass_table(cab, masses(cab, made))
        heads = {"what": "What", "mass_kg": "kg", "mass_lb": "lb", "note": "Note"}
        yield _picked(found, "Masses", heads, marks, ("mass_kg", "mass_lb"))
    for name, schedule in (("finishes", finishes(cab)), ("materials", materials(cab))):
        if schedule.rows:
            yield linked(schedule, name, marks)
    if made and not any(finding.stops == "fabrication" for finding in findings):
        note = "A row for each piece. The shop cuts from shop/cut-list.csv, which has every column."
        yield _picked(cut_list(cab, made), "Cut list", _CUTS, marks, ("core", "blank", "thickness_printed"), note)


_CUTS = {
    "mark": "Mark", "class": "Class", "made": "Made of", "core": "Core", "blank": "Blank",
    "thickness_printed": "Thick", "material": "Material", "grain": "Grain", "edge_band": "Edge band",
    "grooves": "Grooves", "bends": "Bends", "openings": "Cut out", "people": "People",
}  # fmt: skip


def _blocks(cab: Cab, blocks: Kit) -> Table:
    figures = Figures(cab)
    rows = []
    for row in blocks.rows:
        size: Cell = _figure(figures(row.size), row.size)
        if row.across is not None:
            size = _across_up(figures, (row.size, row.across))
        what = _sentence(" and ".join(CALLED[kind] for kind in row.kinds))
        rows.append((row.letter, size, what, str(row.count), str(row.at_once), "; ".join(row.used)))
    heads = ("Letter", "Size", "What", "Places", "At once", "Where used")
    note = (
        f"The fewest sizes that keep each gap within {figures(blocks.tolerance)}."
        if blocks.fewest
        else "Each gap's own size, to the nearest increment."
    )
    return Table("blocks", "Spacer blocks", heads, tuple(rows), (False, True, False, True, True, False), note)


def _hardware(cab: Cab, needs: Sequence[Need]) -> Table:
    rows = []
    for bought in to_bring(cab, needs):
        needed, spares, bring, unit = brought_words(cab, bought)
        rows.append((_sentence(bought.item), bought.size, needed, spares, bring, unit))
    heads = ("What", "Size", "Needed", "Spares", "Bring", "")
    right = (False, False, True, True, True, False)
    return Table("hardware", "Hardware to bring", heads, tuple(rows), right, "By step: see the steps.")


def _picked(
    found: ShopTable,
    title: str,
    heads: Mapping[str, str],
    marks: Collection[str],
    right: Collection[str],
    note: str = "",
) -> Table:
    """Some columns of a list of the shop, under plainer headings."""
    at = [found.header.index(column) for column in heads]
    rows = tuple(tuple(_said(row[i], marks) for i in at) for row in found.rows)
    return Table(found.name, title, tuple(heads.values()), rows, tuple(column in right for column in heads), note)


def _said(cell: object, marks: Collection[str]) -> Cell:
    if cell is None or cell == "":
        return "–"
    words = f"{cell:.1f}" if isinstance(cell, float) else str(cell)
    return Mark(words) if words in marks else words


def linked(schedule: Schedule, name: str, marks: Collection[str], note: str = "") -> Table:
    """A schedule as a list of the page, its cells that are a part's mark leading to the part.

    A column without a word in it, for samples say, is left out.
    """
    kept = [i for i in range(len(schedule.heads)) if any(row[i] for row in schedule.rows)]
    rows = tuple(tuple(_said(row[i], marks) for i in kept) for row in schedule.rows)
    right = schedule.right or (False,) * len(schedule.heads)
    heads = tuple(schedule.heads[i] for i in kept)
    return Table(name, schedule.title, heads, rows, tuple(right[i] for i in kept), note)


def _notes(cab: Cab) -> Iterator[str]:
    yield "Left and right are as seen entering the car, facing the back wall; each wall is drawn as seen from inside."
    yield "Heights count from the finished floor."
    yield "Made to the least reading of the field survey; check every governing size on the bare shell before cutting."
    yield "Drill only from the drilling template, and only where its cautions are met."

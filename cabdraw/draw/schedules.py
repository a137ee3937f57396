"""Schedules: panels and boards, trims and splines, hardware, finishes and materials."""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.cab import BOARD_BANDS, Cab, Part
from cabdraw.draw.column import Column
from cabdraw.draw.figures import Figures
from cabdraw.draw.paper import paper
from cabdraw.draw.shapes import Shape, Sheet
from cabdraw.draw.table import Press, Table
from cabdraw.draw.title import Title
from cabdraw.errors import Finding
from cabdraw.units import Length

BOARDS = ("panel", *BOARD_BANDS)


def boards(cab: Cab) -> Table:
    """Every board: its visible size, thickness, grain and what is cut out of it."""
    figures = Figures(cab)
    rows = []
    for part in cab.parts:
        if part.kind not in BOARDS or part.thickness is None:
            continue
        cuts = ", ".join(f"{cut.kind} for {cut.fixture}" for cut in part.cuts)
        grain = {"none": "–", None: "–"}.get(part.grain, part.grain or "–")
        thick = cab.printing.decimal(part.thickness)
        rows.append((part.mark, figures(part.width), figures(part.height), thick, grain, cuts or "–"))
    heads = ("Mark", "Width", "Height", "Thick", "Grain", "Cut out")
    right = (False, True, True, True, False, False)
    return Table("Panels and boards, visible sizes", heads, tuple(rows), right, (5,))


def strips(cab: Cab) -> Table:
    """Splines, reveals, bases, friezes, trims and rails of one size in one row, with how many there are."""
    figures = Figures(cab)
    groups: dict[tuple[str, Length, Length, Length | None], list[Part]] = {}
    for part in cab.parts:
        if part.kind not in BOARDS:
            groups.setdefault((part.kind, part.width, part.height, part.thickness), []).append(part)
    rows = []
    for (kind, width, height, _), parts in groups.items():
        marks = parts[0].mark if len(parts) == 1 else f"{parts[0].mark} and {len(parts) - 1} more"
        thick = cab.printing.decimal(parts[0].thickness) if parts[0].thickness is not None else "–"
        rows.append((kind.replace("-", " "), marks, str(len(parts)), figures(width), figures(height), thick))
    heads = ("Part", "Mark", "No.", "Across", "Up", "Thick")
    return Table("Trims, splines, strips, rails", heads, tuple(rows), (False, False, True, True, True, True))


def materials(cab: Cab) -> Table:
    """What the boards are made of, front to back; walls of one build-up in one block."""
    groups: dict[tuple[tuple[str, str], ...], list[str]] = {}
    for name, wall in cab.walls.items():
        built = tuple((layer.material, cab.printing.decimal(layer.thickness)) for layer in wall.layers)
        groups.setdefault(built or (("board", cab.printing.decimal(wall.thickness)),), []).append(name)
    rows = []
    for built, names in groups.items():
        words = "all walls" if len(names) == len(cab.walls) else ", ".join(names)
        rows += [(words, material, thick) for material, thick in built]
    return Table("Materials, front to back", ("Walls", "Layer", "Thick"), tuple(rows), (False, False, True))


def finishes(cab: Cab) -> Table:
    """The finishes by band and tier, and where a wall has its own; a finish without fire-test evidence says so."""
    found = [(band, finish) for band, finish in cab.finishes.items()]
    for name, own in cab.wall_finishes.items():
        found += [(f"{band}, {name} wall", finish) for band, finish in own.items() if cab.finishes.get(band) != finish]
    rows = tuple(
        ("", where, f.code, f.name, f.material or "–", f.colour_said, f.texture, f.fire or "no evidence given")
        for where, f in found
    )
    heads = ("Sample", "Where", "Code", "Finish", "Material", "Colour", "Texture", "Fire-test evidence")
    return Table("Finishes", heads, rows, wraps=(3, 4, 7), swatches=tuple(finish for _, finish in found))


def hardware(cab: Cab) -> Table:
    """What fixes the rails, by wall."""
    figures = Figures(cab)
    rows = []
    for name, wall in cab.walls.items():
        rail = wall.rail
        if rail is None:
            continue
        shape = "round" if rail.shape == "round" else "flat"
        rows.append((name, f"{shape} rail {figures(rail.height)}", "1", f"{figures(rail.length)} long"))
        apart = dict.fromkeys(figures(bay) for bay in rail.bays)
        rows.append((name, "standoffs", str(len(rail.standoffs)), f"{' or '.join(apart)} apart"))
        if rail.bolt is not None and rail.bolt.length is not None:
            long = cab.printing.decimal(rail.bolt.length)
            rows.append(
                (name, "bolts and anchors", str(len(rail.standoffs)), f"{long} long, hole {figures(rail.hole)}")
            )
        rows.append((name, "air-gap packers at bolts", str(len(rail.standoffs)), f"{figures(wall.air_gap)} thick"))
    heads = ("Wall", "Item", "No.", "Size")
    return Table("Handrail hardware, without spares", heads, tuple(rows), (False, False, True, False))


def schedules(cab: Cab) -> list[list[Shape]]:
    """The shapes of each schedule sheet."""
    page = paper(cab.sheet.size)
    tables = [boards(cab), strips(cab), materials(cab), finishes(cab), hardware(cab)]
    return Press(page.times).flow(tables, page.drawing.inset(7.0))


def schedule_sheet(cab: Cab, findings: Sequence[Finding], number: str, shapes: Sequence[Shape], index: int) -> Sheet:
    """One sheet of schedules; `index` counts them from 1."""
    page = paper(cab.sheet.size)
    title = Title("Schedules", "Parts, materials, finishes, hardware", "none", "Schedule", number)
    column = Column(cab, page, title, findings)
    column.notes(
        "Notes",
        [
            "Sizes here are as seen (boards) or overall (metal, splines). Cut from the shop's lists, not from here.",
            "Across and up are as the part hangs on the wall.",
            "Fire-test evidence is for the whole assembly as built; check with the authority that has jurisdiction.",
        ],
    )
    return column.sheet(f"schedules-{index}", "Schedules", (), shapes)

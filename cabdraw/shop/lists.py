"""The shop's lists: what to cut, groove, bend and lift, each with fixed columns that say what they hold.

Numbers are in the unit that the row names, with up to six places, so that they add up; what is printed for
people stands beside them in columns of its own.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from cabdraw.cab import Cab
from cabdraw.frozen import Frozen
from cabdraw.rational import Fraction
from cabdraw.shop.mass import Masses, people
from cabdraw.shop.parts import ShopPart, Size
from cabdraw.units import INCH, Length, Mass, decimal_text, fixed_text

#: A number as it stands in a list is exact in the spec's increments: six places of an inch or a mm.
_PLACES = 6
Cell = str | int | float | None


class Table(Frozen):
    """A list: its file's name without ending, its columns with what each holds, and its rows."""

    name: str
    columns: tuple[tuple[str, str], ...]
    rows: tuple[tuple[Cell, ...], ...]

    @property
    def header(self) -> tuple[str, ...]:
        """The names of its columns."""
        return tuple(name for name, _ in self.columns)


CUT_LIST = (
    ("mark", "the piece's own mark, as on drawings and labels"),
    ("class", "identical pieces have one class, in every car and revision; any of them can stand in for another"),
    ("kind", "what it is"),
    ("wall", "the wall that it hangs on, or is called after"),
    ("tier", "its tier, for panels and what stands between them"),
    ("order", "its place from the left, or from the floor"),
    ("made", "board, sheet (flat metal or strip), bar, or bought"),
    ("unit", "inch or mm: what the numbers of this row are in"),
    ("visible_width", "what shows, across; empty if nothing does"),
    ("visible_height", "what shows, up"),
    ("finished_width", "overall, across: edge bands, tabs and hidden legs included"),
    ("finished_height", "overall, up"),
    ("core_width", "what is cut to size, across: a board before its edge bands, metal flat before its bends"),
    ("core_height", "what is cut to size, up"),
    ("blank_width", "what the core is cut from, across: a board before pressing, larger on each side"),
    ("blank_height", "what the core is cut from, up"),
    ("thickness", "its thickness; for a standoff its length"),
    ("visible", "the visible size as printed"),
    ("finished", "the finished size as printed"),
    ("core", "the core size as printed"),
    ("blank", "the blank size as printed"),
    ("thickness_printed", "the thickness as printed, a decimal and never a gauge"),
    ("material", "what is cut: a board's core, or the metal"),
    ("layers", "a board's layers, front to back, with their thicknesses"),
    ("grain", "vertical or horizontal as the part hangs, or none"),
    ("finish", "the finish's code and name"),
    ("edge_band", "thickness of the edge band, and the edges that get one as seen from the face"),
    ("grooves", "how many grooves in its edges; each is a row of edges.csv"),
    ("openings", "what is cut out of it, and for which fixture"),
    ("bends", "how many bends and hems; each is a row of bends.csv"),
    ("mass_kg", "its mass; empty if a density or a thickness is not known"),
    ("mass_lb", "the same in pounds"),
    ("people", "how many lift it: two above 18 kg (40 lb), common practice"),
    ("file", "its flat for the machine, within shop/parts"),
    ("car", "the car"),
    ("revision", "the drawings' revision"),
)
EDGES = (
    ("mark", "the piece's own mark"),
    ("class", "its class"),
    ("edge", "left, right, bottom or top, as seen from the face"),
    ("unit", "inch or mm"),
    ("depth", "from the finished edge, its edge band included"),
    ("core_depth", "from the core's edge, for a groove cut before banding"),
    ("width", "the groove's width"),
    ("face_offset", "from the face to the near side of the groove"),
    ("start", "where it starts along the finished edge, from its left or lower end"),
    ("stop", "where it stops"),
    ("depth_printed", "the depth as printed"),
    ("width_printed", "the width as printed"),
    ("face_offset_printed", "the offset as printed"),
    ("enters", "mark of the spline or tab that enters it"),
    ("mates", "marks of what is across the joint"),
    ("car", "the car"),
    ("revision", "the drawings' revision"),
)
BENDS = (
    ("mark", "the piece's own mark"),
    ("class", "its class"),
    ("number", "the bend's number from the first edge"),
    ("kind", "bend or hem"),
    ("angle", "degrees turned from flat"),
    ("direction", "up is towards the room as the face is seen, down away from it"),
    ("unit", "inch or mm"),
    ("thickness", "of the sheet"),
    ("inside_radius", "inside radius of the bend"),
    ("method", "k-factor or din-6935"),
    ("k", "K-factor, or DIN 6935's own factor, which is twice one"),
    ("allowance", "length of the neutral line in the bend"),
    ("deduction", "what the outside lengths add up to more than the flat"),
    ("first_edge", "the edge that positions count from, as seen from the face"),
    ("position", "from that edge of the flat to the middle of the bend"),
    ("leg_before", "outside length of the leg before it"),
    ("leg_after", "outside length of the leg after it"),
    ("flat_width", "developed width of the flat"),
    ("thickness_printed", "the thickness as printed, a decimal and never a gauge"),
    ("position_printed", "the position as printed"),
    ("car", "the car"),
    ("revision", "the drawings' revision"),
)
MASS = (
    ("what", "wall, car or a line of the balance"),
    ("mass_kg", "in kilograms"),
    ("mass_lb", "in pounds"),
    ("note", "what it counts"),
    ("car", "the car"),
)


def cut_list(cab: Cab, parts: Iterable[ShopPart], file_ending: str = "") -> Table:
    """The cut list: a row a piece. `file_ending` stands before `.dxf` in the names of the flats."""
    return Table("cut-list", CUT_LIST, tuple(_cut_row(cab, part, file_ending) for part in parts))


def _cut_row(cab: Cab, part: ShopPart, file_ending: str) -> tuple[Cell, ...]:
    finish = next((cab.finish(own) for own in cab.parts if own.mark == part.of), None)
    metal = part.made != "board"
    return (
        part.mark, part.class_id, part.kind, part.wall, part.tier, part.order, part.made, cab.printing.system,
        *_pair(cab, part.visible), *_pair(cab, part.finished), *_pair(cab, part.core), *_pair(cab, part.blank),
        number(cab, part.thickness),
        _printed(cab, part.visible), _printed(cab, part.finished, metal), _printed(cab, part.core, True),
        _printed(cab, part.blank, True),
        cab.printing.decimal(part.thickness) if part.thickness is not None else None,
        part.material or "not named",
        " + ".join(f"{layer.material or 'not named'} {cab.printing.decimal(layer.thickness)}" for layer in part.layers),
        part.grain, f"{finish.code} {finish.name}" if finish is not None else None,
        f"{cab.printing.decimal(part.edge)} {' '.join(part.banded)}" if part.banded else None,
        len(part.grooves), ", ".join(part.openings) + (", corners squared by hand" if part.square else "") or None,
        len(part.developed.bends) if part.developed is not None else 0,
        *mass_cells(part.mass), people(part.mass),
        f"{part.mark}{file_ending}.dxf" if part.made != "bought" else None, cab.job.car, cab.job.revision,
    )  # fmt: skip


def number(cab: Cab, length: Length | None) -> float | None:
    """A length in the spec's unit, rounded half up to six places; None for none."""
    if length is None:
        return None
    value = length.mm / INCH if cab.printing.system == "inch" else length.mm
    return float(Fraction((value * 10**_PLACES + Fraction(1, 2)).__floor__(), 10**_PLACES))


def _pair(cab: Cab, size: Size | None) -> tuple[float | None, float | None]:
    return (None, None) if size is None else (number(cab, size.width), number(cab, size.height))


def _printed(cab: Cab, size: Size | None, decimal: bool = False) -> str | None:
    if size is None:
        return None
    say = cab.printing.decimal if decimal else cab.printing.size
    return f"{say(size.width)} x {say(size.height)}"


def mass_cells(mass: Mass | None) -> tuple[float | None, float | None]:
    """A mass in kilograms and in pounds, to three places; None for one that is not known."""
    if mass is None:
        return None, None
    return float(decimal_text(mass.kg, 3)), float(decimal_text(mass.lb, 3))


def edge_table(cab: Cab, parts: Iterable[ShopPart]) -> Table:
    """The grooves in edges, which a machine that works on faces cannot show: a row a groove."""
    rows: list[tuple[Cell, ...]] = []
    for part in parts:
        for g in part.grooves:
            banded = part.edge if g.edge in part.banded else part.edge * 0
            core_depth = g.depth - banded
            rows.append(
                (
                    part.mark, part.class_id, g.edge, cab.printing.system,
                    *(number(cab, size) for size in (g.depth, core_depth, g.width, g.offset, g.start, g.stop)),
                    cab.printing.size(g.depth), cab.printing.decimal(g.width), cab.printing.size(g.offset),
                    g.enters, " ".join(g.mates), cab.job.car, cab.job.revision,
                )
            )  # fmt: skip
    return Table("edges", EDGES, tuple(rows))


def bend_table(cab: Cab, parts: Iterable[ShopPart]) -> Table:
    """The bends of the sheet-metal parts: a row a bend; a part without a profile has none."""
    rows: list[tuple[Cell, ...]] = []
    for part in parts:
        for line in part.developed.bends if part.developed is not None else ():
            assert part.developed is not None
            profile = part.developed.profile
            rows.append(
                (
                    part.mark, part.class_id, line.number, line.kind, float(line.angle), line.direction,
                    cab.printing.system, number(cab, profile.thickness), number(cab, line.radius), profile.method,
                    float(fixed_text(Fraction(line.k), 4)),
                    *(number(cab, size) for size in (line.allowance, line.deduction)),
                    "bottom" if part.along == "x" else "left",
                    *(number(cab, size) for size in (line.position, line.before, line.after, part.developed.width)),
                    cab.printing.decimal(profile.thickness), cab.printing.decimal(line.position),
                    cab.job.car, cab.job.revision,
                )
            )  # fmt: skip
    return Table("bends", BENDS, tuple(rows))


def mass_table(cab: Cab, found: Masses) -> Table:
    """The masses of walls and car, and the balance against what may be added."""
    unknown = "" if found.complete else "; parts of unknown mass are not in it"
    heaviest = found.heaviest
    lines: list[tuple[str, Mass | None, str]] = [
        *((f"{wall} wall", mass, f"its parts, trims of that name included{unknown}") for wall, mass in found.walls),
        ("added", found.added, f"all new parts, without hardware and adhesive{unknown}"),
        ("removed", found.removed, "as the survey gives it" if found.removed is not None else "not given"),
        ("net", found.net, "added less removed" if found.net is not None else "not known"),
        (
            "allowance",
            found.allowance,
            "5 % of rated load plus the car's own mass; beyond it, up or down, the licensed mechanic has to evaluate",
        ),
        (
            "heaviest lift",
            heaviest.mass if heaviest is not None else None,
            f"{heaviest.mark}: {'two people' if found.people == 2 else 'one person'}" if heaviest is not None else "",
        ),
    ]
    rows = tuple((what, *mass_cells(mass), note, cab.job.car) for what, mass, note in lines)
    return Table("mass", MASS, rows)


def joined(tables: Sequence[Table]) -> Table:
    """The rows of several cars' lists of one kind in one, car after car."""
    first = tables[0]
    return Table(first.name, first.columns, tuple(row for table in tables for row in table.rows))

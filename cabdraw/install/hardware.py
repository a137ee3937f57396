"""What goes into the bags: screws, studs, bolts, packers, tape and sealant, counted from the geometry."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import ceil, pi
from typing import Literal

from cabdraw.cab import BOARD_BANDS, TIERS, Bolt, Cab, Wall, WallName
from cabdraw.frozen import Frozen
from cabdraw.install.order import Stage
from cabdraw.install.screws import FixingLine, fixing_lines
from cabdraw.rational import Fraction
from cabdraw.units import ZERO, Length, decimal_text, inch, mm, total

Unit = Literal["pieces", "length", "cartridges"]
#: Spares are at least so many pieces of a kind, where there are any (common practice).
LEAST_SPARES = 2
#: Steps in which screws are stocked: 1/8 in, 1 mm (common practice); a length is rounded down to them.
_SCREW_STEPS = {"inch": inch("1/8"), "mm": mm(1)}


class Need(Frozen):
    """Hardware of one kind for one stage on one wall.

    `amount` is a number of pieces, or a length in mm where `unit` is length, or ml of sealant where it is
    cartridges. `stage` is the index of the stage in the order of the work.
    """

    stage: int
    wall: WallName | None
    item: str
    size: str
    amount: Fraction
    unit: Unit
    note: str = ""


class Bought(Frozen):
    """What to bring of one kind and size: what is needed, the spares, and both."""

    item: str
    size: str
    needed: Fraction
    spares: Fraction
    unit: Unit

    @property
    def brought(self) -> Fraction:
        """Needed and spare together."""
        return self.needed + self.spares


def hardware(cab: Cab, stages: Sequence[Stage]) -> tuple[Need, ...]:
    """Everything that the stages take, in their order."""
    return tuple(need for index, stage in enumerate(stages) for need in _stage(cab, index, stage))


def to_bring(cab: Cab, needs: Iterable[Need]) -> tuple[Bought, ...]:
    """The needs of all stages by kind and size, with spares: the stated share, rounded up, at least two pieces.

    Sealant is in whole cartridges, what the spares add included.
    """
    share = cab.fixings.spares if cab.fixings is not None else Fraction(0)
    groups: dict[tuple[str, str, Unit], Fraction] = {}
    for need in needs:
        key = (need.item, need.size, need.unit)
        groups[key] = groups.get(key, Fraction(0)) + need.amount
    found = []
    for (item, size, unit), amount in groups.items():
        if unit == "pieces":
            spares = Fraction(max(LEAST_SPARES, ceil(amount * share)) if share else 0)
        elif unit == "length":
            spares = amount * share
        else:
            assert cab.fixings is not None
            assert cab.fixings.sealant is not None
            cartridge = cab.fixings.sealant.cartridge
            whole = Fraction(ceil(amount / cartridge))
            amount, spares = whole, Fraction(ceil(amount * (1 + share) / cartridge)) - whole
        found.append(Bought(item, size, amount, spares, unit))
    return tuple(found)


def _stage(cab: Cab, index: int, stage: Stage) -> Iterator[Need]:
    yield from _rail(cab, index, stage)
    if cab.fixings is None:
        return
    wall = cab.walls.get(stage.wall) if stage.wall is not None else None
    if wall is not None:
        yield from _screws(cab, index, stage, wall)
        yield from _packers(cab, index, stage, wall)
        yield from _reveal_tape(cab, index, stage, wall)
    yield from _trim_tape(cab, index, stage)
    if stage.kind == "finish":
        yield from _sealant(cab, index)


def lines_of(cab: Cab, stage: Stage) -> tuple[FixingLine, ...]:
    """The lines of screws and studs that a stage puts in: those of its own parts."""
    wall = cab.walls.get(stage.wall) if stage.wall is not None else None
    return tuple(line for line in fixing_lines(cab, wall) if line.mark in stage.marks) if wall is not None else ()


def screw_length(cab: Cab, line: FixingLine) -> Length | None:
    """The longest screw that stays within the reach behind the shell, rounded down; None without a shell."""
    if line.through is None or cab.fixings is None:
        return None
    return (line.through + cab.fixings.screw_reach).floor_to(_SCREW_STEPS[cab.printing.system])


def _screws(cab: Cab, index: int, stage: Stage, wall: Wall) -> Iterator[Need]:
    size = cab.printing.size
    names = {"base-screw": "self-drilling screw", "spline-screw": "self-drilling screw", "pad-stud": "pad stud"}
    for line in lines_of(cab, stage):
        if not line.fixings:
            continue
        longest = screw_length(cab, line)
        words = f"{size(longest)} at most" if longest is not None else "measure the shell first"
        places = ", ".join(size(f.x if line.axis == "x" else f.y) for f in line.fixings)
        along = "from the left end" if line.axis == "x" else "above the floor"
        note = f"{line.mark}: {places} {along}"
        yield Need(index, wall.name, names[line.kind], words, Fraction(len(line.fixings)), "pieces", note)


def _packers(cab: Cab, index: int, stage: Stage, wall: Wall) -> Iterator[Need]:
    """Packers at the ends and the joints of what is set, so far apart up it as the spec says; and their shims."""
    assert cab.fixings is not None
    spacing = cab.fixings.packers
    if spacing is None or stage.band is None:
        return
    band = wall.bands[stage.band]
    metal = band.kind in ("base", "frieze")
    deep = wall.projection - cab.joint.groove_offset - cab.joint.tab_thickness if metal else wall.air_gap
    if deep <= ZERO:
        return
    lines = len(wall.columns) + 1
    rows = max(2, -(-band.height.mm // spacing.mm) + 1) if band.kind in TIERS else 1
    if band.kind in BOARD_BANDS:
        rows = 2 if band.height > spacing / 2 else 1
    count = Fraction(lines * rows)
    note = f"ends and joints, {rows} up each" if rows > 1 else "ends and joints"
    yield Need(index, wall.name, "air-gap packer", f"{cab.printing.size(deep)} thick", count, "pieces", note)
    if cab.fixings.shims:
        words = '1/32", 1/16"' if cab.printing.system == "inch" else "0.5, 1 mm"
        yield Need(index, wall.name, "shim", words, count * cab.fixings.shims, "pieces", "as needed")


def _rail(cab: Cab, index: int, stage: Stage) -> Iterator[Need]:
    if stage.kind != "rail" or stage.wall is None:
        return
    wall = cab.walls[stage.wall]
    rail = wall.rail
    assert rail is not None
    size, decimal = cab.printing.size, cab.printing.decimal
    count = Fraction(len(rail.standoffs))
    yield Need(index, wall.name, "standoff", f"{size(rail.standoff)} clear", count, "pieces",
               "at " + ", ".join(size(s.x) for s in rail.standoffs) + " from the left end")  # fmt: skip
    bolt = rail.bolt
    if bolt is not None and bolt.length is not None:
        yield Need(index, wall.name, "bolt", f"{decimal(bolt.length)} long", count, "pieces", bolt_words(cab, bolt))
    else:
        why = "length not known: see the findings" if rail.bolted else "the spec names no bolt"
        yield Need(index, wall.name, "bolt", "–", count, "pieces", why)
    yield Need(
        index, wall.name, "anchor", f"hole {size(rail.hole)}", count, "pieces", "grips the shell: its data sheet"
    )
    if wall.air_gap > ZERO:
        words = f"{size(wall.air_gap)} long"
        yield Need(index, wall.name, "compression sleeve", words, count, "pieces", "round each bolt in the air gap")


def engagement(wall: Wall, bolt: Bolt) -> tuple[tuple[Length, Length], tuple[Length, Length]] | None:
    """The thread that a bolt's length leaves at both ends: least and greatest in the standoff, and past the shell.

    What the one end has, the other lacks: together they are the length less the stack. None without a length.
    """
    if bolt.length is None:
        return None
    both = bolt.length - bolt.stack
    least = bolt.thread[0]
    if wall.verified is not None and wall.depth is not None:
        least = max(least, both - wall.depth)
    most = min(bolt.thread[1], both - bolt.anchor)
    return (least, most), (both - most, both - least)


def bolt_words(cab: Cab, bolt: Bolt) -> str:
    """What a bolt goes through and how much of its thread each end may have."""
    assert bolt.length is not None
    decimal = cab.printing.decimal
    wall = next(wall for wall in cab.walls.values() if wall.rail is not None and wall.rail.bolt is bolt)
    ends = engagement(wall, bolt)
    assert ends is not None
    (least, most), (short, long) = ends
    return (
        f"through {decimal(bolt.stack)}; standoff takes {decimal(least)} to {decimal(most)},"
        f" leaving {decimal(long)} to {decimal(short)} past the shell"
    )


def _reveal_tape(cab: Cab, index: int, stage: Stage, wall: Wall) -> Iterator[Need]:
    assert cab.fixings is not None
    if "reveals" not in cab.fixings.tape:
        return
    strips = [part for part in wall.parts if part.mark in stage.marks and part.kind.endswith("-reveal")]
    length = total(part.height if part.kind == "vertical-reveal" else part.width for part in strips)
    if length:
        yield Need(index, wall.name, "double-sided tape", "for reveals", length.mm, "length", "one run a strip")


def _trim_tape(cab: Cab, index: int, stage: Stage) -> Iterator[Need]:
    assert cab.fixings is not None
    if "trims" not in cab.fixings.tape or stage.kind not in ("corner-trims", "front-trims"):
        return
    runs = 2 if stage.kind == "corner-trims" else 1
    for trim in (trim for trim in cab.trims if trim.mark in stage.marks):
        note = f"{trim.mark}: {'one run a leg' if runs == 2 else 'one run'}"
        yield Need(index, trim.wall, "double-sided tape", "for trims", trim.height.mm * runs, "length", note)


def _sealant(cab: Cab, index: int) -> Iterator[Need]:
    """Sealant by bead and length: a round bead as thick as stated (volume by geometry)."""
    assert cab.fixings is not None
    sealant = cab.fixings.sealant
    if sealant is None:
        return
    section = Fraction(pi).limit_denominator(10**6) / 4 * sealant.bead.mm**2
    for name, wall in cab.walls.items():
        runs: list[tuple[str, Length]] = []
        for end, neighbour in zip(("left", "right"), cab.neighbours(name), strict=True):
            if neighbour in ("front", "rear") and "returns" in sealant.along:
                runs.append((f"{neighbour} return", wall.height))
            elif neighbour not in ("front", "rear") and "corners" in sealant.along:
                runs.append((f"{end} corner", wall.height))
        if "ceiling" in sealant.along:
            runs.append(("ceiling", wall.run))
        length = total(run for _, run in runs)
        if length:
            size = f"bead {cab.printing.size(sealant.bead)}, {decimal_text(sealant.cartridge, 0)} ml"
            note = f"{' and '.join(word for word, _ in runs)}: {cab.printing.size(length)} of bead"
            yield Need(index, name, "sealant", size, length.mm * section / 1000, "cartridges", note)

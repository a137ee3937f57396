"""The steps of the work, each with all that the installer needs to hand: parts, blocks, hardware, places, checks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cabdraw.cab import TIERS, Cab, Wall, WallName
from cabdraw.frozen import Frozen
from cabdraw.install.hardware import Need, lines_of
from cabdraw.install.kit import Kit, Place
from cabdraw.install.order import Removal, Stage, StageKind
from cabdraw.install.packing import Bundle
from cabdraw.install.parts import Piece
from cabdraw.install.said import cautions, how, title
from cabdraw.install.screws import FixingLine
from cabdraw.shop.mass import people
from cabdraw.units import ZERO, Length, decimal_text


class Height(Frozen):
    """A height to set something to, above the finished floor."""

    words: str
    y: Length


class Across(Frozen):
    """A place along a wall, from its left end where it is narrowest."""

    words: str
    x: Length


class Check(Frozen):
    """Something to check and sign or measure; `should` is what it should be, None where it is only signed."""

    words: str
    should: Length | None = None


class BlockUse(Frozen):
    """A block of the kit where a step uses it."""

    letter: str
    size: Length
    across: Length | None
    places: tuple[Place, ...]


class Step(Frozen):
    """One step of the work, numbered from 1. `pieces` stand in the order in which they go on.

    `cautions` are the names of the cautions that belong to it; `drills` is whether anything enters the shell.
    """

    number: int
    kind: StageKind
    title: str
    wall: WallName | None
    band: int | None
    pieces: tuple[Piece, ...]
    blocks: tuple[BlockUse, ...]
    hardware: tuple[Need, ...]
    heights: tuple[Height, ...]
    across: tuple[Across, ...]
    checks: tuple[Check, ...]
    cautions: tuple[str, ...]
    how: tuple[str, ...]
    lines: tuple[FixingLine, ...]
    drills: bool
    bundles: tuple[Bundle, ...] = ()
    removals: tuple[Removal, ...] = ()


def steps(
    cab: Cab,
    stages: Sequence[Stage],
    kit: Kit,
    needs: Sequence[Need],
    pieces: Sequence[Piece],
    bundles: Sequence[Bundle],
    removals: Sequence[Removal],
) -> tuple[Step, ...]:
    """The steps of a car, one for each stage of its order."""
    found = []
    for index, stage in enumerate(stages):
        wall = cab.walls.get(stage.wall) if stage.wall is not None else None
        of_mark: dict[str, list[Piece]] = {}
        for piece in pieces:
            of_mark.setdefault(piece.part.mark, []).append(piece)
        here = tuple(piece for mark in stage.marks for piece in of_mark.get(mark, ()))
        hardware = tuple(need for need in needs if need.stage == index)
        lines = lines_of(cab, stage)
        drills = bool(lines) or stage.kind == "rail"
        found.append(
            Step(
                number=index + 1,
                kind=stage.kind,
                title=title(cab, stage),
                wall=stage.wall,
                band=stage.band,
                pieces=here,
                blocks=_blocks(cab, kit, stage),
                hardware=hardware,
                heights=tuple(_heights(cab, wall, stage)) if wall is not None else (),
                across=tuple(_across(wall, stage)) if wall is not None else (),
                checks=tuple(_checks(cab, stage, wall, here)),
                cautions=cautions(stage, drills, tuple(need.item for need in hardware)),
                how=(*how(cab, stage, wall, bool(lines)), *_left_out(lines), *_heavy(cab, here)),
                lines=lines,
                drills=drills,
                bundles=tuple(bundles) if stage.kind == "ready" else (),
                removals=tuple(removals) if stage.kind == "finish" else (),
            )
        )
    return tuple(found)


def _left_out(lines: Sequence[FixingLine]) -> Iterator[str]:
    """Where screws are left out, and for what."""
    for line in lines:
        if line.left_out:
            things = " and ".join(dict.fromkeys(met.what for _, met in line.left_out))
            count = len(line.left_out)
            yield f"{line.mark}: {count} screw{'s' if count > 1 else ''} left out for the {things}. Put none there."


def _heavy(cab: Cab, pieces: Sequence[Piece]) -> Iterator[str]:
    """Which pieces take two people, and what the heaviest of them weighs."""
    heavy = [piece for piece in pieces if people(piece.mass) > 1]
    most = max((piece.mass for piece in heavy if piece.mass is not None), default=None)
    if most is not None:
        inch = cab.printing.system == "inch"
        weight = f"{decimal_text(most.lb, 0)} lb" if inch else f"{decimal_text(most.kg, 0)} kg"
        marks = ", ".join(piece.mark for piece in heavy)
        yield f"Two people: {marks}; {weight if len(heavy) == 1 else 'up to ' + weight}."


def _blocks(cab: Cab, kit: Kit, stage: Stage) -> tuple[BlockUse, ...]:
    """The blocks of a stage by letter: its own, and those of the level joint that it stands on."""
    if stage.wall is None:
        return ()
    wall = cab.walls[stage.wall]
    uses: list[tuple[str, Place]] = []
    if stage.kind == "rail":
        uses += kit.at(stage.wall, None, ("prop", "clear"))
    if stage.band is not None:
        below = stage.band - 1
        while below >= 0 and wall.bands[below].kind == "reveal":
            uses += kit.at(stage.wall, below, ("level",))
            below -= 1
        uses += kit.at(stage.wall, stage.band, ("floor", "end", "joint", "prop", "ceiling"))
        back = cab.walls.get("back")
        if stage.wall != "back" and back is not None:
            own, there = wall.bands[stage.band], back.bands
            if stage.band < len(there) and there[stage.band].kind == own.kind:
                gauges = kit.at("back", stage.band, ("gauge",))
                uses += [(letter, place) for letter, place in gauges if place.what.startswith(stage.wall)]
    letters = dict.fromkeys(letter for letter, _ in uses)
    return tuple(
        BlockUse(
            letter,
            kit.row(letter).size,
            kit.row(letter).across,
            tuple(place for other, place in uses if other == letter),
        )
        for letter in letters
    )


def _heights(cab: Cab, wall: Wall, stage: Stage) -> Iterator[Height]:
    if stage.kind == "lines":
        yield Height("level line", cab.site.level_line)
        if wall.rail is not None:
            yield Height("rail, centre", wall.rail.y)
        return
    if stage.kind == "rail" and wall.rail is not None:
        yield Height("underside", wall.rail.y - wall.rail.height / 2)
        yield Height("holes", wall.rail.y)
        yield Height("top of rail", wall.rail.y + wall.rail.height / 2)
        return
    if stage.kind == "fixtures":
        for fixture in wall.fixtures:
            yield Height(f"{fixture.what}, foot", fixture.rect.y)
            yield Height(f"{fixture.what}, head", fixture.rect.top)
        return
    if stage.band is None:
        return
    below = stage.band - 1
    if below >= 0 and wall.bands[below].kind == "reveal" and wall.bands[below].height > ZERO:
        yield Height("level reveal, foot", wall.bands[below].y)
    band = wall.bands[stage.band]
    yield Height(f"{band.kind}, foot", band.y)
    yield Height(f"{band.kind}, head", band.top)


def _across(wall: Wall, stage: Stage) -> Iterator[Across]:
    if stage.kind == "rail" and wall.rail is not None:
        yield Across("rail, left end", wall.rail.x)
        for standoff in wall.rail.standoffs:
            yield Across(f"hole {standoff.number}", standoff.x)
        yield Across("rail, right end", wall.rail.right)
        return
    if stage.kind == "fixtures":
        for fixture in wall.fixtures:
            yield Across(f"{fixture.what}, left", fixture.rect.x)
            yield Across(f"{fixture.what}, right", fixture.rect.right)
        return
    yield Across("row, left end", wall.margins[0])
    band = wall.bands[stage.band].kind if stage.band is not None else ""
    if band in TIERS or stage.kind == "lines":
        for joint, (x, width) in enumerate(wall.columns[:-1], 1):
            yield Across(f"joint {joint}, middle", x + width + wall.reveal / 2)
    yield Across("row, right end", wall.row_end)


def _checks(cab: Cab, stage: Stage, wall: Wall | None, pieces: Sequence[Piece]) -> Iterator[Check]:
    kind = stage.kind
    if kind == "ready":
        yield Check("car locked and tagged out, by (name)")
        yield Check("every paper and label of one revision")
        yield Check("parts counted against the packing list")
        yield Check("blocks cut, measured and lettered")
        yield Check("flooring laid, or its thickness known")
    elif kind == "strip":
        for name, other in cab.walls.items():
            yield from _readings(cab, name, other)
    elif kind == "lines" and wall is not None:
        yield Check("level line up, left", cab.site.level_line)
        yield Check("level line up, right", cab.site.level_line)
        yield Check("shell to plumb line, left", wall.width / 2)
        yield Check("shell to plumb line, right", wall.width / 2)
    elif kind in ("corner-trims", "front-trims"):
        for piece in pieces:
            yield Check(f"{piece.where}: length", piece.height)
        yield Check("each plumb both ways")
    elif kind == "rail" and wall is not None and wall.rail is not None:
        yield Check("bars measured; anchor suits shell")
        for standoff in wall.rail.standoffs:
            yield Check(f"hole {standoff.number} clear: initials")
        yield Check("top of rail, left", wall.rail.y + wall.rail.height / 2)
        yield Check("top of rail, right", wall.rail.y + wall.rail.height / 2)
        yield Check("clear behind the rail", wall.rail.standoff)
        yield Check("pulled: nothing moves")
    elif kind == "fixtures":
        yield Check("each fixture works; nothing pinched")
    elif kind == "finish":
        yield from _gauging(cab)
    elif kind == "service":
        yield Check("change of mass handed to the mechanic")
        yield Check("as-built sizes marked on the drawings")
        yield Check("car returned to service, by (name)")
    elif wall is not None and stage.band is not None:
        yield from _setting(wall, stage.band)


def _readings(cab: Cab, name: str, wall: Wall) -> Iterator[Check]:
    widths = wall.readings.width
    for number, width in enumerate(widths):
        y = wall.height * number / max(1, len(widths) - 1)
        yield Check(f"{name}, width {cab.printing.size(y)} up" if len(widths) > 1 else f"{name}, width", width)
    heights = wall.readings.height
    for number, height in enumerate(heights, 1):
        yield Check(f"{name}, height {number} of {len(heights)} from the left", height)


def _setting(wall: Wall, index: int) -> Iterator[Check]:
    band = wall.bands[index]
    yield Check(f"{band.kind}, head up, left", band.top)
    yield Check(f"{band.kind}, head up, right", band.top)
    if band.kind in TIERS:
        if wall.reveal:
            yield Check("joints, foot and head", wall.reveal)
        yield Check("flush and plumb")
    else:
        yield Check("level")


def _gauging(cab: Cab) -> Iterator[Check]:
    for name, wall in cab.walls.items():
        if wall.reveal and len(wall.columns) > 1:
            yield Check(f"{name}, upright joints", wall.reveal)
        levels = {band.height for band in wall.bands if band.kind == "reveal" and band.height}
        for height in sorted(levels):
            yield Check(f"{name}, level joints of {cab.printing.size(height)}", height)
        if wall.bands[-1].kind == "gap" and wall.bands[-1].height:
            yield Check(f"{name}, gap under the ceiling", wall.bands[-1].height)
    yield Check("vents open at floor and ceiling")
    yield Check("bases clear of sill and returns")
    yield Check("doors cycled: no rattle; hinged return swings clear")
    yield Check("emergency exit, light, telephone, certificate free")

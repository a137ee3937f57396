"""What is said of each stage: its title, how it is done, and which cautions belong to it."""

from __future__ import annotations

from collections.abc import Iterator

from cabdraw.cab import TIERS, Cab, Wall
from cabdraw.install.order import Stage
from cabdraw.units import ZERO

_WHOLE = {
    "ready": "Make safe, and count the parts",
    "strip": "Strip, and measure the bare shell again",
    "corner-trims": "Corner trims",
    "front-trims": "Front trims",
    "finish": "Peel the film, and gauge every gap",
    "service": "Hand back to the mechanic",
}
_ON_A_WALL = {
    "lines": "Level line and plumb line",
    "base": "Base",
    "frieze": "Frieze",
    "strips": "Top strip",
    "rail": "Handrail",
    "fixtures": "Fixtures back on",
}


def title(cab: Cab, stage: Stage) -> str:
    """The title of a stage."""
    if stage.wall is None:
        return _WHOLE[stage.kind]
    wall = cab.walls[stage.wall]
    if stage.band is not None and stage.kind in ("tier", "board"):
        kinds = [band.kind for band in wall.bands]
        kind = kinds[stage.band]
        many = kinds.count(kind) > 1
        words = f"{kind.capitalize()} tier" if kind in TIERS else kind.capitalize()
        words += f" {kinds[: stage.band + 1].count(kind)}" if many else ""
    else:
        words = _ON_A_WALL[stage.kind]
    return f"{words}, {stage.wall} wall"


def cautions(stage: Stage, drills: bool, items: tuple[str, ...]) -> tuple[str, ...]:
    """The names of the cautions that belong to a stage."""
    found = {
        "ready": ["lock-out", "local"],
        "strip": ["live", "opening", "edges"],
        "lines": ["opening"],
        "corner-trims": ["edges"],
        "front-trims": ["edges"],
        "base": ["vents", "edges"],
        "tier": ["edges"],
        "board": ["edges"],
        "frieze": ["edges", "vents"],
        "strips": ["edges"],
        "rail": [],
        "fixtures": ["live", "vents"],
        "finish": ["vents"],
        "service": ["weight", "lock-out"],
    }[stage.kind]
    found = ["drill", *found] if drills else found
    if any(item in ("double-sided tape", "sealant") for item in items):
        found = [*found, "adhesive"]
    return tuple(found)


def how(cab: Cab, stage: Stage, wall: Wall | None, screwed: bool) -> tuple[str, ...]:
    """How a stage is done, in a few sentences."""
    return tuple(_how(cab, stage, wall, screwed))


def _how(cab: Cab, stage: Stage, wall: Wall | None, screwed: bool) -> Iterator[str]:
    size = cab.printing.size
    kind = stage.kind
    if kind == "ready":
        yield "Lay the bundles out in the order of the steps. Cut the blocks from the blocks drawing."
    elif kind == "strip":
        yield "Take off the old finish. Mark proud heads, rivets and seams."
        yield "Measure the bare shell where it was surveyed. If any is less than it should be, stop: call the office."
    elif kind == "lines" and wall is not None:
        yield f"Strike the level line {size(cab.site.level_line)} above the finished floor at the sill, all round."
        yield "Strike the plumb line at half the wall's least width. All places are left or right of it."
        if wall.readings.floor is not None:
            yield "Heights count from the floor's high point."
    elif kind == "corner-trims":
        yield "Stand each in its corner, plumb both ways, floor to ceiling."
    elif kind == "front-trims":
        front = cab.front
        if front is not None and front.cut is not None and len(stage.marks) > len(front.returns):
            yield (
                f"The transom stands {size(front.projects)} proud of the returns: cut each trim at {size(front.cut)},"
                " the cut edge at the floor; piece 2 goes on from there to the top of the return."
            )
        else:
            yield "One piece at each return, plumb."
    elif kind == "base":
        yield "Stand it on the floor blocks, vents down, level along its head. End blocks at both ends."
        if screwed:
            yield "Screw it through packers, so that it stays plumb."
    elif kind == "tier" and wall is not None:
        yield from _tier(wall, stage, screwed)
    elif kind == "board":
        yield from _level_joint(stage, screwed)
        yield "Let the board down onto them. End blocks at both ends; level it along its head."
    elif kind == "frieze":
        yield "Lift it, and drop its tab into the groove below. Check the gap under the ceiling."
    elif kind == "strips":
        yield "Push the strip into the grooves below."
    elif kind == "rail":
        yield "Use the drilling template of this wall, on the level line. Pilot, look, probe; only then the full hole."
        yield "Anchor, sleeve and standoff hand tight; hang the rail on the props; then tighten by hand."
    elif kind == "fixtures":
        yield "The mechanic reconnects what carries current."
    elif kind == "finish":
        yield "Peel the film. Gauge every gap with its block: it goes in, and the next size up does not."
    elif kind == "service":
        yield "Leave the drawings, this sheet as signed, and the spare parts with the building."


def _level_joint(stage: Stage, screwed: bool) -> Iterator[str]:
    spline = any(mark.startswith("spline-") for mark in stage.marks)
    strip = any(mark.startswith("reveal-") for mark in stage.marks)
    if spline:
        yield "Drop the level spline into the grooves below" + (" and screw it." if screwed else ".")
    if strip:
        yield "Then push the strip in, in front of it." if spline else "Push the strip into the grooves below."


def _tier(wall: Wall, stage: Stage, screwed: bool) -> Iterator[str]:
    assert stage.band is not None
    below = wall.bands[stage.band - 1].kind if stage.band else "gap"
    if below == "reveal":
        first = stage.marks.index(next(panel.mark for panel in wall.panels if panel.mark in stage.marks))
        yield from _level_joint(Stage("board", marks=stage.marks[:first]), screwed)
    if below in ("base", "reveal"):
        over = "the base's tab" if below == "base" else "the level spline"
        yield f"Lift each panel over {over}, push it in, and let it down."
    if len(wall.columns) > 1:
        yield from _joints(wall, stage, screwed)


def _joints(wall: Wall, stage: Stage, screwed: bool) -> Iterator[str]:
    """How a tier's panels and their joints go on, in the manner that the order of the work has found."""
    joint = "spline" + (" (screw it)" if screwed else "") + (" and its strip" if wall.reveal > ZERO else "")
    panels = [part for part in wall.panels if part.mark in stage.marks]
    numbers = sorted(panels, key=lambda part: stage.marks.index(part.mark))
    first, last = numbers[0].order, numbers[-1].order
    middle = panels[(len(panels) - 1) // 2].order
    if stage.manner == "joints-last":
        yield f"Every panel first, with joint blocks in each joint. Then let each {joint} down from above."
    elif stage.manner == "inward":
        yield f"From the ends inward: each {joint} goes into the panel that stands; the next slides onto it."
        yield (
            f"Panel {last} last, straight in, the splines of its joints drawn back into its own grooves. Slide them"
            " out through the joints with a hook, and fix them so that they cannot slide back."
        )
    else:
        start = "the middle" if first == middle else f"panel {first}"
        yield (
            f"From {start} outward: each {joint} goes into the panel that stands; the next panel slides sideways onto"
            " it."
        )
        yield "Joint blocks in each joint. The outer panels come in from the free gap at the ends, last."

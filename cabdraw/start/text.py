"""The text of a new spec: what was measured, and the panelling to start from, with remarks."""

from __future__ import annotations

from collections.abc import Iterator

from cabdraw.spec.json_schema import FIRST_LINE
from cabdraw.start.wanted import Wanted, WantedWall
from cabdraw.start.words import lengths, scalar
from cabdraw.survey import CHOICES, line, off

_SEEN = {
    "back": "facing you as you enter; from its left end to its right",
    "left": "on the left as you enter; from the front to the back",
    "right": "on the right as you enter; from the back to the front",
}


def new_text(wanted: Wanted, begun_from: str = "") -> str:
    """A whole spec; `begun_from` is the text with the readings, where a form has them already."""
    head = begun_from.rstrip("\n").splitlines() if begun_from else [*_head(wanted), *_survey(wanted)]
    if head[:1] != [FIRST_LINE]:
        head.insert(0, FIRST_LINE)
    return "\n".join([*head, "", *layout_lines(wanted)]) + "\n"


def _choices(wanted: Wanted) -> dict[str, str]:
    return {key: pair[wanted.units == "mm"] for key, pair in CHOICES.items()}


def _head(wanted: Wanted) -> Iterator[str]:
    sample = "68 1/8 is in inches, and 1730mm" if wanted.units == "inch" else "1730 is in mm, and 68 1/8 in"
    yield f"# One elevator car. A number without a unit is in the units below: {sample} says so itself."
    yield "# Lines that begin with # do nothing until that first sign alone is taken away. Left and right are as seen"
    yield "# on entering the car, facing the back wall."
    yield "cabdraw: 1"
    yield f"units: {wanted.units}"
    yield ""
    yield "job:"
    yield f"  project: {scalar(wanted.project)}"
    yield f"  car: {scalar(wanted.car)}"
    yield off(2, "number:", "the drawing or job number; date:, revision:, client: and drawn_by: go here too")
    yield ""


def _survey(wanted: Wanted) -> Iterator[str]:
    heights = {wall.heights for wall in wanted.walls}
    yield line("survey:", "the bare shell, as measured; the least reading of each size counts")
    yield off(2, "uncertainty:", "how far a reading may be off: taken off every width and height")
    yield off(2, "floor_finish:", "flooring still to be laid: taken off every height")
    if len(heights) == 1:
        yield line(f"  height: {lengths(wanted.walls[0].heights)}", "floor to ceiling, left to right")
    else:
        said = "of the first wall; each wall has its own below, and is made to those"
        yield line(f"  height: {lengths(wanted.walls[0].heights)}", said)
    yield "  walls:"
    for wall in wanted.walls:
        yield from _wall(wall, len(heights) > 1, wanted.units)
    yield off(2, "front:", "the returns beside the door and the transom over it, for their trims")
    for side in ("left", "right"):
        yield off(2, f"  {side}: {{width: , height: }}")
    yield off(2, "  transom: {underside: , projects: 0}")
    yield off(2, "car: {rated_load: , mass: , removed: }", "from the data plate, with lb or kg")


def _wall(wall: WantedWall, own: bool, units: str) -> Iterator[str]:
    yield line(f"    {wall.name}:", _SEEN[wall.name])
    across = "shell to shell" if wall.name == "back" else "from the front return to the back"
    yield line(f"      width: {lengths(wall.widths)}", f"clear, {across}; floor to ceiling where there are several")
    if own:
        yield line(f"      height: {lengths(wall.heights)}", "floor to ceiling, left to right")
    yield off(6, "shell:", f"thickness of the shell sheet, e.g. {'0.0781' if units == 'inch' else '2'}: bolts need it")
    yield off(6, "fixtures:", "what stays on the wall: x from its left end, y from the bare floor")
    yield off(6, "  - {what: , x: , y: , width: , height: , clearance: }")
    yield off(6, "behind:", "left out: not verified, and no drilling")
    yield off(6, "  verified: {by: , date: }", "the mechanic who looked, and when, year-month-day")
    yield off(6, "  depth:", "clear depth behind the shell")


_TIERS: dict[int, tuple[str, ...]] = {1: ("full",), 2: ("lower", "upper"), 3: ("lower", "middle", "upper")}


def layout_lines(wanted: Wanted) -> Iterator[str]:
    """The panelling and the handrail, in sizes that are in common use."""
    c = _choices(wanted)
    names = [wall.name for wall in wanted.walls]
    yield "# The panelling wanted. Sizes in common use to start from; the drafter decides each of them."
    yield "layout:"
    yield "  panel:"
    yield line(f"    air_gap: {c['air_gap']}", "face of the shell to back of the panel")
    yield line(f"    thickness: {c['thickness']}", "or layers:, front to back, each with material and thickness")
    yield line(f"    edge: {c['edge']}", "edge band on each edge: the core is cut that much smaller all round")
    yield line("    grain: vertical", "or horizontal, none")
    yield "  joint:"
    yield line(f"    engagement: {c['engagement']}", "how far a spline, tab or strip enters a groove")
    yield f"    groove_depth: {c['groove_depth']}"
    yield line(f"    clearance: {c['clearance']}", "least room at the bottom of a groove")
    yield line(f"    base_tab: {c['base_tab']}", "the base's upstand, which enters the lowest panels' groove")
    yield line(f"  reveal: {c['gap']}", "visible width of a vertical joint; 0 is a butt joint")
    yield line(f"  corner_gap: {c['gap']}", "visible gap that each wall leaves at an inside corner")
    yield line(f"  front_gap: {c['front_gap']}", "visible gap at a front return")
    if "back" not in names:
        yield line(f"  rear_gap: {c['front_gap']}", "visible gap at a return of the rear opening")
    yield line("  stack:", "every wall, from the floor to the ceiling; fills share what is left")
    yield from (line(f"    - {band}", remark) for band, remark in _stack(wanted, c))
    yield line("  walls:", "panels: how many equal ones, or their ratio as a list")
    for wall in wanted.walls:
        panels = wall.panels[0] if len(wall.panels) == 1 else f"[{', '.join(wall.panels)}]"
        yield f"    {wall.name}: {{panels: {panels}}}"
    if wanted.front:
        said = "over the returns; stock: the length that both pieces of one and a saw cut come out of"
        yield line(f"  front_trim: {{width: {c['front_trim']}, stock: {c['stock']}}}", said)
    if "back" in names and len(names) > 1:
        yield line(f"  corner_trim: {{width: {c['corner_trim']}}}", "over the inside corners")
    if wanted.rail:
        yield from _rail(wanted, c)


def _stack(wanted: Wanted, c: dict[str, str]) -> Iterator[tuple[str, str]]:
    tiers = _TIERS[wanted.tiers]
    yield f"gap: {c['floor']}", "between the floor and the base"
    yield f"base: {c['base']}", "the ventilated base"
    for at, tier in enumerate(tiers):
        if at:
            yield f"reveal: {c['gap']}", "a horizontal joint"
        if at == 1 and wanted.rail:
            yield f"backer: {{height: {c['backer']}, centre: {c['centre']}}}", "what the handrail is bolted through"
            yield f"reveal: {c['gap']}", ""
        yield f"{tier}: fill", "a tier of panels"
    if wanted.tiers > 1:
        yield f"reveal: {c['gap']}", ""
        yield f"crown: {c['crown']}", "the band over the top tier"
    yield f"frieze: {c['frieze']}", "the top band"
    yield f"gap: {c['ceiling']}", "under the ceiling"


def _rail(wanted: Wanted, c: dict[str, str]) -> Iterator[str]:
    yield "handrail:"
    yield f"  walls: [{', '.join(wanted.rail)}]"
    yield line(f"  section: {{round: {c['round']}}}", "or {flat: [height, thickness]}")
    if wanted.tiers == 1:
        yield line(f"  centre: {c['centre']}", "its centre line above the finished floor")
    yield line(f"  standoff: {c['standoff']}", "clear between rail and panel face")
    yield line(f"  end_clearance: {c['end_clearance']}", "end of the row of panels to end of the rail")
    yield line(f"  overhang: {c['overhang']}", "end of the rail to the first standoff, nominal")
    yield line(f"  max_spacing: {c['spacing']}", "greatest spacing of the standoffs")
    if wanted.tiers == 1:
        yield line("  standoffs: clear", "moved clear of the joints behind the rail; rule: evenly, as above")
    yield line("  bolt:", "one of these lengths is chosen where the shell's thickness is given")
    yield line(f"    lengths: [{c['lengths']}]", "in stock")
    yield line(f"    standoff_thread: [{c['thread']}]", "least and greatest engagement in the standoff")
    yield line(f"    anchor: {c['anchor']}", "least length past the shell that the anchor needs")
    yield line(f"    insertion: {c['insertion']}", "clear depth behind the shell that the anchor needs to go in")
    yield line(f"    flange: {c['flange']}", "diameter of the standoff's flange")

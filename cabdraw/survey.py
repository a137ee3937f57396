"""The survey of a bare cab: what is read, where and how often, under one numbering, and a spec to fill it into.

The printed form and the spec are made of the same readings, so a number means the same on both.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from cabdraw.frozen import Frozen
from cabdraw.rational import Fraction

Units = Literal["inch", "mm"]
WALLS = ("back", "left", "right")
#: Readings of one wall: widths up the wall, heights along it. Four or more heights of reading are common
#: practice; five bring one near the handrail of most cars.
WIDTHS, HEIGHTS = 5, 3
#: Rows on the form for what stands on a wall, for holes that are in it already, and for what lies behind it.
FIXTURES, HOLES, OBSTRUCTIONS = 4, 4, 3


class Reading(Frozen):
    """One thing to read: its number on the form and in the spec, and where or what it is.

    `kept` is true for what stays on the form, as a check on the other readings, and has no key in the spec.
    """

    number: str
    what: str
    kept: bool = False


class WallReadings(Frozen):
    """The readings of one wall, seen from inside."""

    name: str
    widths: tuple[Reading, ...]
    heights: tuple[Reading, ...]
    falls: tuple[Reading, ...]
    plumb: tuple[Reading, ...]
    """Six: the left end at the floor, rail height and the ceiling, then the right end."""
    diagonals: tuple[Reading, Reading]
    """From low left to high right, then from high left to low right."""
    bow: tuple[Reading, Reading]
    shell: Reading
    fixtures: tuple[Reading, ...]
    holes: tuple[Reading, ...]
    verified_by: Reading
    verified_on: Reading
    depth: Reading
    obstructions: tuple[Reading, ...]

    @property
    def ends(self) -> tuple[str, str]:
        """What stands at its left and right end as seen from inside."""
        return {"back": ("left wall", "right wall"), "left": ("front", "back"), "right": ("back", "front")}[self.name]


class CarReadings(Frozen):
    """The readings of the car as a whole and of its front."""

    project: Reading
    car: Reading
    by: Reading
    date: Reading
    level: Reading
    uncertainty: Reading
    floor_finish: Reading
    middle: Reading
    across: Reading | None
    """Shell to shell, where there is no back wall to measure it on."""
    rated_load: Reading
    mass: Reading
    removed: Reading
    diagonals: tuple[Reading, ...]
    """Four: from the front left corner and from the front right one, at the floor; then the same two at head height."""
    returns: tuple[tuple[Reading, Reading], ...]
    """Width and height of the left return, then of the right one."""
    underside: Reading
    projects: Reading
    door: Reading


class Survey(Frozen):
    """Everything to be read in one car, in the units that it is read in."""

    units: Units
    car: CarReadings
    walls: tuple[WallReadings, ...]

    @property
    def step(self) -> str:
        """How finely lengths are read (common practice)."""
        return '1/16"' if self.units == "inch" else "1 mm"

    @property
    def level(self) -> str:
        """The usual height of the level line above the finished floor (common practice)."""
        return '48"' if self.units == "inch" else "1200 mm"


def share(index: int, count: int) -> str:
    """Where one of some readings evenly spaced up a wall stands, the first at the floor: `1/4 of the way up`."""
    if index == 0:
        return "at the floor"
    if index == count - 1:
        return "at the ceiling"
    return f"{Fraction(index, count - 1)} of the way up"


def survey(units: Units, walls: Sequence[str] = WALLS) -> Survey:
    """What to read in a car that gets panels on these walls, in the order back, left, right."""
    chosen = [name for name in WALLS if name in walls]
    return Survey(units, _car("back" in chosen), tuple(_wall(name) for name in chosen))


class _Numbers:
    def __init__(self, letter: str) -> None:
        self.letter, self.last = letter, 0

    def __call__(self, what: str, kept: bool = False) -> Reading:
        self.last += 1
        return Reading(f"{self.letter}{self.last}", what, kept)


def _car(back: bool) -> CarReadings:
    car, front = _Numbers("C"), _Numbers("F")
    corners = ("from front left", "from front right")
    return CarReadings(
        project=car("project"),
        car=car("car"),
        by=car("surveyed by"),
        date=car("date, year-month-day"),
        level=car("level line above the finished floor"),
        uncertainty=car("greatest difference of two readings"),
        floor_finish=car("flooring still to be laid, 0 for none"),
        middle=car("floor to ceiling, middle of the car"),
        across=None if back else car("left shell to right shell, least of three"),
        rated_load=car("rated load"),
        mass=car("car's own mass"),
        removed=car("mass of all that is taken out"),
        diagonals=tuple(
            car(f"{corner}, {where}", kept=True) for where in ("floor", "head height") for corner in corners
        ),
        returns=(
            (front("left return, width"), front("left return, height")),
            (front("right return, width"), front("right return, height")),
        ),
        underside=front("floor to transom, the least"),
        projects=front("transom proud of the returns, 0 if flush"),
        door=front("door opening, width", kept=True),
    )


def _wall(name: str) -> WallReadings:
    number = _Numbers(name[0].upper())
    along = ("left end", "middle", "right end")
    levels = ("at the floor", "at rail height", "at the ceiling")
    return WallReadings(
        name=name,
        widths=tuple(number(share(i, WIDTHS)) for i in range(WIDTHS)),
        heights=tuple(number(where) for where in along),
        falls=tuple(number(where) for where in along),
        plumb=tuple(number(f"{end} end, {level}", kept=True) for end in ("left", "right") for level in levels),
        diagonals=(
            number("low left to high right", kept=True),
            number("high left to low right", kept=True),
        ),
        bow=(number("proudest point", kept=True), number("deepest point", kept=True)),
        shell=number("thickness of the shell sheet"),
        fixtures=tuple(number("fixture") for _ in range(FIXTURES)),
        holes=tuple(number("old hole") for _ in range(HOLES)),
        verified_by=number("verified by"),
        verified_on=number("on, year-month-day"),
        depth=number("clear depth behind the shell"),
        obstructions=tuple(number("obstruction") for _ in range(OBSTRUCTIONS)),
    )


#: Column in which comments begin, and the place of a line that is taken out by a # at its start.
_COMMENT = 34


def line(text: str, comment: str = "") -> str:
    """A line with a remark after it, in the column of remarks where there is room."""
    return f"{text:<{_COMMENT - 2}}  # {comment}" if comment else text


def _blank(indent: int, key: str, reading: Reading, more: str = "") -> str:
    said = f"{reading.number:<4} {reading.what}{more}"
    return line(f"{' ' * indent}{key}", said)


def off(indent: int, text: str, comment: str = "") -> str:
    """A line that does nothing until the # at its start is taken away."""
    return line(f"#{' ' * indent}{text}", comment)


def spec_text(survey: Survey) -> str:
    """A spec with every reading left to fill in, under the numbers of the form, and a layout to start from."""
    return "\n".join([*_head(survey), *_job(survey), *_survey(survey), *_layout(survey)]) + "\n"


def _head(survey: Survey) -> Iterator[str]:
    sample = "68 1/8 or 1730mm" if survey.units == "inch" else '1730 or 68 1/8"'
    yield "# The survey of one bare elevator car, to be filled in from the printed form; the numbers are the form's."
    yield f"# Write each value between the key and the comment, lengths as {sample}. A line left blank is refused"
    yield "# by its line number, so that no reading is forgotten. Lines that begin with # do nothing until that first"
    yield "# sign alone is taken away. Left and right are as seen on entering the car, facing the back wall."
    yield "cabdraw: 1"
    yield f"units: {survey.units}"
    yield ""


def _job(survey: Survey) -> Iterator[str]:
    yield "job:"
    yield _blank(2, "project:", survey.car.project)
    yield _blank(2, "car:", survey.car.car)
    yield ""


def _survey(survey: Survey) -> Iterator[str]:
    car = survey.car
    yield "survey:"
    yield _blank(2, "by:", car.by)
    yield _blank(2, "date:", car.date)
    yield _blank(2, "uncertainty:", car.uncertainty)
    yield _blank(2, "floor_finish:", car.floor_finish)
    yield line("  height:", "a check: each wall below has heights of its own, and is made to those")
    yield _blank(4, "-", car.middle)
    if car.across is not None:
        yield _blank(2, "width:", car.across)
    yield "  walls:"
    for wall in survey.walls:
        yield from _wall_lines(wall)
    yield "  front:"
    for side, (width, height) in zip(("left", "right"), car.returns, strict=True):
        yield f"    {side}:"
        yield _blank(6, "width:", width)
        yield _blank(6, "height:", height)
    yield "    transom:"
    yield _blank(6, "underside:", car.underside)
    yield _blank(6, "projects:", car.projects)
    plate = "e.g. 3500 lb" if survey.units == "inch" else "e.g. 1600 kg"
    yield line("  car:", "what is not known: put # before its line; all three not known: before this line too")
    yield _blank(4, "rated_load:", car.rated_load, f", data plate, {plate}")
    yield _blank(4, "mass:", car.mass, ", data plate")
    yield _blank(4, "removed:", car.removed, ", weighed")
    kept = [*car.diagonals, car.door]
    yield f"  # On the form only, as a check: {', '.join(reading.number for reading in kept)}."
    yield "install:"
    yield _blank(2, "level_line:", car.level)
    yield ""


def _wall_lines(wall: WallReadings) -> Iterator[str]:
    left, right = wall.ends
    yield line(f"    {wall.name}:", f"seen from inside: {left} at the left, {right} at the right")
    yield line("      width:", "clear, shell to shell; evenly spaced from floor to ceiling")
    if wall.name != "back":
        yield line("", "the front end is the inside face of the return")
    yield from (_blank(8, "-", reading) for reading in wall.widths)
    yield line("      height:", "floor to ceiling, as found")
    yield from (_blank(8, "-", reading) for reading in wall.heights)
    yield line("      floor:", "below the highest point of the car's floor, at the same places")
    yield from (_blank(8, "-", reading) for reading in wall.falls)
    yield _blank(6, "shell:", wall.shell)
    yield line("#      fixtures:", "what stays on the wall: x from its left end, y from the floor as found")
    row = "  - {what: , x: , y: , width: , height: , clearance: 0}"
    yield from (off(6, row, reading.number) for reading in wall.fixtures)
    yield line("#      holes:", "holes that are in the shell already: their middles")
    yield from (off(6, "  - {x: , y: , diameter: }", reading.number) for reading in wall.holes)
    yield line("#      behind:", "nothing here: not verified, and no drilling")
    said = f"{wall.verified_by.number} and {wall.verified_on.number}: the mechanic who looked, and when"
    yield off(6, "  verified: {by: , date: }", said)
    yield off(6, "  depth:", f"{wall.depth.number}  {wall.depth.what}")
    yield off(6, "  obstructions:", "behind: how far behind the shell")
    row = "    - {what: , x: , y: , width: , height: , behind: 0}"
    yield from (off(6, row, reading.number) for reading in wall.obstructions)
    kept = [*wall.plumb, *wall.diagonals, *wall.bow]
    yield f"      # On the form only, as a check: {kept[0].number} to {kept[-1].number}."


#: Where the readings end and the panelling begins.
NOT_MEASURED = (
    "# Not measured: the panelling wanted. Sizes in common use to start from; the drafter decides each of them."
)


#: The drafter's part, inch and mm: sizes in common use (from memory, of no standard), to start from.
CHOICES: dict[str, tuple[str, str]] = {
    "air_gap": ("1/2", "12"), "thickness": ("3/4", "19"), "edge": ("0.02", "0.5"), "engagement": ("3/8", "9"),
    "groove_depth": ("1/2", "12"), "clearance": ("1/16", "1.5"), "base_tab": ("3/8", "9"), "gap": ("1/2", "12"),
    "front_gap": ("1", "25"), "floor": ("7/8", "22"), "base": ("4", "100"), "backer": ("6", "150"),
    "centre": ("34", "865"), "crown": ("3", "75"), "frieze": ("4 1/2", "110"), "ceiling": ("3/4", "20"),
    "front_trim": ("1 1/2", "40"), "stock": ("120", "3000"), "corner_trim": ("2", "50"), "round": ("1 1/2", "38"),
    "standoff": ("1 1/2", "40"), "end_clearance": ("4", "100"), "overhang": ("6", "150"), "spacing": ("30", "750"),
    "insertion": ("1 3/4", "45"), "flange": ("1 1/4", "32"), "lengths": ("2, 2 1/4, 2 1/2, 3", "50, 55, 60, 70"),
    "thread": ("3/8, 5/8", "9, 16"), "anchor": ("3/8", "10"),
}  # fmt: skip


def _layout(survey: Survey) -> Iterator[str]:
    s = {key: pair[survey.units == "mm"] for key, pair in CHOICES.items()}
    names = [wall.name for wall in survey.walls]
    yield NOT_MEASURED
    yield "layout:"
    yield f"  panel: {{air_gap: {s['air_gap']}, thickness: {s['thickness']}, edge: {s['edge']}, grain: vertical}}"
    joint = ("engagement", "groove_depth", "clearance", "base_tab")
    yield f"  joint: {{{', '.join(f'{key}: {s[key]}' for key in joint)}}}"
    yield f"  reveal: {s['gap']}"
    yield f"  corner_gap: {s['gap']}"
    yield f"  front_gap: {s['front_gap']}"
    if "back" not in names:
        yield f"  rear_gap: {s['front_gap']}"
    yield line("  stack:", "every wall, floor to ceiling")
    bands = (
        f"gap: {s['floor']}", f"base: {s['base']}", "lower: fill", f"reveal: {s['gap']}",
        f"backer: {{height: {s['backer']}, centre: {s['centre']}}}", f"reveal: {s['gap']}", "upper: fill",
        f"reveal: {s['gap']}", f"crown: {s['crown']}", f"frieze: {s['frieze']}", f"gap: {s['ceiling']}",
    )  # fmt: skip
    yield from (f"    - {band}" for band in bands)
    yield "  walls:"
    yield from (f"    {name}: {{panels: {3 if name == 'back' else 2}}}" for name in names)
    yield f"  front_trim: {{width: {s['front_trim']}, stock: {s['stock']}}}"
    if "back" in names and len(names) > 1:
        yield f"  corner_trim: {{width: {s['corner_trim']}}}"
    yield "handrail:"
    yield f"  walls: [{', '.join(names)}]"
    yield f"  section: {{round: {s['round']}}}"
    for key, name in (("standoff",) * 2, ("end_clearance",) * 2, ("overhang",) * 2, ("max_spacing", "spacing")):
        yield f"  {key}: {s[name]}"
    yield f"  bolt: {{insertion: {s['insertion']}, flange: {s['flange']}, lengths: [{s['lengths']}],"
    yield f"         standoff_thread: [{s['thread']}], anchor: {s['anchor']}}}"

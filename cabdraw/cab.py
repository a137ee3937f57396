"""The resolved car: frozen values, every length exact. No YAML, no geometry library, no drawing.

Each wall has its own axes, as seen from inside facing it: x runs right from the wall's left end,
y up from the finished floor. All lengths are `Length`.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import Literal

from cabdraw.finish import FINISHED_AS, Finish, each_once
from cabdraw.frozen import Frozen, field
from cabdraw.install.practice import Fixings, Site
from cabdraw.rail import Bolt as Bolt
from cabdraw.rail import OldHole as OldHole
from cabdraw.rail import PlacedBy as PlacedBy
from cabdraw.rail import Placing as Placing
from cabdraw.rail import Rail as Rail
from cabdraw.rail import Standoff as Standoff
from cabdraw.rule import Rule
from cabdraw.shop.practice import Practice
from cabdraw.shop.stock import Stock
from cabdraw.units import ZERO, Length, Mass, Printing

WallName = Literal["back", "left", "right"]
#: Paper of a small printer; A3 and Tabloid of an office one.
TileSize = Literal["A4", "Letter", "A3", "Tabloid"]
#: A place in the spec: mapping keys and list indexes from the top of the file.
Place = tuple[str | int, ...]
WALLS: tuple[WallName, ...] = ("back", "left", "right")
TIERS = ("lower", "middle", "upper", "full")
#: Bands made of board: their core is cut smaller than the finished size by the edge bands.
BOARD_BANDS = ("backer", "bumper", "crown")
#: Bands whose edges are grooved, so that two of them meet only across a reveal band.
GROOVED = (*TIERS, *BOARD_BANDS)

PartKind = Literal[
    "panel", "vertical-spline", "vertical-reveal", "horizontal-spline", "horizontal-reveal", "backer",
    "bumper", "crown", "base", "frieze", "front-trim", "corner-trim", "handrail",
]  # fmt: skip


def neighbour_names(wall: WallName, has_back: bool) -> tuple[str, str]:
    """What stands at a wall's left and right end as seen from inside: a wall, `front` or `rear`."""
    if wall == "back":
        return "left", "right"
    far = "back" if has_back else "rear"
    return ("front", far) if wall == "left" else (far, "front")


class Point(Frozen):
    """A point on a wall."""

    x: Length
    y: Length


class Rect(Frozen, dict=True):
    """An upright rectangle on a wall, by its lower left corner."""

    x: Length
    y: Length
    width: Length
    height: Length

    @cached_property
    def right(self) -> Length:
        """Its right edge."""
        return self.x + self.width

    @cached_property
    def top(self) -> Length:
        """Its upper edge."""
        return self.y + self.height

    @property
    def centre(self) -> Point:
        """Its middle."""
        return Point(self.x + self.width / 2, self.y + self.height / 2)

    def grown(self, by: Length) -> Rect:
        """The rectangle with so much added on every side."""
        return Rect(self.x - by, self.y - by, self.width + 2 * by, self.height + 2 * by)


#: A closed ring of corners, not repeated at the end.
Ring = tuple[Point, ...]


class Shape(Frozen):
    """An outline with its holes, on a wall."""

    outline: Ring
    holes: tuple[Ring, ...] = ()


class Band(Frozen):
    """One band of a wall's stack; `kind` is the spec's word for it."""

    kind: str
    y: Length
    height: Length

    @property
    def top(self) -> Length:
        """Its upper edge."""
        return self.y + self.height


class Cut(Frozen):
    """What a fixture takes out of a part: a hole, a notch in its edge, a split into pieces, or all of it.

    `index` is the fixture's place among its wall's.
    """

    fixture: str
    index: int
    kind: Literal["hole", "notch", "split", "all"]
    opening: Rect


class Layer(Frozen):
    """One layer of a board, front to back."""

    material: str
    thickness: Length


class Part(Frozen):
    """One physical piece, as it hangs: `width` across, `height` up, both overall.

    `body` is where the whole piece stands on its wall, `visible` what of it shows in an elevation;
    either is None for a piece that stands on no wall's face (a front trim) or does not show (a spline).
    `shapes` is what fixtures leave of the visible rectangle, in pieces; empty where nothing is cut.
    """

    mark: str
    kind: PartKind
    wall: WallName
    tier: str | None
    order: int | None
    width: Length
    height: Length
    thickness: Length | None
    body: Rect | None = None
    visible: Rect | None = None
    core: tuple[Length, Length] | None = None
    grain: str | None = None
    cuts: tuple[Cut, ...] = ()
    shapes: tuple[Shape, ...] = ()

    @property
    def finished_as(self) -> str:
        """The band whose finish it has: a panel that of its tier."""
        return (self.tier or "") if self.kind == "panel" else FINISHED_AS.get(self.kind, self.kind)


class Fixture(Frozen):
    """Something on the room side that stays, and the opening that panels leave for it."""

    what: str
    rect: Rect
    clearance: Length

    @property
    def opening(self) -> Rect:
        """The fixture with its clearance all round."""
        return self.rect.grown(self.clearance)


class Obstruction(Frozen):
    """Something behind the shell; `behind` is how far behind it lies."""

    what: str
    rect: Rect
    behind: Length


class Verified(Frozen):
    """Who verified the space behind a shell, and when (year-month-day)."""

    by: str
    date: str


class Readings(Frozen):
    """What was measured on a wall, evenly spaced: widths floor to ceiling, heights and falls left to right."""

    width: tuple[Length, ...]
    height: tuple[Length, ...]
    floor: tuple[Length, ...] | None
    bow: Length = ZERO
    twist: Length = ZERO
    heads: Length = ZERO
    """How far bolt heads stand off the shell."""


class Places(Frozen):
    """Where in the spec a wall's values stand, its own or those of every wall: what a finding points at."""

    height: Place
    floor: Place | None
    stack: Place
    margins: tuple[Place, Place]


class Wall(Frozen):
    """One panelled wall. `gaps` is the free gap at each end, to whatever stands there."""

    name: WallName
    width: Length
    height: Length
    projection: Length
    margins: tuple[Length, Length]
    gaps: tuple[Length, Length]
    run: Length
    reveal: Length
    thickness: Length
    layers: tuple[Layer, ...]
    air_gap: Length
    edge: Length
    grain: str
    bands: tuple[Band, ...]
    columns: tuple[tuple[Length, Length], ...]
    """Each column of panels: its left edge and its width, the same in every tier."""
    parts: tuple[Part, ...]
    rail: Rail | None
    fixtures: tuple[Fixture, ...]
    obstructions: tuple[Obstruction, ...]
    shell: Length | None
    depth: Length | None
    verified: Verified | None
    readings: Readings
    places: Places
    holes: tuple[OldHole, ...] = ()

    @property
    def panels(self) -> tuple[Part, ...]:
        """The panels, from the floor up, then from the left."""
        return tuple(part for part in self.parts if part.kind == "panel")

    @property
    def row_end(self) -> Length:
        """The right end of the row of panels."""
        return self.margins[0] + self.run

    def band(self, kind: str) -> Band | None:
        """The first band of a kind, from the floor."""
        return next((band for band in self.bands if band.kind == kind), None)


class Joint(Frozen):
    """How parts enter one another, the same on every wall; see the spec format."""

    engagement: Length
    groove_depth: Length
    clearance: Length
    base_tab: Length
    spline_lift: Length
    groove_width: Length
    groove_offset: Length
    spline_thickness: Length
    tab_thickness: Length
    strip_thickness: Length


class Return(Frozen):
    """A front return, above the finished floor."""

    side: Literal["left", "right"]
    width: Length
    height: Length


class Front(Frozen):
    """The front of the car, above the finished floor; `cut` is where front trims are cut, None if in one piece."""

    returns: tuple[Return, ...]
    underside: Length | None
    projects: Length
    cut: Length | None
    trim_width: Length | None
    stock: Length | None
    kerf: Length


class Clear(Frozen):
    """The clear size inside the finished car; None where the walls that bound it are not there."""

    width: Length | None
    depth: Length | None
    height: Length


class Revision(Frozen):
    """One row of the revision table."""

    mark: str
    date: str
    by: str | None
    note: str | None


class Job(Frozen):
    """The job and the car, as they stand in every title block."""

    project: str
    car: str
    number: str | None
    client: str | None
    address: str | None
    drawn_by: str | None
    checked_by: str | None
    date: str | None
    revision: str | None
    revisions: tuple[Revision, ...] = ()
    approved_by: str | None = None
    owner: str | None = None


class CarMass(Frozen):
    """Rated load and masses, where they are known."""

    rated_load: Mass | None
    mass: Mass | None
    removed: Mass | None


class Survey(Frozen):
    """Where the dimensions come from."""

    by: str | None
    date: str | None
    uncertainty: Length
    floor_finish: Length
    diagonals: tuple[Length, Length] | None = None
    """Left front to right back, and right front to left back, across the bare floor."""


class Tolerances(Frozen):
    """How far sizes may be off, either way: cut parts, the survey, gaps set with blocks; and the last visible gap."""

    cutting: Length
    survey: Length
    setting: Length
    gap: Length


class Sheet(Frozen):
    """The paper that drawings go on: a size by name, a scale, or auto, and whether figures stand in both units."""

    size: str
    scale: str
    dual: bool = False


class Cab(Frozen):
    """One car with every size worked out."""

    name: str
    """The spec file's name without its ending; the package's folder is called so."""
    printing: Printing
    increment: Length
    job: Job
    survey: Survey
    joint: Joint
    walls: Mapping[WallName, Wall]
    trims: tuple[Part, ...]
    """Front and corner trims, which stand on no one wall's face."""
    clear: Clear
    front: Front | None
    mass: CarMass
    fixings: Fixings | None
    rules: tuple[str, ...]
    """The sets of rules that the spec names."""
    sheet: Sheet
    practice: Practice
    site: Site
    tile: TileSize
    """Paper of the tiled drilling template and of its local sheets."""
    stock: Stock | None = None
    tolerances: Tolerances | None = None
    """None where the spec gives none that chains could be held against."""
    published: tuple[Rule, ...] = ()
    """The rules of those sets, and those that hold for every car."""
    finishes: Mapping[str, Finish] = field(default_factory=dict)
    """The finish of each band on every wall: a tier, backer, bumper, crown, base, frieze, reveal, trim or rail."""
    wall_finishes: Mapping[WallName, Mapping[str, Finish]] = field(default_factory=dict)
    """What differs on a wall."""

    def finish_on(self, wall: WallName, band: str) -> Finish | None:
        """The finish of a band on a wall, None where the spec gives none."""
        return self.wall_finishes.get(wall, {}).get(band) or self.finishes.get(band)

    def finish(self, part: Part) -> Finish | None:
        """A part's finish; None where the spec gives none, or for a part that does not show."""
        return self.finish_on(part.wall, part.finished_as)

    @property
    def every_finish(self) -> tuple[tuple[Finish, tuple[str, ...]], ...]:
        """Each finish once, in the order of the spec, with where it is: `lower`, or `upper (back)` on one wall."""
        return each_once(self.finishes, self.wall_finishes)

    @property
    def parts(self) -> tuple[Part, ...]:
        """Every part in the order back, left, right: each wall's from the floor up, then its trims."""
        found: list[Part] = []
        for name in WALLS:
            found += self.walls[name].parts if name in self.walls else ()
            found += (trim for trim in self.trims if trim.wall == name)
        return tuple(found)

    def neighbours(self, wall: WallName) -> tuple[str, str]:
        """What stands at a wall's left and right end as seen from inside: a wall, `front` or `rear`."""
        return neighbour_names(wall, "back" in self.walls)

    def projection(self, wall: str) -> Length:
        """How far a wall's panel face stands off its shell; zero for a wall without panels."""
        found = self.walls.get(wall)  # type: ignore[call-overload]
        return found.projection if found is not None else ZERO

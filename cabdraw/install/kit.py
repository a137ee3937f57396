"""The whole kit of blocks, props and gauges that set a car's gaps, with a letter for each size.

`cabdraw.install.blocks` lists the blocks that the format fixes; here stand all that an installer holds in hand.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Literal

from cabdraw.cab import TIERS, Cab, Wall, WallName
from cabdraw.frozen import Frozen
from cabdraw.install.blocks import SET_BANDS, end_gaps
from cabdraw.install.fewest import fewest
from cabdraw.units import INCH, ZERO, Length, between, inch, mm

PlaceKind = Literal["floor", "end", "joint", "level", "ceiling", "clear", "prop", "gauge"]
#: What each kind is called in the list and on the drawing.
CALLED: dict[PlaceKind, str] = {
    "floor": "floor block",
    "end": "end block",
    "joint": "joint block",
    "level": "horizontal reveal block",
    "ceiling": "ceiling gap gauge",
    "clear": "rail clearance block",
    "prop": "prop",
    "gauge": "corner gauge",
}
#: Letters without I and O, which read as figures.
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
#: Gaps that may be a little off: they add up to nothing. A joint block that is off shifts all that follows.
LOOSE: tuple[PlaceKind, ...] = ("floor", "end")
#: A floor block at each end and not further apart than this (common practice: 3 ft).
FLOOR_BLOCKS = Length(INCH * 36)
#: A tier over so high takes blocks near its foot and its head too, so much from its edges (common practice).
TALL, FROM_EDGE = inch(24), inch(6)
#: Length of a corner gauge's legs along the panels.
LEG = mm(60)


class Place(Frozen):
    """One place where a block is used: `size` is the exact gap, `across` a corner gauge's other one.

    `band` is the index of the band that is set, in the wall's stack; `what` is set there, `spot` is where on it.
    """

    kind: PlaceKind
    wall: WallName
    band: int | None
    what: str
    spot: str
    size: Length
    across: Length | None = None

    @property
    def where(self) -> str:
        """The place in words, without its wall."""
        return f"{self.what}, {self.spot}" if self.spot else self.what


class KitRow(Frozen):
    """Blocks of one size: how many places they are used in, and how many are used at once, which must be there.

    `letter` is empty in a set that is not worked with.
    """

    letter: str
    size: Length
    across: Length | None
    kinds: tuple[PlaceKind, ...]
    count: int
    at_once: int
    used: tuple[str, ...]


class Kit(Frozen):
    """Every block of a car. `rows` are worked with; `other` is the set that is not.

    `fewest` is whether those worked with are the fewest within the tolerance, else each gap's own size to the
    nearest increment. `letters` has the letter for each place, in their order, empty where there is no gap.
    """

    rows: tuple[KitRow, ...]
    other: tuple[KitRow, ...]
    places: tuple[Place, ...]
    letters: tuple[str, ...]
    tolerance: Length
    fewest: bool

    def at(self, wall: str, band: int | None, kinds: Sequence[PlaceKind]) -> tuple[tuple[str, Place], ...]:
        """The letters of blocks used on a wall at a band, with their places."""
        return tuple(
            (letter, place)
            for letter, place in zip(self.letters, self.places, strict=True)
            if letter and place.wall == wall and place.band == band and place.kind in kinds
        )

    def row(self, letter: str) -> KitRow:
        """The row with a letter."""
        return next(row for row in self.rows if row.letter == letter)


def kit(cab: Cab) -> Kit:
    """The kit of a car.

    Where the spec states a tolerance for blocks, the fewest sizes within it are worked with; else each gap has a
    block of its own size, and the fewest within one increment stand beside them as a proposal.
    """
    places = tuple(place for name, wall in cab.walls.items() for place in _wall(cab, name, wall))
    stated = cab.site.block
    tolerance = stated or cab.increment
    exact = [place.size.nearest_to(cab.increment) for place in places]
    # Sizes that there are blocks of anyway; a gauge is no block.
    kept = sorted(
        {
            size
            for place, size in zip(places, exact, strict=True)
            if place.kind not in LOOSE and place.across is None and size
        }
    )
    loose = [i for i, place in enumerate(places) if place.kind in LOOSE and exact[i]]
    merged = list(exact)
    for i, size in zip(loose, fewest([places[i].size for i in loose], tolerance, cab.increment, kept), strict=True):
        merged[i] = size
    across = [place.across.nearest_to(cab.increment) if place.across is not None else None for place in places]
    used, unused = (merged, exact) if stated is not None else (exact, merged)
    rows, letters = _rows(places, used, across, True)
    others, _ = _rows(places, unused, across, False)
    return Kit(rows, others, places, letters, tolerance, stated is not None)


def letter(number: int) -> str:
    """The letter of the n-th row, from 0: A to Z without I and O, then AA, AB and so on."""
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, len(LETTERS))
        text = LETTERS[rest] + text
    return text


def _rows(
    places: Sequence[Place], sizes: Sequence[Length], across: Sequence[Length | None], lettered: bool
) -> tuple[tuple[KitRow, ...], tuple[str, ...]]:
    groups: dict[tuple[bool, Length, Length], list[int]] = {}
    for i, size in enumerate(sizes):
        if size > ZERO and (across[i] is None or across[i] > ZERO):  # type: ignore[operator]
            groups.setdefault((across[i] is not None, size, across[i] or ZERO), []).append(i)
    rows: list[KitRow] = []
    letters = [""] * len(places)
    for number, (key, members) in enumerate(sorted(groups.items())):
        name = letter(number) if lettered else ""
        for i in members:
            letters[i] = name
        at_once = Counter((places[i].wall, places[i].band) for i in members)
        rows.append(
            KitRow(
                name,
                key[1],
                key[2] if key[0] else None,
                tuple(dict.fromkeys(places[i].kind for i in members)),
                len(members),
                max(at_once.values()),
                tuple(f"{places[i].wall}: {places[i].where}" for i in members),
            )
        )
    return tuple(rows), tuple(letters)


def _wall(cab: Cab, name: WallName, wall: Wall) -> Iterator[Place]:
    yield from _floor(cab, name, wall)
    for index, band in enumerate(wall.bands):
        if band.kind == "reveal" and band.height > ZERO:
            for number in range(1, len(wall.columns) + 2):
                spot = f"{number} of {len(wall.columns) + 1} from the left"
                yield Place("level", name, index, f"level reveal {_number(wall, index)}", spot, band.height)
        if band.kind in SET_BANDS:
            yield from _ends(cab, name, wall, index)
        if band.kind in TIERS and wall.reveal > ZERO:
            ways = ("near the foot", "near the head") if band.height > TALL / 2 else ("at the middle",)
            for joint in range(1, len(wall.columns)):
                for way in ways:
                    yield Place("joint", name, index, band.kind, f"joint {joint} {way}", wall.reveal)
    last = len(wall.bands) - 1
    if last > 0 and wall.bands[last].kind == "gap" and wall.bands[last].height > ZERO:
        for end in ("left", "right"):
            yield Place("ceiling", name, last - 1, "under the ceiling", f"{end} end", wall.bands[last].height)
    yield from _rail(cab, name, wall)
    if name == "back":
        yield from _corners(cab, wall)


def _number(wall: Wall, index: int) -> int:
    return sum(band.kind == "reveal" and band.height > ZERO for band in wall.bands[: index + 1])


def fall_at(wall: Wall, x: Length) -> Length:
    """How far the floor lies below its high point at a place, between the readings."""
    falls = wall.readings.floor
    return between(falls, x.ratio(wall.width)) if falls is not None else ZERO


def _floor(cab: Cab, name: WallName, wall: Wall) -> Iterator[Place]:
    """Blocks from the finished floor to the base, each as high as the floor lies there: the base is level."""
    gap = wall.bands[0]
    if gap.kind != "gap" or gap.height == ZERO:
        return
    above = wall.bands[1].kind if len(wall.bands) > 1 else "ceiling"
    bays = max(1, -(-wall.run.mm // FLOOR_BLOCKS.mm))
    for number in range(bays + 1):
        x = wall.margins[0] + wall.run * number / bays
        spot = f"{number + 1} of {bays + 1} from the left"
        yield Place("floor", name, 1, f"floor, under the {above}", spot, gap.height + fall_at(wall, x))


def _ends(cab: Cab, name: WallName, wall: Wall, index: int) -> Iterator[Place]:
    band = wall.bands[index]
    kinds = [other.kind for other in wall.bands]
    number = f" {kinds[: index + 1].count(band.kind)}" if kinds.count(band.kind) > 1 else ""
    heights = [("", band.y + band.height / 2)]
    if band.height > TALL:
        heights = [(" at the foot", band.y + FROM_EDGE), *heights, (" at the head", band.top - FROM_EDGE)]
    for way, y in heights:
        for end, gap in zip(("left", "right"), end_gaps(cab, wall, y), strict=True):
            yield Place("end", name, index, f"{band.kind}{number}", f"{end} end{way}", gap)


def _rail(cab: Cab, name: WallName, wall: Wall) -> Iterator[Place]:
    """Props that carry the backer and the rail at their heights, and blocks that keep the rail off the panels."""
    rail = wall.rail
    if rail is None:
        return
    for end, standoff in (("left", rail.standoffs[0]), ("right", rail.standoffs[-1])):
        fall = fall_at(wall, standoff.x)
        band = wall.band("backer") if rail.through == "backer" else None
        if band is not None:
            what = "finished floor to the underside of the backer"
            yield Place("prop", name, wall.bands.index(band), what, end, band.y + fall)
        under = rail.y - rail.height / 2 + fall
        yield Place("prop", name, None, "finished floor to the underside of the rail", end, under)
    for end in ("left", "right"):
        yield Place("clear", name, None, "between panel face and rail", f"{end} end", rail.standoff)


def _corners(cab: Cab, back: Wall) -> Iterator[Place]:
    """Gauges that bridge an inside corner: each leg lies on one wall's panels and sets the other wall's gap."""
    for end, side in ((0, "left"), (1, "right")):
        wall = cab.walls.get(side)  # type: ignore[call-overload]
        if wall is None:
            continue
        for index, band in enumerate(back.bands):
            if band.kind not in SET_BANDS:
                continue
            y = band.y + band.height / 2
            gap = end_gaps(cab, back, y)[end] - wall.projection
            across = end_gaps(cab, wall, y)[1 if side == "left" else 0] - back.projection
            kinds = [other.kind for other in back.bands]
            number = f" {kinds[: index + 1].count(band.kind)}" if kinds.count(band.kind) > 1 else ""
            yield Place("gauge", "back", index, f"{side} back corner", f"{band.kind}{number}", gap, across)


def nose(cab: Cab) -> Length:
    """How far a corner gauge's legs reach into the corner past the panels' faces: short of a trim in the grooves."""
    return cab.joint.groove_offset / 4 * 3

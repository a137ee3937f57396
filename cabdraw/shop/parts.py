"""Every physical piece as the shop makes it: four sizes that are never one another, cuts, holes, grooves, bends."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from math import pi
from typing import Literal

from cabdraw.cab import TIERS, Cab, Cut, Layer, Part, Rect, Ring, Shape, Wall
from cabdraw.frozen import Frozen, replace
from cabdraw.once import once
from cabdraw.rational import Fraction
from cabdraw.shop.classes import class_of
from cabdraw.shop.densities import density_of
from cabdraw.shop.developed import Developed, develop
from cabdraw.shop.grooves import Groove, Joint, joints
from cabdraw.shop.outline import area, bounds, moved, without
from cabdraw.units import ZERO, Length, Mass

#: How a part is made: of board, of flat sheet or strip, of bar or tube, or bought.
Made = Literal["board", "sheet", "bar", "bought"]
#: The key of the spec's `profiles` and of its `stock.bars` for each kind of part that is no board.
PROFILE_OF = {
    "base": "base",
    "frieze": "frieze",
    "front-trim": "front_trim",
    "corner-trim": "corner_trim",
    "vertical-reveal": "vertical_reveal",
    "horizontal-reveal": "horizontal_reveal",
}
BAR_OF = {
    "vertical-spline": "spline",
    "horizontal-spline": "spline",
    "vertical-reveal": "reveal",
    "horizontal-reveal": "reveal",
    "base": "base",
    "frieze": "frieze",
    "front-trim": "front_trim",
    "corner-trim": "corner_trim",
    "handrail": "handrail",
}
#: Kinds whose length runs across the wall; the others stand.
LYING = ("base", "frieze", "horizontal-reveal", "horizontal-spline", "handrail")


class Size(Frozen):
    """Across and up, as the part hangs."""

    width: Length
    height: Length


class Hole(Frozen):
    """A round hole for a standoff, in the core's own axes; `bored` in the shop, or only marked."""

    x: Length
    y: Length
    diameter: Length
    bored: bool


class ShopPart(Frozen):
    """One piece. Visible: what shows. Finished: overall, edges and hidden legs included. Core: what is cut to size,
    a board before its edge bands, metal flat before its bends. Blank: what a core is cut from, a board before pressing.

    `outline` is the core with its openings, its lower left corner at nought, seen from the face. `along` is
    the way that its length runs, for what is cut from bars.
    """

    mark: str
    of: str
    """The mark of the resolved part that it is, or is a piece of; a standoff's rail."""
    class_id: str
    kind: str
    wall: str
    tier: str | None
    order: int | None
    made: Made
    material: str
    layers: tuple[Layer, ...]
    thickness: Length | None
    grain: str
    visible: Size | None
    finished: Size
    core: Size
    blank: Size
    edge: Length
    banded: tuple[str, ...]
    outline: Shape
    openings: tuple[str, ...]
    square: bool
    """Whether a fixture needs the rounded corners of its opening squared by hand."""
    grooves: tuple[Groove, ...]
    holes: tuple[Hole, ...]
    developed: Developed | None
    along: Literal["x", "y"]
    mass: Mass | None
    unknown: tuple[str, ...]
    """What its mass cannot be known without: a material, or a thickness."""

    @property
    def length(self) -> Length:
        """Its length, as it is sawn from a bar."""
        return self.core.width if self.along == "x" else self.core.height


@once
def shop_parts(cab: Cab, cleared: Collection[str] = ()) -> tuple[ShopPart, ...]:
    """Every piece of a car in the order of its parts, standoffs after their rail.

    `cleared` names the walls on which nothing stops drilling: only there are holes for standoffs bored in the shop.
    """
    return tuple(class_of(part) for part in _every(cab, cleared))


def _every(cab: Cab, cleared: Collection[str]) -> Iterator[ShopPart]:
    grooved = {name: tuple(joints(cab, wall)) for name, wall in cab.walls.items()}
    for part in cab.parts:
        wall = cab.walls.get(part.wall)
        if part.core is not None and wall is not None:
            edges = [joint for joint in grooved[wall.name] if joint.mark == part.mark]
            yield from _board(cab, wall, part, edges, wall.name in cleared)
        elif part.kind == "handrail" and wall is not None and wall.rail is not None:
            yield _rail(cab, part, wall)
            yield from _standoffs(cab, part, wall)
        elif part.kind in PROFILE_OF:
            yield from _metal(cab, part)
        else:
            yield from _spline(cab, part)


def _board(cab: Cab, wall: Wall, part: Part, edges: list[Joint], cleared: bool) -> Iterator[ShopPart]:
    assert part.visible is not None
    edge, oversize = wall.edge, cab.practice.oversize
    core = Rect(
        part.visible.x + edge, part.visible.y + edge, part.visible.width - 2 * edge, part.visible.height - 2 * edge
    )
    layers = wall.layers or (Layer(cab.practice.materials.panel or "", wall.thickness),)
    core_layer = max(layers, key=lambda layer: layer.thickness)
    pieces = without(core, [cut.opening for cut in part.cuts])
    for mark, piece in _marked(part.mark, pieces):
        box = bounds(piece.outline)
        finished = _grown(box, core, edge)
        sides = tuple(
            side
            for side, on in (
                ("left", box.x == core.x),
                ("right", box.right == core.right),
                ("bottom", box.y == core.y),
                ("top", box.top == core.top),
            )
            if on and edge
        )
        met = [cut for cut in part.cuts if _touches(cut.opening, core, box)]
        spread = area(_banded(piece, core, edge))
        mass, unknown = _weighed(cab, [(layer.material, spread * layer.thickness.mm) for layer in layers])
        yield ShopPart(
            mark=mark, of=part.mark, class_id="", kind=part.kind, wall=part.wall, tier=part.tier, order=part.order,
            made="board",
            material=core_layer.material, layers=layers, thickness=wall.thickness, grain=part.grain or "none",
            visible=Size(finished.width, finished.height), finished=Size(finished.width, finished.height),
            core=Size(box.width, box.height),
            blank=Size(box.width + 2 * oversize, box.height + 2 * oversize),
            edge=edge, banded=sides, outline=moved(piece, box.x, box.y), openings=tuple(cut.fixture for cut in met),
            square=any(_meets_corner(cab, wall, cut) for cut in met),
            grooves=tuple(groove for joint in edges for groove in _grooves(cab, joint, piece, core, finished)),
            holes=tuple(_holes(wall, part, box, cleared)), developed=None, along="y", mass=mass, unknown=unknown,
        )  # fmt: skip


def _marked(mark: str, pieces: tuple[Shape, ...]) -> Iterator[tuple[str, Shape]]:
    """A part that a fixture splits becomes pieces a, b, c from the left, then from below."""
    for n, piece in enumerate(pieces):
        yield (mark if len(pieces) == 1 else f"{mark}-{'abcdefghijklmnopqrstuvwxyz'[n]}"), piece


def _touches(opening: Rect, whole: Rect, piece: Rect) -> bool:
    """Whether an opening takes something off a piece's own rectangle or bounds it."""
    return (
        opening.x <= piece.right and piece.x <= opening.right and opening.y <= piece.top and piece.y <= opening.top
    ) and (opening.x < whole.right and whole.x < opening.right and opening.y < whole.top and whole.y < opening.top)


def _meets_corner(cab: Cab, wall: Wall, cut: Cut) -> bool:
    """Whether a square fixture meets the rounded corners of its opening: its clearance is under 0.293 of the radius.

    (r - c) sqrt 2 > r, squared so that it stays exact: the fixture's corner lies beyond the arc.
    """
    radius = cab.practice.corner_radius
    beyond = radius - wall.fixtures[cut.index].clearance
    return beyond > ZERO and 2 * beyond.mm**2 > radius.mm**2


def _grown(box: Rect, core: Rect, edge: Length) -> Rect:
    """A piece with its edge bands, which are only on the part's own outer edges."""
    left = box.x - edge if box.x == core.x else box.x
    right = box.right + edge if box.right == core.right else box.right
    bottom = box.y - edge if box.y == core.y else box.y
    top = box.top + edge if box.top == core.top else box.top
    return Rect(left, bottom, right - left, top - bottom)


def _banded(piece: Shape, core: Rect, edge: Length) -> Shape:
    """A piece's shape with its edge bands."""

    def ring(points: Ring) -> Ring:
        return tuple(
            replace(
                p,
                x=p.x - edge if p.x == core.x else p.x + edge if p.x == core.right else p.x,
                y=p.y - edge if p.y == core.y else p.y + edge if p.y == core.top else p.y,
            )
            for p in points
        )

    return Shape(ring(piece.outline), tuple(ring(hole) for hole in piece.holes))


def _grooves(cab: Cab, joint: Joint, piece: Shape, core: Rect, finished: Rect) -> Iterator[Groove]:
    """One groove for each run of a piece's outline that lies on the grooved edge."""
    upright = joint.edge in ("left", "right")
    line = {"left": core.x, "right": core.right, "bottom": core.y, "top": core.top}[joint.edge]
    low, high = (core.y, core.top) if upright else (core.x, core.right)
    begin, end = (finished.y, finished.top) if upright else (finished.x, finished.right)
    for a, b in zip(piece.outline, (*piece.outline[1:], piece.outline[0]), strict=True):
        (here, from_), (there, to) = ((a.x, a.y), (b.x, b.y)) if upright else ((a.y, a.x), (b.y, b.x))
        if here == line == there:
            first, last = min(from_, to), max(from_, to)
            yield Groove(
                edge=joint.edge,
                depth=cab.joint.groove_depth,
                width=cab.joint.groove_width,
                offset=cab.joint.groove_offset,
                start=(begin if first == low else first) - begin,
                stop=(end if last == high else last) - begin,
                enters=joint.enters,
                mates=joint.mates,
            )


def _holes(wall: Wall, part: Part, box: Rect, cleared: bool) -> Iterator[Hole]:
    rail = wall.rail
    if rail is None or not (part.kind == rail.through or (rail.through in TIERS and part.tier == rail.through)):
        return
    for standoff in rail.standoffs:
        if box.x < standoff.x < box.right and box.y < standoff.y < box.top:
            yield Hole(standoff.x - box.x, standoff.y - box.y, rail.hole, cleared)


def _flat(width: Length, height: Length) -> Shape:
    (shape,) = without(Rect(ZERO, ZERO, width, height), ())
    return shape


def _metal(cab: Cab, part: Part) -> Iterator[ShopPart]:
    """A sheet-metal part: its flat is its profile developed, or without a profile its overall rectangle."""
    profile = cab.practice.profile(PROFILE_OF[part.kind])
    lying = part.kind in LYING
    across, length = (part.height, part.width) if lying else (part.width, part.height)
    developed = develop(profile, across) if profile is not None else None
    flat = developed.width if developed is not None else across
    overall = developed.overall if developed is not None else across
    thickness = profile.thickness if profile is not None else part.thickness
    material = (profile.material if profile is not None else None) or _finished_in(cab, part)
    core = Size(length, flat) if lying else Size(flat, length)
    shown = part.visible
    whole = Rect(ZERO, ZERO, core.width, core.height)
    cuts = [(cut, on_flat(part, developed, cut.opening)) for cut in part.cuts] if part.body is not None else []
    for mark, piece in _marked(part.mark, without(whole, [opening for _, opening in cuts])):
        box = bounds(piece.outline)
        alone = box == whole
        mass, unknown = _weighed(cab, [(material, area(piece) * thickness.mm)] if thickness is not None else None)
        size = Size(box.width, box.height)
        seen = Size(shown.width, shown.height) if shown is not None else Size(part.width, part.height)
        yield ShopPart(
            mark=mark, of=part.mark, class_id="", kind=part.kind, wall=part.wall, tier=part.tier, order=part.order,
            made="sheet",
            material=material, layers=(Layer(material, thickness),) if thickness is not None else (),
            thickness=thickness, grain="horizontal" if lying else "vertical",
            visible=seen if alone else _cut_size(seen, box, whole),
            finished=(Size(length, overall) if lying else Size(overall, length)) if alone
            else _cut_size(Size(length, overall) if lying else Size(overall, length), box, whole),
            core=size, blank=size, edge=ZERO, banded=(), outline=moved(piece, box.x, box.y),
            openings=tuple(cut.fixture for cut, opening in cuts if _touches(opening, whole, box)),
            square=any(
                _meets_corner(cab, cab.walls[part.wall], cut) for cut, opening in cuts if _touches(opening, whole, box)
            ),
            grooves=(), holes=(),
            developed=developed, along="x" if lying else "y", mass=mass, unknown=unknown,
        )  # fmt: skip


def _finished_in(cab: Cab, part: Part) -> str:
    """What a metal part is made of: its finish's material, or what the spec says of metal."""
    finish = cab.finish(part)
    return (finish.material if finish is not None else None) or cab.practice.materials.metal


def _cut_size(size: Size, box: Rect, whole: Rect) -> Size:
    """What a cut piece measures where its whole measured `size`: as much less as its flat is less."""
    return Size(size.width - (whole.width - box.width), size.height - (whole.height - box.height))


def on_flat(part: Part, developed: Developed | None, opening: Rect) -> Rect:
    """An opening of a wall, on the flat of a metal part that hangs there."""
    assert part.body is not None
    start = developed.start if developed is not None else ZERO
    if part.kind in LYING:
        return Rect(opening.x - part.body.x, opening.y - part.body.y + start, opening.width, opening.height)
    return Rect(opening.x - part.body.x + start, opening.y - part.body.y, opening.width, opening.height)


def _spline(cab: Cab, part: Part) -> Iterator[ShopPart]:
    material = cab.practice.materials.spline
    size = Size(part.width, part.height)
    assert part.thickness is not None
    mass, unknown = _weighed(cab, [(material, part.width.mm * part.height.mm * part.thickness.mm)])
    yield ShopPart(
        mark=part.mark, of=part.mark, class_id="", kind=part.kind, wall=part.wall, tier=part.tier, order=part.order,
            made="sheet",
        material=material, layers=(Layer(material, part.thickness),), thickness=part.thickness, grain="none",
        visible=None, finished=size, core=size, blank=size, edge=ZERO, banded=(),
        outline=_flat(part.width, part.height), openings=(), square=False, grooves=(), holes=(), developed=None,
        along="x" if part.kind in LYING else "y", mass=mass, unknown=unknown,
    )  # fmt: skip


def _rail(cab: Cab, part: Part, wall: Wall) -> ShopPart:
    rail = wall.rail
    assert rail is not None
    material = cab.practice.materials.rail or _finished_in(cab, part)
    size = Size(part.width, part.height)
    section = rail.height.mm * rail.thickness.mm
    if rail.shape == "round":
        inner = max(rail.height - 2 * cab.practice.materials.rail_wall, ZERO)
        section = Fraction(pi) / 4 * (rail.height.mm**2 - inner.mm**2)
    mass, unknown = _weighed(cab, [(material, section * rail.length.mm)])
    return ShopPart(
        mark=part.mark, of=part.mark, class_id="", kind="handrail", wall=part.wall, tier=None, order=None, made="bar",
        material=material, layers=(), thickness=rail.thickness, grain="none", visible=size, finished=size, core=size,
        blank=size, edge=ZERO, banded=(), outline=_flat(size.width, size.height), openings=(), square=False, grooves=(),
        holes=tuple(Hole(s.x - rail.x, s.y - rail.y + rail.height / 2, ZERO, False) for s in rail.standoffs),
        developed=None, along="x", mass=mass, unknown=unknown,
    )  # fmt: skip


def _standoffs(cab: Cab, part: Part, wall: Wall) -> Iterator[ShopPart]:
    """Standoffs are bought; counted as solid bar as wide as their flange, or as the rail where none is given."""
    rail = wall.rail
    assert rail is not None
    material = cab.practice.materials.rail or _finished_in(cab, part)
    diameter = rail.flange or rail.thickness
    size = Size(diameter, diameter)
    mass, unknown = _weighed(cab, [(material, Fraction(pi) / 4 * diameter.mm**2 * rail.standoff.mm)])
    for standoff in rail.standoffs:
        yield ShopPart(
            mark=f"standoff-{wall.name}-{standoff.number}", of=f"rail-{wall.name}", class_id="",
            kind="standoff", wall=wall.name, tier=None, order=standoff.number, made="bought",
            material=material, layers=(), thickness=rail.standoff, grain="none",
            visible=size, finished=size, core=size, blank=size, edge=ZERO, banded=(),
            outline=_flat(diameter, diameter), openings=(), square=False, grooves=(), holes=(), developed=None,
            along="y", mass=mass, unknown=unknown,
        )  # fmt: skip


def _weighed(cab: Cab, bodies: list[tuple[str, Fraction]] | None) -> tuple[Mass | None, tuple[str, ...]]:
    """The mass of bodies of some material and volume in cubic mm; None where something is not known."""
    if bodies is None:
        return None, ("thickness",)
    mass, unknown = Fraction(0), []
    for material, volume in bodies:
        density = density_of(material, cab.practice.materials.densities)
        if density is None:
            unknown.append(material)
        else:
            mass += volume * density / 10**9
    return (None, tuple(unknown)) if unknown else (Mass(mass), ())

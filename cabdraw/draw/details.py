"""Details at full or half size, made from the joint's own numbers: joints, base, top, corners, the rail's mount."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from cabdraw.cab import GROOVED, TIERS, Cab, Wall
from cabdraw.draw.figures import Figures
from cabdraw.draw.outline import SHELL, Depths, board, break_line, plan_up, shell_section, solid, upright
from cabdraw.draw.section import band_section, rail_section
from cabdraw.draw.shapes import XY, Line, Polyline, Shape
from cabdraw.units import ZERO, Length

#: How far a board goes on beyond a joint before it is broken off, in model mm.
REACH = 38.0


@dataclass
class Detail:
    """One detail in its own axes: what is drawn, its extent (left, low, right, high, in mm), its names."""

    title: str
    shapes: list[Shape] = field(default_factory=list)
    extent: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    names: list[tuple[XY, str]] = field(default_factory=list)
    #: Names that stand at the left, and names with a place of their own where they have room in so many mm.
    names_left: list[tuple[XY, str]] = field(default_factory=list)
    placed: list[tuple[XY, XY, float, str]] = field(default_factory=list)
    #: Chains, made once the scale is known: below, along x; left, along y.
    below: list[tuple[list[float], list[str], float]] = field(default_factory=list)
    left: list[tuple[list[float], list[str], float]] = field(default_factory=list)


def _past(figures: Figures, first: Length, more: Length) -> list[str]:
    """A length and what lies past it; where that is less than nothing, what there is, and how far the two overlap."""
    if more < ZERO:
        return [figures(first + more), f"{figures(-more)} overlap"]
    return [figures(first), figures(more)]


def vertical_joint(cab: Cab, wall: Wall) -> Detail:
    """A vertical joint in plan: two panel edges, the spline in their grooves, the reveal strip before it."""
    figures, at, joint = Figures(cab), Depths(cab, wall), cab.joint
    v = float(wall.reveal)
    found = Detail("Vertical joint, plan" if v else "Butt joint, plan")
    found.shapes += shell_section(plan_up, at, (-REACH, v + REACH))
    found.shapes += board(plan_up, at, (-REACH, 0.0), (False, True), (True, False))
    found.shapes += board(plan_up, at, (v, v + REACH), (True, False), (False, True))
    found.shapes.append(solid("CUT", plan_up, at.spline, (-at.engagement, v + at.engagement), "spline"))
    if v:
        found.shapes.append(solid("CUT", plan_up, at.strip, (-at.engagement * 0.6, v + at.engagement * 0.6)))
    found.extent = (-REACH, -at.shell, v + REACH, at.face)
    e, g = joint.engagement, joint.groove_depth
    stations = sorted([-float(g), -float(e), 0.0])
    words = _past(figures, e, g - e)[::-1]
    if v:
        stations.append(v)
        words.append(figures(wall.reveal))
    stations.append(v + float(e))
    words.append(figures(e))
    found.below.append((stations, words, -at.shell))
    depths = [0.0, at.back, at.groove_back, at.groove_front, at.face]
    lengths = [wall.air_gap, wall.thickness - joint.groove_offset - joint.groove_width, joint.groove_width]
    lengths.append(joint.groove_offset)
    found.left.append((depths, [figures.decimal(length) for length in lengths], -REACH))
    found.names = [
        ((v + REACH * 0.55, at.face), "panel"),
        ((v + at.engagement * 0.8, at.spline[0]), "spline"),
        ((v / 2, at.strip[1]), "reveal strip") if v else ((0.0, at.face), "eased edges"),
        ((v + REACH * 0.7, at.back / 2), "air gap"),
        ((v + REACH * 0.8, -at.shell / 2), "shell"),
    ]
    return found


def _upright(cab: Cab, wall: Wall, index: int, low: float, high: float, title: str, top: bool = True) -> Detail:
    """The stack between two heights, boards at its ends broken off."""
    figures, at = Figures(cab), Depths(cab, wall)
    found = Detail(title)
    found.shapes += shell_section(upright, at, (low, high))
    stations: list[float] = []
    words: list[str] = []
    for i, band in enumerate(wall.bands):
        b, t = float(band.y), float(band.top)
        if t < low - 1e-6 or b > high + 1e-6 or (t - b and (t <= low + 1e-6 or b >= high - 1e-6)):
            continue
        cut = (b < low - 1e-6, t > high + 1e-6)
        found.shapes += band_section(cab, wall, upright, i, cut, (max(b, low), min(t, high)))
        if band.kind in GROOVED or band.kind in ("base", "frieze"):
            middle = (max(b, low) + min(t, high)) / 2
            words_for = f"{band.kind} panel" if band.kind in TIERS else band.kind
            found.names.append(((at.face, middle), words_for))
        if not any(cut) and band.height > ZERO:
            stations = stations or [b]
            stations.append(t)
            words.append(figures(band.height))
    if stations:
        found.left.append((stations, words, -at.shell))
    found.extent = (-at.shell, low, at.face, high)
    lengths = [wall.air_gap, wall.thickness]
    found.below.append(([0.0, at.back, at.face], [figures.decimal(length) for length in lengths], low))
    return found


def horizontal_reveal(cab: Cab, wall: Wall) -> Detail | None:
    """The first horizontal joint between two boards."""
    for index, band in enumerate(wall.bands):
        above = wall.bands[index + 1] if index + 1 < len(wall.bands) else None
        if band.kind != "reveal" or index == 0 or above is None or above.kind == "frieze":
            continue
        at = Depths(cab, wall)
        found = _upright(
            cab, wall, index, float(band.y) - REACH, float(band.top) + REACH, "Horizontal joint, upright section"
        )
        middle = float(band.y + band.top) / 2
        found.names.append(((at.strip[1], middle), "reveal strip" if band.height > ZERO else "butt joint"))
        found.names.append(((at.spline[0], float(band.top) + at.engagement * 0.7), "spline"))
        figures = Figures(cab)
        e = cab.joint.engagement
        b, t = float(band.y), float(band.top)
        stations, words = [b - float(e), b], [figures(e)]
        if band.height > ZERO:
            stations.append(t)
            words.append(figures(band.height))
        stations.append(t + float(e))
        words.append(figures(e))
        found.left = [(stations, words, -at.shell)]
        return found
    return None


def base_detail(cab: Cab, wall: Wall) -> Detail | None:
    """The base with its tab, held off the floor."""
    index = next((i for i, band in enumerate(wall.bands) if band.kind == "base"), None)
    if index is None:
        return None
    base = wall.bands[index]
    at = Depths(cab, wall)
    high = float(base.top + cab.joint.base_tab + cab.joint.spline_lift) + REACH * 0.6
    found = _upright(cab, wall, index, 0.0, high, "Base, upright section")
    figures = Figures(cab)
    found.shapes.append(Line("FLOOR", (-at.shell - 8.0, 0.0), (at.face + 6.0, 0.0)))
    found.names += [
        ((at.tab[1], float(base.top + cab.joint.base_tab * 2 / 3)), f"tab, {figures(cab.joint.base_tab)} up"),
        ((at.face * 0.5, float(base.y)), "vents in the foot, kept open"),
        ((at.face + 4.0, 0.0), "finished floor"),
    ]
    return found


def top_detail(cab: Cab, wall: Wall) -> Detail | None:
    """Crown and frieze under the ceiling."""
    index = next((i for i, band in enumerate(wall.bands) if band.kind in ("crown", "frieze")), None)
    if index is None:
        return None
    at = Depths(cab, wall)
    first = wall.bands[index]
    below = wall.bands[index - 1] if index else first
    low = float(below.y if below.kind == "reveal" else first.y) - REACH
    high = float(wall.height)
    kinds = " and ".join(k for k in ("crown", "frieze") if wall.band(k) is not None)
    found = _upright(cab, wall, index, max(low, 0.0), high, f"{kinds.capitalize()}, upright section")
    found.shapes.append(Line("FLOOR", (-at.shell - 8.0, high), (at.face + 6.0, high)))
    frieze = wall.band("frieze")
    if frieze is not None:
        figures = Figures(cab)
        point = (at.tab[1], float(frieze.y) - float(cab.joint.engagement) * 0.7)
        found.names.append((point, f"tab, {figures(cab.joint.engagement)} down"))
    found.names.append(((at.face + 4.0, high), "ceiling"))
    return found


def corner_detail(cab: Cab) -> Detail | None:
    """An inside corner in plan: both walls' panelling, their gaps and the corner trim."""
    back = cab.walls.get("back")
    side = cab.walls.get("left") or cab.walls.get("right")
    if back is None or side is None:
        return None
    figures = Figures(cab)
    a, b = Depths(cab, back), Depths(cab, side)
    # Drawn as the back left corner: the back shell along the top, the side shell down the left.
    end = 0 if side.name == "left" else 1
    margin = float(back.margins[end])
    side_margin = float(side.margins[1] if side.name == "left" else side.margins[0])
    reach = max(margin, side_margin) + REACH

    def behind(depth: float, along: float) -> XY:
        return along, -depth

    def beside(depth: float, along: float) -> XY:
        return depth, -along

    hand = "" if side.name == "left" else ", mirrored at the right"
    found = Detail(f"Inside corner, plan{hand}")
    found.shapes.append(solid("CUT", behind, (-a.shell, 0.0), (-b.shell, reach)))
    found.shapes.append(solid("CUT", beside, (-b.shell, 0.0), (0.0, reach)))
    found.shapes += board(behind, a, (margin, reach), (False, False), (False, True))
    found.shapes += board(beside, b, (side_margin, reach), (False, False), (False, True))
    trim = next((t for t in cab.trims if t.kind == "corner-trim"), None)
    if trim is not None:
        # The trim is an angle whose legs stand on the shells, behind the panels' outer edges.
        t, leg = b.sheet, float(trim.width)
        points = ((0.0, -leg), (t, -leg), (t, -t), (leg, -t), (leg, 0.0), (0.0, 0.0))
        found.shapes.append(Polyline("CUT", points, True, "steel"))
        found.names.append(((leg * 0.8, -t / 2), f"corner trim, {figures(trim.width)}"))
    found.extent = (-b.shell, -reach, reach, a.shell)
    across = _past(figures, side.projection, back.gaps[end])
    found.below.append((sorted([0.0, b.face, margin]), across, -reach))
    up = _past(figures, back.projection, side.gaps[1 if side.name == "left" else 0])
    found.left.append((sorted([-side_margin, -a.face, 0.0]), up[::-1], -b.shell))
    found.names += [((reach - 12.0, -a.face), "back wall"), ((b.face, -reach + 12.0), f"{side.name} wall")]
    return found


def front_trim_detail(cab: Cab) -> Detail | None:
    """The front trim at the return, in plan."""
    side = cab.walls.get("left") or cab.walls.get("right")
    if side is None or cab.front is None or not any(t.kind == "front-trim" for t in cab.trims):
        return None
    figures = Figures(cab)
    at = Depths(cab, side)
    margin = side.margins[0] if side.name == "left" else side.margins[1]
    gap = float(margin)
    reach = gap + REACH

    def beside(depth: float, along: float) -> XY:
        return depth, along

    found = Detail("Front trim at the return, plan")
    found.shapes.append(solid("CUT", beside, (-at.shell, 0.0), (0.0, reach)))
    deep = at.face + 55.0
    found.shapes.append(solid("CUT", beside, (-at.shell, deep), (-SHELL, 0.0)))
    found.shapes += break_line(lambda d, a: (a, d), (-SHELL - 6.0, 6.0), deep)
    found.shapes += board(beside, at, (gap, reach), (False, False), (False, True))
    width = float(cab.front.trim_width or ZERO)
    t = at.sheet
    foot = at.face + 1.0
    points = (
        (foot, 0.5), (foot + width, 0.5), (foot + width, 0.5 + t), (foot + t, 0.5 + t),
        (foot + t, gap + 6.0), (foot, gap + 6.0),
    )  # fmt: skip
    found.shapes.append(Polyline("CUT", points, True, "steel"))
    found.extent = (-at.shell, -SHELL, max(deep, foot + width), reach)
    found.left.append(([0.0, gap], [figures(margin)], -at.shell))
    found.below.append(([0.0, at.face], [figures(side.projection)], -SHELL))
    found.names = [
        ((foot + width * 0.8, 0.5 + t), f"front trim, {figures(cab.front.trim_width or ZERO)}"),
        ((deep * 0.92, -SHELL / 2), "front return"),
        ((at.face, reach - 10.0), f"{side.name} wall"),
    ]
    return found


def rail_detail(cab: Cab) -> Detail | None:
    """The handrail's mount: rail, standoff, bolt through board, air gap and shell."""
    wall = next((w for w in cab.walls.values() if w.rail is not None), None)
    if wall is None or wall.rail is None:
        return None
    figures, at, rail = Figures(cab), Depths(cab, wall), wall.rail
    y = float(rail.y)
    half = max(float(rail.height), float(rail.flange or rail.hole * 2)) / 2 + 22.0
    found = Detail("Handrail mount, upright section")
    found.shapes += shell_section(upright, at, (y - half, y + half))
    band = wall.band(rail.through)
    assert band is not None
    low, high = max(float(band.y), y - half), min(float(band.top), y + half)
    cut = (float(band.y) < low - 1e-6, float(band.top) > high + 1e-6)
    index = wall.bands.index(band)
    found.shapes += band_section(cab, wall, upright, index, cut, (low, high))
    found.shapes += rail_section(cab, wall, upright)
    far = at.face + float(rail.standoff + rail.thickness)
    behind = 22.0
    found.extent = (-at.shell - behind, y - half, far + 14.0, y + half)
    lengths = [wall.air_gap, wall.thickness, rail.standoff, rail.thickness]
    stations = [0.0, at.back, at.face, at.face + float(rail.standoff), far]
    words = [figures(lengths[0]), figures.decimal(lengths[1]), figures(lengths[2]), figures(lengths[3])]
    found.below.append((stations, words, y - half))
    top = y + float(rail.height) / 2
    found.names = [
        ((far - float(rail.thickness) / 2, top), f"rail, top at {figures(rail.y + rail.height / 2)}"),
        ((at.back / 2, y + half * 0.85), "packer round each bolt"),
    ]
    middle = at.face + float(rail.standoff) / 2
    found.placed.append(
        ((middle, y - float(rail.hole) / 2), (middle, y - half * 0.62), float(rail.standoff), "standoff")
    )
    if rail.bolt is not None and rail.bolt.length is not None:
        words_for = f"bolt {figures.decimal(rail.bolt.length)}, hole {figures(rail.hole)}"
        found.names_left.append(((-at.shell - 4.0, y), words_for))
    found.names_left.append(((-at.shell / 2, y - half * 0.6), "shell: verify behind"))
    return found


def details(cab: Cab) -> list[Detail]:
    """Every detail that the car has."""
    wall = next(iter(cab.walls.values()))
    jointed = next((w for w in cab.walls.values() if len(w.columns) > 1), None)
    makers: list[Callable[[], Detail | None]] = [
        lambda: vertical_joint(cab, jointed) if jointed is not None else None,
        lambda: next((d for w in cab.walls.values() if (d := horizontal_reveal(cab, w)) is not None), None),
        lambda: base_detail(cab, wall),
        lambda: top_detail(cab, wall),
        lambda: corner_detail(cab),
        lambda: front_trim_detail(cab),
        lambda: rail_detail(cab),
    ]
    return [found for make in makers if (found := make()) is not None]

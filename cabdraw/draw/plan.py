"""The plan of the car at rail height, cut just above the rail: shell, panelling, rails, clear sizes, door."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import accumulate

from cabdraw.cab import Cab, Wall, WallName
from cabdraw.draw.column import Column
from cabdraw.draw.figures import Figures
from cabdraw.draw.fitting import fitted, place
from cabdraw.draw.layout import LAYER, chain_across, chain_up, overall_across, overall_up
from cabdraw.draw.measure import text_width
from cabdraw.draw.occupied import Occupied, extent
from cabdraw.draw.outline import Depths, Turn, box, solid
from cabdraw.draw.paper import Paper, paper
from cabdraw.draw.scales import Scale
from cabdraw.draw.shapes import XY, Circle, Dimension, Hatch, Line, Polyline, Shape, Sheet, Text, View
from cabdraw.draw.style import FIGURE, LABEL, NOTE
from cabdraw.draw.title import SMALL, Title, arrow
from cabdraw.errors import Finding
from cabdraw.units import ZERO, Length

#: Paper mm from the shell to the first dimension line, which leaves room for section marks, and to the next.
FIRST, SECOND = 15.0, 8.0
#: Distance drawn between the side walls where it was not surveyed, in mm; no dimension is printed on it.
UNKNOWN_WIDTH = 1400.0
#: How far the line through a standoff goes on past the rail, in mm.
BEYOND = 25.0
#: Depth drawn for a front return, whose own depth is no part of the survey, in mm.
RETURN_DEPTH = 40.0


class Ground:
    """The shell's outline in plan: x from the left shell, y from the front returns towards the back."""

    def __init__(self, cab: Cab) -> None:
        self.walls = cab.walls
        left, right, back = cab.walls.get("left"), cab.walls.get("right"), cab.walls.get("back")
        self.surveyed = True
        if back is not None:
            self.width = float(back.width)
        elif cab.clear.width is not None:
            self.width = float(cab.clear.width + cab.projection("left") + cab.projection("right"))
        else:
            self.width, self.surveyed = UNKNOWN_WIDTH, False
        deep = [float(wall.width) for wall in (left, right) if wall is not None]
        self.left = float(left.width) if left is not None else deep[0] if deep else self.width * 0.75
        self.right = float(right.width) if right is not None else deep[0] if deep else self.width * 0.75
        self.deep = bool(deep)

    def turn(self, name: str) -> Turn:
        """Where a point of a wall's section stands in the plan."""
        if name == "left":
            return lambda depth, along: (depth, along)
        if name == "right":
            return lambda depth, along: (self.width - depth, self.right - along)
        slope = (self.right - self.left) / self.width
        return lambda depth, along: (along, self.left + slope * along - depth)


def _wall(cab: Cab, wall: Wall, turn: Turn) -> Iterator[Shape]:
    """One wall's shell, panels, splines and reveal strips, cut above the rail, and its rail below the cut."""
    at = Depths(cab, wall)
    end = float(wall.width)
    if wall.rail is not None:
        rail = wall.rail
        near = at.face + float(rail.standoff)
        yield Polyline(
            "RAIL", box(turn, (near, near + float(rail.thickness)), (float(rail.x), float(rail.right))), True, "rail"
        )
        half = float(rail.hole) / 2
        for standoff in rail.standoffs:
            x = float(standoff.x)
            yield Polyline("RAIL", box(turn, (at.face, near), (x - half, x + half)), True, "rail")
            yield Line("CENTRE", turn(at.face - 20.0, x), turn(near + float(rail.thickness) + BEYOND, x))
    for start, width in wall.columns:
        ring = box(turn, (at.back, at.face), (float(start), float(start + width)))
        yield Polyline("PANEL", ring, True, "board")
        yield Hatch("HATCH", (ring,), "section")
    for start, width in wall.columns[:-1]:
        a, b = float(start + width), float(start + width + wall.reveal)
        yield solid("CUT", turn, at.spline, (a - at.engagement, b + at.engagement), "spline")
        if wall.reveal > ZERO:
            yield solid("CUT", turn, at.strip, (a, b))
    yield solid("CUT", turn, (-at.shell, 0.0), (0.0, end))


def _reach(cab: Cab, wall: Wall) -> float:
    """How far from its shell a wall's rail and the lines through its standoffs are drawn, in mm."""
    face, rail = Depths(cab, wall).face, wall.rail
    return face if rail is None else face + float(rail.standoff) + float(rail.thickness) + BEYOND


def _front(cab: Cab, ground: Ground) -> Iterator[Shape]:
    """Returns and door opening; dashed where the front was not surveyed."""
    left, right = _returns(cab)
    y = 0.0
    if left is not None:
        yield Polyline("CUT", ((0.0, y), (left, y), (left, -RETURN_DEPTH), (0.0, -RETURN_DEPTH)), True, "steel")
    if right is not None:
        x = ground.width
        yield Polyline("CUT", ((x - right, y), (x, y), (x, -RETURN_DEPTH), (x - right, -RETURN_DEPTH)), True, "steel")
    if left is None or right is None:
        yield Line("HIDDEN", (left or 0.0, y), (ground.width - (right or 0.0), y))
    else:
        for depth in (0.0, RETURN_DEPTH):
            yield Line("HIDDEN", (left, -depth), (ground.width - right, -depth))


def _returns(cab: Cab) -> tuple[float | None, float | None]:
    found = {r.side: float(r.width) for r in cab.front.returns} if cab.front is not None else {}
    return found.get("left"), found.get("right")


def _dimensions(cab: Cab, ground: Ground, scale: float) -> list[Dimension]:
    """Shell, clear and door sizes, all outside the shell, so that nothing crosses the car."""
    figures = Figures(cab)
    found: list[Dimension] = []
    width, top = ground.width, max(ground.left, ground.right)
    exact, clear = _shell_width(cab), cab.clear
    line = top + FIRST / scale
    if exact is not None and clear.width is not None:
        found += _chain_above(
            cab, figures, (cab.projection("left"), clear.width, cab.projection("right")), top, line, scale
        )
        line += SECOND / scale
    if exact is not None:
        found.append(overall_across(0.0, width, figures(exact), line, top, scale))
    left, right = cab.walls.get("left"), cab.walls.get("right")
    if left is not None:
        line = -FIRST / scale
        behind = cab.projection("back")
        if behind > ZERO:
            lengths = [left.width - behind, behind]
            chain = figures.chain(lengths, [False, True])
            words = [f"clear {chain.parts[0]}" if lengths[0] == clear.depth else chain.parts[0], chain.parts[1]]
            found += chain_up([0.0, float(lengths[0]), float(left.width)], words, line, 0.0, scale)
            line -= (max(text_width(word, FIGURE) for word in words) + 6.0) / scale
        found.append(overall_up(0.0, float(left.width), figures(left.width), line, 0.0, scale))
    if right is not None:
        line = width + FIRST / scale
        text = figures(right.width)
        at = line + (1.2 + text_width(text, FIGURE) / 2) / scale
        found.append(
            Dimension(LAYER, "y", (width, 0.0), (width, float(right.width)), line, text, (at, float(right.width) / 2))
        )
    front = cab.front
    if front is not None and exact is not None and len(front.returns) == 2:
        first, second = (r.width for r in front.returns)
        lengths = [first, exact - first - second, second]
        chain = figures.chain(lengths, [False, True, False])
        stations = [0.0, float(first), width - float(second), width]
        words = [chain.parts[0], f"door opening {chain.parts[1]}", chain.parts[2]]
        made, _ = chain_across(stations, words, -RETURN_DEPTH - 12.0 / scale, -RETURN_DEPTH, scale)
        found += made
    return found


def _chain_above(
    cab: Cab, figures: Figures, lengths: tuple[Length, Length, Length], top: float, line: float, scale: float
) -> list[Dimension]:
    """Projection, clear width, projection; a side without panels has none."""
    kept = [(length, i == 1) for i, length in enumerate(lengths) if length > ZERO]
    chain = figures.chain([length for length, _ in kept], [not clear for _, clear in kept])
    words = [f"clear {part}" if clear else part for part, (_, clear) in zip(chain.parts, kept, strict=True)]
    ends = [0.0, *(float(x) for x in accumulate(length for length, _ in kept))]
    return chain_across(ends, words, line, top, scale)[0]


def _shell_width(cab: Cab) -> Length | None:
    if "back" in cab.walls:
        return cab.walls["back"].width
    if cab.clear.width is None:
        return None
    return cab.clear.width + cab.projection("left") + cab.projection("right")


def _clear_sizes(cab: Cab, ground: Ground, s: float, drawn: Sequence[Shape]) -> list[Shape]:
    """The clear size inside the finished car, in words on its floor."""
    figures, clear = Figures(cab), cab.clear
    lines = [
        f"clear {words} {figures(size)}"
        for words, size in (("width", clear.width), ("depth", clear.depth), ("height", clear.height))
        if size is not None
    ]
    occupied = Occupied(s)
    occupied.add(drawn)
    deep = min(ground.left, ground.right)
    options = []
    for up in (0.45, 0.38, 0.52, 0.32, 0.6, 0.7, 0.25):
        for across in (0.5, 0.42, 0.58, 0.35, 0.65):
            middle = (ground.width * across, deep * up)
            options.append(
                tuple(
                    Text("TEXT", (middle[0], middle[1] - i * 4.6 / s), line, NOTE, "centre", "middle")
                    for i, line in enumerate(lines)
                )
            )
    return list(occupied.place(options))


def bubble(at: XY, words: str, way: XY, scale: float, under: str = "") -> list[Shape]:
    """A mark that leads to another sheet: a circle with its number and an arrow the way one looks."""
    r = 4.2 / scale
    tip = (at[0] + way[0] * r * 1.75, at[1] + way[1] * r * 1.75)
    side = (-way[1] * r * 0.75, way[0] * r * 0.75)
    base = (at[0] + way[0] * r * 0.82, at[1] + way[1] * r * 0.82)
    shapes: list[Shape] = [
        Polyline(
            "TEXT", (tip, (base[0] + side[0], base[1] + side[1]), (base[0] - side[0], base[1] - side[1])), True, "solid"
        ),
        Circle("TEXT", at, r, "paper"),
        Text("TEXT", at, words, LABEL, "centre", "middle", 0.0, True),
    ]
    if under:
        if way[1] < 0:
            shapes.append(Text("TEXT", (at[0], at[1] + r + 1.2 / scale), under, SMALL, "centre"))
        else:
            shapes.append(Text("TEXT", (at[0], at[1] - r - 1.2 / scale), under, SMALL, "centre", "top"))
    return shapes


def section_mark(start: XY, end: XY, letter: str, way: XY, scale: float) -> list[Shape]:
    """The two ends of a cutting line, each with an arrow the way one looks and the section's letter."""
    shapes: list[Shape] = []
    along = (end[0] - start[0], end[1] - start[1])
    length = (along[0] ** 2 + along[1] ** 2) ** 0.5
    unit = (along[0] / length, along[1] / length)
    for point, sign in ((start, 1.0), (end, -1.0)):
        stub = (point[0] + sign * unit[0] * 8.0 / scale, point[1] + sign * unit[1] * 8.0 / scale)
        shapes.append(Line("SECTION", point, stub))
        shapes += arrow("SECTION", point, way, 5.0 / scale)
        at = (point[0] - sign * unit[0] * 3.2 / scale, point[1] - sign * unit[1] * 3.2 / scale)
        shapes.append(Text("TEXT", at, letter, LABEL, "centre", "middle", 0.0, True))
    return shapes


def _drawn(cab: Cab, ground: Ground, scale: float, sheets: dict[str, str]) -> list[Shape]:
    """The plan with its dimensions, marks and names; `sheets` gives the number of the sheet that shows each wall."""
    s = scale
    shapes: list[Shape] = []
    for name, wall in cab.walls.items():
        shapes += _wall(cab, wall, ground.turn(name))
    shapes += _front(cab, ground)
    width, left, right = ground.width, ground.left, ground.right
    if "back" not in cab.walls:
        door = width * 0.3
        for a, b in ((0.0, width / 2 - door), (width / 2 + door, width)):
            shapes.append(Line("HIDDEN", (a, left), (b, right)))
    shapes += _dimensions(cab, ground, s)
    shapes += _marks(cab, ground, s, sheets, shapes)
    shapes += _clear_sizes(cab, ground, s, shapes)
    below, above = (22.0, FIRST + SECOND + 8.0) if ground.surveyed else (12.0, 17.0)
    notes: list[tuple[str, XY]] = [
        ("FRONT", (width / 2, -RETURN_DEPTH - below / s)),
        ("BACK" if "back" in cab.walls else "REAR", (width / 2, max(left, right) + above / s)),
    ]
    for words, at in notes:
        shapes.append(Text("TEXT", at, words, LABEL, "centre", "middle", 0.0, True))
    if not ground.surveyed:
        at = (width / 2, left + 8.0 / s)
        shapes.append(Text("TEXT", at, "width of the car not surveyed, drawn at no scale", NOTE, "centre", "middle"))
    return shapes


def _marks(cab: Cab, ground: Ground, s: float, sheets: dict[str, str], drawn: Sequence[Shape]) -> list[Shape]:
    """Elevation marks before each wall, section marks across the car, names of the walls."""
    width, deep = ground.width, min(ground.left, ground.right)
    shapes: list[Shape] = []
    spots: dict[str, tuple[list[XY], XY]] = {}
    shares = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)
    inward = (0.22, 0.3, 0.38, 0.46, 0.14)
    spots["back"] = ([(width * (a - 0.1), deep * (1 - b)) for b in inward for a in shares], (0.0, 1.0))
    spots["left"] = ([(width * b, deep * (a + 0.08)) for b in inward for a in shares], (-1.0, 0.0))
    spots["right"] = ([(width * (1 - b), deep * (a + 0.08)) for b in inward for a in shares], (1.0, 0.0))
    spots["front"] = ([(width * (a - 0.1), deep * b * 0.7) for b in inward for a in shares], (0.0, -1.0))
    occupied = Occupied(s)
    occupied.add(drawn)
    for name, (points, way) in spots.items():
        if name in sheets:
            for at in points:
                made = bubble(at, sheets[name], way, s, f"{name} wall" if name != "front" else "front")
                if occupied.free(extent(made, s)):
                    shapes += made
                    occupied.add(made)
                    break
    if "back" in cab.walls:
        x = width * 0.56
        inside = deep - max(150.0, _reach(cab, cab.walls["back"]))
        # Beyond the back shell where the line crosses it, which may be askew.
        beyond = ground.left + (ground.right - ground.left) * x / width + 5.0 / s
        shapes += section_mark((x, beyond), (x, inside), "A", (-1.0, 0.0), s)
    side: WallName | None = "right" if "right" in cab.walls else "left" if "left" in cab.walls else None
    if side is not None:
        y = deep * 0.24
        inside = max(120.0, _reach(cab, cab.walls[side]))
        inner = (inside, y) if side == "left" else (width - inside, y)
        outer = (-5.0 / s, y) if side == "left" else (width + 5.0 / s, y)
        shapes += section_mark(outer, inner, "B", (0.0, 1.0), s)
    return shapes


def plan_view(cab: Cab, sheets: dict[str, str], page: Paper) -> tuple[View, Scale]:
    """The plan in the middle of a sheet's drawing area, and its scale."""
    ground, area = Ground(cab), page.drawing
    least = (ground.width, max(ground.left, ground.right) + RETURN_DEPTH)
    scale, drawn = fitted(cab, lambda scale: _drawn(cab, ground, scale.ratio, sheets), area, least)
    window = ((area.left, area.low), (area.right, area.high))
    return View("plan", scale.ratio, place(drawn, scale.ratio, page), tuple(drawn), window), scale


def plan(cab: Cab, findings: Sequence[Finding], number: str, sheets: dict[str, str]) -> Sheet:
    """The sheet with the plan of the car; `sheets` gives the number of the sheet that shows each wall."""
    page = paper(cab.sheet.size)
    view, scale = plan_view(cab, sheets, page)
    title = Title("Plan at rail height", "Cut just above the rail, seen from above", scale.text, "Plan", number)
    column = Column(cab, page, title, findings)
    column.notes("Notes", _notes(cab))
    column.legend(_legend(cab))
    column.findings(None)
    return column.sheet("plan", "Plan of the car", (view,))


def _notes(cab: Cab) -> list[str]:
    figures = Figures(cab)
    found = ["Shell sizes are the least readings of the field survey, less its uncertainty."]
    for name, wall in cab.walls.items():
        found.append(
            f"{name.capitalize()} wall: panel face {figures(wall.projection)} off the shell"
            f" (air gap {figures(wall.air_gap)}, panel {figures.decimal(wall.thickness)})."
        )
    if cab.clear.height is not None:
        found.append(f"Clear height {figures(cab.clear.height)}.")
    found.append("A number in a circle is the sheet that shows the wall; a letter, the section.")
    return found


def _legend(cab: Cab) -> list[tuple[str, str, str]]:
    entries = [("PANEL", "board", "panelling, cut"), ("CUT", "steel", "shell, metal, cut"), ("CUT", "spline", "spline")]
    if any(wall.rail is not None for wall in cab.walls.values()):
        entries.append(("RAIL", "rail", "handrail, below the cut"))
    return entries

"""Sections through the panelling, in plan and upright, made from the joint's own numbers; and how they are cut off.

A section has its own axes: `depth` runs from the shell's face into the car, `along` runs along the wall
(in plan) or up it. `turn` says where these point on the drawing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from cabdraw.cab import Cab, Wall
from cabdraw.draw.shapes import XY, Hatch, Line, Polyline, Shape

#: Maps (depth, along) of a section to a point of the drawing.
Turn = Callable[[float, float], XY]
#: Thickness drawn for a shell whose thickness is not given, in mm.
SHELL = 2.0


def upright(depth: float, along: float) -> XY:
    """An upright section with the shell at the left: depth to the right, along upwards."""
    return depth, along


def plan_up(depth: float, along: float) -> XY:
    """A plan section with the shell at the foot: along to the right, depth upwards."""
    return along, depth


def box(turn: Turn, depth: tuple[float, float], along: tuple[float, float]) -> tuple[XY, ...]:
    """The corners of a rectangle of a section."""
    (d0, d1), (a0, a1) = depth, along
    return turn(d0, a0), turn(d1, a0), turn(d1, a1), turn(d0, a1)


class Depths:
    """How deep everything of one wall lies, in mm from the shell's face."""

    def __init__(self, cab: Cab, wall: Wall) -> None:
        joint = cab.joint
        self.shell = float(wall.shell) if wall.shell is not None else SHELL
        self.back = float(wall.air_gap)
        self.face = float(wall.projection)
        self.groove_front = self.face - float(joint.groove_offset)
        self.groove_back = self.groove_front - float(joint.groove_width)
        self.strip = (self.groove_front - float(joint.strip_thickness), self.groove_front)
        self.spline = (self.groove_back, self.groove_back + float(joint.spline_thickness))
        tab = float(joint.tab_thickness)
        self.tab = (self.groove_front - tab, self.groove_front)
        self.sheet = tab
        self.groove = float(joint.groove_depth)
        self.engagement = float(joint.engagement)


def board(
    turn: Turn,
    at: Depths,
    along: tuple[float, float],
    grooves: tuple[bool, bool],
    cut: tuple[bool, bool] = (False, False),
) -> Iterator[Shape]:
    """A board in section with a groove in each edge that has one; `cut` says at which end it is cut off and goes on."""
    low, high = along
    points: list[tuple[float, float]] = [(at.back, low)]
    if grooves[0]:
        points += [(at.groove_back, low), (at.groove_back, low + at.groove), (at.groove_front, low + at.groove)]
        points += [(at.groove_front, low)]
    points += [(at.face, low), (at.face, high)]
    if grooves[1]:
        points += [(at.groove_front, high), (at.groove_front, high - at.groove), (at.groove_back, high - at.groove)]
        points += [(at.groove_back, high)]
    points.append((at.back, high))
    ring = tuple(turn(d, a) for d, a in points)
    if not any(cut):
        yield Polyline("PANEL", ring, True, "board")
    else:
        yield Polyline("TINT", ring, True, "board")
        start = points if cut[0] else [*points, points[0]]
        # The open end of a board that goes on is closed by a break line, not by an edge.
        if cut[0] and cut[1]:
            yield Polyline("PANEL", (turn(at.back, low), turn(at.back, high)), False)
            yield Polyline("PANEL", (turn(at.face, low), turn(at.face, high)), False)
        elif cut[0]:
            index = points.index((at.face, low))
            yield Polyline("PANEL", tuple(turn(d, a) for d, a in (*start[index:], (at.back, low))), False)
        else:
            index = points.index((at.face, high))
            tail = ((at.back, high), *points[: index + 1])
            yield Polyline("PANEL", tuple(turn(d, a) for d, a in tail), False)
        for end, there in zip((low, high), cut, strict=True):
            if there:
                yield from break_line(turn, (at.back, at.face), end)
    yield Hatch("HATCH", (ring,), "section")


def break_line(turn: Turn, depth: tuple[float, float], along: float, zig: float = 2.0) -> Iterator[Shape]:
    """A thin zigzag line where a drawing breaks off (ISO 128: continuous thin line with zigzags)."""
    d0, d1 = depth
    past = (d1 - d0) * 0.18
    middle = (d0 + d1) / 2
    step = (d1 - d0) * 0.08
    points = [
        (d0 - past, along),
        (middle - step, along),
        (middle - step / 2, along + zig),
        (middle + step / 2, along - zig),
    ]
    points += [(middle + step, along), (d1 + past, along)]
    yield Polyline("BREAK", tuple(turn(d, a) for d, a in points), False)


def shell_section(turn: Turn, at: Depths, along: tuple[float, float]) -> Iterator[Shape]:
    """The shell in section, painted solid: it is thin sheet."""
    ring = box(turn, (-at.shell, 0.0), along)
    yield Polyline("CUT", ring, True, "steel")


def solid(layer: str, turn: Turn, depth: tuple[float, float], along: tuple[float, float], tint: str = "steel") -> Shape:
    """A thin piece in section: a spline, a strip, a leg of sheet metal."""
    return Polyline(layer, box(turn, depth, along), True, tint)


def line(layer: str, turn: Turn, start: tuple[float, float], end: tuple[float, float]) -> Shape:
    """A straight line of a section."""
    return Line(layer, turn(*start), turn(*end))

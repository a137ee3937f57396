"""The handrails against one another in the corners, in plan."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from shapely.geometry import Polygon, box

from cabdraw.cab import Cab, Wall, WallName
from cabdraw.check.codes import code
from cabdraw.errors import Finding
from cabdraw.units import INCH, Length, mm

MEET = code("rail-corner", "error", "fabrication", "the ends of two rails run into each other in a corner")
NEAR = code("rail-corner-near", "warning", "nothing", "the ends of two rails are too near each other for a hand")

#: Room for a hand between the ends of two rails (common practice: 1 1/2 in).
HAND = Length(INCH * Fraction(3, 2))


def rail_plan(wall: Wall, back_width: Length) -> Polygon:
    """A rail seen from above, in mm: x from the left shell, y from the back shell towards the front."""
    rail = wall.rail
    assert rail is not None
    near, far = float(wall.projection + rail.standoff), float(wall.projection + rail.standoff + rail.thickness)
    start, end = float(rail.x), float(rail.right)
    if wall.name == "back":
        return box(start, near, end, far)
    if wall.name == "left":
        return box(near, float(wall.width) - end, far, float(wall.width) - start)
    return box(float(back_width) - far, start, float(back_width) - near, end)


def rails(cab: Cab) -> Iterator[Finding]:
    """Findings about rails that meet in a corner."""
    back = cab.walls.get("back")
    if back is None or back.rail is None:
        return
    sides: tuple[WallName, ...] = ("left", "right")
    for name in sides:
        side = cab.walls.get(name)
        if side is None or side.rail is None:
            continue
        if abs(side.rail.y - back.rail.y) >= (side.rail.height + back.rail.height) / 2:
            continue
        apart = rail_plan(back, back.width).distance(rail_plan(side, back.width))
        marks = ("rail-back", f"rail-{name}")
        hint = "make handrail.end_clearance greater"
        if apart <= 0:
            yield MEET.at(
                f"rail-back and rail-{name} run into each other in the corner",
                ("handrail", "end_clearance"),
                hint,
                name,
                marks,
            )
        elif apart < float(HAND):
            between = Length(mm(Fraction(apart).limit_denominator(1000)).mm)
            yield NEAR.at(
                f"rail-back and rail-{name} end {cab.printing.size(between)} apart in the corner; a hand needs"
                f" {cab.printing.size(HAND)}",
                ("handrail", "end_clearance"),
                hint,
                name,
                marks,
            )

"""The drawings that the page shows: of each only what it rests on is looked at, and what still stands is kept."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from cabdraw.cab import Cab, WallName
from cabdraw.draw.elevation import wall_view
from cabdraw.draw.front import can_draw, front_view, front_width
from cabdraw.draw.page import Drawing
from cabdraw.draw.paper import paper
from cabdraw.draw.plan import plan_view
from cabdraw.draw.touch import front_drawing, touched_plan, wall_drawing
from cabdraw.preview import told
from cabdraw.units import Length

#: The order in which walls are seen when one turns round in the car; each drawing stands as it is seen from inside.
TURN: tuple[WallName, ...] = ("left", "back", "right")


def walls(cab: Cab) -> tuple[WallName, ...]:
    """The panelled walls of a car, in the order in which they are shown."""
    return tuple(name for name in TURN if name in cab.walls)


def names(cab: Cab) -> list[str]:
    """What drawings a car has, in the order in which they are shown."""
    return [*walls(cab), "plan", *(["front"] if can_draw(cab) else [])]


class Drawings:
    """Makes a car's drawings for the page; one whose car is the same in all that it shows is made only once."""

    def __init__(self) -> None:
        self._made: dict[str, tuple[object, dict[str, Any]]] = {}

    def wall(self, cab: Cab, name: WallName) -> dict[str, Any]:
        """A wall's elevation."""
        return self._once(name, wall_rests_on(cab, name), lambda: _wall(cab, name))

    def plan(self, cab: Cab) -> dict[str, Any]:
        """The plan."""
        rests_on = (cab.walls, cab.trims, cab.joint, cab.clear, cab.front, cab.printing, cab.sheet)
        return self._once("plan", rests_on, lambda: _plan(cab))

    def front(self, cab: Cab) -> dict[str, Any]:
        """The front, of a car that has one drawn."""
        offs = tuple(cab.projection(name) for name in TURN)
        rests_on = (cab.front, cab.trims, cab.clear, front_width(cab), offs, cab.printing, cab.sheet)
        return self._once("front", rests_on, lambda: _front(cab))

    def _once(self, name: str, rests_on: object, make: Callable[[], Drawing]) -> dict[str, Any]:
        known = self._made.get(name)
        if known is not None and known[0] == rests_on:
            return known[1]
        made = told.drawing(make())
        self._made[name] = rests_on, made
        return made


def wall_rests_on(cab: Cab, name: WallName) -> object:
    """All of a car that a wall's elevation shows: the wall, how far the next ones stand out, finishes, figures."""
    ends = tuple(
        (other, cab.projection(other), _reach(cab, other) if other in cab.walls else None)
        for other in cab.neighbours(name)
    )
    return cab.walls[name], ends, cab.finishes, cab.wall_finishes, cab.printing, cab.sheet


def _reach(cab: Cab, name: str) -> tuple[Length, Length]:
    """From where to where a wall is panelled."""
    bands = [band for band in cab.walls[name].bands if band.kind != "gap"]  # type: ignore[index]
    return bands[0].y, bands[-1].top


def _wall(cab: Cab, name: WallName) -> Drawing:
    return wall_drawing(cab, name, wall_view(cab, name), f"preview-{name}")


def _plan(cab: Cab) -> Drawing:
    view, _ = plan_view(cab, {}, paper(cab.sheet.size))
    return touched_plan(cab, view, "preview-plan")


def _front(cab: Cab) -> Drawing:
    view, _ = front_view(cab, paper(cab.sheet.size))
    return front_drawing(view, "preview-front")

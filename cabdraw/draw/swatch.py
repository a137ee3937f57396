"""Finishes on working drawings: the colour, and beside it a hatch that tells the texture without colour."""

from __future__ import annotations

from cabdraw.draw.paper import Area
from cabdraw.draw.shapes import Hatch, Polyline, Shape
from cabdraw.draw.textures import hexed, shade
from cabdraw.finish import Finish


def finish_hatch(finish: Finish, upright: bool = True) -> str:
    """The hatch of the style table for a finish's texture, its lines along the grain; empty for a plain one."""
    way = "upright" if upright else "level"
    return {"wood": f"wood {way}", "brushed": f"brushed {way}", "stone": "stone", "mirror": "mirror"}.get(
        finish.texture, ""
    )


def finish_tint(finish: Finish) -> str:
    """A fill in a finish's colour, so light that black lines and text on it stay legible in black and white."""
    return hexed(shade(finish.colour, 0.8))


def finish_swatch(finish: Finish, area: Area, upright: bool = True) -> list[Shape]:
    """A swatch in an area of the paper: its left half in the colour, its right half hatched for the texture."""
    middle = area.left + area.width / 2
    colour = Area(area.left, area.low, middle, area.high)
    rest = Area(middle, area.low, area.right, area.high)
    shapes: list[Shape] = [Polyline("TITLE", colour.corners, True, hexed(finish.colour))]
    if pattern := finish_hatch(finish, upright):
        shapes.append(Hatch("HATCH", (rest.corners,), pattern))
    shapes.append(Polyline("TITLE", rest.corners, True, "paper"))
    return shapes

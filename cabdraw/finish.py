"""A finish: what a part is faced with, and how it looks."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, TypeVar

from cabdraw.frozen import Frozen

_Wall = TypeVar("_Wall", bound=str)
Texture = Literal["plain", "wood", "brushed", "stone", "mirror"]

#: The band whose finish a kind of part has, where it is not the kind itself or, for a panel, its tier.
FINISHED_AS = {
    "vertical-reveal": "reveal",
    "horizontal-reveal": "reveal",
    "front-trim": "trim",
    "corner-trim": "trim",
    "handrail": "rail",
}


class Finish(Frozen):
    """A finish: `colour` as RGB from 0 to 255 and as it was typed, `fire` the reference of the fire-test evidence."""

    code: str
    name: str
    material: str | None
    colour: tuple[int, int, int]
    colour_said: str
    texture: Texture
    fire: str | None


def each_once(
    everywhere: Mapping[str, Finish], on_walls: Mapping[_Wall, Mapping[str, Finish]]
) -> tuple[tuple[Finish, tuple[str, ...]], ...]:
    """Each finish once, with the bands that have it: `lower`, or `upper (back)` for one wall's own."""
    found: dict[Finish, list[str]] = {}
    for band, finish in everywhere.items():
        found.setdefault(finish, []).append(band)
    for wall, finishes in on_walls.items():
        for band, finish in finishes.items():
            found.setdefault(finish, []).append(f"{band} ({wall})")
    return tuple((finish, tuple(where)) for finish, where in found.items())

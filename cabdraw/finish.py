"""A finish: what a part is faced with, and how it looks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Texture = Literal["plain", "wood", "brushed", "stone", "mirror"]

#: The band whose finish a kind of part has, where it is not the kind itself or, for a panel, its tier.
FINISHED_AS = {
    "vertical-reveal": "reveal",
    "horizontal-reveal": "reveal",
    "front-trim": "trim",
    "corner-trim": "trim",
    "handrail": "rail",
}


@dataclass(frozen=True, slots=True)
class Finish:
    """A finish: `colour` as RGB from 0 to 255 and as it was typed, `fire` the reference of the fire-test evidence."""

    code: str
    name: str
    material: str | None
    colour: tuple[int, int, int]
    colour_said: str
    texture: Texture
    fire: str | None

"""What boards are made of: whether they stay flat, and what glass and mirrors need."""

from __future__ import annotations

from collections.abc import Iterator

from cabdraw.cab import Cab
from cabdraw.check.codes import code
from cabdraw.errors import Finding, Path

UNBALANCED = code("board-unbalanced", "warning", "nothing", "a board is faced on one side only, and will bow")
MIRROR = code(
    "board-mirror", "warning", "nothing", "glass or a mirror needs a hold of its own and must be safety glazing"
)


def boards(cab: Cab) -> Iterator[Finding]:
    """Findings about boards and their faces."""
    said: set[tuple[str, ...]] = set()
    for name, wall in cab.walls.items():
        built = tuple(layer.material for layer in wall.layers)
        if len(wall.layers) < 2 or built in said:
            continue
        core = max(wall.layers, key=lambda layer: layer.thickness)
        if core in (wall.layers[0], wall.layers[-1]):
            said.add(built)
            yield UNBALANCED.at(
                f"the {name} wall's boards are {' on '.join(built)}, with no sheet on the other side",
                ("layout", "panel", "layers"),
                "add a balancing sheet on the back",
                name,
            )
    yield from _mirrors(cab)


def _mirrors(cab: Cab) -> Iterator[Finding]:
    listed: list[tuple[str, Path, str]] = [
        (band, ("finishes", band), finish.texture) for band, finish in cab.finishes.items()
    ]
    for name, own in cab.wall_finishes.items():
        listed += [
            (f"{band} of the {name} wall", ("finishes", "walls", name, band), finish.texture)
            for band, finish in own.items()
            if cab.finishes.get(band) != finish
        ]
    for where, path, texture in listed:
        if texture == "mirror":
            yield MIRROR.at(
                f"the {where} is a mirror: its mass, its hold and its safety glazing are not part of this spec",
                path,
                "see that it is laminated safety glazing, held by more than adhesive; check with the authority that"
                " has jurisdiction",
            )

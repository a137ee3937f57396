"""What boards are made of: whether they stay flat, and what glass and mirrors need."""

from __future__ import annotations

from collections.abc import Iterator

from cabdraw.cab import Cab
from cabdraw.check.codes import code
from cabdraw.errors import Finding, Path
from cabdraw.shop.grooves import joints
from cabdraw.units import INCH, Length

UNBALANCED = code("board-unbalanced", "warning", "nothing", "a board is faced on one side only, and will bow")
MIRROR = code(
    "board-mirror", "warning", "nothing", "glass or a mirror needs a hold of its own and must be safety glazing"
)
NARROW = code(
    "board-narrow", "warning", "nothing", "a panel's two edge grooves leave less than 2 in (50.8 mm) of board between"
)

#: Least board between the grooves in two opposite edges (common practice: 2 in).
LEAST_BETWEEN = Length(INCH * 2)


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
    yield from _narrow(cab)


def _narrow(cab: Cab) -> Iterator[Finding]:
    """Panels that are grooved on both sides and too narrow for it: one finding a wall."""
    size, grooves = cab.printing.size, 2 * cab.joint.groove_depth
    for name, wall in cab.walls.items():
        grooved = {(joint.mark, joint.edge) for joint in joints(cab, wall)}
        slim = [
            panel
            for panel in wall.panels
            if {(panel.mark, "left"), (panel.mark, "right")} <= grooved and panel.width < grooves + LEAST_BETWEEN
        ]
        if slim:
            left = size(slim[0].width - grooves) if slim[0].width > grooves else "nothing"
            yield NARROW.at(
                f"{slim[0].mark} is {size(slim[0].width)} wide, and the grooves in its two sides, "
                f"{size(cab.joint.groove_depth)} deep each, leave {left} of board between them"
                + (f"; so do those of {', '.join(panel.mark for panel in slim[1:])}" if len(slim) > 1 else ""),
                ("layout", "walls", name),
                f"make it at least {size(grooves + LEAST_BETWEEN)} wide, or give the wall fewer panels",
                name,
                tuple(panel.mark for panel in slim),
            )


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

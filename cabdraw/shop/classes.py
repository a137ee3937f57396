"""What makes two pieces identical: their class, by which they can stand in for one another."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING

from cabdraw.frozen import replace

if TYPE_CHECKING:
    from cabdraw.shop.parts import ShopPart

#: Digits and letters that are not taken for one another on a label.
_SIGNS = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
_LENGTH = 8


def class_of(part: ShopPart) -> ShopPart:
    """The part with the id of its class: its kind and eight signs that follow from all that is made of it.

    The same piece has the same class in every car and every revision; an id is never given to another size.
    Eight of 32 signs: in a job of 500 classes the odds that two get one id are one in nine million.
    """
    features = (
        part.kind,
        part.made,
        tuple((layer.material, layer.thickness.mm) for layer in part.layers) or part.material,
        part.thickness.mm if part.thickness is not None else None,
        part.grain,
        tuple((size.width.mm, size.height.mm) for size in (part.finished, part.core, part.blank)),
        (part.edge.mm, part.banded),
        tuple(tuple((p.x.mm, p.y.mm) for p in ring) for ring in (part.outline.outline, *part.outline.holes)),
        tuple((g.edge, g.depth.mm, g.width.mm, g.offset.mm, g.start.mm, g.stop.mm) for g in part.grooves),
        tuple((hole.x.mm, hole.y.mm, hole.diameter.mm, hole.bored) for hole in part.holes),
        tuple(
            (line.kind, line.angle, line.direction, line.radius.mm, line.position.mm)
            for line in (part.developed.bends if part.developed is not None else ())
        ),
    )
    number = int.from_bytes(hashlib.sha256(repr(features).encode()).digest()[:8])
    signs = ""
    for _ in range(_LENGTH):
        number, sign = divmod(number, len(_SIGNS))
        signs += _SIGNS[sign]
    return replace(part, class_id=f"{part.kind}-{signs}")

"""Neutral shapes for machines: closed loops that may hold arcs, on layers named by what is done along them."""

from __future__ import annotations

from cabdraw.draw.shapes import XY, Circle, Line, Text
from cabdraw.frozen import Frozen

#: A corner of a loop, and the bulge of the side that leaves it, as in DXF: tan(angle / 4), minus clockwise, 0 straight.
Corner = tuple[float, float, float]


class Loop(Frozen):
    """A closed course of straight sides and arcs."""

    layer: str
    corners: tuple[Corner, ...]

    @property
    def points(self) -> tuple[XY, ...]:
        """Its corners without their bulges."""
        return tuple((x, y) for x, y, _ in self.corners)


class FlatDrawing(Frozen):
    """One flat part or sheet for a machine, in mm, its lower left corner at nought, seen from the face.

    Texts have their true height in mm, and stand on layers along which nothing is cut.
    """

    name: str
    width: float
    height: float
    shapes: tuple[Loop | Circle | Line | Text, ...]

    @property
    def layers(self) -> tuple[str, ...]:
        """The layers that it uses, in the order of the alphabet."""
        return tuple(sorted({shape.layer for shape in self.shapes}))

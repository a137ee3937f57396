"""Neutral shapes: what is drawn, once, for every format. No view knows a format; no writer knows a cab.

A sheet is paper of some size, in mm, y up from its lower left corner. It carries shapes of its own
(frame, title, notes: in paper mm) and views. A view carries shapes in the model's true size, in mm,
and says at which scale and where on the paper they stand. Text heights, tick sizes and line weights
are always paper mm, in views too.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from cabdraw.frozen import Frozen

XY = tuple[float, float]
#: Red, green and blue, each from 0 to 255.
RGB = tuple[int, int, int]
Across = Literal["left", "centre", "right"]


class Line(Frozen):
    """A straight line."""

    layer: str
    start: XY
    end: XY


class Polyline(Frozen):
    """A run of straight lines; `mark` names the part it outlines, if it does.

    `fill` is the name of a tint in the style table, or a colour such as `#7a5538`: the inside is painted,
    under all lines.
    """

    layer: str
    points: tuple[XY, ...]
    closed: bool = True
    fill: str = ""
    mark: str = ""


class Circle(Frozen):
    """A true circle."""

    layer: str
    centre: XY
    radius: float
    fill: str = ""


class Arc(Frozen):
    """A circular arc, anticlockwise from `start` to `end`, in degrees from the x axis."""

    layer: str
    centre: XY
    radius: float
    start: float
    end: float


class Text(Frozen):
    """One line of text. `height` is the height of capitals in paper mm; `angle` in degrees, 0 or 90.

    `at` is the point named by `across` and `up`; `up` middle is half the capitals' height.
    """

    layer: str
    at: XY
    text: str
    height: float = 2.5
    across: Across = "left"
    up: Literal["base", "middle", "top"] = "base"
    angle: float = 0.0
    bold: bool = False


class Dimension(Frozen):
    """A linear dimension between two points, along one axis, with the figure that it prints.

    `line` is where the dimension line runs: its y for axis x, its x for axis y. `text_at` is the middle
    of the figure, which always reads from the foot of the sheet. `leader` draws a thin line from the
    middle of the dimension to a figure that had to move out. `extend` says whether each end has an
    extension line.
    """

    layer: str
    axis: Literal["x", "y"]
    start: XY
    end: XY
    line: float
    text: str
    text_at: XY
    height: float = 2.5
    leader: tuple[XY, ...] = ()
    extend: tuple[bool, bool] = (True, True)


class Hatch(Frozen):
    """A hatched area: rings of corners, the first the outline, the others holes in it.

    `pattern` is a name in the style table, which gives angle and pitch in paper mm.
    """

    layer: str
    rings: tuple[tuple[XY, ...], ...]
    pattern: str


class Gradient(Frozen):
    """A colour that changes along a line: `stops` are shares of the way (0 to 1, rising), each with its colour."""

    start: XY
    end: XY
    stops: tuple[tuple[float, RGB], ...]


class Painted(Frozen):
    """An area without outline, painted over what was painted before it and under all other shapes.

    `rings` are its outline and the holes in it (even-odd); `opacity` is from 0 to 1.
    """

    layer: str
    rings: tuple[tuple[XY, ...], ...]
    paint: RGB | Gradient
    opacity: float = 1.0


class Strands(Frozen):
    """Fine lines of one colour, painted as `Painted` is: smooth through their points, or straight where of two.

    `width` is in the view's own mm, as the thing itself is: grain is finer at a smaller scale.
    """

    layer: str
    runs: tuple[tuple[XY, ...], ...]
    colour: RGB
    width: float
    opacity: float = 1.0


Shape = Line | Polyline | Circle | Arc | Text | Dimension | Hatch | Painted | Strands


class View(Frozen):
    """Shapes at the model's true size, and where they stand: `at` is the model's origin on the paper.

    `scale` is paper mm for each model mm: 0.1 for 1:10.
    """

    name: str
    scale: float
    at: XY
    shapes: tuple[Shape, ...]
    window: tuple[XY, XY] = ((0.0, 0.0), (0.0, 0.0))
    """Lower left and upper right corner, on the paper, of the area that belongs to the view."""
    clip: bool = False
    """Whether shapes are cut off at the window. Views of one sheet set that share their shapes are drawn once."""

    def on_paper(self, point: XY) -> XY:
        """Where a point of the model stands on the paper."""
        return (self.at[0] + point[0] * self.scale, self.at[1] + point[1] * self.scale)


class Sheet(Frozen):
    """One sheet: its paper in mm, shapes in paper mm, and views."""

    name: str
    title: str
    width: float
    height: float
    paper: tuple[Shape, ...]
    views: tuple[View, ...]
    about: tuple[tuple[str, str], ...] = ()
    """What the file says of itself: title, subject, author and the like, in a fixed order."""
    stretch: XY = (1.0, 1.0)
    """How much larger everything is drawn, across and up, for a printer that prints it so much too small."""

    def shapes(self) -> Iterator[tuple[View | None, Shape]]:
        """Every shape with its view; None for the paper's own."""
        for shape in self.paper:
            yield None, shape
        for view in self.views:
            for shape in view.shapes:
                yield view, shape

"""Small sheets that hold every kind of shape, for the tests of the writers."""

from __future__ import annotations

from cabdraw.draw.shapes import XY, Arc, Circle, Dimension, Hatch, Line, Polyline, Shape, Sheet, Text, View

FIGURES = ('23 9/32"', "597.5", '1 1/2"')
#: Corners in paper mm of the panel that stands in the view.
PANEL = ((0.0, 0.0), (60.0, 0.0), (60.0, 60.0), (0.0, 60.0))
ABOUT = (("title", "Elevation of wall"), ("subject", "Sample"), ("author", "The shop"))


def every_shape(scale: float, name: str = "A-101") -> Sheet:
    """One view with every kind of shape, of one size on paper whatever the scale."""

    def at(x: float, y: float) -> XY:
        return (x / scale, y / scale)

    panel = tuple(at(*corner) for corner in PANEL)
    hole = (at(20, 20), at(40, 20), at(40, 30), at(20, 30))
    shapes: tuple[Shape, ...] = (
        Text("MARK", at(30, 50), 'P1 Ø 5/8" <A&B>', 3.5, "centre", "middle", bold=True),
        Polyline("PANEL", panel, fill="board", mark="P1"),
        Polyline("TINT", (at(62, 0), at(66, 0), at(66, 60), at(62, 60)), fill="band"),
        Hatch("HATCH", ((at(10, 10), at(50, 10), at(50, 40), at(10, 40)), hole), "open"),
        Circle("DRILL", at(30, 25), 4 / scale),
        Circle("DRILL", at(30, 25), 1 / scale, fill="solid"),
        Arc("RAIL", at(52, 52), 5 / scale, 30, 300),
        Line("CENTRE", at(30, -5), at(30, 65)),
        Polyline("HIDDEN", (at(3, 3), at(57, 3), at(57, 57)), closed=False),
        Text("TEXT", at(64, 30), "upright", 2.5, "centre", "middle", 90),
        Dimension("DIMENSION", "x", at(0, 60), at(60, 60), 70 / scale, FIGURES[0], at(30, 72.5)),
        Dimension("DIMENSION", "y", at(0, 0), at(0, 60), -10 / scale, FIGURES[1], at(-17, 30)),
        Dimension(
            "DIMENSION", "x", at(55, 0), at(60, 0), -8 / scale, FIGURES[2], at(74, -14),
            3.5, (at(57.5, -8), at(60, -14), at(66, -14)), (True, False),
        ),
    )  # fmt: skip
    view = View("wall", scale, (40.0, 40.0), shapes, ((15.0, 20.0), (130.0, 120.0)))
    paper: tuple[Shape, ...] = (
        Polyline("FRAME", ((10.0, 10.0), (200.0, 10.0), (200.0, 138.0), (10.0, 138.0))),
        Line("TITLE", (120.0, 30.0), (200.0, 30.0)),
        Text("TITLE", (125.0, 15.0), "Elevation × 90°", 5, bold=True),
    )
    return Sheet(name, "Elevation of wall", 210.0, 148.0, paper, (view,), ABOUT)


def bars() -> Sheet:
    """A line of 100 mm and below it a circle of radius 20 mm, on paper of 120 by 60 mm."""
    line = View("bar", 0.1, (10.0, 52.0), (Line("CHECK", (0.0, 0.0), (1000.0, 0.0)),))
    circle = View("circle", 0.1, (40.0, 24.0), (Circle("DRILL", (0.0, 0.0), 200.0),))
    return Sheet("bars", "Bars", 120.0, 60.0, (), (line, circle))


def words(*texts: str) -> Sheet:
    """A sheet with some texts, also as title, part mark and figure."""
    shapes: tuple[Shape, ...] = tuple(Text("TEXT", (0.0, -50.0 * n), text) for n, text in enumerate(texts))
    corners = ((0.0, 0.0), (100.0, 0.0), (100.0, 100.0))
    outlines = tuple(Polyline("PANEL", corners, mark=text) for text in texts)
    dimensions = tuple(Dimension("DIMENSION", "x", (0, 0), (100, 0), 50.0, text, (50.0, 60.0)) for text in texts)
    view = View(texts[0], 0.1, (20.0, 180.0), (*shapes, *outlines, *dimensions))
    return Sheet(texts[0], texts[0], 210.0, 297.0, (), (view,), (("title", texts[0]), ("author", texts[0])))

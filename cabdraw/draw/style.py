"""The one table of layers, line weights, tints, hatches and text heights.

Line weights are those of ISO 128-20 (0.18, 0.25, 0.35, 0.5, 0.7 mm, steps of the square root of 2,
wide to narrow at least 2:1); text heights those of ISO 3098 (1.8, 2.5, 3.5, 5, 7 mm). Both series are
given here from memory of the standards; the ratios are checked in the tests.
"""

from __future__ import annotations

import re
from typing import Literal

from cabdraw.frozen import Frozen

LineKind = Literal["continuous", "dashed", "centre"]


class LayerStyle(Frozen):
    """How a layer is drawn: `weight` in paper mm, `colour` as RGB, `index` the nearest CAD colour index."""

    weight: float
    colour: tuple[int, int, int] = (0, 0, 0)
    index: int = 7
    line: LineKind = "continuous"
    about: str = ""


NARROW, THIN, MEDIUM, WIDE, HEAVY = 0.18, 0.25, 0.35, 0.5, 0.7
_BLACK = (0, 0, 0)
_GREY = (110, 110, 110)
_BLUE = (20, 70, 140)
_RED = (185, 25, 25)

LAYERS: dict[str, LayerStyle] = {
    "SHELL": LayerStyle(WIDE, about="the bare shell"),
    "FLOOR": LayerStyle(HEAVY, about="finished floor and ceiling"),
    "PANEL": LayerStyle(MEDIUM, about="panels"),
    "BAND": LayerStyle(MEDIUM, about="backer, bumper, crown"),
    "METAL": LayerStyle(MEDIUM, about="base, frieze, trims"),
    "REVEAL": LayerStyle(THIN, about="reveal strips"),
    "RAIL": LayerStyle(WIDE, about="handrail and standoffs"),
    "FIXTURE": LayerStyle(MEDIUM, about="what stands on the wall and stays"),
    "CUT": LayerStyle(NARROW, about="thin metal and splines cut through"),
    "LEADER": LayerStyle(NARROW, about="lines from a name to what it names"),
    "BREAK": LayerStyle(NARROW, about="where a drawing breaks off"),
    "SECTION": LayerStyle(WIDE, about="where a section is cut"),
    "HIDDEN": LayerStyle(THIN, _GREY, 8, "dashed", "what cannot be seen: splines, what lies behind the shell"),
    "CENTRE": LayerStyle(NARROW, _BLACK, 7, "centre", "centre lines"),
    "GRAIN": LayerStyle(NARROW, _GREY, 8, about="grain arrows"),
    "HATCH": LayerStyle(NARROW, _GREY, 8, about="hatches"),
    "FINISH": LayerStyle(NARROW, _GREY, 8, about="finishes: colour, grain, light and shadow"),
    "REVISION": LayerStyle(MEDIUM, _RED, 1, about="clouds round what a revision changed"),
    "TINT": LayerStyle(NARROW, _GREY, 9, about="tints"),
    "DIMENSION": LayerStyle(NARROW, _BLUE, 5, about="dimensions"),
    "TEXT": LayerStyle(THIN, about="notes"),
    "MARK": LayerStyle(THIN, about="part marks"),
    "FRAME": LayerStyle(HEAVY, about="sheet frame"),
    "ZONE": LayerStyle(NARROW, about="zones of the frame"),
    "TABLE": LayerStyle(NARROW, about="tables"),
    "TITLE": LayerStyle(THIN, about="title block"),
    "CAUTION": LayerStyle(WIDE, _RED, 1, about="cautions and findings"),
    "DRILL": LayerStyle(THIN, about="holes to drill"),
    "STEP": LayerStyle(HEAVY, about="the parts of a step of the work"),
    "FAINT": LayerStyle(NARROW, _GREY, 8, about="what is not of this step"),
    "CHECK": LayerStyle(THIN, about="bars to measure before use"),
}

#: Dash patterns in paper mm: stroke, gap, stroke, gap ...
DASHES: dict[LineKind, tuple[float, ...]] = {
    "continuous": (),
    "dashed": (3.0, 1.5),
    "centre": (8.0, 1.5, 1.5, 1.5),
}

#: Tints by meaning; light enough that a black line on one stays legible in black and white.
TINTS: dict[str, tuple[int, int, int]] = {
    "board": (250, 247, 240),
    "band": (240, 234, 220),
    "metal": (226, 230, 234),
    "reveal": (205, 211, 217),
    "fixture": (255, 255, 255),
    "rail": (214, 219, 224),
    "steel": (150, 158, 166),
    "spline": (196, 170, 120),
    "solid": (0, 0, 0),
    "paper": (255, 255, 255),
    "caution": (252, 228, 228),
    "here": (185, 200, 222),
}

_COLOUR = re.compile(r"#[0-9a-f]{6}")


def tint(fill: str) -> tuple[int, int, int] | None:
    """The colour of a fill as RGB: a tint by its name, or a colour such as `#7a5538`; None for anything else."""
    if _COLOUR.fullmatch(fill):
        return int(fill[1:3], 16), int(fill[3:5], 16), int(fill[5:7], 16)
    return TINTS.get(fill)


#: Hatches by meaning: each line family as (angle in degrees, pitch in paper mm).
HATCHES: dict[str, tuple[tuple[float, float], ...]] = {
    "obstruction": ((45.0, 2.5),),
    "open": ((45.0, 4.0), (135.0, 4.0)),
    "section": ((45.0, 1.6),),
    # Textures of finishes, told apart without colour: wood and brushed metal take the direction of their grain.
    "wood upright": ((90.0, 1.1), (82.0, 7.0)),
    "wood level": ((0.0, 1.1), (8.0, 7.0)),
    "brushed upright": ((90.0, 0.6),),
    "brushed level": ((0.0, 0.6),),
    "stone": ((20.0, 3.4), (75.0, 4.6), (140.0, 5.2)),
    "mirror": ((45.0, 3.0), (48.0, 11.0)),
}

FIGURE = 2.5
NOTE = 2.5
LABEL = 3.5
HEADING = 5.0
#: Dimension style, in paper mm: gap between object and extension line, its length past the dimension
#: line, length of the oblique stroke, gap between figure and dimension line.
EXTENSION_GAP = 1.0
EXTENSION_PAST = 1.5
STROKE = 1.8
FIGURE_GAP = 1.0
FONT = "DejaVu Sans"
#: Height of capitals as a share of the type size in DejaVu Sans (cap height 1493 of 2048 units).
CAPITALS = 1493 / 2048

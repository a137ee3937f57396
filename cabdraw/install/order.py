"""The order of the work as values: what goes on when, and what can come off again."""

from __future__ import annotations

from typing import Literal

from cabdraw.cab import WallName
from cabdraw.frozen import Frozen

StageKind = Literal[
    "ready", "strip", "lines", "corner-trims", "front-trims", "base", "tier", "board", "frieze", "strips", "rail",
    "fixtures", "finish", "service",
]  # fmt: skip
#: How a tier goes on: outward from one panel; inward to one, whose splines are drawn back into its own grooves; or
#: every panel before any spline, which is then let down from above.
Manner = Literal["outward", "inward", "joints-last"]


class Stage(Frozen):
    """One stage of the work: on one wall, or on the whole car where `wall` is None.

    `band` is the index, in the wall's stack, of the band that is set; `marks` are the parts in the order in
    which they go on, and `manner` is how those of a tier do.
    """

    kind: StageKind
    wall: WallName | None = None
    band: int | None = None
    marks: tuple[str, ...] = ()
    manner: Manner = "outward"


class Removal(Frozen):
    """Whether a panel can be taken off later: alone, or only after others, named in the order they come off.

    `why` says in words what holds it.
    """

    mark: str
    alone: bool
    first: tuple[str, ...]
    why: str

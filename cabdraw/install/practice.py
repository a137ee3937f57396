"""How the installer works, as the spec says: fixings, the level line, the labels' stock. Values only."""

from __future__ import annotations

from typing import Literal

from cabdraw.frozen import Frozen
from cabdraw.rational import Fraction
from cabdraw.units import Length

#: Where a bead of sealant runs, floor to ceiling or along the top of the walls.
SealedAt = Literal["returns", "corners", "ceiling"]
#: What is held with double-sided tape.
TapedAt = Literal["trims", "reveals"]


class Sealant(Frozen):
    """A bead by its diameter, and the volume of a cartridge in ml."""

    bead: Length
    cartridge: Fraction
    along: tuple[SealedAt, ...]


class Fixings(Frozen):
    """Greatest spacings of screws, studs and packers, None where not used, and the share of spares.

    `screw_reach` is how far a screw comes out behind the shell at most; `shims` is how many go with a packer.
    """

    base_screws: Length | None
    spline_screws: Length | None
    pad_studs: Length | None
    pad_stud_end: Length | None
    spares: Fraction
    screw_reach: Length
    packers: Length | None
    shims: int
    tape: tuple[TapedAt, ...]
    sealant: Sealant | None


class LabelStock(Frozen):
    """A sheet of labels: the paper, how many across and down, each one's size, and where the first stands."""

    paper: Literal["Letter", "A4"]
    columns: int
    rows: int
    width: Length
    height: Length
    left: Length
    top: Length
    gap_x: Length
    gap_y: Length


class Site(Frozen):
    """What the site's papers count from: the level line above the finished floor, and the labels' stock.

    `block` is how far a spacer block may be off its gap, None where the spec does not say.
    """

    level_line: Length
    block: Length | None
    labels: LabelStock

"""The format's installation: what the installer's papers are printed on."""

from __future__ import annotations

from typing import get_args

from cabdraw.cab import TileSize
from cabdraw.spec.fields import Choice, choice, sized
from cabdraw.spec.section import Section, key

Tile: Choice[TileSize] = choice(*get_args(TileSize))


class Install(Section):
    """What the installer's papers need to know."""

    tile = key(
        Tile,
        None,
        description="paper of tiled templates and local sheets; Letter for inches, A4 for mm if left out",
        examples=["Letter", "A4"],
    )
    level_line = key(
        sized("a level line's height", "300", "2500"),
        None,
        description="the line that heights are measured from, above the finished floor; 48 in or 1200 mm if left out",
        examples=["48", "1200"],
    )

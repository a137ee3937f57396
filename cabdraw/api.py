"""The way in for programs: read a spec, work out its car, draw it."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from cabdraw.cab import Cab
    from cabdraw.package import Drawn
    from cabdraw.spec import Document

# Each function imports what it needs: reading a spec needs no drawings.


def load(path: str | os.PathLike[str], car: str | None = None) -> Document:
    """Read a spec file.

    Args:
        path: the file.
        car: which car, where the file describes several.

    Raises:
        BadSpec: the file is not a spec; `errors` has each mistake with its file, line and column.

    >>> import cabdraw
    >>> document = cabdraw.load("specs/larkspur-car-2.yaml")
    >>> document.name
    'larkspur-car-2'
    >>> document.spec.job.project
    'Larkspur Court'
    """
    from cabdraw import spec

    return spec.load(Path(path), car)


def resolve(document: Document) -> Cab:
    """Work out every size of the car that a spec describes, exactly.

    Lengths are `Length` values: rational numbers of millimetres, which nothing has rounded. `mm` is that number;
    `cab.printing.size(length)` is the length as it stands on the drawings.

    Raises:
        BadSpec: the layout has no room on its wall, or something else in it cannot be.

    >>> import cabdraw
    >>> cab = cabdraw.resolve(cabdraw.load("specs/larkspur-car-2.yaml"))
    >>> panel = next(part for part in cab.parts if part.mark == "lower-back-1")
    >>> panel.width.mm
    Fraction(85979, 160)
    >>> cab.printing.size(panel.width), cab.printing.size(panel.height)
    ('21 5/32"', '25 5/8"')
    """
    from cabdraw.resolve import resolve

    return resolve(document)


def draw(
    spec: str | os.PathLike[str] | Document,
    out: str | os.PathLike[str] = "out",
    *,
    walls: Sequence[str] | None = None,
    since: str | os.PathLike[str] | Document | None = None,
    print_scale: str | None = None,
    cam: Literal["r2000", "r12"] = "r2000",
    car: str | None = None,
) -> Drawn:
    """Draw a car: write its whole package into the folder of its name inside `out`, as `cabdraw draw` does.

    What an earlier run wrote there is replaced, all of it or nothing. A file that cabdraw did not write, or that
    somebody changed since, is never overwritten or removed.

    Args:
        spec: a spec file, or one that was read with `load`.
        out: where to put the folder.
        walls: only these walls, of `back`, `left` and `right`; all of them if left out.
        since: the spec as it was issued before; what changed is drawn in clouds.
        print_scale: what the bars of a template measure over what they should, e.g. `99.4/100`.
        cam: the DXF version of the flats for machines.
        car: which car, where the file describes several.

    Returns:
        What was drawn, as `document`, `cab`, `findings`, `files` (path in the folder to content), `folder`, `since`
        (what changed) and `status` (1 where a finding is an error, else 0).

    Raises:
        BadSpec: a spec is wrong. Nothing was written.
        NoSuchWall: the car has no panels on a wall that is asked for. Nothing was written.
        CannotPlace: a file is in the way, or the disk refuses. The folder is as it was.
        NotAPrintScale: `print_scale` cannot be read, or no printer is so far off.

    >>> import cabdraw
    >>> drawn = cabdraw.draw("specs/larkspur-car-2.yaml", walls=["back"])
    >>> str(drawn.folder), drawn.status
    ('out/larkspur-car-2', 0)
    >>> sorted(path for path in drawn.files if path.startswith("drawings/"))
    ['drawings/elevation-back.dxf', 'drawings/elevation-back.svg', 'drawings/look-back.svg']
    >>> sorted({finding.code for finding in drawn.findings if finding.stops == "drilling"})
    ['drill-unverified']
    """
    from cabdraw.package import draw_package
    from cabdraw.print_scale import TRUE, parse_print_scale
    from cabdraw.spec import Document, car_keys

    scale = TRUE if print_scale is None else parse_print_scale(print_scale)
    if cam not in ("r2000", "r12"):
        raise ValueError(f"there is no version called {cam!r} here, only r2000 and r12")
    document = spec if isinstance(spec, Document) else load(spec, car)
    if since is not None and not isinstance(since, Document):
        # Of an earlier spec that holds several cars, the one of the same key.
        since = load(since, document.car if car_keys(Path(since)) else None)
    earlier = None if since is None else resolve(since)
    return draw_package(document, Path(out), [walls] if isinstance(walls, str) else walls, earlier, scale, cam)

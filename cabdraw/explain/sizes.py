"""Which sizes there are to be explained: of each part, of each wall, and of the car inside."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from difflib import get_close_matches

from cabdraw.cab import Cab, Part, Rail, Rect, Wall
from cabdraw.explain.explanation import NoSuchPart
from cabdraw.resolve.stack import band_names
from cabdraw.units import Length, quoted

#: What the clear size inside the car is asked for by, beside the marks of parts and the names of walls.
CLEAR = "clear"
#: As many of a long list as are worth reading in an error.
_FEW = 12


def marks(cab: Cab) -> tuple[str, ...]:
    """What can be asked for: every part's mark, every wall by its name, and `clear`."""
    return (*(part.mark for part in cab.parts), *cab.walls, CLEAR)


def sizes(cab: Cab, mark: str) -> dict[str, Length]:
    """Every size of a part, a wall or `clear` by its name, such as `width` or `core.height`; raises `NoSuchPart`."""
    part = next((part for part in cab.parts if part.mark == mark), None)
    if part is not None:
        return dict(_part(cab, part))
    if mark in cab.walls:
        return dict(_wall(next(wall for wall in cab.walls.values() if wall.name == mark)))
    if mark == CLEAR:
        clear = {"width": cab.clear.width, "depth": cab.clear.depth, "height": cab.clear.height}
        return {name: size for name, size in clear.items() if size is not None}
    raise NoSuchPart(_there_is_none(f"nothing is called {quoted(mark)}", mark, marks(cab)))


def named(cab: Cab, mark: str, size: str | None) -> dict[str, Length]:
    """The sizes that are meant: all of a mark's, the one of a name, or those under it, as `core` and `cut` have some.

    `bands` are all of a wall's bands. Raises `NoSuchPart`.
    """
    there = sizes(cab, mark)
    if size is None:
        return there
    if size in there:
        return {size: there[size]}
    found = {name: length for name, length in there.items() if name.startswith((f"{size}.", f"{size}-"))}
    if not found and size == "bands" and mark in cab.walls:
        found = {name: length for name, length in there.items() if name.endswith((".y", ".height"))}
    if not found:
        raise NoSuchPart(
            _there_is_none(f"{mark} has no size {quoted(size)}{_why(cab, mark, size)}", size, tuple(there))
        )
    return found


def _why(cab: Cab, mark: str, size: str) -> str:
    """Why a size that others have is not there."""
    part = next((part for part in cab.parts if part.mark == mark), None)
    if mark == CLEAR and size in ("width", "depth"):
        return ", as no wall that bounds it is measured"
    if part is not None and part.kind == "handrail" and size.startswith("bolt"):
        rail = next(wall.rail for wall in cab.walls.values() if wall.name == part.wall)
        if rail is None or rail.bolt is None:
            return ", as the spec gives no bolt or no thickness of the shell"
        return ", as no stock length is long enough and short enough" if rail.bolt.length is None else ""
    if part is not None and part.kind in ("front-trim", "corner-trim") and size in ("thickness", "x", "y"):
        return ", as a trim stands on no one wall and its sheet is its profile's"
    return ""


def _there_is_none(what: str, asked: str, there: Sequence[str]) -> str:
    near = get_close_matches(asked, there, 1, 0.4)
    listed = ", ".join(there[:_FEW]) + (f" and {len(there) - _FEW} more" if len(there) > _FEW else "")
    return f"{what}; {f'is it {near[0]}? ' if near else ''}there are {listed}"


def _rect(rect: Rect, before: str = "") -> Iterator[tuple[str, Length]]:
    for name in ("x", "y", "width", "height"):
        yield before + name, getattr(rect, name)


def _part(cab: Cab, part: Part) -> Iterator[tuple[str, Length]]:
    yield "width", part.width
    yield "height", part.height
    if part.thickness is not None:
        yield "thickness", part.thickness
    if part.core is not None:
        yield "core.width", part.core[0]
        yield "core.height", part.core[1]
    where = part.body or part.visible
    if where is not None:
        yield "x", where.x
        yield "y", where.y
    if part.visible is not None and part.body is not None:
        whole = dict(_rect(part.body))
        yield from ((f"visible.{name}", size) for name, size in _rect(part.visible) if size != whole[name])
    for number, cut in enumerate(part.cuts, 1):
        yield from _rect(cut.opening, f"cut-{number}.")
    if part.kind == "handrail":
        rail = next(wall.rail for wall in cab.walls.values() if wall.name == part.wall)
        assert rail is not None
        yield from _rail(rail)


def _rail(rail: Rail) -> Iterator[tuple[str, Length]]:
    yield "centre", rail.y
    yield "standoff", rail.standoff
    known: Mapping[str, Length | None] = {
        "spacing": rail.spacing,
        "overhang": rail.overhang,
        "pilot": rail.pilot,
        "hole": rail.hole,
        "flange": rail.flange,
        "insertion": rail.insertion,
    }
    yield from ((name, size) for name, size in known.items() if size is not None)
    if rail.spacing is None:
        yield from ((f"spacing-{number}", bay) for number, bay in enumerate(rail.bays, 1))
    if rail.overhang is None:
        yield "overhang.left", rail.standoffs[0].x - rail.x
        yield "overhang.right", rail.right - rail.standoffs[-1].x
    for standoff in rail.standoffs:
        yield f"standoff-{standoff.number}.x", standoff.x
        yield f"standoff-{standoff.number}.y", standoff.y
    if rail.bolt is not None:
        bolt = {name: getattr(rail.bolt, name) for name in ("stack", "shortest", "longest", "length")}
        yield from ((f"bolt.{name}", size) for name, size in bolt.items() if size is not None)


def _wall(wall: Wall) -> Iterator[tuple[str, Length]]:
    for name in ("width", "height", "projection"):
        yield name, getattr(wall, name)
    for name in ("margins", "gaps"):
        left, right = getattr(wall, name)
        yield f"{name}.left", left
        yield f"{name}.right", right
    for name in ("run", "reveal", "thickness", "air_gap", "edge"):
        yield name, getattr(wall, name)
    for name, band in zip(band_names([band.kind for band in wall.bands]), wall.bands, strict=True):
        yield f"{name}.y", band.y
        yield f"{name}.height", band.height

"""Drawings by themselves, on paper just as large as they are, with the places where each part can be touched."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from cabdraw.cab import Cab, Part, Rect, WallName
from cabdraw.draw.elevation import SEEN
from cabdraw.draw.occupied import extent
from cabdraw.draw.outline import Depths, box
from cabdraw.draw.page import Drawing, Place
from cabdraw.draw.plan import RETURN_DEPTH, Ground
from cabdraw.draw.shapes import XY, Polyline, Sheet, View
from cabdraw.frozen import replace

#: Paper mm left free round a drawing.
ROUND = 4.0
Rings = tuple[tuple[XY, ...], ...]


def cropped(view: View, name: str, title: str) -> tuple[Sheet, View]:
    """A view on a sheet just as large as what is drawn in it; and the view where it stands there."""
    x0, y0, x1, y1 = extent(view.shapes, view.scale)
    s = view.scale
    at = (ROUND - x0 * s, ROUND - y0 * s)
    width, height = (x1 - x0) * s + 2 * ROUND, (y1 - y0) * s + 2 * ROUND
    placed = replace(view, at=at, window=((0.0, 0.0), (width, height)))
    return Sheet(name, title, width, height, (), (placed,)), placed


def wall_drawing(cab: Cab, name: WallName, view: View, sheet: str, stamps: Iterable[str] = ()) -> Drawing:
    """A wall's elevation with the places of its parts; `sheet` is what its sheet is called."""
    title = f"{name.capitalize()} wall"
    paper, placed = cropped(view, sheet, title)
    places = [place for part in cab.walls[name].parts if (place := _place(part, placed)) is not None]
    return Drawing(name, title, SEEN[name], paper, _small_on_top(places), tuple(stamps))


def plan_drawing(view: View, sheet: str) -> Drawing:
    """The plan without places to touch."""
    paper, _ = cropped(view, sheet, "Plan")
    return Drawing("plan", "Plan at rail height", "seen from above", paper)


def touched_plan(cab: Cab, view: View, sheet: str) -> Drawing:
    """The plan with the places of its parts: those that it cuts, and hidden those that stand below or above the cut."""
    drawing = plan_drawing(view, sheet)
    _, placed = cropped(view, sheet, "Plan")
    places = [
        Place(mark, (tuple(placed.on_paper(point) for point in ring),), hidden)
        for mark, ring, hidden in _in_plan(cab, Ground(cab))
    ]
    return replace(drawing, places=_small_on_top(places))


def front_drawing(view: View, sheet: str) -> Drawing:
    """The front with the places of its trims."""
    paper, placed = cropped(view, sheet, "Front")
    places = [
        Place(shape.mark, (tuple(placed.on_paper(point) for point in shape.points),))
        for shape in view.shapes
        if isinstance(shape, Polyline) and shape.mark
    ]
    return Drawing("front", "Front", "seen from inside, facing the door", paper, _small_on_top(places))


def _small_on_top(places: Iterable[Place]) -> tuple[Place, ...]:
    """What is small lies over what is large, so that it can be touched."""
    return tuple(sorted(places, key=lambda place: -_size(place)))


def _size(place: Place) -> float:
    xs = [x for ring in place.rings for x, _ in ring]
    ys = [y for ring in place.rings for _, y in ring]
    return (max(xs) - min(xs)) * (max(ys) - min(ys))


def _place(part: Part, view: View) -> Place | None:
    hidden = part.visible is None
    rect = part.body if hidden else part.visible
    if rect is None:
        return None
    rings: Rings = (tuple(view.on_paper(point) for point in _corners(rect)),)
    if part.cuts and not hidden:
        rings = tuple(
            tuple(view.on_paper((float(p.x), float(p.y))) for p in ring)
            for shape in part.shapes
            for ring in (shape.outline, *shape.holes)
        )
    return Place(part.mark, rings, hidden) if rings else None


def _corners(rect: Rect) -> tuple[XY, ...]:
    x, y, right, top = float(rect.x), float(rect.y), float(rect.right), float(rect.top)
    return (x, y), (right, y), (right, top), (x, top)


def _in_plan(cab: Cab, ground: Ground) -> Iterator[tuple[str, tuple[XY, ...], bool]]:
    """The outline in plan of each part that has one, and whether the cut, just above the rail, misses it."""
    for name, wall in cab.walls.items():
        at, turn = Depths(cab, wall), ground.turn(name)
        cut = _cut_height(cab, name)
        for part in wall.parts:
            rect = part.body or part.visible
            if part.kind == "handrail" and wall.rail is not None:
                near = at.face + float(wall.rail.standoff)
                deep, hidden = (near, near + float(wall.rail.thickness)), False
            elif rect is None:
                continue
            else:
                deep = {"vertical-spline": at.spline, "horizontal-spline": at.spline, "vertical-reveal": at.strip,
                        "horizontal-reveal": at.strip}.get(part.kind, (at.back, at.face))  # fmt: skip
                hidden = not float(rect.y) <= cut < float(rect.top)
            across = part.visible or rect
            if across is not None:
                yield part.mark, box(turn, deep, (float(across.x), float(across.right))), hidden
    yield from _trims_in_plan(cab, ground)


def _cut_height(cab: Cab, name: WallName) -> float:
    """Where the plan cuts a wall: at its rail, or where another wall's is, or halfway up."""
    own = cab.walls[name].rail or next((wall.rail for wall in cab.walls.values() if wall.rail is not None), None)
    return float(own.y) if own is not None else float(cab.walls[name].height) / 2


def _trims_in_plan(cab: Cab, ground: Ground) -> Iterator[tuple[str, tuple[XY, ...], bool]]:
    back = cab.walls.get("back")
    for trim in cab.trims:
        side = cab.walls.get(trim.wall)
        if trim.kind == "corner-trim" and back is not None:
            left = trim.mark.endswith("left")
            beside = cab.walls.get("left" if left else "right")
            if beside is None:
                continue
            # The corner that both rows of panels leave free.
            across, deep = float(back.margins[0 if left else 1]), float(beside.margins[1 if left else 0])
            x, y = (0.0, ground.left) if left else (ground.width, ground.right)
            inner, low = (x + across, y - deep) if left else (x - across, y - deep)
            yield trim.mark, ((x, y), (inner, y), (inner, low), (x, low)), False
        elif trim.kind == "front-trim":
            # It stands against the panelling of its side wall, on the return.
            off = float(side.projection) if side is not None else 0.0
            width = float(trim.width)
            a, b = (off, off + width) if trim.wall == "left" else (ground.width - off, ground.width - off - width)
            yield trim.mark, ((a, 0.0), (b, 0.0), (b, -RETURN_DEPTH), (a, -RETURN_DEPTH)), (trim.order or 1) > 1

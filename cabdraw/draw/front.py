"""The front of the car from inside: returns, transom, door opening, and the front trims with their cut heights."""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.cab import Cab, Front, Part
from cabdraw.draw.column import Column
from cabdraw.draw.figures import Figures
from cabdraw.draw.fitting import fitted, place
from cabdraw.draw.layout import chain_across, chain_up, overall_across, overall_up, running_up
from cabdraw.draw.measure import text_width
from cabdraw.draw.occupied import Occupied
from cabdraw.draw.paper import Paper, paper
from cabdraw.draw.scales import Scale
from cabdraw.draw.shapes import Across, Dimension, Line, Polyline, Shape, Sheet, Text, View
from cabdraw.draw.style import FIGURE, NOTE
from cabdraw.draw.title import Title, arrow
from cabdraw.errors import Finding
from cabdraw.units import ZERO, Length


def front_width(cab: Cab) -> Length | None:
    """The width of the shell at the front; None where it was not surveyed."""
    if "back" in cab.walls:
        return cab.walls["back"].width
    if cab.clear.width is None:
        return None
    return cab.clear.width + cab.projection("left") + cab.projection("right")


def can_draw(cab: Cab) -> bool:
    """Whether the survey holds enough of the front to draw it: a return, and the width between the shells."""
    return cab.front is not None and bool(cab.front.returns) and front_width(cab) is not None


def _trims(cab: Cab, side: str) -> list[Part]:
    return [trim for trim in cab.trims if trim.kind == "front-trim" and trim.wall == side]


def _rect(layer: str, x: float, y: float, width: float, height: float, tint: str = "", mark: str = "") -> Polyline:
    points = ((x, y), (x + width, y), (x + width, y + height), (x, y + height))
    return Polyline(layer, points, True, tint, mark)


def _shapes(cab: Cab, front: Front, width: float, scale: float) -> list[Shape]:
    """Seen from inside facing the door: the right return stands at the left of the drawing."""
    height = float(cab.clear.height)
    past = 4.0 / scale
    shapes: list[Shape] = [_rect("SHELL", 0.0, 0.0, width, height)]
    inner: dict[str, float] = {"left": width, "right": 0.0}
    for found in front.returns:
        wide, high = float(found.width), float(found.height)
        x = 0.0 if found.side == "right" else width - wide
        inner[found.side] = wide if found.side == "right" else width - wide
        shapes.append(_rect("FIXTURE", x, 0.0, wide, high, "fixture"))
        y = 0.0
        for trim in _trims(cab, found.side):
            across = float(trim.width)
            # The trim stands against the side wall's panelling, or the shell where that wall has none.
            off = float(cab.projection(found.side))
            at = off if found.side == "right" else width - off - across
            shapes.append(_rect("METAL", at, y, across, float(trim.height), "metal", trim.mark))
            y += float(trim.height)
    if front.underside is not None:
        low = float(front.underside)
        shapes.append(_rect("FIXTURE", inner["right"], low, inner["left"] - inner["right"], height - low, "fixture"))
    shapes.append(Line("FLOOR", (-past, 0.0), (width + past, 0.0)))
    shapes.append(Line("FLOOR", (-past, height), (width + past, height)))
    return shapes


def _dimensions(cab: Cab, front: Front, exact: Length, scale: float) -> list[Dimension]:
    figures = Figures(cab)
    width, height = float(exact), float(cab.clear.height)
    sides = {r.side: r for r in front.returns}
    first = sides["right"].width if "right" in sides else ZERO
    last = sides["left"].width if "left" in sides else ZERO
    lengths = [first, exact - first - last, last]
    kept = [(length, i == 1) for i, length in enumerate(lengths) if length > ZERO]
    chain = figures.chain([length for length, _ in kept], [door for _, door in kept])
    stations, x = [0.0], ZERO
    for length, _ in kept:
        x += length
        stations.append(float(x))
    line = -7.0 / scale
    found, in_lane = chain_across(stations, chain.parts, line, 0.0, scale)
    found.append(overall_across(0.0, width, chain.overall, line - (10.6 if in_lane else 6.5) / scale, 0.0, scale))
    pieces = _trims(cab, "right") or _trims(cab, "left")
    line = -8.0 / scale
    if pieces:
        up, y = [0.0], ZERO
        for piece in pieces:
            y += piece.height
            up.append(float(y))
        words = [figures(piece.height) for piece in pieces]
        found += chain_up(up, words, line, 0.0, scale)
        line -= (max(text_width(word, FIGURE) for word in words) + 6.0) / scale
    found.append(overall_up(0.0, height, figures(cab.clear.height), line, 0.0, scale))
    ups: list[tuple[float, str]] = []
    if front.underside is not None:
        ups.append((float(front.underside), f"{figures(front.underside)} transom"))
    for side in ("left", "right"):
        if side in sides and all(abs(y - float(sides[side].height)) > 1.0 for y, _ in ups):
            ups.append((float(sides[side].height), f"{figures(sides[side].height)} return"))
    ups.sort()
    right = width + 7.0 / scale
    return found + running_up(0.0, [y for y, _ in ups], [text for _, text in ups], right, width, scale)


def _labels(cab: Cab, front: Front, width: float, scale: float, drawn: Sequence[Shape]) -> list[Shape]:
    figures = Figures(cab)
    occupied = Occupied(scale)
    occupied.add(drawn)
    found: list[Shape] = []
    for r in front.returns:
        middle = float(r.width) / 2 if r.side == "right" else width - float(r.width) / 2
        words = f"{r.side} return"
        options = []
        for angle in (0.0, 90.0):
            for i in range(12):
                for offset in (0.0, 8.0, -8.0):
                    at = (middle + offset / scale, float(r.height) * (0.5 + 0.03 * i))
                    options.append((Text("TEXT", at, words, NOTE, "centre", "middle", angle),))
        found += occupied.place(options)
    if front.underside is not None:
        low = float(front.underside)
        at = (width / 2, (low + float(cab.clear.height)) / 2)
        long = f"transom, {figures(front.projects)} proud of the returns" if front.projects > ZERO else "transom"
        found += occupied.place((Text("TEXT", at, w, NOTE, "centre", "middle"),) for w in (long, "transom"))
        door = (width / 2, low * 0.5)
        found += occupied.place([(Text("TEXT", door, "door opening", NOTE, "centre", "middle"),)])
    for trim in cab.trims:
        if trim.kind != "front-trim":
            continue
        base = sum((float(t.height) for t in _trims(cab, trim.wall) if (t.order or 0) < (trim.order or 0)), 0.0)
        sign = 1.0 if trim.wall == "right" else -1.0
        edge = float(cab.projection(trim.wall)) + float(trim.width)
        x = edge if sign > 0 else width - edge
        options = []
        for share in (0.3, 0.4, 0.5, 0.6, 0.7, 0.2, 0.8):
            for away in (2.5, 4.5):
                at = (x + sign * away / scale, base + float(trim.height) * share)
                options.append((Text("MARK", at, trim.mark, NOTE, "centre", "middle", 90.0),))
        placed = occupied.place(options)
        if not placed:
            side: Across = "left" if sign > 0 else "right"
            at = (x + sign * 8.0 / scale, base + float(trim.height) / 2)
            placed = occupied.place([(Text("MARK", at, trim.mark, NOTE, side, "middle"),)])
        found += placed
    return found


def _drawn(cab: Cab, front: Front, exact: Length, s: float) -> list[Shape]:
    """The front with its dimensions and names."""
    width = float(exact)
    shapes = _shapes(cab, front, width, s)
    shapes += _dimensions(cab, front, exact, s)
    low = min(d.line for d in shapes if isinstance(d, Dimension) and d.axis == "x") - 5.0 / s
    ends: tuple[tuple[str, float, float, Across], ...] = (
        ("right wall", 0.0, -1.0, "left"),
        ("left wall", width, 1.0, "right"),
    )
    for words, x, way, across in ends:
        start = x - way * 6.0 / s
        shapes += arrow("TEXT", (start, low), (way, 0.0), 6.0 / s)
        shapes.append(Text("TEXT", (start - way * 1.5 / s, low), words, NOTE, across, "middle"))
    return shapes + _labels(cab, front, width, s, shapes)


def front_view(cab: Cab, page: Paper) -> tuple[View, Scale]:
    """The front in the middle of a sheet's drawing area, and its scale; raises ValueError unless it `can_draw`."""
    found, exact = cab.front, front_width(cab)
    if found is None or exact is None:
        raise ValueError("the front of this car was not surveyed")
    area = page.drawing
    least = (float(exact), float(cab.clear.height))
    scale, drawn = fitted(cab, lambda scale: _drawn(cab, found, exact, scale.ratio), area, least)
    window = ((area.left, area.low), (area.right, area.high))
    return View("front", scale.ratio, place(drawn, scale.ratio, page), tuple(drawn), window), scale


def front(cab: Cab, findings: Sequence[Finding], number: str) -> Sheet:
    """The sheet with the front of the car; only for a car whose front `can_draw`."""
    page = paper(cab.sheet.size)
    view, scale = front_view(cab, page)
    title = Title("Front", "Elevation, seen from inside, facing the door", scale.text, "Elevation", number)
    column = Column(cab, page, title, findings)
    column.notes("Notes", _notes(cab))
    column.legend([("FIXTURE", "fixture", "existing, stays"), ("METAL", "metal", "front trim")])
    return column.sheet("front", "Front of the car", (view,))


def _notes(cab: Cab) -> list[str]:
    figures = Figures(cab)
    front = cab.front
    assert front is not None
    found = [
        "Left and right are as seen entering the car: facing the door, the right wall is at the left.",
        "Heights are from the finished floor.",
    ]
    if front.cut is not None and front.stock is not None:
        found.append(
            f"The transom stands {figures(front.projects)} proud: each front trim is cut at {figures(front.cut)}, the"
            f" cut edge of the lower piece at the floor. Both pieces come out of one length of {figures(front.stock)}."
        )
    found.append("Returns, transom and door stay. Check that the door runs free and that hinged returns still open.")
    return found

"""The look of one wall: the wall in its finishes, as a customer would want to see it before signing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cabdraw.cab import Cab, Wall, WallName
from cabdraw.draw.layout import spread
from cabdraw.draw.measure import text_width
from cabdraw.draw.paper import SIZES, Area
from cabdraw.draw.scene import BEYOND, CEILING, FLOOR, scene
from cabdraw.draw.shapes import Circle, Line, Polyline, Shape, Sheet, Text, View
from cabdraw.draw.textures import texture
from cabdraw.draw.words import fitted, wrapped
from cabdraw.errors import Finding
from cabdraw.finish import Finish
from cabdraw.units import INCH

EDGE = 14.0
COLUMN = 74.0
#: Between the picture and the column.
GUTTER = 12.0
#: Paper mm beside the picture for the finishes' codes.
TAGS = 20.0
#: Finishes are shown in the legend at 1:8.
SAMPLE = 0.125
NOTE = ("Colours on screen or paper are not samples: approve finishes from samples. Grain, veining and reflections"
        " are drawn to give an idea, and no two pieces are alike.")  # fmt: skip
SEEN = {
    "back": "as seen on entering",
    "left": "as seen from inside, the front at the left",
    "right": "as seen from inside, the front at the right",
}


def walls_with_finishes(cab: Cab) -> tuple[WallName, ...]:
    """The walls of which there is a look to show: those on which something has a finish."""
    return tuple(name for name in cab.walls if wall_finishes(cab, cab.walls[name]))


def wall_finishes(cab: Cab, wall: Wall) -> list[tuple[Finish, list[str]]]:
    """Each finish that shows on a wall, in the order of the spec, with the bands that have it."""
    found: dict[Finish, list[str]] = {}
    bands = [band.kind for band in wall.bands if band.height]
    for kind, there in (("reveal", bool(wall.reveal)), ("rail", wall.rail is not None)):
        bands += [kind] if there else []
    for band in bands:
        finish = cab.finish_on(wall.name, band)
        if finish is not None and band not in found.setdefault(finish, []):
            found[finish].append(band)
    return [(finish, found[finish]) for finish, _ in cab.every_finish if finish in found]


def look(cab: Cab, name: WallName, findings: Sequence[Finding]) -> Sheet:
    """The sheet with the look of a wall, as large as there is room for on the paper that the spec names."""
    wall = cab.walls[name]
    width, height = SIZES[cab.sheet.size]
    column = Area(width - EDGE - COLUMN, EDGE, width - EDGE, height - EDGE)
    picture = Area(EDGE, EDGE, column.left - GUTTER, height - EDGE)
    across, up = float(wall.width) + 2 * BEYOND, float(wall.height) + FLOOR + CEILING
    s = min((picture.width - TAGS) / across, picture.height / up)
    at = (
        picture.left + (picture.width - TAGS - across * s) / 2 + BEYOND * s,
        picture.low + (picture.height - up * s) / 2 + FLOOR * s,
    )
    window = ((picture.left, picture.low), (picture.right, picture.high))
    view = View(f"look-{name}", s, at, (*scene(cab, wall), *_named_fixtures(wall, s)), window)
    shapes, samples = _column(cab, wall, column, s, findings)
    # Over the picture, so that each code's line reaches what it names.
    codes = View("codes", 1.0, (0.0, 0.0), tuple(_codes(cab, wall, view)), window)
    about = (
        ("title", f"{cab.job.project}, {cab.job.car}: {name} wall in its finishes"),
        ("subject", "Look of a wall"),
        ("author", cab.job.drawn_by or ""),
        ("revision", cab.job.revision or ""),
        ("date", cab.job.date or ""),
    )
    return Sheet(view.name, about[0][1], width, height, tuple(shapes), (view, codes, *samples), about)


def _named_fixtures(wall: Wall, scale: float) -> Iterator[Shape]:
    for fixture in wall.fixtures:
        rect = fixture.rect
        room = float(rect.width) * scale - 2.0
        lines = wrapped(fixture.what, room, 1.8)[:3]
        if float(rect.height) * scale < 3.2 * len(lines) or any(text_width(line, 1.8) > room for line in lines):
            continue
        for i, line in enumerate(lines):
            y = float(rect.centre.y) + ((len(lines) - 1) / 2 - i) * 3.2 / scale
            yield Text("TEXT", (float(rect.centre.x), y), line, 1.8, "centre", "middle")


def _named_places(cab: Cab, wall: Wall) -> Iterator[tuple[Finish, float, float]]:
    """What each code names: a finish, and the point of the wall in mm that its line leads to."""
    end = float(wall.row_end)
    rail = wall.rail
    seen: set[str] = set()
    for band in reversed(wall.bands):
        finish = cab.finish_on(wall.name, band.kind)
        if finish is None or not band.height or (band.kind == "reveal" and "reveal" in seen):
            continue
        seen.add(band.kind)
        low, high = float(band.y), float(band.top)
        behind_rail = rail is not None and low < float(rail.y) < high
        yield finish, end - 40.0, high - (high - low) * 0.2 if behind_rail else (low + high) / 2
    finish = cab.finish_on(wall.name, "reveal")
    strip = next((part for part in reversed(wall.parts) if part.kind == "vertical-reveal" and part.visible), None)
    if finish is not None and "reveal" not in seen and strip is not None and strip.visible is not None:
        yield finish, float(strip.visible.centre.x), float(strip.visible.y + strip.visible.height * 3 / 4)
    finish = cab.finish_on(wall.name, "rail")
    if rail is not None and finish is not None:
        yield finish, float(rail.right) - float(rail.height), float(rail.y)


def _codes(cab: Cab, wall: Wall, view: View) -> Iterator[Shape]:
    """The code of each finish right of the picture, with a line to where it is."""
    named = sorted(_named_places(cab, wall), key=lambda one: one[2])
    wanted = [view.on_paper((0.0, y))[1] for _, _, y in named]
    places = spread(wanted, [5.6] * len(named))
    edge = view.on_paper((float(wall.width) + BEYOND, 0.0))[0] + 1.0
    for (finish, x, y), place in zip(named, places, strict=True):
        start = view.on_paper((x, y))
        code, size = fitted(finish.code, TAGS - 8.0, 2.5, True)
        yield Line("DIMENSION", (start[0] + 0.55, start[1]), (edge, start[1]))
        yield Line("DIMENSION", (edge, start[1]), (edge + 3.5, place))
        yield Circle("DIMENSION", start, 0.55, "paper")
        yield Text("TEXT", (edge + 4.5, place), code, size, up="middle", bold=True)


def _column(
    cab: Cab, wall: Wall, area: Area, scale: float, findings: Sequence[Finding]
) -> tuple[list[Shape], list[View]]:
    """Whose car it is and which wall, the finishes, the scale, what to know, and where to sign."""
    shapes: list[Shape] = []
    y = area.high
    for text, size, bold in (
        (cab.job.project, 5.0, True),
        (cab.job.car, 3.5, False),
        (f"{wall.name.capitalize()} wall", 3.5, True),
        (SEEN[wall.name], 2.5, False),
    ):
        for line in wrapped(text, area.width, size, bold)[:2]:
            line, fits = fitted(line, area.width, size, bold)
            shapes.append(Text("TEXT", (area.left, y), line, fits, up="top", bold=bold))
            y -= size * 1.75
    if any(finding.stops == "fabrication" for finding in findings):
        y -= 2.0
        box = Area(area.left, y - 8.0, area.right, y)
        middle = ((box.left + box.right) / 2, (box.low + box.high) / 2)
        shapes.append(Polyline("CAUTION", box.corners, True, "caution"))
        shapes.append(Text("CAUTION", middle, "NOT FOR FABRICATION", 3.5, "centre", "middle", bold=True))
        y = box.low
    y -= 3.0
    shapes.append(Line("TITLE", (area.left, y), (area.right, y)))
    y -= 5.0
    foot, low = _foot(cab, area, scale)
    legend, samples = _legend(cab, wall, Area(area.left, low + 4.0, area.right, y))
    return [*shapes, *legend, *foot], samples


def _legend(cab: Cab, wall: Wall, area: Area) -> tuple[list[Shape], list[View]]:
    """A sample of each finish with its code and name, closer together where there are many."""
    entries = wall_finishes(cab, wall)
    pitch = min(30.0, area.height / max(1, len(entries)))
    high = min(22.0, pitch - 3.0)
    wide = 28.0
    shapes: list[Shape] = []
    samples: list[View] = []
    y = area.high
    for number, (finish, bands) in enumerate(entries):
        upright = wall.grain != "horizontal"
        frame = (0.0, 0.0, wide / SAMPLE, high / SAMPLE)
        drawn = texture(finish, frame, upright, "sample")
        view = View(f"finish-{number + 1}", SAMPLE, (area.left, y - high), tuple(drawn))
        samples.append(view)
        shapes.append(Polyline("DIMENSION", Area(area.left, y - high, area.left + wide, y).corners, True))
        left = area.left + wide + 4.0
        shapes += _named(finish, bands, Area(left, y - pitch + 1.0, area.right, y))
        y -= pitch
    return shapes, samples


def _named(finish: Finish, bands: Sequence[str], area: Area) -> Iterator[Shape]:
    """A finish's code, name, material and bands, as many lines as there is room for; a sign where some are left out."""
    if area.height < 9.0:
        text, size = fitted(f"{finish.code}  {finish.name}", area.width, 2.5, True)
        yield Text("TEXT", (area.left, area.high), text, size, up="top", bold=True)
        return
    code, size = fitted(finish.code, area.width, 3.5, True)
    yield Text("TEXT", (area.left, area.high), code, size, up="top", bold=True)
    lines = [(line, 2.5) for line in wrapped(finish.name, area.width, 2.5)]
    lines += [(line, 1.8) for line in wrapped(finish.material or "", area.width, 1.8)]
    lines += [(line, 1.8) for line in wrapped(", ".join(bands), area.width, 1.8)]
    under = area.high - 6.0
    for number, (line, height) in enumerate(lines):
        after = under - height * 1.5 - 0.7
        last = number + 1 < len(lines) and after - lines[number + 1][1] < area.low
        if last:
            line, height = fitted(f"{line} …", area.width, height)
        yield Text("TEXT", (area.left, under), line, height, up="top")
        if last:
            return
        under = after


def _foot(cab: Cab, area: Area, scale: float) -> tuple[list[Shape], float]:
    """Scale bar, note, date and lines to sign on; and the height at which they end."""
    shapes: list[Shape] = []
    y = area.low
    for words in ("Date", "Name and signature", "Approved"):
        if words != "Approved":
            shapes.append(Line("TITLE", (area.left, y + 4.2), (area.right, y + 4.2)))
            shapes.append(Text("TEXT", (area.left, y + 3.0), words, 1.8, up="top"))
            y += 12.5
        else:
            shapes.append(Text("TEXT", (area.left, y + 0.5), words, 2.5, bold=True))
            y += 8.0
    issued = ", ".join(
        word
        for word in (
            f"Revision {cab.job.revision}" if cab.job.revision else "",
            cab.job.date or "",
        )
        if word
    )
    for line in reversed(wrapped(issued, area.width, 1.8)):
        shapes.append(Text("TEXT", (area.left, y), line, 1.8))
        y += 3.4
    y += 2.0
    for line in reversed(wrapped(NOTE, area.width, 1.8)):
        shapes.append(Text("TEXT", (area.left, y), line, 1.8))
        y += 3.4
    y += 3.5
    bar, y = _scale_bar(cab, area, y, scale)
    return shapes + bar, y


def _scale_bar(cab: Cab, area: Area, y: float, scale: float) -> tuple[list[Shape], float]:
    """A bar of four equal lengths, in feet or in mm, as long as there is room for."""
    inch = cab.printing.system == "inch"
    units = [float(INCH) * n for n in (12, 6, 3, 1)] if inch else [500.0, 250.0, 200.0, 100.0, 50.0, 20.0, 10.0]
    room = area.width - 16.0
    unit = next((u for u in units if u * 4 * scale <= room), units[-1])
    step = unit * scale
    shapes: list[Shape] = []
    for i in range(4):
        box = Area(area.left + i * step, y, area.left + (i + 1) * step, y + 1.6)
        shapes.append(Polyline("TITLE", box.corners, True, "solid" if i % 2 == 0 else "paper"))
    for i in (0, 1, 2, 4):
        if inch:
            inches = round(unit / float(INCH)) * i
            figure = "0" if not i else f"{inches // 12}'" if inches % 12 == 0 else f'{inches}"'
        else:
            figure = f"{unit * i:g}" + (" mm" if i == 4 else "")
        shapes.append(Text("TEXT", (area.left + i * step, y + 3.0), figure, 1.8, "left" if i == 0 else "centre"))
    return shapes, y + 6.0

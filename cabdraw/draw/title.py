"""The title column of a sheet: what it is, of which car, and what a reader must know before using it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from cabdraw.cab import Cab
from cabdraw.draw.paper import Area, Paper
from cabdraw.draw.shapes import Line, Polyline, Shape, Text
from cabdraw.draw.style import LABEL, NOTE
from cabdraw.draw.style import tint as colour
from cabdraw.draw.words import fitted, wrapped
from cabdraw.errors import Finding
from cabdraw.frozen import Frozen

SMALL = 1.8
#: From one base line of notes to the next, as a multiple of the text height (ISO 3098: at least 1.4).
LEADING = 1.7
PAD = 2.0
#: Paper mm kept at the right of the column, where a centring mark comes in.
RIGHT = 5.6


class Title(Frozen):
    """What stands in a sheet's title block beside the job's own fields."""

    title: str
    under: str
    scale: str
    kind: str = "Drawing"
    sheet: str = "1 of 1"


def rectangle(layer: str, area: Area, fill: str = "", mark: str = "") -> Polyline:
    """The outline of an area."""
    return Polyline(layer, area.corners, True, fill, mark)


def stops_fabrication(findings: Iterable[Finding]) -> bool:
    """Whether any finding stops fabrication, so that every sheet says so."""
    return any(finding.stops == "fabrication" for finding in findings)


def open_findings(findings: Sequence[Finding]) -> str:
    """How many findings are open, by severity, in words."""
    if not findings:
        return "none open"
    counts = [(sum(f.severity == s for f in findings), s) for s in ("error", "warning", "note")]
    return f"{len(findings)} open: " + ", ".join(f"{n} {s}{'s' if n != 1 else ''}" for n, s in counts if n)


#: Zones of the frame, after ISO 5457: fields of 50 mm counted from the centring marks, letters without I and O.
ZONE, BORDER = 50.0, 5.0
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"


def frame(paper: Paper) -> list[Shape]:
    """The border of the drawing and of its title column; on ISO sheets with centring marks and zones (ISO 5457)."""
    column = paper.column
    shapes: list[Shape] = [
        rectangle("FRAME", paper.frame),
        Line("TITLE", (column.left, column.low), (column.left, column.high)),
    ]
    if paper.zoned:
        shapes += _zones(paper)
    return shapes


def _zones(paper: Paper) -> list[Shape]:
    inner, outer = paper.frame, paper.frame.inset(-BORDER)
    shapes: list[Shape] = [rectangle("ZONE", outer)]
    middle = ((inner.left + inner.right) / 2, (inner.low + inner.high) / 2)
    marks = (
        ((middle[0], outer.low), (middle[0], inner.low + BORDER)),
        ((middle[0], outer.high), (middle[0], inner.high - BORDER)),
        ((outer.left, middle[1]), (inner.left + BORDER, middle[1])),
        ((outer.right, middle[1]), (inner.right - BORDER, middle[1])),
    )
    shapes += [Line("FRAME", a, b) for a, b in marks]
    across = _fields(inner.left, inner.right)
    for number, (a, b) in enumerate(across, 1):
        for low, high in ((outer.low, inner.low), (inner.high, outer.high)):
            at = ((a + b) / 2, (low + high) / 2)
            shapes.append(Text("ZONE", at, str(number), 2.5, "centre", "middle"))
            if number < len(across) and abs(b - middle[0]) > 1.0:
                shapes.append(Line("ZONE", (b, low), (b, high)))
    up = _fields(inner.low, inner.high)
    for index, (a, b) in enumerate(up):
        letter = LETTERS[len(up) - 1 - index]
        for left, right in ((outer.left, inner.left), (inner.right, outer.right)):
            at = ((left + right) / 2, (a + b) / 2)
            shapes.append(Text("ZONE", at, letter, 2.5, "centre", "middle"))
            if index < len(up) - 1 and abs(b - middle[1]) > 1.0:
                shapes.append(Line("ZONE", (left, b), (right, b)))
    return shapes


def _fields(low: float, high: float) -> list[tuple[float, float]]:
    """The fields along one side, 50 mm each from the middle outward; the corner fields take the rest.

    A rest of less than half a field makes its corner field longer, a larger one is a field of its own.
    """
    half = max(1, round((high - low) / 2 / ZONE))
    middle = (low + high) / 2
    inner = [middle + i * ZONE for i in range(-half + 1, half)]
    edges = [low, *inner, high]
    return list(pairwise(edges))


def _field(area: Area, label: str, value: str, height: float = LABEL, bold: bool = False) -> list[Shape]:
    text, size = fitted(value or "–", area.width - 2 * PAD, height, bold)
    shown = [Text("TITLE", (area.left + PAD, area.high - 1.0), label, SMALL, up="top")] if label else []
    return [
        rectangle("TITLE", area),
        *shown,
        Text("TITLE", (area.left + PAD, area.low + max(1.6, 0.38 * size)), text, size, bold=bold),
    ]


def title_block(cab: Cab, title: Title, paper: Paper, findings: Sequence[Finding]) -> tuple[list[Shape], float]:
    """The title block at the foot of the column, and the height at which it ends."""
    column, job = paper.column, cab.job
    units = "inches" if cab.printing.system == "inch" else "millimetres"
    if cab.sheet.dual:
        units += " [mm]" if cab.printing.system == "inch" else " [inches]"
    rows: list[tuple[float, list[tuple[str, str, float, bool]]]] = [
        (8.6, [("Findings", open_findings(findings), 2.5, False)]),
        (
            10.0,
            [
                ("Sheet", title.sheet, 3.5, True),
                ("Revision", job.revision or "", 3.5, True),
                ("Date of issue", job.date or "", 2.5, False),
            ],
        ),
        (8.6, [("Scale", title.scale, 2.5, False), ("Dimensions in", units, 2.5, False)]),
        (8.6, [("Drawn by", job.drawn_by or "", 2.5, False), ("Checked by", job.checked_by or "", 2.5, False)]),
        (8.6, [("Approved by", job.approved_by or "", 2.5, False), ("Paper", paper.size, 2.5, False)]),
        (8.6, [("Document", title.kind, 2.5, False), ("Number", job.number or "", 2.5, False)]),
        (6.5, [("", title.under, 2.5, False)]),
        (12.5, [("Title", title.title, 5.0, True)]),
        (10.0, [("Car", job.car, 3.5, True)]),
        (12.5, [("Project", job.project, 5.0, True)]),
    ]
    if job.client:
        rows[-2][1].append(("Client", job.client, 2.5, False))
    rows.append((8.6, [("Issued by", job.owner or "", 2.5, False)]))
    shapes: list[Shape] = []
    low = column.low
    for height, fields in rows:
        wide = column.width / len(fields)
        for i, (label, value, size, bold) in enumerate(fields):
            area = Area(column.left + i * wide, low, column.left + (i + 1) * wide, low + height)
            shapes += _field(area, label, value, size, bold)
        low += height
    return shapes, low


def heading(area: Area, y: float, text: str) -> tuple[list[Shape], float]:
    """A heading of the column and the height under it."""
    return [Text("TEXT", (area.left + PAD, y), text, NOTE, up="top", bold=True)], y - NOTE * LEADING - 0.8


def notes(area: Area, y: float, lines: Sequence[str], layer: str = "TEXT") -> tuple[list[Shape], float]:
    """Numbered notes, wrapped into the column, and the height under them."""
    shapes: list[Shape] = []
    for number, note in enumerate(lines, 1):
        indent = 5.0
        for i, line in enumerate(wrapped(note, area.width - PAD - RIGHT - indent, NOTE)):
            if i == 0:
                shapes.append(Text(layer, (area.left + PAD, y), f"{number}", NOTE, up="top"))
            shapes.append(Text(layer, (area.left + PAD + indent, y), line, NOTE, up="top"))
            y -= NOTE * LEADING
        y -= 1.0
    return shapes, y


def finding_lines(findings: Sequence[Finding], wall: str | None) -> list[str]:
    """The findings that concern a wall (None: any wall) or the whole car, as sentences."""
    return [
        f"{f.severity.capitalize()}: {f.message}{_STOPS[f.stops]}."
        for f in findings
        if wall is None or f.wall is None or f.wall == wall
    ]


_STOPS = {"fabrication": "; stops fabrication", "drilling": "; stops drilling", "nothing": ""}


def banner(area: Area, y: float, text: str) -> tuple[list[Shape], float]:
    """A warning across the column in a red box, and the height under it."""
    room = area.width - 2 * PAD - 4
    lines = wrapped(text, room, 5.0, True)
    box = Area(area.left + PAD, y - 4 - len(lines) * 8.0, area.right - PAD, y)
    shapes: list[Shape] = [rectangle("CAUTION", box, "caution")]
    for i, line in enumerate(lines):
        at = ((box.left + box.right) / 2, box.high - 6.0 - i * 8.0)
        shapes.append(Text("CAUTION", at, line, 5.0, "centre", "middle", bold=True))
    return shapes, box.low - 3.0


def legend(area: Area, y: float, entries: Sequence[tuple[str, str, str]]) -> tuple[list[Shape], float]:
    """What tints and lines mean, each as (layer, tint, words), and the height under it."""
    shapes: list[Shape] = []
    for layer, tint, words in entries:
        swatch = Area(area.left + PAD, y - 3.2, area.left + PAD + 9, y)
        if colour(tint) is not None:
            shapes.append(rectangle(layer, swatch, tint))
        else:
            middle = (swatch.low + swatch.high) / 2
            shapes.append(Line(layer, (swatch.left, middle), (swatch.right, middle)))
        at = (swatch.right + 2.5, (swatch.low + swatch.high) / 2)
        text, size = fitted(words, area.right - RIGHT - at[0], NOTE)
        shapes.append(Text("TEXT", at, text, size, up="middle"))
        y -= 5.2
    return shapes, y


def key_plan(cab: Cab, area: Area, y: float, seen: str) -> tuple[list[Shape], float]:
    """A small plan of the car that shows which wall is seen, and from where; and the height under it."""
    high, wide = 30.0, 34.0
    left = (area.left + area.right) / 2 - wide / 2
    box = Area(left, y - high - 6, left + wide, y - 6)
    middle = ((box.left + box.right) / 2, (box.low + box.high) / 2)
    door = wide * 0.28
    shapes: list[Shape] = []
    walls: dict[str, tuple[tuple[float, float], tuple[float, float]]] = {
        "back": ((box.left, box.high), (box.right, box.high)),
        "left": ((box.left, box.low), (box.left, box.high)),
        "right": ((box.right, box.low), (box.right, box.high)),
    }
    labels: dict[str, tuple[tuple[float, float], float]] = {
        "back": ((middle[0], box.high + 3.0), 0.0),
        "left": ((box.left - 3.0, middle[1]), 90.0),
        "right": ((box.right + 3.0, middle[1]), 90.0),
    }
    for name, (a, b) in walls.items():
        if name == "back" and "back" not in cab.walls:
            shapes += _open_end(box, box.high, door)
            shapes.append(Text("TEXT", (middle[0], box.high + 3.0), "rear", SMALL, "centre", "middle"))
            continue
        if name == seen:
            t = 1.6
            inner = {"back": (0, -t), "left": (t, 0), "right": (-t, 0)}[name]
            points = (a, b, (b[0] + inner[0], b[1] + inner[1]), (a[0] + inner[0], a[1] + inner[1]))
            shapes.append(Polyline("SHELL", points, True, "solid"))
        else:
            shapes.append(Line("TEXT", a, b))
        at, angle = labels[name]
        shapes.append(Text("TEXT", at, name, SMALL, "centre", "middle", angle, name == seen))
    shapes += _open_end(box, box.low, door)
    shapes.append(Text("TEXT", (middle[0], box.low - 3.0), "front", SMALL, "centre", "middle"))
    if seen in walls:
        ways = {"back": (0.0, 1.0), "left": (-1.0, 0.0), "right": (1.0, 0.0)}
        shapes += arrow("TEXT", middle, ways[seen], 9.0)
    return shapes, box.low - 7.0


def _open_end(box: Area, y: float, door: float) -> list[Shape]:
    middle = (box.left + box.right) / 2
    return [
        Line("TEXT", (box.left, y), (middle - door / 2, y)),
        Line("TEXT", (middle + door / 2, y), (box.right, y)),
    ]


def arrow(layer: str, at: tuple[float, float], way: tuple[float, float], length: float) -> list[Shape]:
    """A filled arrow from a point in a direction (a unit vector along an axis), in the coordinates of its view."""
    tip = (at[0] + way[0] * length, at[1] + way[1] * length)
    head, half = length * 0.35, length * 0.13
    neck = (tip[0] - way[0] * head, tip[1] - way[1] * head)
    side = (-way[1] * half, way[0] * half)
    return [
        Line(layer, at, neck),
        Polyline(
            layer,
            (tip, (neck[0] + side[0], neck[1] + side[1]), (neck[0] - side[0], neck[1] - side[1])),
            True,
            "solid",
        ),
    ]

"""What changed between two resolved cars, exactly: sizes, parts by their marks, survey, finishes, everything.

Two cars are the same here where every size and every word of them is; how a size was typed does not count.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from typing import Any, Literal

from cabdraw.cab import WALLS, Cab, Part, Rect, Wall, WallName
from cabdraw.frozen import Frozen, names
from cabdraw.rail import Rail
from cabdraw.rational import Fraction
from cabdraw.units import Length, Mass, Printing, decimal_text

Kind = Literal["added", "removed", "altered"]
#: A place on a wall that a change shows at.
Place = tuple[WallName, Rect]


class Change(Frozen):
    """One thing that changed: `mark` says which, `field` what about it, empty where the whole came or went.

    `old` and `new` are as printed, None where there is none; `exact` holds both in mm where they are lengths.
    `places` is where it shows on walls: where it stands now, or where it stood if it is gone.
    """

    kind: Kind
    what: str
    mark: str
    wall: WallName | None
    field: str = ""
    old: str | None = None
    new: str | None = None
    exact: tuple[Length | None, Length | None] = (None, None)
    places: tuple[Place, ...] = ()


class Comparison(Frozen):
    """Two cars and what changed from the old to the new, in the order of the package's own lists."""

    old: Cab
    new: Cab
    changes: tuple[Change, ...]

    @property
    def same(self) -> bool:
        """Whether nothing changed."""
        return not self.changes

    @property
    def mark(self) -> str:
        """The revision that made the changes: the new car's, empty where it names none."""
        job = self.new.job
        return job.revision or (job.revisions[-1].mark if job.revisions else "")

    def on(self, wall: WallName) -> tuple[Rect, ...]:
        """Every place on a wall at which something changed, each once."""
        found = (rect for change in self.changes for name, rect in change.places if name == wall)
        return tuple(dict.fromkeys(found))

    def altered(self, wall: WallName) -> frozenset[str]:
        """Which sizes of a wall itself changed, by their fields."""
        return frozenset(c.field for c in self.changes if c.what == "wall" and c.wall == wall and c.kind == "altered")


class Thing(Frozen):
    """Something that can change, with everything that is compared about it, and where it shows."""

    what: str
    mark: str
    wall: WallName | None
    values: Mapping[str, Any]
    places: tuple[Place, ...] = ()

    @property
    def key(self) -> tuple[str, str, WallName | None]:
        """What makes it the same thing in both cars."""
        return self.what, self.mark, self.wall


def compare(old: Cab, new: Cab) -> Comparison:
    """Everything that is different in the new car, its sizes printed as the new car prints them."""
    before = {thing.key: thing for thing in _numbered(things(old))}
    after = {thing.key: thing for thing in _numbered(things(new))}
    changes: list[Change] = []
    for key, thing in after.items():
        if key not in before:
            changes.append(Change("added", *key, places=thing.places))
        else:
            changes += _altered(before[key], thing, new.printing)
    for key, thing in before.items():
        if key not in after:
            changes.append(Change("removed", *key, places=thing.places))
    order = {key: n for n, key in enumerate([*after, *(key for key in before if key not in after)])}
    rank = {what: n for n, what in enumerate(dict.fromkeys(key[0] for key in order))}
    changes.sort(key=lambda change: (rank[change.what], order[(change.what, change.mark, change.wall)]))
    return Comparison(old, new, tuple(changes))


def _numbered(found: Iterable[Thing]) -> Iterator[Thing]:
    """The things, with a number after the mark of any that comes again."""
    seen: dict[tuple[str, str, WallName | None], int] = {}
    for thing in found:
        count = seen[thing.key] = seen.get(thing.key, 0) + 1
        yield (
            thing
            if count == 1
            else Thing(thing.what, f"{thing.mark} ({count})", thing.wall, thing.values, thing.places)
        )


def _altered(old: Thing, new: Thing, printing: Printing) -> Iterator[Change]:
    for field in dict.fromkeys([*new.values, *old.values]):
        # An empty list is nothing, as what is left out is.
        a, b = (None if value == () else value for value in (old.values.get(field), new.values.get(field)))
        if a == b:
            continue
        shown = _shown(a, printing, field), _shown(b, printing, field)
        if shown[0] == shown[1]:
            shown = _exactly(a), _exactly(b)
        exact = (a if isinstance(a, Length) else None, b if isinstance(b, Length) else None)
        yield Change("altered", new.what, new.mark, new.wall, field, *shown, exact, new.places or old.places)


#: Sizes that are printed as decimals: cores, sheet metal and bolts.
_DECIMAL = re.compile(r"core |bolt |thickness$|.* thickness$|shell$|edge$|insertion$")


def _shown(value: Any, printing: Printing, field: str = "") -> str | None:
    """A value as people read it."""
    if value is None:
        return None
    if isinstance(value, Length):
        return printing.decimal(value) if _DECIMAL.match(field) else printing.size(value)
    if isinstance(value, Mass):
        return f"{decimal_text(value.kg, 1)} kg"
    if isinstance(value, Fraction):
        return decimal_text(value, 4)
    if isinstance(value, Rect):
        size, at = (value.width, value.height), (value.x, value.y)
        return " × ".join(map(printing.size, size)) + " at " + ", ".join(map(printing.size, at))
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return ", ".join(_shown(item, printing) or "–" for item in value)
    if isinstance(value, Frozen):
        return " ".join(_shown(getattr(value, name), printing) or "–" for name in names(value))
    return str(value)


def _exactly(value: Any) -> str | None:
    """A value that prints like the one it is compared with, to a millionth of a mm."""
    if isinstance(value, Length):
        return f"{decimal_text(value.mm, 6)} mm"
    if isinstance(value, Mass):
        return f"{decimal_text(value.kg, 6)} kg"
    if isinstance(value, Fraction):
        return str(value)
    if isinstance(value, Rect):
        return _exactly((value.width, value.height, value.x, value.y))
    if isinstance(value, tuple):
        return ", ".join(_exactly(item) or "–" for item in value)
    if isinstance(value, Frozen):
        return _exactly(tuple(getattr(value, name) for name in names(value)))
    return None if value is None else str(value)


#: What of a car is compared in a way of its own, below, or is no more than a name for the file.
_APART = {"name", "printing", "increment", "job", "walls", "trims", "front", "finishes", "wall_finishes", "rules"}
_CALLED = {"clear": "clear inside", "mass": "car"}


def things(cab: Cab) -> Iterator[Thing]:
    """Everything of a car that can change."""
    yield Thing("units", "units", None, {"units": cab.printing.system, "increment": cab.increment})
    yield Thing("job", "job", None, _values(cab.job, {"revisions"}))
    for revision in cab.job.revisions:
        yield Thing("revision", revision.mark, None, _values(revision, {"mark"}))
    for name in names(cab):
        if name not in _APART:
            value, called = getattr(cab, name), _CALLED.get(name, name)
            if value is not None:
                yield Thing(name, called, None, _named("" if isinstance(value, Frozen) else name, value))
    yield Thing("rules", "rules", None, {"rules": cab.rules})
    yield from _finishes(cab)
    if cab.front is not None:
        yield Thing("front", "front", None, _values(cab.front, {"returns"}))
        for found in cab.front.returns:
            yield Thing("front", f"{found.side} return", None, _values(found, {"side"}))
    for name in WALLS:
        if name in cab.walls:
            yield from _wall(cab, cab.walls[name])
    for name in WALLS:
        wall = cab.walls.get(name)
        for part in wall.parts if wall is not None else ():
            yield _part(part, wall.rail if wall is not None and part.kind == "handrail" else None)
        yield from (_part(trim, None) for trim in cab.trims if trim.wall == name)


def _values(value: Any, without: Set[str] = frozenset()) -> dict[str, Any]:
    """What a thing says of itself, by the names of its fields; what lies within it under both names."""
    found: dict[str, Any] = {}
    for name in names(value):
        if name not in without:
            found |= _named(name.replace("_", " "), getattr(value, name))
    return found


def _named(name: str, value: Any) -> dict[str, Any]:
    if isinstance(value, Mapping):
        inside = {str(key): item for key, item in value.items()}
    elif _is_list(value):
        inside = {str(number): item for number, item in enumerate(value, 1)}
    elif isinstance(value, Frozen) and not isinstance(value, Length | Mass | Rect):
        inside = {field.replace("_", " "): getattr(value, field) for field in names(value)}
    else:
        return {name: value}
    found: dict[str, Any] = {}
    for key, item in inside.items():
        found |= _named(f"{name} {key}".strip(), item)
    return found


def _is_list(value: Any) -> bool:
    return (
        isinstance(value, tuple)
        and bool(value)
        and any(isinstance(item, Frozen) for item in value)
        and not all(isinstance(item, Length) for item in value)
    )


def _finishes(cab: Cab) -> Iterator[Thing]:
    """Each finish by its code, shown where parts have it, and which finish each band has."""
    shown: dict[str, list[Place]] = {}
    for part in cab.parts:
        finish = cab.finish(part)
        if finish is not None and part.visible is not None:
            shown.setdefault(finish.code, []).append((part.wall, part.visible))
    for finish, _ in cab.every_finish:
        values = _values(finish, {"code", "colour_said"})
        values["colour"] = "#{:02x}{:02x}{:02x}".format(*finish.colour)
        yield Thing("finish", finish.code, None, values, tuple(shown.get(finish.code, ())))
    # What parts have is told by band, and a wall's own finish by that wall.
    for band in sorted({band for each in (cab.finishes, *cab.wall_finishes.values()) for band in each}):
        for wall in (None, *WALLS):
            found = cab.finishes.get(band) if wall is None else cab.wall_finishes.get(wall, {}).get(band)
            if found is not None:
                yield Thing("finish of", band, wall, {"finish": found.code}, tuple(_faced(cab, band, wall)))


def _faced(cab: Cab, band: str, wall: WallName | None) -> Iterator[Place]:
    """Where parts of a band show: on one wall, or on those that have no finish of their own for it."""
    for part in cab.parts:
        own = band in cab.wall_finishes.get(part.wall, {})
        if part.visible is not None and part.finished_as == band and (part.wall == wall if wall else not own):
            yield part.wall, part.visible


def _wall(cab: Cab, wall: Wall) -> Iterator[Thing]:
    name = wall.name
    apart = {"name", "margins", "gaps", "bands", "columns", "parts", "rail", "fixtures", "obstructions", "verified",
             "readings"}  # fmt: skip
    values = _values(wall, apart)
    values["margin left"], values["margin right"] = wall.margins
    if wall.verified is not None:
        values["verified by"], values["verified on"] = wall.verified.by, wall.verified.date
    values |= {f"{key} as measured": reading for key, reading in _values(wall.readings).items()}
    yield Thing("wall", f"{name} wall", name, values, ())
    seen: dict[str, int] = {}
    for band in wall.bands:
        # Bands with a part of their own are told by it.
        if band.kind == "gap" or not band.height:
            number = seen[band.kind] = seen.get(band.kind, 0) + 1
            rect = Rect(wall.margins[0], band.y, wall.run, band.height)
            places = ((name, rect),) if band.height else ()
            yield Thing("band", f"{band.kind} {number}", name, {"above floor": band.y, "height": band.height}, places)
    for fixture in wall.fixtures:
        values = {"place": fixture.rect, "clearance": fixture.clearance}
        yield Thing("fixture", fixture.what, name, values, ((name, fixture.opening),))
    for thing in wall.obstructions:
        yield Thing(
            "obstruction", thing.what, name, {"place": thing.rect, "behind": thing.behind}, ((name, thing.rect),)
        )


def _part(part: Part, rail: Rail | None) -> Thing:
    values: dict[str, Any] = {
        "kind": part.kind,
        "width": part.width,
        "height": part.height,
        "thickness": part.thickness,
    }
    stands = part.visible or part.body
    if stands is not None:
        values["from left"], values["above floor"] = stands.x, stands.y
    for key, rect in (("visible", part.visible), ("whole", part.body)):
        if rect is not None and stands is not None:
            sizes = {"from left": (rect.x, stands.x), "above floor": (rect.y, stands.y)}
            sizes |= {"width": (rect.width, part.width), "height": (rect.height, part.height)}
            values |= {f"{key} {name}": own for name, (own, told) in sizes.items() if own != told}
    if part.core is not None:
        values["core width"], values["core height"] = part.core
    values["grain"] = part.grain
    for cut in part.cuts:
        values[f"{cut.kind} for {cut.fixture}"] = cut.opening
    if rail is not None:
        # A rail's height is that of its centre line, and its standoffs stand on it.
        values["centre above floor"] = rail.y
        del values["above floor"]
        values |= _rail(rail)
    places = ((part.wall, part.visible),) if part.visible is not None else ()
    return Thing("part", part.mark, part.wall, values, places)


def _rail(rail: Rail) -> dict[str, Any]:
    values = _values(rail, {"length", "x", "y", "height", "thickness", "standoffs", "placing", "bolt"})
    values |= {"spacing": rail.spacing, "overhang": rail.overhang}
    values |= {f"standoffs placed {key}": value for key, value in _values(rail.placing).items()}
    values |= {f"standoff {one.number} from left": one.x for one in rail.standoffs}
    if rail.bolt is not None:
        values |= {f"bolt {key}": value for key, value in _values(rail.bolt).items()}
    return values


def table(comparison: Comparison) -> str:
    """The changes as text in columns, things of one kind that changed alike on one row; lines end without blanks."""
    groups: dict[tuple[str, ...], list[str]] = {}
    for change in comparison.changes:
        mark = change.mark if change.what != "finish of" else f"finish of {change.mark}"
        if change.wall is not None and change.what in ("band", "fixture", "obstruction", "finish of"):
            mark += f" ({change.wall})"
        named = mark if change.what in ("part", "wall", change.mark, "front", "finish of") else f"{change.what} {mark}"
        groups.setdefault((change.kind, change.field, change.old or "–", change.new or "–"), []).append(named)
    rows = [("change", "which", "what", "old", "new")]
    for (kind, field, old, new), marks in groups.items():
        told = (field, old, new) if kind == "altered" else ("", "", "")
        for number, line in enumerate(_joined(marks, 44)):
            rows.append((kind, line, *told) if number == 0 else ("", line, "", "", ""))
    widths = [max(len(row[column]) for row in rows) for column in range(5)]
    lines = ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]
    lines.insert(1, "  ".join("-" * width for width in widths))
    return "\n".join(lines)


def _joined(marks: Sequence[str], room: int) -> list[str]:
    lines = [""]
    for number, mark in enumerate(marks):
        word = mark + ("," if number + 1 < len(marks) else "")
        if lines[-1] and len(lines[-1]) + 1 + len(word) > room:
            lines.append(word)
        else:
            lines[-1] = f"{lines[-1]} {word}".strip()
    return lines


def counted(comparison: Comparison) -> str:
    """How many changes there are, by kind, in words."""
    if comparison.same:
        return "no difference"
    counts = [
        (sum(change.kind == kind for change in comparison.changes), kind) for kind in ("added", "removed", "altered")
    ]
    total = len(comparison.changes)
    return f"{total} change{'s' if total != 1 else ''}: " + ", ".join(f"{n} {kind}" for n, kind in counts if n)


def as_record(comparison: Comparison) -> dict[str, Any]:
    """The comparison as plain values for JSON; lengths in mm to 6 places, None for what is not there."""

    def car(cab: Cab) -> dict[str, Any]:
        return {"spec": cab.name, "project": cab.job.project, "car": cab.job.car, "revision": cab.job.revision}

    def mm(length: Length | None) -> float | None:
        return None if length is None else round(float(length.mm), 6)

    return {
        "cabdraw": 1,
        "old": car(comparison.old),
        "new": car(comparison.new),
        "same": comparison.same,
        "changes": [
            {
                "kind": change.kind,
                "what": change.what,
                "mark": change.mark,
                "wall": change.wall,
                "field": change.field or None,
                "old": change.old,
                "new": change.new,
                "old_mm": mm(change.exact[0]),
                "new_mm": mm(change.exact[1]),
            }
            for change in comparison.changes
        ],
    }

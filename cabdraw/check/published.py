"""The car against published rules: each finding says the value, the limit and the source, and claims nothing more."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise

from cabdraw.cab import Cab
from cabdraw.check.codes import Code, code
from cabdraw.errors import Finding, Path, Severity
from cabdraw.rational import Fraction
from cabdraw.rule import AUTHORITY, Rule
from cabdraw.shop.parts import shop_parts
from cabdraw.units import INCH, LONGEST, POUND, ZERO, Length, Mass, decimal_text, total

SIZE = code("rule-car-size", "warning", "nothing", "the finished car's clear size is under a published minimum")
HEIGHT = code("rule-clear-height", "warning", "nothing", "the finished car's clear height is under a published minimum")
TYPE = code("rule-car-type", "warning", "nothing", "finishes take more of an accessible type of car than they may")
RAIL = code("rule-rail-height", "warning", "nothing", "the top of a handrail is outside a published range")
CLEARANCE = code("rule-rail-clearance", "warning", "nothing", "a handrail is nearer the wall than a published minimum")
SECTION = code("rule-rail-section", "warning", "nothing", "a handrail is thinner or thicker than a published range")
END = code("rule-rail-end", "warning", "nothing", "a handrail ends farther from the next wall than a published limit")
LOAD = code("rule-rated-load", "warning", "nothing", "the car's inside area asks for more rated load than it has")
VENTS = code("rule-ventilation", "warning", "nothing", "the openings left by the panelling are under a published share")
FIRE = code("rule-finish-evidence", "warning", "nothing", "a finish has no fire-test evidence named")
LIFT = code("rule-lifting", "note", "nothing", "parts are heavier than one person should lift into place")

_SQUARE_FOOT = (INCH * 12) ** 2


def published(cab: Cab) -> Iterator[Finding]:
    """Findings of the published rules that the spec names, and of those that hold for every car."""
    for rule in cab.published:
        check = CHECKS.get(rule.kind)
        if check is not None:
            yield from check(cab, rule)


def _path(cab: Cab, rule: Rule) -> Path:
    names = list(cab.rules)
    return ("rules", names.index(rule.rule_set)) if rule.rule_set in names else ("rules",)


def _at(
    kind: Code, rule: Rule, message: str, path: Path, mend: str, wall: str | None = None, marks: Sequence[str] = ()
) -> Finding:
    """A finding of a rule: the source follows the numbers, and a rule that does not bind is a note."""
    severity: Severity = kind.severity if rule.limits.get("binding", True) else "note"
    says = f"{message} ({rule.rule_set}: {rule.cited})"
    return Finding(kind.code, severity, says, path, f"{mend}; {AUTHORITY}", kind.stops, wall, tuple(marks))


def area_inside(cab: Cab) -> Fraction | None:
    """The floor area between the finished walls in square mm; None where a side of it was not surveyed."""
    if cab.clear.width is None or cab.clear.depth is None:
        return None
    return cab.clear.width.mm * cab.clear.depth.mm


def area_text(cab: Cab, area: Fraction) -> str:
    """An area as printed: square feet in an inch spec, square metres in a metric one."""
    if cab.printing.system == "inch":
        return f"{decimal_text(area / _SQUARE_FOOT, 2)} sq ft"
    return f"{decimal_text(area / 10**6, 3)} m²"


def load_for_area(square_feet: Fraction) -> Fraction:
    """The least rated load in lb for a net inside area A: 2A²/3 + 200A/3 up to 50 sq ft, 7A²/150 + 125A - 1367 above.

    Formulas of California Code of Regulations, Title 8, section 3100(a), the same as ASME A17.1's.
    """
    a = square_feet
    if a <= 50:
        return Fraction(2, 3) * a * a + Fraction(200, 3) * a
    return Fraction(7, 150) * a * a + 125 * a - 1367


def area_for_load(rule: Rule, load: Mass) -> Fraction:
    """The greatest area in square mm for a rated load, on the straight line between two rows of the rule's table."""
    rows: list[tuple[Fraction, Fraction]] = [(mass.kg, area) for mass, area in rule.limits["rows"]]
    beyond: tuple[Fraction, Fraction] = (rule.limits["beyond"]["load"].kg, rule.limits["beyond"]["area"])
    kg = load.kg
    if kg <= rows[0][0]:
        return rows[0][1] * kg / rows[0][0]
    for (low, small), (high, large) in pairwise(rows):
        if kg <= high:
            return small + (large - small) * (kg - low) / (high - low)
    return rows[-1][1] + beyond[1] * (kg - rows[-1][0]) / beyond[0]


def lifting_limit(
    load: Fraction,
    reach: Fraction,
    height: Fraction,
    travel: Fraction,
    twist: Fraction = Fraction(0),
    frequency: Fraction = Fraction(1),
    coupling: Fraction = Fraction(1),
) -> Fraction:
    """The recommended weight limit in kg of the revised NIOSH lifting equation; lengths in cm, twist in degrees.

    HM = 25/H, VM = 1 - 0.003|V - 75|, DM = 0.82 + 4.5/D, AM = 1 - 0.0032A (AM's factor from memory);
    each factor is at most 1, as in the published table of factors.
    """
    horizontal = min(Fraction(1), 25 / max(reach, Fraction(25)))
    vertical = 1 - Fraction(3, 1000) * abs(height - 75)
    distance = min(Fraction(1), Fraction(82, 100) + Fraction(45, 10) / max(travel, Fraction(25)))
    asymmetry = 1 - Fraction(32, 10000) * twist
    return load * horizontal * vertical * distance * asymmetry * frequency * coupling


def _door(cab: Cab) -> tuple[Length | None, str]:
    """The door's clear width and where it stands, `centred`, `side` or not known, from the front returns."""
    front, back = cab.front, cab.walls.get("back")
    if front is None or len(front.returns) < 2 or back is None:
        return None, ""
    first, second = (found.width for found in front.returns)
    # Returns within 2 in of each other make a centred door (our own limit).
    position = "centred" if abs(first - second) <= Length(INCH * 2) else "side"
    return back.width - first - second, position


def _clear_size(cab: Cab, rule: Rule) -> Iterator[Finding]:
    width, depth = cab.clear.width, cab.clear.depth
    if width is None or depth is None:
        return
    door, position = _door(cab)
    size = cab.printing.size
    wanted = []
    for row in rule.limits["sizes"]:
        least = row["door_width"] - row.get("door_tolerance", ZERO)
        if door is not None and (door < least or row["door"] not in ("any", position)):
            continue
        if width >= row["width"] and depth >= row["depth"]:
            return
        kind = "any door" if row["door"] == "any" else f"a {row['door']} door"
        wanted.append(f"{size(row['width'])} × {size(row['depth'])} with {kind}")
    if not wanted:
        wanted.append("a wider door")
    inside = f"{size(width)} wide and {size(depth)} deep"
    said = "" if door is None else f" with a {position} door {size(door)} wide"
    yield _at(
        SIZE,
        rule,
        f"the finished car is {inside}{said}; it would need {' or '.join(wanted)}",
        _path(cab, rule),
        "thinner panels or a smaller air gap give room; an existing car may be excepted",
    )


def _existing_size(cab: Cab, rule: Rule) -> Iterator[Finding]:
    width, depth, area = cab.clear.width, cab.clear.depth, area_inside(cab)
    if width is None or depth is None or area is None:
        return
    limits, size = rule.limits, cab.printing.size
    if area >= limits["area"] and depth >= limits["depth"] and width >= limits["width"]:
        return
    least = f"{area_text(cab, limits['area'])}, {size(limits['depth'])} deep and {size(limits['width'])} wide"
    yield _at(
        SIZE,
        rule,
        f"the finished car has {area_text(cab, area)}, {size(depth)} deep and {size(width)} wide; even an existing car"
        f" needs {least}",
        _path(cab, rule),
        "thinner panels or a smaller air gap give room",
    )


def _clear_height(cab: Cab, rule: Rule) -> Iterator[Finding]:
    size = cab.printing.size
    if cab.clear.height < rule.limits["least"]:
        message = f"the finished car is {size(cab.clear.height)} high inside; the least is {size(rule.limits['least'])}"
        yield _at(HEIGHT, rule, message, ("survey", "height"), "look at the ceiling and the flooring")


def _car_type(cab: Cab, rule: Rule) -> Iterator[Finding]:
    back = cab.walls.get("back")
    sides = [wall for name, wall in cab.walls.items() if name != "back"]
    if back is None or not sides:
        return
    size = cab.printing.size
    width, depth = back.width, min(wall.width for wall in sides)
    types = [row for row in rule.limits["types"] if width >= row["width"] and depth >= row["depth"]]
    if not types:
        yield _at(
            TYPE,
            rule,
            f"the bare car, {size(width)} wide and {size(depth)} deep, is smaller than every accessible type",
            _path(cab, rule),
            "its panelling cannot change that",
        )
        return
    best = max(types, key=lambda row: row["width"].mm * row["depth"].mm)
    for name, wall in cab.walls.items():
        taken = wall.projection - rule.limits["finish"]
        free = (width - best["width"]) / 2 if name != "back" else depth - best["depth"]
        if taken > ZERO and wall.projection > rule.limits["finish"] + free:
            yield _at(
                TYPE,
                rule,
                f"the bare car is of type {best['type']} ({size(best['width'])} × {size(best['depth'])}); the {name}"
                f" wall's panelling takes {size(wall.projection)}, and finishes may take {size(rule.limits['finish'])}",
                ("layout", "panel"),
                "make panels and air gap thinner",
                name,
            )


def _rail_height(cab: Cab, rule: Rule) -> Iterator[Finding]:
    low, high, size = rule.limits["low"], rule.limits["high"], cab.printing.size
    tops: dict[Length, list[str]] = {}
    for name, wall in cab.walls.items():
        if wall.rail is not None:
            top = wall.rail.y + wall.rail.height / 2
            if not low <= top <= high:
                tops.setdefault(top, []).append(f"rail-{name}")
    for top, marks in tops.items():
        yield _at(
            RAIL,
            rule,
            f"the top of {', '.join(marks)} is {size(top)} above the floor; {size(low)} to {size(high)} is asked for",
            ("layout", "stack"),
            "move the backer with rail_top",
            None,
            marks,
        )


def _rail_clearance(cab: Cab, rule: Rule) -> Iterator[Finding]:
    least, size = rule.limits["least"], cab.printing.size
    for name, wall in cab.walls.items():
        if wall.rail is not None and wall.rail.standoff < least:
            yield _at(
                CLEARANCE,
                rule,
                f"rail-{name} stands {size(wall.rail.standoff)} clear of the panels; {size(least)} is asked for",
                ("handrail", "standoff"),
                f"make standoff at least {size(least)}",
                name,
                (f"rail-{name}",),
            )
            return


def _rail_section(cab: Cab, rule: Rule) -> Iterator[Finding]:
    low, high, size = rule.limits["low"], rule.limits["high"], cab.printing.size
    for name, wall in cab.walls.items():
        if wall.rail is not None and wall.rail.shape == "round" and not low <= wall.rail.height <= high:
            yield _at(
                SECTION,
                rule,
                f"the rail is {size(wall.rail.height)} in diameter; {size(low)} to {size(high)} is asked for",
                ("handrail", "section"),
                "use another tube",
                None,
                (f"rail-{name}",),
            )
            return


def _rail_end(cab: Cab, rule: Rule) -> Iterator[Finding]:
    most, size = rule.limits["most"], cab.printing.size
    for name, wall in cab.walls.items():
        rail = wall.rail
        if rail is None:
            continue
        left, right = cab.neighbours(name)
        for end, beside, gap in (("left", left, rail.x), ("right", right, wall.width - rail.right)):
            free = gap - cab.projection(beside)
            if beside in ("left", "right", "back") and free > most:
                yield _at(
                    END,
                    rule,
                    f"rail-{name} ends {size(free)} from the wall at its {end} end; at most {size(most)} is asked for",
                    ("handrail", "end_clearance"),
                    "make end_clearance less",
                    name,
                    (f"rail-{name}",),
                )


def _load_by_formula(cab: Cab, rule: Rule) -> Iterator[Finding]:
    area, load = area_inside(cab), cab.mass.rated_load
    if area is None or load is None:
        return
    needed = Mass(load_for_area(area / _SQUARE_FOOT) * POUND)
    if load < needed:
        yield _load(cab, rule, area, load, f"such an area asks for a rated load of {_mass(cab, needed)}")


def _load_by_table(cab: Cab, rule: Rule) -> Iterator[Finding]:
    area, load = area_inside(cab), cab.mass.rated_load
    if area is None or load is None:
        return
    most = area_for_load(rule, load)
    if area > most:
        yield _load(cab, rule, area, load, f"such a load allows {area_text(cab, most)}")


def _load(cab: Cab, rule: Rule, area: Fraction, load: Mass, limit: str) -> Finding:
    message = f"the finished car's floor is {area_text(cab, area)} for a rated load of {_mass(cab, load)}; {limit}"
    return _at(LOAD, rule, message, ("survey", "car", "rated_load"), "panelling must not be made thinner than it was")


def _mass(cab: Cab, mass: Mass) -> str:
    return f"{decimal_text(mass.lb, 0)} lb" if cab.printing.system == "inch" else f"{decimal_text(mass.kg, 0)} kg"


def _ventilation(cab: Cab, rule: Rule) -> Iterator[Finding]:
    """The open gaps under the bases and over the top bands against a share of the floor, low and high."""
    area = area_inside(cab)
    if area is None:
        return
    for where, at in (("low", 0), ("high", -1)):
        gaps = [wall for wall in cab.walls.values() if wall.bands[at].kind == "gap"]
        free = total(Length(wall.run.mm * wall.bands[at].height.mm) for wall in gaps).mm
        needed = area * rule.limits[where]
        if free < needed:
            yield _at(
                VENTS,
                rule,
                f"the gaps left {'at the floor' if at == 0 else 'at the ceiling'} come to {area_text(cab, free)};"
                f" {decimal_text(rule.limits[where] * 100, 2)} % of the floor is {area_text(cab, needed)}",
                ("layout", "stack"),
                "make the gap wider, and see that the shell's own vents behind it are as large and not covered",
            )


def _finish_evidence(cab: Cab, rule: Rule) -> Iterator[Finding]:
    missing = sorted({band for band, finish in cab.finishes.items() if not finish.fire})
    if missing:
        yield _at(
            FIRE,
            rule,
            f"no fire-test evidence is named for the finish of {', '.join(missing)}",
            ("finishes",),
            "give each finish fire: with the report of the assembly as built",
        )


#: Where a panel is held while it is set: hands 40 cm from the body, lifted from 75 cm (our own assumption).
REACH_CM, HELD_CM = Fraction(40), Fraction(75)


def _lifting(cab: Cab, rule: Rule) -> Iterator[Finding]:
    heavy: list[tuple[Fraction, Fraction, str]] = []
    places = {part.mark: part.body for part in cab.parts}
    # What can be lifted farther than anything is in a car can be lifted anywhere in it.
    easy = lifting_limit(rule.limits["load"].kg, REACH_CM, HELD_CM, LONGEST / 10)
    for part in shop_parts(cab):
        body = places.get(part.mark)
        if part.mass is None or body is None or part.mass.kg <= easy:
            continue
        travel = abs((body.y + body.height / 2).mm / 10 - HELD_CM)
        limit = lifting_limit(rule.limits["load"].kg, REACH_CM, HELD_CM, travel)
        if part.mass.kg > limit:
            heavy.append((part.mass.kg, limit, part.mark))
    if heavy:
        heavy.sort(key=lambda found: (-found[0], found[2]))
        kg, limit, mark = heavy[0]
        more = f" and {len(heavy) - 1} more" if len(heavy) > 1 else ""
        yield _at(
            LIFT,
            rule,
            f"{mark}{more}: up to {_mass(cab, Mass(kg))}, where {_mass(cab, Mass(limit))} is recommended for one person"
            f" lifting it with hands {decimal_text(REACH_CM, 0)} cm out",
            ("layout", "panel"),
            "two people, or a lifter",
            None,
            [found[2] for found in heavy],
        )


CHECKS: dict[str, Callable[[Cab, Rule], Iterator[Finding]]] = {
    "clear-size": _clear_size,
    "existing-size": _existing_size,
    "clear-height": _clear_height,
    "car-type": _car_type,
    "rail-height": _rail_height,
    "rail-clearance": _rail_clearance,
    "rail-section": _rail_section,
    "rail-end": _rail_end,
    "area-load-formula": _load_by_formula,
    "area-load-table": _load_by_table,
    "ventilation": _ventilation,
    "finish-evidence": _finish_evidence,
    "lifting": _lifting,
}


def listing(rules: Sequence[Rule]) -> list[tuple[str, str, str, str]]:
    """A row for each rule: its set and name, what it says, where that comes from, and how its values are known."""
    return [
        (f"{rule.rule_set} {rule.name}", rule.says, f"{rule.source}, {rule.clause}, {rule.edition}", rule.known)
        for rule in rules
    ]

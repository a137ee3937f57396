"""What holds for every car: chains close, figures add up, walls stand alone, units and sides do not matter."""

from __future__ import annotations

import copy
from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
from cars import cars
from hypothesis import HealthCheck, assume, given, reject, settings
from hypothesis import strategies as st
from spec_texts import text

from cabdraw.cab import Cab, Wall
from cabdraw.check import findings
from cabdraw.errors import BadSpec
from cabdraw.install.blocks import blocks
from cabdraw.record import record
from cabdraw.resolve import resolve
from cabdraw.resolve.openings import coverage
from cabdraw.resolve.row import nominal_margins
from cabdraw.spec import loads
from cabdraw.units import INCH, ZERO, Length, Printing, fixed_text, total

settings.register_profile(
    "resolve", max_examples=25, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck)
)
QUICK = settings.get_profile("resolve")
#: Left and right walls that mirror one another; the back wall is its own mirror.
MIRROR = {"back": "back", "left": "right", "right": "left"}


def resolved(spec: dict[str, Any]) -> Cab:
    """A car, or another example where it has no room."""
    document = loads(text(spec))
    try:
        return resolve(document)
    except BadSpec:
        reject()


@QUICK
@given(cars())
def test_every_chain_closes_exactly(spec: dict[str, Any]) -> None:
    for wall in resolved(spec).walls.values():
        widths = [width for _, width in wall.columns]
        assert total([*wall.margins, *widths, wall.reveal * (len(widths) - 1)]) == wall.width
        assert wall.margins[0] == wall.columns[0][0]
        for (x, width), (beyond, _) in pairwise(wall.columns):
            assert x + width + wall.reveal == beyond
        assert wall.bands[0].y == ZERO
        assert all(band.top == above.y for band, above in pairwise(wall.bands))
        assert wall.bands[-1].top == wall.height
        if wall.rail is not None:
            rail = wall.rail
            assert rail.overhang * 2 + rail.spacing * (len(rail.standoffs) - 1) == rail.length
            assert rail.x - wall.margins[0] == wall.row_end - rail.right
            assert rail.standoffs[0].x - rail.x == rail.right - rail.standoffs[-1].x == rail.overhang


def row_of(wall: Wall) -> tuple[list[Length], list[bool]]:
    """A row from shell to shell, and which of its links take what printing rounds off."""
    links = [wall.margins[0]]
    for _, width in wall.columns:
        links += [width, wall.reveal]
    return [*links[:-1], wall.margins[1]], [True, *[False] * (len(links) - 2), True]


def stack_of(wall: Wall) -> tuple[list[Length], list[bool]]:
    return [band.height for band in wall.bands], [band.kind == "gap" for band in wall.bands]


@QUICK
@given(cars())
def test_printed_figures_add_up_along_each_chain(spec: dict[str, Any]) -> None:
    cab = resolved(spec)
    for wall in cab.walls.values():
        for chain, overall in ((row_of(wall), wall.width), (stack_of(wall), wall.height)):
            printed = cab.printing.chain(*chain)
            assert min(printed) >= ZERO
            quantum = cab.printing.quantum([*chain[0], overall])
            assert total(printed).mm == int(overall.mm / quantum + Fraction(1, 2)) * quantum
            figures = list(map(cab.printing.size, printed))
            assert sum((read(figure, cab.printing) for figure in figures), Fraction(0)) == total(printed).mm
        widths = dict(zip([width for _, width in wall.columns], cab.printing.chain(*row_of(wall))[1::2], strict=False))
        for (_, width), figure in zip(wall.columns, cab.printing.chain(*row_of(wall))[1::2], strict=True):
            assert widths[width] == figure, "equal panels print alike"


def read(figure: str, printing: Printing) -> Fraction:
    """A printed figure in mm, as somebody reads it off a drawing."""
    value = sum((Fraction(word) for word in figure.rstrip('"').split()), Fraction(0))
    return value * INCH if printing.system == "inch" else value


@QUICK
@given(cars(), st.sampled_from(["back", "left", "right"]), st.integers(1, 200))
def test_widening_a_wall_changes_only_fills_and_margins(spec: dict[str, Any], name: str, by: int) -> None:
    assume(name in spec["survey"]["walls"])
    cab = resolved(spec)
    wider = copy.deepcopy(spec)
    more = Fraction(by, 64) * INCH if spec["units"] == "inch" else Fraction(by, 10)
    readings = spec["survey"]["walls"][name]["width"]
    wider["survey"]["walls"][name]["width"] = [f"{typed(value(reading, spec) + more, 'mm')}mm" for reading in readings]
    after = resolved(wider)
    for other in cab.walls:
        if other != name:
            assert after.walls[other] == cab.walls[other]
    before, wall = cab.walls[name], after.walls[name]
    assert wall.bands == before.bands
    assert wall.width - before.width == Length(more)
    row = spec["layout"]["walls"][name]
    filled = [size == "fill" for size in row.get("widths", ["fill"] * len(before.columns))]
    for (_, width), (_, was), fills in zip(wall.columns, before.columns, filled, strict=True):
        assert width >= was if fills else width == was
    grown = total([*wall.margins, *(width for _, width in wall.columns)])
    assert grown - total([*before.margins, *(width for _, width in before.columns)]) == Length(more)


@QUICK
@given(cars(), st.integers(1, 40))
def test_a_walls_projection_moves_only_the_margins_beside_it(spec: dict[str, Any], by: int) -> None:
    walls = spec["layout"]["walls"]
    name = next(iter(walls))
    panel = copy.deepcopy(walls[name].get("panel", spec["layout"]["panel"]))
    more = Fraction(by, 64) * INCH if spec["units"] == "inch" else Fraction(by, 10)
    panel["air_gap"] = f"{typed(value(panel['air_gap'], spec) + more, 'mm')}mm"
    deeper = copy.deepcopy(spec)
    deeper["layout"]["walls"][name]["panel"] = panel
    before, after = loads(text(spec)).spec, loads(text(deeper)).spec
    for other, wall in before.layout.walls.named():
        was = nominal_margins(before, other, wall)
        now = nominal_margins(after, other, dict(after.layout.walls.named())[other])
        beside = {("back", "left"): 0, ("back", "right"): 1, ("left", "back"): 1, ("right", "back"): 0}.get(
            (other, name)
        )
        moved = [Length(more) if end == beside and wall.margins is None else ZERO for end in (0, 1)]
        assert [a - b for a, b in zip(now, was, strict=True)] == moved
    try:
        first, second = resolve(loads(text(spec))), resolve(loads(text(deeper)))
    except BadSpec:
        return
    assert second.walls[name].projection - first.walls[name].projection == Length(more)
    assert all(second.walls[other].bands == first.walls[other].bands for other in first.walls)


def value(figure: str, spec: dict[str, Any]) -> Fraction:
    """A figure of a spec in mm."""
    number = sum((Fraction(word) for word in figure.split()), Fraction(0))
    return number * INCH if spec["units"] == "inch" else number


def typed(mm: Fraction, units: str) -> str:
    """A length as typed in units, exactly; in mm it always ends after some places, as an inch is 25.4 mm."""
    if units == "inch":
        inches = mm / INCH
        return f"{inches.numerator // inches.denominator} {inches.numerator % inches.denominator}/{inches.denominator}"
    figure = fixed_text(mm, 9)
    assert Fraction(figure) == mm
    return figure


#: Keys whose values are no lengths.
NO_LENGTHS = {"cabdraw", "units", "job", "panels", "weight", "material"}


def converted(thing: Any, spec: dict[str, Any], units: str, key: str = "") -> Any:
    """A spec with every length typed in other units."""
    if key in NO_LENGTHS or thing == "fill" or (key == "walls" and isinstance(thing, list)):
        return thing
    if isinstance(thing, dict):
        return {name: converted(item, spec, units, name) for name, item in thing.items()}
    if isinstance(thing, list):
        return [converted(item, spec, units, key) for item in thing]
    return typed(value(thing, spec), units)


@QUICK
@given(cars())
def test_inches_and_mm_resolve_alike(spec: dict[str, Any]) -> None:
    other = "mm" if spec["units"] == "inch" else "inch"
    cab, same = resolved(spec), resolved({**converted(spec, spec, other), "units": other})
    assert cab.printing.system != same.printing.system
    first, second = (record(car, findings(car), blocks(car)) for car in (cab, same))
    for key in ("increment", "walls", "clear", "parts", "blocks"):
        assert first[key] == second[key]
    assert [(f.code, f.path) for f in findings(cab) if f.code != "fit-floor-gap"] == [
        (f.code, f.path) for f in findings(same) if f.code != "fit-floor-gap"
    ]


def mirrored(spec: dict[str, Any]) -> dict[str, Any]:
    """The same car with its left on its right."""
    spec = copy.deepcopy(spec)
    for section, turned in (("survey", ("floor", "height")), ("layout", ("widths", "margins"))):
        walls = spec[section]["walls"]
        spec[section]["walls"] = {MIRROR[name]: wall for name, wall in walls.items()}
        for wall in walls.values():
            for key in turned:
                if key in wall:
                    wall[key] = wall[key][::-1]
            if isinstance(wall.get("panels"), list):
                wall["panels"] = wall["panels"][::-1]
    spec["survey"]["height"] = spec["survey"]["height"][::-1]
    spec["handrail"]["walls"] = [MIRROR[name] for name in spec["handrail"]["walls"]]
    return spec


@QUICK
@given(cars())
def test_left_and_right_mirror_within_one_increment(spec: dict[str, Any]) -> None:
    """Within one increment where what is left of the row is whole increments; else its odd bit goes right as well."""
    cab, other = resolved(spec), resolved(mirrored(spec))
    step, said = cab.increment, loads(text(spec)).spec
    for name, wall in cab.walls.items():
        turned = other.walls[MIRROR[name]]  # type: ignore[index]
        for key in ("width", "height", "run", "bands"):
            assert getattr(turned, key) == getattr(wall, key)
        assert [width for _, width in turned.columns] == [width for _, width in wall.columns][::-1]
        rest = total(wall.margins) - total(nominal_margins(said, name, dict(said.layout.walls.named())[name]))
        odd = rest - rest.floor_to(step)
        for seen, mirror in (
            (turned.margins[0], wall.margins[1]),
            (turned.margins[1], wall.margins[0]),
            *((t[0], wall.width - w[0] - w[1]) for w, t in zip(wall.columns, turned.columns[::-1], strict=True)),
        ):
            assert abs(seen - mirror) <= step + odd
        sizes = sorted((p.kind, p.tier or "", p.width, p.height) for p in wall.parts)
        assert sizes == sorted((p.kind, p.tier or "", p.width, p.height) for p in turned.parts)


@QUICK
@given(cars())
def test_parts_and_bands_leave_nothing_out(spec: dict[str, Any]) -> None:
    cab = resolved(spec)
    marks = [part.mark for part in cab.parts]
    assert len(marks) == len(set(marks))
    for name, wall in cab.walls.items():
        assert coverage(wall) == ()
        stack = spec["layout"]["walls"][name].get("stack", spec["layout"]["stack"])
        assert [band.kind for band in wall.bands] == [next(iter(item)) for item in stack]


@pytest.mark.parametrize("units", ["inch", "mm"])
def test_what_is_not_typed_out_has_the_formats_defaults(units: str) -> None:
    spec: dict[str, Any] = {
        "cabdraw": "1", "units": units, "job": {"project": "Any", "car": "Car"},
        "survey": {"height": "92in", "walls": {"back": {"width": "68in"}}},
        "layout": {
            "panel": {"thickness": "3/4in", "air_gap": "1/2in"},
            "joint": {"engagement": "3/8in", "groove_depth": "1/2in", "clearance": "1/16in", "base_tab": "3/8in"},
            "reveal": "1/2in", "corner_gap": "1/2in", "front_gap": "1in",
            "stack": [{"full": "fill"}], "walls": {"back": {"panels": "3"}},
        },
    }  # fmt: skip
    cab = resolved(spec)
    joint = cab.joint
    inch_32, mm_half = Length(INCH / 32), Length(Fraction(1, 2))
    assert cab.increment == (inch_32 if units == "inch" else mm_half)
    assert (joint.spline_lift, joint.groove_width) == (Length(INCH * 3 / 4), Length(INCH * 5 / 32))
    assert (joint.spline_thickness, joint.groove_offset) == (Length(INCH / 8), Length(INCH / 4))
    assert (joint.tab_thickness, joint.strip_thickness) == (Length(INCH * 3 / 80),) * 2
    assert (cab.survey.uncertainty, cab.survey.floor_finish, cab.walls["back"].edge) == (ZERO, ZERO, ZERO)

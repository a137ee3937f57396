"""What changed between two cars, as a table and as JSON, and the clouds round it."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from io import BytesIO
from itertools import pairwise
from math import cos, hypot, radians, sin
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from ezdxf import recover
from hypothesis import given, settings
from hypothesis import strategies as st
from legible import outside, texts_on_lines, texts_that_meet

from cabdraw import cli
from cabdraw.cab import Cab, Part, Wall
from cabdraw.compare import Change, Comparison, as_record, compare, counted, table
from cabdraw.draw.clouds import outlines, revised, scallops, wall_clouds
from cabdraw.draw.elevation import elevation
from cabdraw.draw.occupied import chords, crosses
from cabdraw.draw.shapes import XY, Arc, Dimension, Line, Polyline, Sheet, Text
from cabdraw.draw.sheet_set import sheet_set
from cabdraw.frozen import Frozen, names, replace
from cabdraw.resolve import resolve
from cabdraw.spec import loads
from cabdraw.units import Length, Mass, mm
from cabdraw.write.dxf import drawing_bytes
from cabdraw.write.svg import svg_bytes

SPECS = Path(__file__).parent.parent / "specs"
GOLDEN = Path(__file__).parent / "compare.txt"
NAMES = ("larkspur-car-2", "harrow-house-car-1", "orchard-street-service-car", "quayside-lift-b")
LARKSPUR = "larkspur-car-2"
Edit = tuple[str, str]
#: A change of each kind: parts that come, go and alter, a job's words, a survey, a finish.
EDITS: tuple[Edit, ...] = (
    ("revision: A}", "revision: B, checked_by: M. Lind}"),
    ("right: {panels: [1, 2]}", "right: {panels: 3}"),
    ("walls: [back, left, right]", "walls: [back, left]"),
    ("colour: cherry", "colour: walnut"),
    ("depth: 2 1/2", "depth: 2"),
)


def text_of(name: str, *edits: Edit) -> str:
    text = (SPECS / f"{name}.yaml").read_text(encoding="utf-8")
    for old, new in edits:
        assert old in text, old
        text = text.replace(old, new)
    return text


def car(name: str = LARKSPUR, *edits: Edit) -> Cab:
    return resolve(loads(text_of(name, *edits)))


def changed(name: str, *edits: Edit) -> Comparison:
    return compare(car(name), car(name, *edits))


@pytest.mark.parametrize("name", NAMES)
def test_a_car_is_the_same_as_itself(name: str) -> None:
    found = compare(car(name), car(name))
    assert (found.same, found.changes, counted(found)) == (True, (), "no difference")


def test_how_a_size_was_typed_does_not_count() -> None:
    assert changed(LARKSPUR, ("crown: 3\n", "crown: 76.2mm\n"), ("front_gap: 1\n", "front_gap: 25.4mm\n")).same


def test_the_name_of_the_file_does_not_count() -> None:
    assert compare(car(), replace(car(), name="another")).same


def test_a_difference_too_small_to_print_is_shown_exactly() -> None:
    (change,) = changed("quayside-lift-b", ("spline_lift: 19", "spline_lift: 19.01")).changes[:1]
    assert (change.mark, change.field, change.old, change.new) == ("joint", "spline lift", "19 mm", "19.01 mm")


def test_the_table_is_as_it_was() -> None:
    found = changed(LARKSPUR, *EDITS)
    shown = f"{table(found)}\n\n{counted(found)}\n"
    if os.environ.get("CABDRAW_RENEW") == "1":
        GOLDEN.write_text(shown, encoding="utf-8")
    assert shown == GOLDEN.read_text(encoding="utf-8")
    assert all(line == line.rstrip() for line in shown.splitlines())


def test_parts_added_removed_and_altered_are_told_by_mark() -> None:
    found = changed(LARKSPUR, *EDITS)
    parts = {change.mark: change.kind for change in found.changes if change.what == "part"}
    assert {mark for mark, kind in parts.items() if kind == "added"} == {
        "lower-right-3", "upper-right-3", "spline-lower-right-2", "spline-upper-right-2", "reveal-lower-right-2",
        "reveal-upper-right-2",
    }  # fmt: skip
    assert {mark for mark, kind in parts.items() if kind == "removed"} == {"rail-right"}
    assert parts["lower-right-1"] == "altered"
    # The depth behind its shell bounds the back rail's bolts.
    assert {mark for mark in parts if "back" in mark or "left" in mark} == {"rail-back"}


def test_sizes_are_told_in_print_and_in_mm() -> None:
    found = changed(LARKSPUR, ("crown: 3\n", "crown: 3 1/2\n"))
    crown = next(c for c in found.changes if c.mark == "crown-back" and c.field == "height")
    assert (crown.old, crown.new) == ('3"', '3 1/2"')
    core = next(c for c in found.changes if c.mark == "crown-back" and c.field == "core height")
    assert (core.old, core.new) == ('2.9600"', '3.4600"')
    told = as_record(found)["changes"]
    assert {"old_mm": 76.2, "new_mm": 88.9}.items() <= next(
        change.items() for change in told if change["mark"] == "crown-back" and change["field"] == "height"
    )


def test_json_has_a_fixed_shape() -> None:
    told = as_record(changed(LARKSPUR, *EDITS))
    assert list(told) == ["cabdraw", "old", "new", "same", "changes"]
    assert told["old"] == {"spec": "spec", "project": "Larkspur Court", "car": "Car 2", "revision": "A"}
    assert told["same"] is False
    keys = ["kind", "what", "mark", "wall", "field", "old", "new", "old_mm", "new_mm"]
    assert all(list(change) == keys for change in told["changes"])
    assert {
        "kind": "removed", "what": "part", "mark": "rail-right", "wall": "right", "field": None, "old": None,
        "new": None, "old_mm": None, "new_mm": None,
    } in told["changes"]  # fmt: skip
    assert {
        "kind": "altered", "what": "finish", "mark": "W1", "wall": None, "field": "colour", "old": "#9e5e3e",
        "new": "#70503a", "old_mm": None, "new_mm": None,
    } in told["changes"]  # fmt: skip
    json.dumps(told)


#: What follows from other things that are compared, or is no more than a name.
FOLLOWS = {
    "Cab.name", "Printing.denominator", "Wall.name", "Wall.gaps", "Wall.columns", "Part.shapes", "Part.mark",
    "Part.tier", "Part.order", "Part.wall", "Cut.fixture", "Finish.colour_said", "Rail.length", "Rail.height",
    "Rail.thickness", "Band.kind", "Return.side", "Standoff.y", "Standoff.number",
}  # fmt: skip


def mutations(value: Any, where: str = "") -> Iterator[tuple[str, Any]]:
    """The value with one leaf changed, for each leaf, and the name of the field that was changed."""
    if isinstance(value, Length):
        yield where, Length(value.mm + Fraction(1, 1000))
    elif isinstance(value, Mass):
        yield where, Mass(value.kg + 1)
    elif isinstance(value, bool):
        yield where, not value
    elif isinstance(value, int | Fraction):
        yield where, value + 1
    elif isinstance(value, str):
        yield where, value + "x"
    elif isinstance(value, Frozen):
        for field in names(value):
            inside = f"{type(value).__name__}.{field}"
            for name, other in mutations(getattr(value, field), inside):
                yield name, replace(value, **{field: other})
    elif isinstance(value, tuple) and value:
        for name, other in mutations(value[0], where):
            yield name, (other, *value[1:])
    elif isinstance(value, dict) and value:
        first = next(iter(value))
        for name, other in mutations(value[first], where):
            yield name, {**value, first: other}


@pytest.mark.parametrize("name", NAMES)
def test_no_field_of_a_car_is_forgotten(name: str) -> None:
    made = car(name)
    missed = {where for where, other in mutations(made) if compare(made, other).same}
    assert missed <= FOLLOWS


def test_things_of_one_name_are_kept_apart() -> None:
    wall = car("harrow-house-car-1").walls["back"]
    made = car("harrow-house-car-1")
    thing = wall.obstructions[0]
    twice = replace(wall, obstructions=(thing, replace(thing, behind=mm(7))))
    found = compare(made, replace(made, walls={**made.walls, "back": twice}))
    assert {(c.kind, c.mark) for c in found.changes} == {("added", "travelling cable (2)"), ("removed", "wireway")}


def test_a_wall_that_goes_is_told_with_its_parts() -> None:
    made = car()
    other = replace(made, walls={name: wall for name, wall in made.walls.items() if name != "right"})
    gone = {c.mark for c in compare(made, other).changes if c.kind == "removed"}
    assert {"right wall", *(part.mark for part in made.walls["right"].parts)} <= gone


def test_the_revision_that_made_the_changes_is_the_new_cars() -> None:
    assert changed(LARKSPUR, *EDITS).mark == "B"
    assert compare(car("quayside-lift-b"), car("quayside-lift-b", (", revision: P1", ""))).mark == ""
    only_listed = car("harrow-house-car-1", ("  revision: B\n", ""))
    assert compare(only_listed, only_listed).mark == "B"


# --- clouds


def arcs(sheet: Sheet) -> list[Arc]:
    return [s for view in sheet.views for s in view.shapes if isinstance(s, Arc) and s.layer == "REVISION"]


def marks(sheet: Sheet) -> list[Text]:
    return [s for view in sheet.views for s in view.shapes if isinstance(s, Text) and s.layer == "REVISION"]


def bounds(found: Sequence[Arc]) -> tuple[float, float, float, float]:
    points = [point for arc in found for point in chords(arc)]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def with_part(made: Cab, mark: str, change: Callable[[Part], Part | None]) -> Cab:
    """The car with one part changed, or taken out."""
    walls = {}
    for name, wall in made.walls.items():
        parts = tuple(
            other for part in wall.parts if (other := change(part) if part.mark == mark else part) is not None
        )
        walls[name] = replace(wall, parts=parts)
    return replace(made, walls=walls)


def close_round(box: tuple[float, float, float, float], part: Part, scale: float) -> bool:
    """Whether a cloud's bounds are those of a part and at most 4.5 paper mm more on each side, and at least 1."""
    assert part.visible is not None
    rect = part.visible
    over = (
        float(rect.x) - box[0], float(rect.y) - box[1], box[2] - float(rect.right), box[3] - float(rect.top)
    )  # fmt: skip
    return all(0.3 <= reach * scale <= 4.5 for reach in over)


def part_of(made: Cab, mark: str) -> Part:
    return next(part for part in made.parts if part.mark == mark)


def test_a_cloud_goes_round_the_part_that_changed_and_no_other() -> None:
    made = car()
    other = with_part(made, "upper-left-1", lambda part: replace(part, grain="horizontal"))
    sheet = elevation(other, "left", (), since=compare(made, other))
    assert close_round(bounds(arcs(sheet)), part_of(made, "upper-left-1"), sheet.views[0].scale)
    assert [text.text for text in marks(sheet)] == ["A"]
    assert arcs(elevation(other, "back", (), since=compare(made, other))) == []
    assert arcs(elevation(other, "left", ())) == []


def test_a_part_that_is_gone_is_clouded_where_it_was() -> None:
    made = car()
    other = with_part(made, "upper-right-2", lambda part: None)
    sheet = elevation(other, "right", (), since=compare(made, other))
    assert close_round(bounds(arcs(sheet)), part_of(made, "upper-right-2"), sheet.views[0].scale)


def test_neighbours_that_changed_share_a_cloud_and_others_have_their_own() -> None:
    made = other = car()
    for mark in ("lower-back-1", "lower-back-2", "upper-back-3"):
        other = with_part(other, mark, lambda part: replace(part, grain="none"))
    sheet = elevation(other, "back", (), since=compare(made, other))
    assert len(marks(sheet)) == 2


def test_a_finish_that_changed_is_clouded_where_it_shows() -> None:
    found = changed(LARKSPUR, ("M1, name: Grey mirror", "M1, name: Clear mirror"))
    back = elevation(found.new, "back", (), since=found)
    low, high = bounds(arcs(back))[1], bounds(arcs(back))[3]
    panel = part_of(found.new, "upper-back-1").visible
    assert panel is not None
    scale = back.views[0].scale
    assert abs(low - float(panel.y)) * scale < 4.5
    assert abs(high - float(panel.top)) * scale < 4.5
    assert arcs(elevation(found.new, "left", (), since=found)) == []


def test_the_dimension_of_a_wall_that_changed_is_clouded() -> None:
    made = car()
    wall = made.walls["back"]
    other = replace(made, walls={**made.walls, "back": replace(wall, width=wall.width + mm(1))})
    sheet = elevation(other, "back", (), since=compare(made, other))
    view = sheet.views[0]
    across = [s for s in view.shapes if isinstance(s, Dimension) and s.axis == "x" and s.start[0] == 0]
    overall = next(s for s in across if abs(s.end[0] - float(wall.width) - 1) < 1e-6)
    left, low, right, high = bounds(arcs(sheet))
    x, y = overall.text_at
    assert left < x < right
    assert low < y < high
    assert (high - low) * view.scale < 10


def test_a_new_wall_is_clouded_whole() -> None:
    made = car()
    old = replace(made, walls={name: wall for name, wall in made.walls.items() if name != "left"})
    sheet = elevation(made, "left", (), since=compare(old, made))
    box, wall = bounds(arcs(sheet)), made.walls["left"]
    assert box[2] - box[0] > float(wall.width)
    assert box[3] - box[1] > float(wall.height)


def test_a_car_without_a_revision_gets_clouds_without_a_mark() -> None:
    made = car("quayside-lift-b", (", revision: P1", ""))
    other = with_part(made, "upper-left-1", lambda part: replace(part, grain="none"))
    sheet = elevation(other, "left", (), since=compare(made, other))
    assert arcs(sheet)
    assert marks(sheet) == []


CHANGES: dict[str, tuple[Edit, ...]] = {
    "larkspur-car-2": (("crown: 3\n", "crown: 2 1/2\n"), ("left:  {panels: 2}", "left:  {panels: 3}")),
    "harrow-house-car-1": (
        ("x: 37, y: 33", "x: 36, y: 34"),
        ("rail_top: 34", "rail_top: 35"),
        ("width: 1 1/2, stock", "width: 2, stock"),
    ),
    "orchard-street-service-car": (
        ("- bumper: 120", "- bumper: 140"),
        ("widths: [420,", "widths: [400,"),
        ("width: [2046, 2044, 2047]", "width: [2040]"),
    ),
    "quayside-lift-b": (
        ("width: [2104, 2103, 2105]", "width: [2094]"),
        ("height: [2361, 2359, 2360]", "height: [2351]"),
    ),
}


@pytest.mark.parametrize("name", NAMES)
def test_clouds_and_their_marks_meet_no_text(name: str) -> None:
    found = changed(name, *CHANGES[name])
    sheets = [s for s in sheet_set(found.new, (), found) if s.name.startswith(("elevation", "front"))]
    assert any(arcs(sheet) for sheet in sheets)
    for sheet in sheets:
        assert list(texts_that_meet(sheet)) == []
        assert list(texts_on_lines(sheet)) == []
        assert list(outside(sheet)) == []
        if arcs(sheet):
            assert marks(sheet)
        triangles = [
            s for s in sheet.views[0].shapes if isinstance(s, Polyline) and s.layer == "REVISION" and len(s.points) == 3
        ]
        assert len(triangles) == len(marks(sheet))
        for triangle, text in zip(triangles, marks(sheet), strict=True):
            (left, low), (right, _), (_, top) = triangle.points
            assert left < text.at[0] < right
            assert low < text.at[1] < top
            others = [s for s in sheet.views[0].shapes if isinstance(s, Line | Arc) and s.layer != "REVISION"]
            box = (left, low, right, top)
            for shape in others:
                course = [shape.start, shape.end] if isinstance(shape, Line) else chords(shape)
                assert not any(crosses((a, b), box) for a, b in pairwise(course))


def test_the_key_says_what_a_cloud_means() -> None:
    found = changed(LARKSPUR, *EDITS)
    said = [s.text for _, s in elevation(found.new, "right", (), since=found).shapes() if isinstance(s, Text)]
    assert "changed by revision B" in said
    plain = [s.text for _, s in elevation(found.new, "right", ()).shapes() if isinstance(s, Text)]
    assert "changed by revision B" not in plain


def test_the_front_has_clouds_round_its_trims() -> None:
    found = changed("harrow-house-car-1", ("front_trim: {width: 1 1/2", "front_trim: {width: 2"))
    front = next(sheet for sheet in sheet_set(found.new, (), found) if sheet.name == "front")
    assert len(marks(front)) == 2
    assert arcs(revised(replace(front, views=()), found)) == []


def test_clouds_are_arcs_in_dxf_and_svg_on_a_layer_of_their_own() -> None:
    found = changed(LARKSPUR, *EDITS)
    sheet = elevation(found.new, "right", (), since=found)
    doc, auditor = recover.read(BytesIO(drawing_bytes(sheet, "inch")))
    assert (auditor.errors, auditor.fixes) == ([], [])
    assert len(doc.modelspace().query('ARC[layer=="REVISION"]')) == len(arcs(sheet)) > 50
    root = ElementTree.fromstring(svg_bytes(sheet))
    assert [element for element in root.iter() if element.get("class") == "line REVISION"]
    assert svg_bytes(sheet) == svg_bytes(elevation(found.new, "right", (), since=found))


HOSTILE = "</text><script>alert(1)</script> & \"'"


def test_marks_and_values_that_mean_harm_stay_text() -> None:
    typed = HOSTILE.replace("'", "''")
    found = changed(LARKSPUR, ("revision: A}", f"revision: '{typed}'}}"), *EDITS[1:])
    root = ElementTree.fromstring(svg_bytes(elevation(found.new, "right", (), since=found)))
    assert not [element for element in root.iter() if element.tag.endswith("script")]
    assert marks(elevation(found.new, "right", (), since=found))
    assert json.loads(json.dumps(as_record(found)))["new"]["revision"] == HOSTILE


Box = tuple[float, float, float, float]


def test_the_outline_of_a_box_is_the_box() -> None:
    assert outlines([(0, 0, 3, 2)]) == [((0, 0), (3, 0), (3, 2), (0, 2))]


def test_boxes_that_overlap_have_one_outline() -> None:
    (ring,) = outlines([(0, 0, 4, 2), (2, 1, 6, 5)])
    assert ring == ((0, 0), (4, 0), (4, 1), (6, 1), (6, 5), (2, 5), (2, 2), (0, 2))


def test_a_hole_is_an_outline_too_the_other_way_round() -> None:
    frame = [(0, 0, 9, 2), (0, 7, 9, 9), (0, 0, 2, 9), (7, 0, 9, 9)]
    areas = sorted(area(ring) for ring in outlines(frame))  # type: ignore[arg-type]
    assert areas == [-25.0, 81.0]


def test_a_narrow_gap_is_bridged() -> None:
    assert len(outlines([(0, 0, 4, 4), (5, 0, 9, 4)])) == 2
    assert outlines([(0, 0, 4, 4), (5, 0, 9, 4)], 1.0) == [((0, 0), (9, 0), (9, 4), (0, 4))]


def test_boxes_that_meet_at_a_corner_have_an_outline_each() -> None:
    assert sorted(len(ring) for ring in outlines([(0, 0, 2, 2), (2, 2, 4, 4)])) == [4, 4]


def area(ring: Sequence[XY]) -> float:
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)) / 2


small = st.integers(0, 8)
boxes = st.lists(
    st.tuples(small, small, st.integers(1, 5), st.integers(1, 5)).map(
        lambda box: (float(box[0]), float(box[1]), float(box[0] + box[2]), float(box[1] + box[3]))
    ),
    min_size=1,
    max_size=6,
)


@given(boxes)
@settings(deadline=None, max_examples=150, derandomize=True)
def test_outlines_hold_just_the_area_of_the_boxes(found: list[Box]) -> None:
    cells = {(i, j) for a, b, c, d in found for i in range(int(a), int(c)) for j in range(int(b), int(d))}
    rings = outlines(found)
    assert sum(map(area, rings)) == len(cells)
    for ring in rings:
        for (x0, y0), (x1, y1) in zip(ring, (*ring[1:], ring[0]), strict=True):
            assert (x0 == x1) != (y0 == y1)


def test_arcs_join_end_to_end_and_bulge_outward() -> None:
    ring: tuple[XY, ...] = ((0.0, 0.0), (40.0, 0.0), (40.0, 20.0), (0.0, 20.0))
    found = list(scallops(ring, 5.0))
    assert len(found) == 24

    def at(arc: Arc, degrees: float) -> XY:
        return (
            arc.centre[0] + arc.radius * cos(radians(degrees)),
            arc.centre[1] + arc.radius * sin(radians(degrees)),
        )

    for arc, after in zip(found, (*found[1:], found[0]), strict=True):
        end, start = at(arc, arc.end), at(after, after.start)
        assert hypot(end[0] - start[0], end[1] - start[1]) < 1e-6
        x, y = at(arc, arc.start + ((arc.end - arc.start) % 360) / 2)
        assert not (0 < x < 40 and 0 < y < 20)


def test_nothing_changed_draws_nothing() -> None:
    made = car()
    assert wall_clouds(compare(made, made), made.walls["back"], (), 0.1) == []
    sheet = elevation(made, "back", ())
    assert svg_bytes(elevation(made, "back", (), since=compare(made, made))) == svg_bytes(sheet)


# --- the command


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Callable[..., Any]:
    """Run a command in a folder with an old spec, a new one and a bad one; status, output and errors."""
    monkeypatch.chdir(tmp_path)
    Path("old").mkdir()
    Path("old/car.yaml").write_text(text_of(LARKSPUR), encoding="utf-8")
    Path("car.yaml").write_text(text_of(LARKSPUR, *EDITS), encoding="utf-8")
    Path("bad.yaml").write_text(text_of(LARKSPUR, ("front_gap: 1\n", "front_gap: one\n")), encoding="utf-8")

    def run(*typed: str) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["cabdraw", *typed])
        status = cli.run()
        said = capsys.readouterr()
        return status, said.out, said.err

    return run


def test_compare_ends_with_0_for_the_same(run: Callable[..., Any]) -> None:
    assert run("compare", "car.yaml", "car.yaml") == (0, "no difference\n", "")


def test_compare_ends_with_4_and_a_table_for_a_difference(run: Callable[..., Any]) -> None:
    status, out, err = run("compare", "old/car.yaml", "car.yaml")
    assert (status, err) == (4, "")
    assert out == GOLDEN.read_text(encoding="utf-8")


def test_compare_says_it_as_json(run: Callable[..., Any]) -> None:
    status, out, _ = run("compare", "--json", "old/car.yaml", "car.yaml")
    assert status == 4
    told = json.loads(out)
    assert told == as_record(compare(replace(car(), name="car"), replace(car(LARKSPUR, *EDITS), name="car")))
    status, out, _ = run("compare", "car.yaml", "car.yaml", "--json")
    assert (status, json.loads(out)["same"], json.loads(out)["changes"]) == (0, True, [])


@pytest.mark.parametrize(
    "typed", [("bad.yaml", "car.yaml"), ("car.yaml", "bad.yaml"), ("--json", "bad.yaml", "car.yaml")]
)
def test_compare_ends_with_1_for_a_bad_spec_and_names_it(run: Callable[..., Any], typed: tuple[str, ...]) -> None:
    status, out, err = run("compare", *typed)
    assert (status, out) == (1, "")
    assert err.startswith("bad.yaml:")
    assert '"one" is not a length' in err


def test_compare_tells_both_bad_specs(run: Callable[..., Any]) -> None:
    status, _, err = run("compare", "bad.yaml", "nothing.yaml")
    assert status == 1
    assert "bad.yaml:" in err
    assert "nothing.yaml: there is no such file" in err


@pytest.mark.parametrize("typed", [(), ("car.yaml",), ("car.yaml", "car.yaml", "car.yaml"), ("--xml", "a", "b")])
def test_compare_ends_with_2_for_a_wrong_command(run: Callable[..., Any], typed: tuple[str, ...]) -> None:
    assert run("compare", *typed)[0] == 2


def test_compare_reminds_of_the_mark_where_something_changed_under_one(run: Callable[..., Any]) -> None:
    Path("car.yaml").write_text(text_of(LARKSPUR, *EDITS[1:]), encoding="utf-8")
    status, out, _ = run("compare", "old/car.yaml", "car.yaml")
    assert status == 4
    assert out.endswith("both are revision A: give the new one a mark of its own, as job.revision\n")


def test_draw_since_puts_clouds_on_the_drawings(run: Callable[..., Any]) -> None:
    status, out, err = run("draw", "--since", "old/car.yaml", "car.yaml", "--wall", "right", "--wall", "back")
    assert (status, err) == (0, "")
    assert "since old/car.yaml: " in out
    right = Path("out/car/drawings/elevation-right.svg").read_text(encoding="utf-8")
    assert 'class="line REVISION"' in right
    status, out, _ = run("draw", "car.yaml", "--wall", "right")
    assert "since" not in out
    assert "REVISION" not in Path("out/car/drawings/elevation-right.svg").read_text(encoding="utf-8")


def test_draw_since_a_bad_spec_writes_nothing(run: Callable[..., Any]) -> None:
    status, _, err = run("draw", "--since", "bad.yaml", "car.yaml")
    assert status == 1
    assert err.startswith("bad.yaml:")
    assert not Path("out").exists()


def test_draw_since_takes_one_spec(run: Callable[..., Any]) -> None:
    Path("other.yaml").write_text(text_of(LARKSPUR), encoding="utf-8")
    status, _, err = run("draw", "--since", "old/car.yaml", "car.yaml", "other.yaml")
    assert (status, err) == (2, "nothing was drawn: --since is one car's earlier spec; give one SPEC with it\n")
    assert not Path("out").exists()


def test_a_change_says_where_it_shows() -> None:
    made = car()
    other = with_part(made, "upper-back-1", lambda part: replace(part, grain="none"))
    (change,) = compare(made, other).changes
    visible = part_of(made, "upper-back-1").visible
    assert visible is not None
    assert change == Change(
        "altered", "part", "upper-back-1", "back", "grain", "vertical", "none", places=(("back", visible),)
    )
    assert isinstance(made.walls["back"], Wall)

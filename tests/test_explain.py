"""Every size of every part is explained, exactly, by steps that a drafter can check, down to what was typed."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from cars import cars
from hypothesis import HealthCheck, given, reject, settings
from pencil import number, worked
from spec_texts import GONE, ONE_TIER, document, text

from cabdraw.cab import Cab
from cabdraw.errors import BadSpec
from cabdraw.explain import Explanation, NoSuchPart, Place, Remembered, explain, made_by, marks
from cabdraw.explain.annotated import annotated
from cabdraw.explain.arithmetic import exact
from cabdraw.explain.sizes import sizes
from cabdraw.explain.trace import Count, Number, Traced, node_of
from cabdraw.frozen import replace
from cabdraw.record import record
from cabdraw.resolve import resolve
from cabdraw.spec import Document, load, loads
from cabdraw.spec.tree import Mapping, Scalar, Sequence
from cabdraw.units import INCH, ZERO, Length, NotALength, parse_length

HERE = Path(__file__).parent
SPECS = [*sorted((HERE.parent / "specs").glob("*.yaml")), *sorted((HERE / "worked").glob("*.yaml"))]
LARKSPUR = HERE.parent / "specs" / "larkspur-car-2.yaml"
QUICK = settings(max_examples=8, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))


def units_of(read: Document, path: tuple[str | int, ...]) -> Any:
    """The units of what stands at a path: its file's own."""
    node = read.source.node(path)
    return read.source.units.get(node.file, read.spec.units)


def typed_at(read: Document, path: tuple[str | int, ...]) -> set[Fraction]:
    """Every length that was typed at a path, or under it, in the spec's units; plain numbers as they are."""

    def texts(node: Mapping | Sequence | Scalar) -> list[str]:
        if isinstance(node, Scalar):
            return [node.text]
        inside = [item for _, item in node.entries.values()] if isinstance(node, Mapping) else node.items
        return [found for item in inside for found in texts(item)]

    found = set()
    for each in texts(read.source.node(path)):
        try:
            length = parse_length(each, units_of(read, path)).mm
        except NotALength:
            continue
        found |= {length / (INCH if read.spec.units == "inch" else 1), number_or_nothing(each)}
    return found


def number_or_nothing(typed: str) -> Fraction:
    try:
        return Fraction(typed)
    except ValueError:
        return Fraction(0)


def default_at(read: Document, path: tuple[str | int, ...]) -> Any:
    """What the models of the format have at a path."""
    found: Any = read.spec
    for step in path:
        if isinstance(step, int):
            found = found[step]
        else:
            found = getattr(found, step)
    return read.spec.step if path == ("increment",) and found is None else found


def worked_out(read: Document, value: Any, done: dict[Any, Fraction]) -> Fraction:
    """A remembered value worked out again from nothing but what was typed, and the format's defaults."""
    node = node_of(value)
    if node not in done:
        found = _worked_out(read, value, done)
        if node is None:
            return found
        done[node] = found
    return done[node]


def _worked_out(read: Document, value: Any, done: dict[Any, Fraction]) -> Fraction:
    node = node_of(value)
    if node is None:
        return value.mm if isinstance(value, Length) else Fraction(value)
    if node.does == "leaf":
        (path,) = node.at
        meant = default_at(read, path)
        if not node.default:
            there = read.source.existing(path)
            found = read.source.node(there)
            if isinstance(value, Length):
                assert isinstance(found, Scalar)
                return parse_length(found.text, units_of(read, path)).mm
            # How many panels stands for so many equal shares.
            return Fraction(found.text) if there == path else Fraction(1)  # type: ignore[union-attr]
        return meant.mm if isinstance(meant, Length) else Fraction(meant)
    parts = [worked_out(read, part, done) for part in node.of]
    if node.does == "called":
        return parts[0]
    if node.does == "sum":
        return sum((sign * part for sign, part in zip(node.signs, parts, strict=True)), Fraction(0))
    if node.does == "times":
        return parts[0] * parts[1]
    if node.does == "over":
        return parts[0] / parts[1]
    if node.does == "down":
        return parts[0] // parts[1] * parts[1]
    if node.does == "up":
        return max(Fraction(1), Fraction(-(-parts[0] // parts[1])))
    among, limits = parts[: len(parts) - node.limits], parts[len(parts) - node.limits :]
    low, high = limits[0] if limits else min(among), limits[1] if len(limits) > 1 else max(among)
    within = [n for n in among if low <= n <= high]
    return min(within) if node.does == "least" else max(within)


def check_with_a_pencil(read: Document, explanation: Explanation) -> None:
    """Each line comes to what it says, from numbers that stand in the spec or that came out before."""
    unit = INCH if read.spec.units == "inch" else Fraction(1)
    known: set[Fraction] = set()
    for step in explanation.steps:
        line = worked(step.expression)
        assert line.value == number(step.shown), step
        if isinstance(step.value, Length):
            assert line.value * unit == step.value.mm, step
        else:
            assert line.value == step.value, step
        here = {number(place.typed) for place in step.places if place.default and place.typed}
        for place in step.places:
            if not place.default:
                here |= typed_at(read, place.path)
                where = read.source.where(place.path)
                assert (place.line, place.column, place.at) == (where.line, where.column, where.path)
        assert line.used <= known | here | {Fraction(0)}, (step, line.used - known - here)
        known.add(line.value)
    assert explanation.steps[-1].value == explanation.value


def check_every_size(read: Document, cab: Cab) -> int:
    """Every size of everything in a car, its lines with a pencil and its memory from what was typed; how many."""
    remembered = Remembered(read, cab)
    assert remembered.remembered == cab
    counted = 0
    done: dict[Any, Fraction] = {}
    for mark in marks(cab):
        memory = sizes(remembered.remembered, mark)
        for explanation in remembered.explain(mark):
            true = sizes(cab, mark)[explanation.size]
            assert explanation.value == true
            assert type(true) is Length or not true
            check_with_a_pencil(read, explanation)
            assert worked_out(read, memory[explanation.size], done) == true.mm
            counted += 1
    return counted


@pytest.mark.parametrize("spec", SPECS, ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_every_size_of_every_part_is_explained_exactly(spec: Path) -> None:
    read = load(spec)
    assert check_every_size(read, resolve(read)) > 200


@QUICK
@given(cars())
def test_so_is_every_size_of_any_car(spec: dict[str, Any]) -> None:
    read = loads(text(spec))
    try:
        cab = resolve(read)
    except BadSpec:
        reject()
    check_every_size(read, cab)


HOLES = [{"x": "12", "y": "34"}, {"x": "34 1/64", "y": "34"}, {"x": "50", "y": "34", "diameter": "1/2"}]
ODD: dict[str, dict[str, Any]] = {
    "nothing back": {
        "survey.walls.back": GONE, "layout.walls.back": GONE, "handrail.walls": ["left"], "survey.width": ["70", "69"],
    },
    "a rear gap": {
        "survey.walls.back": GONE, "layout.walls.back": GONE, "handrail.walls": ["left"], "layout.rear_gap": "3/4",
    },
    "one wall": {
        "survey.walls.left": GONE, "layout.walls.left": GONE, "survey.walls.right": GONE, "layout.walls.right": GONE,
        "handrail.walls": ["back"],
    },
    "millimetres in inches": {"layout.reveal": "12mm", "layout.corner_gap": "1 cm", "increment": "0.5mm"},
    "a floor under one reading": {"survey.walls.back.floor": ["0", "1/8", "1/16"]},
    "a sloping floor": {"survey.height": ["92 1/4", "92", "92 1/8"], "survey.walls.left.floor": ["0", "1/4"]},
    "old holes": {"handrail.standoffs": "existing", "survey.walls.back.holes": HOLES},
    "clear of something": {
        "handrail.standoffs": "clear",
        "survey.walls.back.behind.obstructions": [{"what": "cable", "x": "11", "y": "30", "width": "2", "height": "9"}],
    },
    "no clear place": {
        "handrail.standoffs": "clear",
        "survey.walls.back.behind.obstructions": [{"what": "plate", "x": "0", "y": "30", "width": "68", "height": "9"}],
    },
    "no bolt fits": {"handrail.bolt.lengths": ["1"]},
    "no shell": {"survey.walls.back.shell": GONE},
    "one tier": ONE_TIER,
    "a rail's top": {"layout.stack": ONE_TIER["layout.stack"], "handrail.rail_top": "34 3/4"},
    "trims": {
        "survey.front": {"left": {"width": "10", "height": "92"}, "transom": {"underside": "84", "projects": "1/4"}},
        "layout.front_trim": {"width": "1 1/2", "stock": "96"}, "layout.corner_trim": {"width": "2"},
    },
    "a cut": {
        "survey.floor_finish": "3/16",
        "survey.walls.back.fixtures": [
            {"what": "panel", "x": "30", "y": "50", "width": "9", "height": "26", "clearance": "1/8"},
            {"what": "phone", "x": "50", "y": "50", "width": "9", "height": "26"},
        ],
    },
    "weights": {
        "layout.stack.2": {"lower": {"height": "fill", "weight": "3/2"}}, "layout.stack.0": {"gap": "fill"},
        "layout.walls.back": {"panels": ["1", "2", "1/3"]}, "layout.walls.left": {"widths": ["fill", "20", "fill"]},
    },
}  # fmt: skip


@pytest.mark.parametrize("changes", ODD.values(), ids=ODD)
def test_so_is_every_size_of_an_odd_car(changes: dict[str, Any]) -> None:
    read = document(changes)
    check_every_size(read, resolve(read))


def test_memory_changes_nothing() -> None:
    for spec in SPECS:
        read = load(spec)
        plain, remembered = resolve(read), resolve(annotated(read))
        assert plain == remembered
        assert record(plain, (), ()) == record(remembered, (), ())


def test_every_size_in_the_record_can_be_asked_for() -> None:
    for spec in SPECS:
        read = load(spec)
        cab = resolve(read)
        told = record(cab, (), ())
        for part in told["parts"]:
            there = {name: float(size) for name, size in sizes(cab, part["mark"]).items()}
            for name in ("width", "height", "thickness"):
                assert part[name] is None or part[name] == pytest.approx(there[name], abs=1e-6)
            for name, side in zip(("core.width", "core.height"), part["core"] or (), strict=False):
                assert side == pytest.approx(there[name], abs=1e-6)
            for n, cut in enumerate(part["cuts"], 1):
                assert {f"cut-{n}.{key}" for key in ("x", "y", "width", "height")} <= set(there), cut
        for name, wall in told["walls"].items():
            there = {key: float(size) for key, size in sizes(cab, name).items()}
            wanted = {key: wall[key] for key in ("width", "height", "projection", "run")}
            wanted |= dict(zip(("margins.left", "margins.right"), wall["margins"], strict=True))
            assert {key: there[key] for key in wanted} == pytest.approx(wanted, abs=1e-6)
            heights = [size for key, size in there.items() if key.endswith(".height")]
            assert heights == pytest.approx([band["height"] for band in wall["bands"]], abs=1e-6)
            for panel in wall["panels"]:
                assert float(sizes(cab, panel["mark"])["x"]) == pytest.approx(panel["x"], abs=1e-6)
                assert float(sizes(cab, panel["mark"])["y"]) == pytest.approx(panel["y"], abs=1e-6)
            if wall["rail"] is not None:
                rail = {key: float(size) for key, size in sizes(cab, f"rail-{name}").items()}
                for key, mine in (("length", "width"), ("x", "x"), ("y", "centre"), ("overhang", "overhang")):
                    assert wall["rail"][key] == pytest.approx(rail[mine], abs=1e-6)
                for n, standoff in enumerate(wall["rail"]["standoffs"], 1):
                    assert rail[f"standoff-{n}.x"] == pytest.approx(standoff["x"], abs=1e-6)
        assert {k: v for k, v in told["clear"].items() if v is not None} == pytest.approx(
            {key: float(size) for key, size in sizes(cab, "clear").items()}, abs=1e-6
        )


def one(read: Document, mark: str, size: str) -> Explanation:
    (found,) = explain(read, resolve(read), mark, size)
    return found


def test_a_width_from_the_readings_to_the_rounding() -> None:
    found = one(load(LARKSPUR), "lower-back-2", "width")
    assert [f"{step.expression} = {step.shown}" for step in found.steps] == [
        "least of 68 1/8, 68, 68 1/16 = 68",
        "68 - 0 = 68",
        "1/2 + 3/4 = 1 1/4",
        "1 1/4 + 1/2 = 1 3/4",
        "1/2 + 3/4 = 1 1/4",
        "1 1/4 + 1/2 = 1 3/4",
        "68 - 1 3/4 - 1 3/4 - 2 × 1/2 = 63 1/2",
        "63 1/2 × 1/3 rounded down to 1/32 = 21 5/32",
    ]
    assert found.steps[-1].says == "width of panel 2 of the back wall: room for the panels × 1/3, rounded down"
    line = next(n for n, text in enumerate(LARKSPUR.read_text().splitlines(), 1) if "back:  {width" in text)
    (place,) = found.steps[0].places
    assert (place.line, place.column, place.keys) == (line, 20, "survey.walls.back.width")


def test_a_default_names_the_key_that_would_set_it() -> None:
    places = one(load(LARKSPUR), "lower-back-2", "width").steps[1].places
    assert [(place.keys, place.typed, place.default) for place in places] == [("survey.uncertainty", "0", True)]
    rear = one(document(ODD["nothing back"]), "left", "margins.right").steps[0]
    assert rear.says == "rear gap, by default the front gap; layout.rear_gap would set it"
    (increment,) = (p for p in one(load(LARKSPUR), "lower-back-2", "width").steps[-1].places if p.default)
    assert (increment.keys, increment.typed) == ("increment", "1/32")
    (thickness,) = one(load(LARKSPUR), "spline-back-1", "thickness").steps
    assert (thickness.places[0].keys, thickness.expression) == ("layout.joint.spline_thickness", "1/8")


def test_what_rounding_leaves_and_which_margin_takes_it() -> None:
    last = one(load(LARKSPUR), "back", "margins.right").steps
    assert [f"{step.expression} = {step.shown}" for step in last[-3:]] == [
        "63 1/2 - 3 × 21 5/32 = 1/32",
        "1/32 ÷ 2 rounded down to 1/32 = 0",
        "1 3/4 + 1/32 - 0 = 1 25/32",
    ]


def test_numbers_finer_than_the_increment_stand_exactly() -> None:
    read = load(HERE.parent / "specs" / "harrow-house-car-1.yaml")
    assert one(read, "back", "height").shown == "95 11/96"
    shown = {place.typed for step in one(document(ODD["millimetres in inches"]), "back", "run").steps
             for place in step.places}  # fmt: skip
    assert {"12mm", "1 cm", "0.5mm"} <= shown
    sloping = {"survey.height": ["93", "92", "92", "92"], "survey.walls.left.floor": ["1/2", "0"]}
    assert one(document(sloping), "left", "height").shown == "91 2/3"


def test_a_number_stands_as_a_drafter_writes_it_and_exactly() -> None:
    assert exact(Length(Fraction(5973, 10)), "mm") == "597.3"
    assert exact(Length(Fraction(254, 64)), "mm") == "3.96875"
    assert exact(Length(Fraction(7019, 3)), "mm") == "2339 2/3"
    assert exact(Length(Fraction(-1, 8)), "mm") == "-0.125"
    assert exact(Length(Fraction(2000)), "mm") == "2000"
    assert exact(Length(Fraction(1, 512)), "mm") == "1/512"
    assert exact(Length(INCH * Fraction(2143, 96)), "inch") == "22 31/96"
    assert exact(Length(INCH * Fraction(1, 64)), "inch") == "1/64"
    assert exact(Length(INCH * Fraction(13281, 10000)), "inch") == "1.3281"
    assert exact(Length(Fraction(12)), "inch") == "60/127"


def test_an_explanation_that_does_not_come_to_the_size_is_refused() -> None:
    read = load(LARKSPUR)
    cab = resolve(read)
    back = cab.walls["back"]
    other = replace(cab, walls={**cab.walls, "back": replace(back, width=back.width + Length(Fraction(1)))})
    with pytest.raises(ValueError, match=r"back\.width is 8641/5 mm"):
        explain(read, other, "back", "width")


@pytest.mark.parametrize(
    ("mark", "size", "said"),
    [
        ("lower-bak-2", None, 'nothing is called "lower-bak-2"; is it lower-back-2? there are base-back, '),
        ("lower-back-2", "wdith", 'lower-back-2 has no size "wdith"; is it width? there are width, height, thickness,'),
        ("clear", "widht", 'clear has no size "widht"; is it width? there are width, depth, height'),
        ("zzz", "width", 'nothing is called "zzz"; there are base-back, '),
        ("back", "lower.hight", 'back has no size "lower.hight"; is it lower.height?'),
    ],
)
def test_what_is_not_there_is_answered_with_the_nearest(mark: str, size: str | None, said: str) -> None:
    read = load(LARKSPUR)
    with pytest.raises(NoSuchPart) as found:
        explain(read, resolve(read), mark, size)
    assert str(found.value).startswith(said)


@pytest.mark.parametrize(
    ("changes", "mark", "size", "why"),
    [
        (ODD["a rear gap"], "clear", "width", "as no wall that bounds it is measured"),
        (ODD["no bolt fits"], "rail-back", "bolt.length", "as no stock length is long enough and short enough"),
        (ODD["no shell"], "rail-back", "bolt.stack", "as the spec gives no bolt or no thickness of the shell"),
        (ODD["trims"], "corner-trim-left", "x", "as a trim stands on no one wall"),
    ],
)
def test_a_size_that_others_have_is_said_to_be_missing_and_why(
    changes: dict[str, Any], mark: str, size: str, why: str
) -> None:
    read = document(changes)
    with pytest.raises(NoSuchPart, match=why):
        explain(read, resolve(read), mark, size)


def test_sizes_that_belong_together_can_be_asked_for_together() -> None:
    read = document(ODD["a cut"])
    cab = resolve(read)

    def names(mark: str, size: str) -> list[str]:
        return [found.size for found in explain(read, cab, mark, size)]

    assert names("back", "margins") == ["margins.left", "margins.right"]
    assert names("lower-back-1", "core") == ["core.width", "core.height"]
    assert names("back", "bands")[:3] == ["gap-1.y", "gap-1.height", "base.y"]
    assert len(names("back", "bands")) == 2 * len(cab.walls["back"].bands)
    assert names("upper-back-2", "cut") == [f"cut-1.{name}" for name in ("x", "y", "width", "height")]


def test_the_lines_that_made_a_part_come_nearest_first() -> None:
    read = load(LARKSPUR)
    places = made_by(read, resolve(read), "lower-back-2")
    keys = [place.keys for place in places]
    assert keys[:2] == ["layout.walls.back.panels", "layout.stack[2].lower"]
    assert {"survey.walls.back.width[0]", "layout.panel.thickness", "layout.stack[4].backer.centre"} <= set(keys)
    assert not any(key.startswith(("survey.walls.left", "handrail", "job")) for key in keys)
    assert not any(place.default for place in places)
    rail = [place.keys for place in made_by(read, resolve(read), "rail-back")]
    assert {"handrail.overhang", "handrail.max_spacing"} <= set(rail)


def test_places_name_the_included_file(tmp_path: Path) -> None:
    spec = json.loads(text(document_as_typed()))
    shared = {"layout": {"joint": spec["layout"].pop("joint"), "panel": spec["layout"].pop("panel")}}
    (tmp_path / "shop.yaml").write_text(json.dumps(shared, indent=1))
    (tmp_path / "car.yaml").write_text(json.dumps({"include": "shop.yaml", **spec}, indent=1))
    read = load(tmp_path / "car.yaml")
    steps = one(read, "back", "projection").steps
    assert {(place.file, place.at) for place in steps[0].places} == {("shop.yaml", tmp_path / "shop.yaml")}
    check_every_size(read, resolve(read))


def document_as_typed() -> dict[str, Any]:
    from spec_texts import plain

    return plain()


def test_a_remembered_length_is_as_good_as_a_plain_one() -> None:
    read = annotated(document())
    length = read.spec.layout.reveal
    assert isinstance(length, Traced)
    plain = Length(length.mm)
    assert (length == plain, plain == length, {length} == {plain}) == (True, True, True)
    assert length <= plain <= length
    assert not length < plain
    assert not plain > length
    for same in (length + ZERO, ZERO + length, length - ZERO, length * 1, length / 1):
        assert same is length
    assert ((ZERO - length).mm, abs(-length), bool(length)) == (-length.mm, length, True)
    assert (length + plain - length).mm == plain.mm
    assert (length * 0, (2 * length).mm, length - length) == (ZERO, 2 * length.mm, ZERO)
    assert isinstance(length.fewest(plain), Count)
    assert length.fewest(plain * 3) == 1
    weights = read.spec.layout.walls.back.panels  # type: ignore[union-attr]
    assert isinstance(weights[0] / sum(weights, Fraction(0)), Number)
    with pytest.raises(NotImplementedError):
        length.nearest_to(plain)


def test_a_place_says_its_path_in_words() -> None:
    place = Place("car.yaml", 3, 4, ("layout", "stack", 2, "lower"), Path("car.yaml"))
    assert place.keys == "layout.stack[2].lower"

"""The JSON Schema of the format: it takes what the format takes, and refuses what can be seen in one place."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import grammar
import jsonschema
import pytest
import yaml
from conftest import REPOSITORY, SPECS
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from schema_check import faults, snippet_faults, values
from wrong_cabs import WRONG, Wrong, changed

from cabdraw.cli import run as run_command
from cabdraw.errors import BadSpec
from cabdraw.spec import fields, loads, looks
from cabdraw.spec.json_schema import FILE, FIRST_LINE, json_schema, look_of_single, schema_text
from cabdraw.spec.section import Kind, Reading, Single
from cabdraw.units import System

SHIPPED = REPOSITORY / "specs" / FILE
BAD = sorted((Path(__file__).parent / "bad_specs").glob("*.yaml"))
WORKED = sorted((Path(__file__).parent / "worked").glob("*.yaml"))
#: Specs of several cars, and what they include.
SHARED = sorted((REPOSITORY / "specs" / "shared").rglob("*.yaml"))
SCHEMA = json_schema()

#: Bad specs of which each value is well in its own place: two places contradict each other, or the sizes do not
#: work out, or a number is wrong in these units alone.
BETWEEN_PLACES = {
    "band_above_the_ceiling", "band_below_the_floor", "bands_both_claim", "bands_in_the_wrong_order",
    "base_not_lowest", "core_all_edge", "core_of_one_wall_all_edge", "corner_trim_without_corner", "finish_codes",
    "fixture_outside", "frieze_not_highest", "front_trim_in_one_piece_too_long", "front_trim_longer_than_stock",
    "grooved_meet", "no_clear_width", "rail_height_for_nothing", "rail_height_missing", "rail_off_its_tier",
    "rail_on_neither", "rail_overhang_too_long", "rail_too_short", "rail_top_on_a_bumper", "rail_top_without_rail",
    "rail_wall_without_panels", "reveal_fill", "reveal_of_no_length", "row_no_room_for_fills",
    "row_no_room_for_panels", "row_too_wide", "sizes_of_many_kinds", "spline_of_no_length", "stack_left_open",
    "stack_no_room_for_fills", "stack_of_one_wall", "stack_too_tall", "thread_backwards", "too_long",
    "trim_without_return", "unit_mix_up", "unit_mix_up_mm", "wall_not_laid_out", "wall_not_measured",
}  # fmt: skip
#: Wrong as YAML, which an editor sees without a schema; the reader of this test passes over these two.
WRONG_YAML = {"key_twice", "surrogate"}


def test_it_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_the_shipped_file_is_what_the_models_say() -> None:
    assert SHIPPED.read_text(encoding="utf-8") == schema_text(), "write it anew: cabdraw schema --out specs/" + FILE


@pytest.mark.parametrize("spec", [*SPECS, *SHARED, *WORKED], ids=lambda spec: f"{spec.parent.name}-{spec.stem}")
def test_good_specs_pass(spec: Path) -> None:
    assert faults(spec.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("include: shop.yaml\ncabdraw: 1\nunits: inch\njob: {project: A, car: B}\nlayout: {reveal: 1/2}", ""),
        ("include: [shop.yaml, parts/joint.yml]\nhandrail: ~", ""),
        ("layout:\n  joint: {engagement: 3/8}\nfixings: {spares: 10%}", ""),
        ("cabdraw: 1\ncars:\n  car-1: {job: {car: A}}\n  car-2:\n    survey: {height: 92, width: ~}", ""),
        ("finishes:\n  base: &s {name: Steel, colour: steel}\n  trim:\n    <<: *s\n    name: Bronze\n  rail: *s", ""),
        ("include: shop.yaml\nlayout: {revel: 1/2}", "'revel' was unexpected"),
        ("include: shop", "is not valid under any"),
        ("include: shop.yaml\nlayout:\n  stack: [{gap: wide}]", "is not valid under any"),
        ("cars: {}", "should be non-empty"),
        ("cars: {car-1: {units: inch}}", "'units' was unexpected"),
        ("cars: {car-1: {job: {cars: A}}}", "'cars' was unexpected"),
        ("cabdraw: 1\nunits: inch", "'job' is a required property"),
    ],
)
def test_shared_parts_need_not_be_complete(text: str, wrong: str) -> None:
    found = faults(text)
    assert found == [] if not wrong else any(wrong in fault for fault in found), found


@pytest.mark.parametrize("spec", [*SPECS, *SHARED], ids=lambda spec: spec.stem)
def test_the_first_line_of_a_shipped_spec_names_it(spec: Path) -> None:
    named = spec.read_text(encoding="utf-8").splitlines()[0].removeprefix("# yaml-language-server: $schema=")
    assert (spec.parent / named).resolve() == SHIPPED
    assert spec.parent != SHIPPED.parent or named == FIRST_LINE.partition("=")[2]


@pytest.mark.parametrize("spec", BAD, ids=lambda spec: spec.stem)
def test_bad_specs_are_refused_where_one_place_is_wrong(spec: Path) -> None:
    try:
        found = faults(spec.read_text(encoding="utf-8"))
    except (UnicodeDecodeError, yaml.YAMLError):
        return  # no YAML, so no editor asks the schema
    assert (found == []) == (spec.stem in BETWEEN_PLACES | WRONG_YAML), found


def test_every_key_is_described() -> None:
    sections = {name: section for name, section in SCHEMA["$defs"].items() if "properties" in section}
    assert len(sections) > 80
    for name, section in sections.items():
        assert section.get("$comment") or section["description"], name
        for key, field in section.get("properties", {}).items():
            assert field["description"], f"{name}.{key}"
            assert "additionalProperties" in section


def test_defaults_and_examples_fit_their_key() -> None:
    seen = 0
    for section in SCHEMA["$defs"].values():
        for key, field in section.get("properties", {}).items():
            one = jsonschema.Draft202012Validator({**field, "$defs": SCHEMA["$defs"]})
            for value in (*field.get("examples", ()), *([field["default"]] if "default" in field else ())):
                seen += 1
                if isinstance(value, str):
                    value = values(value)  # an example is what is typed
                assert one.is_valid(value), (key, value)
    assert seen > 150


# --- whatever the format takes, the schema takes ---

KINDS: list[Kind[Any]] = [
    *(Single(reader) for reader in sorted(looks._LOOKS, key=repr) if "of" not in looks.look_of(reader).schema),
    *(fields.Sized("x", least, most, word) for least, most in (("0.5", "75"), ("0", "12000")) for word in ("", "fill")),
    fields.Choice(("back", "left", "ARCH A")),
]
_PIECES = (
    *"0123456789", "10", "34", "68", "100", "170", "0.02", ".5", "5.", "1/2", "3/4", "3⁄8", "½", "34½", " ", "  ", "-",
    "/", ".", "'", "''", '"', "′", "″", "in", "IN.", "inch", "Inches", "ft", "Ft.", "feet", "foot", "mm", "MM", "cm",
    "m", "lb", "lbs.", "KG", "%", "°", "deg", "degrees", "kg/m3", "g/cm^3", "lb/ft³", "ml", "fl oz", "oz.", "fill",
    "Fill", "face", "true", "Yes", "no", "auto", "1:10", '3/4" = 1\'-0"', "2026-03-02", "walnut", "Light  Gray", "#fff",
    "7a5538", "F1", "PL-2", "back", "LEFT", "arch  a", "Arch A", "us-ada", "EU", "ours.yaml", "reveal", "corner trim",
    "Car 2", "ü", "e3", "_", "null", "1e3", "\u200b", ",",
)  # fmt: skip
TEXTS = st.lists(st.sampled_from(_PIECES), min_size=1, max_size=5).map("".join)


def taken(kind: Kind[Any], text: str) -> bool:
    """Whether a kind takes a text, in inches or in mm."""
    systems: tuple[System, ...] = ("inch", "mm")
    readings = [Reading(units) for units in systems]
    for reading in readings:
        kind.read(text, (), reading)
    return not all(reading.mistakes for reading in readings)


def called(kind: Kind[Any]) -> str:
    """What a test of a kind goes by."""
    return kind.reader.__name__ if isinstance(kind, Single) else repr(kind)[:30]


@settings(max_examples=60, deadline=None)
@given(text=TEXTS)
@pytest.mark.parametrize("kind", KINDS, ids=called)
def test_whatever_a_kind_takes_the_schema_takes(kind: Kind[Any], text: str) -> None:
    if not taken(kind, text):
        return
    one = jsonschema.Draft202012Validator({**look_of_single(kind).schema, "$defs": SCHEMA["$defs"]})
    assert one.is_valid(text), text
    try:
        typed = values(text)
    except yaml.YAMLError:
        return
    # YAML's own words for nothing are the one thing that needs quotes: an editor is to see what was left blank.
    if isinstance(typed, int | float) or typed == text.strip():
        assert one.is_valid(typed), typed


def as_typed(told: Any) -> Any:
    """Values as an editor sees them, where each stands without quotes that need none."""
    if isinstance(told, dict):
        return {key: as_typed(value) for key, value in told.items()}
    if isinstance(told, list):
        return [as_typed(item) for item in told]
    try:
        typed = values(told)
    except yaml.YAMLError:
        return told
    return typed if isinstance(typed, int | float) else told


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(data=st.data(), units=st.sampled_from(["inch", "mm"]), changes=st.integers(0, 30))
def test_whatever_the_loader_takes_the_schema_takes(data: st.DataObject, units: str, changes: int) -> None:
    told = data.draw(grammar.grown(grammar.smallest(units), changes))
    validator = jsonschema.Draft202012Validator(SCHEMA)
    if validator.is_valid(told) and validator.is_valid(as_typed(told)):
        return
    with pytest.raises(BadSpec):
        loads(json.dumps(told))


def test_a_kind_of_value_that_does_not_say_how_it_looks_is_seen() -> None:
    with pytest.raises(LookupError, match="put @looks"):
        looks.look_of(lambda value: value)


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("reveal: 1/2\ncorner_gap: 1", False),
        ("- gap: 7/8\n- base: 4\n- lower: fill", False),
        ("handrail:\n  walls: [back]\n  section: {round: 1 1/2}", False),
        ("width: [68 1/8, 68]\nshell: 0.0781", False),
        ("handrail:\n  wall: [back]", True),
        ("- gap: seven", True),
        ("layout: {reveal: wide}", True),
    ],
)
def test_snippets(text: str, wrong: bool) -> None:
    assert (snippet_faults(text) != []) == wrong


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md"])
def test_snippets_of_specs_are_right(page: str) -> None:
    text = (REPOSITORY / page).read_text(encoding="utf-8")
    for snippet in re.findall(r"^```yaml\n(.*?)^```", text, re.MULTILINE | re.DOTALL):
        assert snippet_faults(snippet) == []


@pytest.mark.parametrize("wrong", WRONG, ids=lambda wrong: wrong.what)
def test_cars_that_are_wrong_are_right_as_specs(wrong: Wrong) -> None:
    assert faults(changed(wrong)) == []


# --- the command ---


def run(monkeypatch: pytest.MonkeyPatch, *typed: str) -> int:
    monkeypatch.setattr("sys.argv", ["cabdraw", "schema", *typed])
    return run_command()


def test_the_command_writes_it_and_renews_its_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(monkeypatch) == 0
    assert Path(FILE).read_text(encoding="utf-8") == schema_text()
    assert run(monkeypatch) == 0
    Path(FILE).write_text(json.dumps({"title": SCHEMA["title"], "of": "an earlier version"}))
    assert run(monkeypatch) == 0
    assert Path(FILE).read_text(encoding="utf-8") == schema_text()
    assert capsys.readouterr().out == f"{FILE}: written\n{FILE}: up to date already\n{FILE}: renewed\n"
    assert run(monkeypatch, "--out", "-") == 0
    assert capsys.readouterr().out == schema_text()
    assert run(monkeypatch, "--out", "jobs/a.json", "-q") == 0
    assert sorted(path.name for path in Path().rglob("*.*")) == ["a.json", FILE]


@pytest.mark.parametrize("held", ["somebody's work", "{}", '{"title": "mine"}', "[1]", ""])
def test_another_file_is_left_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], held: str
) -> None:
    monkeypatch.chdir(tmp_path)
    Path(FILE).write_text(held)
    assert run(monkeypatch) == 1
    assert capsys.readouterr().err == (
        f"{FILE}: nothing was written: this is something else, and may be somebody's work\n"
    )
    assert Path(FILE).read_text() == held
    Path(FILE).unlink()
    Path(FILE).symlink_to("elsewhere")
    assert run(monkeypatch) == 1
    assert "a link stands where a file belongs" in capsys.readouterr().err
    assert run(monkeypatch, "--out", "/dev/null") == 1
    assert run(monkeypatch, "--out", str(tmp_path)) == 1

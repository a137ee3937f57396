"""Finishes: from the words of a spec to parts, drawings and `resolved.json`."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cabdraw import package
from cabdraw.cab import Cab
from cabdraw.draw.elevation import elevation
from cabdraw.draw.paper import Area
from cabdraw.draw.shapes import Hatch, Polyline, Text
from cabdraw.draw.style import HATCHES, LAYERS, tint
from cabdraw.draw.swatch import finish_hatch, finish_swatch, finish_tint
from cabdraw.draw.textures import luminance
from cabdraw.finish import Finish
from cabdraw.resolve import resolve
from cabdraw.spec import loads
from cabdraw.spec.finishes import COLOURS, TEXTURES, read_colour

SPECS = Path(__file__).parent.parent / "specs"
LARKSPUR = (SPECS / "larkspur-car-2.yaml").read_text(encoding="utf-8")
BARE = LARKSPUR.partition("finishes:")[0]


def car(finishes: str = "") -> Cab:
    return resolve(loads(BARE + finishes))


@pytest.mark.parametrize(
    ("typed", "rgb"),
    [
        ("#7a5538", (122, 85, 56)),
        ("7A5538", (122, 85, 56)),
        ("#fff", (255, 255, 255)),
        ("Walnut", COLOURS["walnut"]),
        ("light  gray", COLOURS["light grey"]),
        ("#7a553", None),
        ("mauve", None),
        ("#gggggg", None),
        ("", None),
    ],
)
def test_colours_are_words_or_hex(typed: str, rgb: tuple[int, int, int] | None) -> None:
    assert read_colour(typed) == rgb


def test_codes_are_given_in_order_past_those_that_are_taken() -> None:
    made = car(
        "finishes:\n"
        "  lower: &oak {name: Oak, colour: oak, texture: wood}\n"
        "  upper: {name: White, colour: white, code: F1}\n"
        "  base: {name: Steel, colour: steel}\n"
        "  crown: *oak\n"
        "  frieze: {name: Oak, colour: oak, texture: wood}\n"
    )
    assert {band: finish.code for band, finish in made.finishes.items()} == {
        "lower": "F2", "upper": "F1", "base": "F3", "crown": "F2", "frieze": "F2",
    }  # fmt: skip
    assert [(finish.name, where) for finish, where in made.every_finish] == [
        ("Oak", ("lower", "crown", "frieze")),
        ("White", ("upper",)),
        ("Steel", ("base",)),
    ]


def test_each_part_has_the_finish_of_its_band_and_a_wall_may_differ() -> None:
    made = resolve(loads(LARKSPUR))
    codes = {part.mark: finish.code for part in made.parts if (finish := made.finish(part)) is not None}
    assert codes["lower-back-1"] == codes["backer-left"] == codes["crown-right"] == "W1"
    assert (codes["upper-back-2"], codes["upper-left-2"]) == ("M1", "P1")
    assert codes["base-back"] == codes["frieze-left"] == "S1"
    assert codes["reveal-back-1"] == codes["reveal-lower-back-1"] == codes["rail-right"] == "S2"
    assert not any(mark.startswith("spline") for mark in codes)


def test_trims_have_the_finish_of_trims() -> None:
    made = resolve(loads((SPECS / "harrow-house-car-1.yaml").read_bytes()))
    assert {finish.code for trim in made.trims if (finish := made.finish(trim))} == {"F2"}


@pytest.mark.parametrize("name", ["larkspur-car-2", "harrow-house-car-1", "orchard-street-service-car"])
def test_everything_that_shows_in_a_shipped_car_has_a_finish(name: str) -> None:
    made = resolve(loads((SPECS / f"{name}.yaml").read_bytes()))
    assert [part.mark for part in made.parts if part.visible is not None and made.finish(part) is None] == []


def test_finishes_change_no_size() -> None:
    plain, finished = car(), resolve(loads(LARKSPUR))
    assert (plain.walls, plain.trims, plain.clear) == (finished.walls, finished.trims, finished.clear)
    assert (plain.finishes, plain.wall_finishes, plain.every_finish) == ({}, {}, ())


def test_resolved_json_names_finishes_and_what_each_part_has() -> None:
    made = resolve(loads(LARKSPUR))
    resolved = json.loads(package.build(made, ())["resolved.json"])
    assert resolved["finishes"][0] == {
        "code": "W1", "name": "Cherry", "material": "high-pressure laminate", "colour": "#9e5e3e", "texture": "wood",
        "fire": "report LC-FT-7", "where": ["lower", "backer", "crown"],
    }  # fmt: skip
    assert resolved["finishes"][-1]["where"] == ["upper (back)"]
    finishes = {part["mark"]: part["finish"] for part in resolved["parts"]}
    assert (finishes["upper-back-1"], finishes["spline-back-1"]) == ("M1", None)


def finish(texture: str, colour: tuple[int, int, int] = (40, 30, 20)) -> Finish:
    return Finish("F1", "Anything", None, colour, "", texture, None)  # type: ignore[arg-type]


def test_every_texture_has_its_own_hatch_of_the_style_table() -> None:
    hatches = {texture: finish_hatch(finish(texture)) for texture in TEXTURES}
    assert hatches.pop("plain") == ""
    assert len(set(hatches.values())) == len(hatches)
    assert set(hatches.values()) <= set(HATCHES)
    assert finish_hatch(finish("wood"), upright=False) in HATCHES
    assert finish_hatch(finish("wood"), upright=False) != hatches["wood"]


@pytest.mark.parametrize("texture", TEXTURES)
def test_a_swatch_keeps_to_its_area_and_hatches_white_paper(texture: str) -> None:
    area = Area(10.0, 20.0, 30.0, 28.0)
    shapes = finish_swatch(finish(texture), area)
    fills = [shape.fill for shape in shapes if isinstance(shape, Polyline)]
    assert fills == ["#281e14", "paper"]
    hatched = [ring for shape in shapes if isinstance(shape, Hatch) for ring in shape.rings]
    points = [point for shape in shapes if isinstance(shape, Polyline) for point in shape.points]
    points += [point for ring in hatched for point in ring]
    assert {x for x, _ in points} == {10.0, 20.0, 30.0}
    assert {y for _, y in points} == {20.0, 28.0}
    assert all(x >= 20.0 for ring in hatched for x, _ in ring)
    assert {shape.layer for shape in shapes} <= set(LAYERS)


@pytest.mark.parametrize("colour", [(0, 0, 0), *COLOURS.values()])
def test_a_tint_leaves_black_lines_legible_in_black_and_white(colour: tuple[int, int, int]) -> None:
    fill = tint(finish_tint(finish("plain", colour)))
    assert fill is not None
    assert luminance(fill) >= 0.75


def test_an_elevation_shows_finishes_by_tint_and_by_code() -> None:
    made = resolve(loads(LARKSPUR))
    sheet = elevation(made, "back", ())
    fills = {s.mark: s.fill for s in sheet.views[0].shapes if isinstance(s, Polyline) and s.mark}
    assert fills["lower-back-1"] == fills["crown-back"] == finish_tint(made.finishes["lower"])
    assert fills["rail-back"] == finish_tint(made.finishes["rail"])
    words = [shape.text for _, shape in sheet.shapes() if isinstance(shape, Text)]
    assert words.count("M1") == 3
    assert {"W1  Cherry", "M1  Grey mirror", "S2  Bronze"} <= set(words)
    assert "P1  Ivory linen" not in words


def test_without_finishes_an_elevation_is_tinted_by_what_a_part_is() -> None:
    sheet = elevation(car(), "back", ())
    fills = {s.mark: s.fill for s in sheet.views[0].shapes if isinstance(s, Polyline) and s.mark}
    assert (fills["lower-back-1"], fills["base-back"], fills["rail-back"]) == ("board", "metal", "rail")


def test_a_colour_for_a_fill_is_six_digits() -> None:
    assert tint("#7a5538") == (122, 85, 56)
    assert tint("board") is not None
    assert tint("#7a553") is None
    assert tint("nothing") is None

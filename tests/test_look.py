"""The look of a wall: in its finishes, legible, the same each time, and drawn by other programs."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from collections.abc import Iterator
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest
from ezdxf import recover
from legible import texts_that_meet, words
from PIL import Image, ImageStat
from pypdf import PdfReader
from readers import need, run

from cabdraw import package
from cabdraw.cab import Cab
from cabdraw.draw.look import look, wall_finishes, walls_with_finishes
from cabdraw.draw.scene import scene
from cabdraw.draw.shapes import XY, Gradient, Painted, Sheet, Strands, Text, View
from cabdraw.draw.textures import Box, mixed, shade, texture
from cabdraw.errors import Finding
from cabdraw.finish import Finish
from cabdraw.resolve import resolve
from cabdraw.spec import loads
from cabdraw.spec.schema import SHEET_SIZES
from cabdraw.write.dxf import drawing_bytes
from cabdraw.write.ink import curves
from cabdraw.write.pdf import pdf_bytes
from cabdraw.write.svg import svg_bytes

SPECS = Path(__file__).parent.parent / "specs"
FINISHED = ("larkspur-car-2", "harrow-house-car-1", "orchard-street-service-car")
SVG = "{http://www.w3.org/2000/svg}"
BOX: Box = (100.0, 200.0, 700.0, 1900.0)
HOSTILE = "</text><script>alert(1)</script> & \"quotes\" 'n' ]]>"


def car(name: str = "larkspur-car-2", **changes: str) -> Cab:
    text = (SPECS / f"{name}.yaml").read_text(encoding="utf-8")
    for old, new in changes.items():
        assert old in text
        text = text.replace(old, new)
    return resolve(loads(text))


def finish(kind: str, colour: tuple[int, int, int] = (112, 80, 58)) -> Finish:
    return Finish("F1", "Anything", None, colour, "", kind, None)  # type: ignore[arg-type]


def points(shape: object) -> Iterator[XY]:
    if isinstance(shape, Painted):
        yield from (point for ring in shape.rings for point in ring)
    elif isinstance(shape, Strands):
        yield from (point for course in shape.runs for point in course)


def directions(shapes: list[object]) -> tuple[float, float]:
    """How far fine lines go across and up, in all."""
    across = up = 0.0
    for shape in shapes:
        if isinstance(shape, Strands):
            for course in shape.runs:
                for a, b in pairwise(course):
                    across, up = across + abs(b[0] - a[0]), up + abs(b[1] - a[1])
    return across, up


@pytest.mark.parametrize("kind", ["plain", "wood", "brushed", "stone", "mirror"])
@pytest.mark.parametrize("upright", [True, False])
def test_a_texture_keeps_to_its_piece(kind: str, upright: bool) -> None:
    shapes = texture(finish(kind), BOX, upright, "lower-back-1")
    left, low, right, high = BOX
    for shape in shapes:
        for x, y in points(shape):
            assert left - 1e-6 <= x <= right + 1e-6
            assert low - 1e-6 <= y <= high + 1e-6
    assert isinstance(shapes[0], Painted)


@pytest.mark.parametrize("kind", ["wood", "brushed"])
def test_grain_and_brush_run_the_way_they_are_told(kind: str) -> None:
    across, up = directions([*texture(finish(kind), BOX, True, "a")])
    assert up > 5 * across
    across, up = directions([*texture(finish(kind), BOX, False, "a")])
    assert across > 5 * up


def test_pieces_differ_and_each_is_the_same_every_time() -> None:
    first = texture(finish("wood"), BOX, True, "lower-back-1")
    assert texture(finish("wood"), BOX, True, "lower-back-1") == first
    assert texture(finish("wood"), BOX, True, "lower-back-2") != first


def test_colours_mix_and_shade() -> None:
    assert mixed((0, 0, 0), (200, 100, 50), 0.5) == (100, 50, 25)
    assert shade((100, 100, 100), -0.5) == (50, 50, 50)
    assert shade((155, 155, 155), 0.5) == (205, 205, 205)


def test_panels_show_the_grain_of_the_layout() -> None:
    upright = car()
    level = car(**{"edge: 0.02}": "edge: 0.02, grain: horizontal}"})
    for made, is_upright in ((upright, True), (level, False)):
        wall = made.walls["left"]
        panel = next(part for part in wall.parts if part.mark == "lower-left-1")
        assert panel.visible is not None
        box = (float(panel.visible.x), float(panel.visible.y), float(panel.visible.right), float(panel.visible.top))
        lower = made.finish(panel)
        assert lower is not None
        wanted = [shape for shape in texture(lower, box, is_upright, panel.mark) if isinstance(shape, Strands)]
        drawn = scene(made, wall)
        assert wanted
        assert all(shape in drawn for shape in wanted)


def test_only_walls_with_a_finish_are_shown() -> None:
    assert walls_with_finishes(car()) == ("back", "left", "right")
    assert walls_with_finishes(car("quayside-lift-b")) == ()
    bare = (SPECS / "larkspur-car-2.yaml").read_text(encoding="utf-8").partition("finishes:")[0]
    one = resolve(loads(bare + "finishes: {walls: {back: {upper: {name: Mirror, colour: white, texture: mirror}}}}"))
    assert walls_with_finishes(one) == ("back",)
    files = package.build(one, ())
    assert sorted(path for path in files if "look" in path) == ["drawings/look-back.svg"]


def test_the_legend_names_what_shows_on_the_wall_and_nothing_else() -> None:
    made = car()
    back = [(item.code, bands) for item, bands in wall_finishes(made, made.walls["back"])]
    assert back == [
        ("W1", ["lower", "backer", "crown"]),
        ("S1", ["base", "frieze"]),
        ("S2", ["reveal", "rail"]),
        ("M1", ["upper"]),
    ]
    left = look(made, "left", ())
    texts = [shape.text for _, shape in left.shapes() if isinstance(shape, Text)]
    assert {"Larkspur Court", "Car 2", "Left wall", "Ivory linen", "Cherry", "Bronze"} <= set(texts)
    assert "Grey mirror" not in texts
    assert "Colours on screen or paper are not samples" in " ".join(texts)
    # Once in the legend and once at each band that has it.
    assert texts.count("P1") == 2
    assert texts.count("W1") == 4


def test_a_car_that_stops_fabrication_says_so_here_too() -> None:
    stops = Finding("too-narrow", "error", "Too narrow.", ("layout",), "Use fewer.", "fabrication")
    made = car()
    said = [shape.text for _, shape in look(made, "back", (stops,)).shapes() if isinstance(shape, Text)]
    assert "NOT FOR FABRICATION" in said
    assert "NOT FOR FABRICATION" not in [s.text for _, s in look(made, "back", ()).shapes() if isinstance(s, Text)]


@pytest.mark.parametrize("size", SHEET_SIZES)
@pytest.mark.parametrize("name", FINISHED)
def test_texts_keep_clear_of_each_other_on_every_paper(name: str, size: str) -> None:
    text = (SPECS / f"{name}.yaml").read_text(encoding="utf-8").partition("sheet:")
    made = resolve(loads(f"{text[0]}\nsheet: {{size: {size}}}\n{text[2].partition(chr(10))[2]}"))
    assert made.sheet.size == size
    for wall in walls_with_finishes(made):
        sheet = look(made, wall, ())
        assert list(texts_that_meet(sheet)) == []
        for word in words(sheet):
            left, low, right, high = word.box
            assert min(left, low) > 5.0
            assert right < sheet.width - 5.0
            assert high < sheet.height - 5.0


def test_many_finishes_are_all_named_on_the_smallest_paper() -> None:
    text = (SPECS / "orchard-street-service-car.yaml").read_text(encoding="utf-8").replace("size: A2", "size: A4")
    before, _, rest = text.partition("finishes:\n")
    bands = ("lower", "middle", "upper", "backer", "bumper", "crown", "base", "frieze", "reveal", "rail")
    each = "".join(f"  {band}: {{name: Finish of the {band}, colour: oak}}\n" for band in bands)
    made = resolve(loads(f"{before}finishes:\n{each}{rest[rest.index('fixings:') :]}"))
    sheet = look(made, "left", ())
    said = " ".join(word.text for word in words(sheet))
    assert all(f"F{number} " in said and f"Finish of the {band}" in said for number, band in enumerate(bands, 1))
    assert list(texts_that_meet(sheet)) == []


def test_the_picture_stays_clear_of_the_column() -> None:
    made = car()
    for wall in made.walls:
        sheet = look(made, wall, ())
        view = sheet.views[0]
        (left, low), (right, high) = view.window
        placed = [view.on_paper(point) for shape in view.shapes for point in points(shape)]
        assert left <= min(x for x, _ in placed)
        assert max(x for x, _ in placed) <= right
        assert low - 1e-6 <= min(y for _, y in placed)
        assert max(y for _, y in placed) <= high + 1e-6


def hostile() -> Cab:
    return car(**{
        "project: Larkspur Court": f"project: '{HOSTILE.replace(chr(39), chr(39) * 2)}'",
        "name: Cherry": f"name: '{HOSTILE.replace(chr(39), chr(39) * 2)}'",
        "material: high-pressure laminate\n": f"material: '{HOSTILE.replace(chr(39), chr(39) * 2)}'\n",
    })  # fmt: skip


def test_svg_is_well_formed_whatever_is_typed() -> None:
    sheet = look(hostile(), "left", ())
    root = ElementTree.fromstring(svg_bytes(sheet))
    assert not [element for element in root.iter() if element.tag.endswith("script")]
    assert "<script>" in (root.findtext(f"{SVG}title") or "")
    assert list(texts_that_meet(sheet)) == []


def test_every_gradient_is_there_once_and_used() -> None:
    root = ElementTree.fromstring(svg_bytes(look(car(), "back", ())))
    names = [element.get("id") for element in root.iter(f"{SVG}linearGradient")]
    used = {element.get("fill", "") for element in root.iter(f"{SVG}path")}
    assert len(names) == len(set(names)) > 10
    assert {f"url(#{name})" for name in names} == {fill for fill in used if fill.startswith("url")}
    assert not list(root.iter(f"{SVG}image"))


PROGRAM = """
import hashlib, sys
from pathlib import Path
from cabdraw.draw.look import look
from cabdraw.resolve import resolve
from cabdraw.spec import loads
from cabdraw.write.svg import svg_bytes
made = resolve(loads(Path(sys.argv[1]).read_bytes()))
print(hashlib.sha256(b"".join(svg_bytes(look(made, wall, ())) for wall in made.walls)).hexdigest())
"""


def test_bytes_do_not_follow_the_hash_seed() -> None:
    spec = SPECS / "larkspur-car-2.yaml"
    found = set()
    for seed in ("1", "77"):
        done = subprocess.run(
            [sys.executable, "-c", PROGRAM, str(spec)],
            env={**os.environ, "PYTHONHASHSEED": seed}, capture_output=True, check=True, timeout=90,
        )  # fmt: skip
        found.add(done.stdout)
    made = resolve(loads(spec.read_bytes()))
    here = hashlib.sha256(b"".join(svg_bytes(look(made, wall, ())) for wall in made.walls)).hexdigest()
    assert found == {f"{here}\n".encode()}


def checked_picture(image: Image.Image, sheet: Sheet, made: Cab) -> None:
    """The middle of a lower panel is cherry, of a mirror grey, and the paper's corner is white."""
    view = sheet.views[0]
    across, down = image.width / sheet.width, image.height / sheet.height

    def colour(mark: str) -> tuple[float, ...]:
        rect = next(part.visible for part in made.parts if part.mark == mark)
        assert rect is not None
        x, y = view.on_paper((float(rect.centre.x), float(rect.centre.y)))
        middle = (round(x * across), round((sheet.height - y) * down))
        patch = image.convert("RGB").crop((middle[0] - 20, middle[1] - 20, middle[0] + 20, middle[1] + 20))
        return tuple(ImageStat.Stat(patch).mean)

    for mark in ("lower-back-2", "upper-back-2"):
        part = next(part for part in made.parts if part.mark == mark)
        own = made.finish(part)
        assert own is not None
        assert all(abs(seen - wanted) < 32 for seen, wanted in zip(colour(mark), own.colour, strict=True))
    assert image.convert("RGB").getpixel((5, 5)) == (255, 255, 255)


def test_librsvg_shows_the_finishes(tmp_path: Path) -> None:
    made = car()
    sheet = look(made, "back", ())
    (tmp_path / "look.svg").write_bytes(svg_bytes(sheet))
    run(tmp_path, "rsvg-convert", "-d", "100", "-p", "100", "-o", "look.png", "look.svg")
    with Image.open(tmp_path / "look.png") as image:
        checked_picture(image, sheet, made)


def test_chromium_shows_the_finishes(tmp_path: Path) -> None:
    made = car()
    sheet = look(made, "back", ())
    (tmp_path / "look.svg").write_bytes(svg_bytes(sheet))
    size = (round(sheet.width / 25.4 * 96), round(sheet.height / 25.4 * 96))
    run(
        tmp_path, "chromium", "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars",
        "--screenshot=look.png", f"--window-size={size[0]},{size[1]}", "look.svg",
    )  # fmt: skip
    with Image.open(tmp_path / "look.png") as image:
        checked_picture(image, sheet, made)


def test_poppler_shows_the_finishes_from_pdf(tmp_path: Path) -> None:
    need("pdftoppm")
    made = car()
    sheet = look(made, "back", ())
    (tmp_path / "look.pdf").write_bytes(pdf_bytes([sheet]))
    run(tmp_path, "pdftoppm", "-r", "100", "-png", "-singlefile", "look.pdf", "look")
    with Image.open(tmp_path / "look.png") as image:
        checked_picture(image, sheet, made)


def painted() -> Sheet:
    """An area with a hole in a gradient, one that is half seen through, and fine lines."""
    corners: tuple[XY, ...] = ((0.0, 0.0), (1000.0, 0.0), (1000.0, 500.0), (0.0, 500.0))
    hole: tuple[XY, ...] = ((400.0, 200.0), (600.0, 200.0), (600.0, 300.0), (400.0, 300.0))
    run = Gradient((0.0, 0.0), (1000.0, 0.0), ((0.0, (0, 0, 0)), (1.0, (200, 100, 50))))
    shapes = (
        Painted("FINISH", (corners, hole), run),
        Painted("FINISH", (corners,), (255, 0, 0), 0.5),
        Strands(
            "FINISH", (((0.0, 0.0), (500.0, 40.0), (1000.0, 0.0)), ((0.0, 9.0), (9.0, 9.0))), (0, 0, 255), 10.0, 0.5
        ),
    )
    return Sheet("painted", "Painted", 120.0, 70.0, (), (View("it", 0.1, (10.0, 10.0), shapes),))


def test_svg_paints_in_order_with_opacity_and_smooth_lines() -> None:
    root = ElementTree.fromstring(svg_bytes(painted()))
    first, second, lines = root.iter(f"{SVG}path")
    assert first.get("fill", "").startswith("url(#painted-paint-")
    assert first.get("fill-rule") == "evenodd"
    assert (second.get("fill"), second.get("fill-opacity")) == ("#ff0000", "0.5")
    assert (lines.get("stroke"), lines.get("stroke-width"), lines.get("stroke-opacity")) == ("#0000ff", "1", "0.5")
    course = lines.get("d", "")
    assert (course.count("M"), course.count("C"), course.count("L")) == (2, 2, 1)


def test_pdf_holds_gradient_and_opacity() -> None:
    page = PdfReader(BytesIO(pdf_bytes([painted()])), strict=True).pages[0]
    resources = page["/Resources"]
    assert resources["/Shading"]  # type: ignore[index]
    alphas = {float(state["/ca"]) for state in resources["/ExtGState"].values() if "/ca" in state}  # type: ignore[index]
    assert 0.5 in alphas


def test_dxf_holds_paint_as_solid_areas_and_lines() -> None:
    doc, auditor = recover.read(BytesIO(drawing_bytes(painted(), "mm")))
    assert (auditor.errors, auditor.fixes) == ([], [])
    hatches = doc.modelspace().query("HATCH")
    assert [hatch.rgb for hatch in hatches] == [(100, 50, 25), (255, 0, 0)]
    assert [round(hatch.transparency, 1) for hatch in hatches] == [0.0, 0.5]
    assert len(doc.modelspace().query("LWPOLYLINE")) == 2


def test_curves_pass_through_their_points() -> None:
    course: list[XY] = [(0.0, 0.0), (10.0, 5.0), (20.0, 0.0)]
    made = list(curves(course))
    assert [end for _, _, end in made] == course[1:]
    # The tangent in the middle is level, as the points on either side are.
    assert made[0][1][1] == made[1][0][1] == 5.0

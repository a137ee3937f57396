"""The guide in docs/: what its pages say is so, and what they show comes out."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from conftest import REPOSITORY, SPECS
from guide import DOCS, PAGES, RENEW, Desk, snippets
from guide_parts import PARTS, made, renewed
from make_pictures import GUIDE, KEY, PICTURES, digest, sheet
from PIL import Image

from cabdraw.cli.app import app
from cabdraw.draw.flat import flat
from cabdraw.package import build, look, look_at
from cabdraw.shop.parts import shop_parts
from cabdraw.shop_package import cleared
from cabdraw.spec import load_cars

RECIPES = sorted((DOCS / "recipes").glob("*.yaml"))


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_snippets_are_so(page: Path, tmp_path: Path) -> None:
    desk = Desk(tmp_path / "desk")
    wrong = [f"{snippet.where}: {said}" for snippet in snippets(page) for said in desk.run(snippet)]
    assert not wrong, "\n".join(wrong)


def test_the_program_in_the_readme_runs(tmp_path: Path) -> None:
    desk = Desk(tmp_path / "desk")
    (program,) = (snippet for snippet in snippets(REPOSITORY / "README.md") if snippet.language == "python")
    assert desk.run(program) == []
    assert 'lower-back-1 21 5/32" x 25 5/8"\n' in desk.said


@pytest.mark.parametrize("name", PARTS)
def test_parts_that_the_tool_makes_are_as_it_makes_them(name: str) -> None:
    page = PARTS[name]
    now = renewed(page, name, made(name))
    if RENEW:
        page.write_text(now, encoding="utf-8")
    assert page.read_text(encoding="utf-8") == now, "make it anew: CABDRAW_RENEW=1"


@pytest.mark.parametrize("recipe", RECIPES, ids=lambda path: path.stem)
def test_each_recipe_is_drawn_and_nothing_is_wrong_with_it(recipe: Path) -> None:
    text = recipe.read_text(encoding="utf-8")
    assert text.startswith("# ")
    if recipe.stem != "shop-defaults":
        assert f"recipes/{recipe.name}" in (DOCS / "recipes.md").read_text(encoding="utf-8")
        for document in load_cars(recipe):
            looked = look_at(document)
            assert looked.status == 0
            assert "resolved.json" in build(looked.cab, looked.findings)


def test_every_command_has_its_help_on_its_page() -> None:
    page = (DOCS / "commands.md").read_text(encoding="utf-8")
    names = {command.name or getattr(command.callback, "__name__", "") for command in app.registered_commands}
    assert names >= {"draw", "check", "compare", "survey", "rules"}
    assert set(re.findall(r"^## `cabdraw ([\w-]+)`$", page, re.MULTILINE)) == names
    assert set(re.findall(r"^cabdraw ([\w-]+) --help$", page, re.MULTILINE)) == names


def test_every_layer_of_a_flat_is_told() -> None:
    told = re.findall(r"`([A-Z][A-Z_0-9.…<>a-z]*)`", (DOCS / "cam.md").read_text(encoding="utf-8"))
    patterns = [re.compile(re.sub(r"<\w+>", "[0-9.A-Z]+", name).replace("…", ".*")) for name in told]
    specs = [*SPECS, DOCS / "recipes" / "metal.yaml"]
    seen: set[str] = set()
    for spec in specs:
        looked = look(spec)
        for part in shop_parts(looked.cab, cleared(looked.cab, looked.findings)):
            drawing = flat(looked.cab, part)
            seen |= set(drawing.layers) if drawing is not None else set()
    assert len(seen) > 10
    assert {layer for layer in seen if not any(pattern.fullmatch(layer) for pattern in patterns)} == set()


def headings(page: Path) -> set[str]:
    """The anchors of a page's headings, by the rule that Markdown's hosts share."""
    titles = re.findall(r"^#+ (.*)$", page.read_text(encoding="utf-8"), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", title.replace("`", "").strip().lower()).replace(" ", "-") for title in titles}


@pytest.mark.parametrize("page", [*PAGES, REPOSITORY / "README.md", REPOSITORY / "DEVELOPERS.md"], ids=lambda p: p.stem)
def test_links_lead_somewhere(page: Path) -> None:
    dead = []
    for target, anchor in re.findall(r"\]\(([^)#\s]*)(#[^)\s]*)?\)", page.read_text(encoding="utf-8")):
        path = page.parent / target if target else page
        if not target.startswith("https://") and (
            not path.exists() or (anchor and path.suffix == ".md" and anchor[1:] not in headings(path))
        ):
            dead.append(target + anchor)
    assert dead == []


def test_every_picture_is_shown_and_every_page_is_in_the_guide() -> None:
    text = "".join(page.read_text(encoding="utf-8") for page in PAGES)
    for name in GUIDE:
        assert f"pictures/{name}.png" in text
    shown = set(re.findall(r"pictures/([\w-]+)\.png", text))
    assert {f"{name}.png" for name in shown} <= {path.name for path in (DOCS / "pictures").iterdir()}
    listed = set(re.findall(r"^([\w-]+)$", (DOCS / "index.md").read_text(encoding="utf-8"), re.MULTILINE))
    assert {page.stem for page in PAGES} - {"index"} == listed


@pytest.mark.parametrize("name", GUIDE)
def test_pictures_show_what_is_drawn_now(name: str) -> None:
    with Image.open(PICTURES / f"{name}.png") as image:
        assert image.info[KEY] == digest(sheet(name)), "make them anew: python tests/make_pictures.py"


def test_pictures_are_not_large() -> None:
    sizes = {path.name: path.stat().st_size for path in (DOCS / "pictures").iterdir()}
    assert {name: size for name, size in sizes.items() if size > 120_000} == {}
    assert sum(sizes.values()) < 1_500_000


def test_pages_are_no_wider_than_the_code() -> None:
    for page in PAGES:
        lines = re.sub(r"```.*?```", "", page.read_text(encoding="utf-8"), flags=re.DOTALL).splitlines()
        assert [line for line in lines if len(line) > 120 and not line.startswith(("|", "!["))] == []

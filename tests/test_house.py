"""The rules of the house, read from the code: who may import whom, and where each library may be used."""

from __future__ import annotations

import ast
import contextlib
import re
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from ending import Endless, comes_to_an_end

HOUSE = Path(__file__).parent.parent / "cabdraw"

#: What each room may import; a room is a file or a folder right inside cabdraw, or one that is named here.
MAY: dict[str, set[str]] = {
    "__init__": {"api", "spec", "cab", "package", "place", "print_scale", "units", "errors"},
    "api": {"spec", "cab", "resolve", "package", "print_scale"},
    "frozen": set(),
    "rational": set(),
    "units": set(),
    "errors": set(),
    "fonts": set(),
    "rule": set(),
    "once": set(),
    "short": set(),
    "stop": set(),
    "spec": {"units", "errors", "cab", "rule", "install/practice"},
    "finish": set(),
    "rail": {"units"},
    "print_scale": set(),
    "cab": {"units", "finish", "rail", "rule", "install/practice", "shop/practice", "shop/stock"},
    "install/practice": {"units"},
    "install/order": {"cab", "units"},
    "shop/practice": {"units"},
    "shop/stock": {"units"},
    "resolve": {"spec", "cab", "finish", "install/order", "install/practice", "once", "stop",
                "shop/practice", "shop/stock", "units", "errors"},
    "explain": {"cab", "errors", "resolve", "spec", "units"},
    "check": {"shop/stock", "cab", "rule", "resolve", "shop", "install", "units", "errors"},
    "shop": {"cab", "finish", "once", "shop/practice", "shop/stock", "units"},
    "install": {"cab", "install/order", "install/practice", "once", "shop", "units"},
    "draw/shapes": set(),
    "draw/loops": {"draw/shapes"},
    "draw/style": set(),
    "draw/measure": {"draw/shapes", "draw/style", "fonts"},
    "draw/strokes": {"draw/shapes", "draw/style", "draw/measure"},
    "draw": {"shop/stock", "draw/shapes", "draw/page", "draw/loops", "draw/style", "draw/measure", "draw/strokes",
             "cab", "finish",
             "compare", "print_scale", "shop", "install", "install/order",
             "install/practice", "survey", "units", "errors"},
    "draw/page": {"draw/shapes"},
    "write": {"draw/shapes", "draw/page", "draw/loops", "draw/style", "draw/measure", "draw/strokes", "units"},
    "compare": {"cab", "finish", "rail", "units"},
    "survey": set(),
    "report": {"cab", "draw", "draw/page", "draw/shapes", "shop", "install", "errors", "units"},
    "record": {"shop", "cab", "finish", "install", "errors", "units"},
    "site_package": {"cab", "resolve", "shop", "install", "install/order", "draw", "draw/shapes", "write", "errors",
                     "units"},
    "place": {"stop"},
    "looked": {"spec", "cab", "resolve", "check", "errors"},
    "package": {"looked", "shop_package", "site_package", "spec", "cab", "compare", "shop", "install", "draw",
                "draw/shapes", "write", "record",
                "report", "place", "print_scale", "survey", "units", "errors"},
    "shop_package": {"cab", "shop", "shop/stock", "draw", "draw/loops", "write", "errors", "units"},
    "bug": {"__init__"},
    "progress": {"compare", "looked", "place", "bug", "errors", "short", "stop", "units"},
    "start": {"errors", "place", "resolve", "spec", "survey", "units", "write"},
    "examples": set(),
    "complete": {"spec", "cab", "errors", "units"},
    "preview": {"spec", "cab", "resolve", "check", "explain", "draw", "draw/page", "write", "shop", "site_package",
                "report",
                "bug", "errors", "units"},
    "__main__": {"cli"},
    "cli": {"__init__", "bug", "cab", "compare", "complete", "errors", "examples", "explain", "looked",
            "package", "place", "preview", "print_scale", "progress", "resolve", "short", "spec", "start", "stop"},
}  # fmt: skip

#: What values are made of; any room may import it.
EVERYWHERE = {"frozen", "rational"}

#: Where each library may be used, and what of Python's own has a place.
LIBRARIES: dict[str, tuple[str, ...]] = {
    "msgspec": ("frozen",),
    "fractions": ("rational",),
    "yaml": ("spec/source",),
    "ezdxf": ("write/dxf",),
    "svgwrite": ("write/svg",),
    "reportlab": ("write/pdf",),
    "typer": ("cli/",),
    "xlsxwriter": ("write/workbook",),
    "openpyxl": ("start/workbook",),
    "shapely": ("resolve/cutting",),
    "fontTools": ("fonts/widths",),
    "segno": ("draw/qr",),
    "numpy": ("check/tolerance",),
}

FILES = sorted(path.relative_to(HOUSE).with_suffix("").as_posix() for path in HOUSE.rglob("*.py"))


def imported(tree: ast.AST, module: str) -> Iterator[str]:
    """Every module that a file imports, also inside functions, by its full name."""
    package = ["cabdraw", *module.split("/")[:-1]]
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            start = package[: len(package) - node.level + 1] if node.level else []
            base = ".".join([*start, *([node.module] if node.module else [])])
            for alias in node.names:
                inside = HOUSE.parent / Path(*base.split("."), alias.name)
                yield f"{base}.{alias.name}" if inside.with_suffix(".py").exists() or inside.is_dir() else base


def room(module: str) -> str:
    """The room that a file belongs to."""
    return module if module in MAY else module.split("/")[0]


def target(name: str) -> str:
    """The room that an imported module of ours belongs to."""
    return room("/".join(name.split(".")[1:]) or "__init__")


def faults(module: str, text: str) -> list[str]:
    """What a file imports against the rules."""
    found = []
    for name in imported(ast.parse(text), module):
        top = name.split(".")[0]
        if top == "cabdraw":
            here, there = room(module), target(name)
            if there not in MAY[here] | EVERYWHERE | {here}:
                found.append(f"{module} imports {name}, and {here} may not import {there}")
        elif (top in LIBRARIES or top not in sys.stdlib_module_names) and not module.startswith(LIBRARIES.get(top, ())):
            found.append(f"{module} imports {name}, which belongs in {', '.join(LIBRARIES.get(top, ('no room',)))}")
    return found


@pytest.mark.parametrize("module", FILES)
def test_imports_run_one_way(module: str) -> None:
    assert room(module) in MAY, f"{module} is in no room that the table knows"
    assert faults(module, (HOUSE / f"{module}.py").read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("module", FILES)
def test_a_file_is_one_room(module: str) -> None:
    assert (
        len((HOUSE / f"{module}.py").read_text(encoding="utf-8").splitlines()) <= 480
    )  # much over 400 lines is two rooms


@pytest.mark.parametrize("module", FILES)
def test_names_say_what_is_in_the_room(module: str) -> None:
    vague = {"utils", "util", "helpers", "helper", "common", "manager", "base", "misc"}
    assert vague.isdisjoint(module.split("/"))


def test_work_that_does_not_end_is_seen_whatever_it_catches() -> None:
    def endless() -> None:
        while True:
            with contextlib.suppress(Exception):
                sum(range(1000))

    with pytest.raises(Endless, match="does not end"), comes_to_an_end(0.05):
        endless()


def test_no_test_measures_time() -> None:
    """A machine that is busy fails no test: how fast it is, the benchmarks tell; that work ends, `ending.py`."""
    for path in HOUSE.parent.glob("tests/*.py"):
        measured = re.findall(r"(?:time|perf_counter|monotonic)\(\) - \w+ <", path.read_text(encoding="utf-8"))
        assert not measured, path.name


@pytest.mark.parametrize(
    ("module", "text"),
    [
        ("units", "import cabdraw.cab"),
        ("cab", "from cabdraw.spec.schema import Spec"),
        ("cab", "from cabdraw import record"),
        ("draw/elevation", "def draw():\n    from cabdraw.write.svg import svg_bytes"),
        ("draw/shapes", "from cabdraw.units import Length"),
        ("draw/elevation", "from cabdraw.resolve.chain import solve"),
        ("write/dxf", "from cabdraw.cab import Cab"),
        ("write/dxf", "from ..cab import Cab"),
        ("place/put", "from cabdraw.errors import BadSpec"),
        ("shop/parts", "from cabdraw.install import blocks"),
        ("spec/schema", "import yaml"),
        ("write/pdf", "import ezdxf"),
        ("package", "import typer"),
        ("check/fit", "import numpy"),
        ("check/fit", "from fractions import Fraction"),
    ],
)
def test_an_arrow_against_the_table_is_seen(module: str, text: str) -> None:
    assert len(faults(module, text)) == 1


@pytest.mark.parametrize(
    ("module", "text"),
    [
        ("cab", "from cabdraw.units import Length"),
        ("place/put", "from cabdraw.place import disk"),
        ("write/dxf_shapes", "import ezdxf"),
        ("resolve/cutting", "from shapely.geometry import box"),
        ("cli/app", "from cabdraw import __version__"),
    ],
)
def test_an_arrow_that_the_table_has_is_not(module: str, text: str) -> None:
    assert faults(module, text) == []

"""`import cabdraw`: what programs call, its examples, and that it is there at once and typed."""

from __future__ import annotations

import doctest
import inspect
import json
import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import mypy.api
import pytest
from conftest import REPOSITORY, SPECS

import cabdraw
from cabdraw import api, spec
from cabdraw.package import Drawn


@pytest.fixture(autouse=True)
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder to work in, with the shipped specs."""
    (tmp_path / "specs").mkdir()
    for path in SPECS:
        (tmp_path / "specs" / path.name).write_bytes(path.read_bytes())
    monkeypatch.chdir(tmp_path)


LARKSPUR = "specs/larkspur-car-2.yaml"


def alone(program: str) -> str:
    """What a program says in a process of its own."""
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True, timeout=60)
    return done.stdout


@pytest.mark.parametrize("name", ["load", "resolve", "draw"])
def test_each_has_an_example_which_is_so(name: str) -> None:
    function = getattr(api, name)
    found = doctest.DocTestFinder(recurse=False).find(function, name, module=api, globs={})
    assert sum(len(test.examples) for test in found) >= 2
    for test in found:
        assert doctest.DocTestRunner().run(test).failed == 0


def test_every_argument_and_every_refusal_is_documented() -> None:
    for name in ("load", "resolve", "draw"):
        function = getattr(api, name)
        told = inspect.getdoc(function) or ""
        if name != "resolve":
            for argument in inspect.signature(function).parameters:
                assert f"    {argument}: " in told
        assert "Raises:" in told
        assert "BadSpec: " in told


def test_nothing_is_loaded_before_it_is_asked_for() -> None:
    loaded = alone("import sys, cabdraw; print(*sys.modules)").split()
    assert [name for name in loaded if name.startswith("cabdraw")] == ["cabdraw"]
    assert {"yaml", "typer", "shapely", "ezdxf"}.isdisjoint(loaded)
    loaded = alone(f"import sys, cabdraw; cabdraw.load({str(SPECS[0])!r}); print(*sys.modules)").split()
    assert {"ezdxf", "shapely", "reportlab", "cabdraw.draw"}.isdisjoint(loaded)


def test_every_name_is_there() -> None:
    for name in cabdraw.__all__:
        assert getattr(cabdraw, name) is not None
        assert name in dir(cabdraw)
    for name in ("Cab", "Document", "Drawn"):
        assert inspect.isclass(getattr(cabdraw, name))
    for name in ("BadSpec", "CannotPlace", "NoSuchWall", "NotAPrintScale"):
        assert issubclass(getattr(cabdraw, name), Exception)
    with pytest.raises(AttributeError, match="has no attribute 'drawing'"):
        _ = cabdraw.drawing  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    "first",
    ["import cabdraw.draw.elevation, cabdraw.resolve.car", "from cabdraw.draw import plan", "from cabdraw import cli"],
)
def test_rooms_can_be_called_whichever_was_imported_first(first: str) -> None:
    said = alone(
        f"{first}\nimport cabdraw\nfrom cabdraw import draw, load, resolve\n"
        f"cab = resolve(load({str(SPECS[0])!r}))\ndrawn = cabdraw.draw({str(SPECS[0])!r}, walls=['back'])\n"
        "import cabdraw.draw.elevation as room\nprint(cab.name, drawn.folder.as_posix(), room.__name__)"
    )
    assert said.split() == [SPECS[0].stem, f"out/{SPECS[0].stem}", "cabdraw.draw.elevation"]


def test_type_checkers_see_the_names(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("MYPYPATH", str(REPOSITORY))
    program = tmp_path / "program.py"
    program.write_text(
        "import cabdraw\nfrom cabdraw import resolve\n"
        "reveal_type(cabdraw.load('a.yaml'))\nreveal_type(resolve(cabdraw.load('a.yaml')))\n"
        "reveal_type(cabdraw.draw('a.yaml', walls=['back']).findings)\n"
        "cabdraw.draw('a.yaml', cam='r13')\n"
    )
    cache = REPOSITORY / ".mypy_cache" / "program"
    said, _, status = mypy.api.run(["--strict", "--follow-imports=silent", f"--cache-dir={cache}", str(program)])
    assert status == 1
    revealed = [line.split('"')[1] for line in said.splitlines() if "Revealed type" in line]
    assert revealed[:2] == ["cabdraw.spec.document.Document", "cabdraw.cab.Cab"]
    assert "cabdraw.errors.Finding" in revealed[2]
    assert [line for line in said.splitlines() if ": error:" in line and "cam" not in line and "r13" not in line] == []
    assert (REPOSITORY / "cabdraw" / "py.typed").exists()


def test_a_document_is_drawn_like_its_file() -> None:
    first = cabdraw.draw(LARKSPUR, out="a", walls=["back"])
    second = cabdraw.draw(cabdraw.load(LARKSPUR), Path("b"), walls="back")
    assert isinstance(first, Drawn)
    assert dict(first.files) == dict(second.files)
    for path, content in first.files.items():
        assert (first.folder / path).read_bytes() == content
    assert json.loads(first.files["resolved.json"])["walls"].keys() == {"back", "left", "right"}


def test_text_that_was_read_is_drawn_under_its_name() -> None:
    text = Path(LARKSPUR).read_text(encoding="utf-8")
    drawn = cabdraw.draw(spec.loads(text, "mill.lane.yaml"), walls=["back"])
    assert drawn.folder == Path("out/mill.lane")


def test_what_changed_is_said() -> None:
    text = Path(LARKSPUR).read_text(encoding="utf-8")
    Path("new.yaml").write_text(text.replace("reveal: 1/2\n  corner", "reveal: 3/8\n  corner"), encoding="utf-8")
    drawn = cabdraw.draw("new.yaml", walls=["back"], since=LARKSPUR)
    assert drawn.since is not None
    assert {change.mark for change in drawn.since.changes} >= {"lower-back-1", "reveal-lower-back-1"}
    assert cabdraw.draw("new.yaml", walls=["back"], since=cabdraw.load("new.yaml")).since.same  # type: ignore[union-attr]


def test_one_car_of_several_is_drawn_and_compared_with_itself() -> None:
    for name in ("shop-defaults", "job-of-two-cars"):
        Path(f"{name}.yaml").write_bytes((REPOSITORY / "docs" / "recipes" / f"{name}.yaml").read_bytes())
    with pytest.raises(cabdraw.BadSpec, match="car-1, car-2"):
        cabdraw.load("job-of-two-cars.yaml")
    assert cabdraw.load("job-of-two-cars.yaml", "car-2").car == "car-2"
    drawn = cabdraw.draw("job-of-two-cars.yaml", walls=["back"], car="car-2", since="job-of-two-cars.yaml")
    assert drawn.folder == Path("out/job-of-two-cars-car-2")
    assert drawn.since is not None
    assert drawn.since.same


def test_options_reach_the_files() -> None:
    drawn = cabdraw.draw(LARKSPUR, walls=["left"], print_scale="99.4/100", cam="r12")
    assert "site/drill-left-corrected-x99.4of100-y99.4of100.pdf" in drawn.files
    assert any(b"AC1009" in content[:200] for path, content in drawn.files.items() if path.startswith("shop/parts"))


def test_each_refusal_is_an_error_of_its_own() -> None:
    Path("bad.yaml").write_text("cabdraw: 1\nunits: inch\njub: {}\n", encoding="utf-8")
    with pytest.raises(cabdraw.BadSpec) as bad:
        cabdraw.draw("bad.yaml")
    assert {(error.line, error.column) for error in bad.value.errors} >= {(3, 1)}
    with pytest.raises(cabdraw.NoSuchWall, match="no front wall"):
        cabdraw.draw(LARKSPUR, walls=["front"])
    with pytest.raises(cabdraw.NotAPrintScale, match="not a print scale"):
        cabdraw.draw(LARKSPUR, print_scale="big")
    with pytest.raises(ValueError, match="only r2000 and r12"):
        cabdraw.draw(LARKSPUR, cam="r13")  # type: ignore[arg-type]
    Path("out").write_text("a file, not a folder")
    with pytest.raises(cabdraw.CannotPlace):
        cabdraw.draw(LARKSPUR)
    assert Path("out").read_text() == "a file, not a folder"


def test_sizes_are_exact() -> None:
    cab = cabdraw.resolve(cabdraw.load(LARKSPUR))
    panel = next(part for part in cab.parts if part.mark == "lower-back-1")
    assert panel.width == cabdraw.Length(Fraction(85979, 160))

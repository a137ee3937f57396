"""What cabdraw is made of and how it is handed out: the lock, licences, wheel and sdist, Pythons, types, docstrings."""

from __future__ import annotations

import ast
import json
import os
import re
import subprocess
import sys
import tarfile
import tomllib
import zipfile
from hashlib import sha256
from importlib import metadata
from pathlib import Path
from typing import Any

import fresh
import pytest
from conftest import REPOSITORY, SPECS, drawn
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from pythons import MINORS, OtherPython, other_python

PROJECT: dict[str, Any] = tomllib.loads((REPOSITORY / "pyproject.toml").read_text(encoding="utf-8"))["project"]
LICENCES = REPOSITORY / "docs" / "licences.md"
#: Licences that let a shop use, change and pass on what they cover, whatever it does with the rest.
PERMISSIVE = {"Apache-2.0", "BSD-2-Clause", "BSD-3-Clause", "BSD", "HPND", "ISC", "MIT", "MIT-CMU", "PSF-2.0", "0BSD",
              "Zlib", "CC0-1.0"}  # fmt: skip
#: How libraries without an SPDX expression name their licence.
_NAMES = {
    "MIT License": "MIT", "The MIT License": "MIT", "BSD License": "BSD", "Apache Software License": "Apache-2.0",
    "Python Software Foundation License": "PSF-2.0", "ISC License (ISCL)": "ISC", "BSD": "BSD", "MIT": "MIT",
}  # fmt: skip


def asked() -> list[Requirement]:
    """Every library that pyproject.toml asks for, with every extra."""
    extras = [line for lines in PROJECT["optional-dependencies"].values() for line in lines]
    return [Requirement(line) for line in (*PROJECT["dependencies"], *extras)]


def test_every_library_has_a_least_and_a_last_version() -> None:
    for requirement in asked():
        signs = {part.operator for part in requirement.specifier}
        assert signs & {">=", "=="}, requirement
        assert signs & {"<", "=="}, requirement


@pytest.mark.parametrize("minor", MINORS)
@pytest.mark.parametrize("system", ["linux", "win32", "darwin"])
def test_the_lock_is_what_pyproject_asks_for(minor: int, system: str) -> None:
    names = {"linux": ("Linux", "posix"), "win32": ("Windows", "nt"), "darwin": ("Darwin", "posix")}[system]
    here = {
        "python_version": f"3.{minor}", "python_full_version": f"3.{minor}.4", "sys_platform": system,
        "platform_system": names[0], "os_name": names[1],
    }  # fmt: skip
    pins: dict[str, str] = {}
    for pin in fresh.locked():
        if pin.marker is None or pin.marker.evaluate(here):
            name = canonicalize_name(pin.name)
            assert name not in pins, f"{name} is locked twice"
            pins[name] = next(iter(pin.specifier)).version
    missing = [str(r) for r in asked() if not r.specifier.contains(pins.get(canonicalize_name(r.name), "0"), True)]
    assert missing == [], "lock them anew: .ci/lock"


def test_every_library_is_locked_with_its_hashes() -> None:
    text = fresh.LOCK.read_text(encoding="utf-8")
    assert len(fresh.locked()) > 30
    for entry in re.split(r"^(?=[A-Za-z0-9])", text, flags=re.MULTILINE)[1:]:
        assert "--hash=sha256:" in entry, entry
    assert "://" not in text
    assert "index" not in text


def test_the_lock_has_all_that_the_libraries_here_need() -> None:
    assert fresh.runtime() <= set(fresh.versions())


def licence(name: str) -> str:
    """A library's licence by its own metadata: an SPDX expression, or the nearest to one that it says."""
    about = metadata.metadata(name)
    if expression := about.get("License-Expression"):
        return str(expression)
    classifiers = [
        line.rpartition(" :: ")[2] for line in about.get_all("Classifier") or () if line.startswith("License")
    ]
    said = [*classifiers, (about.get("License") or "").strip().splitlines()[0] if about.get("License") else ""]
    return next((_NAMES.get(words, words) for words in said if words and words != "OSI Approved"), "unknown")


def licences() -> str:
    """The page on licences."""
    rows = [f"| {name} | {licence(name)} |" for name in sorted(fresh.runtime())]
    head = (REPOSITORY / "docs" / "licences.md").read_text(encoding="utf-8").split("<!-- libraries -->")[0]
    return "\n".join([f"{head}<!-- libraries -->", "| library | licence |", "| --- | --- |", *rows]) + "\n"


def test_the_page_on_licences_lists_every_library_that_comes_along() -> None:
    if os.environ.get("CABDRAW_RENEW") == "1":
        LICENCES.write_text(licences(), encoding="utf-8")
    assert LICENCES.read_text(encoding="utf-8") == licences()


@pytest.mark.parametrize("name", sorted(fresh.runtime()))
def test_every_library_that_comes_along_is_under_a_permissive_licence(name: str) -> None:
    words = re.split(r"\s+(?:AND|OR)\s+", licence(name).strip("()"))
    assert {word.strip("()") for word in words} <= PERMISSIVE


def test_the_fonts_and_their_licence_come_along() -> None:
    folder = REPOSITORY / "cabdraw" / "fonts"
    assert {path.name for path in folder.glob("*.ttf")} == {"DejaVuSans.ttf", "DejaVuSans-Bold.ttf"}
    assert "Bitstream Vera" in (folder / "LICENSE-DejaVu.txt").read_text(encoding="utf-8")
    assert PROJECT["license"] == "MIT AND Bitstream-Vera"
    assert "DejaVu" in LICENCES.read_text(encoding="utf-8")


def held() -> set[str]:
    """Every file of the package as it lies here."""
    files = (path for path in (REPOSITORY / "cabdraw").rglob("*") if path.is_file())
    return {path.relative_to(REPOSITORY).as_posix() for path in files if "__pycache__" not in path.parts}


def test_wheel_and_sdist_hold_every_file_of_the_package() -> None:
    sdist, wheel = fresh.built()
    with zipfile.ZipFile(wheel) as archive:
        names = set(archive.namelist())
    assert held() - names == set()
    assert {name for name in names if "/" in name and name.startswith("cabdraw/")} == held()
    assert "cabdraw/py.typed" in names
    licence_files = [name for name in names if ".dist-info/licenses/" in name]
    assert {Path(name).name for name in licence_files} == {"LICENSE", "LICENSE-DejaVu.txt"}
    with tarfile.open(sdist) as source:
        inside = {name.partition("/")[2] for name in source.getnames()}
    assert held() - inside == set()


def test_a_fresh_environment_does_all_that_help_lists(tmp_path: Path) -> None:
    command = fresh.environment() / "cabdraw"
    assert fresh.told(command, "--version", folder=tmp_path) == f"cabdraw {PROJECT['version']}\n"
    listed = set(
        re.findall(r"^[│ ]+([a-z]+) {2,}", fresh.told(command, "--help", folder=tmp_path, COLUMNS="100"), re.M)
    )
    assert listed >= {"draw", "check", "compare", "survey"}
    for name in sorted(listed):
        fresh.told(command, name, "--help", folder=tmp_path)
    fresh.told(command, "draw", "-q", SPECS[0], "--out", "out", folder=tmp_path)
    assert json.loads((tmp_path / "out" / SPECS[0].stem / "resolved.json").read_text())["cabdraw"] == 1
    assert "us-ada" in fresh.told(command, "rules", folder=tmp_path)
    fresh.told(command, "survey", folder=tmp_path)
    # Every room loads, and every file that a room reads of the package is where it looks for it.
    script = (
        "import importlib, pkgutil, cabdraw\n"
        "for found in pkgutil.walk_packages(cabdraw.__path__, 'cabdraw.'): importlib.import_module(found.name)\n"
        "print(cabdraw.load.__doc__[:4], cabdraw.__file__)"
    )
    said = fresh.told(fresh.environment() / "python", "-I", "-c", script, folder=tmp_path)
    assert "site-packages" in said


TYPED = """
from pathlib import Path
import cabdraw

def size(path: Path) -> float:
    document: cabdraw.Document = cabdraw.load(path)
    cab: cabdraw.Cab = cabdraw.resolve(document)
    reveal_type(cab.walls["back"].width)
    try:
        drawn: cabdraw.Drawn = cabdraw.draw(path, Path("out"))
    except cabdraw.BadSpec as wrong:
        print([error.line for error in wrong.errors])
        raise
    reveal_type(drawn.status)
    return float(cab.walls["back"].width)

wrong: str = cabdraw.load("x").name + 1
"""


def test_types_are_seen_from_outside(tmp_path: Path) -> None:
    """A program that uses the installed copy is checked against its types, strictly."""
    (tmp_path / "shop.py").write_text(TYPED)
    python = str(fresh.environment() / "python")
    command = [
        sys.executable,
        "-m",
        "mypy",
        "--strict",
        "--python-executable",
        python,
        "--cache-dir",
        "cache",
        "shop.py",
    ]
    env = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
    done = subprocess.run(command, cwd=tmp_path, env=env, capture_output=True, text=True, check=False, timeout=400)
    lines = [line.partition("shop.py:")[2] for line in done.stdout.splitlines() if "shop.py:" in line]
    assert [line for line in lines if "Revealed" in line] == [
        '8: note: Revealed type is "cabdraw.units.Length"', '14: note: Revealed type is "int"',
    ]  # fmt: skip
    assert [line for line in lines if " error: " in line] == [
        line for line in lines if line.startswith("17: error: Unsupported operand types")
    ]
    assert any(line.startswith("17: error") for line in lines)


def public() -> list[tuple[str, ast.AST]]:
    """Every module, class, function and method of the package that has no underscore before its name."""
    found: list[tuple[str, ast.AST]] = []
    for path in sorted((REPOSITORY / "cabdraw").rglob("*.py")):
        name = path.relative_to(REPOSITORY).as_posix()
        tree = ast.parse(path.read_text(encoding="utf-8"))
        if tree.body:
            found.append((name, tree))
        for node in tree.body:
            # Of a function with several signatures the last is the function, and has the words.
            overload = any(ast.unparse(each) == "overload" for each in getattr(node, "decorator_list", ()))
            if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_") and not overload:
                found.append((f"{name}: {node.name}", node))
            # What a class takes over from another is documented there.
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_") and not node.bases:
                methods = (inner for inner in node.body if isinstance(inner, ast.FunctionDef))
                found += [(f"{name}: {node.name}.{m.name}", m) for m in methods if not m.name.startswith("_")]
    return found


def test_every_public_name_is_documented() -> None:
    assert len(public()) > 500
    without = [name for name, node in public() if not ast.get_docstring(node)]  # type: ignore[arg-type]
    assert without == []


def test_the_names_for_programs_are_documented() -> None:
    import cabdraw

    for name in set(cabdraw.__all__) - {"__version__"}:
        assert getattr(cabdraw, name).__doc__, name


def test_the_version_is_the_same_wherever_it_stands() -> None:
    import cabdraw

    assert cabdraw.__version__ == PROJECT["version"]


def test_classifiers_name_every_python_that_is_tried() -> None:
    named = {line.rpartition(" :: ")[2] for line in PROJECT["classifiers"] if "Python :: 3." in line}
    assert named == {f"3.{minor}" for minor in MINORS}
    assert PROJECT["requires-python"] == f">=3.{MINORS[0]}"


DRAWS = """
import hashlib, json, sys
from pathlib import Path
from cabdraw.package import build, look
made = {}
for spec in map(Path, sys.argv[1:]):
    looked = look(spec)
    for path, content in build(looked.cab, looked.findings).items():
        made[f"{spec.stem}/{path}"] = hashlib.sha256(content).hexdigest()
print(json.dumps({"version": sys.version_info[:2], "made": made}))
"""


@pytest.mark.parametrize("minor", [minor for minor in MINORS if minor != sys.version_info.minor])
def test_another_python_draws_the_same_bytes(minor: int, tmp_path: Path) -> None:
    """Every library has a wheel for it, and every shipped spec comes out the same as here."""
    python = other_python(minor)
    if isinstance(python, str):
        pytest.skip(python)
    assert isinstance(python, OtherPython)
    here = {"python_version": f"3.{minor}", "python_full_version": f"3.{minor}.0"}
    pins = [str(pin) for pin in fresh.locked() if pin.marker is None or pin.marker.evaluate(here)]
    folder = python.with_wheel(fresh.built()[1], pins, tmp_path)
    found = json.loads(python.told(folder, "-c", DRAWS, *map(str, SPECS)))
    assert found["version"] == [3, minor]
    wanted = {f"{spec.stem}/{path}": made for spec in SPECS for path, made in drawn(spec).files.items()}
    assert set(found["made"]) == set(wanted)
    assert [path for path, made in wanted.items() if sha256(made).hexdigest() != found["made"][path]] == []

"""What each shipped spec comes to, held against what it came to before: sizes and drawings.

After a change that is meant, `CABDRAW_RENEW=1 pytest tests/test_shipped_golden.py` writes the goldens anew; read what
git then shows of them before it is kept.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from conftest import JOB, JOB_CARS, REPOSITORY, SPECS, Shipped, drawn

from cabdraw.draw.occupied import extent, texts
from cabdraw.draw.shapes import Shape, Sheet, Text
from cabdraw.frozen import Frozen, names

GOLDEN = Path(__file__).parent / "golden"
RENEW = os.environ.get("CABDRAW_RENEW") == "1"
#: Lengths in mm that are nearer than this are the same.
SAME = 2e-6


def differences(old: Any, new: Any, path: str = "") -> Iterator[str]:
    """Every place at which two JSON values do not mean the same."""
    if isinstance(old, dict) and isinstance(new, dict):
        for key in [*old, *(key for key in new if key not in old)]:
            here = f"{path}.{key}" if path else key
            if key not in new:
                yield f"{here}: gone"
            elif key not in old:
                yield f"{here}: new"
            else:
                yield from differences(old[key], new[key], here)
    elif isinstance(old, list) and isinstance(new, list):
        if len(old) != len(new):
            yield f"{path}: {len(old)} before, {len(new)} now"
        for index, (before, after) in enumerate(zip(old, new, strict=False)):
            yield from differences(before, after, f"{path}[{index}]")
    elif isinstance(old, int | float) and isinstance(new, int | float) and not isinstance(old, bool):
        if abs(old - new) > SAME:
            yield f"{path}: {old} before, {new} now"
    elif old != new:
        yield f"{path}: {old!r} before, {new!r} now"


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        return round(value, 3) + 0.0
    if isinstance(value, tuple | list):
        return [_rounded(item) for item in value]
    if isinstance(value, Frozen):
        return [_rounded(getattr(value, name)) for name in names(value)]
    return value


def _numbers(values: tuple[float, ...]) -> str:
    return " ".join(f"{round(value, 2) + 0.0:g}" for value in values)


def _summary(shapes: list[tuple[float, Shape]]) -> dict[str, Any]:
    """How many shapes, from where to where, a digest of their rounded geometry in any order, and their texts."""
    scale = shapes[0][0]
    geometry = sorted(json.dumps(_rounded(shape)) for _, shape in shapes)
    found: dict[str, Any] = {
        "count": len(shapes),
        "extent": _numbers(extent([shape for _, shape in shapes], scale)),
        "geometry": sha256("\n".join(geometry).encode()).hexdigest()[:12],
    }
    if words := [text.text for _, shape in shapes for text in texts(shape)]:
        found["texts"] = words
    return found


def drawing(sheet: Sheet) -> dict[str, Any]:
    """A sheet in few words: its paper, and for each view, layer and kind of shape what is there."""
    runs: dict[str, list[tuple[float, Shape]]] = {}
    for view, shape in sheet.shapes():
        where = f"{view.name} at {view.scale:.6g}" if view else "paper"
        kind = "Text" if isinstance(shape, Text) else type(shape).__name__
        runs.setdefault(f"{where}: {shape.layer} {kind}", []).append((view.scale if view else 1.0, shape))
    return {
        "title": sheet.title,
        "paper": _numbers((sheet.width, sheet.height)),
        **{name: _summary(shapes) for name, shapes in sorted(runs.items())},
    }


def brief(sheet: Sheet) -> str:
    """A sheet in one line: how many shapes, a digest of them, its title."""
    geometry = sorted(json.dumps(_rounded(shape)) for _, shape in sheet.shapes())
    return f"{len(geometry)} {sha256(chr(10).join(geometry).encode()).hexdigest()[:12]} {sheet.title}"


def summary(shipped: Shipped) -> dict[str, Any]:
    """All files of a package by path, the drawings of walls and the plan layer by layer, the others in a line each."""
    sheets = shipped.sheets
    full = {name for name in sheets if name == "plan" or re.fullmatch(r"(elevation|drill)-(back|left|right)", name)}
    return {
        "files": sorted(shipped.files),
        "drawings": {name: drawing(sheets[name]) for name in sorted(full)},
        "others": {name: brief(sheet) for name, sheet in sheets.items() if name not in full},
    }


def written(value: Any) -> bytes:
    """A golden as it is kept: one entry a line, so that a difference shows where it is."""
    return (json.dumps(value, indent=1, ensure_ascii=False, sort_keys=True) + "\n").encode()


def held(path: Path, content: bytes) -> list[str]:
    """What a golden and its new content differ in, by meaning first and then by bytes; or the golden is renewed."""
    if RENEW:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    assert path.exists(), f"there is no {path.relative_to(REPOSITORY)}; make it with CABDRAW_RENEW=1"
    old = path.read_bytes()
    found = list(differences(json.loads(old), json.loads(content)))
    return found or ([] if old == content else [f"{path.name}: the same in meaning, but not in bytes"])


CARS = [*((spec, None) for spec in SPECS), *((JOB, car) for car in JOB_CARS)]


@pytest.fixture(params=CARS, ids=lambda asked: asked[1] or asked[0].stem)
def car(request: pytest.FixtureRequest) -> Shipped:
    """Each shipped car in turn, those of a job of several too."""
    return drawn(*request.param)


def test_sizes_are_as_before(car: Shipped) -> None:
    assert held(GOLDEN / car.looked.document.name / "resolved.json", car.files["resolved.json"]) == []


def test_drawings_are_as_before(car: Shipped) -> None:
    assert held(GOLDEN / car.looked.document.name / "drawings.json", written(summary(car))) == []


def test_no_golden_is_left_over() -> None:
    names = {f"{spec.stem}-{car}" if car else spec.stem for spec, car in CARS}
    assert {path.name for path in GOLDEN.iterdir() if path.is_dir()} == names


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ({"a": [1.0, 2.0]}, {"a": [1.000001, 2.0]}, []),
        ({"a": [1.0, 2.0]}, {"a": [1.00001, 2.0]}, ["a[0]: 1.0 before, 1.00001 now"]),
        ({"a": {"b": "x"}}, {"a": {"b": "y", "c": 1}}, ["a.b: 'x' before, 'y' now", "a.c: new"]),
        ({"a": [1, 2]}, {"a": [1]}, ["a: 2 before, 1 now"]),
        ({"a": None}, {"a": 0}, ["a: None before, 0 now"]),
    ],
)
def test_differences_are_told_by_meaning(old: Any, new: Any, said: list[str]) -> None:
    assert list(differences(old, new)) == said

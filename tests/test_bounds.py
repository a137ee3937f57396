"""The most that the format lets a spec ask for is looked at within 2 s of processor time and 300 MB."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from fuzzing import alone, as_text, looked_at
from odd_cars import car

WALLS = ("back", "left", "right")
BEHIND = {"verified": {"by": "x", "date": "2026-01-01"}, "depth": 60}


def walls(width: int, **more: Any) -> dict[str, Any]:
    return {name: {"width": [width], "shell": 2, **more} for name in WALLS}


def things(number: int, every: int, **more: Any) -> list[dict[str, Any]]:
    return [
        {"what": f"thing {n}", "x": 20 + every * n, "y": 300 + n % 7 * 90, "width": 15, "height": 30, **more}
        for n in range(number)
    ]


HOLES = [{"x": 20 + 28 * n, "y": 865} for n in range(199)]
MANY_PANELS = {"layout__walls": {name: {"panels": 99} for name in WALLS}, "layout__reveal": 3}
STOCK = {
    "sheets": [{"material": "x", "thickness": 19, "width": 1200 + n, "height": 2400} for n in range(100)],
    "bars": [{"kind": "reveal", "length": 3000 + n} for n in range(100)],
}
CARS: dict[str, dict[str, Any]] = {
    "99 panels a wall": {"survey__walls": walls(12000), **MANY_PANELS},
    "99 panels of a hundred kinds of stock": {"survey__walls": walls(12000), **MANY_PANELS, "stock": STOCK},
    "thousands of standoffs": {
        "survey__walls": walls(12000), "handrail__max_spacing": 10, "handrail__overhang": 1,
        "handrail__end_clearance": 0,
    },
    "199 fixtures": {"survey__walls": walls(6000, fixtures=things(199, 28))},
    "199 obstructions": {
        "survey__walls": walls(6000, behind={**BEHIND, "obstructions": things(199, 28)}), "handrail__max_spacing": 100,
    },
    "199 old holes": {"survey__walls": walls(6000, holes=HOLES)},
    "199 old holes to stand in": {"survey__walls": walls(6000, holes=HOLES), "handrail__standoffs": "existing"},
    "199 old holes and 90 fixtures to stand clear of": {
        "survey__walls": walls(6000, holes=HOLES, fixtures=things(90, 60)), "handrail__standoffs": "clear",
    },
    "199 readings": {
        "survey__height": [2350 + n % 3 for n in range(199)],
        "survey__walls": {name: {"width": [3000 + n % 5 for n in range(199)]} for name in WALLS},
    },
    "thousands of screws": {
        "survey__walls": walls(12000),
        "fixings": {
            "base_screws": 10, "spline_screws": 10, "pad_studs": 10, "packers": 10, "shims": 99, "spares": "100%",
        },
    },
    "large denominators": {
        "increment": "0.05", "survey__height": ["2350 1/999999937"], "layout__reveal": "11 999999893/999999929",
        "layout__walls": {
            "back": {"panels": ["1/999983", "2/999979", "3/999961"]}, "left": {"panels": 2}, "right": {"panels": 2},
        },
        "layout__corner_gap": "12 1/999999883", "handrail__max_spacing": "700 1/999999751",
    },
    "199 layers": {"layout__panel": {"air_gap": 10, "layers": [{"material": "m", "thickness": 0.4}] * 199}},
    "a hall of a car on small sheets": {
        "survey__height": [10000], "survey__walls": walls(12000), "install": {"tile": "A4"},
    },
}  # fmt: skip


@pytest.mark.parametrize("name", CARS)
def test_the_most_that_can_be_asked_for_is_looked_at_in_bounds(name: str, tmp_path: Path) -> None:
    seen = alone(as_text(car(**CARS[name])), tmp_path / "car.yaml", looked_at)
    assert seen.outcome == "accepted", f"{seen.seconds:.2f} s, {seen.megabytes:.0f} MB: {seen.said}"

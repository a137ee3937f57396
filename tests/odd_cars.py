"""Cars that nobody would order but somebody will: what is drawn of them must still be legible."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

LONG = "An uncommonly long name of a thing that has far more words in it than any drawing has room for, and goes on"


def car(**changes: Any) -> dict[str, Any]:
    """A plain car in mm with panels on three walls; `changes` are put in by path, keys joined by two underscores."""
    spec: dict[str, Any] = {
        "cabdraw": 1,
        "units": "mm",
        "job": {"project": "Odd", "car": "Car"},
        "survey": {
            "height": [2350],
            "walls": {
                name: {"width": [wide], "shell": 2} for name, wide in (("back", 1800), ("left", 1400), ("right", 1400))
            },
        },
        "layout": {
            "panel": {"thickness": 19, "air_gap": 10, "edge": 0.5, "grain": "vertical"},
            "joint": {"engagement": 9, "groove_depth": 12, "clearance": 1.5, "base_tab": 9},
            "reveal": 12,
            "corner_gap": 12,
            "front_gap": 25,
            "stack": [
                {"gap": 22},
                {"base": 100},
                {"lower": "fill"},
                {"reveal": 12},
                {"backer": {"height": 150, "centre": 865}},
                {"reveal": 12},
                {"upper": "fill"},
                {"reveal": 12},
                {"crown": 75},
                {"frieze": 110},
                {"gap": 20},
            ],
            "walls": {"back": {"panels": 3}, "left": {"panels": 2}, "right": {"panels": 2}},
        },
        "handrail": {
            "walls": ["back", "left", "right"],
            "section": {"round": 38},
            "standoff": 38,
            "end_clearance": 100,
            "overhang": 150,
            "max_spacing": 700,
            "bolt": {"lengths": [45, 50, 55], "standoff_thread": [9, 16], "anchor": 10},
        },
    }
    for path, value in changes.items():
        *way, last = path.split("__")
        place = spec
        for step in way:
            place = place.setdefault(step, {})
        place[last] = value
    return spec


def walls(**widths: float) -> dict[str, Any]:
    """A survey's walls of given widths."""
    return {name: {"width": [wide], "shell": 2} for name, wide in widths.items()}


def _verified(depth: float, obstructions: list[dict[str, Any]]) -> dict[str, Any]:
    return {"verified": {"by": "A. Mechanic", "date": "2026-01-05"}, "depth": depth, "obstructions": obstructions}


_TIGHT = [
    {"gap": 20}, {"base": 30}, {"lower": "fill"}, {"reveal": 3}, {"bumper": {"height": 30, "centre": 300}},
    {"reveal": 3}, {"middle": "fill"}, {"reveal": 3}, {"backer": {"height": 60, "centre": 865}}, {"reveal": 3},
    {"bumper": 30}, {"reveal": 3}, {"upper": "fill"}, {"reveal": 3}, {"crown": 20}, {"reveal": 3}, {"frieze": 25},
    {"gap": 20},
]  # fmt: skip
_INCH_TIGHT = [
    {"gap": "7/8"}, {"base": 4}, {"lower": "fill"}, {"reveal": "1/8"}, {"backer": {"height": 6, "centre": 34}},
    {"reveal": "1/8"}, {"upper": "fill"}, {"reveal": "1/8"}, {"crown": 3}, {"reveal": "1/8"},
    {"frieze": "4 1/2"}, {"gap": "3/4"},
]  # fmt: skip
_JOB = {key: f"{key} {LONG}" for key in ("project", "car", "number", "client", "address", "drawn_by", "checked_by")}

ODD: dict[str, dict[str, Any]] = {
    "ten narrow panels": car(
        layout__walls={name: {"panels": 10} for name in ("back", "left", "right")}, handrail__max_spacing=160
    ),
    "ten very narrow panels": car(
        survey__walls=walls(back=900, left=900, right=900),
        layout__walls={name: {"panels": 10} for name in ("back", "left", "right")},
    ),
    "a tight stack": car(layout__stack=_TIGHT, layout__reveal=3),
    "tiny reveals in inches": car(
        units="inch",
        survey__height=["92 19/64"],
        survey__walls={
            name: {"width": [wide], "shell": 0.0781}
            for name, wide in (("back", "80 3/64"), ("left", "51 5/64"), ("right", 51))
        },
        layout__panel={"thickness": "3/4", "air_gap": "1/2", "edge": 0.02},
        layout__joint={"engagement": "3/8", "groove_depth": "1/2", "clearance": "1/16", "base_tab": "3/8"},
        layout__reveal="1/8",
        layout__corner_gap="1/2",
        layout__front_gap=1,
        layout__stack=_INCH_TIGHT,
        layout__walls={"back": {"panels": 7}, "left": {"widths": [4, "fill", 4]}, "right": {"panels": [1, 2, 3]}},
        handrail={
            "walls": ["back", "left", "right"], "section": {"round": "1 1/2"}, "standoff": "1 1/2",
            "end_clearance": 4, "overhang": 6, "max_spacing": 12,
        },
    ),
    "long texts": car(
        job={**_JOB, "date": "2026-03-02", "revision": "A long revision mark"},
        survey__by=LONG,
        survey__walls__back={
            "width": [1800], "shell": 2,
            "behind": _verified(60, [{"what": LONG, "x": 700, "y": 400, "width": 60, "height": 900}]),
            "fixtures": [{"what": LONG, "x": 1300, "y": 1200, "width": 200, "height": 300}],
        },
        survey__walls__left={
            "width": [1400], "shell": 2, "behind": {"verified": {"by": LONG, "date": "2026-01-05"}},
        },
    ),
    "a small high car": car(
        survey__height=[3000], survey__walls=walls(back=900, left=900, right=900),
        layout__walls={name: {"panels": 1} for name in ("back", "left", "right")},
    ),
    "a large car": car(survey__walls=walls(back=3600, left=5400, right=5400), survey__height=[3000]),
    "much behind the shell": car(
        survey__walls__back={
            "width": [1800], "shell": 2,
            "behind": _verified(
                8, [{"what": f"thing {n}", "x": 150 + n * 95, "y": 780, "width": 60, "height": 200} for n in range(16)]
            ),
        },
        handrail__max_spacing=120,
        handrail__bolt__insertion=45,
    ),
    "small fixtures": car(
        survey__walls__left={
            "width": [1400], "shell": 2,
            "fixtures": [
                {"what": f"switch {n}", "x": 200 + 90 * n, "y": 1100 + 40 * n, "width": 40, "height": 40}
                for n in range(8)
            ],
        },
    ),
    **{
        f"{size} {scale}": car(sheet={"size": size, "scale": scale})
        for size, scale in (
            ("A4", "auto"), ("A0", "auto"), ("ANSI A", "auto"), ("ANSI B", "auto"), ("ARCH D", "auto"),
            ("A3", "1:20"), ("A3", "1:5"), ("A1", "1:25"),
        )
    },
}  # fmt: skip


def write(name: str, folder: Path) -> Path:
    """An odd car's spec as a file; JSON is YAML too."""
    path = folder / f"{name.replace(' ', '-').replace(':', '-')}.yaml"
    path.write_text(json.dumps(ODD[name]), encoding="utf-8")
    return path

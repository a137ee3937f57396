"""Specs for tests: one plain inch car, changed a key at a time, written out as text and resolved."""

from __future__ import annotations

import copy
import json
from typing import Any

from cabdraw.cab import Cab
from cabdraw.check.drilling import drilling
from cabdraw.check.fit import fit
from cabdraw.check.fixtures import fixtures
from cabdraw.check.rail import rails
from cabdraw.errors import Finding
from cabdraw.resolve import resolve
from cabdraw.spec import Document, loads

#: Put in place of a value to take the key out.
GONE = object()

_CAR: dict[str, Any] = {
    "cabdraw": "1",
    "units": "inch",
    "increment": "1/32",
    "job": {"project": "Test", "car": "Car"},
    "survey": {
        "height": ["92 1/4"],
        "walls": {
            name: {
                "width": [width],
                "shell": "0.0781",
                "behind": {"verified": {"by": "R. Vance", "date": "2026-02-20"}, "depth": "3"},
            }
            for name, width in (("back", "68"), ("left", "51 3/8"), ("right", "51 3/8"))
        },
    },
    "layout": {
        "panel": {"thickness": "3/4", "air_gap": "1/2", "edge": "0.02"},
        "joint": {
            "engagement": "3/8",
            "groove_depth": "1/2",
            "clearance": "1/16",
            "base_tab": "3/8",
            "spline_lift": "3/4",
        },
        "reveal": "1/2",
        "corner_gap": "1/2",
        "front_gap": "1",
        "stack": [
            {"gap": "7/8"},
            {"base": "4"},
            {"lower": "fill"},
            {"reveal": "1/2"},
            {"backer": {"height": "6", "centre": "34"}},
            {"reveal": "1/2"},
            {"upper": "fill"},
            {"reveal": "1/2"},
            {"crown": "3"},
            {"frieze": "4 1/2"},
            {"gap": "3/4"},
        ],
        "walls": {"back": {"panels": "3"}, "left": {"panels": "2"}, "right": {"panels": "2"}},
    },
    "handrail": {
        "walls": ["back", "left", "right"],
        "section": {"round": "1 1/2"},
        "standoff": "1 1/2",
        "end_clearance": "4",
        "overhang": "6",
        "max_spacing": "30",
        "bolt": {
            "insertion": "1 3/4",
            "flange": "1 1/4",
            "lengths": ["1 3/4", "2", "2 1/4", "2 1/2", "3"],
            "standoff_thread": ["3/8", "5/8"],
            "anchor": "3/8",
        },
    },
}

#: The stack of a car with one tier and a rail at 34 in.
ONE_TIER: dict[str, Any] = {
    "layout.stack": [{"gap": "7/8"}, {"base": "4"}, {"full": "fill"}, {"frieze": "4 1/2"}, {"gap": "3/4"}],
    "handrail.centre": "34",
}


def plain(changes: dict[str, Any] | None = None) -> dict[str, Any]:
    """The plain car with changes by path, e.g. `{"layout.stack.0.gap": "1"}`; sections on the way are made."""
    spec = copy.deepcopy(_CAR)
    for path, value in (changes or {}).items():
        *way, last = path.split(".")
        place: Any = spec
        for step in way:
            place = place[int(step)] if isinstance(place, list) else place.setdefault(step, {})
        key: Any = int(last) if isinstance(place, list) else last
        if value is GONE:
            del place[key]
        else:
            place[key] = copy.deepcopy(value)
    return spec


def text(spec: dict[str, Any]) -> str:
    """A spec as a file holds it: JSON is YAML too, and its strings reach the format as typed."""
    return json.dumps(spec, indent=1)


def document(changes: dict[str, Any] | None = None) -> Document:
    """The plain car with changes, read."""
    return loads(text(plain(changes)), "car.yaml")


def cab(changes: dict[str, Any] | None = None) -> Cab:
    """The plain car with changes, resolved."""
    return resolve(document(changes))


#: The families that look at a car's sizes alone; the plain car is right by all of them.
FAMILIES = (fit, fixtures, drilling, rails)


def findings(car: Cab) -> tuple[Finding, ...]:
    """What these families find about a car, in their order."""
    return tuple(finding for family in FAMILIES for finding in family(car))


def found(changes: dict[str, Any] | None = None) -> tuple[Finding, ...]:
    """What is found about the plain car with changes; every finding's place must be in the spec."""
    read = document(changes)
    every = findings(resolve(read))
    for finding in every:
        at = read.source.existing(finding.path)
        assert at == finding.path or finding.code in MISSING, f"{finding.code}: {finding.where} is not there"
        assert finding.message[0].islower() or finding.message[0].isdigit() or finding.message[0] == "-"
        assert finding.hint
    return every


#: Findings about something left out, which has no place of its own.
MISSING = ("drill-unverified", "bolt-no-shell")


def codes(changes: dict[str, Any] | None = None) -> list[str]:
    """The codes of what is found, in order."""
    return [finding.code for finding in found(changes)]


def alike(changes: dict[str, Any], code: str) -> tuple[Finding, ...]:
    """What is found, all of one code: one or more, and nothing else."""
    every = found(changes)
    assert {finding.code for finding in every} == {code}, [finding.message for finding in every]
    return every


def only(changes: dict[str, Any], code: str) -> Finding:
    """The one finding with a code; there is nothing else."""
    (finding,) = alike(changes, code)
    return finding

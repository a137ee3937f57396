"""Specs that load but are odd, made by changing the shipped ones at random: each resolves or is refused in words."""

from __future__ import annotations

import copy
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from spec_texts import plain, text

from cabdraw.cab import WALLS
from cabdraw.check import findings
from cabdraw.errors import BadSpec
from cabdraw.install.blocks import blocks
from cabdraw.record import record
from cabdraw.resolve import resolve
from cabdraw.spec import loads

SPECS = sorted((Path(__file__).parent.parent / "specs").glob("*.yaml"))
FIGURES = (
    "0", "0.001", "1/64", "fill", "1/2", "1", "5", "12", "30", "90", "200", "2000", "0.1mm", "10mm", "500mm", "3m",
)  # fmt: skip
Place = tuple[str | int, ...]


def places(thing: Any, path: Place = ()) -> Iterator[Place]:
    """Every place in a spec's sizes."""
    items = thing.items() if isinstance(thing, dict) else enumerate(thing) if isinstance(thing, list) else ()
    for key, item in items:
        if path or key in ("survey", "layout", "handrail", "increment"):
            yield (*path, key)
            yield from places(item, (*path, key))


def changed(spec: dict[str, Any], chance: random.Random) -> dict[str, Any]:
    """A spec with a few figures, lists and sections changed, doubled, left out or put elsewhere."""
    spec = copy.deepcopy(spec)
    for _ in range(chance.choice((1, 1, 2, 3))):
        *way, last = chance.choice(list(places(spec)))
        around: Any = spec
        for step in way:
            around = around[step]
        thing = around[last]
        if isinstance(thing, str):
            around[last] = chance.choice(FIGURES)
        elif isinstance(thing, list) and chance.random() < 0.7:
            if chance.random() < 0.5:
                chance.shuffle(thing)
            else:
                thing.append(copy.deepcopy(chance.choice(thing)))
        elif isinstance(around, list):
            around.insert(chance.randrange(len(around)), copy.deepcopy(thing))
        else:
            del around[last]
    return spec


def originals() -> list[dict[str, Any]]:
    found = [plain({"survey.walls.left.floor": ["0", "1/8"], "layout.corner_trim": {"width": "1"}})]
    return found + [yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader) for path in SPECS]


@pytest.mark.parametrize("seed", range(3))
def test_an_odd_spec_resolves_or_is_refused_in_words(seed: int) -> None:
    chance = random.Random(seed)
    resolved, errors = 0, []
    specs = originals()
    for _ in range(40):
        spec = changed(chance.choice(specs), chance)
        try:
            document = loads(text(spec))
            cab = resolve(document)
        except BadSpec as refused:
            errors += refused.errors
            continue
        found = findings(cab)
        assert list(cab.walls) == [name for name in WALLS if name in spec["layout"]["walls"]]
        assert record(cab, found, blocks(cab))
        assert not {"fit-overlap", "fit-leftover"} & {finding.code for finding in found}
        resolved += 1
    assert resolved > 5
    assert all(error.line and error.what for error in errors)

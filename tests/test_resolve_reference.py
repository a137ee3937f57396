"""Cars of any make, resolved, against the same cars worked out a second time from the words of the format."""

from __future__ import annotations

from typing import Any

import pytest
from cars import cars
from hypothesis import HealthCheck, given, settings
from reference import NoRoom, Reference
from spec_texts import text

from cabdraw.cab import Wall
from cabdraw.errors import BadSpec
from cabdraw.resolve import resolve
from cabdraw.spec import loads

QUICK = settings(
    max_examples=120,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


def test_every_size_comes_out_the_same_both_ways() -> None:
    room: list[bool] = []

    @QUICK
    @given(cars())
    def compared(spec: dict[str, Any]) -> None:
        room.append(agree(spec))

    compared()
    # Were there room in few of them, all this would say little.
    assert sum(room) >= 60
    assert not all(room)


def agree(spec: dict[str, Any]) -> bool:
    """Whether both say that the car has room; where it has, both say the same of it."""
    document = loads(text(spec))
    try:
        wanted = Reference(spec)
    except NoRoom:
        with pytest.raises(BadSpec):
            resolve(document)
        return False
    cab = resolve(document)
    assert list(cab.walls) == list(wanted.walls)
    for name, wall in cab.walls.items():
        same(wall, wanted.walls[name])
    return True


def same(wall: Wall, wanted: dict[str, Any]) -> None:
    for key in ("width", "height", "run"):
        assert getattr(wall, key).mm == wanted[key], key
    assert tuple(margin.mm for margin in wall.margins) == wanted["margins"]
    assert [(x.mm, width.mm) for x, width in wall.columns] == wanted["columns"]
    assert [(band.kind, band.y.mm, band.height.mm) for band in wall.bands] == wanted["bands"]
    parts = {
        part.mark: (part.width.mm, part.height.mm, tuple(side.mm for side in part.core or ()))
        for part in wall.parts
        if part.kind != "handrail"
    }
    assert parts == wanted["parts"]
    if wanted["rail"] is None:
        assert wall.rail is None
        return
    assert wall.rail is not None
    for key in ("length", "x", "y", "spacing"):
        assert getattr(wall.rail, key).mm == wanted["rail"][key], key
    assert [standoff.x.mm for standoff in wall.rail.standoffs] == wanted["rail"]["standoffs"]

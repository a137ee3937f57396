"""Finishes: each with its code and its colour as numbers, by band, and what differs on a wall."""

from __future__ import annotations

from collections.abc import Mapping

from cabdraw.cab import WallName
from cabdraw.finish import Finish
from cabdraw.spec.finishes import FinishItem, read_colour
from cabdraw.spec.schema import Spec


def resolve_finishes(spec: Spec) -> tuple[Mapping[str, Finish], Mapping[WallName, Mapping[str, Finish]]]:
    """Every band's finish, and those that differ on a wall; a finish without a code gets the next of F1, F2 and so on.

    What is written alike is one finish, with one code.
    """
    if spec.finishes is None:
        return {}, {}
    given = list(spec.finishes.everywhere())
    taken = {item.code for _, _, _, item in given}
    made: dict[FinishItem, Finish] = {}
    number = 0
    everywhere: dict[str, Finish] = {}
    on_wall: dict[WallName, dict[str, Finish]] = {}
    for _, wall, band, item in given:
        if item not in made:
            code = item.code
            while code is None or (item.code is None and code in taken):
                number += 1
                code = f"F{number}"
            made[item] = _finish(item, code)
        if wall is None:
            everywhere[band] = made[item]
        else:
            on_wall.setdefault(wall, {})[band] = made[item]
    return everywhere, on_wall


def _finish(item: FinishItem, code: str) -> Finish:
    colour = read_colour(item.colour)
    assert colour is not None
    return Finish(code, item.name, item.material, colour, item.colour, item.texture, item.fire)  # type: ignore[arg-type]

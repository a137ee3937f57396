"""The orders in which a tier's panels can go on: outward from any one of them, inward to any one, or joints last."""

from __future__ import annotations

from collections.abc import Iterator

from cabdraw.cab import Wall
from cabdraw.frozen import Frozen
from cabdraw.install.order import Manner


class TierOrder(Frozen):
    """One order: `outward` from panel `start`, `inward` to it, or every panel before any spline (counted from 0)."""

    manner: Manner
    start: int
    marks: tuple[str, ...]


def middle(wall: Wall) -> int:
    """The panel with which a tier begins by default: its middle one, the left of two."""
    return (len(wall.columns) - 1) // 2


def outward(wall: Wall, tier: str, first: int) -> TierOrder:
    """From one panel outward, each joint before its panel, the outer ones last."""
    panels, joints = _panels(wall, tier), _joints(wall, tier)
    found = [panels[first]]
    left, right = first - 1, first + 1
    while left >= 0 or right < len(panels):
        # The side that has more left to do goes next, so that both outer panels come last.
        if right < len(panels) and (left < 0 or len(panels) - right >= left + 1):
            found += [*joints[right - 1], panels[right]]
            right += 1
        else:
            found += [*joints[left], panels[left]]
            left -= 1
    return TierOrder("outward", first, tuple(found))


def inward(wall: Wall, tier: str, last: int) -> TierOrder:
    """End panels first, the closing one last, with the splines of both its joints."""
    panels, joints = _panels(wall, tier), _joints(wall, tier)
    found: list[str] = []
    for at in range(last):
        found += [*(joints[at - 1] if at else ()), panels[at]]
    for at in range(len(panels) - 1, last, -1):
        found += [*(joints[at] if at < len(panels) - 1 else ()), panels[at]]
    closing = [mark for at in (last - 1, last) if 0 <= at < len(joints) for mark in joints[at]]
    return TierOrder("inward", last, (*found, *closing, panels[last]))


def joints_last(wall: Wall, tier: str) -> TierOrder:
    """Every panel, then every spline and strip from above."""
    joints = [mark for joint in _joints(wall, tier) for mark in joint]
    return TierOrder("joints-last", 0, (*_panels(wall, tier), *joints))


def orders(wall: Wall, tier: str) -> Iterator[TierOrder]:
    """Every order, the default first, and then those that are most like it."""
    count, centre = len(wall.columns), middle(wall)
    near = sorted(range(count), key=lambda at: (abs(at - centre), at))
    yield from (outward(wall, tier, at) for at in near)
    yield from (inward(wall, tier, at) for at in near if count > 1)
    if count > 1:
        yield joints_last(wall, tier)


def _panels(wall: Wall, tier: str) -> list[str]:
    return [part.mark for part in wall.panels if part.tier == tier]


def _joints(wall: Wall, tier: str) -> list[tuple[str, ...]]:
    """The marks of each joint from the left: its spline, and its strip if it has one."""
    found: list[list[str]] = [[] for _ in wall.columns[:-1]]
    for kind in ("vertical-spline", "vertical-reveal"):
        for part in wall.parts:
            if part.kind == kind and part.tier == tier and part.order is not None:
                found[part.order - 1].append(part.mark)
    return [tuple(marks) for marks in found]

"""What the parts weigh, each wall and the car together, against what may be added; and the heaviest lift."""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.cab import WALLS, Cab
from cabdraw.frozen import Frozen
from cabdraw.rational import Fraction
from cabdraw.shop.parts import ShopPart
from cabdraw.units import Mass

#: Weight may change by 5 % of rated load plus car mass before the car's safeties and counterweight are looked at
#: again (ASME A17.1 8.7.2.15.2 as a lift consultant's page gives it: 3500 lb + 4000 lb allow 375 lb).
ALLOWED = Fraction(5, 100)
#: What one person lifts alone; two above it (common practice: about 40 lb, 18 kg).
ONE_PERSON = Mass(Fraction(18))


class Masses(Frozen):
    """The masses of a car's new parts. Hardware, adhesive and edge bands' own density are not counted.

    `complete` is whether the mass of every part is known; `added` is of those that are. `net` is added less
    removed, None where it is not known what is removed; `allowance` None without rated load and car mass.
    """

    walls: tuple[tuple[str, Mass], ...]
    added: Mass
    complete: bool
    removed: Mass | None
    net: Mass | None
    allowance: Mass | None
    heaviest: ShopPart | None

    @property
    def people(self) -> int:
        """How many people the heaviest part takes to lift."""
        return people(self.heaviest.mass) if self.heaviest is not None else 1


def people(mass: Mass | None) -> int:
    """How many people a part takes to lift, as far as its mass says: one, or two above 18 kg."""
    return 2 if mass is not None and mass > ONE_PERSON else 1


def allowance(rated_load: Mass | None, mass: Mass | None) -> Mass | None:
    """How much the mass of a car may change: 5 % of rated load plus its own mass."""
    if rated_load is None or mass is None:
        return None
    return Mass((rated_load.kg + mass.kg) * ALLOWED)


def masses(cab: Cab, parts: Sequence[ShopPart]) -> Masses:
    """The masses of a car by wall, trims with the wall that they are called after."""

    def of(chosen: Sequence[ShopPart]) -> Mass:
        return Mass(sum((part.mass.kg for part in chosen if part.mass is not None), Fraction(0)))

    there = [wall for wall in WALLS if any(part.wall == wall for part in parts)]
    known = [part for part in parts if part.mass is not None]
    added, removed = of(parts), cab.mass.removed
    return Masses(
        walls=tuple((wall, of([part for part in parts if part.wall == wall])) for wall in there),
        added=added,
        complete=len(known) == len(parts),
        removed=removed,
        net=Mass(added.kg - removed.kg) if removed is not None else None,
        allowance=allowance(cab.mass.rated_load, cab.mass.mass),
        heaviest=max(known, key=lambda part: part.mass.kg if part.mass is not None else 0, default=None),
    )


def part_masses(parts: Sequence[ShopPart]) -> dict[str, Mass | None]:
    """The mass of each resolved part by its mark, all its pieces together; None if one is not known."""
    found: dict[str, Mass | None] = {}
    for part in parts:
        if part.kind == "standoff":
            continue
        before = found.get(part.of, Mass(Fraction(0)))
        known = before is not None and part.mass is not None
        found[part.of] = Mass(before.kg + part.mass.kg) if known else None  # type: ignore[union-attr]
    return found

"""What the page shows of a car besides its drawings, in the order in which it is wanted."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from cabdraw.cab import Cab
from cabdraw.check import findings as check
from cabdraw.draw.page import Step
from cabdraw.preview import told
from cabdraw.preview.deputy import FOUND
from cabdraw.report import part_list, told_step
from cabdraw.shop.parts import shop_parts
from cabdraw.site_package import site_plan


class Rest:
    """Works out parts, findings and steps of car after car."""

    def __init__(self) -> None:
        self._steps: Sequence[Step] = ()

    def of(self, cab: Cab) -> Iterator[tuple[str, Any]]:
        """Each topic of one car with what is told of it; findings as they are, for whoever knows the spec's lines."""
        made = shop_parts(cab)
        # The steps are the last to be known, and seldom change: until then a part keeps the one that it had.
        yield "parts", told.parts(part_list(cab, made, self._steps))
        findings = check(cab)
        yield FOUND, findings
        plan = site_plan(cab)
        self._steps = [told_step(cab, step, findings) for step in plan.steps]
        yield "steps", [told.step(step) for step in self._steps]
        yield "parts", told.parts(part_list(cab, made, self._steps))

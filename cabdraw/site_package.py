"""The site's files but for the templates: blocks, hardware, labels, packing list, step sheet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cabdraw.cab import Cab
from cabdraw.draw.blocks_drawing import blocks_sheets
from cabdraw.draw.labels_sheet import label_sheets
from cabdraw.draw.steps import step_sheets
from cabdraw.errors import Finding
from cabdraw.frozen import Frozen
from cabdraw.install.hardware import Need, hardware
from cabdraw.install.kit import Kit, kit
from cabdraw.install.lists import Listed, block_list, hardware_list, packing_list
from cabdraw.install.order import Removal, Stage
from cabdraw.install.packing import Bundle, bundles
from cabdraw.install.parts import Piece, pieces
from cabdraw.install.steps import Step, steps
from cabdraw.resolve.assembly import assembly, removal
from cabdraw.shop.parts import shop_parts

# The writers are imported where they are used: their libraries are slow to load.


class SitePlan(Frozen):
    """All that the installer is told, worked out once."""

    stages: tuple[Stage, ...]
    kit: Kit
    needs: tuple[Need, ...]
    pieces: tuple[Piece, ...]
    bundles: tuple[Bundle, ...]
    removals: tuple[Removal, ...]
    steps: tuple[Step, ...]


def site_plan(cab: Cab) -> SitePlan:
    """The order of a car's work with blocks, hardware, parts and packing."""
    stages = assembly(cab)
    blocks, needs = kit(cab), hardware(cab, stages)
    made = pieces(cab, stages, shop_parts(cab))
    packed, removals = bundles(made), removal(cab)
    return SitePlan(
        stages, blocks, needs, made, packed, removals, steps(cab, stages, blocks, needs, made, packed, removals)
    )


def site_files(cab: Cab, findings: Sequence[Finding], plan: SitePlan) -> Iterator[tuple[str, bytes]]:
    """The files of `site/` by their path there."""
    from cabdraw.write.pdf import pdf_bytes

    yield "blocks.csv", _csv(block_list(cab, plan.kit))
    yield "blocks.pdf", pdf_bytes(blocks_sheets(cab, plan.kit, findings))
    yield "hardware.csv", _csv(hardware_list(cab, plan.steps, plan.needs))
    yield "labels.pdf", pdf_bytes(label_sheets(cab, plan.pieces))
    yield "packing.csv", _csv(packing_list(cab, plan.bundles, plan.steps))
    yield "steps.pdf", pdf_bytes(step_sheets(cab, plan.steps, findings))


def _csv(listed: Listed) -> bytes:
    from cabdraw.write.tables import csv_bytes

    return csv_bytes(listed.heads, listed.rows)

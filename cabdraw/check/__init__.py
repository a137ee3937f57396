"""From the resolved car to findings: what its makers must know before anyone cuts or drills."""

from __future__ import annotations

from cabdraw.cab import Cab
from cabdraw.check.assembly import assembly
from cabdraw.check.boards import boards
from cabdraw.check.codes import all_codes
from cabdraw.check.drilling import drilling
from cabdraw.check.entry import entry
from cabdraw.check.fit import fit
from cabdraw.check.fixings import fixings
from cabdraw.check.fixtures import fixtures
from cabdraw.check.mass import mass
from cabdraw.check.metal import metal
from cabdraw.check.published import published
from cabdraw.check.rail import rails
from cabdraw.check.shell import shell
from cabdraw.check.stock import stock
from cabdraw.check.tolerance import tolerance
from cabdraw.errors import Finding

__all__ = ["FAMILIES", "all_codes", "findings"]

#: The families of findings, in the order in which they are reported within one severity.
FAMILIES = (
    fit,
    shell,
    assembly,
    entry,
    fixtures,
    drilling,
    metal,
    stock,
    boards,
    mass,
    fixings,
    rails,
    tolerance,
    published,
)
_ORDER = {"error": 0, "warning": 1, "note": 2}


def findings(cab: Cab) -> tuple[Finding, ...]:
    """Everything found about a car, errors first."""
    found = [finding for family in FAMILIES for finding in family(cab)]
    return tuple(sorted(found, key=lambda finding: _ORDER[finding.severity]))

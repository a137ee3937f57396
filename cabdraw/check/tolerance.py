"""What happens to a chain when everything in it is a little off: whether it still goes together, and looks right."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from math import sqrt

from cabdraw.cab import BOARD_BANDS, TIERS, Cab, Tolerances, Wall
from cabdraw.check.codes import code
from cabdraw.errors import Finding
from cabdraw.frozen import Frozen
from cabdraw.install.blocks import end_gaps
from cabdraw.rational import Fraction
from cabdraw.units import ZERO, Length, mm, total

WORST = code(
    "tolerance-worst-case",
    "error",
    "fabrication",
    "with every size off the wrong way at once a row or a stack no longer goes together",
)
LOOKS = code(
    "tolerance-looks",
    "warning",
    "nothing",
    "the last gap of a row or a stack is out of its range more often than 1 time in 20",
)
COVER = code("tolerance-trim-cover", "error", "fabrication", "a trim does not cover its gap everywhere along the wall")

#: How often the last gap may be out of its range before it is a finding (our own limit: 1 in 20).
SELDOM = 0.05
#: Draws of the simulation, and its fixed seed: the same figure every time, on every machine.
DRAWS, SEED = 20000, 1


class Link(Frozen):
    """One size of a chain that may be off: what it is, and how far, either way."""

    what: str
    tolerance: Length


class Chain(Frozen):
    """A chain whose last gap takes what everything else is off; `share` of it falls on one visible gap."""

    what: str
    wall: str
    links: tuple[Link, ...]
    share: Fraction
    room: Length
    """What the last gap has to spare before the chain no longer goes together."""

    @property
    def worst(self) -> Length:
        """How far the last gap is off when everything is off the wrong way at once: the sum of the tolerances."""
        return total(link.tolerance for link in self.links) * self.share

    @property
    def statistical(self) -> float:
        """The root of the sum of squares in mm: for sizes that are off independently of each other."""
        return sqrt(sum(float(link.tolerance) ** 2 for link in self.links)) * float(self.share)

    def simulated(self, limit: Length) -> float:
        """How often the last gap is off by more than a limit, with every size off anywhere within its tolerance.

        A Monte Carlo simulation with a fixed seed; each size is off by an equal chance at any place in its range.
        """
        import numpy as np

        if not self.links or limit >= self.worst:
            return 0.0
        chance = np.random.default_rng(SEED)
        spread = np.array([float(link.tolerance) for link in self.links])
        off = chance.uniform(-1.0, 1.0, size=(DRAWS, len(spread))) @ spread * float(self.share)
        return float(np.mean(np.abs(off) > float(limit)))

    @property
    def shares(self) -> list[tuple[str, float]]:
        """What share of the variance each kind of size has, the largest first."""
        whole = sum(float(link.tolerance) ** 2 for link in self.links)
        if not whole:
            return []
        ordered = sorted(self.links, key=lambda link: link.what)
        found = [
            (what, sum(float(link.tolerance) ** 2 for link in group) / whole)
            for what, group in groupby(ordered, key=lambda link: link.what)
        ]
        return sorted(found, key=lambda pair: (-pair[1], pair[0]))


def row_chain(cab: Cab, wall: Wall, tolerances: Tolerances) -> Chain:
    """A wall's row: joints are set with blocks, so half of what is off falls on the gap at either end."""
    links = [Link("the survey", tolerances.survey)]
    links += [Link("panels' widths", tolerances.cutting) for _ in wall.columns]
    links += [Link("joints' gaps", tolerances.setting) for _ in wall.columns[1:]]
    needed = cab.joint.engagement + cab.joint.clearance
    return Chain("row", wall.name, tuple(links), Fraction(1, 2), min(wall.gaps) - needed)


def stack_chain(cab: Cab, wall: Wall, tolerances: Tolerances) -> Chain | None:
    """A wall's stack, set upwards from the floor: all that is off falls on the gap under the ceiling."""
    last = wall.bands[-1]
    if last.kind != "gap":
        return None
    links = [Link("the survey", tolerances.survey)]
    for band in wall.bands[:-1]:
        if band.kind in (*TIERS, *BOARD_BANDS):
            links.append(Link("boards' heights", tolerances.cutting))
        elif band.kind in ("base", "frieze"):
            links.append(Link("metal's heights", tolerances.cutting))
        elif band.height > ZERO:
            links.append(Link("gaps", tolerances.setting))
    frieze = wall.band("frieze")
    needed = cab.joint.engagement + cab.joint.clearance if frieze is not None else ZERO
    return Chain("stack", wall.name, tuple(links), Fraction(1), last.height - needed)


def chains(cab: Cab) -> Iterator[Chain]:
    """Every chain of a car that has tolerances."""
    if cab.tolerances is None:
        return
    for wall in cab.walls.values():
        yield row_chain(cab, wall, cab.tolerances)
        if (stack := stack_chain(cab, wall, cab.tolerances)) is not None:
            yield stack


def tolerance(cab: Cab) -> Iterator[Finding]:
    """Findings about chains and trims."""
    for chain in chains(cab):
        yield from _chain(cab, chain)
    yield from _cover(cab)


def _millimetres(value: float) -> Length:
    return mm(Fraction(round(value * 1000), 1000))


def _chain(cab: Cab, chain: Chain) -> Iterator[Finding]:
    assert cab.tolerances is not None
    size, decimal = cab.printing.size, cab.printing.decimal
    statistical = _millimetres(chain.statistical)
    last = "each end gap" if chain.what == "row" else "the gap at the ceiling"
    sums = f"{decimal(chain.worst)} at worst and {decimal(statistical)} as a root of squares"
    most = ", ".join(f"{what} {share:.0%}" for what, share in chain.shares[:3])
    if chain.worst > chain.room:
        yield WORST.at(
            f"on the {chain.wall} wall {last} may be off by {sums}, and has {size(max(chain.room, ZERO))} to spare"
            f" before its parts no longer go in (most from {most})",
            ("tolerances",),
            "make the gap wider, or work to closer tolerances",
            chain.wall,
        )
    often = chain.simulated(cab.tolerances.gap)
    if often > SELDOM:
        yield LOOKS.at(
            f"on the {chain.wall} wall {last} is off by more than {size(cab.tolerances.gap)} in {often:.0%} of cars"
            f" ({sums}; most from {most})",
            ("tolerances",),
            f"work closer in {chain.shares[0][0]}, or allow the gap more",
            chain.wall,
        )


def _cover(cab: Cab) -> Iterator[Finding]:
    """Each trim against the widest gap along its height: shells lean, so gaps are not the same all the way up."""
    widths = {part.kind: part.width for part in cab.trims}
    size = cab.printing.size
    for name, wall in cab.walls.items():
        count = len(wall.readings.width)
        heights = [wall.height * Fraction(i, max(count - 1, 1)) for i in range(count)]
        for end, beside in zip((0, 1), cab.neighbours(name), strict=True):
            kind = "front-trim" if beside == "front" else "corner-trim"
            if kind not in widths or (beside not in cab.walls and beside != "front"):
                continue
            off = cab.projection(beside)
            widest = max(_ends(cab, wall, y)[end] - off for y in heights)
            if widest > widths[kind]:
                side = ("left", "right")[end]
                yield COVER.at(
                    f"the gap at the {side} end of the {name} wall opens to {size(widest)} where the shell is widest,"
                    f" and the {kind.replace('-', ' ')} covers {size(widths[kind])}",
                    ("layout", kind.replace("-", "_"), "width"),
                    f"make the trim at least {size(widest)} wide",
                    name,
                )


def _ends(cab: Cab, wall: Wall, y: Length) -> Sequence[Length]:
    return end_gaps(cab, wall, y)

"""Whether each hole through the shell may be drilled, and whether a bolt fits it."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from cabdraw.cab import TIERS, Cab, Rail, Rect, Standoff, Wall
from cabdraw.check.codes import code
from cabdraw.check.figures import figures
from cabdraw.errors import Finding, Path
from cabdraw.units import INCH, ZERO, Length

UNVERIFIED = code(
    "drill-unverified", "warning", "drilling", "nobody has recorded that the space behind the shell was verified"
)
OBSTRUCTION = code(
    "drill-obstruction", "error", "drilling", "something behind the shell lies within the anchor's reach of a hole"
)
DEPTH = code("drill-depth", "error", "drilling", "less clear depth behind the shell than the anchor needs to go in")
EDGE = code(
    "drill-edge", "error", "drilling", "a hole is too near the edge of the band that the rail is bolted through"
)
SPLINE = code("drill-spline", "error", "drilling", "a hole meets a vertical joint or the spline in it")
FIXTURE = code("drill-fixture", "error", "drilling", "a hole meets a fixture or comes within 1 in of its opening")
NO_BOLT = code("bolt-none", "error", "drilling", "no stock bolt is long enough and short enough for both its ends")
NO_SHELL = code("bolt-no-shell", "warning", "nothing", "the shell's thickness is not given, so no bolt can be chosen")

#: Kept between a hole and what it must not meet, over and above the hole's own radius (common practice: 1/8 in).
KEEP_OFF = Length(INCH * Fraction(1, 8))
#: Kept between a hole and the opening for a fixture, behind which its box lies (common practice: 1 in).
KEEP_OFF_FIXTURE = Length(INCH)


def drilling(cab: Cab) -> Iterator[Finding]:
    """Findings about the holes of every rail."""
    for wall in cab.walls.values():
        if wall.rail is not None:
            yield from _wall(cab, wall, wall.rail)


def _wall(cab: Cab, wall: Wall, rail: Rail) -> Iterator[Finding]:
    behind: Path = ("survey", "walls", wall.name, "behind")
    if wall.verified is None:
        yield UNVERIFIED.at(
            f"the space behind the {wall.name} wall's shell is not recorded as verified",
            behind,
            "have the licensed mechanic look behind the shell at every hole, then give behind: {verified: {by, date}}",
            wall.name,
        )
    if rail.insertion is not None and wall.depth is not None and wall.depth < rail.insertion:
        there, wanted = figures(cab, wall.depth, rail.insertion)
        yield DEPTH.at(
            f"behind the {wall.name} wall's shell there is {there} clear, and the anchor needs {wanted} to go in",
            (*behind, "depth"),
            "use an anchor that needs less",
            wall.name,
        )
    yield from _bolt(cab, wall, rail)
    for standoff in rail.standoffs:
        yield from _hole(cab, wall, rail, standoff)


def hole_mark(wall: str, standoff: Standoff) -> str:
    """How a hole is called in findings and on templates."""
    return f"hole-{wall}-{standoff.number}"


def _hole(cab: Cab, wall: Wall, rail: Rail, standoff: Standoff) -> Iterator[Finding]:
    size = cab.printing.size
    radius = rail.hole / 2
    mark = hole_mark(wall.name, standoff)
    called = f"hole {standoff.number} of the {wall.name} wall, {size(standoff.x)} from its left end,"
    for index, thing in enumerate(wall.obstructions):
        reach = _reach(rail)
        if reach is not None and thing.behind >= reach:
            continue
        if _within(standoff, thing.rect, radius + KEEP_OFF):
            deep = f" {size(thing.behind)} behind the shell" if thing.behind else " behind the shell"
            yield OBSTRUCTION.at(
                f"{called} meets the {thing.what}{deep}, {size(thing.rect.x)} to {size(thing.rect.right)} across and"
                f" {size(thing.rect.y)} to {size(thing.rect.top)} up",
                ("survey", "walls", wall.name, "behind", "obstructions", index),
                "move the standoffs with overhang or max_spacing, or have the mechanic move what lies there",
                wall.name,
                (mark,),
            )
    for index, fixture in enumerate(wall.fixtures):
        if _within(standoff, fixture.opening, radius + KEEP_OFF_FIXTURE):
            yield FIXTURE.at(
                f"{called} is within {size(KEEP_OFF_FIXTURE)} of the opening for the {fixture.what}",
                ("survey", "walls", wall.name, "fixtures", index),
                "move the standoffs with overhang or max_spacing",
                wall.name,
                (mark,),
            )
    yield from _edges(cab, wall, rail, standoff, called, mark)
    joint = cab.joint
    if rail.through in TIERS:
        keep = wall.reveal / 2 + joint.groove_depth + max(radius, (rail.flange or rail.hole) / 2) + KEEP_OFF
        for x, width in wall.columns[:-1]:
            middle = x + width + wall.reveal / 2
            if (off := abs(standoff.x - middle)) < keep:
                there, wanted = figures(cab, off, keep)
                yield SPLINE.at(
                    f"{called} is {there} from the middle of the joint at {size(middle)};"
                    f" the grooves there need {wanted}",
                    ("handrail", "max_spacing"),
                    "move the standoffs with overhang or max_spacing, or move the joint",
                    wall.name,
                    (mark,),
                )


def _within(standoff: Standoff, rect: Rect, reach: Length) -> bool:
    """Whether a hole's centre lies nearer to a rectangle than so much."""
    across = max(rect.x - standoff.x, standoff.x - rect.right, ZERO)
    up = max(rect.y - standoff.y, standoff.y - rect.top, ZERO)
    return across.mm**2 + up.mm**2 < reach.mm**2


def _reach(rail: Rail) -> Length | None:
    """How far behind the shell the anchor or the bolt reaches; None where it is not known, so that everything counts.

    The bolt may reach as far as it is longer than what it goes through, before the standoff takes its end.
    """
    known = [rail.insertion] if rail.insertion is not None else []
    if rail.bolt is not None and rail.bolt.length is not None:
        known.append(rail.bolt.length - rail.bolt.stack)
    return max(known, default=None)


def _edges(cab: Cab, wall: Wall, rail: Rail, standoff: Standoff, called: str, mark: str) -> Iterator[Finding]:
    """The whole hole clear of the grooves in the band's edges, the whole flange on the band."""
    size = cab.printing.size
    band = wall.band(rail.through)
    assert band is not None
    upright = min(standoff.y - band.y, band.top - standoff.y)
    across = min(standoff.x - wall.margins[0], wall.row_end - standoff.x)
    needed = max(cab.joint.groove_depth + rail.hole / 2 + KEEP_OFF, rail.hole * 2, (rail.flange or rail.hole) / 2)
    placed: Path = (*wall.places.stack, wall.bands.index(band), band.kind)
    on_tier: Path = ("handrail",)
    for near, edge, path, hint in (
        (
            upright,
            "upper or lower edge",
            placed if rail.through == "backer" else on_tier,
            f"make the {rail.through} higher" if rail.through == "backer" else "move the rail up or down",
        ),
        (across, "end", ("handrail", "overhang"), "make overhang or end_clearance greater"),
    ):
        if near < needed:
            there, wanted = figures(cab, near, needed)
            yield EDGE.at(
                f"{called} is {there} from the {edge} of the {rail.through}, and needs {wanted}"
                f" (its groove {size(cab.joint.groove_depth)} deep, the hole {size(rail.hole)})",
                path,
                hint,
                wall.name,
                (mark,),
            )


def _bolt(cab: Cab, wall: Wall, rail: Rail) -> Iterator[Finding]:
    decimal = cab.printing.decimal
    bolt = rail.bolt
    if bolt is None:
        if rail.bolted and wall.shell is None:
            yield NO_SHELL.at(
                f"the {wall.name} wall's shell thickness is not given, so no bolt length can be worked out",
                ("survey", "walls", wall.name),
                "measure the shell and give e.g. shell: 0.0781",
                wall.name,
            )
        return
    if bolt.length is None:
        window = f"at least {decimal(bolt.shortest)}"
        if bolt.longest is not None:
            window += f" and at most {decimal(bolt.longest)}"
        impossible = bolt.longest is not None and bolt.longest < bolt.shortest
        yield NO_BOLT.at(
            f"on the {wall.name} wall the bolt goes through {decimal(bolt.stack)} (panel, air gap and shell)"
            f" and must be {window} long; " + ("no length is" if impossible else "no stock length is"),
            ("handrail", "bolt", "lengths"),
            "use another standoff or anchor" if impossible else f"stock a bolt {window} long",
            wall.name,
        )

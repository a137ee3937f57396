"""Whether each hole through the shell may be drilled, and whether a bolt fits it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import hypot

from cabdraw.cab import Cab, Rail, Standoff, Wall
from cabdraw.check.codes import code
from cabdraw.check.figures import figures
from cabdraw.errors import Finding, Path
from cabdraw.rational import Fraction
from cabdraw.resolve.standoffs import (
    KEEP_OFF_FIXTURE,
    MORE,
    MOST,
    ClearSet,
    KeepOut,
    clear_set,
    edge_distance,
    keep_outs,
    rule_bays,
)
from cabdraw.units import Length

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
OLD_HOLE = code("drill-old-hole", "error", "drilling", "a hole meets one that is in the shell already")
TOO_LARGE = code("standoff-hole", "error", "drilling", "an old hole is too large for the anchor that is to go in it")
SPACING = code("standoff-spacing", "error", "drilling", "old holes for standoffs are further apart than the rail bears")
OVERHANG = code("standoff-overhang", "warning", "nothing", "a rail reaches too far, or too little, past an old hole")
MOVED = code("standoffs-moved", "note", "nothing", "standoffs stand elsewhere than the rule puts them, to be clear")
NO_BOLT = code("bolt-none", "error", "drilling", "no stock bolt is long enough and short enough for both its ends")
NO_SHELL = code("bolt-no-shell", "warning", "nothing", "the shell's thickness is not given, so no bolt can be chosen")


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
    outs = tuple(keep_outs(wall, rail, cab.joint))
    found = clear_set(rail, outs) if rail.placing.by != "existing" else None
    mend = _mend(cab, wall, rail, found)
    for standoff in rail.standoffs:
        yield from _hole(cab, wall, rail, standoff, outs, mend)
    if rail.placing.by == "clear" and found is not None:
        yield from _moved(cab, wall, rail, found)
    if rail.placing.by == "existing":
        yield from _old(cab, wall, rail)


def hole_mark(wall: str, standoff: Standoff) -> str:
    """How a hole is called in findings and on templates."""
    return f"hole-{wall}-{standoff.number}"


def _listed(words: Sequence[str]) -> str:
    *most, last = words
    return f"{', '.join(most)} and {last}" if most else last


def _mend(cab: Cab, wall: Wall, rail: Rail, found: ClearSet | None) -> str:
    """What would set the holes clear: the places that the solver proposes, or that there are none."""
    size = cab.printing.size
    if rail.placing.by == "existing":
        return f"take the hole out of survey.walls.{wall.name}.holes, if the others hold the rail without it"
    bays, placing = rule_bays(rail), rail.placing
    if bays >= MOST:
        return f"give fewer standoffs: for a rail with more than {MOST} no other places are looked for"
    if found is None:
        return (
            f"no symmetric set of {bays + 1} to {bays + 1 + MORE} standoffs is clear, {size(placing.least_overhang)} to"
            f" {size(placing.greatest_overhang)} from the rail's ends and at most {size(placing.greatest_spacing)}"
            " apart: widen those limits, move the rail, or clear its way"
        )
    places = _listed([size(place) for place in found.places])
    return f"write standoffs: clear in handrail, which sets {len(found.places)} of them clear, at {places}"


def _moved(cab: Cab, wall: Wall, rail: Rail, found: ClearSet) -> Iterator[Finding]:
    """What moved which standoff, where the nearest clear set is not the rule's own."""
    if not found.blocked:
        return
    size = cab.printing.size
    said = [f"hole {number} would meet {_listed(things)}" for number, things in found.blocked]
    went = [f"hole {move.number} from {size(move.start)} to {size(move.end)}" for move in found.moves]
    also = [
        f"hole {move.number} of {len(found.places)} would meet {_listed(move.met)}" for move in found.moves if move.met
    ]
    text = f"by the rule, {_listed(said)}"
    if found.more:
        count = len(found.places)
        text += f", and no set of fewer is clear: there are {count} standoffs in place of {count - found.more}"
        text += f"; evenly spaced, {_listed(also)}" if also else ""
    if went:
        text += f"; moved: {_listed(went)}"
    yield MOVED.at(
        f"the {wall.name} wall's standoffs stand clear: {text}",
        ("handrail", "standoffs"),
        "nothing to do, if the rail may be held there",
        wall.name,
        tuple(hole_mark(wall.name, rail.standoffs[move.number - 1]) for move in found.moves),
    )


def _hole(
    cab: Cab, wall: Wall, rail: Rail, standoff: Standoff, outs: Sequence[KeepOut], mend: str
) -> Iterator[Finding]:
    size = cab.printing.size
    marks = (hole_mark(wall.name, standoff),)
    called = f"hole {standoff.number} of the {wall.name} wall, {size(standoff.x)} from its left end,"
    surveyed: Path = ("survey", "walls", wall.name)
    seen: set[str] = set()
    for out in outs:
        if not out.meets(standoff.x, standoff.y):
            continue
        across, up = out.away(standoff.x, standoff.y)
        if out.what == "obstruction":
            thing = wall.obstructions[out.index]
            deep = f" {size(thing.behind)} behind the shell" if thing.behind else " behind the shell"
            yield OBSTRUCTION.at(
                f"{called} meets the {thing.what}{deep}, {size(thing.rect.x)} to {size(thing.rect.right)} across and"
                f" {size(thing.rect.y)} to {size(thing.rect.top)} up",
                (*surveyed, "behind", "obstructions", out.index),
                f"{mend}; or have the mechanic move what lies there",
                wall.name,
                marks,
            )
        elif out.what == "fixture":
            yield FIXTURE.at(
                f"{called} is within {size(KEEP_OFF_FIXTURE)} of {out.called}",
                (*surveyed, "fixtures", out.index),
                mend,
                wall.name,
                marks,
            )
        elif out.what in ("edge", "end") and out.what not in seen:
            yield _edge(cab, wall, rail, standoff, out, called, mend)
        elif out.what == "joint":
            there, wanted = figures(cab, across, out.reach)
            assert out.left is not None
            yield SPLINE.at(
                f"{called} is {there} from the middle of the joint at {size(out.left)};"
                f" the grooves there need {wanted}",
                ("handrail", "max_spacing"),
                f"{mend}; or move the joint",
                wall.name,
                marks,
            )
        elif out.what == "hole" and not (rail.placing.by == "existing" and not across and not up):
            apart = Length(Fraction(hypot(across.mm, up.mm))) if across and up else across + up
            there, wanted = figures(cab, apart, out.reach)
            yield OLD_HOLE.at(
                f"{called} is {there} from the middle of {out.called}, and needs {wanted}",
                (*surveyed, "holes", out.index),
                mend,
                wall.name,
                marks,
            )
        seen.add(out.what)


def _edge(cab: Cab, wall: Wall, rail: Rail, standoff: Standoff, out: KeepOut, called: str, mend: str) -> Finding:
    """The whole hole clear of the grooves in the band's edges, the whole flange on the band."""
    size = cab.printing.size
    band = wall.band(rail.through)
    assert band is not None
    on_backer = rail.through == "backer"
    if out.what == "edge":
        near, edge = min(standoff.y - band.y, band.top - standoff.y), "upper or lower edge"
        path: Path = (*wall.places.stack, wall.bands.index(band), band.kind) if on_backer else ("handrail",)
        hint = f"make the {rail.through} higher" if on_backer else "move the rail up or down"
    else:
        near, edge = min(standoff.x - wall.margins[0], wall.row_end - standoff.x), "end"
        path, hint = ("handrail", "overhang"), f"make overhang or end_clearance greater; or {mend}"
    there, wanted = figures(cab, near, edge_distance(rail, cab.joint))
    return EDGE.at(
        f"{called} is {there} from the {edge} of the {rail.through}, and needs {wanted}"
        f" (its groove {size(cab.joint.groove_depth)} deep, the hole {size(rail.hole)})",
        path,
        hint,
        wall.name,
        (hole_mark(wall.name, standoff),),
    )


def _old(cab: Cab, wall: Wall, rail: Rail) -> Iterator[Finding]:
    """Whether old holes hold the rail: no larger than the anchor's, near enough to each other and to its ends."""
    size, placing = cab.printing.size, rail.placing
    holes: Path = ("survey", "walls", wall.name, "holes")
    for index, hole in enumerate(wall.holes):
        for standoff in rail.standoffs:
            if (hole.x, hole.y) == (standoff.x, standoff.y) and (hole.diameter or rail.hole) > rail.hole:
                assert hole.diameter is not None
                there, wanted = figures(cab, hole.diameter, rail.hole)
                yield TOO_LARGE.at(
                    f"hole {standoff.number} of the {wall.name} wall, {size(standoff.x)} from its left end, is an old"
                    f" one of {there}, and the anchor's is {wanted}",
                    (*holes, index),
                    "use an anchor for the larger hole, or other holes",
                    wall.name,
                    (hole_mark(wall.name, standoff),),
                )
    for number, bay in enumerate(rail.bays, 1):
        if bay > placing.greatest_spacing:
            there, wanted = figures(cab, bay, placing.greatest_spacing)
            yield SPACING.at(
                f"old holes {number} and {number + 1} of the {wall.name} wall are {there} apart, and standoffs may be"
                f" {wanted}",
                ("handrail", "max_spacing"),
                "write standoffs: clear, which drills new holes clear of the old ones",
                wall.name,
                tuple(hole_mark(wall.name, rail.standoffs[i]) for i in (number - 1, number)),
            )
    for standoff, reach in (
        (rail.standoffs[0], rail.standoffs[0].x - rail.x),
        (rail.standoffs[-1], rail.right - rail.standoffs[-1].x),
    ):
        if not placing.least_overhang <= reach <= placing.greatest_overhang:
            yield OVERHANG.at(
                f"the {wall.name} wall's rail reaches {size(reach)} past hole {standoff.number}, and should"
                f" {size(placing.least_overhang)} to {size(placing.greatest_overhang)}",
                ("handrail", "end_clearance"),
                "make the rail longer or shorter with end_clearance, or give other limits with min_overhang and"
                " max_overhang",
                wall.name,
                (hole_mark(wall.name, standoff),),
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

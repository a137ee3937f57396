"""Whether a car goes together part by part, whether what is hidden clashes, and what comes off again."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cabdraw.cab import Cab, Wall
from cabdraw.check.codes import code
from cabdraw.check.figures import figures
from cabdraw.check.fit import END_GAP, GROOVE, HEADROOM, limits
from cabdraw.errors import Finding, Path
from cabdraw.rational import Fraction
from cabdraw.resolve.assembly import assembled, removal
from cabdraw.resolve.bodies import lip
from cabdraw.resolve.hidden import Meeting, meetings
from cabdraw.resolve.paths import Blocked
from cabdraw.resolve.simulate import Assembled, Trapped
from cabdraw.resolve.tier_orders import middle
from cabdraw.units import INCH, ZERO, Length, mm

NO_PATH = code(
    "assembly-no-path",
    "error",
    "fabrication",
    "a part has no way from inside the car to its place, past what is fixed before it",
)
CLASH = code(
    "assembly-hidden-clash",
    "error",
    "fabrication",
    "two hidden parts - splines, tabs, strips - are in one place in one plane",
)
TIGHT = code(
    "assembly-groove-tight",
    "warning",
    "nothing",
    "what stands one before the other in a groove is a little thicker than the groove is wide",
)
THICK = code("assembly-groove-width", "error", "fabrication", "a spline, strip or tab is thicker than its groove")
LIP = code(
    "assembly-groove-lip",
    "warning",
    "nothing",
    "less than 3/16 in (4.8 mm) of board is left before a groove, or 1/4 in (6.4 mm) behind it: it may break out",
)
THROUGH = code("assembly-groove-through", "error", "fabrication", "a groove leaves nothing of the board behind it")
ORDER = code("assembly-order", "note", "nothing", "a tier goes on in another order than from its middle outward")
ROUND = code(
    "assembly-round-fixture",
    "note",
    "nothing",
    "a part comes to its place from beside it, farther than the clearance round a fixture: its face is off meanwhile",
)
REMOVAL = code("assembly-removal", "note", "nothing", "panels that do not come off again without others")

#: Least board before and behind a groove (common practice: 3/16 in and 1/4 in).
LEAST_LIP, LEAST_BACK = Length(INCH * Fraction(3, 16)), Length(INCH * Fraction(1, 4))
#: What a groove may want in width so that parts still go in, pressed or eased (common practice: 1/64 in).
EASED = Length(INCH * Fraction(1, 64))


def assembly(cab: Cab) -> Iterator[Finding]:
    """Findings about how the car goes together."""
    yield from _thickness(cab)
    yield from _lips(cab)
    said = tuple(limits(cab))
    tight: list[Meeting] = []
    for wall in cab.walls.values():
        done = assembled(cab, wall)
        clashes = [meeting for meeting in meetings(cab, wall) if meeting.excess > ZERO]
        tight += [meeting for meeting in clashes if _eased(meeting)]
        clashes = [meeting for meeting in clashes if not _eased(meeting)]
        yield from _clash(cab, wall, clashes)
        known = {thing.mark for meeting in clashes for thing in (meeting.first, meeting.second)}
        yield from _trapped(cab, wall, [t for t in done.trapped if not _said(said, wall, t, known)])
        yield from _orders(wall, done)
        yield from _round(cab, wall, done)
    yield from _tight(cab, tight)
    yield from _removal(cab)


def _said(said: Sequence[Finding], wall: Wall, trapped: Trapped, clashing: set[str]) -> bool:
    """Whether fit, or a clash, says already why a part is trapped: one fault is one finding."""
    if trapped.meets is not None and clashing & {trapped.mark, trapped.meets[0]}:
        return True
    here = {finding.code for finding in said if finding.wall in (None, wall.name)}
    by = {block.by for block in trapped.tried} | ({trapped.meets[0]} if trapped.meets else set())
    ends = any(_end(name) for name in by)
    return (
        GROOVE.code in here
        or (END_GAP.code in here and ends)
        or (HEADROOM.code in here and trapped.mark.startswith("frieze"))
    )


def _end(name: str) -> bool:
    """Whether a name is that of what stands at an end of a wall."""
    return name.endswith((" return", "'s panels", "'s shell"))


def _length(value: float) -> Length:
    return mm(Fraction(round(value * 10**6), 10**6))


def _trapped(cab: Cab, wall: Wall, every: Sequence[Trapped]) -> Iterator[Finding]:
    """One finding for all parts of a wall that one thing in the spec would free."""
    groups: dict[Path, list[Trapped]] = {}
    mends: dict[Path, str] = {}
    for trapped in every:
        path, hint = _mend(cab, wall, trapped)
        groups.setdefault(path, []).append(trapped)
        mends.setdefault(path, hint)
    for path, group in groups.items():
        text = _no_path(cab, wall, group[0])
        marks = tuple(trapped.mark for trapped in group)
        if len(marks) > 1:
            text += f"; nor {'have' if group[0].meets is None else 'do'} {', '.join(marks[1:])}"
        yield NO_PATH.at(text, path, mends[path], wall.name, marks)


def _no_path(cab: Cab, wall: Wall, trapped: Trapped) -> str:
    if trapped.meets is not None:
        by, deep = trapped.meets
        return f"{trapped.mark} does not fit in its place: it would overlap {by} {_decimal(cab, deep)} in depth"
    seen: dict[str, str] = {}
    for block in sorted(trapped.tried, key=lambda block: block.overlap):
        # What stands farther in a way than the move is long says nothing about that move.
        if not seen or not block.needs or _length(block.overlap) <= block.needs:
            seen.setdefault(block.by, _barred(cab, block))
    return f"{trapped.mark} has no way to its place on the {wall.name} wall: {'; '.join([*seen.values()][:2])}"


def _decimal(cab: Cab, value: float) -> str:
    return cab.printing.decimal(_length(value))


def _figure(cab: Cab, value: float) -> str:
    return figures(cab, _length(value))[0]


def _barred(cab: Cab, block: Blocked) -> str:
    """One way that is not free, in words with its numbers."""
    way, size = block.way, cab.printing.size
    moves = []
    if way.raised:
        moves.append(f"from {size(way.raised)} above")
    if way.across:
        moves.append(f"from {size(abs(way.across))} to its {'right' if way.across > ZERO else 'left'}")
    how = " and ".join(moves) or "straight in"
    if way.kind in ("slip", "slip-drop"):
        how = "with its splines drawn back"
    over = _length(block.overlap)
    if not block.needs or block.needs < over or way.kind in ("slip", "slip-drop"):
        return f"{how}, {block.by} stands {_figure(cab, block.overlap)} in its way"
    if block.needs == over:
        return f"{how} it needs {size(block.needs)}, and has none before it meets {block.by}"
    needs, has = figures(cab, block.needs, block.needs - over)
    return f"{how} it needs {needs}, and has {has} before it meets {block.by}"


def _mend(cab: Cab, wall: Wall, trapped: Trapped) -> tuple[Path, str]:
    """The place in the spec that frees a part, and what to write there."""
    size, joint, block = cab.printing.size, cab.joint, trapped.nearest
    by = trapped.meets[0] if trapped.meets is not None else block.by
    # A trim that laps is what makes a part come from beside its place at all; and where there is no headroom to let
    # a part down, what it would be let down over is no fault of its own.
    for first in ("front-trim", "the ceiling"):
        if (
            other := next((t for t in trapped.tried if t.by.startswith(first) and t.way.kind != "from-above"), None)
        ) is not None:
            by, block = other.by, other
            break
    more = size(_length(block.overlap))
    if by == "the ceiling":
        last = len(wall.bands) - 1
        path: Path = (*wall.places.stack, last, wall.bands[last].kind)
        return path, f"leave {size(block.way.raised)} above it, {more} more than there is"
    if by.startswith("front-trim"):
        margins = zip(wall.margins, cab.neighbours(wall.name), strict=True)
        lap = max(lip(cab) - margin for margin, beside in margins if beside == "front")
        return (
            ("profiles", "front_trim"),
            f"let the trim's leg lap less than the {size(lap)} it does, make the gap at the wall's other end at least"
            f" {size(lap + joint.clearance)}, or set the trim after the panels",
        )
    if by.startswith("corner-trim"):
        return ("profiles", "corner_trim"), "make the trim's sheet thinner than the air gap, or the air gap deeper"
    if _end(by):
        end = 0 if by.startswith("the " + cab.neighbours(wall.name)[0]) else 1
        return wall.places.margins[end], f"make the gap there at least {more} wider"
    deep = 2 * joint.engagement + joint.clearance
    return (
        ("layout", "joint", "groove_depth"),
        f"make groove_depth at least {size(deep)}, so that splines can be drawn back into it, or leave"
        f" {size(joint.engagement + joint.clearance)} free beside and above the part",
    )


def _eased(meeting: Meeting) -> bool:
    """Whether two things that belong one before the other are so little too thick that they still go in."""
    return meeting.layered and meeting.excess <= EASED


def _clash(cab: Cab, wall: Wall, clashes: Sequence[Meeting]) -> Iterator[Finding]:
    """Hidden things in one place and one plane: one finding for each two sorts of a wall."""
    size = cab.printing.size
    sorts: dict[tuple[str, str], list[Meeting]] = {}
    for meeting in clashes:
        sorts.setdefault((meeting.first.sort, meeting.second.sort), []).append(meeting)
    for pair, found in sorts.items():
        a, b, shared = found[0].first, found[0].second, found[0].shared
        path: Path = ("layout", "joint")
        hint = f"set one of them back by {size(min(shared.width, shared.height) + cab.joint.clearance)}"
        if found[0].layered:
            hint = f"make groove_width at least {cab.printing.decimal(a.thickness + b.thickness)}"
        elif pair == ("strip", "strip"):
            path = ("profiles",)
            hint = f"make the reveals' legs no longer than the engagement, {size(cab.joint.engagement)}"
        more = f", and so do {len(found) - 1} more" if len(found) > 1 else ""
        yield CLASH.at(
            f"{a.mark} and {b.mark} overlap in the groove, {size(shared.width)} across, {size(shared.height)} up and"
            f" {cab.printing.decimal(found[0].excess)} deep{more}",
            path,
            hint,
            wall.name,
            tuple(dict.fromkeys(mark for m in found for mark in (m.first.mark, m.second.mark))),
        )


def _tight(cab: Cab, tight: Sequence[Meeting]) -> Iterator[Finding]:
    """One finding for each pair of sorts, not for each joint."""
    decimal = cab.printing.decimal
    kinds: dict[tuple[str, str], Meeting] = {}
    for meeting in tight:
        a, b = sorted((meeting.first, meeting.second), key=lambda thing: thing.sort)
        kinds.setdefault((a.sort, b.sort), Meeting(a, b, meeting.shared, meeting.excess, True))
    for (first, second), meeting in sorted(kinds.items()):
        one, other = meeting.first.thickness, meeting.second.thickness
        yield TIGHT.at(
            f"a {first} of {decimal(one)} and a {second} of {decimal(other)} stand one before the other in grooves"
            f" {decimal(cab.joint.groove_width)} wide, and take {decimal(one + other)}",
            ("layout", "joint"),
            f"make groove_width at least {decimal(one + other)}, or take a thinner spline or strip",
        )


def _thickness(cab: Cab) -> Iterator[Finding]:
    joint, size = cab.joint, cab.printing.decimal
    for what, thickness in (
        ("spline", joint.spline_thickness),
        ("strip", joint.strip_thickness),
        ("tab", joint.tab_thickness),
    ):
        if thickness > joint.groove_width:
            yield THICK.at(
                f"a {what} is {size(thickness)} thick, and the groove is {size(joint.groove_width)} wide",
                ("layout", "joint"),
                f"make groove_width at least {size(thickness)}",
            )


def _lips(cab: Cab) -> Iterator[Finding]:
    """What is left of the board before and behind its grooves, once for each thickness of panel."""
    joint, size = cab.joint, cab.printing.size
    if joint.groove_offset < LEAST_LIP:
        yield LIP.at(
            f"grooves leave a lip of {size(joint.groove_offset)} before them; {size(LEAST_LIP)} is common practice",
            ("layout", "joint"),
            f"make groove_offset at least {size(LEAST_LIP)}",
        )
    seen: set[Length] = set()
    for wall in cab.walls.values():
        back = wall.thickness - joint.groove_offset - joint.groove_width
        if back >= LEAST_BACK or wall.thickness in seen:
            continue
        seen.add(wall.thickness)
        taken = f"{size(joint.groove_offset)} before the groove and {size(joint.groove_width)} for it"
        if back <= ZERO:
            yield THROUGH.at(
                f"the {wall.name} wall's boards are {size(wall.thickness)} thick: {taken} leave nothing behind it",
                ("layout", "joint"),
                "make groove_offset or groove_width less, or the board thicker",
                wall.name,
            )
        else:
            yield LIP.at(
                f"the {wall.name} wall's boards are {size(wall.thickness)} thick: {taken} leave {size(back)} behind it;"
                f" {size(LEAST_BACK)} is common practice",
                ("layout", "joint"),
                "make groove_offset or groove_width less, or the board thicker",
                wall.name,
            )


def _orders(wall: Wall, done: Assembled) -> Iterator[Finding]:
    for tier, order in done.orders:
        first = wall.panels[0].order or 1
        panel = f"panel {order.start + first}"
        if order.manner == "outward" and order.start == middle(wall):
            continue
        how = {
            "outward": f"from {panel} outward",
            "inward": f"from its ends to {panel}, which goes straight in with its splines drawn back into its grooves;"
            " slide them out through the joints, and fix them there",
            "joints-last": "with every panel before any spline, and the splines let down from above",
        }[order.manner]
        yield ORDER.at(
            f"the {wall.name} wall's {tier} tier goes on {how}: from its middle outward it has no way",
            ("layout", "walls", wall.name),
            "follow the order of the steps",
            wall.name,
        )


def _round(cab: Cab, wall: Wall, done: Assembled) -> Iterator[Finding]:
    """Parts with an opening round a fixture that they do not come straight in over."""
    size = cab.printing.size
    ways = {mark: step.way for step in done.steps for mark in step.marks}
    for part in wall.parts:
        way = ways.get(part.mark)
        for cut in part.cuts:
            if way is None or cut.kind not in ("hole", "notch"):
                continue
            clear = wall.fixtures[cut.index].clearance
            moves = [
                f"{size(length)} {where}"
                for length, where in (
                    (way.raised, "above"),
                    (max(way.across, ZERO), "to its right"),
                    (max(-way.across, ZERO), "to its left"),
                )
                if length > clear
            ]
            if moves:
                yield ROUND.at(
                    f"{part.mark} comes to its place from {' and '.join(moves)}, and its opening clears the"
                    f" {cut.fixture} by {size(clear)} all round",
                    ("survey", "walls", wall.name, "fixtures", cut.index),
                    f"have the {cut.fixture}'s face off while {part.mark} is set, by whoever may disconnect it",
                    wall.name,
                    (part.mark,),
                )


def _removal(cab: Cab) -> Iterator[Finding]:
    every = removal(cab)
    held = [found for found in every if not found.alone]
    if not held:
        return
    worst = max(held, key=lambda found: len(found.first))
    joint, size = cab.joint, cab.printing.size
    alone = len(every) - len(held)
    deep = max(joint.base_tab, joint.engagement) + joint.engagement + joint.clearance
    way = f"takes {len(worst.first)} others off first" if worst.first else "does not come off as it hangs"
    yield REMOVAL.at(
        f"{alone} of {len(every)} panels come off again alone; {worst.mark} {way} ({worst.why})",
        ("layout", "joint", "groove_depth"),
        f"tell the owner; grooves at least {size(deep)} deep let a panel at the end of a row be lifted off its foot",
        marks=(worst.mark,),
    )

"""Screws and pad studs through the shell: what had to move, what must be left out, what nobody has verified."""

from __future__ import annotations

from collections.abc import Iterator

from cabdraw.cab import Cab, Wall
from cabdraw.check.codes import code
from cabdraw.check.figures import figures
from cabdraw.errors import Finding, Path
from cabdraw.install.screws import CALLED, FixingLine, Meets, fixing_lines

MOVED = code("fixing-moved", "note", "nothing", "a screw or a pad stud was moved clear of what it would meet")
LEFT_OUT = code("fixing-left-out", "warning", "nothing", "a screw or a pad stud is left out, as no clear place is near")
UNVERIFIED = code(
    "fixing-unverified",
    "warning",
    "drilling",
    "screws or pad studs enter a shell that nobody has recorded as verified clear behind",
)

_KEY = {"base-screw": "base_screws", "spline-screw": "spline_screws", "pad-stud": "pad_studs"}


def fixings(cab: Cab) -> Iterator[Finding]:
    """Findings about everything but the rail that enters the shell."""
    for wall in cab.walls.values():
        lines = fixing_lines(cab, wall)
        # Where there is a rail, its holes say already that nobody looked behind the shell.
        if lines and wall.verified is None and wall.rail is None:
            yield UNVERIFIED.at(
                f"screws enter the {wall.name} wall's shell, and the space behind it is not recorded as verified",
                ("survey", "walls", wall.name, "behind"),
                "have the licensed mechanic look behind the shell, then give behind: {verified: {by, date}}",
                wall.name,
            )
        for line in lines:
            yield from _moved(cab, wall, line)
            yield from _left_out(cab, wall, line)


def _path(wall: Wall, met: Meets, line: FixingLine) -> Path:
    survey: Path = ("survey", "walls", wall.name)
    if met.source == "obstruction":
        return (*survey, "behind", "obstructions", met.index)
    if met.source == "fixture":
        return (*survey, "fixtures", met.index)
    return ("fixings", _KEY[line.kind])


def _thing(met: Meets) -> str:
    return met.what if met.source == "joint" else f"the {met.what}"


def _moved(cab: Cab, wall: Wall, line: FixingLine) -> Iterator[Finding]:
    size = cab.printing.size
    for met in dict.fromkeys(fixing.moved for fixing in line.fixings if fixing.moved is not None):
        of = [fixing for fixing in line.fixings if fixing.moved == met]
        each = ", ".join(
            f"{size(fixing.wanted)} to {size(fixing.x if line.axis == 'x' else fixing.y)}" for fixing in of
        )
        along = "from the left end" if line.axis == "x" else "above the floor"
        many = f"{len(of)} {CALLED[line.kind]}s" if len(of) > 1 else f"a {CALLED[line.kind]}"
        verb = "are" if len(of) > 1 else "is"
        yield MOVED.at(
            f"{many} of {line.mark} {verb} moved clear of {_thing(met)}: {each} {along}",
            _path(wall, met, line),
            "see that it suits; another spacing moves them all",
            wall.name,
            (line.mark,),
        )


def _left_out(cab: Cab, wall: Wall, line: FixingLine) -> Iterator[Finding]:
    if not line.left_out:
        return
    met = line.left_out[0][1]
    things = " and ".join(dict.fromkeys(_thing(other) for _, other in line.left_out))
    (widest,) = figures(cab, line.widest)
    count = len(line.left_out)
    many = f"{count} {CALLED[line.kind]}s" if count > 1 else f"a {CALLED[line.kind]}"
    verb = "are" if count > 1 else "is"
    yield LEFT_OUT.at(
        f"{many} of {line.mark} {verb} left out, as {things} {'lie' if ' and ' in things else 'lies'} there;"
        f" its widest bay is now {widest}",
        _path(wall, met, line),
        "hold the part otherwise there, with adhesive say, or have the mechanic move what lies there",
        wall.name,
        (line.mark,),
    )

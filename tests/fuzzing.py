"""Specs good and bad by the thousand, each looked at in a process of its own that is measured.

What is asked of each: no exception but a refusal, no more than 2 s of processor time - of a package that is drawn, no
more from one file to the next -, no more than 300 MB, every refusal with its place, and of every car that is accepted
that its own checks hold.
"""

from __future__ import annotations

import copy
import gc
import io
import json
import os
import pickle
import resource
import signal
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from itertools import pairwise
from pathlib import Path
from time import process_time
from typing import Any

import grammar
import put_back
import yaml
from cars import cars
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from cabdraw.cab import Cab
from cabdraw.errors import BadSpec
from cabdraw.install.blocks import blocks
from cabdraw.package import Looked, build, look
from cabdraw.record import record
from cabdraw.resolve.openings import coverage
from cabdraw.units import ZERO, total

SPECS = sorted((Path(__file__).parent.parent / "specs").glob("*.yaml"))
#: Processor time in which a spec is resolved and checked, and what a process may come to hold.
SECONDS, MEGABYTES = 2.0, 300
#: What a process holds that has only loaded what a spec is resolved and checked with, in megabytes.
LOADED = 60.0
#: A package is some hundred files, and all are read back; this only catches what never ends.
DRAWN_SECONDS = 60.0

Draw = grammar.Draw
Work = Callable[[Path], Any]


def shipped() -> list[dict[str, Any]]:
    """The shipped specs as plain values."""
    return [yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader) for path in SPECS]


def as_text(spec: Any) -> bytes:
    """A spec as a file holds it: JSON is YAML too."""
    return json.dumps(spec, indent=1).encode("utf-8", "surrogatepass")


@st.composite
def good(draw: Draw) -> bytes:
    """A car of any make with more put in that the format has, most often one that can be built."""
    which = draw(st.integers(0, 9))
    if which == 0:
        spec = grammar.smallest(draw(st.sampled_from(("inch", "mm"))))
    elif which < 4:
        spec = copy.deepcopy(draw(st.sampled_from(shipped())))
    else:
        spec = draw(cars())
    return as_text(draw(grammar.grown(spec, draw(st.sampled_from((0, 1, 2, 3, 5, 9))))))


@st.composite
def made_up(draw: Draw) -> bytes:
    """A spec of the grammar alone, wild ones among them: mostly refused, for many things at once."""
    return as_text(draw(grammar.sections(grammar.Spec, draw(st.booleans()))))


def places(thing: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """Every place in plain values."""
    items = thing.items() if isinstance(thing, dict) else enumerate(thing) if isinstance(thing, list) else ()
    for key, item in items:
        yield (*path, key)
        yield from places(item, (*path, key))


@st.composite
def mangled(draw: Draw) -> bytes:
    """A shipped spec with values, lists and sections changed, moved, doubled, left out or replaced."""
    spec = copy.deepcopy(draw(st.sampled_from(shipped())))
    for _ in range(draw(st.sampled_from((1, 1, 2, 3, 8)))):
        every = list(places(spec))
        *way, last = draw(st.sampled_from(every))
        around: Any = spec
        for step in way:
            around = around[step]
        what = draw(st.integers(0, 6))
        if what == 0:
            del around[last]
        elif what == 1:
            around[last] = draw(grammar.misplaced())
        elif what == 2 and isinstance(around, list):
            around[last:last] = [copy.deepcopy(around[last])] * draw(st.sampled_from((1, 2, 50, 250)))
        elif what == 3 and isinstance(around[last], list):
            around[last] = draw(st.permutations(around[last]))
        elif what == 4:
            *other, name = draw(st.sampled_from(every))
            found: Any = spec
            for step in (*other, name):
                found = found[step] if isinstance(found, dict) and step in found else found
            around[last] = copy.deepcopy(found)
        elif isinstance(around, dict) and what == 5:
            around[draw(st.text(max_size=6))] = around.pop(last)
        else:
            around[last] = draw(st.sampled_from(grammar.POOL))
        if not spec:
            break
    return as_text(spec)


_PIECES = (
    b"\x00", b"\xff", b"\xef\xbb\xbf", b"\xff\xfe", b"\xc0\xaf", b"\xed\xa0\x80", b"\xe2\x80\xae", b"\r", b"\n", b"\t",
    b"---\n", b"...\n", b"%YAML 1.2\n", b"!!python/object:os.system ", b"&a ", b"*a", b"<<: ", b"? ", b"- ", b": ",
    b"[", b"]", b"{", b"}", b"|\n", b">\n", b"'", b'"', b"#", b"\\u0000", b"[" * 50, b"{a: " * 50, b"- " * 200, b"~",
    b"include: /etc/passwd\n", b"include: /dev/zero\n", b"cars: {a: {}, b: {}}\n",
)  # fmt: skip


@st.composite
def bytes_changed(draw: Draw) -> bytes:
    """The text of a shipped spec with bytes changed, pieces put in, cut out, doubled or swapped."""
    text = bytearray(draw(st.sampled_from(SPECS)).read_bytes())
    for _ in range(draw(st.sampled_from((1, 1, 1, 2, 4, 16)))):
        at = draw(st.integers(0, len(text)))
        end = min(len(text), at + draw(st.sampled_from((1, 1, 2, 5, 20, 300))))
        what = draw(st.integers(0, 4))
        if what == 0:
            text[at:end] = draw(st.binary(max_size=3))
        elif what == 1:
            text[at:at] = draw(st.sampled_from(_PIECES))
        elif what == 2:
            del text[at:end]
        elif what == 3:
            text[at:at] = text[at:end]
        else:
            other = draw(st.integers(0, len(text)))
            text[other:other] = text[at:end]
    return bytes(text)


#: Kinds of spec, with how many of twenty are of each.
KINDS: dict[str, tuple[st.SearchStrategy[bytes], int]] = {
    "good": (good(), 10),
    "made up": (made_up(), 3),
    "mangled": (mangled(), 4),
    "bytes": (bytes_changed(), 3),
}


@dataclass(frozen=True)
class Seen:
    """What became of one spec: `refused`, `accepted`, or what went wrong with it.

    Of one that was drawn also the seconds that drawing took, and those from one file to the next at most.
    """

    outcome: str
    said: str = ""
    seconds: float = 0.0
    megabytes: float = 0.0
    places: int = 0
    drawing: float = 0.0
    longest: float = 0.0


@dataclass
class Tally:
    """What became of many."""

    outcomes: Counter[str] = field(default_factory=Counter)
    wrong: list[tuple[bytes, Seen]] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)
    drawing: list[float] = field(default_factory=list)
    longest: list[float] = field(default_factory=list)
    megabytes: float = 0.0
    errors: int = 0

    def add(self, kind: str, text: bytes, seen: Seen) -> None:
        """Count one."""
        self.outcomes[f"{kind}: {seen.outcome}"] += 1
        self.seconds.append(seen.seconds)
        if seen.drawing:
            self.drawing.append(seen.drawing)
            self.longest.append(seen.longest)
        self.megabytes = max(self.megabytes, seen.megabytes)
        self.errors += seen.places
        if seen.outcome not in ("refused", "accepted"):
            self.wrong.append((text, seen))


def unplaced(refusal: BadSpec) -> list[str]:
    """Errors of a refusal that have no place although the file could be read, and such as say nothing."""
    whole = ["is empty", "larger than 1 MB", "errors more"]
    if any(error.line and "cannot be used" in error.what for error in refusal.errors):
        whole.append("there is no such file")  # a file of rules, whose name stands at the place that was just said
    return [
        str(error)
        for error in refusal.errors
        if not error.what.strip() or "\n" in str(error)
        or (not (error.line and error.column) and not any(words in error.what for words in whole))
    ]  # fmt: skip


def misfits(cab: Cab) -> Iterator[str]:
    """What does not add up in a resolved car."""
    marks = [part.mark for part in cab.parts]
    if len(marks) != len(set(marks)):
        yield "two parts have one mark"
    for name, wall in cab.walls.items():
        widths = [width for _, width in wall.columns]
        if total([*wall.margins, *widths, wall.reveal * (len(widths) - 1)]) != wall.width:
            yield f"{name}: the row does not close"
        if any(x + width + wall.reveal != beyond for (x, width), (beyond, _) in pairwise(wall.columns)):
            yield f"{name}: columns do not follow one another"
        if wall.bands[0].y != ZERO or wall.bands[-1].top != wall.height:
            yield f"{name}: the stack does not fill the wall"
        if any(band.top != above.y for band, above in pairwise(wall.bands)):
            yield f"{name}: bands do not follow one another"
        if coverage(wall):
            yield f"{name}: something is covered twice or not at all"
        if any(size <= ZERO for part in wall.parts for size in (part.width, part.height)):
            yield f"{name}: a part of no size"


def unclosed(told: dict[str, Any]) -> Iterator[str]:
    """What does not add up in resolved.json, in which each figure is rounded to 0.000001 mm."""
    for name, wall in told["walls"].items():
        near = 2e-6
        tiers: dict[str, list[Any]] = {}
        for panel in wall["panels"]:
            tiers.setdefault(panel["tier"], []).append(panel)
        for tier, panels in tiers.items():
            ends = [(panel["x"], panel["x"] + panel["width"]) for panel in panels]
            if (
                abs(ends[0][0] - wall["margins"][0]) > near
                or abs(ends[-1][1] + wall["margins"][1] - wall["width"]) > near
            ):
                yield f"{name}: {tier} does not reach from margin to margin"
        if abs(sum(band["height"] for band in wall["bands"]) - wall["height"]) > near * len(wall["bands"]):
            yield f"{name}: bands do not add up to the height"


def looked_at(path: Path) -> Seen:
    """Resolve and check a spec, and hold what comes of it against itself."""
    try:
        looked = look(path)
    except BadSpec as refusal:
        bad = unplaced(refusal)
        return Seen("unplaced", "\n".join(bad)) if bad else Seen("refused", places=len(refusal.errors))
    for finding in looked.findings:
        looked.document.source.place(finding.path)
        if "\n" in finding.message or not finding.message:
            return Seen("misfit", f"{finding.code}: {finding.message!r}")
    wrong = [*misfits(looked.cab), *unclosed(json.loads(json.dumps(told(looked))))]
    return Seen("misfit", "; ".join(wrong)) if wrong else Seen("accepted")


def told(looked: Looked) -> dict[str, Any]:
    """What resolved.json is to say."""
    return record(looked.cab, looked.findings, blocks(looked.cab))


def drawn(path: Path) -> Seen:
    """Draw a spec's whole package and read it back."""
    from conftest import sheets_seen
    from ezdxf import recover
    from legible import faults

    try:
        looked = look(path)
    except BadSpec:
        return Seen("refused")
    finished = [process_time()]
    with sheets_seen(lambda: finished.append(process_time())) as sheets:
        files = build(looked.cab, looked.findings)
    finished.append(process_time())
    wrong = [*misfits(looked.cab), *unclosed(json.loads(files["resolved.json"]))]
    if (longest := max(end - begun for begun, end in pairwise(finished))) > SECONDS:
        wrong.append(f"no file was finished for {longest:.1f} s")
    if "shop/cut-list.csv" in files:
        wrong += put_back.misfits(looked.cab, put_back.rows(files["shop/cut-list.csv"]))
    for name, content in files.items():
        if name.endswith(".dxf"):
            _, audit = recover.read(io.BytesIO(content))
            wrong += [f"{name}: {error.message}" for error in (*audit.errors, *audit.fixes)]
    for sheet in sheets.values():
        wrong += [f"illegible: {fault}" for fault in faults(sheet)]
    seen = Seen("misfit", "\n".join(wrong)) if wrong else Seen("accepted")
    return replace(seen, places=len(sheets), drawing=finished[-1] - finished[0], longest=longest)


class Slow(BaseException):
    """More time was taken than there is."""


def alone(text: bytes, path: Path, work: Work, seconds: float = SECONDS) -> Seen:
    """Do the work on a spec in a process of its own, measured: processor time, and the most memory ever held.

    The process is a copy of this one. Of what this one holds already - much, after many other tests - as much counts
    as a process holds that has only loaded what the work needs.
    """
    path.write_bytes(text)
    held = max(0.0, _held() - LOADED)
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        _work(path, work, seconds, writing)
    os.close(writing)
    with os.fdopen(reading, "rb") as pipe:
        answer = pipe.read()
    _, status, used = os.wait4(child, 0)
    taken, most = used.ru_utime + used.ru_stime, used.ru_maxrss / 1024 - held
    if not answer:
        return Seen("died", f"the process ended with {os.waitstatus_to_exitcode(status)}", taken, most)
    seen: Seen = pickle.loads(answer)
    outcome = seen.outcome
    if outcome in ("refused", "accepted") and taken > seconds:
        outcome = "slow"
    if outcome in ("refused", "accepted") and most > MEGABYTES:
        outcome = "large"
    return replace(seen, outcome=outcome, seconds=taken, megabytes=most)


def _held() -> float:
    """How many megabytes of memory this process holds."""
    return int(Path("/proc/self/statm").read_text().split()[1]) * resource.getpagesize() / (1 << 20)


def _work(path: Path, work: Work, seconds: float, writing: int) -> None:
    def stop(*_: object) -> None:
        raise Slow

    # What the parent made is not looked through for what can go: to look at it is to copy it.
    gc.freeze()
    signal.signal(signal.SIGPROF, stop)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    # Nothing that is measured as 300 MB needs more of these; the next larger wish is refused, not paged.
    resource.setrlimit(resource.RLIMIT_DATA, (4 << 30, 4 << 30))
    try:
        seen = work(path)
    except Slow:
        seen = Seen("slow", traceback.format_exc(limit=-12))
    except BaseException:
        seen = Seen("traceback", traceback.format_exc(limit=-8))
    signal.setitimer(signal.ITIMER_PROF, 0)
    os.write(writing, pickle.dumps(replace(seen, said=seen.said[:20_000])))
    os.close(writing)
    os._exit(0)


def each(
    number: int,
    start: int,
    folder: Path,
    work: Work,
    seconds: float = SECONDS,
    kinds: dict[str, tuple[st.SearchStrategy[bytes], int]] = KINDS,
) -> Tally:
    """Have so many specs worked on, of each kind its part, from a seed."""
    tally = Tally()
    every = sum(part for _, part in kinds.values())

    def add(kind: str, text: bytes) -> None:
        tally.add(kind, text, alone(text, folder / "spec.yaml", work, seconds))

    for kind, (strategy, part) in kinds.items():
        some = settings(
            max_examples=-(-number * part // every), deadline=None, database=None, phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )  # fmt: skip
        seed(start)(some(given(st.just(kind), strategy)(add)))()
    return tally


def told_of(tally: Tally) -> str:
    """What went wrong, each kind of mistake once, with the specs that show it."""
    seen: dict[str, tuple[int, bytes, Seen]] = {}
    for text, found in tally.wrong:
        key = found.outcome + ": " + found.said.strip().splitlines()[-1][:160] if found.said.strip() else found.outcome
        count, first, kept = seen.get(key, (0, text, found))
        seen[key] = (count + 1, min(first, text, key=len), kept)
    return "\n\n".join(
        f"{count} times {key}\n{found.said[-3000:]}\n{found.seconds:.2f} s, {found.megabytes:.0f} MB\n"
        f"{text[:1500].decode('utf-8', 'replace')}"
        for key, (count, text, found) in seen.items()
    )

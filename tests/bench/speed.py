"""How fast cabdraw is, as ratios to floors measured beside it: `python -m tests.bench.speed [--keep] [--cars N]`.

What is compared runs by turns, so that whatever else the machine does falls on both alike; times are process time
(user and system), medians of several turns. `--keep` stores the ratios; without it they are set beside the stored
ones, and one that is over 20 % worse is marked and makes the exit status 1.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import median

from cabdraw.looked import look
from cabdraw.resolve.assembly import wall_stages
from cabdraw.resolve.simulate import assemble

from .counting import counts

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
SPEC = ROOT / "specs/larkspur-car-2.yaml"
LARGEST = ROOT / "specs/orchard-street-service-car.yaml"
KEPT = HERE / "speed.json"
#: Worse than the stored ratio by more than this is a regression.
WORSE = 1.2
CABDRAW = (sys.executable, "-c", "from cabdraw.cli import main; main()")
LIBRARIES = "import yaml, pydantic, typer, shapely"
ONE_MODEL = f"{LIBRARIES}\nclass A(pydantic.BaseModel):\n    a: int = 1"


@dataclass(frozen=True, slots=True)
class Row:
    """One sentence to hold: what was measured, in which unit, and the most that it may be (None for no limit)."""

    name: str
    value: float
    unit: str
    limit: float | None
    how: str


def used(command: Sequence[str | Path], **more: str) -> float:
    """The seconds of process time that a command and its children take."""
    before = os.times()
    subprocess.run(
        command, check=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=ROOT, env=os.environ | more
    )
    after = os.times()
    return after.children_user + after.children_system - before.children_user - before.children_system


def by_turns(times: int, *works: Callable[[], float]) -> list[float]:
    """The median of what each gives, taken by turns; a first turn warms the disk and does not count."""
    turns = [[work() for work in works] for _ in range(times + 1)][1:]
    return [median(turn) for turn in zip(*turns, strict=True)]


def cold(folder: Path, times: int) -> list[Row]:
    """The whole package of the inch example, and `check`, each beside its floor."""
    out, counted = folder / "out", folder / "counts.json"
    subprocess.run([*CABDRAW, "draw", SPEC, "--out", out, "-q"], check=False, stdout=subprocess.DEVNULL, cwd=ROOT)
    counted.write_text(json.dumps(counts(out / SPEC.stem)))

    def draw() -> float:
        shutil.rmtree(out)
        return used([*CABDRAW, "draw", SPEC, "--out", out, "-q"])

    drawn, floor = by_turns(times, draw, lambda: used([sys.executable, HERE / "floor.py", counted, folder / "floor"]))
    checked, imported, model = by_turns(
        times,
        lambda: used([*CABDRAW, "check", SPEC, "-q"]),
        lambda: used([sys.executable, "-c", LIBRARIES]),
        lambda: used([sys.executable, "-c", ONE_MODEL]),
    )
    return [
        Row("draw, cold", drawn / floor, "× floor", 1.5, f"{drawn:.2f} s, floor {floor:.2f} s"),
        Row("check, cold", checked / imported, "× imports", 1.5, f"{checked:.2f} s, imports {imported:.2f} s"),
        Row("check, cold, a model made", checked / model, "× imports", None, f"imports and one model {model:.2f} s"),
    ]


def elevations(folder: Path, kind: str, times: int) -> list[float]:
    """The seconds of each of some redraws of all walls in one process."""
    command = [sys.executable, HERE / "elevations.py", SPEC, folder, kind, str(times)]
    done = subprocess.run(command, check=True, capture_output=True, text=True, cwd=ROOT)
    return [float(line) for line in done.stdout.split()]


def warm(folder: Path, times: int) -> list[Row]:
    """All walls again in one process, and how the time grows with the panels."""
    redraw = median(elevations(folder, "svg", 3 + 5 * times)[3:])
    many = folder / "many.yaml"
    text = SPEC.read_text()
    for few, tenfold in (
        ("{panels: 3}", "{panels: 30}"),
        ("{panels: 2}", "{panels: 20}"),
        ("{panels: [1, 2]}", f"{{panels: [{', '.join(['1', '2'] * 10)}]}}"),
    ):
        assert few in text
        text = text.replace(few, tenfold)
    many.write_text(text)

    def draw(spec: Path) -> float:
        return used([*CABDRAW, "draw", spec, "--out", folder / "grown", "-q"])

    start = ("import cabdraw.package, cabdraw.write.dxf_parts, cabdraw.write.page, cabdraw.write.pdf,"
             " cabdraw.write.svg, cabdraw.write.workbook")  # fmt: skip

    def begin() -> float:
        # As the command has it, which begins no threads of linear algebra either.
        return used([sys.executable, "-c", start], OPENBLAS_NUM_THREADS="1")

    one, ten, begun = by_turns(2, lambda: draw(SPEC), lambda: draw(many), begin)
    growth = (ten - begun) / (one - begun)
    return [
        Row("all walls again, warm", redraw * 1000, "ms", 50.0, "text to SVG, of three walls"),
        Row("10 times the panels", growth, "× time", 11.0, f"{one:.2f} s and {ten:.2f} s, start-up {begun:.2f} s"),
    ]


def together(times: int) -> list[Row]:
    """All walls of the car with the most parts, put together part by part."""
    car = look(LARGEST).cab

    def put() -> float:
        begun = time.process_time()
        for wall in car.walls.values():
            assemble(car, wall, tuple(wall_stages(wall)))
        return time.process_time() - begun

    (taken,) = by_turns(times, put)
    return [Row("all walls put together, warm", taken * 1000, "ms", 100.0, LARGEST.stem)]


def hundred(folder: Path, cars: int) -> list[Row]:
    """Many cars in two processes, beside two bare scripts that write half as many packages each."""
    specs = folder / "cars"
    specs.mkdir()
    for number in range(cars):
        shutil.copy(SPEC, specs / f"car-{number:03}.yaml")
    command = [*CABDRAW, "draw", *sorted(specs.glob("*.yaml")), "--out", folder / "hundred", "-j", "2", "-q"]
    begun = time.monotonic()
    run = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    tenth, last, lists = 0, 0, 0
    while run.poll() is None:
        time.sleep(0.1)
        done = len(list((folder / "hundred").glob("*/resolved.json")))
        memory = sum(map(resident, family(run.pid)))
        if done >= 10:
            tenth = tenth or memory
            last = memory if done < cars and memory else last
            lists = max(lists, memory) if done >= cars else lists
    ours = time.monotonic() - begun
    floor = [sys.executable, HERE / "floor.py", folder / "counts.json"]
    begun = time.monotonic()
    twice = [subprocess.Popen([*floor, folder / f"bare-{n}", str(cars // 2)]) for n in (1, 2)]
    for bare in twice:
        bare.wait()
    theirs = time.monotonic() - begun
    said = f"{cars} cars {ours:.0f} s, two bare scripts {theirs:.0f} s, by the clock"
    grown = f"{tenth >> 20} MB at the 10th car, {last >> 20} at the last, {lists >> 20} for the lists over all"
    return [
        Row("many cars, -j 2", ours / theirs, "× bare", 1 / 0.9, said),
        Row("memory, last car to 10th", last / max(tenth, 1), "×", 1.1, grown),
    ]


def family(process: int) -> list[int]:
    """A process and all that it and its children started, as Linux lists them."""
    try:
        children = Path(f"/proc/{process}/task/{process}/children").read_text().split()
    except OSError:
        return []
    return [process, *(each for child in children for each in family(int(child)))]


def resident(process: int) -> int:
    """The bytes of memory that are a process's own, so that what it shares with others counts once."""
    try:
        lines = Path(f"/proc/{process}/smaps_rollup").read_text().splitlines()
    except OSError:
        return 0
    return sum(int(line.split()[1]) << 10 for line in lines if line.startswith("Pss:"))


def freecad(folder: Path, times: int) -> list[Row]:
    """The same three elevations drawn and exported by FreeCAD."""
    program = shutil.which("freecadcmd") or shutil.which("FreeCADCmd")
    if program is None:
        print("FreeCAD is not installed: not compared")
        return []
    counted = json.loads((folder / "counts.json").read_text())
    same = {path: each for path, each in counted.items() if path.startswith("drawings/elevation") and "layouts" in each}
    (folder / "elevations.json").write_text(json.dumps(same))

    def its(rounds: int) -> subprocess.CompletedProcess[str]:
        told = {"COUNTS": str(folder / "elevations.json"), "FOLDER": str(folder), "TIMES": str(rounds)}
        script = [program, HERE / "freecad_elevations.py"]
        return subprocess.run(script, capture_output=True, text=True, env=os.environ | told, check=False)

    def its_cold() -> float:
        before = os.times()
        its(1)
        after = os.times()
        return after.children_user + after.children_system - before.children_user - before.children_system

    ours = (sys.executable, HERE / "elevations.py", SPEC, folder, "dxf", "1")
    cold_ours, cold_its = by_turns(times, lambda: used(ours), its_cold)
    again = [float(line.split()[-1]) for line in its(6).stdout.splitlines() if "SECONDS" in line][1:]
    warm_ours, warm_its = median(elevations(folder, "dxf", 8)[3:]), median(again)
    return [
        Row("three elevations, cold", cold_ours / cold_its, "× FreeCAD", 1.0, f"{cold_ours:.2f} s, {cold_its:.2f} s"),
        Row("three elevations, warm", warm_ours / warm_its, "× FreeCAD", 1 / 3, f"{warm_ours:.3f} s, {warm_its:.3f} s"),
    ]


def table(rows: Sequence[Row], kept: dict[str, float]) -> tuple[str, bool]:
    """The ratios beside their limits and the stored ones, and whether one is over 20 % worse than stored."""
    lines = ["| what | measured | at most | reached | stored | how |", "| --- | --- | --- | --- | --- | --- |"]
    regressed = False
    for row in rows:
        before = kept.get(row.name)
        slower = before is not None and row.value > before * WORSE
        regressed |= slower
        stored = "" if before is None else f"{before:.2f}{' **over 20 % worse**' if slower else ''}"
        limit = "" if row.limit is None else f"{row.limit:.2f}"
        reached = "" if row.limit is None else "yes" if row.value <= row.limit else "no"
        lines.append(f"| {row.name} | {row.value:.2f} {row.unit} | {limit} | {reached} | {stored} | {row.how} |")
    return "\n".join(lines), regressed


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--keep", action="store_true", help="store the ratios, to be compared with later")
    parser.add_argument("--cars", type=int, default=100, help="how many cars are drawn at once; 0 for none")
    parser.add_argument("--times", type=int, default=5, help="how many turns are measured")
    asked = parser.parse_args()
    kept = json.loads(KEPT.read_text()) if KEPT.exists() else {}
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        # Modules are compiled once, as they are where the tool is installed, whatever is set outside.
        os.environ["PYTHONPYCACHEPREFIX"] = str(folder / "compiled")
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        rows = [*cold(folder, asked.times), *warm(folder, asked.times), *together(asked.times)]
        rows += freecad(folder, asked.times)
        rows += hundred(folder, asked.cars) if asked.cars else []
    text, regressed = table(rows, kept)
    print(text)
    if asked.keep:
        KEPT.write_text(json.dumps({**kept, **{row.name: round(row.value, 3) for row in rows}}, indent=1) + "\n")
    return int(regressed and not asked.keep)


if __name__ == "__main__":
    sys.exit(main())

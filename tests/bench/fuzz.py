"""Ten thousand specs good and bad resolved and checked, two hundred cars drawn: `python -m tests.bench.fuzz`.

Prints the table of README.md, and what went wrong, if anything did; the status is 1 then.
"""

from __future__ import annotations

import argparse
import os
import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from tempfile import TemporaryDirectory

sys.path.insert(0, str(Path(__file__).parent.parent))

import fuzzing

MOST = {"look": (fuzzing.looked_at, fuzzing.SECONDS), "draw": (fuzzing.drawn, fuzzing.DRAWN_SECONDS)}


def part(what: str, number: int, seed: int) -> fuzzing.Tally:
    """One worker's share."""
    work, seconds = MOST[what]
    kinds = fuzzing.KINDS if what == "look" else {"good": fuzzing.KINDS["good"]}
    with TemporaryDirectory() as folder:
        return fuzzing.each(number, seed, Path(folder), work, seconds, kinds)


def whole(what: str, number: int, seed: int, workers: int) -> fuzzing.Tally:
    """All workers' shares together, each from a seed of its own."""
    workers = min(workers, number)
    shares = [(what, (number + n) // workers, seed * 1000 + n) for n in range(workers)]
    together = fuzzing.Tally()
    if not shares:
        return together
    with ProcessPoolExecutor(workers) as pool:
        for tally in pool.map(part, *zip(*shares, strict=True)):
            together.outcomes += tally.outcomes
            together.wrong += tally.wrong
            together.seconds += tally.seconds
            together.drawing += tally.drawing
            together.longest += tally.longest
            together.megabytes = max(together.megabytes, tally.megabytes)
            together.errors += tally.errors
    return together


def spread(seconds: list[float]) -> str:
    """The time within which half of all are done, 99 of 100, and all."""
    times = sorted(seconds) or [0.0]
    return ", ".join(f"{times[min(len(times) - 1, int(len(times) * at))]:.2f}" for at in (0.5, 0.99, 1.0))


def table(looked: fuzzing.Tally, drawn: fuzzing.Tally) -> str:
    """What came of them."""
    lines = [
        "| what | specs | accepted | refused | wrong | CPU s, half / 99 of 100 / all | most MB |",
        "| - " * 7 + "|",
    ]
    for what, tally in (("resolved and checked", looked), ("drawn and read back", drawn)):
        count = {
            name: sum(n for kind, n in tally.outcomes.items() if kind.endswith(name))
            for name in ("accepted", "refused")
        }
        lines.append(
            f"| {what} | {len(tally.seconds)} | {count['accepted']} | {count['refused']} | {len(tally.wrong)}"
            f" | {spread(tally.seconds)} | {tally.megabytes:.0f} |"
        )
    lines += ["", f"Of it drawing: {spread(drawn.drawing)} s; from one file to the next: {spread(drawn.longest)} s."]
    lines += ["", f"Errors said, each with its line and column: {looked.errors}. Sheets read back: {drawn.errors}.", ""]
    lines += ["| kind of spec | outcome | how many |", "| --- | --- | --- |"]
    lines += [f"| {name.replace(': ', ' | ')} | {count} |" for name, count in sorted(looked.outcomes.items())]
    return "\n".join(lines)


def main() -> int:
    """Run it all."""
    typed = argparse.ArgumentParser(description=__doc__)
    typed.add_argument("--look", type=int, default=10_000)
    typed.add_argument("--draw", type=int, default=200)
    typed.add_argument("--seed", type=int, default=1)
    typed.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    given = typed.parse_args()
    looked = whole("look", given.look, given.seed, given.workers)
    drawn = whole("draw", given.draw, given.seed, given.workers)
    print(table(looked, drawn))
    for tally in (looked, drawn):
        if tally.wrong:
            print(fuzzing.told_of(tally))
    return int(bool(looked.wrong or drawn.wrong))


if __name__ == "__main__":
    sys.exit(main())

"""Nesting held against published optima and bounds: `python -m tests.bench.nesting`.

Times are printed as multiples of a yardstick that is measured first, so that they can be set side by side from
different machines.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from random import Random
from time import process_time

from cabdraw.shop.nesting import Bar, BarPiece, BoardPiece, Sheet, cut_bars, nest_boards
from cabdraw.shop.nesting.guillotine import best_limited, best_unlimited

from .published import BINS, CGCUT, GCUT, GCUT_TURNED, bins, plate

INCH = Fraction(127, 5)
KERF, TRIM = Fraction(16, 5), Fraction(10)
FOUR_BY_EIGHT = Sheet("4x8", Fraction(1220), Fraction(2440), grain="height")
FIVE_BY_TEN = Sheet("5x10", Fraction(1525), Fraction(3050), grain="height")


def cab(cars: int) -> list[BoardPiece]:
    """The panels, backers and friezes of some cars alike: 18 parts a car in 6 sizes, the grain upright on panels."""
    pieces = []
    for car in range(cars):
        for mark, many, width, height, grain in (
            ("lower-back", 3, Fraction(607, 32), Fraction(45), "height"),
            ("upper-back", 3, Fraction(607, 32), Fraction(441, 10), "height"),
            ("lower-side", 4, Fraction(3009, 100), Fraction(45), "height"),
            ("upper-side", 4, Fraction(3009, 100), Fraction(441, 10), "height"),
            ("backer", 2, Fraction(61), Fraction(6), "width"),
            ("frieze", 2, Fraction(61), Fraction(4), "width"),
        ):
            for number in range(many):
                pieces.append(BoardPiece(f"{car}-{mark}-{number}", width * INCH, height * INCH, grain))  # type: ignore[arg-type]
    return pieces


def chance(number: int, seed: int, free: bool) -> list[BoardPiece]:
    """Parts of 150 to 1000 by 150 to 1500 mm by chance; with `free`, half of them have no grain and may be turned."""
    random = Random(seed)
    pieces = []
    for i in range(number):
        width, height = Fraction(150 + int(random.random() * 850)), Fraction(150 + int(random.random() * 1350))
        pieces.append(BoardPiece(f"p{i}", width, height, None if free and random.random() < 0.5 else "height"))
    return pieces


def yardstick() -> float:
    """The seconds that one and the same small reckoning takes here."""
    best = 1e9
    for _ in range(5):
        begun = process_time()
        total = 0
        for i in range(1_000_000):
            total += i & 7
        best = min(best, process_time() - begun)
    return best


def rows() -> Iterator[tuple[str, str, Callable[[], tuple[str, str]]]]:
    """Each instance: its name, what is published, and what works it out: the value reached, and whether proved."""
    for number, best in GCUT.items():
        one = plate(f"gcut{number}")
        yield (
            f"gcut{number}",
            str(best),
            lambda one=one: (str(best_unlimited(one.width, one.height, one.wanted).value), "proved"),
        )
    for number, best in GCUT_TURNED.items():
        one = plate(f"gcut{number}", turned=True)
        yield (
            f"gcut{number}r",
            str(best),
            lambda one=one: (str(best_unlimited(one.width, one.height, one.wanted).value), "proved"),
        )
    for number, best in CGCUT.items():
        one = plate(f"cgcut{number}")

        def limited(one=one) -> tuple[str, str]:
            found = best_limited(one.width, one.height, one.wanted)
            return str(found.value), "proved" if found.proved else "not proved"

        yield f"cgcut{number}", str(best), limited
    for name, number in BINS.items():
        room, sizes = bins(name)

        def lengths(room=room, sizes=sizes) -> tuple[str, str]:
            pieces = [BarPiece(str(i), Fraction(size)) for i, size in enumerate(sizes)]
            plan = cut_bars(pieces, [Bar("bin", Fraction(room))])
            return str(len(plan.bars)), f"gap {float(plan.gap):.1%}"

        yield name, str(number), lengths
    for cars in (1, 2, 4):
        for sheets in ([FOUR_BY_EIGHT], [FOUR_BY_EIGHT, FIVE_BY_TEN]):
            sizes_said = " and ".join(sheet.name for sheet in sheets)
            yield f"{cars} cars on {sizes_said}", "", lambda cars=cars, sheets=sheets: nested(cab(cars), sheets)
    for number in (20, 30, 50, 100, 300):
        for seed in (1, 2, 3):
            yield (
                f"{number} parts by chance, {seed}",
                "",
                lambda number=number, seed=seed: nested(chance(number, seed, True), [FOUR_BY_EIGHT]),
            )
    for number in (20, 30):
        for seed in range(1, 7):
            yield (
                f"{number} parts, none turned, {seed}",
                "",
                lambda number=number, seed=seed: nested(chance(number, seed, False), [FOUR_BY_EIGHT]),
            )


def nested(pieces: list[BoardPiece], sheets: list[Sheet]) -> tuple[str, str]:
    """How many sheets, the yield, and the gap."""
    plan = nest_boards(pieces, sheets, KERF, TRIM)
    return f"{len(plan.sheets)} sheets, {float(plan.used):.1%}", f"gap {float(plan.gap):.1%}"


def main() -> None:
    """Print a table of all instances."""
    unit = yardstick()
    print("| instance | published | reached | | time |")
    print("| --- | --- | --- | --- | --- |")
    for name, best, run in rows():
        begun = process_time()
        reached, proof = run()
        print(f"| {name} | {best} | {reached} | {proof} | {(process_time() - begun) / unit:.2g} |", flush=True)


if __name__ == "__main__":
    main()

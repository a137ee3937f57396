"""The two worked examples, every number in them, exactly and as `resolved.json` says them.

`worked/` holds each car's spec and its sizes, worked out by hand-made arithmetic apart from this code.
"""

from __future__ import annotations

import json
from collections import Counter
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from cabdraw.cab import Cab, Part
from cabdraw.check import findings
from cabdraw.install.blocks import blocks
from cabdraw.record import record
from cabdraw.resolve import resolve
from cabdraw.spec import load
from cabdraw.units import INCH, Length

HERE = Path(__file__).parent
WORKED = sorted((HERE / "worked").glob("*.json"), key=lambda path: path.stem)
#: Each car as it was worked out, and as it is shipped, with what else a spec may hold.
CARS = [(folder, path.stem) for path in WORKED for folder in (HERE / "worked", HERE.parent / "specs")]
#: How far from the exact length a figure of resolved.json may be, in mm.
WITHIN = 0.000002


class Worked:
    """One car: its sizes as worked out, as resolved and as recorded."""

    def __init__(self, folder: Path, name: str) -> None:
        self.sizes: dict[str, Any] = json.loads((HERE / "worked" / f"{name}.json").read_text(encoding="utf-8"))
        self.cab: Cab = resolve(load(folder / f"{name}.yaml"))
        self.record = record(self.cab, findings(self.cab), blocks(self.cab))
        self.inch = self.sizes["units"] == "inch"

    def mm(self, figure: str) -> Length:
        """A figure such as 23 13/32 as an exact length."""
        value = sum((Fraction(part) for part in figure.split()), Fraction(0))
        return Length(value * INCH if self.inch else value)

    def both(self, figure: str, exact: Length | None, recorded: float | None) -> None:
        """The same length worked out, resolved and recorded."""
        assert exact == self.mm(figure)
        assert recorded is not None
        assert abs(recorded - float(self.mm(figure))) <= WITHIN


@cache
def worked(folder: Path, name: str) -> Worked:
    return Worked(folder, name)


@pytest.fixture(params=CARS, ids=[f"{folder.name}-{name}" for folder, name in CARS])
def car(request: pytest.FixtureRequest) -> Worked:
    return worked(*request.param)


def test_both_cars_are_there() -> None:
    assert [path.stem for path in WORKED] == ["larkspur-car-2", "quayside-lift-b"]
    assert [len(worked(HERE / "worked", path.stem).sizes["parts"]) for path in WORKED] == [41, 37]


def test_walls(car: Worked) -> None:
    assert list(car.cab.walls) == list(car.record["walls"]) == list(car.sizes["walls"])
    for name, sizes in car.sizes["walls"].items():
        wall, recorded = car.cab.walls[name], car.record["walls"][name]
        car.both(sizes["width"], wall.width, recorded["width"])
        car.both(sizes["height"], wall.height, recorded["height"])
        car.both(sizes["run"], wall.run, recorded["run"])
        for end in (0, 1):
            car.both(sizes["margins"][end], wall.margins[end], recorded["margins"][end])


def test_bands(car: Worked) -> None:
    for name, sizes in car.sizes["walls"].items():
        bands, recorded = car.cab.walls[name].bands, car.record["walls"][name]["bands"]
        assert (
            [band.kind for band in bands] == [band["kind"] for band in recorded] == [row[0] for row in sizes["bands"]]
        )
        for (_, y, height), band, said in zip(sizes["bands"], bands, recorded, strict=True):
            car.both(y, band.y, said["y"])
            car.both(height, band.height, said["height"])


def test_panels(car: Worked) -> None:
    for name, sizes in car.sizes["walls"].items():
        panels, recorded = car.cab.walls[name].panels, car.record["walls"][name]["panels"]
        assert [row[0] for row in sizes["panels"]] == [panel.mark for panel in panels]
        for (mark, x, y, width, height), panel, said in zip(sizes["panels"], panels, recorded, strict=True):
            tier, wall, order = mark.split("-")
            assert (panel.tier, panel.wall, panel.order) == (tier, wall, int(order))
            assert (said["mark"], said["tier"], said["order"]) == (mark, tier, int(order))
            assert panel.visible is not None
            car.both(x, panel.visible.x, said["x"])
            car.both(y, panel.visible.y, said["y"])
            car.both(width, panel.width, said["width"])
            car.both(height, panel.height, said["height"])


def test_rails(car: Worked) -> None:
    for name, sizes in car.sizes["walls"].items():
        rail, said, figures = car.cab.walls[name].rail, car.record["walls"][name]["rail"], sizes["rail"]
        assert rail is not None
        car.both(figures["length"], rail.length, said["length"])
        car.both(figures["x"], rail.x, said["x"])
        car.both(figures["centre"], rail.y, said["y"])
        car.both(figures["spacing"], rail.spacing, said["spacing"])
        car.both(figures["overhang"], rail.overhang, said["overhang"])
        standoffs = zip(figures["standoffs"], rail.standoffs, said["standoffs"], strict=True)
        for number, (x, standoff, spot) in enumerate(standoffs, 1):
            assert standoff.number == number
            car.both(x, standoff.x, spot["x"])
            car.both(figures["centre"], standoff.y, spot["y"])
        if figures["bolt"] is None:
            assert rail.bolt is None
            assert said["bolt"] is None
        else:
            assert rail.bolt is not None
            car.both(figures["bolt"][0], rail.bolt.stack, said["bolt"]["stack"])
            car.both(figures["bolt"][1], rail.bolt.length, said["bolt"]["length"])


def core(cab: Cab, part: Part) -> str:
    """A part's core as the tables print it: to 4 places in inch, whole mm as such."""
    if part.core is None:
        return ""
    if cab.printing.system == "mm":
        assert all(side.mm.denominator == 1 for side in part.core)
        return " × ".join(str(side.mm) for side in part.core)
    return " × ".join(cab.printing.decimal(side).rstrip('"') for side in part.core)


def test_parts(car: Worked) -> None:
    counted = Counter(
        (part.kind, part.wall, part.tier or "", part.width, part.height, core(car.cab, part)) for part in car.cab.parts
    )
    wanted = [
        ((kind, wall, tier, car.mm(width), car.mm(height), cut), int(count))
        for kind, wall, tier, count, width, height, cut in car.sizes["parts"]
    ]
    assert list(counted.items()) == wanted
    for part, said in zip(car.cab.parts, car.record["parts"], strict=True):
        assert [said[key] for key in ("mark", "kind", "wall", "tier", "order")] == [
            part.mark, part.kind, part.wall, part.tier, part.order,
        ]  # fmt: skip
        sides = [(said["width"], part.width), (said["height"], part.height)]
        assert (said["core"] is None) == (part.core is None)
        sides += zip(said["core"] or (), part.core or (), strict=True)
        assert all(abs(recorded - float(exact)) <= WITHIN for recorded, exact in sides)


def test_no_two_parts_have_one_mark(car: Worked) -> None:
    marks = [part.mark for part in car.cab.parts]
    assert len(marks) == len(set(marks))


def test_clear_size(car: Worked) -> None:
    for key in ("width", "depth", "height"):
        figure = car.sizes["clear"].get(key)
        exact, said = getattr(car.cab.clear, key), car.record["clear"][key]
        if figure is None:
            assert exact is None
            assert said is None
        else:
            car.both(figure, exact, said)


def test_nothing_found_is_an_error(car: Worked) -> None:
    wrong = [finding for finding in car.record["findings"] if finding["severity"] == "error"]
    assert wrong == []
    assert "fabrication" not in {finding["stops"] for finding in car.record["findings"]}


def test_the_formats_own_example_resolves_with_every_key_that_it_shows() -> None:
    cab = resolve(load(HERE / "worked" / "every-key.yaml"))
    assert [finding.message for finding in findings(cab) if finding.severity == "error"] == []
    assert list(cab.walls) == ["back", "left", "right"]
    assert [part.mark for part in cab.trims] == [
        "corner-trim-left", "corner-trim-right", "front-trim-left-1", "front-trim-left-2", "front-trim-right-1",
        "front-trim-right-2",
    ]  # fmt: skip

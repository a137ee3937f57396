"""A car worked out a second time, straight from the words of the format and with its own arithmetic.

It knows nothing of the resolver: it takes a spec as plain values, with every key that it needs written out,
and counts in whole or broken millimetres. It is written to be read beside the format, not to be quick.
"""

from __future__ import annotations

from fractions import Fraction
from math import ceil, floor
from typing import Any

TIERS = ("lower", "middle", "upper", "full")


class NoRoom(Exception):
    """A size comes out at nothing or less, or a chain cannot close."""


def number(text: str, units: str) -> Fraction:
    """What was typed, in mm: 21 5/32, 0.5, 3/8."""
    value = sum((Fraction(word) for word in text.split()), Fraction(0))
    return value * Fraction("25.4") if units == "inch" else value


def down(value: Fraction, step: Fraction) -> Fraction:
    return floor(value / step) * step


class Reference:
    """Every size of one car."""

    def __init__(self, spec: dict[str, Any]) -> None:
        self.spec, self.layout, self.survey = spec, spec["layout"], spec["survey"]
        self.step = self.mm(spec["increment"])
        self.walls = {name: self.wall(name) for name in ("back", "left", "right") if name in self.layout["walls"]}

    def mm(self, text: str) -> Fraction:
        return number(text, self.spec["units"])

    def of(self, name: str, key: str) -> Any:
        """A wall's own value of a key, or the one that holds for every wall."""
        return self.layout["walls"][name].get(key, self.layout[key])

    def projection(self, name: str) -> Fraction:
        if name not in self.layout["walls"]:
            return Fraction(0)
        panel = self.of(name, "panel")
        layers = [layer["thickness"] for layer in panel["layers"]] if "layers" in panel else [panel["thickness"]]
        return self.mm(panel["air_gap"]) + sum(map(self.mm, layers))

    def wall(self, name: str) -> dict[str, Any]:
        surveyed = self.survey["walls"][name]
        uncertainty, finish = self.mm(self.survey["uncertainty"]), self.mm(self.survey["floor_finish"])
        width = min(map(self.mm, surveyed["width"])) - uncertainty
        heights = [self.mm(reading) for reading in surveyed.get("height", self.survey["height"])]
        if "floor" in surveyed:
            falls = [self.mm(fall) for fall in surveyed["floor"]]
            heights = [height - fall for height, fall in zip(heights, falls, strict=True)]
        height = min(heights) - uncertainty - finish
        row = self.row(name, width)
        bands = self.bands(name, height)
        wall = {"width": width, "height": height, **row, "bands": bands}
        wall["parts"] = self.parts(name, wall)
        wall["rail"] = self.rail(name, wall)
        return wall

    def margins(self, name: str) -> tuple[Fraction, Fraction]:
        wall, layout = self.layout["walls"][name], self.layout
        if "margins" in wall:
            return self.mm(wall["margins"][0]), self.mm(wall["margins"][1])
        corner, front = self.mm(layout["corner_gap"]), self.mm(layout["front_gap"])
        if name == "back":
            return self.projection("left") + corner, self.projection("right") + corner
        if "back" in layout["walls"]:
            rear = self.projection("back") + corner
        else:
            rear = self.mm(layout.get("rear_gap", layout["front_gap"]))
        return (front, rear) if name == "left" else (rear, front)

    def row(self, name: str, width: Fraction) -> dict[str, Any]:
        wall = self.layout["walls"][name]
        left, right = self.margins(name)
        reveal = self.mm(self.of(name, "reveal"))
        if "panels" in wall:
            weights = wall["panels"]
            weights = [Fraction(1)] * int(weights) if isinstance(weights, str) else list(map(Fraction, weights))
            widths: list[Fraction | None] = [None] * len(weights)
        else:
            widths = [None if text == "fill" else self.mm(text) for text in wall["widths"]]
            weights = [Fraction(1) if text == "fill" else Fraction(0) for text in wall["widths"]]
        room = width - left - right - (len(widths) - 1) * reveal
        room -= sum((size for size in widths if size is not None), Fraction(0))
        sizes = [
            size if size is not None else down(room * weight / sum(weights), self.step)
            for size, weight in zip(widths, weights, strict=True)
        ]
        rest = room - sum((size for size, was in zip(sizes, widths, strict=True) if was is None), Fraction(0))
        if rest < 0 or min(sizes) <= 0:
            raise NoRoom(f"{name}: row")
        half = down(rest / 2, self.step)
        left, right = left + half, right + rest - half
        starts = [left + sum(sizes[:i]) + i * reveal for i in range(len(sizes))]
        return {"margins": (left, right), "run": width - left - right, "columns": list(zip(starts, sizes, strict=True))}

    def rail_height(self) -> Fraction:
        section = self.spec["handrail"]["section"]
        return self.mm(section["round"] if "round" in section else section["flat"][0])

    def bands(self, name: str, height: Fraction) -> list[tuple[str, Fraction, Fraction]]:
        items = []
        for item in self.of(name, "stack"):
            ((kind, size),) = item.items()
            size = size if isinstance(size, dict) else {"height": size}
            centre = None
            if "centre" in size:
                centre = self.mm(size["centre"])
            elif "rail_top" in size:
                centre = self.mm(size["rail_top"]) - self.rail_height() / 2
            high = None if size["height"] == "fill" else self.mm(size["height"])
            items.append((kind, high, Fraction(size.get("weight", 1)), centre))
        found: list[tuple[str, Fraction, Fraction]] = []
        segment: list[tuple[str, Fraction | None, Fraction]] = []
        floor_of_segment = Fraction(0)
        for kind, high, weight, centre in [*items, ("ceiling", Fraction(0), Fraction(0), height)]:
            if centre is None:
                segment.append((kind, high, weight))
                continue
            assert high is not None
            found += self.segment(segment, floor_of_segment, centre - high / 2)
            if kind != "ceiling":
                found.append((kind, centre - high / 2, high))
            segment, floor_of_segment = [], centre + high / 2
        return found

    def segment(
        self, items: list[tuple[str, Fraction | None, Fraction]], start: Fraction, end: Fraction
    ) -> list[tuple[str, Fraction, Fraction]]:
        left = end - start - sum((high for _, high, _ in items if high is not None), Fraction(0))
        if left < 0:
            raise NoRoom("stack")
        weights = sum((weight for _, high, weight in items if high is None), Fraction(0))
        sizes = [high if high is not None else down(left * weight / weights, self.step) for _, high, weight in items]
        rest = end - start - sum(sizes)
        gaps = [i for i, (kind, _, _) in enumerate(items) if kind == "gap"]
        fills = [i for i, (_, high, _) in enumerate(items) if high is None]
        if rest and not (gaps or fills):
            raise NoRoom("stack left open")
        if gaps or fills:
            sizes[(gaps or fills)[-1]] += rest
        if any(sizes[i] <= 0 for i in fills):
            raise NoRoom("stack")
        bands, y = [], start
        for (kind, _, _), size in zip(items, sizes, strict=True):
            bands.append((kind, y, size))
            y += size
        return bands

    def parts(self, name: str, wall: dict[str, Any]) -> dict[str, tuple[Fraction, Fraction, tuple[Fraction, ...]]]:
        """Every part but the rail by its mark: width, height and core."""
        joint = {key: self.mm(value) for key, value in self.layout["joint"].items()}
        e, c = joint["engagement"], joint["clearance"]
        edge = self.mm(self.of(name, "panel").get("edge", "0"))
        reveal, run, bands = self.mm(self.of(name, "reveal")), wall["run"], wall["bands"]
        found: dict[str, tuple[Fraction, Fraction, tuple[Fraction, ...]]] = {}
        kinds = ["", *(kind for kind, _, _ in bands), ""]
        splines = reveals = 0
        for place, (kind, _, high) in enumerate(bands):
            under, over = kinds[place], kinds[place + 2]
            joined = over in ("reveal", "frieze")
            if kind in TIERS:
                for n, (_, wide) in enumerate(wall["columns"], 1):
                    found[f"{kind}-{name}-{n}"] = wide, high, (wide - 2 * edge, high - 2 * edge)
                bottom = c
                if under == "base":
                    bottom = joint["base_tab"] + joint["spline_lift"]
                elif under == "reveal":
                    bottom = e + c
                spline = high - bottom - (e + c if joined else c)
                strip = high - (e if under == "reveal" else 0) - (e if joined else 0)
                for n in range(1, len(wall["columns"])):
                    found[f"spline-{kind}-{name}-{n}"] = reveal + 2 * e, spline, ()
                    if reveal > 0:
                        found[f"reveal-{kind}-{name}-{n}"] = reveal, strip, ()
            elif kind == "reveal":
                if over != "frieze":
                    splines += 1
                    found[f"spline-{name}-{splines}"] = run, high + 2 * e, ()
                if high > 0:
                    reveals += 1
                    found[f"reveal-{name}-{reveals}"] = run, high, ()
            elif kind in ("backer", "bumper", "crown"):
                several = kinds.count(kind) > 1
                mark = f"{kind}-{name}-{kinds[: place + 2].count(kind)}" if several else f"{kind}-{name}"
                found[mark] = run, high, (run - 2 * edge, high - 2 * edge)
            elif kind == "base":
                found[f"base-{name}"] = run, high + joint["base_tab"], ()
            elif kind == "frieze":
                below = bands[place - 1][2] if under == "reveal" else Fraction(0)
                found[f"frieze-{name}"] = run, high + e + below, ()
        if any(min(wide, high, *core) <= 0 for wide, high, core in found.values()):
            raise NoRoom("part")
        return found

    def rail(self, name: str, wall: dict[str, Any]) -> dict[str, Any] | None:
        rail = self.spec.get("handrail")
        backer = next((band for band in wall["bands"] if band[0] == "backer"), None)
        if rail is None or name not in rail["walls"] or backer is None:
            return None
        length = wall["run"] - 2 * self.mm(rail["end_clearance"])
        between = length - 2 * self.mm(rail["overhang"])
        count = max(2, ceil(between / self.mm(rail["max_spacing"])) + 1)
        spacing = down(between / (count - 1), self.step)
        if length <= 0 or spacing <= 0:
            raise NoRoom("rail")
        middle = wall["margins"][0] + wall["run"] / 2
        first = middle - spacing * (count - 1) / 2
        return {
            "length": length,
            "x": middle - length / 2,
            "y": backer[1] + backer[2] / 2,
            "spacing": spacing,
            "standoffs": [first + spacing * i for i in range(count)],
        }

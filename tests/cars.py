"""Cars of any make for hypothesis: every key that decides a size is written out, so that none rests on a default."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

Draw = Any


class Sizes:
    """Lengths in a spec's units, from bounds in inches; small ones to a 64th or a tenth all the same."""

    def __init__(self, units: str) -> None:
        self.units = units

    def __call__(self, low: float, high: float) -> st.SearchStrategy[str]:
        if self.units == "mm":
            return st.integers(round(low * 250), round(high * 250)).map(lambda n: f"{n / 10}")
        return st.integers(round(low * 64), round(high * 64)).map(
            lambda n: f"{n // 64} {n % 64}/64" if n % 64 else f"{n // 64}"
        )


@st.composite
def stacks(draw: Draw, sizes: Sizes) -> list[dict[str, Any]]:
    """A stack with a backer, most often with room for it: fills on both sides of the backer or of a bumper."""
    reveal = sizes(0, 0.75)

    def fill() -> Any:
        return draw(st.sampled_from(["fill", {"height": "fill", "weight": "2"}, {"height": "fill", "weight": "1.5"}]))

    stack: list[dict[str, Any]] = []
    if draw(st.booleans()):
        stack.append({"gap": draw(sizes(0.5, 1.5))})
    if draw(st.booleans()):
        stack.append({"base": draw(sizes(2, 6))})
    stack += [{"lower": fill()}, {"reveal": draw(reveal)}]
    if draw(st.booleans()):
        bumper: Any = draw(sizes(2, 6))
        if draw(st.booleans()):
            bumper = {"height": bumper, "centre": draw(sizes(16, 20))}
        stack.append({"bumper": bumper})
        stack.append({"reveal": draw(reveal)})
        if isinstance(bumper, dict) or draw(st.booleans()):
            stack += [{"middle": fill()}, {"reveal": draw(reveal)}]
    at = draw(st.sampled_from(["centre", "rail_top"]))
    stack += [{"backer": {"height": draw(sizes(4, 8)), at: draw(sizes(32, 40))}}, {"reveal": draw(reveal)}]
    if draw(st.integers(0, 3)) == 0:
        stack += [{"bumper": draw(sizes(2, 6))}, {"reveal": draw(reveal)}]
    stack.append({"upper": draw(st.sampled_from(["fill", "fill", "fill", draw(sizes(30, 45))]))})
    if draw(st.booleans()):
        stack += [{"reveal": draw(reveal)}, {"crown": draw(sizes(2, 5))}]
    if draw(st.booleans()):
        if draw(st.booleans()):
            stack.append({"reveal": draw(reveal)})
        stack.append({"frieze": draw(sizes(2, 6))})
    if draw(st.booleans()):
        stack.append({"gap": draw(st.sampled_from(["fill", draw(sizes(0.25, 2))]))})
    return stack


@st.composite
def rows(draw: Draw, sizes: Sizes) -> dict[str, Any]:
    """How a wall is divided."""
    kind = draw(st.integers(0, 3))
    if kind == 0:
        return {"panels": str(draw(st.integers(1, 6)))}
    if kind == 1:
        return {"panels": draw(st.lists(st.sampled_from(["1", "2", "3/2", "0.7"]), min_size=1, max_size=5))}
    widths = draw(st.lists(st.one_of(sizes(6, 26), st.just("fill"), st.just("fill")), min_size=1, max_size=4))
    row: dict[str, Any] = {"widths": widths}
    if kind == 3:
        row["margins"] = [draw(sizes(0.5, 4)), draw(sizes(0.5, 4))]
    return row


def panels(draw: Draw, sizes: Sizes) -> dict[str, Any]:
    """What panels are made of."""
    panel: dict[str, Any] = {"air_gap": draw(sizes(0.25, 1)), "edge": draw(sizes(0, 0.1))}
    if draw(st.booleans()):
        panel["thickness"] = draw(sizes(0.5, 1))
    else:
        layers = [draw(sizes(0.05, 0.2)), draw(sizes(0.5, 0.8))]
        panel["layers"] = [{"material": f"layer {n}", "thickness": layer} for n, layer in enumerate(layers)]
    return panel


@st.composite
def cars(draw: Draw, units: st.SearchStrategy[str] = st.sampled_from(["inch", "mm"])) -> dict[str, Any]:  # noqa: B008
    """A whole spec as plain values; not every one has room for all that it wants."""
    sizes = Sizes(draw(units))
    walls = draw(
        st.sampled_from([("back", "left", "right"), ("left", "right"), ("back",), ("back", "left"), ("right",)])
    )
    count = draw(st.integers(1, 4))

    def heights() -> list[str]:
        return [draw(sizes(88, 96)) for _ in range(count)]

    surveyed, laid_out = {}, {}
    for name in walls:
        surveyed[name] = {
            "width": [draw(sizes(48, 84)) for _ in range(draw(st.integers(1, 3)))],
            "shell": draw(sizes(0.05, 0.1)),
        }
        laid_out[name] = draw(rows(sizes))
        own = draw(st.integers(0, 7))
        if own & 1:
            surveyed[name]["floor"] = [draw(sizes(0, 0.25)) for _ in range(count)]
        if own & 2:
            surveyed[name]["height"] = heights()
        if own == 7:
            laid_out[name] |= {
                "reveal": draw(sizes(0, 0.75)),
                "panel": panels(draw, sizes),
                "stack": draw(stacks(sizes)),
            }
    layout: dict[str, Any] = {
        "panel": panels(draw, sizes),
        "joint": {
            "engagement": draw(sizes(0.25, 0.5)), "groove_depth": draw(sizes(0.375, 0.75)),
            "clearance": draw(sizes(0, 0.125)), "base_tab": draw(sizes(0.25, 0.5)), "spline_lift": draw(sizes(0, 1)),
            "groove_width": "1/4" if sizes.units == "inch" else "6", "groove_offset": draw(sizes(0.125, 0.25)),
            "spline_thickness": draw(sizes(0.0625, 0.125)), "tab_thickness": draw(sizes(0.03, 0.06)),
            "strip_thickness": draw(sizes(0.03, 0.06)),
        },
        "reveal": draw(sizes(0, 0.75)),
        "corner_gap": draw(sizes(0.25, 1)),
        "front_gap": draw(sizes(0.25, 2)),
        "stack": draw(stacks(sizes)),
        "walls": laid_out,
    }  # fmt: skip
    if "back" not in walls and draw(st.booleans()):
        layout["rear_gap"] = draw(sizes(0.25, 2))
    section = draw(st.sampled_from(["round", "flat"]))
    return {
        "cabdraw": "1",
        "units": sizes.units,
        "increment": draw(st.sampled_from(["1/32", "1/16", "1/8"] if sizes.units == "inch" else ["0.5", "1", "0.1"])),
        "job": {"project": "Any", "car": "Car"},
        "survey": {
            "uncertainty": draw(sizes(0, 0.125)),
            "floor_finish": draw(sizes(0, 0.5)),
            "height": heights(),
            "walls": surveyed,
        },
        "layout": layout,
        "handrail": {
            "walls": list(walls),
            "section": {
                section: draw(sizes(1.25, 2)) if section == "round" else [draw(sizes(1, 3)), draw(sizes(0.25, 0.5))]
            },
            "standoff": draw(sizes(1.5, 2)),
            "end_clearance": draw(sizes(0, 6)),
            "overhang": draw(sizes(2, 8)),
            "max_spacing": draw(sizes(8, 40)),
            "pilot": draw(sizes(0.125, 0.1875)),
            "hole": draw(sizes(0.375, 0.75)),
        },
    }

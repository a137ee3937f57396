"""Spacer blocks: the gap at each end of each part, at the part's own height, in blocks of one size a row."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from spec_texts import cab

from cabdraw.install.blocks import Block, blocks, end_gaps, width_at
from cabdraw.units import Length, inch

#: A back wall alone, one panel wide, so that its margins are 1 1/2 in at both ends.
ALONE: dict[str, Any] = {
    "survey.walls": {"back": {"width": ["68"]}},
    "layout.walls": {"back": {"panels": "1", "margins": ["1 1/2", "1 1/2"]}},
    "handrail.walls": ["back"],
}


def size_of(found: tuple[Block, ...], use: str) -> Length:
    (size,) = [block.size for block in found if use in block.used]
    return size


def test_a_plumb_wall_needs_its_margins_and_its_floor_gap() -> None:
    assert blocks(cab(ALONE)) == (
        Block(inch("7/8"), 1, ("back: floor, under the base",)),
        Block(
            inch("3/2"),
            12,
            tuple(
                f"back: {band}, {end} end"
                for band in ("base", "lower", "backer", "upper", "crown", "frieze")
                for end in ("left", "right")
            ),
        ),
    )


def test_width_between_readings() -> None:
    # H is 92 1/4 in, so the middle reading counts at 46 1/8 in.
    leaning = cab({**ALONE, "survey.walls.back.width": ["68", "68 1/2", "68 1/4"]})
    wall = leaning.walls["back"]
    for height, width in (
        ("0", "68"),
        ("369/16", "68.25"),
        ("369/8", "68.5"),
        ("1107/16", "68.375"),
        ("369/4", "68.25"),
    ):
        assert width_at(leaning, wall, inch(height)) == inch(width)
    assert end_gaps(leaning, wall, inch("369/8")) == (inch("7/4"), inch("7/4"))


def test_uncertainty_is_taken_off_the_width_at_every_height() -> None:
    unsure = cab({**ALONE, "survey.walls.back.width": ["68", "69"], "survey.uncertainty": "1/16"})
    wall = unsure.walls["back"]
    assert wall.width == inch("1087/16")
    assert width_at(unsure, wall, inch(0)) == inch("1087/16")
    assert end_gaps(unsure, wall, wall.height)[0] == wall.margins[0] + inch("1/2")


def test_blocks_of_a_leaning_wall_to_the_nearest_increment() -> None:
    found = blocks(cab({**ALONE, "survey.walls.back.width": ["68", "69"]}))
    # Each end's gap is 1 1/2 in and half of what the wall is wider at the part's middle, y / 92 1/4 in of an inch.
    for band, middle in (("base", "23/8"), ("lower", "283/16"), ("backer", "34"), ("crown", "171/2")):
        exact = Fraction(3, 2) + Fraction(middle) / Fraction("92.25") / 2
        nearest = Fraction(int(exact * 32 + Fraction(1, 2)), 32)
        assert size_of(found, f"back: {band}, left end") == inch(nearest)


def test_a_size_between_two_increments_goes_up() -> None:
    def left(gap: str) -> Length:
        return size_of(blocks(cab({**ALONE, "layout.walls.back.margins": [gap, "1 1/2"]})), "back: base, left end")

    # With one panel the row takes whole increments; what is left goes to the right end, so these stand as stated.
    assert left("1 33/64") == inch("49/32")
    assert left("1.515") == inch("48/32")


def test_blocks_are_to_the_increment_of_the_spec() -> None:
    found = blocks(cab({**ALONE, "increment": "1/4", "layout.stack.0.gap": "7/8"}))
    assert all((block.size.mm / inch("1/4").mm).denominator == 1 for block in found)
    assert size_of(found, "back: floor, under the base") == inch(1)


def test_each_of_several_bumpers_is_told_apart_and_no_gap_needs_no_block() -> None:
    stack = [{"bumper": "8"}, {"reveal": "1/2"}, {"full": "fill"}, {"reveal": "0"}, {"bumper": "8"}]
    found = blocks(
        cab({**ALONE, "layout.stack": stack, "layout.walls.back.margins": ["0", "1"], "handrail.centre": "34"})
    )
    (block,) = found
    assert (block.size, block.count) == (inch(1), 3)
    assert block.used == ("back: bumper 1, right end", "back: full, right end", "back: bumper 2, right end")


def test_floor_block_names_what_stands_on_it() -> None:
    stack = [{"gap": "7/8"}, {"full": "fill"}]
    found = blocks(cab({**ALONE, "layout.stack": stack, "handrail.centre": "34"}))
    assert size_of(found, "back: floor, under the full") == inch("7/8")

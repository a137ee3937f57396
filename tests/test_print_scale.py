"""What a printer makes of a template: exact figures, one for each side of its paper."""

from __future__ import annotations

from fractions import Fraction

import pytest

from cabdraw.print_scale import TRUE, NotAPrintScale, PrintScale, parse_print_scale


@pytest.mark.parametrize(
    ("text", "x", "y", "name"),
    [
        ("99.4/100", "994/1000", "994/1000", "-corrected-x99.4of100-y99.4of100"),
        ("3.98/4", "398/400", "398/400", "-corrected-x3.98of4-y3.98of4"),
        ("99.4/100x99.8/100", "994/1000", "998/1000", "-corrected-x99.4of100-y99.8of100"),
        (" 100 / 100 × 4.02/4 ", "1", "402/400", "-corrected-x100of100-y4.02of4"),
        ("95/100x105/100", "95/100", "105/100", "-corrected-x95of100-y105of100"),
    ],
)
def test_figures_are_exact(text: str, x: str, y: str, name: str) -> None:
    scale = parse_print_scale(text)
    assert (scale.x, scale.y, scale.name) == (Fraction(x), Fraction(y), name)
    assert not scale.true


@pytest.mark.parametrize("text", ["", "99.4", "99.4:100", "99,4/100", "1/0", "0/100", "99.4/100x", "9" * 99, "½/1"])
def test_what_is_none(text: str) -> None:
    with pytest.raises(NotAPrintScale):
        parse_print_scale(text)


@pytest.mark.parametrize("text", ["94.99/100", "105.01/100", "100/99.4x90/100"])
def test_a_printer_that_is_too_far_off(text: str) -> None:
    with pytest.raises(NotAPrintScale, match="so far off"):
        parse_print_scale(text)


def test_x_goes_along_the_short_side_of_the_paper() -> None:
    scale = PrintScale(Fraction(1, 2), Fraction(1, 4), ("a", "b"))
    assert scale.stretch(210, 297) == (2.0, 4.0)
    assert scale.stretch(297, 210) == (4.0, 2.0)
    assert TRUE.stretch(1, 2) == (1.0, 1.0)

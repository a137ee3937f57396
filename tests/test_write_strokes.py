"""Strokes of dimensions and hatches, to the exact point."""

from __future__ import annotations

from math import hypot, sqrt

import pytest

from cabdraw.draw.shapes import XY, Dimension, Hatch
from cabdraw.draw.strokes import dimension_strokes, dimension_text, extensions, hatch_lines
from cabdraw.draw.style import EXTENSION_GAP, EXTENSION_PAST, HATCHES, STROKE

ACROSS = Dimension("DIMENSION", "x", (0, 10), (500, 60), 200, "500", (250, 230))


def test_extension_lines_leave_a_gap_and_pass_the_line_in_paper_mm() -> None:
    assert extensions(ACROSS, 0.1) == (
        ((0, 10 + EXTENSION_GAP * 10), (0, 200 + EXTENSION_PAST * 10)),
        ((500, 60 + EXTENSION_GAP * 10), (500, 200 + EXTENSION_PAST * 10)),
    )


def test_extension_lines_run_down_and_sideways_too() -> None:
    left = Dimension("DIMENSION", "y", (0, 0), (0, 300), -80, "300", (-100, 150))
    assert extensions(left, 1)[1] == ((-EXTENSION_GAP, 300), (-80 - EXTENSION_PAST, 300))


@pytest.mark.parametrize("line", [10, 10 + EXTENSION_GAP * 10, 10 - EXTENSION_GAP * 5])
def test_no_extension_line_from_a_point_on_the_line_or_within_the_gap(line: float) -> None:
    near = Dimension("DIMENSION", "x", (0, 10), (500, 60), line, "500", (250, 230), extend=(True, False))
    assert extensions(near, 0.1) == (None, None)


def test_dimension_line_has_two_oblique_strokes_of_the_given_length() -> None:
    lines = dimension_strokes(ACROSS, 0.1)
    assert lines[2] == ((0, 200), (500, 200))
    for (x0, y0), (x1, y1) in lines[3:5]:
        assert hypot(x1 - x0, y1 - y0) == pytest.approx(STROKE * 10)
        assert x1 - x0 == pytest.approx(y1 - y0)
    assert len(lines) == 5


def test_leader_is_drawn_along_its_course() -> None:
    led = Dimension("DIMENSION", "x", (0, 0), (10, 0), 50, "10", (90, 80), leader=((5, 50), (20, 80), (40, 80)))
    assert dimension_strokes(led, 1)[-2:] == (((5, 50), (20, 80)), ((20, 80), (40, 80)))


def test_figure_is_level_and_centred() -> None:
    figure = dimension_text(ACROSS)
    assert (figure.at, figure.text, figure.across, figure.up, figure.angle) == (
        (250, 230),
        "500",
        "centre",
        "middle",
        0,
    )


def _length(lines: tuple[tuple[XY, XY], ...]) -> float:
    return sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in lines)


def _box(x0: float, y0: float, x1: float, y1: float) -> tuple[XY, ...]:
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def test_hatch_lines_cover_the_area_less_its_holes() -> None:
    ((_, pitch),) = HATCHES["obstruction"]
    hatch = Hatch("HATCH", (_box(3, 7, 1003, 807), _box(203, 207, 403, 407)), "obstruction")
    area = 1000 * 800 - 200 * 200
    assert _length(hatch_lines(hatch, 1)) * pitch == pytest.approx(area, rel=0.005)
    for (x0, y0), (x1, y1) in hatch_lines(hatch, 1):
        middle = ((x0 + x1) / 2, (y0 + y1) / 2)
        assert 3 <= middle[0] <= 1003
        assert 7 <= middle[1] <= 807
        assert not (203 < middle[0] < 403 and 207 < middle[1] < 407)


def test_hatch_pitch_is_in_paper_mm() -> None:
    hatch = Hatch("HATCH", (_box(0, 0, 1000, 1000),), "section")
    ((_, pitch),) = HATCHES["section"]
    assert _length(hatch_lines(hatch, 0.1)) * pitch * 10 == pytest.approx(1_000_000, rel=0.02)


def test_corners_on_a_hatch_line_count_once() -> None:
    ((_, pitch),) = HATCHES["obstruction"]
    step = pitch * sqrt(2)
    diamond = ((0, 0), (10 * step, 0), (10 * step, 10 * step), (5 * step, 5 * step), (0, 10 * step))
    lines = hatch_lines(Hatch("HATCH", (diamond,), "obstruction"), 1)
    assert _length(lines) * pitch == pytest.approx(75 * step * step, rel=0.04)


def test_neighbouring_hatches_run_on_into_each_other() -> None:
    left, right = Hatch("HATCH", (_box(0, 0, 50, 100),), "open"), Hatch("HATCH", (_box(50, 0, 100, 100),), "open")
    ends = {(round(x, 6), round(y, 6)) for line in hatch_lines(left, 1) for x, y in line if abs(x - 50) < 1e-6}
    starts = {(round(x, 6), round(y, 6)) for line in hatch_lines(right, 1) for x, y in line if abs(x - 50) < 1e-6}
    assert ends == starts
    assert ends

"""Whether parts cover a wall: a car that is right is, and a part moved, cut short, doubled or left out is seen."""

from __future__ import annotations

import pytest
from spec_texts import cab

from cabdraw.cab import Part, Rect, Wall
from cabdraw.frozen import replace
from cabdraw.resolve.openings import coverage
from cabdraw.units import Length, inch

#: Each side of it is another panel, the base and the reveal above it: x 23 13/32 to 44 9/16 in, y 37 1/2 to 83 1/2 in.
MARK = "upper-back-2"
HAIR = inch("1/64")


@pytest.fixture(scope="module")
def wall() -> Wall:
    return cab({}).walls["back"]


def with_part(wall: Wall, *instead: Rect) -> tuple[tuple[str, str, float], ...]:
    """What is said of a wall whose panel covers other rectangles instead."""
    parts: list[Part] = []
    for part in wall.parts:
        parts += [replace(part, visible=rect) for rect in instead] if part.mark == MARK else [part]
    return coverage(replace(wall, parts=tuple(parts)))


def its_place(wall: Wall) -> Rect:
    (panel,) = (part for part in wall.parts if part.mark == MARK)
    assert panel.visible is not None
    return panel.visible


def test_a_wall_as_it_is_made_is_covered_once(wall: Wall) -> None:
    assert coverage(wall) == ()
    assert with_part(wall, its_place(wall)) == ()


def test_a_part_that_is_left_out_leaves_its_place_open(wall: Wall) -> None:
    place = its_place(wall)
    ((where, other, area),) = with_part(wall)
    assert where == (
        f"x {float(place.x):.1f} to {float(place.right):.1f}, y {float(place.y):.1f} to {float(place.top):.1f} mm"
    )
    assert (other, area) == ("", pytest.approx(float(place.width) * float(place.height)))


def test_a_part_cut_short_by_a_hair_leaves_a_slit(wall: Wall) -> None:
    place = its_place(wall)
    ((where, other, area),) = with_part(wall, Rect(place.x, place.y, place.width - HAIR, place.height))
    assert where.startswith(f"x {float(place.right - HAIR):.1f} to {float(place.right):.1f}, y ")
    assert (other, area) == ("", pytest.approx(float(HAIR) * float(place.height)))


def test_a_part_moved_by_a_hair_overlaps_here_and_leaves_a_slit_there(wall: Wall) -> None:
    place = its_place(wall)
    said = with_part(wall, Rect(place.x + HAIR, place.y, place.width, place.height))
    area = pytest.approx(float(HAIR) * float(place.height))
    assert [(other != "", found) for _, other, found in said] == [(True, area), (False, area)]
    assert MARK in said[0][:2]


def test_a_part_that_stands_there_twice_overlaps_itself(wall: Wall) -> None:
    place = its_place(wall)
    area = pytest.approx(float(place.width) * float(place.height))
    assert with_part(wall, place, place) == ((MARK, MARK, area),)


def test_as_much_in_the_wrong_place_is_seen_though_the_areas_add_up(wall: Wall) -> None:
    place = its_place(wall)
    half = Rect(place.x, place.y, place.width / 2, place.height)
    assert {other != "" for _, other, _ in with_part(wall, half, half)} == {True, False}
    beyond = Rect(wall.row_end, place.y, half.width, place.height)
    assert [other for _, other, _ in with_part(wall, half, beyond)] == [""]


def test_a_part_in_front_of_a_gap_that_is_meant_to_be_open_hides_no_hole(wall: Wall) -> None:
    place = its_place(wall)
    gap = next(band for band in wall.bands if band.kind == "gap")
    strip = Rect(wall.margins[0], gap.y, wall.run, gap.height)
    as_much = Length(strip.width.mm * strip.height.mm / place.width.mm)
    ((where, other, area),) = with_part(wall, Rect(place.x, place.y, place.width, place.height - as_much), strip)
    assert where.endswith(f" to {float(place.top):.1f} mm")
    assert (other, area) == ("", pytest.approx(float(strip.width) * float(strip.height)))

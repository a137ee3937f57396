"""Lengths as people type them, exactly; figures as printed, which always add up."""

from __future__ import annotations

from fractions import Fraction

import pytest
from ending import comes_to_an_end
from hypothesis import example, given
from hypothesis import strategies as st

from cabdraw.units import (
    INCH,
    ZERO,
    Length,
    Mass,
    NotALength,
    Printing,
    System,
    decimal_text,
    fixed_text,
    fraction_text,
    inch,
    mm,
    parse_length,
    parse_mass,
    quoted,
    total,
)

INCHES = {
    "34 1/2": "69/2", "34-1/2": "69/2", "34  1/2": "69/2", "34 - 1/2": "69/2", "2-1/4": "9/4", "7/8": "7/8",
    "7 / 8": "7/8", ".5": "1/2", "34.": "34", "34.5": "69/2", "0": "0", "007": "7", "3/2": "3/2",
    "3' 4-1/2\"": "81/2", "3'-4 1/2\"": "81/2", "3'-4-1/2\"": "81/2", "3'4.5\"": "81/2", "3' 4 1/2''": "81/2",
    "3'": "36", "3.5'": "42", "3 1/2'": "42", "1/2\"": "1/2", "34.5in": "69/2", "3 1/2 in": "7/2", "3 1/2 IN.": "7/2",
    "3 1/2 inches": "7/2", "1 inch": "1", "2 ft": "24", "2 FT 3 in": "27", "2ft. 3in.": "27", "1 foot": "12",
    "6 feet": "72", "3′ 4½″": "81/2", "3’ 4 ½”": "81/2", "3‘-4½“": "81/2", "½": "1/2", "2½": "5/2", "2 ½": "5/2",
    "2-½": "5/2", "1⅜": "11/8", "¼ in": "1/4", "2⁄3": "2/3", "1 1⁄2": "3/2", "⅚": "5/6", "⅒": "1/10",
    "34\u00a01/2": "69/2", "  12  ": "12", "0'-6\"": "6", "3'-½\"": "73/2",
}  # fmt: skip
MILLIMETRES = {
    "864mm": "864", "864 MM": "864", "86.4 cm": "864", "2.1 m": "2100", "2.1M": "2100", "12": "12", "12.5": "25/2",
    "1/3": "1/3", "20 m": "20000", "1 CM": "10", ".25cm": "5/2",
}  # fmt: skip
REFUSED = [
    "", " ", "-1", "+1", "−1", "1e3", "1E3", "1,5", "1,234", "1 2", "1/2/3", "1/", "/2", "1//2", "1 1", "1-1", "½½",
    "½1", "1/½", "½/2", "3'4", "3' 4' 5\"", "3\" 4'", "3'-", "'", '"', "mm", "12 mmm", "12 yd", "12 m m", "1.2.3", ".",
    "..5", "1 .5", "４", "１/２", "٣", "0x10", "1_000", "12mm 3cm", "12 mm\n13", "inf", "nan", "fill", "1/2 of 3",
    "3''4'", "1'1/2'", "12\x00", "12\u200b", "1234567890", "1." + "0" * 20,
]  # fmt: skip


@pytest.mark.parametrize("typed", INCHES)
def test_inches_as_typed(typed: str) -> None:
    length = parse_length(typed, "inch")
    assert length == inch(INCHES[typed])
    assert length.typed == typed.strip()


@pytest.mark.parametrize("typed", MILLIMETRES)
def test_millimetres_as_typed(typed: str) -> None:
    assert parse_length(typed, "mm") == mm(MILLIMETRES[typed])


def test_a_unit_of_its_own_beats_the_specs() -> None:
    assert parse_length('1/2"', "mm") == inch("1/2")
    assert parse_length("12mm", "inch") == mm(12)
    assert parse_length("1 m", "inch") == parse_length("1000", "mm")


@pytest.mark.parametrize("typed", REFUSED)
@pytest.mark.parametrize("units", ["inch", "mm"])
def test_what_is_no_length(typed: str, units: System) -> None:
    with pytest.raises(NotALength) as refused:
        parse_length(typed, units)
    assert refused.value.hint
    assert refused.value.what.isprintable()


def test_why_it_is_no_length() -> None:
    def why(typed: str) -> tuple[str, str]:
        with pytest.raises(NotALength) as refused:
            parse_length(typed, "inch")
        return refused.value.what, refused.value.hint

    assert why("1/0") == ('"1/0" is not a length: nothing can be divided by zero', "write e.g. 34 1/2, 3/8, 12mm")
    assert why("3' 4 1/00\"")[0].endswith("divided by zero")
    assert why("-1/2")[0] == '"-1/2" is negative, and no length here is'
    assert why("1,5")[1] == "write a point for the decimals, e.g. 12.5, and no commas"
    assert why("788")[0] == '"788" is longer than 20 m, and no length here is'
    assert parse_length("787", "inch") == inch(787)
    assert why("\u202e" + "x" * 300)[0] == '"\\u202E' + "x" * 36 + '..." is not a length'


@pytest.mark.parametrize(
    "typed", ["1" * 100_000, "1/" + "1" * 100_000, "1'" + " " * 100_000 + "x", "1 " * 50_000, "½" * 9000]
)
def test_a_huge_text_is_refused_at_once(typed: str) -> None:
    with comes_to_an_end(), pytest.raises(NotALength):
        parse_length(typed, "inch")


@given(st.text(alphabet="0123456789 -/.'\"½⅞′″infcmtMe,", max_size=14), st.sampled_from(["inch", "mm"]))
@example("½1", "inch")
def test_any_text_is_a_length_or_is_refused(text: str, units: System) -> None:
    try:
        length = parse_length(text, units)
    except NotALength:
        return
    assert 0 <= length.mm <= 20000


sixty_fourths = st.integers(0, 780 * 64).map(lambda n: Length(INCH * n / 64))


@given(sixty_fourths)
def test_printed_inches_read_back_as_they_were(length: Length) -> None:
    assert parse_length(Printing("inch").size(length), "mm") == length


@given(st.integers(0, 200_000))
def test_printed_millimetres_read_back_as_they_were(tenths: int) -> None:
    length = mm(Fraction(tenths, 10))
    assert parse_length(Printing("mm").size(length), "mm") == length


@given(st.integers(0, 700), st.integers(0, 11), st.integers(0, 63), st.sampled_from([" ", "-", "' "]))
def test_feet_inches_and_fractions_add_up(whole: int, inches: int, part: int, joint: str) -> None:
    if joint == "' ":
        whole = whole % 60
        assert parse_length(f"{whole}' {inches} {part}/64\"", "mm") == inch(whole * 12 + inches + Fraction(part, 64))
    else:
        assert parse_length(f"{whole}{joint}{part}/64", "inch") == inch(whole + Fraction(part, 64))


lengths = st.builds(Length, st.fractions(0, 3000, max_denominator=4096))
printings = st.builds(Printing, st.sampled_from(["inch", "mm"]), st.sampled_from([8, 16, 32, 64]))


@given(printings, st.lists(st.tuples(lengths, st.booleans()), min_size=1, max_size=9))
def test_a_printed_chain_adds_up_to_the_overall_as_printed(
    printing: Printing, chain: list[tuple[Length, bool]]
) -> None:
    parts, absorbs = [part for part, _ in chain], [yes for _, yes in chain]
    printed = printing.chain(parts, absorbs)
    overall = printing.rounded(total(parts))
    assert total(printed) == overall
    assert total(parse_length(printing.size(figure), printing.system) for figure in printed) == overall
    assert all(figure >= ZERO for figure in printed)
    step = Length(printing.quantum(parts))
    assert all(abs(figure - part) <= step * (len(parts) + 1) for figure, part in zip(printed, parts, strict=True))


@given(printings, lengths, st.integers(1, 6), lengths, lengths)
def test_equal_parts_print_equal_where_margins_absorb(
    printing: Printing, part: Length, count: int, left: Length, right: Length
) -> None:
    row = (left + mm(50), *[part] * count, right + mm(50))
    printed = printing.chain(row, [True, *[False] * count, True])
    assert len(set(printed[1:-1])) == 1
    assert total(printed) == printing.rounded(total(row))


def test_a_chain_takes_nothing_from_a_gap_of_nothing() -> None:
    half = Length(Fraction(1, 20))
    printed = Printing("mm").chain([ZERO, half, half], [True, False, False])
    assert sorted(printed) == [ZERO, ZERO, mm("0.1")]


def test_fractions_carry_and_have_no_zero_part() -> None:
    size = Printing("inch", 32).size
    assert size(inch("23.999")) == '24"'
    assert size(inch(0)) == '0"'
    assert size(inch("1/32")) == '1/32"'
    assert size(inch("745/32")) == '23 9/32"'
    assert size(inch("3/64")) == '3/64"'
    assert fraction_text(Fraction(-3, 2)) == "-1 1/2"


def test_decimals_round_half_away_from_zero() -> None:
    assert fixed_text(Fraction(5, 1000), 2) == "0.01"
    assert fixed_text(Fraction(-5, 1000), 2) == "-0.01"
    assert fixed_text(Fraction(-1, 1000), 2) == "0.00"
    assert fixed_text(Fraction(5, 2), 0) == "3"
    assert decimal_text(Fraction(1200), 1) == "1200"
    assert decimal_text(Fraction(25, 2), 2) == "12.5"
    assert Printing("inch").decimal(inch("23.28125")) == '23.2813"'
    assert Printing("mm").decimal(mm("597.5")) == "597.50"
    assert Printing("inch").both(inch(1)) == '1" [25.4]'
    assert Printing("mm").both(mm(25)) == '25 [31/32"]'


@pytest.mark.parametrize(
    ("step", "denominator"),
    [(inch("1/32"), 32), (inch("1/16"), 16), (inch("3/32"), 32), (inch(1), 1), (mm("0.5"), 64), (inch("1/128"), 128)],
)
def test_printing_follows_the_increment(step: Length, denominator: int) -> None:
    assert Printing.of("inch", step).denominator == denominator


@given(lengths, st.fractions(Fraction(1, 20), 30, max_denominator=640).map(Length))
def test_rounding_to_steps(length: Length, step: Length) -> None:
    down, near = length.floor_to(step), length.nearest_to(step)
    assert down.ratio(step).denominator == near.ratio(step).denominator == 1
    assert ZERO <= length - down < step
    assert abs(length - near) * 2 <= step
    assert (step * 3 + step / 2).nearest_to(step) == step * 4


def test_what_was_typed_takes_no_part_in_equality() -> None:
    assert parse_length("1/2", "inch") == parse_length(".5", "inch") == parse_length("12.7", "mm")
    assert hash(parse_length("1/2", "inch")) == hash(parse_length(".5", "inch"))


def test_masses() -> None:
    assert parse_mass("3500 lb") == Mass(3500 * Fraction("0.45359237"))
    assert parse_mass("3500LBS.").lb == 3500
    assert parse_mass(" 1600.5 kg ") == Mass(Fraction("1600.5"))
    for typed in ("3500", "-1 lb", "1e3 kg", "kg", "1 t", "1 600 kg", "1/2 lb", "9" * 5000 + " kg"):
        with pytest.raises(NotALength, match="is not a mass with its unit"):
            parse_mass(typed)


def test_a_quoted_text_is_short_and_printable() -> None:
    assert quoted("a\nb\u202e\ud800") == '"a\\u000Ab\\u202E\\uD800"'
    assert len(quoted("x" * 500)) == 42


def test_what_was_typed_makes_no_length_and_no_mass_another() -> None:
    for typed, plain in ((parse_length('1/2"', "mm"), mm("12.7")), (parse_mass("1 kg"), Mass(Fraction(1)))):
        assert typed == plain
        assert not typed != plain  # noqa: SIM202 - a struct compares for "!=" by itself
        assert hash(typed) == hash(plain)
        assert len({typed, plain}) == 1

"""Exact lengths: parsed from what people type, held as rational millimetres, printed in fractions or mm."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Literal

from cabdraw.frozen import Frozen
from cabdraw.rational import Fraction

System = Literal["inch", "mm"]

#: Millimetres in one inch, exact by definition (international yard and pound agreement, 1959).
INCH = Fraction(254, 10)
#: Kilograms in one pound, exact by definition (same agreement).
POUND = Fraction(45359237, 100000000)
#: No length in a car is longer; more is a typing error.
LONGEST = Fraction(20000)


class Length(Frozen):
    """An exact length: a rational number of millimetres, and the text it was typed as, if any.

    `typed` takes no part in comparison or arithmetic.
    """

    mm: Fraction
    typed: str = ""

    def __eq__(self, other: object) -> bool:
        return self.mm == other.mm if isinstance(other, Length) else NotImplemented

    # A struct brings a comparison of its own for this one too.
    def __ne__(self, other: object) -> bool:
        return self.mm != other.mm if isinstance(other, Length) else NotImplemented

    def __hash__(self) -> int:
        return hash(self.mm)

    def __lt__(self, other: Length) -> bool:
        return self.mm < other.mm

    def __le__(self, other: Length) -> bool:
        return self.mm <= other.mm

    def __gt__(self, other: Length) -> bool:
        return self.mm > other.mm

    def __ge__(self, other: Length) -> bool:
        return self.mm >= other.mm

    def __repr__(self) -> str:
        return f"{type(self).__name__}(mm={self.mm!r})"

    def __add__(self, other: Length) -> Length:
        return Length(self.mm + other.mm)

    def __sub__(self, other: Length) -> Length:
        return Length(self.mm - other.mm)

    def __neg__(self) -> Length:
        return Length(-self.mm)

    def __abs__(self) -> Length:
        return Length(abs(self.mm))

    def __mul__(self, factor: int | Fraction) -> Length:
        return Length(self.mm * factor)

    __rmul__ = __mul__

    def __truediv__(self, divisor: int | Fraction) -> Length:
        return Length(self.mm / divisor)

    def __bool__(self) -> bool:
        return self.mm != 0

    def __float__(self) -> float:
        return float(self.mm)

    def ratio(self, other: Length) -> Fraction:
        """How many times `other` goes into this length, exactly."""
        return self.mm / other.mm

    def floor_to(self, step: Length) -> Length:
        """Round down to a whole number of steps."""
        return Length(self.mm // step.mm * step.mm)

    def fewest(self, most: Length, words: str = "") -> int:
        """The least number of equal parts of which none is longer than `most`, at least 1; `words` as in `called`."""
        return max(1, int(-(-self.mm // most.mm)))

    def nearest_to(self, step: Length) -> Length:
        """Round to the nearest whole number of steps, a tie going up."""
        return Length((self.mm / step.mm + Fraction(1, 2)).__floor__() * step.mm)

    def called(self, words: str, *at: tuple[str | int, ...]) -> Length:
        """The same length under a name, for whoever explains how it came about; `at` are places in the spec.

        A plain length keeps no name; `cabdraw.explain` works with lengths that do.
        """
        return self

    def chosen(self, way: Choice, lengths: Sequence[Length], low: Length | None, high: Length | None) -> Length:
        """The same length, for whoever explains it: the least or greatest of some, of those within limits."""
        return self


#: Which of some lengths is taken.
Choice = Literal["least", "greatest"]
ZERO = Length(Fraction(0))


def mm(value: int | str | Fraction) -> Length:
    """A length from a number of millimetres (a string is read as an exact decimal or fraction)."""
    return Length(Fraction(value))


def inch(value: int | str | Fraction) -> Length:
    """A length from a number of inches (a string is read as an exact decimal or fraction)."""
    return Length(Fraction(value) * INCH)


def total(lengths: Iterable[Length]) -> Length:
    """The sum of some lengths; zero if there are none."""
    found = tuple(lengths)
    if all(type(length) is Length for length in found):
        return Length(sum((length.mm for length in found), Fraction(0)))
    return sum(found, ZERO)


def least(lengths: Iterable[Length]) -> Length:
    """The least of some lengths, of which there must be one."""
    found = tuple(lengths)
    return min(found).chosen("least", found, None, None)


def greatest(lengths: Iterable[Length]) -> Length:
    """The greatest of some lengths, of which there must be one."""
    found = tuple(lengths)
    return max(found).chosen("greatest", found, None, None)


def least_within(lengths: Iterable[Length], low: Length, high: Length | None) -> Length | None:
    """The least of those lengths that lie between two limits; None where none does, no limit above where that is None.

    Both limits count as within.
    """
    found = tuple(lengths)
    fitting = [length for length in found if length >= low and (high is None or length <= high)]
    return min(fitting).chosen("least", found, low, high) if fitting else None


def between(readings: Sequence[Length], share: Fraction) -> Length:
    """The size at a share (0 to 1) of the way along evenly spaced readings, on the straight line between two.

    One reading alone holds everywhere; a share outside 0 to 1 takes the nearest end.
    """
    if len(readings) == 1:
        return readings[0]
    along = min(max(share, Fraction(0)), Fraction(1)) * (len(readings) - 1)
    first = min(int(along), len(readings) - 2)
    if along.denominator == 1:
        return readings[int(along)]
    return readings[first] + (readings[first + 1] - readings[first]) * (along - first)


class NotALength(ValueError):
    """Text that is no length; `hint` says what to write instead."""

    def __init__(self, what: str, hint: str) -> None:
        super().__init__(what)
        self.what = what
        self.hint = hint


def quoted(text: str, most: int = 40) -> str:
    """A text in double quotes for a message: shortened, and with unprintable characters spelled out."""
    shown = text if len(text) <= most else text[: most - 3] + "..."
    return '"' + "".join(sign if sign.isprintable() else f"\\u{ord(sign):04X}" for sign in shown) + '"'


#: Other signs that people type or paste for feet, inches and the fraction bar.
MARKS = str.maketrans({"′": "'", "’": "'", "‘": "'", "″": '"', "”": '"', "“": '"', "⁄": "/"})
_VULGAR = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3",
    "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅐": "1/7", "⅑": "1/9", "⅒": "1/10",
}  # fmt: skip
#: Longest text that is tried as a length; anything longer is none, and need not be searched.
_LONGEST_TYPED = 60
_NUMBER = (
    r"(?:(?P<{0}whole>[0-9]{{1,9}})(?:\s+|\s*-\s*)(?P<{0}num>[0-9]{{1,9}})\s*/\s*(?P<{0}den>[0-9]{{1,9}})"
    r"|(?P<{0}top>[0-9]{{1,9}})\s*/\s*(?P<{0}bottom>[0-9]{{1,9}})"
    r"|(?P<{0}decimal>[0-9]{{1,9}}(?:\.[0-9]{{0,9}})?|\.[0-9]{{1,9}}))"
)
_PLAIN = re.compile(_NUMBER.format("a") + r"\s*(?P<unit>\"|''|in\.?|inch|inches|'|ft\.?|feet|foot|mm|cm|m)?")
_FEET = re.compile(
    _NUMBER.format("f") + r"\s*(?:'|ft\.?)\s*-?\s*" + _NUMBER.format("a") + r"\s*(?:\"|''|in\.?|inch|inches)"
)
_UNIT: dict[str, Fraction] = {
    '"': INCH, "''": INCH, "in": INCH, "inch": INCH, "inches": INCH,
    "'": INCH * 12, "ft": INCH * 12, "feet": INCH * 12, "foot": INCH * 12,
    "mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000),
}  # fmt: skip
_EXAMPLES: dict[System, str] = {"inch": "write e.g. 34 1/2, 3/8, 12mm", "mm": 'write e.g. 864, 12.5, 1/2"'}


def _value(match: re.Match[str], group: str) -> Fraction:
    if match[group + "whole"] is not None:
        if int(match[group + "den"]) == 0:
            raise ZeroDivisionError
        return int(match[group + "whole"]) + Fraction(int(match[group + "num"]), int(match[group + "den"]))
    if match[group + "top"] is not None:
        return Fraction(int(match[group + "top"]), int(match[group + "bottom"]))
    text = match[group + "decimal"]
    return Fraction(text + "0" if text.endswith(".") else text)


def parse_length(text: str, units: System) -> Length:
    """Read a length as people type it; one without a unit is in `units`.

    Raises `NotALength` for anything else: a sign, an exponent, a zero denominator, more than 20 m.
    """
    shown, hint = quoted(text.strip()), _EXAMPLES[units]
    tidy = text.strip() if len(text) <= _LONGEST_TYPED else ""
    tidy = tidy.translate(MARKS)
    for sign, plain in _VULGAR.items():
        tidy = tidy.replace(sign, f" {plain} ")
    tidy = tidy.strip().lower()
    if re.match(r"[-\u2212]\s*[.0-9]", tidy):
        raise NotALength(f"{shown} is negative, and no length here is", hint)
    try:
        if match := _FEET.fullmatch(tidy):
            value = _value(match, "f") * INCH * 12 + _value(match, "a") * INCH
        elif match := _PLAIN.fullmatch(tidy):
            unit = (match["unit"] or {"inch": "in", "mm": "mm"}[units]).rstrip(".")
            value = _value(match, "a") * _UNIT[unit]
        elif re.search(r"[0-9],[0-9]", tidy):
            raise NotALength(f"{shown} is not a length", "write a point for the decimals, e.g. 12.5, and no commas")
        else:
            raise NotALength(f"{shown} is not a length", hint)
    except ZeroDivisionError:
        raise NotALength(f"{shown} is not a length: nothing can be divided by zero", hint) from None
    if value > LONGEST:
        raise NotALength(f"{shown} is longer than 20 m, and no length here is", f"{hint}; is the unit right?")
    return Length(value, text.strip())


def with_unit(text: str, units: System) -> str:
    """A length as it is typed where its bare number would be in other units: `3/8` of inches is `3/8 in`."""
    text = " ".join(text.split())
    try:
        if parse_length(text, "inch") == parse_length(text, "mm"):
            return text
    except NotALength:
        # Too long in the one, and so a bare number.
        pass
    return f"{text} in" if units == "inch" else f"{text} mm"


def length_text(length: Length, units: System) -> str:
    """A length as one would type it in `units`, exactly: a fraction of inches, decimals else."""
    value = length.mm / (INCH if units == "inch" else 1)
    binary = units == "inch" and value.denominator <= 128 and value.denominator & (value.denominator - 1) == 0
    decimal = decimal_text(value, 9)
    return fraction_text(value) if binary or Fraction(decimal) != value else decimal


_MASS = re.compile(r"(?P<number>[0-9]{1,9}(?:\.[0-9]{0,6})?|\.[0-9]{1,6})\s*(?P<unit>lbs?\.?|kgs?\.?)", re.IGNORECASE)


class Mass(Frozen):
    """An exact mass in kilograms, and the text it was typed as, if any."""

    kg: Fraction
    typed: str = ""

    def __eq__(self, other: object) -> bool:
        return self.kg == other.kg if isinstance(other, Mass) else NotImplemented

    def __ne__(self, other: object) -> bool:
        return self.kg != other.kg if isinstance(other, Mass) else NotImplemented

    def __hash__(self) -> int:
        return hash(self.kg)

    def __lt__(self, other: Mass) -> bool:
        return self.kg < other.kg

    def __gt__(self, other: Mass) -> bool:
        return self.kg > other.kg

    def __repr__(self) -> str:
        return f"Mass(kg={self.kg!r})"

    @property
    def lb(self) -> Fraction:
        """The same mass in pounds, exactly."""
        return self.kg / POUND


def parse_mass(text: str) -> Mass:
    """Read a mass with its unit, `3500 lb` or `1600 kg`; raises `NotALength` for anything else."""
    match = _MASS.fullmatch(text.strip())
    if match is None:
        raise NotALength(f"{quoted(text.strip())} is not a mass with its unit", "write e.g. 3500 lb, 1600 kg")
    number = Fraction(match["number"] + "0" if match["number"].endswith(".") else match["number"])
    return Mass(number * (POUND if match["unit"].lower().startswith("l") else 1), text.strip())


def _half_up(value: Fraction, quantum: Fraction) -> Fraction:
    return (value / quantum + Fraction(1, 2)).__floor__() * quantum


class Printing(Frozen):
    """How sizes are printed in one spec: its units, and for inches the denominator of the increment.

    Inch sizes print as fractions to that denominator, to 1/64 where a remainder needs it; mm to 0.1.
    """

    system: System
    denominator: int = 32

    @staticmethod
    def of(system: System, increment: Length) -> Printing:
        """The printing that goes with an increment; one that is no binary fraction of an inch prints in 64ths."""
        denominator = (increment.mm / INCH).denominator
        binary = denominator & (denominator - 1) == 0 and denominator <= 128
        return Printing(system, denominator if binary else 64)

    def quantum(self, lengths: Iterable[Length]) -> Fraction:
        """The step, in mm, to which these lengths are printed together."""
        if self.system == "mm":
            return Fraction(1, 10)
        coarse = INCH / self.denominator
        if all((length.mm / coarse).denominator == 1 for length in lengths):
            return coarse
        return INCH / max(64, self.denominator)

    def rounded(self, length: Length) -> Length:
        """The length that the printed figure stands for."""
        return Length(_half_up(length.mm, self.quantum((length,))))

    def size(self, length: Length) -> str:
        """A size as printed: `23 9/32"` or `597.5`."""
        return _size(self, length.mm)

    def decimal(self, length: Length) -> str:
        """A core, sheet-metal or bolt size: 4 places in inch, 2 in mm, every place shown."""
        if self.system == "inch":
            return fixed_text(length.mm / INCH, 4) + '"'
        return fixed_text(length.mm, 2)

    def both(self, length: Length) -> str:
        """A size in the spec's units with the other system's beside it in brackets."""
        other = Printing("mm" if self.system == "inch" else "inch", 32)
        value = Length(_half_up(length.mm, INCH / 32)) if other.system == "inch" else length
        return f"{self.size(length)} [{other.size(value)}]"

    def chain(self, parts: Sequence[Length], absorbs: Sequence[bool]) -> tuple[Length, ...]:
        """The lengths that stand printed along a chain, so that they add up to the overall as printed.

        What printing rounds off goes to the parts marked in `absorbs` (margins, gaps), those with the
        largest rounding error first; to the other parts only where there are none. No figure goes below zero.
        """
        overall = total(parts)
        quantum = self.quantum((*parts, overall))
        printed = [_half_up(part.mm, quantum) for part in parts]
        missing = int((_half_up(overall.mm, quantum) - sum(printed)) / quantum)
        step = 1 if missing > 0 else -1
        able = [i for i, figure in enumerate(printed) if step > 0 or figure > 0] or list(range(len(parts)))
        takers = [i for i in able if absorbs[i]] or able
        takers.sort(key=lambda i: (-step * (parts[i].mm - printed[i]), i))
        for turn in range(abs(missing)):
            printed[takers[turn % len(takers)]] += step * quantum
        return tuple(Length(value) for value in printed)


# A car has some hundred sizes, and prints each of them on many sheets.
@lru_cache(maxsize=8192)
def _size(printing: Printing, mm: Fraction) -> str:
    value = printing.rounded(Length(mm)).mm
    return fraction_text(value / INCH) + '"' if printing.system == "inch" else decimal_text(value, 1)


def fraction_text(value: Fraction) -> str:
    """A number as a whole and a reduced fraction, `23 9/32`, carried and without a zero part."""
    whole, rest = divmod(abs(value), 1)
    sign = "-" if value < 0 else ""
    if rest == 0:
        return f"{sign}{whole}"
    part = f"{rest.numerator}/{rest.denominator}"
    return f"{sign}{whole} {part}" if whole else sign + part


def decimal_text(value: Fraction, places: int) -> str:
    """A number rounded half up to so many places, without trailing zeros."""
    text = fixed_text(value, places)
    return text.rstrip("0").rstrip(".") if "." in text else text


def fixed_text(value: Fraction, places: int) -> str:
    """A number rounded half up (away from zero) to so many places, every place shown."""
    scaled = int(abs(value) * 10**places + Fraction(1, 2))
    digits = str(scaled).rjust(places + 1, "0")
    text = f"{digits[:-places]}.{digits[-places:]}" if places else digits
    return f"-{text}" if value < 0 and scaled else text

"""The kinds of value that a spec holds: lengths, readings, fills, ratios, masses, dates, texts.

Every scalar reaches these as the text that was typed. Lengths need the spec's units, which the reading has. A text of
a file that is in other units is `Typed`, and brings them along.
"""

from __future__ import annotations

import datetime
import re
import unicodedata
from typing import Any, Generic, Literal, TypeVar

from cabdraw.errors import Path
from cabdraw.rational import Fraction
from cabdraw.spec.looks import RATIO, TEXT, any_case, look_of, looks, plain
from cabdraw.spec.section import Key, Kind, Reading, Single, Wrong
from cabdraw.spec.tree import Typed
from cabdraw.units import (
    INCH,
    MARKS,
    ZERO,
    Length,
    Mass,
    NotALength,
    System,
    decimal_text,
    fraction_text,
    length_text,
    parse_length,
    parse_mass,
    quoted,
    with_unit,
)

#: Longest text that a drawing has room for in any field.
LONGEST_TEXT = 200


def shown(value: Any, most: int = 40) -> str:
    """A value as typed, shortened, for a message: a text in quotes, a list or a section in its brackets."""
    if isinstance(value, str):
        return quoted(value.strip() or value, most)
    text = _written(value, most)
    return quoted(text, most)[1:-1]


def _written(value: Any, room: int) -> str:
    # Stops as soon as there is more than will be shown, however large the value is.
    if isinstance(value, str):
        return value
    is_list = isinstance(value, list)
    text = "[" if is_list else "{"
    for item in value:
        if len(text) > room:
            break
        part = item if is_list else value[item]
        text += "" if len(text) == 1 else ", "
        text += _written(part, room - len(text)) if is_list else f"{item}: {_written(part, room - len(text))}"
    return text + ("]" if is_list else "}")


def scalar(value: Any, wanted: str, example: str) -> str:
    """The text of a single value; an error that says what is wanted for a list, a section or nothing."""
    if isinstance(value, list):
        raise Wrong(f"{shown(value)} is a list, but {wanted} belongs here", f"write e.g. {example}")
    if isinstance(value, dict):
        raise Wrong(f"{shown(value)} is a section with keys, but {wanted} belongs here", f"write e.g. {example}")
    text = str(value)
    if not text.strip():
        raise Wrong(f"is empty, but {wanted} belongs here", f"write e.g. {example}")
    return text


def _length(value: Any, of_spec: System, wanted: str) -> Length:
    units = value.units if isinstance(value, Typed) else of_spec
    text = scalar(value, wanted, "1/2, 12mm" if units == "inch" else '12, 1/2"')
    try:
        length = parse_length(text, units)
        return length if units == of_spec else Length(length.mm, with_unit(length.typed, units))
    except NotALength as error:
        raise Wrong(error.what, error.hint) from None


def _figure(length: Length) -> str:
    inches = length.mm / INCH
    inch_text = fraction_text(inches) if inches.denominator in (1, 2, 4, 8, 16, 32, 64) else decimal_text(inches, 3)
    return f'{decimal_text(length.mm, 3)} mm ({inch_text}")'


def outside(length: Length, noun: str, least: str, most: str) -> tuple[str, str] | None:
    """What is wrong with a length outside its bounds (in mm), and what to do; None if it is within them."""
    typed = quoted(length.typed)
    if length.mm > Fraction(most):
        return f"{typed} is {_figure(length)}, and {noun} is at most {most} mm", "is the unit right?"
    if length == ZERO and Fraction(least) > 0:
        return f"{typed} is zero, and {noun} cannot be", "give its size"
    if length.mm < Fraction(least):
        return f"{typed} is {_figure(length)}, and {noun} is at least {least} mm", "is the unit right?"
    return None


Word = TypeVar("Word", bound=str)
Found = TypeVar("Found")


class Sized(Kind[Found], Generic[Found]):
    """A length within generous bounds in mm, beyond which it is a slip; `noun` says what it is.

    `word`, where there is one, may stand in its place, and is None.
    """

    noun: str
    least: str
    most: str
    word: str = ""

    def read(self, value: Any, path: Path, reading: Reading) -> Any:
        return reading.tried(path, value, lambda: self.length(value, reading))

    def length(self, value: Any, reading: Reading) -> Length | None:
        """The length, or None; raises `Wrong`."""
        if self.word and isinstance(value, str) and value.strip().lower() == self.word:
            return None
        length = _length(value, reading.units, f"a length or {self.word}" if self.word else "a length")
        # With the units unknown a bare number may be anything.
        guessed = reading.guessed and not isinstance(value, Typed)
        if not guessed and (said := outside(length, self.noun, self.least, self.most)):
            raise Wrong(*said)
        return length


def sized(noun: str, least: str, most: str) -> Sized[Length]:
    """A length within bounds in mm."""
    return Sized(noun, least, most)


def sized_or(word: str, noun: str, least: str, most: str) -> Sized[Length | None]:
    """A length within bounds in mm, or a word, which is None."""
    return Sized(noun, least, most, word)


@looks("one alone", of="item")
def one_alone(value: Any) -> Any:
    """A list as it is, and of any one value a list of one."""
    if isinstance(value, list):
        if not value:
            raise Wrong("[] is an empty list", "give at least one reading")
        return value
    return [value]


_RATIO = re.compile(r"(?P<top>[0-9]{1,6}(?:\.[0-9]{1,6})?|\.[0-9]{1,6})(?:\s*/\s*(?P<bottom>[0-9]{1,6}))?")


@looks("a number above zero", type=["number", "string"], exclusiveMinimum=0, pattern=RATIO, typed=plain)
def _weight(value: Any) -> Fraction:
    text = scalar(value, "a number", "1, 2, 1.5")
    match = _RATIO.fullmatch(text.strip())
    if match is None or (match["bottom"] and int(match["bottom"]) == 0) or Fraction(match["top"]) == 0:
        raise Wrong(f"{shown(text)} is not a ratio", "write a number above zero, e.g. 1, 2, 1.5")
    return Fraction(match["top"]) / int(match["bottom"] or 1)


@looks(
    "a percentage",
    type="string",
    pattern=r"^\s*(?:100(?:\.0{1,3})?|0?[0-9]{1,2}(?:\.[0-9]{1,3})?)\s*%\s*$",
    typed=lambda share: f"{plain(share * 100)}%",
)
def _percent(value: Any) -> Fraction:
    text = scalar(value, "a percentage", "10%")
    match = re.fullmatch(r"([0-9]{1,3}(?:\.[0-9]{1,3})?)\s*%", text.strip())
    if match is None or Fraction(match[1]) > 100:
        raise Wrong(f"{shown(text)} is not a percentage from 0 to 100", "write e.g. 10%")
    return Fraction(match[1]) / 100


@looks(
    "a mass with its unit, lb or kg",
    type="string",
    pattern=rf"^\s*(?:[0-9]{{1,9}}(?:\.[0-9]{{0,6}})?|\.[0-9]{{1,6}})\s*(?:{any_case('lb', 'kg')})[sS]?\.?\s*$",
)
def _mass(value: Any) -> Mass:
    text = scalar(value, "a mass", "3500 lb, 1600 kg")
    try:
        return parse_mass(text)
    except NotALength as error:
        raise Wrong(error.what, error.hint) from None


#: Inches of paper to a foot of car, as customary on architects' and engineers' scales.
_INCHES_TO_A_FOOT = ("3/32", "1/8", "3/16", "1/4", "3/8", "1/2", "3/4", "1", "1 1/2", "2", "3", "4", "6")
_FEET_SCALE = re.compile(r"([^=\"]+?)\s*\"?\s*=\s*1\s*'(?:\s*-?\s*0\s*\"?)?")


@looks(
    'auto, a ratio such as 1:10, or inches to a foot such as 3/4" = 1\'-0"',
    type="string",
    pattern=rf"^\s*(?:{any_case('auto')}|1\s*:\s*[1-9][0-9]{{0,2}}|[^=]+=\s*1\s*['′’‘].*)\s*$",
)
def _scale(value: Any) -> str:
    text = scalar(value, "a scale", "auto, 1:10")
    tidy = " ".join(text.translate(MARKS).replace("''", '"').split())[:60]
    if tidy.lower() == "auto":
        return "auto"
    if (match := re.fullmatch(r"1 ?: ?([1-9][0-9]{0,2})", tidy)) and int(match[1]) <= 500:
        return f"1:{match[1]}"
    if (match := _FEET_SCALE.fullmatch(tidy)) and (inches := match[1].replace("-", " ")) in _INCHES_TO_A_FOOT:
        return f'{inches}" = 1\'-0"'
    raise Wrong(f"{shown(text)} is not a scale", 'write auto, 1:10, or 3/4" = 1\'-0"')


@looks(
    "a date, year-month-day",
    type="string",
    pattern=r"^\s*[0-9]{4}-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12][0-9]|3[01])\s*$",
)
def _date(value: Any) -> str:
    text = scalar(value, "a date", "2026-03-02").strip()
    try:
        if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
            raise ValueError
        datetime.date.fromisoformat(text)
    except ValueError:
        raise Wrong(f"{shown(text)} is not a date", "write year-month-day, e.g. 2026-03-02") from None
    return text


# A text that YAML takes for a number or a truth value is a text here all the same.
@looks(f"a text of at most {LONGEST_TEXT} characters", type=["string", "number", "boolean"], pattern=TEXT)
def _text(value: Any) -> str:
    text = scalar(value, "a text", "Car 2, with quotes round it if it begins with #").strip()
    if len(text) > LONGEST_TEXT:
        raise Wrong(f"{shown(text)} is {len(text)} characters long", f"no drawing has room for over {LONGEST_TEXT}")
    for sign in text:
        if unicodedata.category(sign) in ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"):
            raise Wrong(
                f"{shown(text)} holds the character U+{ord(sign):04X}, which cannot be printed on a drawing",
                "take it out, or write the text on one line",
            )
    return text


Weight = Single(_weight)
Percent = Single(_percent)
MassOfCar = Single(_mass)
Date = Single(_date)
Text = Single(_text)
ScaleText = Single(_scale)


class Choice(Kind[Word], Generic[Word]):
    """One of a few words, in any case; what it is read as is spelled as in `names`."""

    names: tuple[Word, ...]

    def read(self, value: Any, path: Path, reading: Reading) -> Word | None:
        return reading.tried(path, value, lambda: self.word(value))

    def word(self, value: Any) -> Word:
        """The word; raises `Wrong`."""
        text = scalar(value, "one of " + ", ".join(self.names), self.names[0]).strip()
        for name in self.names:
            if text.lower() == name.lower():
                return name
        raise Wrong(f"{shown(text)} is not known here", "write one of " + ", ".join(self.names))


def choice(*names: Word) -> Choice[Word]:
    """One of a few words, in any case."""
    return Choice(names)


Units: Choice[Literal["inch", "mm"]] = choice("inch", "mm")


@looks(
    "true or false",
    type=["boolean", "string"],
    pattern=rf"^\s*(?:{any_case('true', 'yes', 'false', 'no')})\s*$",
    typed=bool,
)
def _yes_no(value: Any) -> bool:
    text = scalar(value, "true or false", "true").strip().lower()
    if text not in ("true", "yes", "false", "no"):
        raise Wrong(f"{shown(text)} is neither true nor false", "write true or false")
    return text in ("true", "yes")


YesNo = Single(_yes_no)


def as_typed(key: Key[Any], value: Any, units: System) -> str | tuple[str, ...]:
    """A value of a key that was read, as one would type it: a text, or the texts of a list."""
    if isinstance(value, tuple):
        return tuple(str(item) for item in value)
    if isinstance(value, Length):
        return length_text(value, units)
    if isinstance(value, bool):
        return "true" if value else "false"
    if not isinstance(value, Fraction):
        return str(value)
    assert isinstance(key.kind, Single)
    return str(look_of(key.kind.reader).typed(value))

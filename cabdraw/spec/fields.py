"""The kinds of value that a spec holds: lengths, readings, fills, ratios, masses, dates, texts.

Every scalar reaches these as the text that was typed. Lengths need the spec's units, which come in
through pydantic's validation context as `{"units": "inch" | "mm"}`.
"""

from __future__ import annotations

import datetime
import re
import unicodedata
from fractions import Fraction
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, PlainValidator, ValidationInfo
from pydantic_core import PydanticCustomError

from cabdraw.units import ZERO, Length, Mass, NotALength, parse_length, parse_mass

#: Longest text that a drawing has room for in any field.
LONGEST_TEXT = 200


def wrong(what: str, hint: str = "") -> PydanticCustomError:
    """A validation error that carries our own sentence and hint."""
    return PydanticCustomError("spec", "{what}", {"what": what, "hint": hint})


def _scalar(value: Any, wanted: str, example: str) -> str:
    if isinstance(value, list):
        raise wrong(f"is a list, but {wanted} belongs here", f"write e.g. {example}")
    if isinstance(value, dict):
        raise wrong(f"is a mapping, but {wanted} belongs here", f"write e.g. {example}")
    text = str(value)
    if not text.strip():
        raise wrong(f"is empty, but {wanted} belongs here", f"write e.g. {example}")
    return text


def _length(value: Any, info: ValidationInfo) -> Length:
    units = (info.context or {}).get("units", "mm")
    text = _scalar(value, "a length", "1/2, 12mm" if units == "inch" else '12, 1/2"')
    try:
        return parse_length(text, units)
    except NotALength as error:
        raise wrong(error.what, error.hint) from None


def _positive_length(value: Any, info: ValidationInfo) -> Length:
    length = _length(value, info)
    if length == ZERO:
        raise wrong(f'"{length.typed}" is zero, and nothing here can be', "give its size")
    return length


def _listed(value: Any) -> Any:
    if isinstance(value, list):
        if not value:
            raise wrong("is an empty list", "give at least one reading")
        return value
    return [value]


def _fill_or_length(value: Any, info: ValidationInfo) -> Length | None:
    if isinstance(value, str) and value.strip().lower() == "fill":
        return None
    return _positive_length(value, info)


def _fill_or_any_length(value: Any, info: ValidationInfo) -> Length | None:
    if isinstance(value, str) and value.strip().lower() == "fill":
        return None
    return _length(value, info)


_RATIO = re.compile(r"(?P<top>[0-9]{1,6}(?:\.[0-9]{1,6})?)(?:\s*/\s*(?P<bottom>[0-9]{1,6}))?")


def _weight(value: Any) -> Fraction:
    text = _scalar(value, "a number", "1, 2, 1.5")
    match = _RATIO.fullmatch(text.strip())
    if match is None or (match["bottom"] and int(match["bottom"]) == 0) or Fraction(match["top"]) == 0:
        raise wrong(f'"{text[:40]}" is not a ratio', "write a number above zero, e.g. 1, 2, 1.5")
    return Fraction(match["top"]) / int(match["bottom"] or 1)


def _count(value: Any) -> int:
    text = _scalar(value, "a whole number", "3")
    if not re.fullmatch(r"[0-9]{1,6}", text.strip()):
        raise wrong(f'"{text[:40]}" is not a whole number', "write e.g. 3")
    return int(text)


def _percent(value: Any) -> Fraction:
    text = _scalar(value, "a percentage", "10%")
    match = re.fullmatch(r"([0-9]{1,3}(?:\.[0-9]{1,3})?)\s*%", text.strip())
    if match is None or Fraction(match[1]) > 100:
        raise wrong(f'"{text[:40]}" is not a percentage from 0 to 100', "write e.g. 10%")
    return Fraction(match[1]) / 100


def _mass(value: Any) -> Mass:
    text = _scalar(value, "a mass", "3500 lb, 1600 kg")
    try:
        return parse_mass(text)
    except NotALength as error:
        raise wrong(error.what, error.hint) from None


def _date(value: Any) -> str:
    text = _scalar(value, "a date", "2026-03-02").strip()
    try:
        if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
            raise ValueError
        datetime.date.fromisoformat(text)
    except ValueError:
        raise wrong(f'"{text[:40]}" is not a date', "write year-month-day, e.g. 2026-03-02") from None
    return text


def _text(value: Any) -> str:
    text = _scalar(value, "a text", "Car 2").strip()
    if len(text) > LONGEST_TEXT:
        raise wrong(f'"{text[:37]}..." is {len(text)} characters long', f"no drawing has room for over {LONGEST_TEXT}")
    for sign in text:
        if unicodedata.category(sign) in ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"):
            raise wrong(
                f"holds the character U+{ord(sign):04X}, which cannot be printed on a drawing",
                "take it out, or write the text on one line",
            )
    return text


LengthField = Annotated[Length, PlainValidator(_length)]
PositiveLength = Annotated[Length, PlainValidator(_positive_length)]
Readings = Annotated[tuple[PositiveLength, ...], BeforeValidator(_listed)]
Falls = Annotated[tuple[LengthField, ...], BeforeValidator(_listed)]
#: A length, or None for `fill`.
Fillable = Annotated[Length | None, PlainValidator(_fill_or_length)]
FillableOrZero = Annotated[Length | None, PlainValidator(_fill_or_any_length)]
Weight = Annotated[Fraction, PlainValidator(_weight)]
Count = Annotated[int, PlainValidator(_count)]
Percent = Annotated[Fraction, PlainValidator(_percent)]
MassField = Annotated[Mass, PlainValidator(_mass)]
Date = Annotated[str, PlainValidator(_date)]
Text = Annotated[str, PlainValidator(_text)]


def choice(*names: str) -> PlainValidator:
    """A validator for one of a few words, in any case; what is returned is as spelled in `names`."""

    def read(value: Any) -> str:
        text = _scalar(value, "one of " + ", ".join(names), names[0]).strip()
        for name in names:
            if text.lower() == name.lower():
                return name
        raise wrong(f'"{text[:40]}" is not known here', "write one of " + ", ".join(names))

    return PlainValidator(read)


Units = Annotated[Literal["inch", "mm"], choice("inch", "mm")]

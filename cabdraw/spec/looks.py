"""How each kind of value looks as it is typed, in the words and patterns of JSON Schema, for editors.

A validator says so with `looks`, right above it. A pattern takes whatever the validator takes, and as little else as
a pattern can tell; it must mean the same in Python and in JavaScript, and so lists both cases of a letter.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from cabdraw.frozen import Frozen
from cabdraw.rational import Fraction
from cabdraw.units import decimal_text, fraction_text

#: A character that no drawing can print: none of these can be in a text.
_UNPRINTABLE = r"\u0000-\u001f\u007f-\u009f\u00ad\u200b-\u200f\u2028-\u202e\u2060-\u2064\u2066-\u206f\ufeff"
#: Something that is not blank, and can be printed, on one line.
TEXT = rf"^\s*[^\s{_UNPRINTABLE}](?:[^{_UNPRINTABLE}]{{0,198}}[^\s{_UNPRINTABLE}])?\s*$"
RATIO = r"^\s*(?:[0-9]{1,6}(?:\.[0-9]{1,6})?|\.[0-9]{1,6})(?:\s*/\s*0{0,5}[1-9][0-9]{0,5})?\s*$"

_FOOT_SIGN = "['′’‘]"
_BAR = r"\s*[/⁄]\s*0{0,8}[1-9][0-9]{0,8}"
_NUMBER = (
    rf"(?:[0-9]{{1,9}}(?:\s+|\s*-\s*)[0-9]{{1,9}}{_BAR}|[0-9]{{1,9}}{_BAR}"
    r"|[0-9]{1,9}(?:\.[0-9]{0,9})?|\.[0-9]{1,9}|(?:[0-9]{1,9}\s*-?\s*)?[½¼¾⅛⅜⅝⅞⅓⅔⅕⅖⅗⅘⅙⅚⅐⅑⅒])"
)


def any_case(*words: str) -> str:
    """A pattern for any of some words, in capitals or not, with any blanks where a word has one."""
    return "|".join("".join(_either(sign) for sign in word) for word in words)


def _either(sign: str) -> str:
    if sign == " ":
        return r"\s+"
    if sign.lower() != sign.upper():
        return f"[{sign.lower()}{sign.upper()}]"
    # A pattern of JavaScript takes a backslash before signs of its own alone.
    return f"\\{sign}" if sign in ".*+?()[]{}|^$/" else sign


_INCH = rf"""(?:["″”“]|{_FOOT_SIGN}{{2}}|(?:{any_case("inches", "inch", "in")})\.?)"""
_FOOT = rf"(?:{_FOOT_SIGN}|{any_case('ft')}\.?)"
_UNIT = rf"(?:{_INCH}|{_FOOT}|{any_case('feet', 'foot', 'mm', 'cm', 'm')})"
LENGTH = rf"(?:{_NUMBER}\s*{_UNIT}?|{_NUMBER}\s*{_FOOT}\s*-?\s*{_NUMBER}\s*{_INCH})"


class Look(Frozen):
    """A kind of value: what it is called in a sentence, what it looks like, and how one that was read is typed."""

    says: str
    schema: dict[str, Any]
    typed: Callable[[Any], Any] = str


_LOOKS: dict[Any, Look] = {}
Reader = TypeVar("Reader", bound=Callable[..., Any])


def looks(says: str, typed: Callable[[Any], Any] = str, **schema: Any) -> Callable[[Reader], Reader]:
    """Say of a validator what the values look like that it takes."""

    def noted(reader: Reader) -> Reader:
        _LOOKS[reader] = Look(says, schema, typed)
        return reader

    return noted


def look_of(reader: Any) -> Look:
    """What the values look like that a validator takes; raises LookupError where it does not say."""
    if reader not in _LOOKS:
        raise LookupError(f"{reader!r} does not say what its values look like: put @looks(...) above it")
    return _LOOKS[reader]


def plain(value: Fraction) -> Any:
    """A number as a spec would have it: 4, 0.45, or 1/3."""
    if value.denominator == 1:
        return int(value)
    decimal = decimal_text(value, 6)
    return float(decimal) if Fraction(decimal) == value else fraction_text(value)

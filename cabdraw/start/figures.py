"""What stands in a cell, as a length, a date or a text; what could be read in two ways is not guessed at."""

from __future__ import annotations

import re

from cabdraw.start.table import Cell
from cabdraw.units import NotALength, System, parse_length, quoted


class Unusable(Exception):
    """What a cell holds cannot be used: what is wrong, and how to mend it."""

    def __init__(self, what: str, hint: str) -> None:
        super().__init__(f"{what}; {hint}" if hint else what)


_MONTH = r"[^\W\d_]{3,9}\.?"
_DATES = re.compile(
    rf"\d{{1,2}}[-. ]+{_MONTH}(?:[-. ]+\d{{2,4}})?|{_MONTH}[-. ]+\d{{1,4}}(?:,? \d{{4}})?|\d{{1,2}}/\d{{1,2}}/\d{{2,4}}"
    r"|\d{4}[-/]\d{1,2}[-/]\d{1,2}(?:[T ][\d:.]+)?|\d{1,2}\.\d{1,2}\.(?:\d{2,4})?|\d{1,2}:\d{2}(?::\d{2})?"
)
_UNIT = re.compile(r"\s*(mm|cm|m|in\.?|inch|inches|ft\.?|feet|foot|\"|''|'|″|′|lbs?\.?|kgs?\.?)", re.IGNORECASE)
_OWN_UNIT = re.compile(r"[A-Za-z\"'′″’”]\.?$")
_MADE_A_DATE = (
    "a spreadsheet makes a date of a fraction such as 3/4: have the cell hold text, then type the reading again,"
    " or type 0 3/4"
)


def looks_like_a_date(text: str) -> bool:
    """Whether a text is one that a spreadsheet shows for a date or a time."""
    return bool(_DATES.fullmatch(text)) and not _UNIT.fullmatch(text.lstrip("0123456789. -"))


def as_length(cell: Cell, unit: str, units: System, decimal_commas: bool) -> str:
    """A length as a spec has it, with the unit of its row where it has none of its own. Raises `Unusable`."""
    text = _tidy(cell)
    if cell.kind == "date" or looks_like_a_date(text):
        raise Unusable(f"{quoted(text)} is a date, and a length belongs here", _MADE_A_DATE)
    text = _pointed(text, decimal_commas)
    if unit:
        if not _UNIT.fullmatch(unit):
            raise Unusable(f"{quoted(unit)}, the unit of this row, is no unit of length", "write in, ft, mm, cm or m")
        if not _OWN_UNIT.search(text):
            text = f"{text} {unit}"
        elif not text.lower().endswith(unit.lower()):
            raise Unusable(f"{quoted(text)} has a unit of its own, and its row says {quoted(unit)}", "keep one of them")
    try:
        parse_length(text, units)
    except NotALength as error:
        raise Unusable(error.what, error.hint) from None
    return text


def as_mass(cell: Cell, unit: str, decimal_commas: bool) -> str:
    """A mass as a spec has it. Raises `Unusable`; whether it is one, the format tells."""
    text = _pointed(_tidy(cell), decimal_commas)
    return f"{text} {unit}" if unit and not _OWN_UNIT.search(text) else text


def as_date(cell: Cell) -> str:
    """A date, year-month-day. Raises `Unusable` for one that could be read in two ways."""
    text = _tidy(cell)
    if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", text):
        raise Unusable(f"{quoted(text)} is not a date that can be read in one way only", "write year-month-day")
    return text


def as_text(cell: Cell) -> str:
    """A text on one line. Raises `Unusable` for what a spreadsheet could not work out."""
    return _tidy(cell)


def uses_commas(text: str) -> bool:
    """Whether a text is a number that has a comma before its decimals, and can be nothing else."""
    tidy = text.strip()
    number = r"\d{1,3}(?:\.\d{3})*,\d+|\d+,(?:\d{1,2}|\d{4,})|0,\d+"
    return bool(re.fullmatch(rf"(?:{number})\s*(?:[A-Za-z\"'″′]+\.?)?", tidy)) and not re.fullmatch(
        r"[1-9]\d{0,2},\d{3}\s*(?:[A-Za-z\"'″′]+\.?)?", tidy
    )


def _tidy(cell: Cell) -> str:
    if cell.kind == "wrong":
        raise Unusable(*(part.strip() for part in cell.text.partition(";")[::2]))
    text = " ".join(cell.text.split())
    # The sign that a spreadsheet has before what it is to take as text, where it was saved along.
    return text[1:] if re.match(r"['’](?=[\d.])", text) else text


def _pointed(text: str, decimal_commas: bool) -> str:
    """A number with a point before its decimals; refused where a comma or a point could mean thousands as well."""
    match = re.match(r"[\d.,]+", text)
    if match is None:
        return text
    number, rest = match[0], text[match.end() :]
    either = f"{quoted(text)} can be read in two ways"
    if re.fullmatch(r"\d{1,3}(?:\.\d{3})+,\d+", number):
        return number.replace(".", "").replace(",", ".") + rest
    if re.fullmatch(r"\d{1,3}(?:,\d{3})+\.\d+", number):
        return number.replace(",", "") + rest
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", number):
        raise Unusable(f"{either}: the comma stands before decimals or after thousands", "write it without the comma")
    if re.fullmatch(r"\d*,\d+", number):
        return number.replace(",", ".") + rest
    if decimal_commas and re.fullmatch(r"[1-9]\d{0,2}\.\d{3}", number):
        raise Unusable(f"{either}, as other cells have a comma before decimals", "write it without the point")
    return text

"""Explanations as lines for a terminal, and as a record for other programs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from textwrap import wrap
from typing import Any

from cabdraw.explain.explanation import Explanation, Place, Step
from cabdraw.rational import Fraction
from cabdraw.units import Length, Printing

#: As wide as a terminal is most often opened, and no line is wider that can be folded.
WIDTH = 100
_NUMBER = 4
_INSIDE = " " * (_NUMBER + 2)


def lines(explanations: Sequence[Explanation], printing: Printing) -> Iterator[str]:
    """Each size with its steps, numbered throughout; a step that was told already is not told again."""
    told: dict[Step, int] = {}
    for index, explanation in enumerate(explanations):
        if index:
            yield ""
        yield from _folded(_head(explanation, printing), "", "  ")
        last = explanation.steps[-1]
        if last in told:
            yield f"{_INSIDE}as in step {told[last]}"
        for step in explanation.steps:
            if step not in told:
                told[step] = len(told) + 1
                yield from _step(step, told[step])


def listed(marks: Sequence[str]) -> Iterator[str]:
    """What can be asked for."""
    yield from _folded(", ".join(marks), "", "")
    yield ""
    yield f"Ask for one of these, or for one of its sizes, as {marks[0]}.width."


def _head(explanation: Explanation, printing: Printing) -> str:
    unit = "in" if printing.system == "inch" else "mm"
    text = f"{explanation.mark}.{explanation.size} = {explanation.shown} {unit}"
    if printing.rounded(explanation.value) != explanation.value:
        text += f", on drawings and lists {_printed(explanation, printing)}"
    return text


def _printed(explanation: Explanation, printing: Printing) -> str:
    """A size as drawings and lists have it: cores, thicknesses, edge bands and bolts as decimals."""
    decimal = explanation.size.startswith(("core.", "bolt.", "thickness", "edge"))
    return printing.decimal(explanation.value) if decimal else printing.size(explanation.value)


def _step(step: Step, number: int) -> Iterator[str]:
    yield from _folded(step.says, f"{number:>{_NUMBER}}  ", _INSIDE)
    result = step.expression if step.expression == step.shown else f"{step.expression} = {step.shown}"
    yield from _folded(result, f"{_INSIDE}  ", f"{_INSIDE}    ")
    for place in step.places:
        yield from _place(place)


def _place(place: Place) -> Iterator[str]:
    indent = f"{_INSIDE}    "
    where = f"{place.at}:{place.line}:{place.column}"
    if place.default:
        text = f"{place.typed} by default; {place.keys} would set it"
    else:
        text = f"{where} {place.keys}{f': {place.typed}' if place.typed else ''}"
    yield from _folded(text, indent, indent)


def _folded(text: str, first: str, later: str) -> list[str]:
    return wrap(
        text,
        WIDTH,
        initial_indent=first,
        subsequent_indent=later,
        break_long_words=False,
        break_on_hyphens=False,
    ) or [first.rstrip()]


def as_record(explanations: Sequence[Explanation], printing: Printing) -> dict[str, Any]:
    """Explanations as plain values: lengths in mm, exactly as `p/q`, with the rounded number beside that."""
    return {
        "units": printing.system,
        "sizes": [
            {
                "mark": explanation.mark,
                "size": explanation.size,
                **_value(explanation.value),
                "shown": explanation.shown,
                "printed": _printed(explanation, printing),
                "steps": [_step_record(step) for step in explanation.steps],
            }
            for explanation in explanations
        ],
    }


def _step_record(step: Step) -> dict[str, Any]:
    return {
        "says": step.says,
        "expression": step.expression,
        **(_value(step.value) if isinstance(step.value, Length) else {"count": step.value}),
        "shown": step.shown,
        "places": [
            {
                "file": place.at.as_posix(),
                "line": place.line,
                "column": place.column,
                "path": place.keys,
                "typed": place.typed,
                "default": place.default,
            }
            for place in step.places
        ],
    }


def _value(length: Length) -> dict[str, Any]:
    """A length in mm: exact, and rounded half up to 6 places as in `resolved.json`."""
    rounded = Fraction((length.mm * 10**6 + Fraction(1, 2)).__floor__(), 10**6)
    return {"exact_mm": str(length.mm), "mm": float(rounded)}

"""A traced value as arithmetic: once in numbers, exact and in the spec's units, and once in words."""

from __future__ import annotations

import re
from collections.abc import Sequence

from cabdraw.cab import Place as SpecPath
from cabdraw.explain.trace import Count, Number, Value, node_of
from cabdraw.frozen import Frozen
from cabdraw.rational import Fraction
from cabdraw.units import INCH, Length, System, fraction_text

#: How closely an operation binds: brackets stand round what binds less closely than what it is in.
_LOOSE, _SUM, _PRODUCT, _ATOM = range(4)


class Text(Frozen):
    """Some arithmetic as text, in numbers and in words, and how closely it binds."""

    numbers: str
    words: str
    binds: int

    def inside(self, binds: int) -> Text:
        """The same as an operand of something that binds so closely, in brackets where it needs them."""
        if self.binds >= binds:
            return self
        return Text(f"({self.numbers})", f"({self.words})", _ATOM)


def exact(value: Value, units: System) -> str:
    """A length in a spec's units, or a number, without any rounding: `22 31/96`, `2.0781`, `597.25`, `12 1/3`.

    Parts of an inch that a rule has stand as fractions; others as decimals, or as fractions where these do not end.
    """
    if not isinstance(value, Length):
        return fraction_text(Fraction(value))
    number = value.mm / INCH if units == "inch" else value.mm
    on_a_rule = units == "inch" and 64 % number.denominator == 0
    places = next((n for n in range(_PLACES + 1) if 10**n % number.denominator == 0), None)
    if on_a_rule or places is None:
        return fraction_text(number)
    digits = str(abs(number.numerator) * 10**places // number.denominator).rjust(places + 1, "0")
    sign = "-" if number < 0 else ""
    return sign + (f"{digits[:-places]}.{digits[-places:]}" if places else digits)


#: Decimals that end later than this stand as fractions.
_PLACES = 8


def is_step(value: Value) -> bool:
    """Whether a value has a name of its own, and so a step that gives it."""
    node = node_of(value)
    return node is not None and node.does in ("called", "up") and bool(node.words)


def needs(value: Value) -> tuple[Value, ...]:
    """What the arithmetic of a value rests on: values with a step of their own, and what stands in the spec.

    A share of one in one is left out, as it is in the arithmetic.
    """
    node = node_of(value)
    if node is None or (isinstance(value, Number) and node.does == "over" and value == 1):
        return ()
    if is_step(value) or node.does == "leaf":
        return (value,)
    return tuple(found for operand in node.of for found in needs(operand))


def shape(words: str) -> str:
    """A name without the numbers in it: panels of a row have names of one shape."""
    return re.sub(r"[0-9]+", "#", words)


def together(names: Sequence[str]) -> str:
    """Several names of one shape as one: `width of panel 1, 2 and 4 of the back wall`; one name said often, once."""
    different = list(dict.fromkeys(names))
    texts = re.split(r"[0-9]+", different[0])
    columns = list(zip(*(re.findall(r"[0-9]+", name) for name in different), strict=True))
    if len(different) == 1 or sum(len(set(column)) > 1 for column in columns) != 1:
        return _listed(different)
    text = texts[0]
    for column, after in zip(columns, texts[1:], strict=True):
        values = list(dict.fromkeys(column))
        run = [str(int(values[0]) + i) for i in range(len(values))]
        text += (f"{run[0]} to {run[-1]}" if values == run and len(values) > 2 else _listed(values)) + after
    return text


def _listed(values: Sequence[str]) -> str:
    return f"{', '.join(values[:-1])} and {values[-1]}" if len(values) > 1 else values[0]


class Arithmetic:
    """Writes the arithmetic of one step; `about` is what the step gives, so that its words need not say it again."""

    def __init__(self, units: System, about: str) -> None:
        self.units = units
        # "width of panel 1 of the back wall" is "width of panel 1" in a step about the back wall.
        walls = dict.fromkeys(re.findall(r"the (\w+ wall)\b", about))
        self.known = [f" (?:of|on) the {wall}(?:'s rail|(?!'))" for wall in walls]

    def of(self, value: Value) -> Text:
        """A value's arithmetic: its name and number where it has a step of its own or stands in the spec."""
        node = node_of(value)
        if node is None or is_step(value) or node.does == "leaf":
            return Text(exact(value, self.units), self._name(value), _ATOM)
        first = node.of[0]
        if node.does == "called":
            return self.of(first)
        if node.does == "sum":
            return self._sum(list(zip(node.signs, node.of, strict=True)))
        if node.does == "times":
            return self._times(first, node.of[1])
        if node.does == "over":
            return self._joined(self.of(first).inside(_PRODUCT), "÷", self.of(node.of[1]).inside(_ATOM))
        if node.does == "down":
            whole, step = self.of(first), exact(node.of[1], self.units)
            whole = whole.inside(_SUM)
            return Text(f"{whole.numbers} rounded down to {step}", f"{whole.words}, rounded down", _LOOSE)
        return self._chosen(node.does, node.of[: len(node.of) - node.limits], node.of[len(node.of) - node.limits :])

    def step(self, value: Value) -> Text:
        """The arithmetic that gives a value with a name: that of what the name stands for."""
        node = node_of(value)
        assert node is not None
        if node.does == "called":
            return self.of(node.of[0])
        parts = self.of(node.of[0]).inside(_PRODUCT), self.of(node.of[1]).inside(_ATOM)
        whole = self._joined(parts[0], "÷", parts[1])
        least = ", at least 1" if isinstance(value, Count) and value == 1 else ""
        return Text(f"{whole.numbers} rounded up{least}", f"{whole.words}, rounded up{least}", _LOOSE)

    def _name(self, value: Value) -> str:
        node = node_of(value)
        if node is None:
            return exact(value, self.units)
        if node.does == "leaf":
            return leaf_words(node.at[0])
        words = node.words
        for known in self.known:
            words = re.sub(known, "", words)
        return words

    @staticmethod
    def _joined(left: Text, sign: str, right: Text) -> Text:
        return Text(f"{left.numbers} {sign} {right.numbers}", f"{left.words} {sign} {right.words}", _PRODUCT)

    def _sum(self, terms: list[tuple[int, Value]]) -> Text:
        """Terms with their signs; equal ones whose names have one shape stand once, with how many there are."""
        groups: dict[tuple[int, str, str], list[Text]] = {}
        for sign, term in terms:
            text = self.of(term).inside(_PRODUCT)
            key = (sign, text.numbers, shape(text.words)) if text.binds == _ATOM else (sign, text.numbers, text.words)
            groups.setdefault(key, []).append(text)
        numbers, words = "", ""
        # What is added comes first, so that no sum begins with a minus where it need not.
        for (sign, number, _), alike in sorted(groups.items(), key=lambda group: -group[0][0]):
            many = f"{len(alike)} × " if len(alike) > 1 else ""
            names = [text.words for text in alike]
            joint = f" {'+' if sign > 0 else '-'} " if numbers else "" if sign > 0 else "-"
            numbers += f"{joint}{many}{f'({number})' if many and alike[0].binds < _ATOM else number}"
            said = together(names) if len(set(names)) > 1 else many + names[0]
            words += joint + said
        return Text(numbers, words, _SUM)

    def _times(self, length: Value, factor: Value) -> Text:
        inner = self.of(length)
        node = node_of(factor)
        if isinstance(factor, Number) and node is not None and node.does == "over":
            if factor == 1:
                return inner
            share = self._share(node.of[0], node.of[1])
            inner = inner.inside(_PRODUCT)
            return Text(f"{inner.numbers} × {share}", f"{inner.words} × {share}", _PRODUCT)
        times = self.of(factor)
        if isinstance(factor, Fraction) and factor.denominator != 1:
            return self._joined(inner.inside(_PRODUCT), "×", times)
        return self._joined(times, "×", inner.inside(_ATOM))

    def _share(self, weight: Value, weights: Value) -> str:
        """A weight out of all of them: `1/3` where all are alike, else `2 ÷ (1 + 2)`."""
        node = node_of(weights)
        each = [exact(one, self.units) for one in needs(weights)] if node is not None else []
        if len(set(each)) == 1:
            return f"1/{len(each)}"
        return f"{exact(weight, self.units)} ÷ ({' + '.join(each)})"

    def _chosen(self, way: str, among: Sequence[Value], limits: Sequence[Value]) -> Text:
        texts = [self.of(value).inside(_SUM) for value in among]
        ends = [self.of(value) for value in limits]
        numbers = f"{way} of {', '.join(text.numbers for text in texts)}"
        names = [text.words for text in texts]
        alike = len({shape(name) for name in names}) == 1
        words = f"{way} of {together(names) if alike else ', '.join(names)}"
        if all(getattr(node_of(value), "does", "") == "leaf" for value in among):
            words = f"{way} of the {len(texts)} stock lengths" if limits else f"{way} of the readings"
        for link, end in zip(("from", "to"), ends, strict=False):
            numbers, words = f"{numbers} {link} {end.numbers}", f"{words} {link} {end.words}"
        return Text(numbers, words, _LOOSE)


def leaf_words(path: SpecPath) -> str:
    """What stands at a place in the spec, in words: its key, or more where the key alone would not say."""
    keys = [key for key in path if isinstance(key, str)]
    key, index = keys[-1], path[-1] if isinstance(path[-1], int) else None
    said = _SAID.get((key, index)) or _SAID.get((key, None)) or key.replace("_", " ")
    if keys[0] == "survey" and index is not None:
        return f"{said} reading {index + 1}"
    if key not in _WHOSE or len(keys) < 2:
        return said
    number = next((step for step in reversed(path) if isinstance(step, int)), None)
    if keys[-2] in _LISTS and number is not None:
        return f"{said} of {_LISTS[keys[-2]]} {number + 1}"
    return f"{said} of the {keys[-2].replace('_', ' ')}{' return' if keys[-3:-2] == ['front'] else ''}"


#: Keys whose words are not enough, some by their place in a list of two.
_SAID: dict[tuple[str, int | None], str] = {
    ("round", None): "diameter of the rail",
    ("flat", 0): "height of the rail",
    ("flat", 1): "thickness of the rail",
    ("standoff_thread", 0): "least thread in the standoff",
    ("standoff_thread", 1): "greatest thread in the standoff",
    ("anchor", None): "what the anchor needs",
    ("shell", None): "thickness of the shell",
    ("depth", None): "depth behind the shell",
    ("max_spacing", None): "greatest spacing",
    ("edge", None): "edge band",
    ("overhang", None): "nominal overhang",
    ("floor", None): "fall",
}
#: Keys that say nothing without the section that they stand in, and what one of a list of such sections is called.
_WHOSE = ("width", "height", "thickness", "x", "y")
_LISTS = {"layers": "layer", "fixtures": "fixture", "holes": "old hole"}

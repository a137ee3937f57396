"""What the spec's format is written in: sections of keys, and at each key the kind of value that belongs there.

A section is read from plain dicts, lists and texts, key by key, and whatever does not fit is noted with its place:
all of it at once, as a library that stops at the first mistake, or says it in its own words, could not.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, ClassVar, Generic, Literal, Never, TypeVar, overload

from cabdraw.errors import Path
from cabdraw.frozen import Frozen
from cabdraw.rational import Fraction
from cabdraw.units import INCH, Length, System

WallName = Literal["back", "left", "right"]
WALLS: tuple[WallName, ...] = ("back", "left", "right")
#: The most that any list of the format holds; more is a slip.
MANY = 199

Value = TypeVar("Value")
First = TypeVar("First")
Second = TypeVar("Second")
#: A key without this has to be there.
NEEDED: Any = object()

Fault = Literal["said", "unknown", "missing", "no section", "no list", "not so many", "too many", "empty"]


class Wrong(Exception):
    """A value does not fit: what is wrong with it in our own words, and what to do."""

    def __init__(self, what: str, hint: str = "") -> None:
        super().__init__(what)
        self.what = what
        self.hint = hint


class Mistake(Frozen):
    """What does not fit at a place of a spec; `what` and `hint` where it was `said`, `most` where it is too many."""

    path: Path
    fault: Fault
    value: Any
    what: str = ""
    hint: str = ""
    most: int = 0


class Reading:
    """A reading of values: what a number without a unit is in, and the mistakes that were found.

    `guessed` says that the spec gives no units that can be used, so that a bare number may be anything.
    """

    __slots__ = ("guessed", "mistakes", "units")

    def __init__(self, units: System, guessed: bool = False) -> None:
        self.units: System = units
        self.guessed = guessed
        self.mistakes: list[Mistake] = []

    def note(self, path: Path, fault: Fault, value: Any, most: int = 0) -> None:
        """Note a mistake."""
        self.mistakes.append(Mistake(path, fault, value, most=most))

    def tried(self, path: Path, value: Any, reader: Callable[[], Value]) -> Value | None:
        """What a reader gives; None, and a note, where it raises `Wrong`."""
        try:
            return reader()
        except Wrong as wrong:
            self.mistakes.append(Mistake(path, "said", value, wrong.what, wrong.hint))
            return None


class Kind(Frozen, Generic[Value]):
    """A kind of value that belongs somewhere in the format."""

    def read(self, value: Any, path: Path, reading: Reading) -> Value | None:
        """What a value comes to; where it does not fit, None and what the reading notes."""
        raise NotImplementedError


class Single(Kind[Value], Generic[Value]):
    """A single value, read from what was typed; `reader` raises `Wrong`."""

    reader: Callable[[Any], Value]

    def read(self, value: Any, path: Path, reading: Reading) -> Value | None:
        return reading.tried(path, value, lambda: self.reader(value))


class ListOf(Kind[tuple[Value, ...]], Generic[Value]):
    """A list of values of one kind, at least `least`, 0 or 1, and at most `most`, None for no limit.

    `short` makes a list of what may be written in place of one, and raises `Wrong`.
    """

    item: Kind[Value]
    most: int | None = MANY
    least: int = 0
    short: Callable[[Any], Any] | None = None

    def read(self, value: Any, path: Path, reading: Reading) -> tuple[Value, ...] | None:
        before = len(reading.mistakes)
        if (short := self.short) is not None:
            given = value
            value = reading.tried(path, given, lambda: short(given))
            if value is None:
                return None
        if not isinstance(value, list):
            reading.note(path, "no list", value)
        elif self.most is not None and len(value) > self.most:
            reading.note(path, "too many", value, self.most)
        elif len(value) < self.least:
            reading.note(path, "empty", value)
        else:
            found: list[Any] = [self.item.read(item, (*path, at), reading) for at, item in enumerate(value)]
            if len(reading.mistakes) == before:
                return tuple(found)
        return None


class PairOf(Kind[tuple[First, Second]], Generic[First, Second]):
    """A list of two values."""

    first: Kind[First]
    second: Kind[Second]

    def read(self, value: Any, path: Path, reading: Reading) -> tuple[First, Second] | None:
        if not isinstance(value, list):
            reading.note(path, "no list", value)
            return None
        before = len(reading.mistakes)
        kinds: tuple[Kind[Any], Kind[Any]] = (self.first, self.second)
        both: list[Any] = [
            kind.read(item, (*path, at), reading) for at, (kind, item) in enumerate(zip(kinds, value, strict=False))
        ]
        if len(value) != 2:
            reading.note(path, "not so many", value)
        return (both[0], both[1]) if len(reading.mistakes) == before else None


class Key(Frozen, Generic[Value], eq=False):
    """A key of a section: what belongs there, what it is where it is left out, and what it means.

    Of two examples the first is in inches, the second in mm. `once` says that no item of its list may come twice.
    """

    kind: Kind[Value]
    default: Value | None
    description: str
    examples: tuple[Any, ...] | None = None
    once: bool = False

    @property
    def needed(self) -> bool:
        """Whether it has to be there."""
        return self.default is NEEDED


@overload
def key(
    kind: Kind[Value], *, description: str, examples: Sequence[Any] | None = None, once: bool = False
) -> Value: ...  # fmt: skip
@overload
def key(
    kind: Kind[Value], default: Value, *, description: str, examples: Sequence[Any] | None = None, once: bool = False
) -> Value: ...  # fmt: skip
@overload
def key(
    kind: Kind[Value], default: None, *, description: str, examples: Sequence[Any] | None = None, once: bool = False
) -> Value | None: ...  # fmt: skip
def key(
    kind: Kind[Any], default: Any = NEEDED, *, description: str, examples: Sequence[Any] | None = None,
    once: bool = False,
) -> Any:  # fmt: skip
    """Declare a key in the body of a section, which then has values of its kind there."""
    return Key(kind, default, description, tuple(examples) if examples is not None else None, once)


class Section:
    """A section of the spec: its keys as they are declared, its values as they were read. They never change."""

    #: The keys of the section, those of what it is based on first.
    format_keys: ClassVar[dict[str, Key[Any]]] = {}
    #: What else there is to say of it, in the words of JSON Schema.
    schema_words: ClassVar[dict[str, Any]] = {}
    #: The keys that were written.
    given_keys: frozenset[str]

    def __init_subclass__(cls) -> None:
        own = {name: value for name, value in vars(cls).items() if isinstance(value, Key)}
        cls.format_keys = {**cls.format_keys, **own}

    def __init__(self, **values: Any) -> None:
        """A section with some values, and the defaults of its other keys."""
        kept = vars(self)
        for name, declared in self.format_keys.items():
            kept[name] = values.get(name, declared.default)
        kept["given_keys"] = frozenset(values)

    def must_fit(self) -> None:
        """Raise `Wrong` where its values, each right by itself, do not fit together."""

    def _values(self) -> tuple[Any, ...]:
        return tuple(getattr(self, name) for name in self.format_keys)

    def __setattr__(self, name: str, value: Any) -> Never:
        raise AttributeError(f"{type(self).__name__} never changes")

    def __eq__(self, other: object) -> bool:
        return type(other) is type(self) and other._values() == self._values()

    def __hash__(self) -> int:
        return hash(self._values())

    def __repr__(self) -> str:
        values = ", ".join(f"{name}={value!r}" for name, value in zip(self.format_keys, self._values(), strict=True))
        return f"{type(self).__name__}({values})"


AnySection = TypeVar("AnySection", bound=Section)


def changed(section: AnySection, values: dict[str, Any]) -> AnySection:
    """The section with other values at some of its keys, and as many of them given as before."""
    made = type(section)(**{name: getattr(section, name) for name in section.format_keys} | values)
    vars(made)["given_keys"] = section.given_keys
    return made


class SectionOf(Kind[AnySection], Generic[AnySection]):
    """A section with keys; `short` makes one of what may be written in place of it, and leaves a section as it is."""

    section: type[AnySection]
    short: Callable[[Any], Any] | None = None

    def read(self, value: Any, path: Path, reading: Reading) -> AnySection | None:
        if self.short is not None:
            value = self.short(value)
        if not isinstance(value, dict):
            reading.note(path, "no section", value)
            return None
        before = len(reading.mistakes)
        declared = self.section.format_keys
        found = {}
        for name, there in declared.items():
            if name in value:
                found[name] = there.kind.read(value[name], (*path, name), reading)
            elif there.needed:
                reading.note((*path, name), "missing", value)
        for name in value:
            if name not in declared:
                reading.note((*path, name), "unknown", value[name])
        if len(reading.mistakes) > before:
            return None
        made = self.section(**found)
        reading.tried(path, value, made.must_fit)
        return made


def one_key_of(*names: str) -> dict[str, Any]:
    """In the words of JSON Schema: a section has one of these keys, and no other of them."""
    return {"oneOf": [{"required": [name]} for name in names]}


def not_both(first: str, second: str) -> dict[str, Any]:
    """In the words of JSON Schema: where a section has one key, another has no place in it."""
    return {"dependentSchemas": {first: {"properties": {second: False}}}}


def inches(numerator: int, denominator: int = 1) -> Length:
    """A default that is so many inches."""
    return Length(INCH * Fraction(numerator, denominator))

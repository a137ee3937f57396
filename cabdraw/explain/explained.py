"""How sizes came about: the car worked out once more with lengths that remember, and what they remember as steps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cabdraw.cab import Cab
from cabdraw.cab import Place as SpecPath
from cabdraw.explain.annotated import annotated
from cabdraw.explain.arithmetic import Arithmetic, exact, is_step, needs, shape, together
from cabdraw.explain.explanation import Explanation, Place, Step
from cabdraw.explain.sizes import CLEAR, named, sizes
from cabdraw.explain.trace import Node, Traced, Value, node_of
from cabdraw.frozen import Frozen
from cabdraw.resolve import resolve
from cabdraw.resolve.stack import band_names, band_words
from cabdraw.spec import Document
from cabdraw.units import Length, System


def explain(document: Document, cab: Cab, mark: str, size: str | None = None) -> tuple[Explanation, ...]:
    """How the sizes of a part, a wall or `clear` came about, or the one that is named; raises `NoSuchPart`.

    `cab` is what the document resolves to. Every step gives exactly what the resolver has.
    """
    return Remembered(document, cab).explain(mark, size)


def made_by(document: Document, cab: Cab, mark: str) -> tuple[Place, ...]:
    """The places in the spec that a part's, a wall's or the car's sizes come from, the nearest to them first.

    Defaults, which stand in no file, are left out. Raises `NoSuchPart`.
    """
    return Remembered(document, cab).made_by(mark)


class Remembered:
    """A car worked out once more so that it can be asked about many sizes; see `explain` and `made_by`."""

    def __init__(self, document: Document, cab: Cab) -> None:
        self.document, self.cab = document, cab
        self.remembered = resolve(annotated(document))
        self.lines: dict[Node, _Line] = {}

    def explain(self, mark: str, size: str | None = None) -> tuple[Explanation, ...]:
        """How the sizes of a mark came about, or the one that is named; raises `NoSuchPart`."""
        wanted = named(self.cab, mark, size)
        remembered = sizes(self.remembered, mark)
        found = []
        for name, length in wanted.items():
            value = remembered[name]
            if value != length:
                raise ValueError(f"{mark}.{name} is {length.mm} mm, and its explanation comes to {value.mm} mm")
            steps = _Steps(self.document, _called(self.cab, mark, name), _wall(self.cab, mark), self.lines)
            found.append(Explanation(mark, name, length, steps.of(value), exact(length, steps.units)))
        return tuple(found)

    def made_by(self, mark: str) -> tuple[Place, ...]:
        """The places in the spec that the sizes of a mark come from, the nearest first; raises `NoSuchPart`."""
        steps = _Steps(self.document, mark, "", {})
        found: dict[tuple[str, int, int], Place] = {}
        layer: Sequence[Value] = tuple(sizes(self.remembered, mark).values())
        seen: set[int] = set()
        while layer:
            following: list[Value] = []
            for value in layer:
                node = node_of(value)
                if node is None or id(node) in seen:
                    continue
                seen.add(id(node))
                for path in () if node.default else node.at:
                    place = steps.place(path)
                    found.setdefault((place.file, place.line, place.column), place)
                following += node.of
            layer = following
        return tuple(found.values())


def _called(cab: Cab, mark: str, size: str) -> str:
    """A size in words: `x of standoff 2 of rail-back`, `y of gap 1 of the back wall`."""
    inside, _, name = size.rpartition(".")
    name = name.replace("_", " ").replace("-", " ")
    if mark == CLEAR:
        return f"clear {name} of the car"
    wall = next((wall for wall in cab.walls.values() if wall.name == mark), None)
    whose = mark if wall is None else f"the {mark} wall"
    if wall is not None and inside:
        kinds = [band.kind for band in wall.bands]
        inside = dict(zip(band_names(kinds), band_words(kinds), strict=True)).get(inside, inside)
    return f"{name} of {_INSIDE.get(inside, inside.replace('-', ' '))} of {whose}" if inside else f"{name} of {whose}"


#: What sizes are grouped under, in words.
_INSIDE = {"core": "the core", "bolt": "the bolt", "visible": "what shows"}


def _wall(cab: Cab, mark: str) -> str:
    """The one wall that a mark is of, in words; nothing for the car, or for a trim between walls."""
    part = next((part for part in cab.parts if part.mark == mark), None)
    if part is not None and part.kind != "corner-trim":
        return f"the {part.wall} wall"
    return f"the {mark} wall" if mark in cab.walls else ""


class _Line(Frozen):
    """One step before those that differ in a number only are put together."""

    name: str
    words: str
    numbers: str
    shown: str
    value: Length | int
    places: tuple[Place, ...]

    @property
    def alike(self) -> tuple[str, str, str, str]:
        """The same for steps that can be one."""
        return shape(self.name), self.words, self.numbers, self.shown


class _Steps:
    """Makes the steps of one explanation; `lines` keeps what was written already."""

    def __init__(self, document: Document, called: str, wall: str, lines: dict[Node, _Line]) -> None:
        self.document, self.called, self.wall, self.lines = document, called, wall, lines
        self.units: System = document.spec.units

    def of(self, value: Length) -> tuple[Step, ...]:
        """Every step up to a value, each after those that it needs; steps that differ in a number only are one."""
        node = node_of(value)
        if node is None:
            # Only nothing is not typed and no default: a floor is where heights begin.
            assert not value, f"{self.called} is {value.mm} mm out of nowhere"
            return (Step(f"{self.called}: the floor, where heights begin", "0", value, (), "0"),)
        if not is_step(value):
            value = Traced.of(value.mm, Node("called", (value,), words=self.called))
        groups: dict[tuple[str, str, str, str], list[_Line]] = {}
        for each in _ordered(value, set()):
            line = self._line(each)
            groups.setdefault(line.alike, []).append(line)
        return tuple(map(_step, groups.values()))

    def _line(self, value: Value) -> _Line:
        node = node_of(value)
        assert node is not None
        if node not in self.lines:
            about = f"{node.words} of {self.wall}" if node.words == self.called else node.words
            text = Arithmetic(self.units, about).step(value)
            words = "" if _is_plain(node) else text.words
            plain = Length(value.mm) if isinstance(value, Length) else int(value)
            places = self._places(node)
            self.lines[node] = _Line(node.words, words, text.numbers, exact(value, self.units), plain, places)
        return self.lines[node]

    def _places(self, node: Node) -> tuple[Place, ...]:
        """Where in the spec the arithmetic of a step stands; readings of one list stand at the list."""
        leaves = [leaf for operand in node.of for leaf in _leaves(operand)]
        lists = [leaf.at[0][:-1] for leaf, _ in leaves if isinstance(leaf.at[0][-1], int)]
        found = []
        for leaf, value in leaves:
            path = leaf.at[0]
            if isinstance(path[-1], int) and lists.count(path[:-1]) > 1:
                found.append(self.place(path[:-1]))
            else:
                found.append(self.place(path, value, leaf.default))
        found += [self.place(path) for path in node.at]
        once: dict[tuple[SpecPath, int, int], Place] = {}
        for place in found:
            once.setdefault((place.path, place.line, place.column), place)
        return tuple(once.values())

    def place(self, path: SpecPath, value: Value | None = None, default: bool = False) -> Place:
        """Where a path stands, cut to what is really there but for a default; with what was typed of a value there."""
        source = self.document.source
        where = source.where(path)
        shown = path if default else source.existing(path)
        typed = ""
        if value is not None:
            typed = getattr(value, "typed", "") or exact(value, self.units)
        return Place(where.file, where.line, where.column, shown, where.path, typed, default)


def _step(alike: Sequence[_Line]) -> Step:
    """One step of lines that differ in a number in their names, or of one line."""
    names = [line.name for line in alike]
    name = together(names) + (", each" if len(set(names)) > 1 else "")
    first = alike[0]
    places = dict.fromkeys(place for line in alike for place in line.places)
    says = f"{name}: {first.words}" if first.words else name
    return Step(says, first.numbers, first.value, tuple(places), first.shown)


def _is_plain(node: Node) -> bool:
    """Whether a step only gives a name to what stands in the spec: one value, or the least of some readings."""
    inner = node_of(node.of[0])
    if node.does != "called" or inner is None or inner.does == "leaf":
        return node.does == "called"
    leaves = all(getattr(node_of(value), "does", "") == "leaf" for value in inner.of)
    return inner.does in ("least", "greatest") and not inner.limits and leaves


def _ordered(value: Value, seen: set[int]) -> Iterator[Value]:
    """Everything with a step of its own that a value needs, and then itself, each once."""
    node = node_of(value)
    if node is None or id(node) in seen or node.does == "leaf":
        return
    seen.add(id(node))
    for operand in node.of:
        for need in needs(operand):
            yield from _ordered(need, seen)
    yield value


def _leaves(value: Value) -> Iterator[tuple[Node, Value]]:
    """What stands in the spec, or is a default, in a value's own arithmetic."""
    for need in needs(value):
        node = node_of(need)
        if node is not None and node.does == "leaf":
            yield node, need

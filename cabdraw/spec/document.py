"""Reading a spec: its text, its values, and what lies between its sections, with every error at once."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from pathlib import Path as FilePath
from typing import Any

from cabdraw.errors import BadSpec, Path, Problem, SpecError
from cabdraw.frozen import Frozen, replace
from cabdraw.rule import Rule
from cabdraw.spec.consistency import problems
from cabdraw.spec.include import OF_SPEC, Parts, gather
from cabdraw.spec.known import Known, replaced, without
from cabdraw.spec.rules import ALWAYS, read_rules, shipped, shipped_rules
from cabdraw.spec.said import example, nearest, sample, say, slot
from cabdraw.spec.schema import Spec
from cabdraw.spec.section import Mistake, Reading, SectionOf
from cabdraw.spec.source import MOST_ERRORS, parse_source, read_bytes, read_source
from cabdraw.spec.tree import Source, Where, spec_error
from cabdraw.units import System, quoted


class Document(Frozen):
    """One car's spec that was read: its sections, the text that they came from, and the name that its folder gets.

    The name is that of the file without its ending and, where the file holds several cars, a dash and the car's key.
    """

    spec: Spec
    source: Source
    name: str
    rules: tuple[Rule, ...] = ()
    """The published rules that it is held against: those for every car, and those of the sets that it names."""
    files: tuple[FilePath, ...] = ()
    """Every file that was read for it: the spec, what it includes, its shop's own rules."""
    car: str | None = None
    """The car's key in `cars:`, None in a spec that is one car."""

    def locate(self, problem: Problem) -> SpecError:
        """The problem as an error with its place in the file."""
        return locate(self.source, problem)


def load(path: FilePath | str, car: str | None = None) -> Document:
    """Read a spec file; raises `BadSpec` with everything that is wrong in it, in the order of the file.

    Where it holds several cars, `car` says which; it is refused too where that is left out, or is none of them.
    """
    return _one(_parts(read_source(FilePath(path))), car)


def load_cars(path: FilePath | str, only: Collection[str] = ()) -> tuple[Document, ...]:
    """Read every car of a spec file, or `only` some by their keys; one where it is one car. Raises `BadSpec`."""
    parts = _parts(read_source(FilePath(path)))
    if not parts.cars:
        return (_one(parts, next(iter(only), None)),)
    unknown = [_no_such_car(parts, name) for name in only if name not in parts.cars]
    return _read(parts, [name for name in parts.cars if not only or name in only or unknown], unknown)


def _read(parts: Parts, wanted: Sequence[str | None], refused: Sequence[SpecError] = ()) -> tuple[Document, ...]:
    """The cars that are wanted, None for the only one; raises `BadSpec` where one is wrong or something was refused."""
    read: list[Document] = []
    wrong: dict[SpecError, list[str | None]] = {}
    for name in wanted:
        try:
            read.append(_document(parts.car(name), name))
        except BadSpec as bad:
            for error in bad.errors:
                wrong.setdefault(error, []).append(name)
    if wrong or refused:
        # What is wrong in all cars alike is said once; what is wrong in some, of which.
        errors = [
            error
            if len(names) == len(wanted)
            else replace(error, what=f"{error.what} (in {', '.join(name or '' for name in names)})")
            for error, names in wrong.items()
        ]
        raise BadSpec(_in_order(parts.base, [*refused, *errors]))
    return tuple(read)


def loads(text: str | bytes, name: str = "spec.yaml", folder: FilePath | str = "", car: str | None = None) -> Document:
    """Read a spec from text; `name` is what errors call its file. Raises `BadSpec` as `load` does.

    What it includes, and its shop's own rules, are looked for in `folder`.
    """
    data = text.encode("utf-8", "surrogatepass") if isinstance(text, str) else text
    return _one(_parts(parse_source(data, name, FilePath(folder) / FilePath(name).name)), car)


def car_keys(path: FilePath | str) -> tuple[str, ...]:
    """The keys of a spec file's cars, none where it is one car; raises `BadSpec` where its text is wrong."""
    path = FilePath(path)
    data = read_bytes(path, path.name or str(path))
    # Most specs are one car, and then there is no need to read them twice.
    return tuple(_parts(parse_source(data, path.name, path)).cars) if b"cars" in data else ()


def locate(source: Source, problem: Problem) -> SpecError:
    """A problem as an error with its place in the file, its path cut to what is really there."""
    path = source.existing(problem.path)
    return _at(source.where(path), path, problem.what, problem.hint)


def _at(where: Where, path: Path, what: str, hint: str) -> SpecError:
    return spec_error(where.file, where.line, where.column, path, what, hint)


def _parts(source: Source) -> Parts:
    version = source.plain().get("cabdraw", "1")
    if isinstance(version, str) and version.strip().isdecimal() and version.strip() != "1":
        # What another version's keys mean is not known, so nothing else is worth saying.
        _, errors, _ = _checked({"cabdraw": version}, source)
        raise BadSpec(tuple(error for error in errors if error.path == "cabdraw"))
    parts = gather(source)
    if parts.errors:
        raise BadSpec(_in_order(parts.base, list(dict.fromkeys((*parts.errors, *_said_already(parts))))))
    return parts


def _said_already(parts: Parts) -> Iterator[SpecError]:
    """What is wrong in the values of a spec of which not all could be read."""
    of_spec = {key: value for key, value in parts.base.plain().items() if key in ("cabdraw", "units")}
    if _units(of_spec) is None or not parts.units_settled:
        return  # what a number says is not known
    for name in parts.cars or (None,):
        source = parts.car(name)
        tree = {key: value for key, value in source.plain().items() if key not in OF_SPEC}
        yield from _checked(of_spec | tree, source, in_part=True)[1]


def _one(parts: Parts, car: str | None) -> Document:
    every = tuple(parts.cars) or (None,)
    if parts.cars and car is None:
        what = f"holds {len(parts.cars)} cars, and one is wanted"
        _read(parts, every, [spec_error(parts.base.name, 0, 0, (), what, f"say which: {', '.join(parts.cars)}")])
    if car is not None and car not in parts.cars:
        _read(parts, every, [_no_such_car(parts, car)])
    return _document(parts.car(car), car)


def _no_such_car(parts: Parts, car: str) -> SpecError:
    known = f"the cars here are {', '.join(parts.cars)}" if parts.cars else "it is one car, and has no cars:"
    return spec_error(parts.base.name, 0, 0, (), f"holds no car {quoted(car)}", known)


def _rules(spec: Spec, source: Source, folder: FilePath) -> tuple[tuple[Rule, ...], list[FilePath], list[SpecError]]:
    """The rules of every set that a spec names, and the files of a shop's own, which stand beside the spec."""
    found = list(shipped_rules(ALWAYS))
    files: list[FilePath] = []
    errors: list[SpecError] = []
    for index, name in enumerate(spec.rules):
        try:
            if name not in shipped():
                files.append(folder / name)
                found += read_rules(folder / name, name)
            else:
                found += shipped_rules(name)
        except BadSpec as bad:
            errors.append(locate(source, Problem(("rules", index), f'"{name}" cannot be used', "see the next lines")))
            errors += bad.errors
    return tuple(found), files, errors


def _document(source: Source, car: str | None) -> Document:
    spec, errors, known = _checked(source.plain(), source)
    errors = [*source.flaws, *errors]
    if spec is not None:
        errors += (locate(source, problem) for problem in problems(spec, known))
    if errors or spec is None:
        raise BadSpec(_in_order(source, errors))
    rules, files, wrong = _rules(spec, source, source.files[0].path.parent)
    if wrong:
        raise BadSpec(tuple(wrong))
    name = FilePath(source.name).stem if car is None else f"{FilePath(source.name).stem}-{car}"
    every = tuple(dict.fromkeys((*(file.path for file in source.files), *files)))
    return Document(spec, source, name, rules, every, car)


def _in_order(source: Source, errors: list[SpecError]) -> tuple[SpecError, ...]:
    ordered = source.in_order(errors)
    if len(ordered) > MOST_ERRORS:
        rest = f"and {len(ordered) - MOST_ERRORS} errors more"
        ordered = [*ordered[:MOST_ERRORS], spec_error(source.name, 0, 0, (), rest, "mend these first")]
    return tuple(ordered)


def _units(tree: dict[str, Any]) -> System | None:
    typed = tree.get("units")
    word = typed.strip().lower() if isinstance(typed, str) else ""
    return "inch" if word == "inch" else "mm" if word == "mm" else None


def _checked(tree: dict[str, Any], source: Source, in_part: bool = False) -> tuple[Spec | None, list[SpecError], Known]:
    """The sections, every error in the values, and what of the sections is known.

    What is wrong is replaced by a stand-in and all is read again, so that one error hides no other. Of a spec that is
    there in part nothing is said that something else may mend.
    """
    given = _units(tree)
    units: System = given or "mm"
    found: list[SpecError] = []
    wrong: set[Path] = set()
    short: set[Path] = set()
    meant: set[Path] = set()
    for _ in range(8):
        known = Known(frozenset(wrong), frozenset(short))
        reading = Reading(units, guessed=given is None)
        spec = SectionOf(Spec).read(tree, (), reading)
        mistakes = reading.mistakes
        if not mistakes:
            return spec, found, known
        if len(mistakes) > MOST_ERRORS:
            said = (mistake for mistake in mistakes if not in_part or mistake.fault != "missing")
            return None, [*found, *(_error(mistake, source, units) for mistake in said)], known
        for mistake in mistakes:
            if mistake.fault == "unknown":
                meant.add((*mistake.path[:-1], nearest(mistake.path) or ""))
        for mistake in mistakes:
            path = mistake.path
            # A complaint about a section as a whole rests on all that is in it.
            of_whole = mistake.fault == "said" and slot(path).section is not None
            sure = known.whole(path) if of_whole else known.there(path)
            sure &= not (in_part and (of_whole or mistake.fault == "missing"))
            if sure and not (mistake.fault == "missing" and path in meant):
                found.append(_error(mistake, source, units))
            if mistake.fault == "unknown":
                tree = without(tree, path)
                short.add(path[:-1])
            else:
                tree, place = _mended(tree, mistake, source, units)
                wrong.add(place)
    return None, found, Known()


def _error(mistake: Mistake, source: Source, units: System) -> SpecError:
    path = mistake.path
    what, hint = say(mistake, source.units.get(source.node(path).file, units))
    if mistake.fault == "unknown":
        return _at(source.key_where(path), path[:-1], what, hint)
    if mistake.fault == "missing":
        return _at(source.key_where(path[:-1]), path, what, hint)
    return locate(source, Problem(path, what, hint))


def _mended(tree: Any, mistake: Mistake, source: Source, units: System) -> tuple[Any, Path]:
    """The values without a mistake, and the place where something else stands now."""
    path = mistake.path if mistake.fault == "missing" else source.existing(mistake.path)
    here = slot(path)
    while here.section is None and here.key is None:
        path = path[:-1]
        here = slot(path)
    if here.section is not None:
        return replaced(tree, path, sample(here.section, units)), path
    assert here.key is not None
    if here.key.needed or here.key.examples is not None:
        return replaced(tree, path, example(here.key, units)), path
    return without(tree, path), path

"""Reading a spec: its text, its values, and what lies between its sections, with every error at once."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any

from pydantic import ValidationError

from cabdraw.errors import BadSpec, Path, Problem, SpecError
from cabdraw.rule import Rule
from cabdraw.spec.consistency import problems
from cabdraw.spec.known import Known, replaced, without
from cabdraw.spec.rules import ALWAYS, read_rules, shipped, shipped_rules
from cabdraw.spec.said import example, nearest, once, sample, say, slot
from cabdraw.spec.schema import Spec
from cabdraw.spec.source import MOST_ERRORS, Source, parse_source, read_source, spec_error
from cabdraw.units import System


@dataclass(frozen=True, slots=True)
class Document:
    """A spec that was read: its models, the text that they came from, and the name of its file without the ending."""

    spec: Spec
    source: Source
    name: str
    rules: tuple[Rule, ...] = ()
    """The published rules that it is held against: those for every car, and those of the sets that it names."""

    def locate(self, problem: Problem) -> SpecError:
        """The problem as an error with its place in the file."""
        return locate(self.source, problem)


def load(path: FilePath | str) -> Document:
    """Read a spec file; raises `BadSpec` with everything that is wrong in it, in the order of the file."""
    return _document(read_source(FilePath(path)), FilePath(path).parent)


def loads(text: str | bytes, name: str = "spec.yaml") -> Document:
    """Read a spec from text; `name` is what errors call its file. Raises `BadSpec` as `load` does."""
    data = text.encode("utf-8", "surrogatepass") if isinstance(text, str) else text
    return _document(parse_source(data, name))


def locate(source: Source, problem: Problem) -> SpecError:
    """A problem as an error with its place in the file, its path cut to what is really there."""
    path = source.existing(problem.path)
    line, column = source.place(path)
    return spec_error(source.name, line, column, path, problem.what, problem.hint)


def _rules(spec: Spec, source: Source, folder: FilePath) -> tuple[tuple[Rule, ...], list[SpecError]]:
    """The rules of every set that a spec names; a shop's own file stands beside the spec."""
    found = list(shipped_rules(ALWAYS))
    errors: list[SpecError] = []
    for index, name in enumerate(spec.rules):
        try:
            found += shipped_rules(name) if name in shipped() else read_rules(folder / name)
        except BadSpec as bad:
            errors.append(locate(source, Problem(("rules", index), f'"{name}" cannot be used', "see the next lines")))
            errors += bad.errors
    return tuple(found), errors


def _document(source: Source, folder: FilePath = FilePath()) -> Document:
    tree = source.plain()
    version = tree.get("cabdraw", "1")
    if isinstance(version, str) and version.strip().isdecimal() and version.strip() != "1":
        # What another version's keys mean is not known, so nothing else is worth saying.
        tree = {"cabdraw": version}
        _, errors, _ = _validated(tree, source)
        raise BadSpec(tuple(error for error in errors if error.path == "cabdraw"))
    spec, errors, known = _validated(tree, source)
    errors = [*source.flaws, *errors]
    if spec is not None:
        errors += (locate(source, problem) for problem in problems(spec, known))
    if errors or spec is None:
        raise BadSpec(_in_order(source, errors))
    rules, wrong = _rules(spec, source, folder)
    if wrong:
        raise BadSpec(tuple(wrong))
    return Document(spec, source, FilePath(source.name).stem, rules)


def _in_order(source: Source, errors: list[SpecError]) -> tuple[SpecError, ...]:
    ordered = sorted(dict.fromkeys(errors), key=lambda error: (error.line, error.column))
    if len(ordered) > MOST_ERRORS:
        rest = f"and {len(ordered) - MOST_ERRORS} errors more"
        ordered = [*ordered[:MOST_ERRORS], spec_error(source.name, 0, 0, (), rest, "mend these first")]
    return tuple(ordered)


def _units(tree: dict[str, Any]) -> System | None:
    typed = tree.get("units")
    word = typed.strip().lower() if isinstance(typed, str) else ""
    return "inch" if word == "inch" else "mm" if word == "mm" else None


def _validated(tree: dict[str, Any], source: Source) -> tuple[Spec | None, list[SpecError], Known]:
    """The models, every error in the values, and what of the models is known.

    What is wrong is replaced by a stand-in and all is read again, so that one error hides no other.
    """
    given = _units(tree)
    units: System = given or "mm"
    context = {"units": units, "guessed": given is None}
    found: list[SpecError] = []
    wrong: set[Path] = set()
    short: set[Path] = set()
    meant: set[Path] = set()
    for _ in range(8):
        known = Known(frozenset(wrong), frozenset(short))
        try:
            return Spec.model_validate(tree, context=context), found, known
        except ValidationError as error:
            mistakes = list(once(error.errors(include_url=False)))
        if len(mistakes) > MOST_ERRORS:
            return None, [*found, *(_error(mistake, source, units) for mistake in mistakes)], known
        for mistake in mistakes:
            path: Path = tuple(mistake["loc"])
            if mistake["type"] == "extra_forbidden":
                meant.add((*path[:-1], nearest(path) or ""))
        for mistake in mistakes:
            path = tuple(mistake["loc"])
            # A complaint about a section as a whole rests on all that is in it.
            of_whole = mistake["type"] == "spec" and slot(path).section is not None
            if (known.whole(path) if of_whole else known.there(path)) and not (
                mistake["type"] == "missing" and path in meant
            ):
                found.append(_error(mistake, source, units))
            if mistake["type"] == "extra_forbidden":
                tree = without(tree, path)
                short.add(path[:-1])
            else:
                tree, place = _mended(tree, mistake, source, units)
                wrong.add(place)
    return None, found, Known()


def _error(mistake: Any, source: Source, units: System) -> SpecError:
    path: Path = tuple(mistake["loc"])
    what, hint = say(mistake, units)
    if mistake["type"] == "extra_forbidden":
        line, column = source.key_place(path)
        return spec_error(source.name, line, column, path[:-1], what, hint)
    if mistake["type"] == "missing" and not isinstance(path[-1], int):
        line, column = source.key_place(path[:-1])
        return spec_error(source.name, line, column, path, what, hint)
    return locate(source, Problem(path, what, hint))


def _mended(tree: Any, mistake: Any, source: Source, units: System) -> tuple[Any, Path]:
    """The values without a mistake, and the place where something else stands now."""
    path: Path = tuple(mistake["loc"])
    if mistake["type"] != "missing" or isinstance(path[-1], int):
        path = source.existing(path)
    here = slot(path)
    while here.section is None and here.field is None:
        path = path[:-1]
        here = slot(path)
    if here.section is not None:
        return replaced(tree, path, sample(here.section, units)), path
    assert here.field is not None
    if here.field.is_required() or here.field.examples is not None:
        return replaced(tree, path, example(here.field, units)), path
    return without(tree, path), path

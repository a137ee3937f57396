"""A spec whose lengths and weights know where they stand, or that they are defaults."""

from __future__ import annotations

from typing import Any

from cabdraw.cab import Place as SpecPath
from cabdraw.explain.trace import Node, Number, Traced
from cabdraw.frozen import replace
from cabdraw.rational import Fraction
from cabdraw.spec import Document
from cabdraw.spec.section import AnySection, Section, changed
from cabdraw.units import Length


def annotated(document: Document) -> Document:
    """The same document, for the resolver to work out with lengths that remember how they came about."""
    spec = _section(document.spec, ())
    if spec.increment is None:
        spec = changed(spec, {"increment": Traced.of(spec.step.mm, Node("leaf", at=(("increment",),), default=True))})
    return replace(document, spec=spec)


def _section(section: AnySection, path: SpecPath) -> AnySection:
    values = {name: getattr(section, name) for name in section.format_keys}
    given = section.given_keys
    return changed(section, {name: _value(value, (*path, name), name in given) for name, value in values.items()})


def _value(value: Any, path: SpecPath, given: bool) -> Any:
    if isinstance(value, Length):
        # A length that was not typed is the format's own.
        return Traced.of(value.mm, Node("leaf", at=(path,), default=not value.typed), value.typed)
    if isinstance(value, Fraction) and path[0] == "layout":
        return Number.of(value, Node("leaf", at=(path,), default=not given))
    if isinstance(value, Section):
        return _section(value, path)
    if isinstance(value, tuple):
        return tuple(_value(item, (*path, index), given) for index, item in enumerate(value))
    return value

"""The files that a spec is made of: which to follow, what stands in them, and which lines made a part."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import islice
from pathlib import Path
from typing import Any

from cabdraw.cab import Cab
from cabdraw.errors import SpecError
from cabdraw.explain import Place, explain, made_by
from cabdraw.preview import told
from cabdraw.spec import Document

#: Most files beside a wrong spec that are followed until it is right again.
MOST = 100


def followed(spec: Path, document: Document) -> tuple[Path, ...]:
    """Every file that a spec was read from."""
    return tuple(dict.fromkeys((spec, *document.files)))


def beside(spec: Path, errors: Sequence[SpecError]) -> tuple[Path, ...]:
    """The files that may have to be mended for a spec to be right: those that errors name, and those in its folder."""
    named = [spec.parent / error.file for error in errors if error.file.endswith((".yaml", ".yml"))]
    try:
        found = sorted(islice(spec.parent.glob("*.y*ml"), MOST))
    except OSError:
        found = []
    return (*named[:MOST], *found)


def shown(document: Document) -> list[dict[str, Any]]:
    """The spec and what it includes, line by line."""
    return [told.file(told.seen(file.name), file.path) for file in document.source.files]


def answer(document: Document, cab: Cab, mark: str) -> dict[str, Any]:
    """What made a part: its lines in the spec, and each of its sizes step by step."""
    return {
        "mark": mark,
        "places": [_place(place) for place in made_by(document, cab, mark)],
        "sizes": [
            {
                "size": found.size,
                "shown": found.shown,
                "steps": [
                    {
                        "says": told.seen(step.says),
                        "expression": told.seen(step.expression),
                        "shown": step.shown,
                        "places": [_place(place) for place in step.places],
                    }
                    for step in found.steps
                ],
            }
            for found in explain(document, cab, mark)
        ],
    }


def _place(place: Place) -> dict[str, Any]:
    return {
        "file": told.seen(place.file),
        "line": place.line,
        "keys": told.seen(place.keys),
        "default": place.default,
    }

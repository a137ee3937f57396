"""A part of a spec read by itself, where the rest is not there yet."""

from __future__ import annotations

from typing import Any

from pydantic import ValidationError

from cabdraw.errors import Problem
from cabdraw.spec.said import once, say
from cabdraw.spec.section import Section
from cabdraw.units import System


def part_problems(section: type[Section], values: dict[str, Any], units: System) -> tuple[list[Problem], list[Problem]]:
    """What is wrong with the values of a section, and which of its keys are missing, each with its path in it."""
    try:
        section.model_validate(values, context={"units": units, "guessed": False})
    except ValidationError as error:
        found = [(mistake["type"], Problem(tuple(mistake["loc"]), *say(mistake, units)))
                 for mistake in once(error.errors(include_url=False))]  # fmt: skip
        return [each for kind, each in found if kind != "missing"], [each for kind, each in found if kind == "missing"]
    return [], []

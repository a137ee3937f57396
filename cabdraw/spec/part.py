"""A part of a spec read by itself, where the rest is not there yet."""

from __future__ import annotations

from typing import Any

from cabdraw.errors import Problem
from cabdraw.spec.said import say
from cabdraw.spec.schema import Spec
from cabdraw.spec.section import Reading
from cabdraw.units import System


def part_problems(part: str, values: dict[str, Any], units: System) -> tuple[list[Problem], list[Problem]]:
    """What is wrong with the values of a key of the spec, and which keys are missing in it, each with its path."""
    reading = Reading(units)
    Spec.format_keys[part].kind.read(values, (part,), reading)
    found = [(mistake.fault, Problem(mistake.path, *say(mistake, units))) for mistake in reading.mistakes]
    return [each for fault, each in found if fault != "missing"], [each for fault, each in found if fault == "missing"]

"""What every section of the spec's format has in common, and the names of the walls."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, JsonValue

from cabdraw.units import INCH, Length

WallName = Literal["back", "left", "right"]
WALLS: tuple[WallName, ...] = ("back", "left", "right")
#: The most that any list of the format holds; more is a slip.
MANY = Field(max_length=199)


class Section(BaseModel):
    """A section of the spec: unknown keys are errors, values never change."""

    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True)


def one_key_of(*names: str) -> dict[str, JsonValue]:
    """In the words of JSON Schema: a section has one of these keys, and no other of them."""
    return {"oneOf": [{"required": [name]} for name in names]}


def not_both(first: str, second: str) -> dict[str, JsonValue]:
    """In the words of JSON Schema: where a section has one key, another has no place in it."""
    return {"dependentSchemas": {first: {"properties": {second: False}}}}


def inches(numerator: int, denominator: int = 1) -> Length:
    """A default that is so many inches."""
    return Length(INCH * Fraction(numerator, denominator))

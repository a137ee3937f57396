"""What every value here is made of: named fields that are set once, and equal where all that they hold is equal."""

from __future__ import annotations

from typing import dataclass_transform

from msgspec import Struct, field
from msgspec.structs import replace

__all__ = ["Frozen", "field", "names", "replace"]


@dataclass_transform(frozen_default=True, field_specifiers=(field,))
class Frozen(Struct, frozen=True):
    """A value whose annotated fields never change; with `eq=False` it is equal to itself alone, `order=True` sorts it.

    Used as a frozen dataclass is, and made in a fraction of the time: there are some 200 kinds, built at each start.
    """


def names(value: Frozen | type[Frozen]) -> tuple[str, ...]:
    """The names of a value's fields, in order."""
    return value.__struct_fields__

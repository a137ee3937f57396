"""A published rule as data: what it limits, and where that comes from."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from cabdraw.frozen import Frozen

#: How a value is known: read in the source itself, in another text that quotes it, or only remembered.
Known = Literal["read", "read in another text", "from memory"]
KNOWN: tuple[Known, ...] = ("read", "read in another text", "from memory")
#: What every finding of a published rule ends with.
AUTHORITY = "check with the authority that has jurisdiction"


class Rule(Frozen):
    """One rule: `kind` says which check holds the car against it, `limits` are that check's own values."""

    name: str
    rule_set: str
    kind: str
    says: str
    source: str
    clause: str
    edition: str
    known: Known
    limits: Mapping[str, Any]

    @property
    def cited(self) -> str:
        """The source with its clause, its edition, and how the values are known."""
        return f"{self.source}, {self.clause}, {self.edition} ({self.known})"

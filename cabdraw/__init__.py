"""From one measured cab and one wanted layout to every drawing, list and template that the job needs.

`cabdraw.load(path)` reads a spec, `cabdraw.resolve(document)` works out its car, `cabdraw.draw(path)` draws it.
"""

from __future__ import annotations

import sys
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from cabdraw.api import draw, load, resolve
    from cabdraw.cab import Cab
    from cabdraw.errors import BadSpec, Finding, SpecError
    from cabdraw.package import Drawn, NoSuchWall
    from cabdraw.place import CannotPlace
    from cabdraw.print_scale import NotAPrintScale
    from cabdraw.spec import Document
    from cabdraw.units import Length

__version__ = "0.1.0"

__all__ = [
    "BadSpec",
    "Cab",
    "CannotPlace",
    "Document",
    "Drawn",
    "Finding",
    "Length",
    "NoSuchWall",
    "NotAPrintScale",
    "SpecError",
    "__version__",
    "draw",
    "load",
    "resolve",
]

#: Where each name of the interface comes from, when it is first asked for.
_HOMES = {
    "api": ("load",),
    "cab": ("Cab",),
    "errors": ("BadSpec", "Finding", "SpecError"),
    "package": ("Drawn", "NoSuchWall"),
    "place": ("CannotPlace",),
    "print_scale": ("NotAPrintScale",),
    "spec": ("Document",),
    "units": ("Length",),
}
#: Names that are a function for those who use cabdraw, and a room of the house for those who change it.
_BOTH = ("draw", "resolve")


class _Room(ModuleType):
    """A room that can be called as the function of its name."""

    def __call__(self, *arguments: Any, **named: Any) -> Any:
        return getattr(import_module("cabdraw.api"), self.__name__.rpartition(".")[2])(*arguments, **named)


class _House(ModuleType):
    """This module, which sees its rooms come in: each import of a room sets it here."""

    def __setattr__(self, name: str, value: Any) -> None:
        if name in _BOTH and isinstance(value, ModuleType):
            value.__class__ = _Room
        super().__setattr__(name, value)


sys.modules[__name__].__class__ = _House


def __getattr__(name: str) -> Any:
    """A name of the interface, whose libraries are loaded when it is first asked for."""
    if name in _BOTH:
        return import_module(f"cabdraw.{name}")
    for home, names in _HOMES.items():
        if name in names:
            return getattr(import_module(f"cabdraw.{home}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})

"""Importing a library so that nothing of the person's own surroundings reaches a drawing.

ezdxf reads an `ezdxf.ini` of the person's and of the folder where the command was typed, and lists every font of the
machine in a cache in the person's home; reportlab runs a `.reportlab_settings` and obeys variables that begin with
RL_. Any of them would make the same spec give other bytes, or a traceback, on one machine.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from configparser import ConfigParser
from contextlib import contextmanager
from pathlib import Path

#: The home of nobody: no settings, and an empty list of fonts, for no font of the machine is ever asked for.
_NOBODY = str(Path(__file__).parent / "nobody")
_HOMES = ("HOME", "USERPROFILE", "XDG_CACHE_HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME")
_SETTINGS = ("EZDXF_", "RL_")
_DATE = "SOURCE_DATE_EPOCH"


@contextmanager
def undated() -> Iterator[None]:
    """While a document is begun: no date that packagers set for what they build reaches it."""
    date = os.environ.pop(_DATE, None)
    try:
        yield
    finally:
        if date is not None:
            os.environ[_DATE] = date


@contextmanager
def alone() -> Iterator[None]:
    """While a library is imported: nobody's home, no settings of its own in the environment, no settings files."""
    kept = dict(os.environ)
    read = ConfigParser.read
    try:
        for name in kept:
            if name.startswith(_SETTINGS):
                del os.environ[name]
        os.environ.update(dict.fromkeys(_HOMES, _NOBODY))
        ConfigParser.read = lambda *_, **__: []  # type: ignore[method-assign]
        yield
    finally:
        ConfigParser.read = read  # type: ignore[method-assign]
        for name in _HOMES:
            os.environ.pop(name, None)
        os.environ.update(kept)

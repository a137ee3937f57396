"""What is kept of a bug in cabdraw, for its developers: a small text file."""

from __future__ import annotations

import os
import platform
import shlex
import sys
import tempfile
import traceback
from collections.abc import Sequence
from importlib import metadata

from cabdraw import __version__

_LIBRARIES = ("ezdxf", "msgspec", "numpy", "PyYAML", "reportlab", "shapely", "svgwrite", "typer")


def write_report(problem: BaseException, command: Sequence[str]) -> str:
    """Write a report of a bug into the system's folder for temporary files; its path, empty if that failed too."""
    try:
        handle, path = tempfile.mkstemp(prefix="cabdraw-report-", suffix=".txt", text=True)
        with os.fdopen(handle, "w", encoding="utf-8", errors="backslashreplace") as file:
            file.write(_text(problem, command))
    except OSError:
        return ""
    return path


def _text(problem: BaseException, command: Sequence[str]) -> str:
    return "\n".join(
        (
            f"cabdraw {__version__}",
            f"command: {shlex.join(('cabdraw', *command))}",
            f"Python {platform.python_version()} on {platform.platform()}",
            f"output: {getattr(sys.stdout, 'encoding', None)}, file names: {sys.getfilesystemencoding()}",
            *(f"{name} {_version(name)}" for name in _LIBRARIES),
            "",
            *traceback.format_exception(problem),
        )
    )


def _version(name: str) -> str:
    try:
        return metadata.version(name)
    except metadata.PackageNotFoundError:
        return "not found"

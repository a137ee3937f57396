"""cabdraw as people get it: an sdist, a wheel built of it, and a fresh environment with that wheel and the lock."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
import tomllib
from functools import cache
from importlib import metadata
from pathlib import Path

import pytest
from conftest import REPOSITORY
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

LOCK = REPOSITORY / ".ci" / "requirements.lock"
SECONDS = 600


def locked() -> list[Requirement]:
    """Every library of the lock for any Python and any system, in the version that it has there."""
    lines = LOCK.read_text(encoding="utf-8").splitlines()
    pinned = [line.removesuffix("\\").strip() for line in lines if re.match(r"[A-Za-z0-9]", line)]
    return [Requirement(line) for line in pinned]


def versions() -> dict[str, str]:
    """What the lock has for this Python on this system: versions by the libraries' names."""
    here = [wanted for wanted in locked() if wanted.marker is None or wanted.marker.evaluate()]
    return {canonicalize_name(wanted.name): next(iter(wanted.specifier)).version for wanted in here}


def runtime() -> set[str]:
    """The names of every library that cabdraw needs to draw, and of those that they need, as installed here."""
    # What pyproject.toml says now, which an environment that was made earlier may not know yet.
    project = tomllib.loads((REPOSITORY / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    found: set[str] = set()
    waiting: list[str] = list(project["dependencies"])
    while waiting:
        wanted = Requirement(waiting.pop())
        name = canonicalize_name(wanted.name)
        if name not in found and (wanted.marker is None or wanted.marker.evaluate({"extra": ""})):
            found.add(name)
            waiting += metadata.requires(name) or ()
    return found


def not_as_locked() -> list[str]:
    """The libraries needed to draw that are installed in another version than the lock has."""
    pinned = versions()
    here = {name: metadata.version(name) for name in runtime()}
    return [f"{name} {version}, not {pinned.get(name)}" for name, version in sorted(here.items())
            if pinned.get(name) != version]  # fmt: skip


def told(*command: str | Path, folder: Path | None = None, **environment: str) -> str:
    """Run a command and return what it prints; raises if it fails."""
    env = {**os.environ, **environment}
    for name in ("PYTHONPATH", "PYTHONHOME", "VIRTUAL_ENV"):
        env.pop(name, None)
    done = subprocess.run(
        [str(word) for word in command],
        cwd=folder,
        env=env,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        timeout=SECONDS,
        check=False,
    )
    assert done.returncode == 0, f"{command[0]} ended with {done.returncode}: {done.stdout[-3000:]}"
    return done.stdout


@cache
def _folder() -> tempfile.TemporaryDirectory[str]:
    """A folder of the session's own, which goes with it."""
    return tempfile.TemporaryDirectory(prefix="cabdraw-fresh-")


@cache
def built() -> tuple[Path, Path]:
    """The sdist of this repository, and the wheel that is built of what is in the sdist."""
    folder = Path(_folder().name) / "dist"
    # Of a copy: a build leaves files beside what it builds, which another test may be looking at or building too.
    source = Path(_folder().name) / "source"
    source.mkdir()
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(REPOSITORY / name, source)
    shutil.copytree(REPOSITORY / "cabdraw", source / "cabdraw", ignore=shutil.ignore_patterns("__pycache__"))
    told(sys.executable, "-m", "build", "--no-isolation", "--outdir", folder, source)
    (sdist,), (wheel,) = folder.glob("*.tar.gz"), folder.glob("*.whl")
    return sdist, wheel


@cache
def environment(python: str = sys.executable, least: tuple[str, ...] = ()) -> Path:
    """The folder of the programs of a fresh environment with the wheel in it, and the libraries as they are locked.

    With `least`, in those versions instead, and what they need in the versions that pip finds.
    """
    _, wheel = built()
    folder = Path(_folder().name) / f"env-{len(list(Path(_folder().name).iterdir()))}"
    told(python, "-m", "venv", folder)
    # Without the hashes: those hold for the lock's own files only, and the wheel is not among them.
    pins = folder / "pins.txt"
    pins.write_text("".join(f"{wanted}\n" for wanted in least or locked()), encoding="utf-8")
    installed = folder / ("Scripts" if os.name == "nt" else "bin")
    try:
        told(installed / "python", "-m", "pip", "install", "-q", "--constraint", pins, wheel)
    except AssertionError as failed:
        if os.environ.get("CABDRAW_CI") == "1" or "No matching distribution" not in str(failed):
            raise
        pytest.skip("the libraries cannot be had here: no network")
    return installed

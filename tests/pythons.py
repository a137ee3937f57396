"""Other Pythons to try cabdraw with, where they can be had: of pyenv, or a Debian laid out in a folder of its own."""

from __future__ import annotations

import os
import platform
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from fresh import runtime, told
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

#: The second number of every Python 3 that cabdraw is tried with.
MINORS = (11, 12, 13, 14)
#: Where `.ci/pythons` lays out the Debians that have a newer Python.
LAID_OUT = Path(os.environ.get("CABDRAW_PYTHONS", "/var/tmp/cabdraw-pythons"))


@dataclass(frozen=True)
class OtherPython:
    """A Python of another version: how it is called, with which variables."""

    minor: int
    command: tuple[str, ...]
    environment: tuple[tuple[str, str], ...] = ()

    def with_wheel(self, wheel: Path, pins: list[str], folder: Path) -> Path:
        """A folder that holds the wheel and its libraries for this Python, every one of them ready made."""
        into = folder / f"python-3.{self.minor}"
        needed = [pin for pin in pins if canonicalize_name(Requirement(pin).name) in runtime()]
        machine = platform.machine()
        places = [f"manylinux_2_{glibc}_{machine}" for glibc in (34, 28, 17)] + [f"manylinux2014_{machine}"]
        options = [word for place in places for word in ("--platform", place)]
        # pip holds what a library asks for against its own Python; the lock's markers have seen to that already.
        told(
            sys.executable, "-m", "pip", "install", "-q", "--no-deps", "--ignore-requires-python",
            "--only-binary", ":all:", "--target", into,
            "--python-version", f"3.{self.minor}", "--implementation", "cp", *options,
            *(pin.partition(";")[0].strip() for pin in needed), wheel,
        )  # fmt: skip
        return into

    def told(self, libraries: Path, *arguments: str) -> str:
        """What this Python prints, with the libraries of a folder."""
        kept = {name: os.environ[name] for name in ("PATH", "TMPDIR") if name in os.environ}
        env = {**kept, "HOME": str(libraries), "PYTHONPATH": str(libraries), **dict(self.environment)}
        done = subprocess.run(
            [*self.command, *arguments], env=env, capture_output=True, text=True, check=False, timeout=300
        )
        assert done.returncode == 0, done.stderr[-3000:]
        return done.stdout


def other_python(minor: int) -> OtherPython | str:
    """A Python of a version, or why there is none."""
    own = sorted(Path.home().glob(f".pyenv/versions/3.{minor}.*/bin/python"))
    if own:
        return OtherPython(minor, (str(own[-1]),))
    found = shutil.which(f"python3.{minor}")
    if found and subprocess.run([found, "-c", ""], capture_output=True, check=False).returncode == 0:
        return OtherPython(minor, (found,))
    for root in sorted(LAID_OUT.glob("*")):
        python = root / "usr" / "bin" / f"python3.{minor}"
        loader = next(iter(sorted(root.glob("usr/lib*/*/ld-linux-*.so.*"))), None)
        if python.exists() and loader is not None:
            # Its own loader and C library, for those of this machine may be older.
            command = (str(loader), "--library-path", str(loader.parent), str(python))
            return OtherPython(minor, command, (("PYTHONHOME", str(root / "usr")),))
    return f"there is no Python 3.{minor} here; .ci/pythons lays out those that Debian has"

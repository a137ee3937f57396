"""The journal in a package's folder: which files cabdraw wrote there, by their digests."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping

JOURNAL = ".cabdraw.json"

_ABOUT = "what cabdraw wrote into this folder, with the SHA-256 of each file; it must stay here"
_STEP = re.compile(r"[a-z0-9_](?:[a-z0-9._-]*[a-z0-9_-])?")
_DIGEST = re.compile(r"[0-9a-f]{64}")


def check_paths(paths: Iterable[str]) -> None:
    """Raise `ValueError` for a path that leads out of the folder, or that some file system cannot hold."""
    every = set(paths)
    for path in sorted(every):
        steps = path.split("/")
        if not all(_STEP.fullmatch(step) for step in steps):
            raise ValueError(f"not a path for a package: {path!r}")
        if not every.isdisjoint(folders((path,))):
            raise ValueError(f"a file and a folder of the same name in a package: {path!r}")


def folders(paths: Iterable[str]) -> set[str]:
    """All folders that files with these paths stand in."""
    split = (path.split("/") for path in paths)
    return {"/".join(steps[:length]) for steps in split for length in range(1, len(steps))}


def journal_bytes(written: Mapping[str, Iterable[str]]) -> bytes:
    """The journal as it is written, from the digests of each path."""
    listed = {path: sorted(digests) for path, digests in written.items()}
    text = json.dumps({"cabdraw": 1, "about": _ABOUT, "written": listed}, indent=1, sort_keys=True)
    return text.encode() + b"\n"


def read_journal(held: bytes | None) -> dict[str, list[str]]:
    """The digests of each path; raises `ValueError` for a journal that cabdraw did not write so."""
    if held is None:
        return {}
    data = json.loads(held)
    written = data.get("written") if isinstance(data, dict) and data.get("cabdraw") == 1 else None
    if not isinstance(written, dict):
        raise ValueError("not a journal")
    check_paths(written)
    for digests in written.values():
        if not isinstance(digests, list) or not all(isinstance(one, str) and _DIGEST.fullmatch(one) for one in digests):
            raise ValueError("not a digest")
    return written

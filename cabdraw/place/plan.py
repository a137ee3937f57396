"""What has to be done to a package's folder, found by looking only."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from cabdraw.frozen import Frozen
from cabdraw.place.disk import InTheWay, content, digest, digest_at, kind
from cabdraw.place.journal import JOURNAL, folders, journal_bytes, read_journal

#: The file whose presence says that the others are in place.
LAST = "resolved.json"
_ADVICE = "move it away or rename it, then draw again"


class CannotPlace(Exception):
    """Why a package could not be put in place: plain sentences, one a line."""

    def __init__(self, *lines: str) -> None:
        super().__init__("\n".join(lines))
        self.lines = lines


def changed(place: Path) -> CannotPlace:
    """What is said where something is no longer as it was when it was looked at."""
    return CannotPlace(f"{place}: nothing was written: it changed in the meantime; draw again")


class Plan(Frozen):
    """Which files to write, to remove and to keep, and the folders that this leaves empty.

    `interrupted` if the journal is one of a run that never came to its end.

    `present` holds the digests of what stands there and is ours; `journal`, `begun` and `ended` are the
    journal as it is, while files are moved, and at the end.
    """

    present: Mapping[str, str]
    write: tuple[str, ...]
    remove: tuple[str, ...]
    kept: tuple[str, ...]
    emptied: tuple[str, ...]
    journal: bytes | None
    begun: bytes
    ended: bytes
    interrupted: bool

    @property
    def idle(self) -> bool:
        """Whether everything stands there already."""
        return not self.write and not self.remove and self.journal == self.ended


def survey(files: Mapping[str, bytes], folder: Path) -> Plan:
    """Compare a folder and its journal with the files it shall hold; raises `CannotPlace` naming all in the way."""
    if (found := kind(folder)) not in (None, "folder"):
        raise CannotPlace(f"{folder}: nothing was written: this is a {found}, not a folder; {_ADVICE}")
    try:
        journal = content(folder, JOURNAL)
        ours = read_journal(journal)
    except (InTheWay, ValueError, RecursionError):
        raise CannotPlace(
            f"{folder / JOURNAL}: nothing was written: this list of what cabdraw wrote here is damaged, "
            f"or from another version; move the folder {folder} away or rename it, then draw again"
        ) from None
    new = {path: digest(held) for path, held in files.items()}
    present = _present(new, ours, folder)
    stale, kept = _stale(ours.keys() - files.keys(), ours, folder)
    known = present | stale
    both = {path: {new.get(path, ""), known.get(path, "")} - {""} for path in new.keys() | known.keys()}
    return Plan(
        present=known,
        write=tuple(path for path in sorted(files) if present.get(path) != new[path]),
        remove=tuple(stale),
        kept=kept,
        emptied=tuple(sorted(folders(ours) - folders(files), reverse=True)),
        journal=journal,
        begun=journal_bytes(both),
        ended=journal_bytes({path: [one] for path, one in new.items()}),
        interrupted=any(len(digests) > 1 for digests in ours.values()) or (LAST in ours and LAST not in known),
    )


def _present(new: Mapping[str, str], ours: Mapping[str, list[str]], folder: Path) -> dict[str, str]:
    """The digests of what stands where the new files belong, all of it ours."""
    present: dict[str, str] = {}
    refused: list[str] = []
    for path in sorted(new):
        try:
            found = digest_at(folder, path)
        except InTheWay as it:
            refused.append(f"{it.place}: nothing was written: this {it.kind} was not made by cabdraw; {_ADVICE}")
            continue
        if found and found != new[path] and found not in ours.get(path, ()):
            what = "was changed since cabdraw wrote it" if path in ours else "was not written by cabdraw"
            refused.append(f"{folder / path}: nothing was written: this file {what}; {_ADVICE}")
        elif found:
            present[path] = found
    if refused:
        raise CannotPlace(*dict.fromkeys(refused))
    return present


def _stale(paths: Iterable[str], ours: Mapping[str, list[str]], folder: Path) -> tuple[dict[str, str], tuple[str, ...]]:
    """Files of ours that no longer belong: the digests of those still as we wrote them; the changed ones."""
    stale: dict[str, str] = {}
    kept: list[str] = []
    for path in sorted(paths):
        try:
            found = digest_at(folder, path)
        except InTheWay:
            kept.append(path)
            continue
        if found in ours[path]:
            stale[path] = found
        elif found:
            kept.append(path)
    return stale, tuple(kept)

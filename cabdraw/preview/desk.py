"""The preview at work: follows a spec's files, and puts up what becomes of them."""

from __future__ import annotations

import gc
import json
import sys
import threading
import time
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from cabdraw.bug import write_report
from cabdraw.cab import Cab
from cabdraw.errors import BadSpec, Finding, SpecError
from cabdraw.frozen import Frozen, replace
from cabdraw.preview import told
from cabdraw.preview.board import Board
from cabdraw.preview.deputy import DONE, FOUND, MISTAKE, Deputy
from cabdraw.preview.sources import answer, beside, followed, shown
from cabdraw.preview.views import Drawings, names, walls
from cabdraw.preview.watch import Stamps, settled, stamps, wait
from cabdraw.report import about, cards, page_stamps, wall_stamps
from cabdraw.resolve import resolve
from cabdraw.spec import Document, load


class Good(Frozen):
    """A spec that could be drawn."""

    run: int
    document: Document
    cab: Cab


class Desk:
    """Follows one spec, or one car of it, and keeps a board up to date; `start` first, then `turn` for ever."""

    def __init__(self, spec: Path, car: str | None = None) -> None:
        self.board = Board()
        self._spec, self._car = spec, car
        self._run = self._finished = 0
        self._files: tuple[Path, ...] = (spec,)
        self._known: Stamps = {}
        self._good: Good | None = None
        self._errors: tuple[SpecError, ...] = ()
        self._mistake = ""
        self._told = threading.RLock()
        self._drawings = Drawings()
        self._deputy: Deputy | None = None
        self._listener: threading.Thread | None = None

    def start(self) -> None:
        """Draw for the first time, wrong or right, and get ready to do it often."""
        self._call_deputy()
        self.look(patient=False)
        # What is there now stays: nothing of it needs to be looked through for what can be thrown away.
        gc.collect()
        gc.freeze()
        gc.disable()

    def turn(self) -> None:
        """Wait until a file is saved, and show what it comes to."""
        wait(self._files, self._known, lambda: self.board.followed)
        self.look()
        if stamps(self._files) == self._known:
            gc.collect()

    def end(self) -> None:
        """Let the pages and the other process go."""
        self.board.end()
        if self._deputy is not None:
            self._deputy.end()

    def look(self, patient: bool = True) -> None:
        """Read the spec as it is now, and put up what becomes of it.

        A mistake is said only when the files stay as they are for a moment, where that is `patient`: an editor may
        not have written all of them yet.
        """
        self._known = stamps(self._files)
        try:
            document = load(self._spec, self._car)
            cab = resolve(document)
            self._follow(document)
        except BadSpec as bad:
            self._files = tuple(dict.fromkeys((self._spec, *self._files, *beside(self._spec, bad.errors))))
            known = stamps(self._files)
            known = {**known, **self._known}
            self._known = known
            if not patient or settled(self._files, known):
                self._object(bad.errors)
            return
        except Exception as problem:
            self._bug(problem)
            return
        self._show(document, cab)

    def part(self, mark: str) -> bytes | None:
        """What the page asks of a part: the lines that made it, and how each of its sizes came about, as JSON."""
        good = self._good
        if good is None or mark not in {part.mark for part in good.cab.parts}:
            return None
        try:
            return json.dumps(answer(good.document, good.cab, mark)).encode()
        except Exception as problem:
            self._bug(problem)
            return None

    def _follow(self, document: Document) -> None:
        """Follow the files that a spec is made of from now on."""
        self._files = followed(self._spec, document)
        fresh = stamps(path for path in self._files if path not in self._known)
        self._known = {path: (self._known if path in self._known else fresh)[path] for path in self._files}

    def _show(self, document: Document, cab: Cab) -> None:
        with self._told:
            self._run += 1
            run = self._run
            self._good, self._errors, self._mistake = Good(run, document, cab), (), ""
        try:
            self._put("drawings", names(cab), run)
            for name in walls(cab):
                self._put(f"drawing-{name}", self._drawings.wall(cab, name), run)
            # Only then, so that nothing that can wait keeps the walls from being drawn and shown.
            if self._deputy is not None and not self._deputy.send(run, cab):
                self._call_deputy()
                self._deputy.send(run, cab)
            self._status()
            self._put("files", shown(document), run)
            self._put("about", _about(cab), run)
            for other, draw in (("plan", self._drawings.plan), ("front", self._drawings.front)):
                if other in names(cab):
                    self._put(f"drawing-{other}", draw(cab), run)
            self._finish(run)
        except Exception as problem:
            self._bug(problem)

    def _finish(self, run: int) -> None:
        """Say that all of a run is told, once both processes have told their part of it."""
        with self._told:
            both = self._finished == run
            self._finished = run
            if both and run == self._run and not self._mistake:
                self._status(done=True)

    def _object(self, errors: Sequence[SpecError]) -> None:
        """Say what is wrong in the spec; what was drawn last stays."""
        with self._told:
            self._run += 1
            self._errors = tuple(errors)
            good = self._good
        files = shown(good.document) if good is not None else [told.file(self._spec.name, self._spec)]
        self._put("files", files, self._run)
        self._status()

    def _bug(self, problem: Exception) -> None:
        report = write_report(problem, sys.argv[1:])
        self._mistaken(report)

    def _mistaken(self, report: str) -> None:
        with self._told:
            self._mistake = report or "no report could be written"
        self._status()

    def _status(self, done: bool = False) -> None:
        with self._told:
            self._put(
                "status",
                {
                    "file": told.seen(self._spec.name),
                    "drawn": self._good is not None,
                    "errors": [told.error(error) for error in self._errors],
                    "mistake": told.seen(self._mistake),
                    "saved": time.strftime("%H:%M:%S"),
                    "done": done,
                },
                self._run,
            )

    def _put(self, topic: str, what: Any, run: int) -> None:
        self.board.put(topic, what, run)

    def _call_deputy(self) -> None:
        self._deputy = Deputy()
        self._listener = threading.Thread(target=self._listen, args=(self._deputy,), daemon=True)
        self._listener.start()

    def _listen(self, deputy: Deputy) -> None:
        """Put up what the other process works out, where it is still of the newest car."""
        for run, topic, what in deputy.results():
            good = self._good
            if good is None or run != good.run:
                continue
            if topic == FOUND:
                self._put("findings", _findings(good, what), run)
            elif topic == MISTAKE:
                self._mistaken(what)
            elif topic == DONE:
                self._finish(run)
            else:
                self._put(topic, what, run)


def _about(cab: Cab) -> dict[str, Any]:
    job = cab.job
    issue = ", ".join(
        word for word in (f"Revision {job.revision}" if job.revision else "", job.date, job.number) if word
    )
    return {
        "title": told.seen(f"{job.project}, {job.car}"),
        "issue": told.seen(issue),
        "facts": told.facts(about(cab)),
        "marks": [part.mark for part in cab.parts],
    }


def _findings(good: Good, found: Iterable[Finding]) -> dict[str, Any]:
    """Findings with the lines that mend them, and the marks that stand over drawings for them."""
    source = good.document.source
    there = [replace(finding, path=source.existing(finding.path)) for finding in found]
    lines = {finding.where: source.where(finding.path) for finding in there}
    return {
        "stamps": [told.stamp(stamp) for stamp in page_stamps(good.cab, there)],
        "walls": {name: wall_stamps(there, name) for name in good.cab.walls},
        "cards": [told.card(card, lines[card.where].file, lines[card.where].line) for card in cards(good.cab, there)],
    }

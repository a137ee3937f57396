"""Asking for what a new spec needs: each answer is tried at once, and asked for again where it cannot be."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from typing import TypeVar

from cabdraw.frozen import replace
from cabdraw.start.form import Begun
from cabdraw.start.text import new_text
from cabdraw.start.wanted import (
    OfWall,
    Refused,
    Wanted,
    WantedWall,
    answer_tried,
    read_list,
    read_rail,
    read_tiers,
    read_units,
    read_walls,
)

Answer = TypeVar("Answer")


class WrongOption(Exception):
    """An option that cannot be, with no one there to be asked again."""


class Lacking(Exception):
    """The options that are needed where no one can be asked."""

    def __init__(self, options: list[str]) -> None:
        super().__init__(", ".join(options))
        self.options = options


@dataclass(slots=True)
class Interview:
    """Gets answers: from what was given with the command, else by asking, else from what is usual.

    `given` has the options that were typed; those about one wall have its name after a colon. `ask` shows a question
    with what is usual and returns the answer, empty for what is usual; None where no one can be asked. `object` says
    what is wrong with an answer.
    """

    given: Mapping[str, str]
    ask: Callable[[str, str], str] | None
    object: Callable[[str], None]
    begun: Begun | None = None
    used: set[str] = field(default_factory=set)
    trials: bool = True
    """Whether each answer is tried as it comes; to try them all at once is quicker, where no one is asked."""
    right: set[str] = field(default_factory=set)
    """The texts that were tried and are right."""

    def wanted(self, name: str) -> Wanted:
        """All answers; `name` is what the car is called where nothing else is said. Raises `WrongOption`, `Lacking`."""
        if self.ask is None:
            self.trials = False
            now = self._answers(name)
            self.trials = True
            with suppress(Refused):
                self._try(now)
                return now
        return self._answers(name)

    def _answers(self, name: str) -> Wanted:
        self.used.clear()
        if self.begun is None:
            now = self._measured(name)
        else:
            walls = tuple(WantedWall(wall) for wall in self.begun.walls)
            now = Wanted(self.begun.units, walls=walls, front=self.begun.front)
        for wall in now.walls:
            now = self._panels(now, wall.name)
        said, read = "Tiers of panels, one over another: 1, 2 or 3", self._trying(_tiers(now))
        now = self._get("tiers", said, self._first(read, "2", "1"), read)
        said, read = f"Handrail on which walls: {', '.join(now.names)}, or none", self._trying(_rail(now))
        now = self._get("rail", said, self._first(read, ",".join(now.names), "none"), read)
        if unused := [key for key in self.given if key not in self.used]:
            raise WrongOption(self._needless(unused[0], now.names))
        return now

    def _measured(self, name: str) -> Wanted:
        self._enough()
        units = self._get("units", "What numbers without a unit are in: inch or mm", "", read_units)
        now = Wanted(units)
        trying = Wanted(units, walls=_stand_in(units, ("back",)))
        said = self._get("project", "Project", name, self._trying(lambda text: replace(trying, project=text.strip())))
        now = replace(now, project=said.project)
        said = self._get("car", "Car", "Car 1", self._trying(lambda text: replace(trying, car=text.strip())))
        now = replace(now, car=said.car)
        walls = self._get("walls", "Walls that get panels", "back,left,right", read_walls)
        now = replace(now, walls=_stand_in(units, walls))
        high = ""
        for wall in walls:
            reading = "68 1/8" if units == "inch" else "1730"
            across = "shell to shell" if wall == "back" else "from the front return to the back"
            text = f"The {wall} wall's clear width, {across}, e.g. {reading}; several readings with commas"
            now = self._get(f"width:{wall}", text, "", self._trying(_with(now, wall, "width")))
            text = f"The {wall} wall's height, floor to ceiling"
            now = self._get(self._option("height", wall), text, high, self._trying(_with(now, wall, "height")))
            high = ", ".join(next(one.heights for one in now.walls if one.name == wall))
        return now

    def _panels(self, now: Wanted, wall: str) -> Wanted:
        text = f"Panels across the {wall} wall: how many, or their ratio, e.g. 1, 2, 1"
        read = self._trying(_with(now, wall, "panels"))
        usual = self._first(read, "3" if wall == "back" else "2", "1")
        return self._get(self._option("panels", wall), text, usual, read)

    @staticmethod
    def _first(read: Callable[[str], Answer], usual: str, plainest: str) -> str:
        """What is usual, where it can be here."""
        try:
            read(usual)
        except Refused:
            return plainest
        return usual

    def _option(self, name: str, wall: str) -> str:
        """The option that answers for a wall: its own, else the one for all walls where that was typed."""
        own = f"{name}:{wall}"
        return name if own not in self.given and name in self.given else own

    def _trying(self, change: Callable[[str], Wanted]) -> Callable[[str], Wanted]:
        def read(text: str) -> Wanted:
            changed = change(text)
            if self.trials:
                self._try(changed)
            return changed

        return read

    def _try(self, now: Wanted) -> None:
        """Raises `Refused` where the answers so far do not go together."""
        text = new_text(now, self.begun.text if self.begun is not None else "")
        if text not in self.right:
            answer_tried(text, self.begun.folder if self.begun is not None else "")
            self.right.add(text)

    def _get(self, option: str, question: str, usual: str, read: Callable[[str], Answer]) -> Answer:
        if option in self.given:
            self.used.add(option)
            try:
                return read(self.given[option])
            except Refused as refused:
                raise WrongOption(f"{_shown(option, self.given[option])}: {refused}") from None
        if self.ask is None:
            try:
                return read(usual)
            except Refused as refused:
                raise WrongOption(f"--{option.partition(':')[0]}: {refused}") from None
        while True:
            answer = self.ask(question, usual).strip() or usual
            try:
                if not answer:
                    raise Refused("an answer is needed here")
                return read(answer)
            except Refused as refused:
                self.object(str(refused))

    def _enough(self) -> None:
        """Raises `Lacking` where no one can be asked for what has no usual answer."""
        if self.ask is not None:
            return
        try:
            walls = read_walls(self.given.get("walls", "back,left,right"))
        except Refused as refused:
            raise WrongOption(f"--walls: {refused}") from None
        lacking = [] if "units" in self.given else ["--units"]
        lacking += [f"--width {wall}=…" for wall in walls if f"width:{wall}" not in self.given]
        if "height" not in self.given:
            without = [wall for wall in walls if f"height:{wall}" not in self.given]
            lacking += ["--height"] if without == list(walls) else [f"--height {wall}=…" for wall in without]
        if lacking:
            raise Lacking(lacking)

    def _needless(self, key: str, walls: tuple[str, ...]) -> str:
        option, _, wall = key.partition(":")
        if self.begun is not None and option not in ("panels", "tiers", "rail"):
            return f"--{option}: {self.begun.name} says that already"
        if wall and wall not in walls:
            return f"--{option}: the {wall} wall gets no panels"
        return f"{_shown(key, self.given[key])}: every wall has a {option} of its own already"


def _shown(key: str, value: str) -> str:
    option, _, wall = key.partition(":")
    return f"--{option} {wall}={value}" if wall else f"--{option} {value}"


def _stand_in(units: str, walls: tuple[str, ...]) -> tuple[WantedWall, ...]:
    """Walls that anything goes with, until they are measured."""
    wide, high = ("70", "92") if units == "inch" else ("1780", "2340")
    return tuple(WantedWall(name, (wide,), (high,)) for name in walls)


def _with(now: Wanted, wall: str, answer: OfWall) -> Callable[[str], Wanted]:
    return lambda text: now.wall(wall, answer, read_list(text))


def _tiers(now: Wanted) -> Callable[[str], Wanted]:
    return lambda text: replace(now, tiers=read_tiers(text))


def _rail(now: Wanted) -> Callable[[str], Wanted]:
    return lambda text: replace(now, rail=read_rail(text, now.names))

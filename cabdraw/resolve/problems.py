"""What cannot be in a car, gathered from all its walls before anything is refused."""

from __future__ import annotations

from cabdraw.cab import WallName
from cabdraw.errors import Path, Problem


class Problems:
    """Everything that cannot be, in the order found; the same said of several walls is said once, of all of them."""

    def __init__(self) -> None:
        self._found: dict[tuple[Path, str, str], list[WallName]] = {}

    def __len__(self) -> int:
        return len(self._found)

    def add(self, path: Path, what: str, hint: str, wall: WallName | None = None) -> None:
        """Keep a problem at a place in the spec; one of a wall is put after the words "on the back wall, "."""
        walls = self._found.setdefault((path, what, hint), [])
        if wall is not None and wall not in walls:
            walls.append(wall)

    def of(self, wall: WallName) -> bool:
        """Whether there is any problem on a wall."""
        return any(wall in walls for walls in self._found.values())

    def all(self) -> tuple[Problem, ...]:
        """Every problem, each in whole words."""
        return tuple(Problem(path, _on(walls) + what, hint) for (path, what, hint), walls in self._found.items())


def _on(walls: list[WallName]) -> str:
    if not walls:
        return ""
    *most, last = walls
    return f"on the {', '.join(most)} and {last} walls, " if most else f"on the {last} wall, "

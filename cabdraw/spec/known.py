"""What is still known of a spec in which some values are wrong, so that the rest can be checked too."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from cabdraw.errors import Path


def overlap(one: Path, other: Path) -> bool:
    """Whether one path leads to the other, or they are the same."""
    return all(a == b for a, b in zip(one, other, strict=False))


@dataclass(frozen=True, slots=True)
class Known:
    """The places whose values are wrong, and stand-ins there, so that no complaint rests on a stand-in."""

    wrong: frozenset[Path] = frozenset()

    def whole(self, *paths: Path) -> bool:
        """Whether nothing at, above or below these paths is wrong."""
        return not any(overlap(path, wrong) for path in paths for wrong in self.wrong)

    def there(self, *paths: Path) -> bool:
        """Whether it is known of these paths what is there, though something below may be wrong."""
        return not any(path[: len(wrong)] == wrong for path in paths for wrong in self.wrong)

    def plus(self, wrong: Iterable[Path]) -> Known:
        """The same with more places that are wrong."""
        return Known(self.wrong | frozenset(wrong))


def replaced(tree: Any, path: Path, value: Any) -> Any:
    """A copy of plain values with one replaced or added; as it was where the path leads nowhere."""
    if not path:
        return value
    step, rest = path[0], path[1:]
    if isinstance(tree, dict) and isinstance(step, str) and (step in tree or not rest):
        return {**tree, step: replaced(tree.get(step), rest, value)}
    if isinstance(tree, list) and isinstance(step, int) and 0 <= step < len(tree):
        return [*tree[:step], replaced(tree[step], rest, value), *tree[step + 1 :]]
    return tree


def without(tree: Any, path: Path) -> Any:
    """A copy of plain values with one key taken out."""
    if len(path) == 1:
        return {key: value for key, value in tree.items() if key != path[0]} if isinstance(tree, dict) else tree
    if isinstance(tree, dict) and path[0] in tree:
        return {**tree, path[0]: without(tree[path[0]], path[1:])}
    if isinstance(tree, list) and isinstance(path[0], int) and path[0] < len(tree):
        return [*tree[: path[0]], without(tree[path[0]], path[1:]), *tree[path[0] + 1 :]]
    return tree

"""What is still known of a spec in which some values are wrong, so that the rest can be checked too."""

from __future__ import annotations

from typing import Any

from cabdraw.errors import Path
from cabdraw.frozen import Frozen


class Known(Frozen):
    """Where stand-ins are, and which sections lost a key that the format does not know.

    A complaint that rests on a stand-in, or on a key that may only be misspelled, would be false.
    """

    wrong: frozenset[Path] = frozenset()
    short: frozenset[Path] = frozenset()

    def there(self, path: Path) -> bool:
        """Whether what stands at a path is what was written, though something below it may be wrong."""
        return not any(path[: len(wrong)] == wrong for wrong in self.wrong)

    def keys(self, path: Path) -> bool:
        """Whether it is known which keys a section has."""
        return self.there(path) and path not in self.short

    def whole(self, path: Path) -> bool:
        """Whether what stands at a path is what was written, with all that is in it."""
        return self.there(path) and not any(other[: len(path)] == path for other in self.wrong | self.short)


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

"""Blocks of parts, and the cuts that take a region of a sheet apart, in whole units that include the kerf.

Every part is taken as larger by one kerf in both directions, and the sheet too: then parts may touch, and a cut at
`at` leaves `at - kerf` on its near side. So the kerf is kept between all parts and nowhere else.
"""

from __future__ import annotations

from collections.abc import Sequence

from cabdraw.frozen import Frozen, replace


class Part(Frozen):
    """One part of a kind, lying as it is or turned."""

    width: int
    height: int
    kind: int
    turned: bool


class Beside(Frozen):
    """Two blocks side by side, level at the bottom."""

    width: int
    height: int
    left: Block
    right: Block

    @classmethod
    def of(cls, left: Block, right: Block) -> Beside:
        """Put one block to the right of another."""
        return cls(left.width + right.width, max(left.height, right.height), left, right)


class Over(Frozen):
    """Two blocks one over the other, level at the left."""

    width: int
    height: int
    below: Block
    above: Block

    @classmethod
    def of(cls, below: Block, above: Block) -> Over:
        """Put one block over another."""
        return cls(max(below.width, above.width), below.height + above.height, below, above)


Block = Part | Beside | Over


class Split(Frozen):
    """One cut right across a region: `upright` splits it into left and right, else into lower and upper.

    `at` is where the second half begins, from the region's left or lower edge. A half is None where nothing is
    taken from it.
    """

    upright: bool
    at: int
    near: Tree | None
    far: Tree | None


Tree = Split | Part


def cut_up(block: Block, width: int, height: int) -> Tree:
    """The cuts that take a block from a region at least as large; what is over is cut off first.

    Of the two ways to do so, the one that leaves the larger single piece.
    """
    wide, high = width - block.width, height - block.height
    if wide and (not high or wide * height >= high * width):
        return Split(True, block.width, cut_up(block, block.width, height), None)
    if high:
        return Split(False, block.height, cut_up(block, width, block.height), None)
    if isinstance(block, Part):
        return block
    if isinstance(block, Beside):
        at = block.left.width
        return Split(True, at, cut_up(block.left, at, height), cut_up(block.right, width - at, height))
    at = block.below.height
    return Split(False, at, cut_up(block.below, width, at), cut_up(block.above, width, height - at))


def renamed(tree: Tree, kinds: Sequence[int]) -> Tree:
    """The same tree with each kind replaced by the one at its place in `kinds`."""
    cuts: list[Split] = []
    end: Tree | None = tree
    while isinstance(end, Split):
        cuts.append(end)
        end = end.far
    made: Tree | None = None if end is None else replace(end, kind=kinds[end.kind])
    for cut in reversed(cuts):
        made = Split(cut.upright, cut.at, None if cut.near is None else renamed(cut.near, kinds), made)
    assert made is not None
    return made


def parts_in(tree: Tree | Block | None) -> list[Part]:
    """The parts of a tree or a block, in the order in which they are cut."""
    found: list[Part] = []
    waiting: list[Tree | Block | None] = [tree]
    while waiting:
        node = waiting.pop()
        if isinstance(node, Part):
            found.append(node)
        elif isinstance(node, Split):
            waiting += (node.far, node.near)
        elif isinstance(node, Beside):
            waiting += (node.right, node.left)
        elif isinstance(node, Over):
            waiting += (node.above, node.below)
    return found


def spare(tree: Tree | None, width: int, height: int, kerf: int) -> list[tuple[int, int]]:
    """Width and height, without the kerf, of every piece that a tree leaves over in a region."""
    found: list[tuple[int, int]] = []
    waiting = [(tree, width, height)]
    while waiting:
        node, w, h = waiting.pop()
        if node is None:
            if w > kerf and h > kerf:
                found.append((w - kerf, h - kerf))
        elif isinstance(node, Split):
            if node.upright:
                waiting += ((node.far, w - node.at, h), (node.near, node.at, h))
            else:
                waiting += ((node.far, w, h - node.at), (node.near, w, node.at))
    return found


def largest_spare(tree: Tree | None, width: int, height: int, kerf: int) -> int:
    """The area of the largest piece that a tree leaves over."""
    return max((w * h for w, h in spare(tree, width, height, kerf)), default=0)

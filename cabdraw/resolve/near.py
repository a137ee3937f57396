"""Which of many boxes that stand on a wall a place on its face can meet."""

from __future__ import annotations

from bisect import bisect
from collections.abc import Iterator, Sequence

from cabdraw.cab import Rect
from cabdraw.resolve.bodies import Box

#: How many boxes begin in an upright strip of the wall, more or less.
_SHARE = 4


class Near:
    """Boxes, kept by the upright strips of the wall's face that they reach into.

    Only their sections on the face count, in floating millimetres, and what touches counts as met.
    """

    def __init__(self, boxes: Sequence[Box]) -> None:
        self._boxes = boxes
        # Strips end where boxes begin, so that those of no end, as the floor is, make none of them wide.
        self._ends = sorted({box[0] for box in boxes})[_SHARE::_SHARE]
        self._strips: list[list[int]] = [[] for _ in range(len(self._ends) + 1)]
        for number, box in enumerate(boxes):
            for strip in range(bisect(self._ends, box[0]), bisect(self._ends, box[1]) + 1):
                self._strips[strip].append(number)

    def met(self, box: Box) -> list[int]:
        """The numbers of the boxes that a box's section meets, in order."""
        left, right, low, high, _, _ = box
        strips = self._strips[bisect(self._ends, left) : bisect(self._ends, right) + 1]
        near = strips[0] if len(strips) == 1 else sorted(set().union(*strips))
        found = []
        for number in near:
            x0, x1, y0, y1, _, _ = self._boxes[number]
            if x0 <= right and left <= x1 and y0 <= high and low <= y1:
                found.append(number)
        return found


def pairs(rects: Sequence[Rect]) -> Iterator[tuple[int, int]]:
    """Pairs of rectangles that share more of the face than edges, each once, by their numbers and in order."""
    boxes = [(float(rect.x), float(rect.right), float(rect.y), float(rect.top), 0.0, 0.0) for rect in rects]
    near = Near(boxes)
    for first, box in enumerate(boxes):
        for second in near.met(box):
            if first < second and _overlap(rects[first], rects[second]):
                yield first, second


def _overlap(a: Rect, b: Rect) -> bool:
    return max(a.x, b.x) < min(a.right, b.right) and max(a.y, b.y) < min(a.top, b.top)

"""Which of many boxes that stand on a wall a place on its face can meet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cabdraw.cab import Rect
from cabdraw.resolve.bodies import Box

#: How many boxes share an upright strip of the wall, more or less: as many are looked at for each that is met.
_SHARE = 8


class Near:
    """Boxes, kept by the upright strips of the wall's face that they reach into.

    Only their sections on the face count, in floating millimetres, and what touches counts as met.
    """

    def __init__(self, boxes: Sequence[Box]) -> None:
        self._boxes = boxes
        self._left = min((box[0] for box in boxes), default=0.0)
        width = max((box[1] for box in boxes), default=0.0) - self._left
        self._last = len(boxes) // _SHARE
        self._per_mm = (self._last + 1) / width if width else 0.0
        self._strips: list[list[int]] = [[] for _ in range(self._last + 1)]
        for number, box in enumerate(boxes):
            for strip in range(self._strip(box[0]), self._strip(box[1]) + 1):
                self._strips[strip].append(number)

    def _strip(self, x: float) -> int:
        return min(max(int((x - self._left) * self._per_mm), 0), self._last)

    def met(self, box: Box) -> list[int]:
        """The numbers of the boxes that a box's section meets, in order."""
        left, right, low, high, _, _ = box
        strips = self._strips[self._strip(left) : self._strip(right) + 1]
        near = strips[0] if len(strips) == 1 else sorted(set().union(*strips))
        found = []
        for number in near:
            x0, x1, y0, y1, _, _ = self._boxes[number]
            if x0 <= right and left <= x1 and y0 <= high and low <= y1:
                found.append(number)
        return found


def pairs(rects: Sequence[Rect]) -> Iterator[tuple[int, int]]:
    """Pairs of rectangles that overlap by more than their edges, each once, by their numbers and in order."""
    boxes = [(float(rect.x), float(rect.right), float(rect.y), float(rect.top), 0.0, 0.0) for rect in rects]
    near = Near(boxes)
    for first, box in enumerate(boxes):
        for second in near.met(box):
            if first < second and _overlap(rects[first], rects[second]):
                yield first, second


def _overlap(a: Rect, b: Rect) -> bool:
    return a.x < b.right and b.x < a.right and a.y < b.top and b.y < a.top

"""Entities of DXF (R2000 and later) as the text that stands in the file, without an object of the library for each.

The library makes and writes an entity with every attribute that it could have, in 60 µs; a car has ten thousand of
ten kinds, and each of those kinds has one form here. A test holds every form to what the library writes itself. The
library keeps the document: header, tables, blocks, layouts and objects.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import count
from typing import Any

from cabdraw.draw.shapes import RGB, XY
from cabdraw.write.dxf_library import BlockRecord, DXFEntity, DXFNamespace

BYLAYER = 256
#: Type of a rotated dimension whose block is its own and whose text someone placed.
_DIMENSION_TYPE = 160
#: Flag of a block that programs may throw away and make anew.
_ANONYMOUS = 1


class Written(DXFEntity):  # type: ignore[misc]
    """Stands in a layout of the library for entities that are text already."""

    DXFTYPE = "WRITTEN"

    def __init__(self, text: str, handles: Sequence[str]) -> None:
        super().__init__()
        self.dxf = DXFNamespace(entity=self)
        self.text = text
        self.handles = handles

    def export_dxf(self, tagwriter: Any) -> None:
        """Write them."""
        tagwriter.write_str(self.text)


class Block:
    """A block that programs may throw away and make anew, as text: its record, and what it is."""

    def __init__(self, name: str, table: str, next_handle: Callable[[], str]) -> None:
        self.name, self._next_handle = name, next_handle
        self._handle, begin, end = (next_handle() for _ in range(3))
        head = f"330\n{self._handle}\n100\nAcDbEntity\n  8\n0\n100\n"
        self.record = (
            f"  0\nBLOCK_RECORD\n  5\n{self._handle}\n330\n{table}\n"
            f"100\nAcDbSymbolTableRecord\n100\nAcDbBlockTableRecord\n  2\n{name}\n"
            "340\n0\n 70\n0\n280\n1\n281\n0\n"
        )
        self._begin = (
            f"  0\nBLOCK\n  5\n{begin}\n{head}AcDbBlockBegin\n  2\n{name}\n 70\n{_ANONYMOUS}\n"
            f" 10\n0.0\n 20\n0.0\n 30\n0.0\n  3\n{name}\n  1\n\n"
        )
        self._end = f"  0\nENDBLK\n  5\n{end}\n{head}AcDbBlockEnd\n"
        self._inside = ""

    def entities(self) -> Entities:
        """For what stands in it."""
        return Entities(self._handle, False, self._next_handle)

    def finish(self, inside: Entities) -> None:
        """Put entities into it."""
        self._inside = inside.take()

    @property
    def definition(self) -> str:
        """The block and what stands in it."""
        return f"{self._begin}{self._inside}{self._end}"


class StandingBlock(BlockRecord):  # type: ignore[misc]
    """Stands in a document of the library for a block that is text."""

    def __init__(self, block: Block) -> None:
        super().__init__()
        self.dxf = DXFNamespace(entity=self)
        self.dxf.name = block.name
        self.text = block

    def export_dxf(self, tagwriter: Any) -> None:
        """Write its record."""
        tagwriter.write_str(self.text.record)

    def export_block_definition(self, tagwriter: Any) -> None:
        """Write the block itself."""
        tagwriter.write_str(self.text.definition)


class LibrarySpace:
    """A layout of the library's document and the document's blocks, for entities and blocks that are text."""

    def __init__(self, layout: Any) -> None:
        self.layout, self._doc = layout, layout.doc

    def name(self) -> str:
        """A name that no block has."""
        return str(self._doc.blocks.anonymous_block_name("D"))

    def new(self, name: str) -> Block:
        """A new block, which is in the document from now on."""
        table = self._doc.block_records
        block = Block(name, table.head.dxf.handle, self._doc.entitydb.next_handle)
        table.entries[name.lower()] = StandingBlock(block)
        return block

    def entities(self) -> Entities:
        """For what stands in the layout."""
        return Entities(self.layout.layout_key, self.layout.is_any_paperspace, self._doc.entitydb.next_handle)

    def put(self, text: str, handles: Sequence[str]) -> None:
        """Take entities in."""
        self.layout.entity_space.add(Written(text, handles))


class TextSpace:
    """As `LibrarySpace`, for the model space of a document that is text itself."""

    def __init__(self, owner: str, table: str, first: int) -> None:
        numbers = count(first)
        self._owner, self._table = owner, table
        self.next_handle: Callable[[], str] = lambda: f"{next(numbers):X}"
        self.text: list[str] = []
        self.handles: list[str] = []
        self.blocks: list[Block] = []

    def name(self) -> str:
        """A name that no block has."""
        return f"*D{len(self.blocks) + 1}"

    def new(self, name: str) -> Block:
        """A new block."""
        self.blocks.append(Block(name, self._table, self.next_handle))
        return self.blocks[-1]

    def entities(self) -> Entities:
        """For what stands in the space."""
        return Entities(self._owner, False, self.next_handle)

    def put(self, text: str, handles: Sequence[str]) -> None:
        """Take entities in."""
        self.text.append(text)
        self.handles += handles


Space = LibrarySpace | TextSpace


def handles(layout: Any) -> list[str]:
    """The handles of all that stands in a layout, in order."""
    return [
        handle
        for entity in layout
        for handle in (entity.handles if isinstance(entity, Written) else (entity.dxf.handle,))
    ]


def redrawn(every: Sequence[str], bottom: Sequence[str]) -> list[tuple[str, str]]:
    """Every handle with the one in whose turn it is drawn, so that those at the bottom are drawn first."""
    under = set(bottom)
    wanted = [*bottom, *(handle for handle in every if handle not in under)]
    return list(zip(wanted, sorted(every, key=lambda handle: int(handle, 16)), strict=True))


class Entities:
    """Entities for one space or block, which are in it after `finish`. Points and lengths are drawing units.

    Each call returns the handle of what it has drawn.
    """

    def __init__(self, owner: str, on_paper: bool, next_handle: Callable[[], str]) -> None:
        self._owner = f"330\n{owner}\n100\nAcDbEntity\n" + (" 67\n1\n" if on_paper else "")
        self._next_handle = next_handle
        self._text: list[str] = []
        self._handles: list[str] = []

    def take(self) -> str:
        """The text of all entities so far, which are then forgotten here."""
        text = "".join(self._text)
        self._text, self._handles = [], []
        return text

    def finish(self, space: Space) -> None:
        """Put all entities so far into a space."""
        if self._text:
            handles = self._handles
            space.put(self.take(), handles)

    def line(self, start: XY, end: XY, layer: str) -> str:
        """A straight line; returns its handle."""
        ends = f"{_point(10, start)}{_point(11, end)}"
        return self._add("LINE", layer, f"100\nAcDbLine\n{ends}")

    def polyline(self, points: Sequence[Sequence[float]], closed: bool, layer: str) -> str:
        """A run of straight lines and, where a point has a third value other than 0, arcs of that bulge."""
        corners = "".join(
            f" 10\n{point[0]}\n 20\n{point[1]}\n" + (f" 42\n{point[2]}\n" if len(point) > 2 and point[2] else "")
            for point in points
        )
        return self._add("LWPOLYLINE", layer, f"100\nAcDbPolyline\n 90\n{len(points)}\n 70\n{int(closed)}\n{corners}")

    def circle(self, centre: XY, radius: float, layer: str) -> str:
        """A circle; returns its handle."""
        return self._add("CIRCLE", layer, f"100\nAcDbCircle\n{_point(10, centre)} 40\n{radius}\n")

    def arc(self, centre: XY, radius: float, start: float, end: float, layer: str) -> str:
        """An arc from one angle to another, in degrees against the clock; returns its handle."""
        circle = f"100\nAcDbCircle\n{_point(10, centre)} 40\n{radius}\n"
        return self._add("ARC", layer, f"{circle}100\nAcDbArc\n 50\n{float(start)}\n 51\n{float(end)}\n")

    def text(
        self, text: str, at: XY, height: float, layer: str, style: str = "", angle: float = 0, place: XY = (0, 0)
    ) -> str:
        """One line of text; `place` is its horizontal and vertical alignment, numbered as in groups 72 and 73."""
        across, up = place
        turned = f" 50\n{float(angle)}\n" if angle else ""
        styled = f"  7\n{style}\n" if style else ""
        aligned = (f" 72\n{across}\n" if across else "") + (_point(11, at) if across or up else "")
        lines = f"{_point(10, at)} 40\n{height}\n  1\n{text}\n{turned}{styled}{aligned}"
        return self._add("TEXT", layer, f"100\nAcDbText\n{lines}100\nAcDbText\n" + (f" 73\n{up}\n" if up else ""))

    def filled(
        self, rings: Iterable[Sequence[XY]], circles: Iterable[tuple[XY, float]], layer: str, rgb: RGB | None
    ) -> str:
        """A solid hatch within rings and circles, in a colour of its own or in that of its layer."""
        paths = [_ring(ring) for ring in rings]
        for centre, radius in circles:
            edge = f" 10\n{centre[0]}\n 20\n{centre[1]}\n 40\n{radius}\n 50\n0\n 51\n360\n 73\n1\n"
            paths.append(f" 92\n1\n 93\n1\n 72\n2\n{edge} 97\n0\n")
        colour = "" if rgb is None else f"420\n{rgb[0] << 16 | rgb[1] << 8 | rgb[2]}\n"
        return self._hatch("SOLID", 1, paths, layer, colour, " 75\n1\n 76\n1\n")

    def hatch(
        self, rings: Iterable[Sequence[XY]], layer: str, angle: float, scale: float, lines: tuple[float, XY, XY]
    ) -> str:
        """Parallel lines: their angle, a point of the first, and the way to the next.

        `angle` and `scale` are those at which the pattern ANSI31 looks the same.
        """
        line, (x, y), (across, up) = lines
        pattern = (
            f" 75\n0\n 76\n1\n 52\n{float(angle)}\n 41\n{scale}\n 77\n0\n 78\n1\n"
            f" 53\n{float(line)}\n 43\n{x}\n 44\n{y}\n 45\n{across}\n 46\n{up}\n 79\n0\n"
        )
        return self._hatch("ANSI31", 0, [_ring(ring) for ring in rings], layer, "", pattern)

    def _hatch(self, name: str, solid: int, paths: Sequence[str], layer: str, colour: str, pattern: str) -> str:
        head = f"100\nAcDbHatch\n 10\n0.0\n 20\n0.0\n 30\n0.0\n210\n0.0\n220\n0.0\n230\n1.0\n  2\n{name}\n"
        outline = f" 70\n{solid}\n 71\n0\n 91\n{len(paths)}\n{''.join(paths)}"
        return self._add("HATCH", layer, f"{head}{outline}{pattern} 98\n0\n", colour)

    def dimension(
        self,
        vertical: bool,
        points: tuple[XY, XY, XY, XY],
        size: float,
        text: str,
        layer: str,
        style: str,
        block: str,
        override: Mapping[int, float],
    ) -> str:
        """A rotated dimension that shows a block: `points` are its line, its text and what it measures from and to.

        `override` are values of the style by their group, which hold for this dimension only.
        """
        base, middle, start, end = points
        body = (
            f"100\nAcDbDimension\n280\n0\n  2\n{block}\n  3\n{style}\n{_point(10, base)}{_point(11, middle)}"
            f" 70\n{_DIMENSION_TYPE}\n 71\n5\n 42\n{size}\n  1\n{text}\n"
            f"100\nAcDbAlignedDimension\n{_point(13, start)}{_point(14, end)} 50\n{90.0 if vertical else 0.0}\n"
            "100\nAcDbRotatedDimension\n"
        )
        if override:
            values = "".join(
                f"1070\n{group}\n{1040 if isinstance(value, float) else 1070}\n{value}\n"
                for group, value in override.items()
            )
            body += f"1001\nACAD\n1000\nDSTYLE\n1002\n{{\n{values}1002\n}}\n"
        return self._add("DIMENSION", layer, body)

    def _add(self, kind: str, layer: str, body: str, colour: str = "") -> str:
        handle = self._next_handle()
        self._handles.append(handle)
        self._text.append(f"  0\n{kind}\n  5\n{handle}\n{self._owner}  8\n{layer}\n{colour}{body}")
        return handle


def _point(group: int, point: XY) -> str:
    return f" {group}\n{float(point[0])}\n {group + 10}\n{float(point[1])}\n {group + 20}\n0.0\n"


def _ring(ring: Sequence[XY]) -> str:
    corners = "".join(f" 10\n{x}\n 20\n{y}\n" for x, y in ring)
    return f" 92\n3\n 72\n0\n 73\n1\n 93\n{len(ring)}\n{corners} 97\n0\n"

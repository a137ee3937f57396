"""A document of DXF without what is drawn in it, made once for all drawings that differ in nothing else.

The library takes 10 ms to make a document and to write it, most of them for what every document has. Here it is kept as
text, and what is a drawing's own is put in: entities, blocks, sizes, and the handles that come after them. A test holds
what comes of it to what the library writes itself.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from cabdraw.draw.shapes import XY
from cabdraw.write.dxf_library import extents, saved, shown
from cabdraw.write.dxf_text import Block, StandingBlock, TextSpace, Written, redrawn

#: Corners that no drawing has, so that they are found again.
_LOW, _HIGH = (-98765432.125, -87654321.125), (76543210.375, 65432109.875)
#: No document has so many handles of its own.
_FAR = 0xEEEE0000
_HANDLE = re.compile(r"(?<=\n)EEEE[0-9A-F]{4}(?=\n)")
_SEED = re.compile(r"(?<=\$HANDSEED\n  5\n)[0-9A-F]+(?=\n)")
_RECORDS = re.compile(r"(?<=TABLE\n  2\nBLOCK_RECORD\n)((?:[^\n]*\n){6} 70\n)([0-9]+)(?=\n)")
_PLACES = re.compile("(<[a-z]+>|<[0-9]+>)")
_ORDER = "331\n<under>\n  5\n<under>\n"


class _Places(Block):
    """Where the blocks of a drawing go."""

    record, definition, name = "<records>\n", "<blocks>\n", "*D"

    def __init__(self) -> None:
        pass


class Frame:
    """A document as text; `under` for drawings of which some entities are drawn first though they stand last."""

    def __init__(self, doc: Any, under: bool) -> None:
        space = doc.modelspace()
        self._owner: str = space.layout_key
        self._blocks: str = doc.block_records.head.dxf.handle
        self._first = int(doc.entitydb.next_handle(), 16)
        doc.entitydb.handles.reset(f"{_FAR:X}")
        space.entity_space.add(Written("<entities>\n", []))
        doc.block_records.entries["*d"] = StandingBlock(_Places())
        if under:
            space.set_redraw_order([("<under>", "<under>")])
        extents(doc, _LOW, _HIGH)
        text = saved(doc).decode()
        self._after = int(_SEED.findall(text)[0], 16) - _FAR
        text = _SEED.sub("<seed>", text)
        text = _HANDLE.sub(lambda found: f"<{int(found[0], 16) - _FAR}>", text)
        text = _RECORDS.sub(lambda found: f"{found[1]}<count>", text)
        text = text.replace(_ORDER, "<order>\n")
        for place, value in _sizes(_LOW, _HIGH).items():
            text = text.replace(f"\n{value}\n", f"\n{place}\n")
        for place in ("<entities>", "<records>", "<blocks>", "<order>"):
            text = text.replace(f"{place}\n", place)
        self._layouts = len(doc.block_records) - 1
        self._pieces = _PLACES.split(text)

    def space(self) -> TextSpace:
        """For what is drawn."""
        return TextSpace(self._owner, self._blocks, self._first)

    def filled(self, drawn: TextSpace, low: XY, high: XY, bottom: Sequence[str] = ()) -> bytes:
        """The whole file with what was drawn; `bottom` are the handles of what is drawn first."""
        after = int(drawn.next_handle(), 16)
        own = {
            "<entities>": "".join(drawn.text),
            "<records>": "".join(block.record for block in drawn.blocks),
            "<blocks>": "".join(block.definition for block in drawn.blocks),
            "<count>": str(self._layouts + len(drawn.blocks)),
            "<seed>": f"{after + self._after:X}",
            **{f"<{number}>": f"{after + number:X}" for number in range(self._after)},
            **{place: str(value) for place, value in _sizes(low, high).items()},
        }
        if bottom:
            own["<order>"] = "".join(f"331\n{one}\n  5\n{other}\n" for one, other in redrawn(drawn.handles, bottom))
        return "".join([own.get(piece, piece) for piece in self._pieces]).encode()


def _sizes(low: XY, high: XY) -> dict[str, float]:
    places = ("<left>", "<foot>", "<right>", "<top>", "<x>", "<y>", "<tall>")
    return dict(zip(places, (*low, *high, *shown(high, low)), strict=True))

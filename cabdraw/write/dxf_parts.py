"""Flat parts as DXF for machines: R2000 with its unit in the header, or R12 with it in a text outside the cut.

ASCII only; loops as closed polylines, holes as true circles, bend lines as lines, texts on layers of their own.
"""

from __future__ import annotations

import logging
import re
from collections.abc import Iterable
from functools import lru_cache
from typing import Any, Literal

from cabdraw.draw.loops import FlatDrawing, Loop
from cabdraw.draw.shapes import Circle, Line
from cabdraw.units import INCH, System
from cabdraw.write.dxf_frame import Frame
from cabdraw.write.dxf_library import extents, fixed, library, saved

CamVersion = Literal["r2000", "r12"]
#: Colour by the first word of a layer's name.
_COLOURS = {"OUTSIDE": 1, "SAW": 1, "INSIDE": 2, "DRILL": 3, "BEND": 4, "HEM": 4, "MARK": 8, "NOTE": 9, "UNIT": 9}
_CUTS = ("OUTSIDE", "INSIDE", "SAW", "DRILL")
#: Longest name of a layer that R12 takes.
_LONGEST_LAYER = 31
_UNIT_NOTE = "UNIT_NOTE"


def part_bytes(drawing: FlatDrawing, system: System, version: CamVersion = "r2000") -> bytes:
    """One flat as a DXF in the spec's units, the same bytes each time.

    Raises ValueError for a text or a layer that is not ASCII, and for a loop of fewer than two corners.
    """
    unit = 1 / float(INCH) if system == "inch" else 1.0
    data = _r12(drawing, system, unit) if version == "r12" else _r2000(drawing, system, unit)
    if not data.isascii():
        raise ValueError(f"{drawing.name!r} holds a sign that is not ASCII, and machines' readers take no other")
    return data


def _r2000(drawing: FlatDrawing, system: System, unit: float) -> bytes:
    frame = _frame(system, tuple(sorted(set(drawing.layers))))
    space = frame.space()
    drawn = space.entities()
    for shape in drawing.shapes:
        if isinstance(shape, Loop):
            drawn.polyline(_corners(shape, unit), True, shape.layer)
        elif isinstance(shape, Circle):
            drawn.circle(_at(shape.centre, unit), round(shape.radius * unit, 8), shape.layer)
        elif isinstance(shape, Line):
            drawn.line(_at(shape.start, unit), _at(shape.end, unit), shape.layer)
        else:
            drawn.text(shape.text, _at(shape.at, unit), round(shape.height * unit, 6), shape.layer, angle=shape.angle)
    drawn.finish(space)
    return frame.filled(space, (0.0, 0.0), _at((drawing.width, drawing.height), unit))


def _r12(drawing: FlatDrawing, system: System, unit: float) -> bytes:
    names = {layer: layer_name(layer, True) for layer in drawing.layers}
    with fixed():
        doc = _document(system, "r12", sorted({*names.values(), _UNIT_NOTE}))
        space = doc.modelspace()
        for shape in drawing.shapes:
            on = {"layer": names[shape.layer]}
            if isinstance(shape, Loop):
                space.add_polyline2d(_corners(shape, unit), format="xyb", close=True, dxfattribs=on)
            elif isinstance(shape, Circle):
                space.add_circle(_at(shape.centre, unit), round(shape.radius * unit, 8), dxfattribs=on)
            elif isinstance(shape, Line):
                space.add_line(_at(shape.start, unit), _at(shape.end, unit), dxfattribs=on)
            else:
                attributes = {**on, "height": round(shape.height * unit, 6), "rotation": shape.angle}
                space.add_text(shape.text, dxfattribs={**attributes, "insert": _at(shape.at, unit)})
        tall = max(2.0, min(12.0, drawing.width / 20))
        text = f"UNIT: {'INCH' if system == 'inch' else 'MILLIMETRE'}"
        attributes = {"layer": _UNIT_NOTE, "height": round(tall * unit, 6), "insert": _at((0, -2 * tall), unit)}
        space.add_text(text, dxfattribs=attributes)
        extents(doc, (0.0, 0.0), _at((drawing.width, drawing.height), unit))
        return saved(doc)


@lru_cache(maxsize=64)
def _frame(system: System, layers: tuple[str, ...]) -> Frame:
    with fixed():
        doc = _document(system, "r2000", layers)
        for name in layers:
            # Cuts print wider than marks, for whoever looks at a flat on paper.
            doc.layers.get(name).dxf.lineweight = 50 if name.split("_")[0] in _CUTS else 25
        return Frame(doc, False)


def _document(system: System, version: CamVersion, layers: Iterable[str]) -> Any:
    log = logging.getLogger("ezdxf")
    level = log.level
    # The library says of every R12 file that it holds no unit; the file says its unit itself, in a text.
    log.setLevel(logging.ERROR)
    try:
        doc: Any = library.new(version.upper(), setup=False, units=1 if system == "inch" else 4)
    finally:
        log.setLevel(level)
    doc.header["$MEASUREMENT"] = 0 if system == "inch" else 1
    doc.header["$LUNITS"] = 2
    doc.header["$LUPREC"] = 4 if system == "inch" else 2
    for name in layers:
        doc.layers.add(name, color=_COLOURS.get(name.split("_")[0], 7))
    return doc


def unit_ending(system: System, version: CamVersion) -> str:
    """What stands before a part file's ending: nothing, or in R12, which cannot hold its unit, the unit."""
    return "" if version == "r2000" else f"-{system}"


def layer_name(layer: str, old: bool) -> str:
    """A layer's name; in R12 without signs that it does not take, and cut to what it holds."""
    return re.sub(r"[^A-Z0-9_$-]", "_", layer.upper())[:_LONGEST_LAYER] if old else layer


def _at(point: tuple[float, float], unit: float) -> tuple[float, float]:
    return (round(point[0] * unit, 8) + 0.0, round(point[1] * unit, 8) + 0.0)


def _corners(loop: Loop, unit: float) -> list[tuple[float, float, float]]:
    if len(loop.corners) < 2:
        raise ValueError(f"a loop on {loop.layer} has {len(loop.corners)} corners")
    return [(*_at((x, y), unit), bulge) for x, y, bulge in loop.corners]

"""Sheets as DXF (R2010) at the model's true size, in the units of the spec, the same bytes each time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from io import StringIO
from math import sqrt
from typing import Any

import ezdxf
from ezdxf.sections import classes

from cabdraw.draw.shapes import Polyline, Sheet, View
from cabdraw.draw.style import (
    DASHES,
    EXTENSION_GAP,
    EXTENSION_PAST,
    FIGURE,
    FIGURE_GAP,
    LAYERS,
    STROKE,
    LineKind,
)
from cabdraw.units import INCH, System
from cabdraw.write.dxf_shapes import BOLD, STYLE, Plot
from cabdraw.write.ink import TINT, checked

_LINE_TYPES: dict[LineKind, str] = {"dashed": "DASHED", "centre": "CENTER"}


def drawing_bytes(sheet: Sheet, system: System) -> bytes:
    """A sheet with one view (or none) in model space: the model at true size, the paper's shapes scaled round it.

    Raises ValueError for more than one view, and for a layer, tint or hatch without a style.
    """
    if len(sheet.views) > 1:
        raise ValueError(f"sheet {sheet.name!r} has {len(sheet.views)} views; a drawing in model space holds one")
    view = sheet.views[0] if sheet.views else View("", 1.0, (0.0, 0.0), ())
    unit = _unit(system)
    paper = unit / view.scale
    with _fixed():
        doc = _document([checked(sheet)], system)
        _line_types(doc, unit, 1 / view.scale)
        _dimension_style(doc, STYLE, paper, system)
        doc.dimstyles.get(STYLE).copy_to_header(doc)
        space = doc.modelspace()
        frame = Plot(space, doc.blocks, paper, paper, origin=view.at)
        model = Plot(space, doc.blocks, unit, paper)
        frame.add(sheet.paper)
        model.add(view.shapes)
        _under(space, [*frame.finish(), *model.finish()])
        _extents(doc, frame.at((0.0, 0.0)), frame.at((sheet.width, sheet.height)))
        return _saved(doc)


def _unit(system: System) -> float:
    return 1 / float(INCH) if system == "inch" else 1.0


@contextmanager
def _fixed() -> Iterator[None]:
    # The library stamps time and fresh identifiers into a file unless told not to.
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


def _document(sheets: Sequence[Sheet], system: System) -> Any:
    doc: Any = ezdxf.new("R2010", setup=False, units=1 if system == "inch" else 4)
    header = doc.header
    header["$MEASUREMENT"] = 0 if system == "inch" else 1
    header["$LUNITS"] = 5 if system == "inch" else 2
    header["$LUPREC"] = 5 if system == "inch" else 1
    header["$LWDISPLAY"] = 1
    doc.styles.add(STYLE, font="DejaVuSans.ttf")
    doc.styles.add(BOLD, font="DejaVuSans-Bold.ttf")
    header["$TEXTSTYLE"] = STYLE
    used = {shape.layer for sheet in sheets for _, shape in sheet.shapes()}
    if any(getattr(shape, "fill", "") for sheet in sheets for _, shape in sheet.shapes()):
        used.add(TINT)
    for name, style in LAYERS.items():
        if name in used:
            layer = doc.layers.add(name, color=style.index, lineweight=round(style.weight * 100))
            layer.dxf.linetype = _LINE_TYPES.get(style.line, "CONTINUOUS")
            if style.about:
                layer.description = style.about
    # White lines on a light tint cannot be read, and most screens of CAD programs are dark.
    if TINT in used:
        doc.layers.get(TINT).freeze()
    return doc


def _line_types(doc: Any, unit: float, scale: float) -> None:
    for kind, name in _LINE_TYPES.items():
        lengths = [length * unit * (1 if n % 2 == 0 else -1) for n, length in enumerate(DASHES[kind])]
        doc.linetypes.add(name, [sum(map(abs, lengths)), *lengths], description=kind)
    doc.header["$LTSCALE"] = scale


def _dimension_style(doc: Any, name: str, paper: float, system: System) -> None:
    sizes = {
        "dimtxt": FIGURE,
        "dimexo": EXTENSION_GAP,
        "dimexe": EXTENSION_PAST,
        "dimgap": FIGURE_GAP,
        "dimasz": STROKE,
        # A program draws the stroke so far to either side along each axis.
        "dimtsz": STROKE / 2 / sqrt(2),
    }
    inch = system == "inch"
    fixed = {
        "dimtxsty": STYLE,
        "dimscale": 1.0,
        "dimdle": 0.0,
        # Figures above the line, always level, free to be moved without a leader.
        "dimtad": 1,
        "dimtih": 1,
        "dimtoh": 1,
        "dimtofl": 1,
        "dimtmove": 2,
        # How a program prints a measurement that someone adds: plain fractions, or tenths of a mm.
        "dimlunit": 5 if inch else 2,
        "dimdec": 5 if inch else 1,
        "dimfrac": 2,
        "dimzin": 0 if inch else 8,
        "dimdsep": ord("."),
        "dimpost": '<>"' if inch else "",
        **dict.fromkeys(("dimclrd", "dimclre", "dimclrt"), 256),
        **dict.fromkeys(("dimlwd", "dimlwe"), -1),
    }
    attributes = {key: round(size * paper, 10) for key, size in sizes.items()} | fixed
    doc.dimstyles.new(name, dxfattribs=attributes)


def _under(space: Any, bottom: Sequence[str]) -> None:
    """Have the entities with these handles drawn first, though they stand last in the file."""
    if not bottom:
        return
    handles = [entity.dxf.handle for entity in space]
    under = set(bottom)
    wanted = [*bottom, *(handle for handle in handles if handle not in under)]
    space.set_redraw_order(zip(wanted, sorted(handles, key=lambda handle: int(handle, 16)), strict=True))


def _extents(doc: Any, low: tuple[float, float], high: tuple[float, float]) -> None:
    space = doc.modelspace()
    space.reset_extents((*low, 0.0), (*high, 0.0))
    space.reset_limits(low, high)
    doc.header["$EXTMIN"], doc.header["$EXTMAX"] = (*low, 0.0), (*high, 0.0)
    doc.header["$LIMMIN"], doc.header["$LIMMAX"] = low, high
    centre = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
    doc.set_modelspace_vport((high[1] - low[1]) * 1.05, centre)


def _saved(doc: Any) -> bytes:
    # The order of the classes would follow the hash seed: registered sorted, it does not.
    required = classes.REQUIRED_CLASSES.get(doc.dxfversion, classes.REQ_R2004)
    for name in [*required, *sorted(doc.entitydb.dxf_types_in_use())]:
        doc.classes.add_class(name)
    out = StringIO()
    doc.write(out)
    return bytes(doc.encode(out.getvalue()))

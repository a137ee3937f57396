"""Sheets as DXF (R2010) at the model's true size, in the units of the spec, the same bytes each time."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from functools import lru_cache
from math import sqrt
from typing import Any

from cabdraw.draw.measure import legible
from cabdraw.draw.shapes import XY, Painted, Sheet, Strands, View
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
from cabdraw.write.dxf_frame import Frame
from cabdraw.write.dxf_library import extents, fixed, library, saved
from cabdraw.write.dxf_shapes import BOLD, STYLE, Plot
from cabdraw.write.dxf_text import LibrarySpace, Space, handles, redrawn
from cabdraw.write.ink import TINT, checked

#: Borders of viewports: shown on the screen, never plotted.
_VIEWPORTS = "VIEWPORTS"
#: Clear distance in mm between views in the model of a set.
_CLEAR = 1000.0
_LINE_TYPES: dict[LineKind, str] = {"dashed": "DASHED", "centre": "CENTER"}


def drawing_bytes(sheet: Sheet, system: System) -> bytes:
    """A sheet with one view (or none) in model space: the model at true size, the paper's shapes scaled round it.

    Raises ValueError for more than one view, one that is cut off, a stretched sheet, and for a layer, tint or hatch
    without a style.
    """
    _refuse_stretched([sheet])
    if any(view.clip for view in sheet.views):
        raise ValueError(f"sheet {sheet.name!r} has a view that is cut off; a drawing in model space shows all of it")
    if len(sheet.views) > 1:
        raise ValueError(f"sheet {sheet.name!r} has {len(sheet.views)} views; a drawing in model space holds one")
    view = sheet.views[0] if sheet.views else View("", 1.0, (0.0, 0.0), ())
    layers = frozenset(_layers([checked(sheet)]))
    if any(isinstance(shape, Painted | Strands) for _, shape in sheet.shapes()):
        # The library draws paint itself.
        return _in_a_document(sheet, view, layers, system)
    drawn = _frame(layers, system, view.scale, False).space()
    low, high, bottom = _put(sheet, view, drawn, system)
    return _frame(layers, system, view.scale, bool(bottom)).filled(drawn, low, high, bottom)


def _in_a_document(sheet: Sheet, view: View, layers: frozenset[str], system: System) -> bytes:
    """A sheet with one view in a document of the library, made for it alone."""
    with fixed():
        doc = _plain(layers, system, view.scale)
        space = doc.modelspace()
        low, high, bottom = _put(sheet, view, LibrarySpace(space), system)
        _under(space, bottom)
        extents(doc, low, high)
        return saved(doc)


def _put(sheet: Sheet, view: View, space: Space, system: System) -> tuple[XY, XY, list[str]]:
    """Draw a sheet into model space; its corners there, and the handles of what is drawn first."""
    unit = _unit(system)
    paper = unit / view.scale
    frame = Plot(space, paper, paper, origin=view.at)
    model = Plot(space, unit, paper)
    frame.add(sheet.paper)
    model.add(view.shapes)
    bottom = [*frame.finish(), *model.finish()]
    return frame.at((0.0, 0.0)), frame.at((sheet.width, sheet.height)), bottom


@lru_cache(maxsize=64)
def _frame(layers: frozenset[str], system: System, scale: float, under: bool) -> Frame:
    with fixed():
        return Frame(_plain(layers, system, scale), under)


def _plain(layers: frozenset[str], system: System, scale: float) -> Any:
    """A document for a sheet in model space, with nothing drawn in it yet."""
    unit = _unit(system)
    doc = _document(layers, system)
    _line_types(doc, unit, 1 / scale)
    _dimension_style(doc, STYLE, unit / scale, system)
    doc.dimstyles.get(STYLE).copy_to_header(doc)
    return doc


def set_bytes(sheets: Sequence[Sheet], system: System) -> bytes:
    """All sheets in one drawing: each a layout on its paper, with a viewport on each of its views.

    The views stand clear of each other in model space at true size, a row a sheet. Raises ValueError
    without a sheet, for two sheets of one name, a stretched one, and for a layer, tint or hatch without a style.
    """
    _refuse_stretched(sheets)
    names = [layout_name(sheet.name) for sheet in sheets]
    if not names or len({name.lower() for name in names}) < len(names):
        raise ValueError("a set of drawings needs sheets, each with a name of its own")
    unit = _unit(system)
    with fixed():
        doc = _document(_layers([checked(sheet) for sheet in sheets]), system)
        _line_types(doc, unit, 1.0)
        doc.header["$PSLTSCALE"] = 1
        doc.layers.add(_VIEWPORTS, color=8).dxf.plot = 0
        scales = sorted({1.0, *(view.scale for sheet in sheets for view in sheet.views)})
        styles = {scale: STYLE if scale == 1 else f"{STYLE}-{n}" for n, scale in enumerate(scales)}
        for scale, style in styles.items():
            _dimension_style(doc, style, unit / scale, system)
        doc.dimstyles.get(styles[scales[0]]).copy_to_header(doc)
        low, high = _rows(doc, sheets, names, unit, styles)
        doc.layouts.delete("Layout1")
        doc.layouts.set_active_layout(names[0])
        doc.header["$TILEMODE"] = 0
        extents(doc, low, high)
        return saved(doc)


def _refuse_stretched(sheets: Sequence[Sheet]) -> None:
    for sheet in sheets:
        if sheet.stretch != (1.0, 1.0):
            raise ValueError(f"sheet {sheet.name!r} is stretched for one printer; a drawing is at true size")


def layout_name(name: str) -> str:
    """A sheet's name without the signs that a layout's name must not hold."""
    return re.sub(r'[<>/\\":;?*|=`,]', "-", legible(name)).strip()[:255] or "-"


def _rows(
    doc: Any, sheets: Sequence[Sheet], names: Sequence[str], unit: float, styles: dict[float, str]
) -> tuple[XY, XY]:
    """Place all views in model space and look at them from the layouts; returns the model's extents."""
    foot, right, model_runs = 0.0, 0.0, []
    for sheet, name in zip(sheets, names, strict=True):
        layout = doc.layouts.new(name)
        layout.page_setup(
            size=(sheet.width * unit, sheet.height * unit), units="mm" if unit == 1 else "inch", name="cabdraw"
        )
        paper = Plot(LibrarySpace(layout), unit, unit, dimension_style=styles[1.0])
        paper.add(sheet.paper)
        left, lowest = 0.0, foot
        for view in sheet.views:
            (x0, y0), (x1, y1) = _area(sheet, view)
            width, height = (x1 - x0) / view.scale, (y1 - y0) / view.scale
            corner = ((x0 - view.at[0]) / view.scale, (y0 - view.at[1]) / view.scale)
            to = (left * unit, (foot - height) * unit)
            plot = Plot(LibrarySpace(doc.modelspace()), unit, unit / view.scale, corner, to, styles[view.scale])
            plot.add(view.shapes)
            model_runs.append(plot)
            layout.add_viewport(
                center=((x0 + x1) / 2 * unit, (y0 + y1) / 2 * unit),
                size=((x1 - x0) * unit, (y1 - y0) * unit),
                view_center_point=(to[0] + width / 2 * unit, to[1] + height / 2 * unit),
                view_height=height * unit,
                dxfattribs={"layer": _VIEWPORTS},
            )
            left, lowest = left + width + _CLEAR, min(lowest, foot - height)
            right = max(right, left - _CLEAR)
        _under(layout, paper.finish())
        foot = lowest - _CLEAR
    _under(doc.modelspace(), [handle for plot in model_runs for handle in plot.finish()])
    return (0.0, (foot + _CLEAR) * unit), (right * unit, 0.0)


def _area(sheet: Sheet, view: View) -> tuple[XY, XY]:
    (x0, y0), (x1, y1) = view.window
    return view.window if x1 > x0 and y1 > y0 else ((0.0, 0.0), (sheet.width, sheet.height))


def _unit(system: System) -> float:
    return 1 / float(INCH) if system == "inch" else 1.0


def _layers(sheets: Sequence[Sheet]) -> set[str]:
    """The layers that sheets use."""
    used = {shape.layer for sheet in sheets for _, shape in sheet.shapes()}
    if any(getattr(shape, "fill", "") for sheet in sheets for _, shape in sheet.shapes()):
        used.add(TINT)
    return used


def _document(used: Collection[str], system: System) -> Any:
    doc: Any = library.new("R2010", setup=False, units=1 if system == "inch" else 4)
    header = doc.header
    header["$MEASUREMENT"] = 0 if system == "inch" else 1
    header["$LUNITS"] = 5 if system == "inch" else 2
    header["$LUPREC"] = 5 if system == "inch" else 1
    header["$LWDISPLAY"] = 1
    doc.styles.add(STYLE, font="DejaVuSans.ttf")
    doc.styles.add(BOLD, font="DejaVuSans-Bold.ttf")
    header["$TEXTSTYLE"] = STYLE
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
    if bottom:
        space.set_redraw_order(redrawn(handles(space), bottom))

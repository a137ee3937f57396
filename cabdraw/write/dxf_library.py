"""The library that writes DXF, as the other writers of DXF use it: nobody's settings, and no font of the machine."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from io import StringIO
from typing import Any

from cabdraw.write.alone import alone

with alone():
    import ezdxf as _ezdxf
    from ezdxf.entities.blockrecord import BlockRecord as _BlockRecord
    from ezdxf.entities.dxfentity import DXFEntity as _DXFEntity
    from ezdxf.entities.dxfns import DXFNamespace as _DXFNamespace
    from ezdxf.sections import classes as _classes

#: The library does not mark its own names as exported.
library: Any = _ezdxf
classes: Any = _classes
BlockRecord: Any = _BlockRecord
DXFEntity: Any = _DXFEntity
DXFNamespace: Any = _DXFNamespace


@contextmanager
def fixed() -> Iterator[None]:
    """While a document is made and saved: no time and no fresh identifier is stamped into it."""
    before = library.options.write_fixed_meta_data_for_testing
    library.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        library.options.write_fixed_meta_data_for_testing = before


def extents(doc: Any, low: tuple[float, float], high: tuple[float, float]) -> None:
    """Say in a document what its model takes up, and show all of it when it is opened."""
    space = doc.modelspace()
    space.reset_extents((*low, 0.0), (*high, 0.0))
    space.reset_limits(low, high)
    doc.header["$EXTMIN"], doc.header["$EXTMAX"] = (*low, 0.0), (*high, 0.0)
    doc.header["$LIMMIN"], doc.header["$LIMMAX"] = low, high
    x, y, tall = shown(high, low)
    doc.set_modelspace_vport(tall, (x, y))


def shown(high: tuple[float, float], low: tuple[float, float] = (0.0, 0.0)) -> tuple[float, float, float]:
    """The middle and the height of what a program shows that opens a drawing of these corners."""
    return (low[0] + high[0]) / 2, (low[1] + high[1]) / 2, (high[1] - low[1]) * 1.05


def saved(doc: Any) -> bytes:
    """A document's bytes, the same each time."""
    # The order of the classes would follow the hash seed: registered sorted, it does not.
    required = classes.REQUIRED_CLASSES.get(doc.dxfversion, classes.REQ_R2004)
    for name in [*required, *sorted(doc.entitydb.dxf_types_in_use())]:
        doc.classes.add_class(name)
    out = StringIO()
    doc.write(out)
    return bytes(doc.encode(out.getvalue()))

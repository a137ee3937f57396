"""The library that writes DXF, as the other writers of DXF use it: nobody's settings, and no font of the machine."""

from __future__ import annotations

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

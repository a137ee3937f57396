"""All walls of a car as elevations: cold as DXF, to set beside FreeCAD; or warm as SVG, again and again.

    python tests/bench/elevations.py SPEC FOLDER dxf|svg TIMES

Prints the seconds of process time of each time, from the spec's text to the bytes.
"""

from __future__ import annotations

import gc
import os
import sys
from pathlib import Path
from time import process_time


def main() -> None:
    from cabdraw.draw.elevation import elevation
    from cabdraw.looked import look

    # As the command does for each of its runs.
    gc.set_threshold(50_000, 20, 20)
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    spec, folder, kind = Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3]
    if kind == "dxf":
        from cabdraw.write.dxf import drawing_bytes
    else:
        from cabdraw.write.svg import svg_bytes
    for _ in range(int(sys.argv[4])):
        begun = process_time()
        looked = look(spec)
        for number, wall in enumerate(looked.cab.walls, 3):
            sheet = elevation(looked.cab, wall, looked.findings, str(number))
            system = looked.cab.printing.system
            written = drawing_bytes(sheet, system) if kind == "dxf" else svg_bytes(sheet)
            (folder / f"{wall}.{kind}").write_bytes(written)
        print(process_time() - begun)


if __name__ == "__main__":
    main()

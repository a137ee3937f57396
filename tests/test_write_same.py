"""The same sheet gives the same bytes, in whatever surroundings."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

PROGRAM = """
import hashlib, json, sys
from sample_sheet import every_shape
from cabdraw.write.dxf import drawing_bytes, set_bytes
from cabdraw.write.pdf import pdf_bytes
from cabdraw.write.svg import svg_bytes
sheet, other = every_shape(0.1), every_shape(1 / 12, "A-102")
made = {
    "svg": svg_bytes(sheet), "pdf": pdf_bytes([sheet, other]), "again": pdf_bytes([sheet, other]),
    "dxf": drawing_bytes(sheet, "inch"), "set": set_bytes([sheet, other], "mm"),
}
print(json.dumps({name: hashlib.sha256(data).hexdigest() for name, data in made.items()}))
"""


def _digests(folder: Path, **surroundings: str) -> dict[str, str]:
    env = {**os.environ, "PYTHONPATH": str(Path(__file__).parent), **surroundings}
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM], cwd=folder, env=env, capture_output=True, check=True, timeout=90
    )
    found: dict[str, str] = json.loads(done.stdout)
    return found


def test_bytes_do_not_follow_hash_seed_time_zone_or_language(tmp_path: Path) -> None:
    first = _digests(tmp_path, PYTHONHASHSEED="1", TZ="UTC", LANG="C", LC_ALL="C")
    second = _digests(tmp_path, PYTHONHASHSEED="77", TZ="Asia/Kolkata", LANG="de_DE.UTF-8", LC_ALL="C.UTF-8")
    assert first == second
    assert first["pdf"] == first["again"]

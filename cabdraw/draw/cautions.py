"""The usual cautions, always in the same words, wherever they matter."""

from __future__ import annotations

#: For everyone who works in the car.
CAR = (
    "Before any work the licensed elevator mechanic locks and tags the car out. Work in the car only: car top, pit and"
    " hoistway are for the mechanic.",
    "Licences and permits differ from place to place: local code and the authority that has jurisdiction decide.",
    "Never drill a hole until that very hole is verified clear behind the shell. Depth stop on; stop at breakthrough.",
    "Never leave an opening to the hoistway unguarded. Tether tools; let no offcut fall.",
    "Operating panel and lamps may be live though the car does not move.",
    "Edges are sharp: wear cut-resistant gloves. Two people for a panel over about 40 lb (18 kg) and for long strips.",
    "Do not cover vents, emergency light, emergency exit, certificate or telephone.",
    "Record the change of weight. Beyond the allowance the mechanic must check brake, safety, buffers and balance.",
    "Adhesives: ventilate, keep sparks away; no hot work in the car.",
)

#: The names by which a step of the work calls for them, in the same order.
NAMES = ("lock-out", "local", "drill", "opening", "live", "edges", "vents", "weight", "adhesive")


def named(name: str) -> str:
    """A caution by its name."""
    return CAR[NAMES.index(name)]

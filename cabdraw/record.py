"""`resolved.json`: the resolved car written out, every length in mm to 6 places."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from cabdraw.cab import Cab, Part, Rail, Shape, Wall
from cabdraw.errors import Finding
from cabdraw.finish import Finish
from cabdraw.install.blocks import Block
from cabdraw.rational import Fraction
from cabdraw.shop.mass import Masses, masses, part_masses
from cabdraw.shop.parts import shop_parts
from cabdraw.units import Length, Mass

PLACES = 6


def millimetres(length: Length | None) -> float | None:
    """A length in mm rounded half up to 6 places, None for none."""
    if length is None:
        return None
    scaled = (length.mm * 10**PLACES + Fraction(1, 2)).__floor__()
    return float(Fraction(scaled, 10**PLACES))


def record(cab: Cab, findings: Sequence[Finding], blocks: Sequence[Block]) -> dict[str, Any]:
    """The content of `resolved.json`; what a thing lacks is None."""
    pieces = shop_parts(cab)
    weights = part_masses(pieces)
    return {
        "cabdraw": 1,
        "units": cab.printing.system,
        "increment": millimetres(cab.increment),
        "job": {
            key: value
            for key in ("project", "car", "number", "client", "address", "drawn_by", "checked_by", "date", "revision")
            if (value := getattr(cab.job, key)) is not None
        },
        "walls": {name: _wall(wall) for name, wall in cab.walls.items()},
        "clear": {key: millimetres(getattr(cab.clear, key)) for key in ("width", "depth", "height")},
        "parts": [
            {**_part(part), "mass": kilograms(weights.get(part.mark)), "finish": _code(cab.finish(part))}
            for part in cab.parts
        ],
        "mass": _mass(masses(cab, pieces)),
        "finishes": [_finish(finish, where) for finish, where in cab.every_finish],
        "blocks": [
            {"size": millimetres(block.size), "count": block.count, "used": list(block.used)} for block in blocks
        ],
        "findings": [
            {
                "code": finding.code,
                "severity": finding.severity,
                "message": finding.message,
                "where": finding.where,
                "hint": finding.hint,
                "stops": finding.stops,
                "wall": finding.wall,
                "marks": list(finding.marks),
            }
            for finding in findings
        ],
    }


def kilograms(mass: Mass | None) -> float | None:
    """A mass in kg rounded half up to 6 places, None for one that is not known."""
    return millimetres(Length(mass.kg)) if mass is not None else None


def _mass(found: Masses) -> dict[str, Any]:
    heaviest = found.heaviest
    return {
        "walls": {wall: kilograms(mass) for wall, mass in found.walls},
        "added": kilograms(found.added),
        "complete": found.complete,
        "removed": kilograms(found.removed),
        "net": kilograms(found.net),
        "allowance": kilograms(found.allowance),
        "heaviest": {"mark": heaviest.mark, "mass": kilograms(heaviest.mass), "people": found.people}
        if heaviest is not None
        else None,
    }


def _code(finish: Finish | None) -> str | None:
    return finish.code if finish is not None else None


def _finish(finish: Finish, where: Sequence[str]) -> dict[str, Any]:
    return {
        "code": finish.code,
        "name": finish.name,
        "material": finish.material,
        "colour": "#{:02x}{:02x}{:02x}".format(*finish.colour),
        "texture": finish.texture,
        "fire": finish.fire,
        "where": list(where),
    }


def _wall(wall: Wall) -> dict[str, Any]:
    return {
        "width": millimetres(wall.width),
        "height": millimetres(wall.height),
        "projection": millimetres(wall.projection),
        "margins": [millimetres(margin) for margin in wall.margins],
        "run": millimetres(wall.run),
        "bands": [
            {"kind": band.kind, "y": millimetres(band.y), "height": millimetres(band.height)} for band in wall.bands
        ],
        "panels": [
            {
                "mark": panel.mark,
                "tier": panel.tier,
                "order": panel.order,
                "x": millimetres(panel.visible.x),
                "y": millimetres(panel.visible.y),
                "width": millimetres(panel.width),
                "height": millimetres(panel.height),
            }
            for panel in wall.panels
            if panel.visible is not None
        ],
        "rail": _rail(wall.rail) if wall.rail is not None else None,
        "fixtures": [
            {
                "what": fixture.what,
                "x": millimetres(fixture.rect.x),
                "y": millimetres(fixture.rect.y),
                "width": millimetres(fixture.rect.width),
                "height": millimetres(fixture.rect.height),
            }
            for fixture in wall.fixtures
        ],
    }


def _rail(rail: Rail) -> dict[str, Any]:
    bolt = rail.bolt
    return {
        "length": millimetres(rail.length),
        "x": millimetres(rail.x),
        "y": millimetres(rail.y),
        "spacing": millimetres(rail.spacing),
        "overhang": millimetres(rail.overhang),
        "bays": [millimetres(bay) for bay in rail.bays],
        "placed": rail.placing.by,
        "standoffs": [{"x": millimetres(s.x), "y": millimetres(s.y)} for s in rail.standoffs],
        "bolt": {"stack": millimetres(bolt.stack), "length": millimetres(bolt.length)} if bolt is not None else None,
    }


def _part(part: Part) -> dict[str, Any]:
    return {
        "mark": part.mark,
        "kind": part.kind,
        "wall": part.wall,
        "tier": part.tier,
        "order": part.order,
        "width": millimetres(part.width),
        "height": millimetres(part.height),
        "thickness": millimetres(part.thickness),
        "core": [millimetres(side) for side in part.core] if part.core is not None else None,
        "cuts": [
            {
                "fixture": cut.fixture,
                "kind": cut.kind,
                "x": millimetres(cut.opening.x),
                "y": millimetres(cut.opening.y),
                "width": millimetres(cut.opening.width),
                "height": millimetres(cut.opening.height),
            }
            for cut in part.cuts
        ],
        "shapes": [_shape(shape) for shape in part.shapes],
    }


def _shape(shape: Shape) -> dict[str, Any]:
    def ring(points: Any) -> list[list[float | None]]:
        return [[millimetres(point.x), millimetres(point.y)] for point in points]

    return {"outline": ring(shape.outline), "holes": [ring(hole) for hole in shape.holes]}

"""From sizes to parts: every piece of one wall, with its place, its size and what of it shows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cabdraw.cab import BOARD_BANDS, TIERS, Band, Joint, Part, PartKind, Rail, Rect, WallName
from cabdraw.resolve.row import Row
from cabdraw.units import ZERO, Length


class WallParts:
    """Makes the parts of one wall, from the floor up, then from the left."""

    def __init__(
        self,
        wall: WallName,
        joint: Joint,
        bands: Sequence[Band],
        row: Row,
        reveal: Length,
        thickness: Length,
        edge: Length,
        grain: str,
    ) -> None:
        self.wall = wall
        self.joint = joint
        self.bands = bands
        self.columns = row.columns
        self.reveal = reveal
        self.thickness = thickness
        self.edge = edge
        self.grain = grain
        self.left = row.columns[0][0]
        self.run = row.run

    def make(self, rail: Rail | None) -> tuple[Part, ...]:
        """Every part of the wall."""
        parts: list[Part] = []
        counts = {kind: sum(band.kind == kind for band in self.bands) for kind in BOARD_BANDS}
        seen: dict[str, int] = {}
        for index, band in enumerate(self.bands):
            below = self.bands[index - 1] if index else None
            above = self.bands[index + 1] if index + 1 < len(self.bands) else None
            if band.kind in TIERS:
                parts += self._tier(band, below, above)
            elif band.kind == "reveal":
                parts += self._horizontals(band, above, seen)
            elif band.kind in BOARD_BANDS:
                seen[band.kind] = seen.get(band.kind, 0) + 1
                number = f"-{seen[band.kind]}" if counts[band.kind] > 1 else ""
                parts.append(self._board(band, f"{band.kind}-{self.wall}{number}"))
            elif band.kind == "base":
                overall = band.height + self.joint.base_tab
                parts.append(self._metal("base", band, band.y, overall))
            elif band.kind == "frieze":
                under = below.height if below is not None and below.kind == "reveal" else ZERO
                overall = band.height + self.joint.engagement + under
                parts.append(self._metal("frieze", band, band.top - overall, overall))
        if rail is not None:
            parts.append(self._rail(rail))
        return tuple(parts)

    def _tier(self, band: Band, below: Band | None, above: Band | None) -> Iterator[Part]:
        for order, (x, width) in enumerate(self.columns, 1):
            rect = Rect(x, band.y, width, band.height)
            yield self._boarded("panel", f"{band.kind}-{self.wall}-{order}", rect, band.kind, order)
        joint = self.joint
        deep = joint.engagement + joint.clearance
        under = below.kind if below is not None else ""
        over = above.kind if above is not None else ""
        bottom = {"base": joint.base_tab + joint.spline_lift, "reveal": deep}.get(under, joint.clearance)
        top = deep if over in ("reveal", "frieze") else joint.clearance
        bottom = bottom.called(f"how far above {_below(under)} a spline of the {band.kind} tier begins")
        top = top.called(f"how far below {_above(over)} a spline of the {band.kind} tier ends")
        for order, x in enumerate(self._joints(), 1):
            body = Rect(
                x - joint.engagement,
                band.y + bottom,
                self.reveal + 2 * joint.engagement,
                band.height - bottom - top,
            )
            mark = f"spline-{band.kind}-{self.wall}-{order}"
            yield self._strip("vertical-spline", mark, body, None, joint.spline_thickness, band.kind, order)
        if not self.reveal:
            return
        bottom = joint.engagement if under == "reveal" else ZERO
        top = joint.engagement if over in ("reveal", "frieze") else ZERO
        bottom = bottom.called(f"how far above {_below(under)} a strip of the {band.kind} tier begins")
        top = top.called(f"how far below {_above(over)} a strip of the {band.kind} tier ends")
        for order, x in enumerate(self._joints(), 1):
            body = Rect(x, band.y + bottom, self.reveal, band.height - bottom - top)
            shown = Rect(x, band.y, self.reveal, band.height)
            mark = f"reveal-{band.kind}-{self.wall}-{order}"
            yield self._strip("vertical-reveal", mark, body, shown, joint.strip_thickness, band.kind, order)

    def _joints(self) -> Iterator[Length]:
        """The left edge of each vertical joint's visible gap."""
        for x, width in self.columns[:-1]:
            yield x + width

    def _horizontals(self, band: Band, above: Band | None, seen: dict[str, int]) -> Iterator[Part]:
        joint = self.joint
        if above is None or above.kind != "frieze":
            seen["spline"] = seen.get("spline", 0) + 1
            body = Rect(self.left, band.y - joint.engagement, self.run, band.height + 2 * joint.engagement)
            mark = f"spline-{self.wall}-{seen['spline']}"
            yield self._strip("horizontal-spline", mark, body, None, joint.spline_thickness, None, seen["spline"])
        if band.height:
            seen["reveal"] = seen.get("reveal", 0) + 1
            body = Rect(self.left, band.y, self.run, band.height)
            mark = f"reveal-{self.wall}-{seen['reveal']}"
            yield self._strip("horizontal-reveal", mark, body, body, joint.strip_thickness, None, seen["reveal"])

    def _boarded(self, kind: PartKind, mark: str, rect: Rect, tier: str | None, order: int | None) -> Part:
        core = (rect.width - 2 * self.edge, rect.height - 2 * self.edge)
        return Part(
            mark, kind, self.wall, tier, order, rect.width, rect.height, self.thickness, rect, rect, core, self.grain
        )  # fmt: skip

    def _board(self, band: Band, mark: str) -> Part:
        kind: PartKind = band.kind  # type: ignore[assignment]
        return self._boarded(kind, mark, Rect(self.left, band.y, self.run, band.height), None, None)

    def _metal(self, kind: PartKind, band: Band, y: Length, overall: Length) -> Part:
        body = Rect(self.left, y, self.run, overall)
        shown = Rect(self.left, band.y, self.run, band.height)
        mark = f"{kind}-{self.wall}"
        return self._strip(kind, mark, body, shown, self.joint.tab_thickness, None, None)

    def _strip(
        self,
        kind: PartKind,
        mark: str,
        body: Rect,
        visible: Rect | None,
        thickness: Length,
        tier: str | None,
        order: int | None,
    ) -> Part:
        return Part(mark, kind, self.wall, tier, order, body.width, body.height, thickness, body, visible)

    def _rail(self, rail: Rail) -> Part:
        body = Rect(rail.x, rail.y - rail.height / 2, rail.length, rail.height)
        mark = f"rail-{self.wall}"
        return self._strip("handrail", mark, body, body, rail.thickness, None, None)


def _below(kind: str) -> str:
    """The lower edge of a tier by what is there, in words."""
    return f"the {kind} under it" if kind else "the floor"


def _above(kind: str) -> str:
    """The upper edge of a tier by what is there, in words."""
    return f"the {kind} over it" if kind else "the ceiling"

"""Fixings, level line, blocks' tolerance and label stock of a spec as values, with what was left out filled in."""

from __future__ import annotations

from cabdraw.cab import Tolerances
from cabdraw.install.practice import Fixings, LabelStock, Sealant, Site
from cabdraw.rational import Fraction
from cabdraw.spec.schema import Spec
from cabdraw.spec.site import PAPERS, paper_of
from cabdraw.units import ZERO, Length, inch, mm

#: Stocks that are on sale everywhere: 10 labels of 4 by 2 in on Letter, 8 of 99.1 by 67.7 mm on A4 (common sizes).
_USUAL = {
    "Letter": LabelStock(
        "Letter", 2, 5, inch(4), inch(2), inch("5/32"), inch("1/2"), inch("3/16"), ZERO
    ),
    "A4": LabelStock("A4", 2, 4, mm("99.1"), mm("67.7"), mm("4.65"), mm("13.1"), mm("2.5"), ZERO),
}  # fmt: skip


def resolve_fixings(spec: Spec) -> Fixings | None:
    """The fixings; None where the spec names none."""
    given = spec.fixings
    if given is None:
        return None
    sealant = given.sealant
    return Fixings(
        given.base_screws,
        given.spline_screws,
        given.pad_studs,
        given.pad_stud_end,
        given.spares,
        given.screw_reach,
        given.packers,
        given.shims,
        given.tape,
        Sealant(sealant.bead, sealant.cartridge, sealant.along) if sealant is not None else None,
    )


def resolve_site(spec: Spec) -> Site:
    """What the site's papers count from."""
    line = spec.install.level_line
    block = spec.tolerances.block if spec.tolerances is not None else None
    return Site(line or (inch(48) if spec.units == "inch" else mm(1200)), block, _labels(spec))


def resolve_tolerances(spec: Spec) -> Tolerances | None:
    """The tolerances that chains are held against; None where the spec names none of them.

    What is left out of them: 1/32 in (0.5 mm) for cutting, the survey's own uncertainty, 1/64 in (0.3 mm) for
    setting, 1/8 in (3 mm) for the last gap (common practice).
    """
    given = spec.tolerances
    if given is None or not any((given.cutting, given.survey, given.setting, given.gap)):
        return None
    imperial = spec.units == "inch"
    return Tolerances(
        cutting=given.cutting if given.cutting is not None else inch("1/32") if imperial else mm("0.5"),
        survey=given.survey if given.survey is not None else spec.survey.uncertainty,
        setting=given.setting if given.setting is not None else inch("1/64") if imperial else mm("0.3"),
        gap=given.gap if given.gap is not None else inch("1/8") if imperial else mm(3),
    )


def _labels(spec: Spec) -> LabelStock:
    paper, given = paper_of(spec), spec.labels
    if given is None:
        return _USUAL[paper]
    wide, high = PAPERS[paper]
    return LabelStock(
        paper,
        given.columns,
        given.rows,
        given.width,
        given.height,
        _middle(given.left, wide, given.columns, given.width, given.gap_x),
        _middle(given.top, high, given.rows, given.height, given.gap_y),
        given.gap_x,
        given.gap_y,
    )


def _middle(given: Length | None, whole: Length, count: int, side: Length, gap: Length) -> Length:
    if given is not None:
        return given
    return (whole - side * count - gap * (count - 1)) * Fraction(1, 2)

"""What must hold within one stack of bands, as far as no size need be worked out for it."""

from __future__ import annotations

from collections.abc import Iterator

from cabdraw.errors import Path, Problem
from cabdraw.spec.fields import outside
from cabdraw.spec.known import Known
from cabdraw.spec.layout import GROOVED, TIERS
from cabdraw.spec.schema import Spec, StackItem
from cabdraw.units import ZERO, quoted

#: Bands that a stack has at most once.
ONCE = (*TIERS, "backer", "base", "frieze")
#: What a band's height may be, in mm, by kind; generous, to catch inches taken for mm or the reverse.
_HEIGHTS = {
    "gap": ("a gap", "0", "600"),
    "base": ("a base's height", "10", "1000"),
    "reveal": ("a reveal", "0", "150"),
    "backer": ("a backer's height", "10", "1500"),
    "bumper": ("a bumper's height", "5", "1500"),
    "crown": ("a crown's height", "5", "1500"),
    "frieze": ("a frieze's height", "5", "2000"),
    **{tier: (f"the {tier} tier's height", "10", "10000") for tier in TIERS},
}


def stack_problems(stack: tuple[StackItem, ...], path: Path, spec: Spec, known: Known) -> Iterator[Problem]:
    """Everything wrong with a stack that stands at `path`."""
    sure = [known.keys((*path, index)) for index in range(len(stack))]
    for index, item in enumerate(stack):
        if sure[index]:
            yield from _band(item, (*path, index, item.kind), spec, known)
    if known.there(path):
        yield from _repeated(stack, path, sure)
        yield from _ends(stack, path, sure)
        yield from _grooved(stack, path, sure)


def _band(item: StackItem, path: Path, spec: Spec, known: Known) -> Iterator[Problem]:
    kind, size = item.kind, item.size
    height: Path = (*path, "height")
    placed = [name for name in ("centre", "rail_top") if getattr(size, name) is not None]
    if size.height is not None and known.there(height) and known.there(("units",)):
        if size.height == ZERO and kind not in ("gap", "reveal"):
            yield Problem(
                height, f"{quoted(size.height.typed)} is zero, and only a gap or a reveal can be", "give its size"
            )
        elif said := outside(size.height, *_HEIGHTS[kind]):
            yield Problem(height, *said)
    if size.fills and known.keys(path) and known.there(height):
        if kind == "reveal":
            yield Problem(height, "a reveal cannot be fill", "write its height, 0 for a butt joint")
        elif placed:
            what = f"a band with a {placed[0]} cannot be fill"
            yield Problem(height, what, "give its height; it stands where it says, and the fills share what is left")
    if not size.fills and "weight" in size.given_keys and known.there(height):
        yield Problem((*path, "weight"), "does nothing, as the height is given", "take it out, or write height: fill")
    if len(placed) == 2:
        yield Problem(
            (*path, "rail_top"), "centre and rail_top are both given", "keep one: each says where the band is"
        )
    if size.rail_top is None or not known.there((*path, "rail_top")):
        return
    if kind != "backer":
        what = f"only the backer can have a rail_top, and this is a {kind}"
        yield Problem((*path, "rail_top"), what, "write centre: and the height of its middle above the floor")
    elif spec.handrail is None and known.keys(()):
        what = "there is no handrail, and the backer is placed by the height of its rail"
        yield Problem((*path, "rail_top"), what, "add the handrail, or write centre: in place of it")


def _repeated(stack: tuple[StackItem, ...], path: Path, sure: list[bool]) -> Iterator[Problem]:
    first: dict[str, int] = {}
    for index, item in enumerate(stack):
        if item.kind not in ONCE or not sure[index]:
            continue
        if item.kind in first:
            what = f'"{item.kind}" stands in this stack twice'
            hint = "a backer without a rail is a bumper" if item.kind == "backer" else "take one of them out"
            if item.kind in TIERS:
                hint = f"the tiers are {', '.join(TIERS)}, each at most once"
            yield Problem((*path, index, item.kind), what, hint)
        first.setdefault(item.kind, index)


def _ends(stack: tuple[StackItem, ...], path: Path, sure: list[bool]) -> Iterator[Problem]:
    """The base stands on the floor's gap or on the floor, the frieze against the ceiling's gap or the ceiling."""
    for kind, side, others in (("base", "below", range(len(stack))), ("frieze", "above", range(len(stack))[::-1])):
        index = next((i for i in others if stack[i].kind == kind and sure[i]), None)
        if index is None:
            continue
        beyond = stack[:index] if side == "below" else stack[index + 1 :]
        odd = [item.kind for item in beyond if item.kind not in ("gap", kind)]
        certain = all(sure[:index]) if side == "below" else all(sure[index + 1 :])
        if odd and certain:
            end = "lowest" if side == "below" else "highest"
            what = f"the {kind} is the {end} band but for gaps, and {_article(odd[0])} stands {side} it here"
            yield Problem((*path, index, kind), what, "a stack is written from the floor to the ceiling")


def _article(kind: str) -> str:
    return f"the {kind} tier" if kind in TIERS else f"a {kind}"


def _grooved(stack: tuple[StackItem, ...], path: Path, sure: list[bool]) -> Iterator[Problem]:
    for index in range(1, len(stack)):
        under, over = stack[index - 1].kind, stack[index].kind
        if sure[index - 1] and sure[index] and under in GROOVED and over in GROOVED:
            what = f"{_article(over)} stands on {_article(under)} with no reveal between, and both are grooved there"
            yield Problem((*path, index, over), what, "put - reveal: 0 between them for a butt joint")

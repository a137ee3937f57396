"""What must agree between the sections of a spec, as far as no size need be worked out for it."""

from __future__ import annotations

from collections.abc import Iterator

from cabdraw.errors import Path, Problem, path_text
from cabdraw.spec.bands import stack_problems
from cabdraw.spec.finishes import finish_problems
from cabdraw.spec.known import Known
from cabdraw.spec.schema import Spec, StackItem, WallName
from cabdraw.spec.site import site_problems
from cabdraw.units import quoted


def problems(spec: Spec, known: Known) -> Iterator[Problem]:
    """Everything that does not agree, without what rests on a value that is wrong in itself."""
    yield from _walls(spec, known)
    for path, stack in _stacks(spec):
        yield from stack_problems(stack, path, spec, known)
    if spec.handrail is not None:
        yield from _rail_walls(spec, known)
        yield from _rail_height(spec, known)
        yield from _bolt(spec, known)
        yield from _placing(spec, known)
    yield from _ends(spec, known)
    yield from finish_problems(spec, known)
    yield from _rules(spec, known)
    yield from site_problems(spec, known)


def _stacks(spec: Spec) -> Iterator[tuple[Path, tuple[StackItem, ...]]]:
    yield ("layout", "stack"), spec.layout.stack
    for name, wall in spec.layout.walls.named():
        if wall.stack is not None:
            yield ("layout", "walls", name, "stack"), wall.stack


def _own_stack(spec: Spec, name: WallName) -> tuple[Path, tuple[StackItem, ...]]:
    wall = dict(spec.layout.walls.named())[name]
    if wall.stack is not None:
        return ("layout", "walls", name, "stack"), wall.stack
    return ("layout", "stack"), spec.layout.stack


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else ", ".join(names[:-1]) + " and " + names[-1]


def _walls(spec: Spec, known: Known) -> Iterator[Problem]:
    surveyed, laid_out = ("survey", "walls"), ("layout", "walls")
    measured, wanted = dict(spec.survey.walls.named()), dict(spec.layout.walls.named())
    for path, walls in ((surveyed, measured), (laid_out, wanted)):
        if not walls and known.keys(path):
            yield Problem(path, "names no wall", "name at least one of back, left, right")
    if not (known.keys(surveyed) and known.keys(laid_out)):
        return
    for name in wanted:
        if name not in measured:
            what = f'"{name}" is to get panels, but is not in survey.walls'
            yield Problem((*laid_out, name), what, "measure it, or take it out here")
    for name in measured:
        if name not in wanted:
            what = f'"{name}" is measured, but is not in layout.walls'
            yield Problem((*surveyed, name), what, "say how it is divided, or take it out here")


def _rail_walls(spec: Spec, known: Known) -> Iterator[Problem]:
    assert spec.handrail is not None
    path: Path = ("handrail", "walls")
    if not known.whole(path):
        return
    panelled = dict(spec.layout.walls.named())
    for index, name in enumerate(spec.handrail.walls):
        if name in spec.handrail.walls[:index]:
            yield Problem((*path, index), f'"{name}" is named twice', "take one of them out")
        elif name not in panelled and known.keys(("layout", "walls")):
            hint = "a rail needs panels behind it: add the wall to layout.walls and survey.walls, or take it out here"
            yield Problem((*path, index), f'"{name}" has no panels', hint)


def _rail_height(spec: Spec, known: Known) -> Iterator[Problem]:
    """A rail stands at the backer's height; without one, where handrail.centre or handrail.rail_top says."""
    rail = spec.handrail
    assert rail is not None
    top: Path = ("handrail",)
    given = [name for name in ("centre", "rail_top") if getattr(rail, name) is not None]
    sure = known.keys(top) and known.there((*top, "centre")) and known.there((*top, "rail_top"))
    if len(given) == 2 and sure:
        yield Problem((*top, "rail_top"), "centre and rail_top are both given", "keep one: each says where the rail is")
    if not known.whole((*top, "walls")) or not known.keys(("layout", "walls")):
        return
    panelled = dict(spec.layout.walls.named())
    without: list[str] = []
    for index, name in enumerate(rail.walls):
        if name not in panelled or name in rail.walls[:index]:
            continue
        path, stack = _own_stack(spec, name)
        items = [known.keys((*path, number)) for number in range(len(stack))]
        if not (known.there(path) and known.keys(("layout", "walls", name)) and all(items)):
            return
        kinds = {item.kind for item in stack}
        if "backer" in kinds:
            continue
        if "full" in kinds:
            without.append(name)
        else:
            what = f'"{name}" gets a rail, but {path_text(path)} has neither a backer nor a full tier'
            yield Problem((*top, "walls", index), what, "add a backer, or take the wall out here")
            sure = False
    if not sure:
        return
    if without and not given:
        what = f"needs centre or rail_top: the stack of {_listed(without)} has no backer that says how high the rail is"
        yield Problem(top, what, "write e.g. rail_top: 900mm")
    if given and not without:
        what = "does nothing, as every wall with a rail has a backer"
        hint = f"take it out; the backer's own {given[0]} says how high the rail is"
        yield Problem((*top, given[0]), what, hint)


def _bolt(spec: Spec, known: Known) -> Iterator[Problem]:
    assert spec.handrail is not None
    bolt, path = spec.handrail.bolt, ("handrail", "bolt", "standoff_thread")
    if bolt is None or not (known.whole(path) and known.there(("units",))):
        return
    least, greatest = bolt.standoff_thread
    if least > greatest:
        what = f"the least engagement, {quoted(least.typed)}, is more than the greatest, {quoted(greatest.typed)}"
        yield Problem(path, what, "write the least first")


def _placing(spec: Spec, known: Known) -> Iterator[Problem]:
    """The limits within which standoffs may be moved hold the nominal overhang; old holes to go in are there."""
    rail, path = spec.handrail, ("handrail",)
    assert rail is not None
    for low, high in (("min_overhang", "overhang"), ("overhang", "max_overhang"), ("min_spacing", "max_spacing")):
        less, more = getattr(rail, low), getattr(rail, high)
        stated = {low, high} <= rail.given_keys
        sure = known.there(("units",)) and known.there((*path, low)) and known.there((*path, high))
        if stated and sure and less > more:
            key = high if high == "max_overhang" else low
            what = f"{low}, {quoted(less.typed)}, is more than {high}, {quoted(more.typed)}"
            yield Problem((*path, key), what, "the one is the least, the other the greatest")
    walls = dict(spec.survey.walls.named())
    rails = [walls[name] for name in rail.walls if name in walls]
    if rail.standoffs == "existing" and not any(wall.holes for wall in rails) and known.whole(("survey", "walls")):
        what = "standoffs are to go in existing holes, and no wall with a rail has any in survey.walls"
        yield Problem((*path, "standoffs"), what, "give them as holes: [{x, y, diameter}], or write standoffs: rule")


def _ends(spec: Spec, known: Known) -> Iterator[Problem]:
    """What stands at the ends of rows: trims. A rear gap may stand beside a back wall, as a shop's usual one does."""
    layout, front = spec.layout, spec.survey.front
    back = layout.walls.back is not None
    sides = layout.walls.left is not None or layout.walls.right is not None
    if known.keys(("layout", "walls")):
        path: Path = ("layout", "corner_trim")
        if layout.corner_trim is not None and not (back and sides):
            what = "there is no inside corner, which takes a back wall and a side wall in layout.walls"
            yield Problem(path, what, "take it out")
    path = ("layout", "front_trim")
    returns = front is not None and (front.left is not None or front.right is not None)
    if layout.front_trim is not None and not returns and known.keys(("survey",)) and known.keys(("survey", "front")):
        what = "there is no front return to trim in survey.front"
        yield Problem(path, what, "give survey.front its left or right return, or take the trim out")


def _rules(spec: Spec, known: Known) -> Iterator[Problem]:
    for index, name in enumerate(spec.rules):
        if name in spec.rules[:index] and known.whole(("rules",)):
            yield Problem(("rules", index), f'"{name}" is named twice', "take one of them out")

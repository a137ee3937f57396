"""What is worked out of a car is worked out once: checks, lists and drawings all ask for the same."""

from __future__ import annotations

from collections.abc import Callable
from functools import update_wrapper
from typing import Concatenate, ParamSpec, TypeVar

_Of = TypeVar("_Of")
_More = ParamSpec("_More")
_Made = TypeVar("_Made")
#: Of how many asked for last the answer is kept: a car is kept no longer than that, however many are drawn.
_KEPT = 6


def once(work: Callable[Concatenate[_Of, _More], _Made]) -> Callable[Concatenate[_Of, _More], _Made]:
    """Give the earlier answer where a function is asked about the very same value again, with equal other arguments.

    For functions that give frozen values of frozen ones. A car is told from another by which object it is:
    comparing all its sizes would take as long as working them out.
    """
    kept: list[tuple[_Of, object, _Made]] = []

    def answer(of: _Of, /, *more: _More.args, **named: _More.kwargs) -> _Made:
        asked = (more, named)
        for known, how, made in kept:
            if known is of and how == asked:
                return made
        made = work(of, *more, **named)
        kept[:] = [(of, asked, made), *kept[: _KEPT - 1]]
        return made

    update_wrapper(answer, work)
    return answer

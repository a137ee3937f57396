"""What a machine can be short of, which is no mistake in cabdraw and none in a spec."""

from __future__ import annotations

import errno

#: What the loader of shared libraries says, whose errors have no number.
_LOADER = {
    "failed to map segment": "memory",
    "cannot allocate memory": "memory",
    "too many open files": "open files",
    "cannot map zero-fill pages": "memory",
}
_NUMBERS = {errno.ENOMEM: "memory", errno.EMFILE: "open files", errno.ENFILE: "open files", errno.EAGAIN: "processes"}


def short_of(problem: BaseException) -> str:
    """What is to be said where a machine, or what it lets one program have, is too small; empty for other errors."""
    seen: set[int] = set()
    one: BaseException | None = problem
    while one is not None and id(one) not in seen:
        seen.add(id(one))
        if what := _what(one):
            return f"this machine has not enough {what} left for it; close other programs, then try again"
        one = one.__cause__ or one.__context__
    return ""


def _what(problem: BaseException) -> str:
    if isinstance(problem, MemoryError):
        return "memory"
    if isinstance(problem, OSError):
        return _NUMBERS.get(problem.errno or 0, "")
    if isinstance(problem, ImportError):
        said = str(problem).lower()
        return next((what for words, what in _LOADER.items() if words in said), "")
    if isinstance(problem, RuntimeError) and "can't start new thread" in str(problem):
        return "processes"
    return ""

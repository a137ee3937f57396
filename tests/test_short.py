"""What a machine is short of is said as that: no mistake in cabdraw, none in a spec, and no traceback."""

from __future__ import annotations

import errno
import json
import os
from collections.abc import Callable
from typing import Any

import pytest
from test_cli import Run, desk, run

from cabdraw.place import put_in_place
from cabdraw.short import short_of

__all__ = ["desk", "run"]


def of(cause: BaseException) -> RuntimeError:
    outer = RuntimeError("something else")
    outer.__cause__ = cause
    return outer


@pytest.mark.parametrize(
    ("problem", "what"),
    [
        (MemoryError(), "memory"),
        (OSError(errno.ENOMEM, "Cannot allocate memory"), "memory"),
        (OSError(errno.EMFILE, "Too many open files"), "open files"),
        (BlockingIOError(errno.EAGAIN, "Resource temporarily unavailable"), "processes"),
        (RuntimeError("can't start new thread"), "processes"),
        (ImportError("libopenblas.so: failed to map segment from shared object"), "memory"),
        (of(of(MemoryError())), "memory"),
    ],
)
def test_what_is_short_is_named(problem: BaseException, what: str) -> None:
    assert f"not enough {what} left" in short_of(problem)


def test_any_other_error_is_none_of_this() -> None:
    ring = of(ValueError())
    assert ring.__cause__ is not None
    ring.__cause__.__cause__ = ring
    for problem in (ring, OSError(errno.ENOENT, "none"), ImportError("no module"), RuntimeError("no thread")):
        assert short_of(problem) == ""


@pytest.mark.parametrize("problem", [MemoryError(), OSError(errno.EMFILE, os.strerror(errno.EMFILE))])
def test_a_command_says_it_and_goes_on(run: Run, monkeypatch: pytest.MonkeyPatch, problem: Exception) -> None:
    def short(*given: object) -> None:
        raise problem

    monkeypatch.setattr("cabdraw.looked.load", short)
    said = run("check", "larkspur-car-2.yaml")
    assert said.status == 1
    assert "larkspur-car-2.yaml: this machine has not enough" in said.err
    assert "mistake" not in said.err + said.out
    said = run("check", "larkspur-car-2.yaml", "--json")
    assert said.status == 1
    assert "not enough" in json.loads(said.out)["cars"][0]["errors"][0]["what"]


@pytest.mark.parametrize("problem", [MemoryError(), ZeroDivisionError()])
def test_it_is_said_what_stands_of_a_package(run: Run, monkeypatch: pytest.MonkeyPatch, problem: Exception) -> None:
    def short(*given: object) -> None:
        raise problem

    with monkeypatch.context() as patched:
        patched.setattr("cabdraw.place.put.survey", short)
        said = run("draw", "larkspur-car-2.yaml")
    assert "larkspur-car-2: nothing was written\n" in said.err
    with monkeypatch.context() as patched:
        patched.setattr("cabdraw.package.put_in_place", after(short))
        said = run("draw", "larkspur-car-2.yaml")
    assert "larkspur-car-2: the whole package is there\n" in said.err
    assert ("not enough memory" in said.err) == isinstance(problem, MemoryError)


def after(then: Callable[[], None]) -> Callable[..., None]:
    """Put a package in place, and then do that."""

    def put(*given: Any, **options: Any) -> None:
        put_in_place(*given, **options)
        then()

    return put

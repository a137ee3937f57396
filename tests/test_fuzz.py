"""Five hundred specs resolved and checked, and twenty drawn: the benchmarks do ten thousand and two hundred."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import fuzzing
import grammar
import pytest

from cabdraw.spec.schema import Spec

SEED = 8


def leaves(slot: grammar.Slot, path: str) -> Iterator[tuple[str, grammar.Slot]]:
    """Every single value of the format."""
    if slot.section is not None:
        for name, inner in grammar.slots(slot.section).items():
            yield from leaves(inner, f"{path}.{name}")
    elif slot.items:
        for inner in slot.items:
            yield from leaves(inner, f"{path}[]")
    else:
        yield path, slot


def test_the_grammar_has_a_text_that_fits_each_value_of_the_format() -> None:
    """A new kind of value needs one in `grammar.POOL`."""
    every = dict(leaves(grammar.Slot(section=Spec), "spec"))
    assert len(every) > 700
    assert [path for path, slot in every.items() if not slot.fitting()] == []


def test_the_smallest_spec_of_the_grammar_is_one(tmp_path: Path) -> None:
    for units in ("inch", "mm"):
        seen = fuzzing.alone(fuzzing.as_text(grammar.smallest(units)), tmp_path / "a.yaml", fuzzing.looked_at)
        assert seen.outcome == "accepted", seen


def test_specs_by_the_hundred_are_accepted_and_sound_or_refused_by_their_places(tmp_path: Path) -> None:
    tally = fuzzing.each(500, SEED, tmp_path, fuzzing.looked_at)
    assert not tally.wrong, fuzzing.told_of(tally)
    assert sum(tally.outcomes.values()) >= 500
    assert tally.outcomes["good: accepted"] > 100
    assert tally.errors > 500


def test_what_is_accepted_is_drawn_sound_and_legible(tmp_path: Path) -> None:
    kinds = {"good": fuzzing.KINDS["good"]}
    drawn = fuzzing.each(20, SEED, tmp_path, fuzzing.drawn, fuzzing.DRAWN_SECONDS, kinds)
    assert not drawn.wrong, fuzzing.told_of(drawn)
    assert drawn.outcomes["good: accepted"] > 8
    assert drawn.errors > 100  # sheets


@pytest.mark.parametrize(
    ("work", "outcome"),
    [
        (lambda path: fuzzing.Seen("accepted"), "accepted"),
        (lambda path: 1 / 0, "traceback"),
        (lambda path: [0 for _ in iter(int, 1)], "slow"),
        (lambda path: fuzzing.Seen("accepted", str(len(bytearray(400 << 20)))), "large"),
        (lambda path: fuzzing.os._exit(7), "died"),
    ],
    ids=lambda part: part if isinstance(part, str) else "",
)
def test_what_goes_wrong_is_seen(work: fuzzing.Work, outcome: str, tmp_path: Path) -> None:
    # A machine that is busy may take a second for 400 MB alone; only what never ends is to run into its limit.
    seen = fuzzing.alone(b"", tmp_path / "a.yaml", work, 1.0 if outcome == "slow" else 60.0)
    assert seen.outcome == outcome
    assert outcome in fuzzing.told_of(fuzzing.Tally(wrong=[(b"", seen)]))

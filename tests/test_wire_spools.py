"""How runs are cut from spools: against every way there is, and against what can be shown of any way."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.wiring.spools import EXACT_UP_TO, pack

SPOOL = 100.0
FEW = st.lists(st.integers(1, 100).map(float), min_size=1, max_size=7)
MANY = st.lists(st.integers(1, 100).map(float), min_size=1, max_size=40)


def parts_of(items: Sequence[int]) -> Iterator[list[list[int]]]:
    """Every way to part some items into sets."""
    if not items:
        yield []
        return
    first, *rest = items
    for parts in parts_of(rest):
        yield [[first], *parts]
        for at in range(len(parts)):
            yield [*parts[:at], [first, *parts[at]], *parts[at + 1 :]]


def fewest(lengths: Sequence[float]) -> int:
    ways = parts_of(range(len(lengths)))
    return min(len(way) for way in ways if all(sum(lengths[at] for at in part) <= SPOOL for part in way))


def first_fit_decreasing(lengths: Sequence[float]) -> int:
    left: list[float] = []
    for length in sorted(lengths, reverse=True):
        at = next((i for i, room in enumerate(left) if room >= length), None)
        if at is None:
            left.append(SPOOL - length)
        else:
            left[at] -= length
    return len(left)


@given(FEW)
def test_few_runs_take_the_fewest_spools_there_are(lengths: list[float]) -> None:
    found = pack(lengths, SPOOL)
    assert len(found.spools) == fewest(lengths)
    assert found.is_best


@given(MANY)
def test_every_run_is_cut_once_and_no_spool_runs_out(lengths: list[float]) -> None:
    found = pack(lengths, SPOOL)
    assert sorted(at for spool in found.spools for at in spool) == list(range(len(lengths)))
    assert all(sum(lengths[at] for at in spool) <= SPOOL + 1e-6 for spool in found.spools)
    assert math.ceil(sum(lengths) / SPOOL - 1e-9) <= found.at_least <= len(found.spools)
    assert len(found.spools) <= first_fit_decreasing(lengths)


def test_first_fit_alone_would_open_one_spool_too_many() -> None:
    """60 + 20 + 20 and 45 + 25 + 20; the longest first puts 25 with 60, and the last 20 is left over."""
    lengths = [60.0, 45.0, 25.0, 20.0, 20.0, 20.0]
    assert first_fit_decreasing(lengths) == 3
    assert len(pack(lengths, SPOOL).spools) == 2


def test_nothing_to_cut_opens_no_spool() -> None:
    assert pack([], SPOOL).spools == ()


def test_a_run_past_a_spool_is_refused() -> None:
    with pytest.raises(ValueError, match="longer than a spool"):
        pack([100.1], SPOOL)
    assert len(pack([100.0] * (EXACT_UP_TO + 1), SPOOL).spools) == EXACT_UP_TO + 1

"""How much wider a hole has to be cut for a type that takes it in: sizes by hand, in inches."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from earshed.model.cut_fit import LAP, laps, wider
from earshed.model.face_shape import FaceShape, rectangle_shape, round_shape
from earshed.model.units import INCH


def cut(size: float | tuple[float, float], turn: float = 0.3) -> FaceShape:
    """A round cut, or a rectangle that lies at some angle on its face."""
    if isinstance(size, tuple):
        long, short = size
        return rectangle_shape((0.0, 0.0), np.array([math.cos(turn), math.sin(turn)]), long * INCH, short * INCH)
    return round_shape((0.0, 0.0), size * INCH)


SIZES = [
    # the cut, the hole that is there, and the most that is missing across
    (9, 8, 1), ((9, 9), (8, 8), 1), ((12, 8), (10, 8), 2), ((12, 8), (12, 5), 3), ((12, 8), (11, 6), 2),
    ((12, 8), 8, 4), (10, (8, 6), 4), (10, (6, 6), 4),
    (8, 8, 0), ((12, 8), (12, 8), 0), (8.125, 8, 0), ((8.125, 8.125), (8, 8), 0), (8.25, 8, 0.25),
    ((8, 8), 8, 8 * (math.sqrt(2) - 1)),  # its sides are where they should be, its corners are not
]  # fmt: skip


@pytest.mark.parametrize(("new", "old", "more"), SIZES)
def test_how_much_wider(new, old, more) -> None:
    assert wider(cut(new), cut(old)) == pytest.approx(more * INCH, abs=2e-4)


@given(st.floats(0, math.pi), st.floats(3, 12), st.floats(3, 12), st.floats(0.2, 3), st.floats(0.2, 3))
def test_of_rectangles_the_side_that_misses_more_counts_however_they_lie(turn, long, short, more, other) -> None:
    new, old = cut((long + more, short + other), turn), cut((long, short), turn)
    assert wider(new, old) == pytest.approx(max(more, other) * INCH, abs=1e-9)


@pytest.mark.parametrize("size", [8, (12, 8)])
def test_a_bezel_laps_by_an_eighth_all_round(size) -> None:
    hole, by = cut(size), 2 * LAP / INCH
    grown = tuple(side + by for side in size) if isinstance(size, tuple) else size + by
    short = tuple(side + by / 2 for side in size) if isinstance(size, tuple) else size + by / 2
    assert laps(cut(grown), hole)
    assert not laps(cut(short), hole)

"""Rooms as a tape sees them: field notes of known outlines, true or with slips put in. Corners are numbered from 0."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations

import numpy as np
from hypothesis import strategies as st
from numpy.typing import NDArray

from earshed.model.plan import Plan
from earshed.model.survey import FieldNotes, Reading
from tests.rooms import metres, outlines

Corners = NDArray[np.float64]
Pairs = Sequence[tuple[int, int]]


def clockwise(plan: Plan) -> Corners:
    """Its corners in the order of a walk with the room on the right, as seen from above."""
    return plan.corners[::-1] if plan.polygon.exterior.is_ccw else plan.corners


def turns_of(corners: Corners) -> Corners:
    """Turn (N,) to the right at the end of each wall."""
    sides = np.roll(corners, -1, axis=0) - corners
    after = np.roll(sides, -1, axis=0)
    return np.arctan2(sides[:, 1] * after[:, 0] - sides[:, 0] * after[:, 1], np.sum(sides * after, axis=1))


def every_diagonal(count: int) -> list[tuple[int, int]]:
    return [(i, j) for i, j in combinations(range(count), 2) if (j - i) % count not in (1, count - 1)]


def between(corners: Corners, start: int, end: int) -> float:
    return float(np.hypot(*(corners[end] - corners[start])))


def taped(
    corners: Corners, diagonals: Pairs, *, turns: Corners | None = None, slips: Mapping[int, float] | None = None
) -> FieldNotes:
    """Field notes of an outline: true lengths but for the slips, which are added to readings by their position."""
    count = len(corners)
    ends = [*((i, (i + 1) % count) for i in range(count)), *diagonals]
    readings = [
        Reading(start, end, between(corners, start, end) + (slips or {}).get(position, 0.0))
        for position, (start, end) in enumerate(ends)
    ]
    return FieldNotes(tuple(readings), turns_of(corners) if turns is None else turns)


def distances(corners: Corners) -> Corners:
    """From every corner to every corner (N, N): an outline without its place and its direction."""
    return np.hypot(*(corners[:, None] - corners[None, :]).transpose(2, 0, 1))


@st.composite
def rooms_out_of_square(draw: st.DrawFn, *, by: float = 0.012) -> Corners:
    """Four corners of a room 8 to 25 ft each way, each up to `by` metres from square, both ways."""
    width, length = draw(metres(2.4, 7.6)), draw(metres(2.4, 7.6))
    square = np.array([[0.0, 0.0], [width, 0.0], [width, -length], [0.0, -length]])
    return square + np.array(draw(st.lists(metres(-by, by), min_size=8, max_size=8))).reshape(4, 2)


@st.composite
def walked(draw: st.DrawFn) -> tuple[Corners, Pairs]:
    """The corners of an outline and some of its diagonals."""
    corners = clockwise(draw(outlines()))
    some = every_diagonal(len(corners))
    return corners, draw(st.lists(st.sampled_from(some), max_size=10, unique=True)) if some else []


@st.composite
def rounded(draw: st.DrawFn, to: float) -> tuple[Corners, FieldNotes]:
    """An outline and its field notes, every length read off to the nearest `to` metres."""
    corners, diagonals = draw(walked())
    exact = taped(corners, diagonals)
    slips = {i: round(length / to) * to - length for i, length in enumerate(exact.lengths)}
    return corners, taped(corners, diagonals, slips=slips)

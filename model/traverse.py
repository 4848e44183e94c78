"""The traverse: a walk round a room as courses, whether it comes back to where it began, and the rule that makes it.

This is the surveyor's closed traverse (C. D. Ghilani and P. R. Wolf, "Elementary Surveying", chapter 10). Azimuths are
clockwise from the front as seen from above; a departure runs to the right, a latitude to the front. A turn to the
right is positive. Lengths may be in any one unit.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from earshed.model.geometry import Array

ONCE_ROUND = 2 * math.pi
MOST_TURNS_OFF = math.radians(10)
"""How far the turns of a walk may add up to something else than once round. Common practice, no source."""
FARTHEST_MISS = 0.1
"""Share of its length by which a walk may miss its start. Past it no tape is at fault. Common practice, no source."""


CLOSE = 0.02
"""The same share within which a walk closes well enough to be the one that was meant."""


def azimuths(turns: ArrayLike) -> Array:
    """Azimuth (N,) of each course of a walk whose first goes right; turns (N,), in radians, are made at their ends."""
    made = np.asarray(turns, dtype=np.float64)[:-1]
    directions: Array = math.pi / 2 + np.concatenate([[0.0], np.cumsum(made)])
    return directions


def courses(lengths: ArrayLike, directions: ArrayLike) -> Array:
    """Departure and latitude (N, 2) of courses: length times the sine, and the cosine, of the azimuth (N,)."""
    along = np.stack([np.sin(directions), np.cos(directions)], axis=-1)
    steps: Array = np.asarray(lengths, dtype=np.float64)[:, None] * along
    return steps


def misclosure(walked: Array) -> Array:
    """Where courses (N, 2) end, as seen from where they began (2,): the sums of the departures and of the latitudes."""
    total: Array = walked.sum(axis=0)
    return total


def relative_precision(walked: Array) -> float:
    """Linear misclosure of courses (N, 2) over their whole length."""
    return float(np.hypot(*misclosure(walked)) / np.hypot(*walked.T).sum())


def compass_rule(walked: Array) -> Array:
    """Courses (N, 2) that close: each takes the share of the misclosure that its length has of the whole (Bowditch)."""
    lengths = np.hypot(*walked.T)
    closed: Array = walked - np.outer(lengths / lengths.sum(), misclosure(walked))
    return closed


def stations(walked: Array) -> Array:
    """Where each course (N, 2) begins, the first of them at the origin and along +x."""
    turned = math.atan2(walked[0, 1], walked[0, 0])
    back = np.array([[math.cos(turned), -math.sin(turned)], [math.sin(turned), math.cos(turned)]])
    begun: Array = np.vstack([np.zeros(2), np.cumsum(walked, axis=0)[:-1]]) @ back
    return begun


def goes_once_round(turns: Array) -> bool:
    """Whether turns (N,) add up to once round to the right, as nearly as corners nobody measured can."""
    return abs(float(turns.sum()) - ONCE_ROUND) <= MOST_TURNS_OFF


def comes_back(lengths: Array, turns: Array) -> bool:
    """Whether a walk of those lengths (N,) and turns (N,) ends near enough to its start for a room."""
    return _misses(lengths, turns) <= FARTHEST_MISS


def _misses(lengths: Array, turns: Array) -> float:
    """The share of its length by which a walk misses its start; infinite where it does not go once round."""
    return relative_precision(courses(lengths, azimuths(turns))) if goes_once_round(turns) else math.inf


def closing_lengths(lengths: Array, turns: Array) -> Iterator[tuple[int, float]]:
    """Courses, by position, that would close a walk were they of another length, and that length."""
    walked = courses(lengths, azimuths(turns))
    gap, whole = misclosure(walked), float(lengths.sum())
    for position, length in enumerate(lengths):
        along = walked[position] / length
        left = float(length - gap @ along)
        if left > 0 and np.hypot(*(gap - (gap @ along) * along)) <= CLOSE * whole:
            yield position, left


def closing_changes(lengths: Array, turns: Array) -> Iterator[dict[int, float]]:
    """Slips in the turns (N,) of a walk without which it would come back: the new turns, by their position.

    A single turn to the wrong side, or two that follow each other, one of them written at the wrong wall.
    """
    single: list[dict[int, float]] = [{i: -float(turn)} for i, turn in enumerate(turns)]
    exchanged = [{i: float(turns[j]), j: float(turns[i])} for i, j in pairwise(range(len(turns)))]
    for change in (*single, *exchanged):
        if _misses(lengths, np.array([change.get(i, turn) for i, turn in enumerate(turns)])) <= CLOSE:
            yield change

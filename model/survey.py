"""A room as it was taped, and the outline that fits its walls, diagonals and corners best.

Whether the readings agree is asked of the whole (chi-square test of the weighted sum of squares) and of each reading
(W. Baarda, "A testing procedure for use in geodetic networks", 1968: its residual over the residual's own standard
deviation), both at 0.001. See C. D. Ghilani, "Adjustment Computations", on blunder detection.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from earshed.model.geometry import Array, frozen
from earshed.model.traverse import azimuths, courses, misclosure
from earshed.model.units import INCH

TAPE_DEVIATION = INCH / 8
"""Standard deviation of one reading of a tape, metres: its hook, its sag, the wall's own bumps. No source."""
TAPE_GROWTH = 3e-4
"""What a reading's deviation gains with length, metres in a metre. Common practice, no source."""
CRITICAL = 3.2905
"""The normal deviate that one of 1000 passes either way; Baarda's usual limit for one reading."""
CHECKED = 1e-6
"""Redundancy under which nothing else checks an observation, so its residual tells nothing."""


def reading_deviation(lengths: ArrayLike) -> Array:
    """Standard deviation (...) of one reading of each length (...), metres."""
    deviations: Array = np.hypot(TAPE_DEVIATION, TAPE_GROWTH * np.asarray(lengths))
    return deviations


@dataclass(frozen=True)
class Reading:
    """A distance taped between two corners, which are numbered from 0; metres."""

    start: int
    end: int
    length: float


@dataclass(frozen=True, eq=False)
class FieldNotes:
    """What was taped: a reading per wall in the order of the walk, then the diagonals; `turns` (N,) at the walls' ends.

    Turns are in radians, to the right positive.
    """

    readings: tuple[Reading, ...]
    turns: Array

    @cached_property
    def lengths(self) -> Array:
        return frozen([reading.length for reading in self.readings])

    @cached_property
    def deviations(self) -> Array:
        """Standard deviation of each reading, metres."""
        return frozen(reading_deviation(self.lengths))

    @cached_property
    def walked(self) -> Array:
        """The walls as courses (N, 2), with corners as stated."""
        return frozen(courses(self.lengths[: len(self.turns)], azimuths(self.turns)))

    @property
    def has_diagonals(self) -> bool:
        return len(self.readings) > len(self.turns)


@dataclass(frozen=True, eq=False)
class Survey:
    """The best fit to some field notes.

    `corners` (N, 2); `residuals` (M,) of the readings, taped less fitted, metres; `off_turns` (N,), how much farther
    right the outline turns at each wall's end than was stated, radians; `checks` (M,), each reading's redundancy: the
    share of an error in it that shows in its own residual; `misfit`, the weighted sum of squares of all residuals,
    and `freedom`, how many observations there are beyond what fixes the outline.
    """

    notes: FieldNotes
    corner_deviation: float
    left_out: int | None
    corners: Array
    residuals: Array
    off_turns: Array
    checks: Array
    misfit: float
    freedom: int
    rigid: bool
    """Whether the tapes alone, without a word on the corners, fix the outline."""

    @property
    def overdetermined(self) -> bool:
        """Whether the tapes alone fix the outline and check one another."""
        readings = len(self.notes.readings) - (self.left_out is not None)
        return self.rigid and readings > 2 * len(self.corners) - 3

    @property
    def gap(self) -> Array:
        """Where the walk ends, as seen from its start (2,), with walls as taped and corners as stated."""
        return misclosure(self.notes.walked)

    @property
    def fitted(self) -> Array:
        """Length (M,) of each wall and diagonal in the fitted outline."""
        fitted: Array = self.notes.lengths - self.residuals
        return fitted

    @property
    def inside_angles(self) -> Array:
        """Angle (N,) inside the room at each corner, radians."""
        angles: Array = math.pi - np.roll(self.notes.turns + self.off_turns, 1)
        return angles

    @property
    def off_corners(self) -> Array:
        """How much each corner (N,) opens farther than was stated, radians."""
        opened: Array = -np.roll(self.off_turns, 1)
        return opened

    @property
    def askew(self) -> float:
        """How far a wall ends from the line it would run on with corners as stated, metres: the most of any."""
        run = azimuths(self.notes.turns + self.off_turns) - azimuths(self.notes.turns)
        return float(np.abs(self.fitted[: len(run)] * np.sin(run)).max())

    @cached_property
    def standardized(self) -> Array:
        """Residual (M,) of each reading over the residual's own standard deviation; 0 where nothing checks it."""
        own = self.notes.deviations * np.sqrt(np.maximum(self.checks, CHECKED))
        scores: Array = np.where(self.checks > CHECKED, self.residuals / own, 0.0)
        if self.left_out is not None:
            scores[self.left_out] = 0.0
        return scores

    @property
    def agrees(self) -> bool:
        """Whether what tapes and corners commonly vary explains all the residuals."""
        each = bool(np.all(np.abs(self.standardized) <= CRITICAL))
        return each and self.misfit <= largest_misfit(self.freedom)


def largest_misfit(freedom: int) -> float:
    """The sum of squares that one fit of 1000 passes by chance: chi-square at 0.001.

    E. B. Wilson and M. M. Hilferty's approximation (Proc. Nat. Acad. Sci. 17, 1931), 3 % high at one degree of freedom
    and closer from there on.
    """
    spread = 2 / (9 * freedom)
    return float(freedom * (1 - spread + 3.0902 * math.sqrt(spread)) ** 3)

"""The adjustment of a survey: the outline of the least weighted sum of squares.

An adjustment of observations (C. D. Ghilani, "Adjustment Computations", on horizontal surveys). Each wall and diagonal
is one reading of a tape; each corner is one observation of the turn that is made there. A corner that nobody measured
is only assumed to be as stated, so it weighs little, but it keeps the outline rigid where too few diagonals were taped.
Corner 1 is the origin and wall 1 lies along +x.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from earshed.model.geometry import Array, frozen
from earshed.model.survey import TAPE_DEVIATION, FieldNotes, Survey
from earshed.model.traverse import compass_rule, stations

ASSUMED = math.radians(0.5)
"""Standard deviation of a corner that nobody measured: twice what a remodeler's foundation may be out, by the rule of
the National Association of Home Builders (within 1/2 in of 20 ft across a corner of 12 ft by 16 ft, 0.25 degrees)."""
FIRM = math.radians(0.02)
"""The same for corners that are held as stated, to ask what the tapes alone make of them."""
FREE = math.radians(30)
"""The same for corners of which nothing is assumed."""
FIXED = 0.02
"""Least singular value of the readings' slopes, past the three of place and direction, at which they fix the outline:
an error in them moves the corners less than fifty-fold."""
MOST_STEPS = 40
"""Steps after which the best outline so far is taken. Readings that nearly agree need five or six."""
CONVERGED = 1e-10
"""Metres that a last step moves any corner."""


def adjust(notes: FieldNotes) -> Survey:
    """The best fit to field notes: with corners as assumed, unless the tapes alone show them to be otherwise.

    Where tapes and corners cannot both be right, and there are diagonals enough for the tapes to check one another,
    and they agree, then the room is as they say, however far out of square.
    """
    survey = fit(notes)
    if survey.agrees or not survey.overdetermined:
        return survey
    as_found = fit(notes, corner_deviation=FREE)
    return as_found if as_found.agrees else survey


def fit(
    notes: FieldNotes,
    *,
    corner_deviation: float = ASSUMED,
    left_out: int | None = None,
) -> Survey:
    """The outline of the least weighted sum of squares, its corners held with a standard deviation in radians.

    `left_out` is a reading that has no say. Gauss-Newton from the traverse adjusted by the compass rule; a step is
    halved until it gains.
    """
    taped = np.ones(len(notes.readings))
    if left_out is not None:
        taped[left_out] = 0.0
    weights = np.concatenate([taped / notes.deviations, np.full(len(notes.turns), 1 / corner_deviation)])
    corners = stations(compass_rule(notes.walked))
    residuals = _residuals(notes, corners)
    free = np.setdiff1d(np.arange(corners.size), [0, 1, 3])  # all but corner 1, and how far back corner 2 is
    for _ in range(MOST_STEPS):
        slopes = weights[:, None] * _slopes(notes, corners)[:, free]
        step = np.zeros(corners.size)
        step[free] = np.linalg.lstsq(slopes, weights * residuals, rcond=None)[0]
        corners, residuals, gained = _stepped(notes, corners, residuals, step.reshape(-1, 2), weights)
        if not gained or np.abs(step).max() < CONVERGED:
            break
    slopes = _slopes(notes, corners)
    directions, _ = np.linalg.qr(weights[:, None] * slopes[:, free])
    checks = 1 - np.sum(directions**2, axis=1)
    count = len(notes.readings)
    return Survey(
        notes=notes,
        corner_deviation=corner_deviation,
        left_out=left_out,
        corners=frozen(corners),
        residuals=frozen(residuals[:count]),
        off_turns=frozen(-residuals[count:]),
        checks=frozen(checks[:count]),
        misfit=float(np.sum((weights * residuals) ** 2)),
        freedom=len(residuals) - (left_out is not None) - len(free),
        rigid=bool(np.linalg.matrix_rank(slopes[:count] * taped[:, None], tol=FIXED) == len(free)),
    )


def _stepped(
    notes: FieldNotes, corners: Array, residuals: Array, step: Array, weights: Array
) -> tuple[Array, Array, bool]:
    """Corners and residuals after a step (N, 2), or after the largest half of it that gains, and whether one did."""
    before = np.sum((weights * residuals) ** 2)
    for halvings in range(12):
        moved = corners + step / 2**halvings
        left = _residuals(notes, moved)
        if np.sum((weights * left) ** 2) < before:
            return moved, left, True
    return corners, residuals, False


def _spans(notes: FieldNotes, corners: Array) -> tuple[NDArray[np.intp], Array]:
    ends = np.array([(reading.start, reading.end) for reading in notes.readings])
    return ends, corners[ends[:, 1]] - corners[ends[:, 0]]


def _residuals(notes: FieldNotes, corners: Array) -> Array:
    """Observed less computed: of the readings (M,), then of the turns (N,)."""
    _, spans = _spans(notes, corners)
    sides = np.roll(corners, -1, axis=0) - corners
    heading = np.arctan2(sides[:, 0], sides[:, 1])
    off = notes.turns - (np.roll(heading, -1) - heading)
    return np.concatenate([notes.lengths - np.hypot(*spans.T), (off + math.pi) % (2 * math.pi) - math.pi])


def _slopes(notes: FieldNotes, corners: Array) -> Array:
    """How each observation (M + N) changes with each coordinate (2 N)."""
    count = len(corners)
    ends, spans = _spans(notes, corners)
    by_reading = np.zeros((len(ends), count, 2))
    rows = np.arange(len(ends))
    along = spans / np.maximum(np.hypot(*spans.T), TAPE_DEVIATION)[:, None]
    by_reading[rows, ends[:, 1]] = along
    by_reading[rows, ends[:, 0]] = -along
    sides = np.roll(corners, -1, axis=0) - corners
    squared = np.maximum(np.sum(sides**2, axis=1), TAPE_DEVIATION**2)
    across = np.stack([sides[:, 1], -sides[:, 0]], axis=1) / squared[:, None]
    by_heading = np.zeros((count, count, 2))
    walls = np.arange(count)
    by_heading[walls, (walls + 1) % count] = across
    by_heading[walls, walls] = -across
    by_turn = np.roll(by_heading, -1, axis=0) - by_heading
    slopes: Array = np.concatenate([by_reading, by_turn]).reshape(-1, 2 * count)
    return slopes

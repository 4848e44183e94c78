"""The axes that a type reaches laid out flat, in cells, and the best of them by a bound on what each cell can give."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import product
from typing import Protocol

import numpy as np

from earshed.model.aim_candidates import lean_ahead
from earshed.model.geometry import RIGHT, Array

ACROSS = 12
"""Cells across the reach at first."""
MOST_CELLS = 20_000
"""Looked at together; of more the most promising, and nothing is proven any more."""
SMALLEST = 1e-5
"""Radians from the middle of a cell to its end under which it is not cut up."""
AS_GOOD = 1e-9
"""By which two axes count as equally good, whatever is compared."""

Bounded = Callable[[Array, float], tuple[Array, Array]]
"""What axes (N, 3) give (N,), and the least (N,) that any axis within so many radians of each can give."""


class Chart(Protocol):
    """Axes laid out flat so that none are farther apart, in radians, than they lie there."""

    @property
    def cells(self) -> tuple[Array, float]:
        """Middles (N, D) of cells that together hold all axes, and half the side of a cell."""

    def axes(self, places: Array) -> Array:
        """Unit axes (N, 3) at places (N, D); where a place is out of reach the nearest to it that is not."""

    def radius(self, half: float) -> float:
        """Radians from the axis in the middle of a cell within which all its axes lie."""


@dataclass(frozen=True, eq=False)
class Cap:
    """All axes within `limit` (radians, under a right angle) of a unit normal (3,): each lies on the chart as far from
    the middle as it is tilted, and the way that it leans. Distances on a sphere are never more than on such a chart."""

    normal: Array
    limit: float

    @property
    def cells(self) -> tuple[Array, float]:
        half = self.limit / ACROSS
        steps = half * np.arange(1 - ACROSS, ACROSS, 2)
        middles: Array = np.array(list(product(steps, steps)))
        nearest = np.hypot(*(np.maximum(np.abs(middles) - half, 0.0).T))
        return middles[nearest <= self.limit], half

    def axes(self, places: Array) -> Array:
        far = np.hypot(*places.T)
        tilt = np.minimum(far, self.limit)[:, None]
        lean = places / np.maximum(far, 1e-300)[:, None]
        axes: Array = np.cos(tilt) * self.normal + np.sin(tilt) * (lean @ _frame(self.normal))
        return axes

    def radius(self, half: float) -> float:
        return half * math.sqrt(2)


@dataclass(frozen=True, eq=False)
class Rim:
    """All axes at `angle` (radians) from a unit normal (3,), laid out by their heading."""

    normal: Array
    angle: float

    @property
    def cells(self) -> tuple[Array, float]:
        half = math.pi / (4 * ACROSS)
        steps = np.arange(1 - 4 * ACROSS, 4 * ACROSS, 2, dtype=np.float64)
        return half * steps[:, None], half

    def axes(self, places: Array) -> Array:
        lean = np.concatenate([np.cos(places), np.sin(places)], axis=1) @ _frame(self.normal)
        axes: Array = math.cos(self.angle) * self.normal + math.sin(self.angle) * lean
        return axes

    def radius(self, half: float) -> float:
        return half * math.sin(self.angle)


def least(chart: Chart, cost: Bounded, excess: Bounded, start: Array, tolerance: float) -> tuple[Array, float]:
    """The axis (3,) that costs least of those without excess (0 or less), to a tolerance, and what it costs.

    Begins with an axis `start` (3,) that has none. A cell is cut up as long as it may hold an axis that is better by
    more than the tolerance (branch and bound). Of axes as good the one that points farthest to the left is taken.
    """
    best, found = start, float(cost(start[None], 0.0)[0][0])
    cells, half = chart.cells
    while len(cells) and chart.radius(half) > SMALLEST:
        axes, radius = chart.axes(cells), chart.radius(half)
        (costs, low), (over, low_over) = cost(axes, radius), excess(axes, radius)
        allowed = np.where(over <= 0, costs, np.inf)
        if allowed.min() < found - AS_GOOD:
            as_good = axes[allowed <= allowed.min() + AS_GOOD]
            best, found = as_good[np.argmin(as_good @ RIGHT)], float(allowed.min())
        promising = np.flatnonzero((low < found - tolerance) & (low_over <= 0))
        promising = promising[np.argsort(low[promising], kind="stable")][:MOST_CELLS]
        half /= 2
        corners = half * np.array(list(product((-1, 1), repeat=cells.shape[1])))
        cells = (cells[promising, None] + corners).reshape(-1, cells.shape[1])
    return best, found


def _frame(normal: Array) -> Array:
    """Unit rows (2, 3) along a face: ahead, and to the side."""
    ahead = lean_ahead(normal)
    return np.stack([ahead, np.cross(normal, ahead)])

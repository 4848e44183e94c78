"""The listening plane: a grid at seated ear height over the floor and its risers, on which maps are made."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from earshed.model.geometry import Array, frozen
from earshed.model.room import Room

MOST_POINTS = 5_000_000


@dataclass(frozen=True)
class PlaneSpec:
    """Height above what one stands on, and the grid's step, metres."""

    height: float
    step: float


@dataclass(frozen=True, eq=False)
class ListeningPlane:
    """Cell centers `x` (nx,) and `y` (ny,), ascending; `height` (ny, nx) above the room's floor; metres.

    `inside` (ny, nx) says which points lie in the room's air.
    """

    x: Array
    y: Array
    height: Array
    inside: NDArray[np.bool_]
    step: float

    @cached_property
    def levels(self) -> tuple[float, ...]:
        """The different heights that it has, ascending: one, and one more for each height of riser."""
        return tuple(float(level) for level in np.unique(self.height))

    @property
    def xy(self) -> Array:
        """Plan points (ny, nx, 2)."""
        return np.stack(np.meshgrid(self.x, self.y), axis=-1)

    @property
    def points(self) -> Array:
        """Points (ny, nx, 3)."""
        return np.concatenate([self.xy, self.height[..., None]], axis=-1)


def grid_size(room: Room, step: float) -> tuple[int, int]:
    """Cells (nx, ny) of a grid over the room's bounding box."""
    width, length = np.ptp(room.plan.bounds, axis=0)
    return _count(float(width), step), _count(float(length), step)


def lay_plane(room: Room, spec: PlaneSpec) -> ListeningPlane:
    """The grid over the room's bounding box. Raises ValueError for more points than a map may have, with the step that
    would do."""
    columns, rows = grid_size(room, spec.step)
    if columns * rows > MOST_POINTS:
        enough = float(np.sqrt(np.prod(np.ptp(room.plan.bounds, axis=0)) / MOST_POINTS)) * 1.01
        raise PlaneTooFine(columns * rows, enough)
    return lay_plane_over(room, room.plan.bounds, spec)


def lay_plane_over(room: Room, bounds: Array, spec: PlaneSpec) -> ListeningPlane:
    """The grid over a part of the plan, `bounds` (2, 2) its lower left and upper right corner; it is centered there, so
    that a mirrored room has the mirrored grid."""
    columns, rows = (_count(float(size), spec.step) for size in np.ptp(bounds, axis=0))
    (left, rear), (right, front) = bounds
    x = (left + right) / 2 + spec.step * (np.arange(columns) - (columns - 1) / 2)
    y = (rear + front) / 2 + spec.step * (np.arange(rows) - (rows - 1) / 2)
    xy = np.stack(np.meshgrid(x, y), axis=-1)
    height = room.floor_under(xy) + spec.height
    inside = room.holds(np.concatenate([xy, height[..., None]], axis=-1))
    return ListeningPlane(frozen(x), frozen(y), frozen(height), inside, spec.step)


class PlaneTooFine(ValueError):
    """More points than a map may have; `enough` is a step in metres that would do."""

    def __init__(self, points: int, enough: float) -> None:
        super().__init__(f"{points:,} points are more than the {MOST_POINTS:,} that a map may have")
        self.enough = enough


def _count(size: float, step: float) -> int:
    return max(1, int(np.ceil(size / step - 1e-9)))

"""Seats: where the ears are, and the area on which speakers have to deliver."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray
from shapely.geometry.base import BaseGeometry

from earshed.model.geometry import Array
from earshed.model.units import FOOT

AROUND_SEATS = 2 * FOOT
"""Metres round the hull of the seats that belong to the seating area."""


@dataclass(frozen=True, eq=False)
class Seat:
    """A place to listen from: the middle of the head between the ears, `ear` (3,), metres."""

    name: str
    ear: Array
    main: bool = False


@dataclass(frozen=True)
class SeatingArea:
    """The plan area within 2 ft of the hull of the seats."""

    hull: BaseGeometry

    def holds(self, xy: ArrayLike) -> NDArray[np.bool_]:
        """Whether plan points (..., 2) lie in it."""
        xy = np.asarray(xy, dtype=np.float64)
        low, high = np.reshape(self.hull.bounds, (2, 2))
        near = np.all((xy >= low - AROUND_SEATS) & (xy <= high + AROUND_SEATS), axis=-1)  # the rest need no measuring
        inside = np.zeros(xy.shape[:-1], dtype=bool)
        inside[near] = shapely.distance(self.hull, shapely.points(xy[near])) <= AROUND_SEATS
        return inside

    @property
    def outline(self) -> Array:
        """Corners (N, 2) of its edge, the round parts in steps of under 3 degrees."""
        return np.array(self.hull.buffer(AROUND_SEATS, quad_segs=32).exterior.coords)


def seating_area(seats: Sequence[Seat]) -> SeatingArea:
    """The seating area of at least one seat."""
    return SeatingArea(shapely.MultiPoint([seat.ear[:2] for seat in seats]).convex_hull)


def main_seats(seats: Sequence[Seat]) -> tuple[Seat, ...]:
    """The seats marked main, or all of them where none is."""
    return tuple(seat for seat in seats if seat.main) or tuple(seats)


def reference_position(seats: Sequence[Seat]) -> Array:
    """Midpoint (3,) of the main seats' ears."""
    ears: Array = np.mean([seat.ear for seat in main_seats(seats)], axis=0)
    return ears

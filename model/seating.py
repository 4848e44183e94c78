"""Seats: where the ears are, and the area on which speakers have to deliver."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray
from shapely.geometry.base import BaseGeometry

from earshed.model.geometry import Array, frozen
from earshed.model.units import FOOT, INCH

AROUND_SEATS = 2 * FOOT
"""Metres round the hull of the seats that belong to the seating area."""
USUAL_DROP = 5 * INCH
USUAL_BACK = 10 * INCH
"""How far ears come down and go back in a reclined seat. Common practice, no source: a back 26 in from hip to ear moves
its upper end so when it is let down from 15 to 40 degrees off the upright, and the hip stays where it is."""


@dataclass(frozen=True, eq=False)
class Seat:
    """A place to listen from: the middle of the head between the ears, `ear` (3,), metres.

    `reclined_from` names the upright seat of which this is the other posture, and is None for one upright.
    """

    name: str
    ear: Array
    main: bool = False
    reclined_from: str | None = None
    back_top: float | None = None
    """Height of the top of its back above the room's floor, metres; None where it does not come up to the ears."""

    @property
    def chair(self) -> str:
        """Name of the piece of furniture, which is one for both postures."""
        return self.reclined_from or self.name


def reclined_name(name: str) -> str:
    """What a seat of that name is called when it is reclined."""
    return f"{name}, reclined"


def recline(seat: Seat, *, drop: float, back: float, ahead: Array) -> Seat:
    """An upright seat with its ears `drop` metres lower and `back` metres further from what is `ahead`, unit (2,)."""
    ear = seat.ear - np.append(back * ahead, drop)
    top = None if seat.back_top is None else seat.back_top - drop
    return Seat(reclined_name(seat.name), frozen(ear), seat.main, reclined_from=seat.name, back_top=top)


def upright_seats(seats: Sequence[Seat]) -> tuple[Seat, ...]:
    """The seats as pieces of furniture: each once, upright."""
    return tuple(seat for seat in seats if seat.reclined_from is None)


@dataclass(frozen=True)
class SeatingArea:
    """The plan area within 2 ft of the hull of the seats."""

    hull: BaseGeometry

    def holds(self, xy: ArrayLike) -> NDArray[np.bool_]:
        """Whether plan points (..., 2) lie in it."""
        xy = np.asarray(xy, dtype=np.float64)
        low, high = self.bounds
        near = np.all((xy >= low) & (xy <= high), axis=-1)  # the rest need no measuring
        inside = np.zeros(xy.shape[:-1], dtype=bool)
        inside[near] = shapely.distance(self.hull, shapely.points(xy[near])) <= AROUND_SEATS
        return inside

    @property
    def bounds(self) -> Array:
        """Lower left and upper right corner (2, 2) of the box round it."""
        bounds: Array = np.reshape(self.hull.buffer(AROUND_SEATS).bounds, (2, 2))
        return bounds

    @property
    def outline(self) -> Array:
        """Corners (N, 2) of its edge, the round parts in steps of under 3 degrees."""
        return np.array(self.hull.buffer(AROUND_SEATS, quad_segs=32).exterior.coords)


def seating_area(seats: Sequence[Seat]) -> SeatingArea:
    """The seating area of at least one seat. To recline moves no seat, so it is that of the upright ones."""
    return SeatingArea(shapely.MultiPoint([seat.ear[:2] for seat in upright_seats(seats)]).convex_hull)


def main_seats(seats: Sequence[Seat]) -> tuple[Seat, ...]:
    """The seats marked main, or all of them where none is; in both postures where they recline."""
    return tuple(seat for seat in seats if seat.main) or tuple(seats)


def reference_position(seats: Sequence[Seat]) -> Array:
    """Midpoint (3,) of the main seats' ears, upright: a room is laid out for people who sit up."""
    ears: Array = np.mean([seat.ear for seat in main_seats(upright_seats(seats))], axis=0)
    return ears

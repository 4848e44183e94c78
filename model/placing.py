"""Finds where in a room a speaker can be heard from a wanted direction: on which face, clear of what is there.

A simple rule, not a search for the best: the allowed directions are tried from the nominal one outwards, a whole degree
at a time, and the first clear place counts; where there is none, the nearest clear place on a face.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from earshed.model.clearance import FAR, KEPT_CLEAR, beyond, clear_part, nearest_place
from earshed.model.geometry import PARALLEL, Array, angle_between
from earshed.model.layout import Direction
from earshed.model.listener import Listener
from earshed.model.ray import first_hits
from earshed.model.seating import main_seats
from earshed.model.surface import Surface
from earshed.model.units import FOOT

UPPER_START = math.radians(45)
"""Elevation from which upper speakers are tried. Common practice, no source."""
FROM_EARS = 2 * FOOT
"""Metres kept to every ear where the room allows it. Common practice, no source."""

Hole = tuple[Array, float]
"""Center (3,) and radius of a rim that is already placed."""


@dataclass(frozen=True, eq=False)
class Spot:
    """A place (3,) on a face."""

    face: Surface
    point: Array


@dataclass(frozen=True, eq=False)
class Placing:
    """Looks for places for rims of one `radius` (metres) among `holes` that are already there.

    `reach` (radians) is how far from square to its face a seat can be and still be served.
    """

    listener: Listener
    radius: float
    reach: float
    holes: tuple[Hole, ...]

    @cached_property
    def _faces(self) -> tuple[Surface, ...]:
        return self.listener.scene.room.surfaces

    @property
    def walls(self) -> list[Surface]:
        return [face for face in self._faces if face.kind == "wall"]

    @property
    def ceilings(self) -> list[Surface]:
        return [face for face in self._faces if face.kind == "ceiling"]

    def together(self, sides: Sequence[Direction], faces: Sequence[Surface]) -> tuple[Spot, ...] | None:
        """Places on some faces at the same azimuth and elevation for each of one or two sides; None where there are
        none in the allowed directions. If that can be, within reach of every main seat and off every ear."""
        azimuths, elevations = _tried(sides[0])
        tries = [self._try(azimuths * (1 if side is sides[0] else -1), elevations, side, faces) for side in sides]
        clear, reached, off_ears = (
            np.all(masks, axis=0) for masks in zip(*(each.masks for each in tries), strict=True)
        )
        for wished in (clear & reached & off_ears, clear & reached, clear & off_ears, clear):
            if wished.any():
                first = int(np.argmax(wished))
                return tuple(Spot(self._faces[each.faces[first]], each.points[first]) for each in tries)
        return None

    def level(self, side: Direction, face: Surface) -> Spot | None:
        """The clear place of an upright face at ear height that is nearest to where the nominal direction leads."""
        height = float(self.listener.ear[2] - face.origin[2])  # up the face is up the wall
        return self._on_line(side, face, [[-FAR, height], [FAR, height]])

    def upright(self, side: Direction, face: Surface) -> Spot | None:
        """The clear place of an upright face straight above or below where the nominal direction leads."""
        along = float(face.to_face(self._met(side, face))[0])
        return self._on_line(side, face, [[along, -FAR], [along, FAR]])

    def anywhere(self, side: Direction, faces: Sequence[Surface]) -> Spot | None:
        """Of the clear places nearest on each face to where the nominal direction ends, that seen nearest to it."""
        way = self.listener.toward(side.azimuth, _start(side))
        end = first_hits(self.listener.ear, way, self._faces).points
        nearest = [(face, nearest_place(face, self._part(side, face), end)) for face in faces]
        spots = [Spot(face, point) for face, point in nearest if point is not None]
        return min(spots, key=lambda spot: float(angle_between(way, spot.point - self.listener.ear)), default=None)

    def _on_line(self, side: Direction, face: Surface, line: list[list[float]]) -> Spot | None:
        """The clear place on a line in a face, in its own coordinates, nearest to where the nominal direction leads."""
        part = self._part(side, face).intersection(shapely.LineString(line))
        point = nearest_place(face, part, self._met(side, face))
        return Spot(face, point) if point is not None else None

    def _met(self, side: Direction, face: Surface) -> Array:
        """Where the nominal direction meets a face's plane (3,), past its edges too; the ears, if it leads away."""
        way = self.listener.toward(side.azimuth, _start(side))
        sinking = float(way @ face.normal)
        reach = float((face.origin - self.listener.ear) @ face.normal) / sinking if sinking < -PARALLEL else 0.0
        met: Array = self.listener.ear + reach * way
        return met

    def _try(self, azimuths: Array, elevations: Array, side: Direction, faces: Sequence[Surface]) -> _Tries:
        """What comes of rays at azimuths (N,) and elevations (N,)."""
        hits = first_hits(self.listener.ear, self.listener.toward(azimuths, elevations), self._faces)
        clear, reached, off_ears = np.zeros((3, len(azimuths)), dtype=bool)
        every = np.array([seat.ear for seat in self.listener.scene.seats])
        main = np.array([seat.ear for seat in main_seats(self.listener.scene.seats)])
        for index, face in enumerate(self._faces):
            mine = hits.faces == index
            if face in faces and mine.any():
                points = hits.points[mine]
                across = face.to_face(points)
                clear[mine] = shapely.intersects_xy(self._part(side, face), across[:, 0], across[:, 1])
                off_ears[mine] = np.linalg.norm(every - points[:, None], axis=-1).min(axis=1) >= FROM_EARS
                reached[mine] = angle_between(face.normal, main - points[:, None]).max(axis=1) <= self.reach
        return _Tries(hits.points, hits.faces, (clear, reached, off_ears))

    def _part(self, side: Direction, face: Surface) -> BaseGeometry:
        """The clear part of a face; for one of a pair, only its own side of the middle, so that partners never meet."""
        part = clear_part(self.listener.scene, face, self.radius, self.holes)
        if side == side.mirrored:
            return part
        aside = self.listener.left * math.copysign(1.0, side.azimuth)
        return part.intersection(beyond(face, aside, self.listener.ear + aside * (self.radius + KEPT_CLEAR / 2)))


@dataclass(frozen=True, eq=False)
class _Tries:
    """Where rays end (N, 3), on which face (N,), and three masks (N,): clear, within reach, off the ears."""

    points: Array
    faces: NDArray[np.intp]
    masks: tuple[NDArray[np.bool_], ...]


def _start(side: Direction) -> float:
    """The elevation to try first."""
    low, high = side.elevations
    if not side.overhead:
        return side.elevation
    return UPPER_START if low <= UPPER_START <= high else (low + high) / 2


def _tried(side: Direction) -> tuple[Array, Array]:
    """Azimuths (N,) and elevations (N,) to try in order: for the nominal azimuth first all elevations, those above the
    start before those below, then the next azimuth outwards."""
    start, (low, high) = _start(side), side.elevations
    up = [start + math.radians(step) for step in range(91) if start + math.radians(step) <= high + 1e-9]
    down = [start - math.radians(step) for step in range(1, 91) if start - math.radians(step) >= low - 1e-9]
    least, most = side.azimuths
    aside = [
        side.azimuth + math.radians(sign * step)
        for step in range(181)
        for sign in ((1, -1) if step else (1,))
        if least - 1e-9 <= side.azimuth + math.radians(sign * step) <= most + 1e-9
    ]
    azimuths, elevations = np.meshgrid(aside, [*up, *down], indexing="ij")
    return azimuths.ravel(), elevations.ravel()

"""An upright cut through a room: where it runs, which way one looks at it, and what it goes through."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from shapely.geometry.base import BaseGeometry

from earshed.model.geometry import FRONT, RIGHT, UP, Array, frozen
from earshed.model.scene import Scene
from earshed.model.seating import main_seats, upright_seats
from earshed.model.solid import slice_of

BEHIND = 0.45
"""Metres from the ears of the main seats back to the cut, so that whole chairs stand beyond it. Common practice, no
source."""
OFF_WALL = 0.02
"""Metres that the cut stays within the room."""
SLOPE_COUNTS = 0.02
"""Mean of the level part of the ceiling's normals under which a room has no slope to show."""


@dataclass(frozen=True, eq=False)
class Section:
    """The cut through `origin` (3,) on the floor, seen along the level unit `way` (3,).

    `shell` is what it cuts of the room within its floor, walls and ceiling, `things` what it cuts of boxes and risers
    in it; both in metres to the `right` of the origin, and up from the floor.
    """

    origin: Array
    way: Array
    shell: BaseGeometry
    things: BaseGeometry

    @property
    def right(self) -> Array:
        return frozen(np.cross(self.way, UP))

    def shows(self, point: Array) -> bool:
        """Whether a point (3,) lies beyond the cut."""
        return bool((point - self.origin) @ self.way > -1e-9)

    def to_room(self, flat: Array) -> Array:
        """Points (N, 3) of the cut at places (N, 2) to the right and up."""
        points: Array = self.origin + flat[:, :1] * self.right + flat[:, 1:] * UP
        return points


def section_of(scene: Scene) -> Section:
    """The cut that shows most of how the ceiling slopes: square to the ridge, just behind the main seats.

    Where the ceiling slopes most to left and right one looks to the front, or the rear if the picture is there; else,
    and where it does not slope, from the left.
    """
    level = np.zeros(2)
    for face in scene.room.surfaces:
        if face.kind == "ceiling":
            level += face.area * np.abs(face.normal[:2])
    total = sum(face.area for face in scene.room.surfaces if face.kind == "ceiling")
    if level[0] > level[1] and level[0] > SLOPE_COUNTS * total:
        way = FRONT if scene.ahead[1] > -0.5 else -FRONT
    else:
        way = RIGHT
    return cut_room(scene, _place(scene, way), way)


def cut_room(scene: Scene, place: Array, way: Array) -> Section:
    """The upright cut through a place (2,) of the plan, seen along the level unit `way` (3,)."""
    origin = np.append(place, 0.0)
    shell = slice_of(scene.room.solid, origin, way)
    air = slice_of(scene.room.air_solid, origin, way)
    return Section(frozen(origin), frozen(way), shell, shell.difference(air))


def _place(scene: Scene, way: Array) -> Array:
    """Behind the nearest main seat, or any seat, as one looks; in a room without seats in its middle."""
    low, high = scene.room.plan.bounds
    middle = (low + high) / 2
    seats = main_seats(upright_seats(scene.seats))
    flat = way[:2]
    along = min((float(seat.ear[:2] @ flat) for seat in seats), default=float(middle @ flat) + BEHIND) - BEHIND
    ends = sorted((float(low @ flat), float(high @ flat)))
    along = float(np.clip(along, ends[0] + OFF_WALL, ends[1] - OFF_WALL))
    place: Array = middle + (along - middle @ flat) * flat
    return place

"""The reference position: where the main seats' ears are on average, and directions as they are seen from there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from earshed.model.geometry import PARALLEL, UP, Array, unit
from earshed.model.pairs import direction_from_seat
from earshed.model.scene import Scene
from earshed.model.seating import Seat, reference_position


@dataclass(frozen=True, eq=False)
class Listener:
    """Ears at the reference position (3,), and the unit directions (3,) that are ahead and to the left from there."""

    scene: Scene
    ear: Array
    ahead: Array
    left: Array

    def toward(self, azimuth: ArrayLike, elevation: ArrayLike) -> Array:
        """Unit directions (..., 3) at an azimuth and an elevation, radians, as Rec. ITU-R BS.2051-3 turns them."""
        azimuth, elevation = np.asarray(azimuth, float)[..., None], np.asarray(elevation, float)[..., None]
        level = np.cos(azimuth) * self.ahead + np.sin(azimuth) * self.left
        direction: Array = np.cos(elevation) * level + np.sin(elevation) * UP
        return direction

    def directions_to(self, points: Array) -> tuple[Array, Array]:
        """Azimuths (N,) and elevations (N,), radians, of points (N, 3)."""
        way = points - self.ear
        along, aside = way @ self.ahead, way @ self.left
        level = np.hypot(along, aside)
        azimuth = np.where(level < PARALLEL, 0.0, np.arctan2(aside, along))
        return azimuth, np.arctan2(way[:, 2], level)

    def sees(self, point: Array) -> tuple[float, float]:
        """Azimuth and elevation, radians, of a point (3,)."""
        return direction_from_seat(self.scene, Seat("reference position", self.ear), point)


def listener_of(scene: Scene) -> Listener:
    """The listener at the reference position. Raises ValueError for a scene without seats."""
    if not scene.seats:
        raise ValueError("without seats there is nowhere to listen from")
    ear = reference_position(scene.seats)
    ahead = np.append(scene.ahead, 0.0)
    if scene.screen:
        towards = (scene.screen.center - ear) * [1.0, 1.0, 0.0]
        ahead = unit(towards) if np.linalg.norm(towards) > 1e-9 else ahead
    return Listener(scene, ear, ahead, np.cross(UP, ahead))

"""A speaker's cone as the room trims it: how far each of its edge lines runs before it meets a surface."""

from __future__ import annotations

import numpy as np

from earshed.model.cone import cone_directions
from earshed.model.geometry import STAND_OFF, Array
from earshed.model.room import Room
from earshed.model.sight import ray_distances


def trimmed_cone(room: Room, position: Array, normal: Array, axis: Array, half_angle: float, lines: int = 360) -> Array:
    """Ends (lines, 3) of the cone's edge lines, once round the axis, where each first meets a surface of the room.

    Lines that set out into the face itself end where they start.
    """
    apex = position + STAND_OFF * normal
    directions = cone_directions(axis, half_angle, np.linspace(0.0, 2 * np.pi, lines, endpoint=False))
    apexes = np.broadcast_to(apex, directions.shape)
    reach = ray_distances(apexes, directions, room.air).min(axis=1)
    reach = np.where(np.isfinite(reach) & (directions @ normal > 0), reach, 0.0)
    ends: Array = apex + reach[:, None] * directions
    return ends

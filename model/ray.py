"""Where rays from inside a room first meet its faces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from earshed.model.geometry import PARALLEL, TOUCHING, Array
from earshed.model.surface import Surface


@dataclass(frozen=True, eq=False)
class Hits:
    """For each ray the point (..., 3) where it meets a face first, and which of the faces (...); -1 where none."""

    points: Array
    faces: NDArray[np.intp]


def first_hits(origin: Array, directions: Array, faces: Sequence[Surface]) -> Hits:
    """Where rays from `origin` (3,) in unit `directions` (..., 3) first meet one of the faces; nan where they miss.

    A ray that runs along a face misses it.
    """
    nearest = np.full(directions.shape[:-1], np.inf)
    found = np.full(directions.shape[:-1], -1, dtype=np.intp)
    for index, face in enumerate(faces):
        sinking = directions @ face.normal
        towards = np.abs(sinking) > PARALLEL
        distance = ((face.origin - origin) @ face.normal) / np.where(towards, sinking, 1.0)
        ahead = towards & (distance > TOUCHING) & (distance < nearest)
        across = face.to_face(origin + np.where(ahead, distance, 0.0)[..., None] * directions)
        ahead &= shapely.intersects_xy(face.outline.buffer(TOUCHING), across[..., 0], across[..., 1])
        nearest = np.where(ahead, distance, nearest)
        found = np.where(ahead, index, found)
    reach = np.where(np.isfinite(nearest), nearest, np.nan)
    return Hits(origin + reach[..., None] * directions, found)

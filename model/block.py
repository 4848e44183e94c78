"""Blocks: upright boxes with faces along the room's axes (soffits, cupboards, risers)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from earshed.model.geometry import HAIR, TOUCHING, UP, Array
from earshed.model.solid import Solid, prism
from earshed.model.surface import Surface, face_from_corners


@dataclass(frozen=True, eq=False)
class Block:
    """A named solid between two opposite corners, `lower` and `upper` (3,), metres."""

    name: str
    lower: Array
    upper: Array

    @property
    def footprint(self) -> shapely.Polygon:
        return shapely.Polygon(self.corners)

    @property
    def corners(self) -> Array:
        """Plan corners (4, 2), counterclockwise from the rear left."""
        (x0, y0), (x1, y1) = self.lower[:2], self.upper[:2]
        return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])

    @property
    def solid(self) -> Solid:
        """The block to be taken out of the air: larger by a hair all round.

        A soffit taped as 6' 10" and 12" up to a ceiling of 7' 10" meets it only to the last bit; the hair keeps such
        faces from leaving a film of air between them.
        """
        (x0, y0, z0), (x1, y1, z1) = self.lower - HAIR, self.upper + HAIR
        return prism(shapely.box(x0, y0, x1, y1), bottom=float(z0), height=float(z1 - z0))

    @property
    def underside(self) -> Surface:
        """Its face that looks down, where an in-ceiling speaker or a light may sit."""
        heights = np.full((4, 1), self.lower[2])
        return face_from_corners(self.name, "soffit", np.hstack([self.corners, heights]), -UP)

    def over(self, xy: ArrayLike) -> NDArray[np.bool_]:
        """Whether plan points (..., 2) lie in its footprint, edges included."""
        xy = np.asarray(xy, dtype=np.float64)
        low, high = self.lower[:2] - TOUCHING, self.upper[:2] + TOUCHING  # the same edge, taped from either end
        inside: NDArray[np.bool_] = np.all((xy >= low) & (xy <= high), axis=-1)
        return inside

    def holds(self, points: ArrayLike) -> NDArray[np.bool_]:
        """Whether points (..., 3) lie inside it, by more than a touch."""
        points = np.asarray(points, dtype=np.float64)
        inside: NDArray[np.bool_] = np.all((points > self.lower + TOUCHING) & (points < self.upper - TOUCHING), axis=-1)
        return inside

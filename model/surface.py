"""Flat faces of the room: where holes are cut and lines are taped."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely.geometry.base import BaseGeometry

from earshed.model.geometry import TOUCHING, Array, face_frame, frozen

Kind = Literal["floor", "wall", "ceiling", "side", "soffit"]
Finish = Literal["board", "deck", "tiles"]
"""What one sees: board with a cavity behind it, bare deck with none, or tiles laid in a grid."""


@dataclass(frozen=True, eq=False)
class Surface:
    """A named flat face: `origin` (3,) on it, unit `normal` (3,) into the room, and its outline.

    `outline` is in the face's own plane, metres: first coordinate level, second up the slope, from `origin`.
    """

    name: str
    kind: Kind
    origin: Array
    normal: Array
    outline: BaseGeometry
    finish: Finish = "board"

    @cached_property
    def frame(self) -> Array:
        """Unit vectors (2, 3): level and up the slope."""
        return frozen(face_frame(self.normal))

    def to_face(self, points: ArrayLike) -> Array:
        """Face coordinates (..., 2) of points (..., 3); what stands off the face drops square onto it."""
        return (np.asarray(points, dtype=np.float64) - self.origin) @ self.frame.T

    def to_room(self, uv: ArrayLike) -> Array:
        """Points (..., 3) at face coordinates (..., 2)."""
        return self.origin + np.asarray(uv, dtype=np.float64) @ self.frame

    def over(self, xy: ArrayLike) -> Array:
        """Points (..., 3) of its plane at plan points (..., 2). Raises ValueError for an upright face."""
        if abs(self.normal[2]) < TOUCHING:
            raise ValueError(f"{self.name} is upright")
        xy = np.asarray(xy, dtype=np.float64)
        height = self.origin[2] - (xy - self.origin[:2]) @ self.normal[:2] / self.normal[2]
        points: Array = np.concatenate([xy, height[..., None]], axis=-1)
        return points

    @property
    def called(self) -> str:
        """Its name as it stands in a sentence: "the left slope", "wall 3"."""
        return self.name if self.name[-1:].isdigit() else f"the {self.name}"

    @property
    def area(self) -> float:
        """Square metres."""
        return float(self.outline.area)

    @property
    def plan_area(self) -> BaseGeometry:
        """What it covers as seen from above; nothing for a wall."""
        return shapely.transform(self.outline, lambda uv: self.to_room(uv)[:, :2])

    @property
    def slope(self) -> float:
        """Angle from level, radians, 0 to pi/2."""
        return float(np.arctan2(np.hypot(self.normal[0], self.normal[1]), abs(self.normal[2])))

    def continues(self, other: Surface) -> bool:
        """Whether another face lies in the same plane, of the same kind and finish, so that no crease is between."""
        level = abs(float((other.origin - self.origin) @ self.normal)) < TOUCHING
        same = (self.kind, self.finish) == (other.kind, other.finish)
        return same and level and bool(np.allclose(self.normal, other.normal, atol=TOUCHING))

    def area_of(self, other: Surface) -> BaseGeometry:
        """The outline of another face of its plane, in its own coordinates."""
        return shapely.transform(other.outline, lambda uv: self.to_face(other.to_room(uv)))

    def rings(self) -> list[Array]:
        """Corners (N, 3) of every boundary ring, first corner repeated last."""
        parts = shapely.get_parts(self.outline)
        return [self.to_room(np.array(ring.coords)) for part in parts for ring in (part.exterior, *part.interiors)]

    def room_to_edge(self, point: ArrayLike) -> float:
        """Metres along the face from a point (3,) on it to the nearest edge; negative where it is off the face."""
        spot = shapely.Point(self.to_face(point))
        distance = float(self.outline.boundary.distance(spot))
        return distance if self.outline.intersects(spot) else -distance


def face_from_corners(name: str, kind: Kind, corners: ArrayLike, normal: ArrayLike) -> Surface:
    """A surface through coplanar corners (N, 3), in order."""
    corners, normal = frozen(corners), frozen(normal)
    frame = np.array(face_frame(normal))
    return Surface(name, kind, corners[0], normal, shapely.Polygon((corners - corners[0]) @ frame.T))

"""Blocks: upright solids in the room, such as soffits, cupboards, posts, beams and risers."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from earshed.model.ceiling import CeilingPlane
from earshed.model.geometry import HAIR, TOUCHING, Array, frozen
from earshed.model.solid import Solid, cut, prism
from earshed.model.sound.materials import Material
from earshed.model.surface import Surface, face_from_corners

BlockKind = Literal["box", "beam", "column", "fireplace", "half wall", "counter", "riser"]


@dataclass(frozen=True, eq=False)
class Block:
    """A named solid over a convex plan area, from the plane `under` it up to the level `top`, metres.

    `corners` (N, 2) run counterclockwise. `keep_clear` is the distance that holes are to keep from it.
    """

    name: str
    corners: Array
    under: CeilingPlane
    top: float
    kind: BlockKind = "box"
    keep_clear: float = 0.0
    material: Material | None = None
    """Of its faces; None where the scene does not say."""

    @classmethod
    def box(
        cls, name: str, lower: ArrayLike, upper: ArrayLike, *, kind: BlockKind = "box", keep_clear: float = 0.0
    ) -> Block:
        """The block between two opposite corners (3,), its sides along the room's axes."""
        (x0, y0, z0), (x1, y1, z1) = np.asarray(lower, dtype=np.float64), np.asarray(upper, dtype=np.float64)
        corners = frozen([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
        return cls(name, corners, CeilingPlane(name, 0.0, 0.0, float(z0)), float(z1), kind, keep_clear)

    @cached_property
    def footprint(self) -> shapely.Polygon:
        return shapely.Polygon(self.corners)

    @cached_property
    def lower(self) -> Array:
        """The lowest values (3,) of its coordinates."""
        return frozen([*self.corners.min(axis=0), self.under.height(self.corners).min()])

    @cached_property
    def upper(self) -> Array:
        """The highest values (3,) of its coordinates."""
        return frozen([*self.corners.max(axis=0), self.top])

    @cached_property
    def planes(self) -> tuple[Array, Array]:
        """Its faces: unit normals (F, 3) outwards, and their distances (F,) from the origin."""
        along = np.roll(self.corners, -1, axis=0) - self.corners
        sides = np.column_stack([along[:, 1], -along[:, 0], np.zeros(len(along))])
        sides /= np.linalg.norm(sides, axis=1, keepdims=True)
        normals = np.vstack([sides, self.under.normal, [0.0, 0.0, 1.0]])
        at_sides = np.sum(sides[:, :2] * self.corners, axis=1)
        at_bottom = self.under.at_origin * self.under.normal[2]
        return frozen(normals), frozen([*at_sides, at_bottom, self.top])

    @property
    def solid(self) -> Solid:
        """The block to be taken out of the air: larger by a hair all round.

        A soffit taped as 6' 10" and 12" up to a ceiling of 7' 10" meets it only to the last bit; the hair keeps such
        faces from leaving a film of air between them.
        """
        grown = self.footprint.buffer(HAIR, join_style="mitre")
        bottom, top = float(self.lower[2]) - HAIR, self.top + HAIR
        if self.under.slope == 0:
            return prism(grown, bottom=bottom, height=top - bottom)
        slab = prism(grown, bottom=bottom - 1.0, height=top - bottom + 1.0)
        return cut(slab, point=(0.0, 0.0, self.under.at_origin - HAIR), keep=-self.under.normal)

    @cached_property
    def underside(self) -> Surface:
        """Its face that looks down, where an in-ceiling speaker or a light may sit."""
        heights = self.under.height(self.corners)
        return face_from_corners(self.name, "soffit", np.column_stack([self.corners, heights]), self.under.normal)

    def over(self, xy: ArrayLike) -> NDArray[np.bool_]:
        """Whether plan points (..., 2) lie in its footprint, edges included."""
        normals, offsets = self.planes
        away = np.asarray(xy, dtype=np.float64) @ normals[:-2, :2].T - offsets[:-2]
        inside: NDArray[np.bool_] = np.all(away <= TOUCHING, axis=-1)  # the same edge, taped from either end
        return inside

    def holds(self, points: ArrayLike) -> NDArray[np.bool_]:
        """Whether points (..., 3) lie inside it, by more than a touch."""
        inside: NDArray[np.bool_] = np.all(self._beyond(points) < -TOUCHING, axis=-1)
        return inside

    def near(self, points: ArrayLike, slack: float) -> NDArray[np.bool_]:
        """Whether points (..., 3) lie inside it or within `slack` metres of its faces."""
        near: NDArray[np.bool_] = np.all(self._beyond(points) <= slack, axis=-1)
        return near

    def _beyond(self, points: ArrayLike) -> Array:
        """How far points (..., 3) are outside each face (..., F); negative inside."""
        normals, offsets = self.planes
        beyond: Array = np.asarray(points, dtype=np.float64) @ normals.T - offsets
        return beyond

"""Watertight solids: prisms cut by planes, and what is left when things are taken out of them.

manifold3d keeps every result a closed two-manifold; this module is the only one that knows it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import manifold3d
import numpy as np
from numpy.typing import ArrayLike, NDArray

from earshed.model.geometry import Array, unit

TALL = 200.0
"""Metres: a prism that any ceiling cuts."""


@dataclass(frozen=True, eq=False)
class Mesh:
    """A closed surface: `vertices` (V, 3) in metres, `triangles` (T, 3) of indices, outward by the right hand."""

    vertices: Array
    triangles: NDArray[np.int64]

    @property
    def corners(self) -> Array:
        """Corner points (T, 3, 3) of each triangle."""
        corners: Array = self.vertices[self.triangles]
        return corners

    @property
    def volume(self) -> float:
        """Cubic metres, by the signed tetrahedra under each triangle."""
        a, b, c = np.moveaxis(self.corners, 1, 0)
        return float(np.sum(a * np.cross(b, c)) / 6)

    @property
    def watertight(self) -> bool:
        """Whether every edge is walked once each way, so that no gap, flap or turned face is left."""
        edges = np.concatenate([self.triangles[:, pair] for pair in ([0, 1], [1, 2], [2, 0])])
        there = np.unique(edges, axis=0)
        back = np.unique(edges[:, ::-1], axis=0)
        return len(edges) > 0 and len(there) == len(edges) and bool(np.array_equal(there, back))


Solid: TypeAlias = manifold3d.Manifold


def prism(corners: ArrayLike, *, bottom: float, height: float) -> Solid:
    """The solid over a simple polygon (N, 2), either turn, from `bottom` up by `height`, metres."""
    section = manifold3d.CrossSection([np.asarray(corners, dtype=np.float64)], manifold3d.FillRule.EvenOdd)
    return manifold3d.Manifold.extrude(section, height).translate((0.0, 0.0, bottom))


def cut(solid: Solid, *, point: ArrayLike, keep: ArrayLike) -> Solid:
    """The part of a solid on the side of the plane through `point` (3,) that `keep` (3,) points to."""
    normal = unit(keep)
    return solid.trim_by_plane(tuple(normal), float(normal @ np.asarray(point, dtype=np.float64)))


def take_out(solid: Solid, parts: list[Solid]) -> Solid:
    """The solid less every part."""
    return manifold3d.Manifold.batch_boolean([solid, *parts], manifold3d.OpType.Subtract) if parts else solid


def mesh_of(solid: Solid) -> Mesh:
    """The triangles of a solid, double precision."""
    raw = solid.to_mesh64()
    vertices = np.array(raw.vert_properties[:, :3], dtype=np.float64)
    triangles = np.array(raw.tri_verts, dtype=np.int64)
    vertices.flags.writeable = triangles.flags.writeable = False
    return Mesh(vertices, triangles)

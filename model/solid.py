"""Watertight solids: prisms cut by planes, and what is left when things are taken out of them.

manifold3d keeps every result a closed two-manifold; this module is the only one that knows it.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TypeAlias

import manifold3d
import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray
from shapely.geometry.base import BaseGeometry

from earshed.model.geometry import UP, Array, unit


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


def prism(area: BaseGeometry, *, bottom: float, height: float) -> Solid:
    """The solid over a plan area, holes and several parts included, from `bottom` up by `height`, metres.

    Built from its triangles, since manifold3d's own sections round to some nanometres.
    """
    return join([_prism(part, bottom, bottom + height) for part in shapely.get_parts(shapely.orient_polygons(area))])


def _prism(part: shapely.Polygon, low: float, high: float) -> Solid:
    """The prism over one polygon whose outer ring is counterclockwise and whose holes are clockwise."""
    rings = [np.array(ring.coords)[:-1] for ring in (part.exterior, *part.interiors)]
    plan = np.concatenate(rings)
    count = len(plan)
    number = {tuple(point): index for index, point in enumerate(plan)}
    flat = shapely.orient_polygons(shapely.get_parts(shapely.constrained_delaunay_triangles(part)))
    floor = np.array([[number[point] for point in triangle.exterior.coords[:3]] for triangle in flat])
    start = np.concatenate([[0], np.cumsum([len(ring) for ring in rings])])
    here = np.arange(count)
    after = np.concatenate([np.roll(here[a:b], -1) for a, b in pairwise(start)])
    sides = [np.stack([here, after, after + count], axis=1), np.stack([here, after + count, here + count], axis=1)]
    triangles = np.concatenate([floor[:, ::-1], floor + count, *sides]).astype(np.uint64)
    vertices = np.concatenate([np.column_stack([plan, np.full(count, level)]) for level in (low, high)])
    return manifold3d.Manifold(manifold3d.Mesh64(np.ascontiguousarray(vertices), np.ascontiguousarray(triangles)))


def cut(solid: Solid, *, point: ArrayLike, keep: ArrayLike) -> Solid:
    """The part of a solid on the side of the plane through `point` (3,) that `keep` (3,) points to."""
    normal = unit(keep)
    return solid.trim_by_plane(tuple(normal), float(normal @ np.asarray(point, dtype=np.float64)))


def take_out(solid: Solid, parts: list[Solid]) -> Solid:
    """The solid less every part."""
    return manifold3d.Manifold.batch_boolean([solid, *parts], manifold3d.OpType.Subtract) if parts else solid


def join(parts: list[Solid]) -> Solid:
    """Solids that touch or overlap, as one."""
    return manifold3d.Manifold.batch_boolean(parts, manifold3d.OpType.Add)


def common(one: Solid, other: Solid) -> Solid:
    """What two solids have in common."""
    return manifold3d.Manifold.batch_boolean([one, other], manifold3d.OpType.Intersect)


def slice_of(solid: Solid, point: ArrayLike, way: ArrayLike) -> BaseGeometry:
    """The plane section of a solid through `point` (3,), square to the level unit `way` (3,) along which it is seen.

    In metres to the right of the point, and up. manifold3d's sections round to some nanometres.
    """
    origin, along = np.asarray(point, dtype=np.float64), np.asarray(way, dtype=np.float64)
    turned = np.stack([np.cross(along, UP), UP, -along])
    return level_slice(solid.transform(np.column_stack([turned, -turned @ origin])), 0.0)


def level_slice(solid: Solid, height: float) -> BaseGeometry:
    """The plan area of a solid at a height, metres."""
    area: BaseGeometry = shapely.Polygon()
    for contour in solid.slice(height).to_polygons():
        area = area.symmetric_difference(shapely.make_valid(shapely.Polygon(contour)))
    return area


def mesh_of(solid: Solid) -> Mesh:
    """The triangles of a solid, double precision."""
    raw = solid.to_mesh64()
    vertices = np.array(raw.vert_properties[:, :3], dtype=np.float64)
    triangles = np.array(raw.tri_verts, dtype=np.int64)
    vertices.flags.writeable = triangles.flags.writeable = False
    return Mesh(vertices, triangles)

"""Flat shapes on a face: cut-outs, rims, and the outlines of what else sits there."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely.geometry.base import BaseGeometry

from earshed.model.geometry import FRONT, RIGHT, TOUCHING, Array, square_to
from earshed.model.surface import Surface

ROUND = 32
"""Steps in which a quarter of a circle is drawn."""
STEP = 0.002
"""Metres between the points at which an edge is looked at: a gap as wide as that is found an eighth too
wide at the most, wider ones by less."""
_TURNS = 2 * np.pi * (np.arange(4 * ROUND) + 0.5) / (4 * ROUND)
_DISC: Array = np.column_stack([np.cos(_TURNS), np.sin(_TURNS)]) / math.cos(math.pi / (4 * ROUND))
"""Corners of the regular polygon round a circle of radius 1 that touches it along both axes."""


@dataclass(frozen=True, eq=False)
class FaceShape:
    """All within `radius` of a convex `core`, a point, a line or a polygon; in a face's own coordinates, metres.

    A circle has a point for its core, so that distances to it are exact.
    """

    core: shapely.Point | shapely.LineString | shapely.Polygon
    radius: float = 0.0

    @cached_property
    def outline(self) -> shapely.Polygon:
        """Its edge as a polygon; a circle in steps of under 3 degrees."""
        return shapely.Polygon(self.core.buffer(self.radius, quad_segs=ROUND))

    def edge_on(self, surface: Surface) -> Array:
        """Points (N, 3) of its edge on the face that it lies on, the first repeated last."""
        return surface.to_room(shapely.get_coordinates(self.outline))

    @property
    def around(self) -> Array:
        """Points (N, 2) along its edge, close together, in its face's coordinates."""
        return shapely.get_coordinates(self.outline.exterior.segmentize(STEP))

    def away(self, surface: Surface, points: Array) -> Array:
        """Metres (N,) from it, as it lies on its face, to points (N, 3) of the room."""
        flat = surface.to_face(points)
        if isinstance(self.core, shapely.Point):  # making an object of every point takes ten times as long
            beside = np.hypot(*(flat - shapely.get_coordinates(self.core)).T) - self.radius
        else:
            beside = shapely.distance(self.core, shapely.points(flat)) - self.radius
        away: Array = np.hypot(np.maximum(beside, 0.0), (points - surface.origin) @ surface.normal)
        return away

    def gap(self, other: FaceShape) -> float:
        """Metres between two shapes; negative by the shortest move that would part them where they overlap."""
        apart = float(self.core.distance(other.core))
        if apart == 0.0 and not (isinstance(self.core, shapely.Point) and isinstance(other.core, shapely.Point)):
            apart = -_overlap(self.core, other.core)
        return apart - self.radius - other.radius

    def blocked_by(self, other: FaceShape, distance: float) -> shapely.Polygon:
        """Where its origin cannot go, shape and all, if it is to keep a distance (metres) from another shape.

        That is the other shape less this one, point by point (their Minkowski difference), grown by the distance. Round
        corners are drawn outside their circle, so that nothing is left free that is not; level and upright sides touch
        it, so that along the axes of the face no distance is lost.
        """
        apart = shapely.get_coordinates(other.core)[:, None] - shapely.get_coordinates(self.core)
        grown = self.radius + other.radius + distance
        corners = apart.reshape(-1, 1, 2) + max(grown, 0.0) * _DISC
        hull = shapely.LineString(corners.reshape(-1, 2)).convex_hull  # points one by one take ten times as long
        return hull if isinstance(hull, shapely.Polygon) else shapely.Polygon()

    def reach(self, direction: Array) -> float:
        """How far it goes from its middle in a unit direction (2,) of the face, metres."""
        corners = shapely.get_coordinates(self.core) - shapely.get_coordinates(self.core.centroid)[0]
        return float((corners @ direction).max()) + self.radius

    @property
    def size(self) -> float:
        """Metres from any point of it within which all of it lies."""
        low_u, low_v, high_u, high_v = self.core.bounds
        return math.hypot(high_u - low_u, high_v - low_v) + 2 * self.radius

    def room_in(self, outline: BaseGeometry) -> float:
        """Metres between it and the edge of an area that it is to lie in; negative by how far it sticks out."""
        edge = outline.boundary
        rooms = []
        for corner in map(shapely.Point, shapely.get_coordinates(self.core)):
            distance = float(edge.distance(corner))
            rooms.append(distance if outline.intersects(corner) else -distance)
        if isinstance(self.core, shapely.Polygon):
            corners = [shapely.Point(corner) for corner in shapely.get_coordinates(edge)]
            poking = [float(self.core.boundary.distance(corner)) for corner in corners if self.core.contains(corner)]
            rooms.append(-max(poking) if poking else float(self.core.distance(edge)) or min(rooms))
        return min(rooms) - self.radius


def gap_in_room(one: FaceShape, face: Surface, other: FaceShape, its_face: Surface) -> float:
    """Metres through the air between two shapes on two faces, from the points along the edges of both."""
    there = one.away(face, its_face.to_room(other.around))
    back = other.away(its_face, face.to_room(one.around))
    return float(min(there.min(), back.min()))


def round_shape(center: ArrayLike, diameter: float) -> FaceShape:
    """A circle round a point (2,) of a face."""
    return FaceShape(shapely.Point(np.asarray(center, dtype=np.float64)), diameter / 2)


def rectangle_shape(center: ArrayLike, along: Array, length: float, width: float) -> FaceShape:
    """A rectangle round a point (2,) of a face, its `length` along the unit direction `along` (2,)."""
    aside = np.array([-along[1], along[0]]) * width / 2
    ahead = along * length / 2
    corners = np.array([-ahead - aside, ahead - aside, ahead + aside, -ahead + aside])
    return FaceShape(shapely.Polygon(np.asarray(center, dtype=np.float64) + corners))


def hull_shape(points: Array) -> FaceShape:
    """The convex hull of points (N, 2) of a face. Raises ValueError where there are none."""
    hull = shapely.MultiPoint(points).convex_hull
    if hull.is_empty or not isinstance(hull, shapely.Point | shapely.LineString | shapely.Polygon):
        raise ValueError("no points to draw a shape round")
    return FaceShape(hull)


def across_and_back(surface: Surface) -> Array:
    """Unit directions (2, 2) in a face: left to right and front to back; on a wall, level and up."""
    if abs(surface.normal[2]) < TOUCHING:
        return np.eye(2)
    right, front = square_to(RIGHT, surface.normal), square_to(FRONT, surface.normal)
    if right is None or front is None:  # a face that looks down cannot stand square to both
        return np.eye(2)
    across = surface.frame @ right
    back = np.array([-across[1], across[0]])
    return np.array([across, back if back @ (surface.frame @ -front) > 0 else -back])


def _overlap(one: BaseGeometry, other: BaseGeometry) -> float:
    """The shortest move that parts two convex shapes, one of them a polygon (the separating axis theorem)."""
    corners = [shapely.get_coordinates(shape) for shape in (one, other)]
    depths = []
    for ring in corners:
        edges = np.diff(ring, axis=0)
        for edge in edges[np.linalg.norm(edges, axis=1) > 0]:
            axis = np.array([-edge[1], edge[0]]) / np.linalg.norm(edge)
            first, second = (points @ axis for points in corners)
            depths.append(min(first.max() - second.min(), second.max() - first.min()))
    return float(max(0.0, min(depths)))

"""Where on a face a round hole may be cut so that its rim keeps well clear of all that is there: for first places."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from earshed.model.clear_area import clear_area
from earshed.model.face_shape import round_shape
from earshed.model.geometry import Array
from earshed.model.hole import HoleShape
from earshed.model.obstacle import Level, Obstacle
from earshed.model.scene import Scene
from earshed.model.surface import Surface
from earshed.model.surroundings import obstacles_on
from earshed.model.units import INCH

KEPT_CLEAR = 2 * INCH
"""Metres at the least between a rim and whatever else is there. Common practice, no source."""
FAR = 1000.0
"""Metres: beyond any room."""


def clear_part(scene: Scene, face: Surface, radius: float, holes: Sequence[tuple[Array, float]]) -> BaseGeometry:
    """The part of a face, in its own coordinates, on which the center of a rim of `radius` metres is clear.

    `holes` are others' centers (3,) with their radii.
    """
    rim = round_shape(np.zeros(2), 2 * radius)
    near = [hole for hole in holes if abs((hole[0] - face.origin) @ face.normal) < radius + hole[1] + KEPT_CLEAR]
    others = [
        Level("rims-meet", "warning", "rim", round_shape(face.to_face(center), 2 * other), KEPT_CLEAR)
        for center, other in near
    ]
    there = [*map(_well_clear, obstacles_on(scene, face)), Obstacle("another speaker", "speakers", tuple(others))]
    return clear_area(face.outline, there, HoleShape(rim, rim))


def _well_clear(obstacle: Obstacle) -> Obstacle:
    """An obstacle of which rims keep at least KEPT_CLEAR."""
    levels = tuple(
        replace(level, distance=max(level.distance, KEPT_CLEAR)) if level.part == "rim" else level
        for level in obstacle.levels
    )
    return replace(obstacle, levels=levels)


def beyond(face: Surface, direction: Array, point: Array) -> BaseGeometry:
    """The part of a face's plane that lies past `point` (3,) in a `direction` (3,), in face coordinates."""
    slope = face.frame @ direction
    start = float((point - face.origin) @ direction)
    steep = float(np.hypot(*slope))
    if steep < 1e-9:  # all of the plane is as far that way
        return shapely.box(-FAR, -FAR, FAR, FAR) if start <= 0 else shapely.Polygon()
    ahead, foot = slope / steep, slope * start / steep**2
    aside = np.array([-ahead[1], ahead[0]]) * FAR
    return shapely.Polygon([foot - aside, foot + aside, foot + aside + ahead * FAR, foot - aside + ahead * FAR])


def nearest_place(face: Surface, part: BaseGeometry, wanted: Array) -> Array | None:
    """The point (3,) of a part of a face nearest to a wanted point (3,); None where the part is empty."""
    if part.is_empty:
        return None
    _, spot = nearest_points(shapely.Point(face.to_face(wanted)), part)
    return face.to_room([spot.x, spot.y])

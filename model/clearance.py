"""Where on a face a round hole may be cut so that its rim keeps clear of edges, openings, the picture and boxes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from earshed.model.block import Block
from earshed.model.geometry import Array
from earshed.model.scene import Scene
from earshed.model.surface import Surface
from earshed.model.units import INCH

KEPT_CLEAR = 2 * INCH
"""Metres between a rim and whatever else is there. Common practice, no source."""
FAR = 1000.0
"""Metres: beyond any room."""


def clear_part(scene: Scene, face: Surface, radius: float, holes: Sequence[tuple[Array, float]]) -> BaseGeometry:
    """The part of a face, in its own coordinates, on which the center of a rim of `radius` metres is clear.

    `holes` are others' centers (3,) with their radii.
    """
    around = radius + KEPT_CLEAR
    clear = face.outline.buffer(-around)
    patches = [*scene.openings, *([scene.screen] if scene.screen else [])]
    taken: list[BaseGeometry] = [
        shapely.Polygon(face.to_face(patch.corners)).buffer(around) for patch in patches if face.name == patch.wall.name
    ]
    taken += [
        shapely.Point(face.to_face(center)).buffer(around + other)
        for center, other in holes
        if abs((center - face.origin) @ face.normal) < around + other
    ]
    taken += [
        shapely.MultiPoint(face.to_face(_corners(block))).convex_hull.buffer(around)
        for block in (*scene.room.boxes, *scene.room.risers)
        if ((_corners(block) - face.origin) @ face.normal).min() < around
    ]
    return clear.difference(shapely.union_all(taken)) if taken else clear


def _corners(block: Block) -> Array:
    """The corners (8, 3) of a block."""
    plan = block.corners
    return np.concatenate([np.column_stack([plan, np.full(len(plan), end[2])]) for end in (block.lower, block.upper)])


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

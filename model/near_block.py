"""How near a face a block in the room comes, and where."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from earshed.model.block import Block
from earshed.model.face_shape import FaceShape, gap_in_room, hull_shape
from earshed.model.geometry import TOUCHING, Array
from earshed.model.surface import Surface, face_from_corners


def block_before(block: Block, surface: Surface, within: float) -> FaceShape | None:
    """The part of a block that comes within some metres of a face, dropped square onto it; None where none does."""
    corners = _corners(block)
    away = (corners - surface.origin) @ surface.normal
    low, high = -TOUCHING, max(within, TOUCHING)
    if away.min() > high or away.max() < low:
        return None
    points = [corners[(away >= low) & (away <= high)]]
    count = len(block.corners)
    ring = np.arange(count)
    after = np.roll(ring, -1)
    edges = np.concatenate([np.c_[ring, after], np.c_[ring + count, after + count], np.c_[ring, ring + count]])
    for limit in (low, high):
        start, end = away[edges[:, 0]], away[edges[:, 1]]
        crossed = (start - limit) * (end - limit) < 0
        share = ((limit - start[crossed]) / (end[crossed] - start[crossed]))[:, None]
        points.append(corners[edges[crossed, 0]] * (1 - share) + corners[edges[crossed, 1]] * share)
    near = np.concatenate(points)
    if len(near) == 0:
        return None
    return hull_shape(surface.to_face(near))


def distance_before(block: Block, surface: Surface) -> float:
    """Metres from a face to what of a block is nearest before it, square to the face; 0 where it meets the face."""
    return max(0.0, float(((_corners(block) - surface.origin) @ surface.normal).min()))


def block_gap(block: Block, surface: Surface, shape: FaceShape) -> float:
    """Metres between a block and a shape on a face; 0 where the edge of the shape goes into it."""
    edge = surface.to_room(shape.around)
    if np.any(block.holds(edge)):
        return 0.0
    seen = [face for face in block_faces(block) if np.any((edge - face.origin) @ face.normal > -TOUCHING)]
    outlines = (hull_shape(shapely.get_coordinates(face.outline)) for face in seen)  # what is behind others is farther
    return min((gap_in_room(shape, surface, *each) for each in zip(outlines, seen, strict=True)), default=0.0)


def block_faces(block: Block) -> Iterator[Surface]:
    """The faces of a block that have an area: its sides in turn, its underside and its top, all by its name."""
    corners, count = _corners(block), len(block.corners)
    ring = np.arange(count)
    sides = np.column_stack([ring, np.roll(ring, -1), np.roll(ring, -1) + count, ring + count])
    for around, normal in zip([*sides, ring, ring + count], block.planes[0], strict=True):
        face = face_from_corners(block.name, "side", corners[around], normal)
        if face.area > 0:
            yield face


def _corners(block: Block) -> Array:
    """Its corners (2 N, 3), the lower ones first."""
    plan = block.corners
    top = np.full(len(plan), block.top)
    return np.concatenate([np.c_[plan, block.under.height(plan)], np.c_[plan, top]])

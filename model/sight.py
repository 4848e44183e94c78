"""Lines of sight: whether a straight segment stays in the room's air, and what it meets first."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from earshed.model.block import TOUCHING, Block
from earshed.model.geometry import Array
from earshed.model.room import Room
from earshed.model.solid import Mesh

_SLACK = 1e-12


def ray_distances(origins: ArrayLike, directions: ArrayLike, mesh: Mesh) -> Array:
    """Distances (R, T) along rays from `origins` (R, 3) in `directions` (R, 3) to each triangle; inf where they miss.

    In units of the direction's length; hits behind the origin count as misses.
    T. Moller and B. Trumbore, "Fast, minimum storage ray/triangle intersection", J. Graphics Tools 2 (1), 1997.
    """
    origins = np.asarray(origins, dtype=np.float64)[:, None]
    directions = np.asarray(directions, dtype=np.float64)[:, None]
    first, second, third = np.moveaxis(mesh.corners, 1, 0)
    edge_1, edge_2 = second - first, third - first
    across = np.cross(directions, edge_2)
    determinant = np.sum(across * edge_1, axis=-1)
    parallel = np.abs(determinant) < _SLACK
    inverse = 1 / np.where(parallel, 1.0, determinant)
    offset = origins - first
    u = np.sum(offset * across, axis=-1) * inverse
    around = np.cross(offset, edge_1)
    v = np.sum(around * directions, axis=-1) * inverse
    distance = np.sum(around * edge_2, axis=-1) * inverse
    hit = ~parallel & (u >= -_SLACK) & (v >= -_SLACK) & (u + v <= 1 + _SLACK) & (distance >= 0)
    return np.where(hit, distance, np.inf)


def crosses_block(start: Array, end: Array, block: Block) -> bool:
    """Whether the segment between two points (3,) runs through a block's inside, not merely along or up to a face."""
    step = end - start
    enter, leave = 0.0, 1.0
    for axis in range(3):
        if abs(step[axis]) < _SLACK:
            if not block.lower[axis] + TOUCHING < start[axis] < block.upper[axis] - TOUCHING:
                return False
            continue
        ends = sorted(((block.lower[axis] - start[axis]) / step[axis], (block.upper[axis] - start[axis]) / step[axis]))
        enter, leave = max(enter, ends[0]), min(leave, ends[1])
    return bool((leave - enter) * np.linalg.norm(step) > TOUCHING)


def crosses_shell(start: Array, end: Array, room: Room) -> bool:
    """Whether the segment between two points (3,) goes through a wall, the ceiling or the floor."""
    length = float(np.linalg.norm(end - start))
    if length < TOUCHING:
        return False
    distance = ray_distances(start[None], (end - start)[None] / length, room.shell)
    return bool(np.any((distance > TOUCHING) & (distance < length - TOUCHING)))


def obstacle_between(start: Array, end: Array, room: Room) -> str | None:
    """Name of what the straight segment between two points (3,) meets, or None where the view is free."""
    for box in room.boxes:
        if crosses_block(start, end, box):
            return box.name
    return "a wall" if crosses_shell(start, end, room) else None

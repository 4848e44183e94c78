"""Lines of sight: whether a straight segment stays in the room's air, and what it meets first."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from earshed.model.block import Block
from earshed.model.ceiling import ceiling_height
from earshed.model.fixture import Hanging
from earshed.model.geometry import TOUCHING, Array
from earshed.model.room import Room
from earshed.model.solid import Mesh

_SLACK = 1e-12
GRAZING = 1e-5
"""Metres by which a line may pass a ceiling that it ends on, through rounding at the edge of a zone."""


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


def way_to_block(start: Array, end: Array, block: Block) -> float | None:
    """How far along the segment between two points (3,) a block's inside begins, as a share; None where it misses.

    To run along a face, or up to one, is to miss.
    """
    normals, offsets = block.planes
    ahead, away = normals @ (end - start), offsets - normals @ start
    level = np.abs(ahead) < _SLACK
    if np.any(away[level] < TOUCHING):
        return None
    at = away[~level] / ahead[~level]
    enter = max(0.0, float(at[ahead[~level] < 0].max(initial=0.0)))
    leave = min(1.0, float(at[ahead[~level] > 0].min(initial=1.0)))
    return enter if (leave - enter) * np.linalg.norm(end - start) > TOUCHING else None


def shell_between(start: Array, end: Array, room: Room) -> str | None:
    """What of the shell the segment between two points (3,) goes through, not merely along; None where it stays inside.

    A ceiling is the lowest of its planes, so within one zone it is never crossed between two points both under it.
    """
    length = float(np.hypot(*(end - start)[:2]))
    way = shapely.LineString([start[:2], end[:2]]) if length > TOUCHING else shapely.Point(start[:2])
    if not room.plan.polygon.buffer(TOUCHING).covers(way):
        return "a wall"
    if min(start[2], end[2]) < -TOUCHING:
        return "the floor"
    for zone in room.zones:
        within = shapely.get_coordinates(way.intersection(zone.outline.buffer(TOUCHING)))
        if length > TOUCHING:
            share = np.hypot(*(within - start[:2]).T) / length
            heights = start[2] + share * (end[2] - start[2])
        else:
            heights = np.full(len(within), max(start[2], end[2]))
        if np.any(heights > ceiling_height(zone.planes, within) + GRAZING):
            return "the ceiling"
    return None


def obstacle_between(start: Array, end: Array, room: Room, furniture: Iterable[Block] = ()) -> str | None:
    """Name of the first box, riser or piece of furniture on the straight way between two points (3,), else what of the
    shell is; None if free."""
    return block_between(start, end, (*room.boxes, *room.risers, *furniture)) or shell_between(start, end, room)


def block_between(start: Array, end: Array, blocks: Iterable[Block]) -> str | None:
    """Name of the first of some blocks on the straight way between two points (3,); None where none is."""
    met = [(way, block.name) for block in blocks if (way := way_to_block(start, end, block)) is not None]
    return min(met)[1] if met else None


def meets_hanging(starts: Array, ends: Array, hanging: Hanging) -> NDArray[np.bool_]:
    """Whether segments between points (..., 3) that broadcast pass within what hangs, blades or a shade."""
    ways = ends - starts
    drop = ways[..., 2]
    level = np.abs(drop) <= TOUCHING
    safe = np.where(level, 1.0, drop)
    at = np.sort(np.stack([(height - starts[..., 2]) / safe for height in (hanging.bottom, hanging.top)]), axis=0)
    beside = (starts[..., 2] >= hanging.bottom) & (starts[..., 2] <= hanging.top)
    enter, leave = np.where(level, 0.0, np.maximum(at[0], 0.0)), np.where(level, 1.0, np.minimum(at[1], 1.0))
    off = starts[..., :2] - hanging.center
    square = np.sum(ways[..., :2] ** 2, axis=-1)
    nearest = -np.sum(off * ways[..., :2], axis=-1) / np.where(square > 0.0, square, 1.0)
    share = np.clip(nearest, enter, np.maximum(enter, leave))
    away = np.linalg.norm(off + share[..., None] * ways[..., :2], axis=-1)
    meets: NDArray[np.bool_] = np.where(level, beside, enter <= leave) & (away < hanging.radius)
    return meets

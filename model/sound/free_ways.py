"""Whether straight ways between many pairs of points are free: `model/sight.py` for all of them at once."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from earshed.model.block import Block
from earshed.model.ceiling import ceiling_height
from earshed.model.geometry import TOUCHING, Array
from earshed.model.room import Room
from earshed.model.sight import GRAZING

Mask = NDArray[np.bool_]
_SLACK = 1e-12


def free_ways(starts: Array, ends: Array, room: Room) -> Mask:
    """Which of the ways (N,) between points (N, 3) of the shell stay in it, and out of boxes and risers.

    To run along a face, or up to one, is to be free.
    """
    free = _stay_inside(starts, ends, room)
    for block in (*room.boxes, *room.risers):
        at = np.flatnonzero(free)
        free[at] = ~_through(starts[at], ends[at], block)
    return free


def holds_every_way(room: Room) -> bool:
    """Whether every way between two points of a room is free: nothing stands in it, and its shell is convex, as that of
    a convex plan under the lowest of some planes is."""
    return not room.boxes and not room.risers and _is_convex(room)


def in_shell(points: Array, room: Room) -> Mask:
    """Which points (..., 3) are within the shell or on its faces."""
    plan = room.plan.polygon.buffer(TOUCHING, join_style="mitre")
    z = points[..., 2]
    under = (z >= -TOUCHING) & (z <= room.ceiling_over(points[..., :2]) + GRAZING)
    inside: Mask = under & shapely.intersects_xy(plan, points[..., 0], points[..., 1])
    return inside


def _is_convex(room: Room) -> bool:
    plan = room.plan.polygon
    return len(room.zones) == 1 and bool(plan.convex_hull.area - plan.area < TOUCHING)


def _through(starts: Array, ends: Array, block: Block) -> Mask:
    """Which ways (N,) go through the inside of a block: by where they enter and leave its faces."""
    normals, offsets = block.planes
    here = starts @ normals.T - offsets
    there = ends @ normals.T - offsets
    ahead = there - here
    level = np.abs(ahead) < _SLACK
    at = -here / np.where(level, 1.0, ahead)
    enter = np.where(~level & (ahead < 0), at, 0.0).max(axis=1)
    leave = np.where(~level & (ahead > 0), at, 1.0).min(axis=1)
    enter, leave = np.maximum(enter, 0.0), np.minimum(leave, 1.0)
    beside = np.any(level & (here > -TOUCHING), axis=1)
    inside: Mask = ~beside & ((leave - enter) * np.linalg.norm(ends - starts, axis=1) > TOUCHING)
    return inside


def _stay_inside(starts: Array, ends: Array, room: Room) -> Mask:
    """Which ways (N,) between points of the shell stay in it."""
    if _is_convex(room):
        return np.ones(len(starts), dtype=bool)
    plan = room.plan.polygon.buffer(TOUCHING, join_style="mitre")
    inside: Mask = np.minimum(starts[:, 2], ends[:, 2]) >= -TOUCHING
    runs = np.linalg.norm((ends - starts)[:, :2], axis=1)
    upright = runs < TOUCHING
    nudged = ends[:, :2] + upright[:, None] * np.array([TOUCHING / 2, 0.0])  # a line needs two points
    lines = np.asarray(shapely.linestrings(np.stack([starts[:, :2], nudged], axis=1)), dtype=object)
    shapely.prepare(plan)
    inside &= shapely.covers(plan, lines)
    for zone in room.zones:
        under = zone.outline.buffer(TOUCHING, join_style="mitre")
        at = np.flatnonzero(inside & shapely.intersects(under, lines))
        spots, part = shapely.get_coordinates(shapely.intersection(lines[at], under), return_index=True)
        way = at[part]
        share = np.linalg.norm(spots - starts[way, :2], axis=1) / np.where(upright, 1.0, runs)[way]
        height = starts[way, 2] + share * (ends - starts)[way, 2]
        height = np.where(upright[way], np.maximum(starts, ends)[way, 2], height)
        inside[way[height > ceiling_height(zone.planes, spots) + GRAZING]] = False
    return inside

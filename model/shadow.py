"""Shadows on the listening plane: which of its points a speaker does not reach in a straight line, and past what.

A block hides from a place all that lies beyond it as seen from there. That part of space is convex too, and bounded by
planes; it meets each row of the grid in one stretch, so a shadow is painted row by row and no line is followed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from earshed.model.block import Block
from earshed.model.geometry import TOUCHING, Array
from earshed.model.listening_plane import ListeningPlane

Hider = NDArray[np.int16]
Index = NDArray[np.intp]

_LEVEL = 1e-9
"""Part of a plane's unit normal under which the plane counts as running along a row."""


def shadow_maps(plane: ListeningPlane, positions: Array, faces: Array) -> Hider:
    """For each plane point (S, ny, nx), which of some blocks hides it from each of `positions` (S, 3); -1 where none
    does.

    `faces` (B, F, 4) are those of the blocks. Of several blocks the first counts. Exact but for TOUCHING: a way that
    runs along a face, or up to one, is free.
    """
    hider = np.full((len(positions), *plane.height.shape), -1, dtype=np.int16)
    for mine, position in zip(hider, positions, strict=True):
        _paint(mine, plane, position, faces)
    return hider


def _paint(hider: Hider, plane: ListeningPlane, position: Array, faces: Array) -> None:
    """Puts into a map (ny, nx) which block hides each point from one position (3,)."""
    columns = np.arange(len(plane.x), dtype=np.int32)
    sides, owner = beyond(position, faces)
    for level in plane.levels:
        for index, mine in _that_meet(plane, level, sides, owner, len(faces)):
            rows, first, past = _stretches(mine, plane.x, plane.y, level)
            if len(rows) == 0:
                continue
            here, there = slice(rows[0], rows[-1] + 1), slice(first.min(), past.max())
            hidden = (columns[there] >= first[:, None]) & (columns[there] < past[:, None])
            if len(plane.levels) > 1:
                hidden &= plane.height[here, there] == level
            np.copyto(hider[here, there], np.int16(index), where=hidden)


def faces_of(blocks: Sequence[Block]) -> Array:
    """The faces (B, F, 4) of some blocks as planes: unit normals outwards, and constants with which normal . P +
    constant is the height of a point P over a face. Of a block with fewer of them than another, the last is repeated.
    """
    most = max((len(block.planes[1]) for block in blocks), default=0)
    faces = np.empty((len(blocks), most, 4))
    for mine, block in zip(faces, blocks, strict=True):
        normals, offsets = block.planes
        count = len(offsets)
        mine[:count, :3], mine[:count, 3] = normals, -offsets
        mine[count:] = mine[count - 1]
    return faces


def beyond(position: Array, faces: Array) -> tuple[Array, Index]:
    """What blocks with these `faces` (B, F, 4) hide from `position` (3,), each the space within some planes (N, 4); the
    second array (N,) says of which block.

    A point P is hidden where normal . P + constant < 0 for all planes of a block. P is beyond a block if a share u of
    the way to it, 0 < u <= 1, lies inside every face. With s and p the heights of the two ends over a face,
    u > s / (s - p) for a face with s > 0, and u < s / (s - p) for another if p > 0. There is such a u where p < 0 for
    each face of the first kind, and s p' < s' p for each of them with each s', p' of the others (elimination of u as
    by J. Fourier and T. Motzkin).
    """
    blocks, count = faces.shape[:2]
    over = faces[..., :3] @ position + faces[..., 3]
    before = over > TOUCHING
    through = over[:, :, None, None] * faces[:, None] - over[:, None, :, None] * faces[:, :, None]
    pairs = before[:, :, None] & ~before[:, None]
    planes = np.concatenate([faces, through.reshape(blocks, count**2, 4)], axis=1)
    bounds = np.concatenate([over >= -TOUCHING, pairs.reshape(blocks, count**2)], axis=1)
    sides, owner = planes[bounds], np.nonzero(bounds)[0]
    size = np.sqrt(np.einsum("ij,ij->i", sides[:, :3], sides[:, :3]))
    real = size > TOUCHING**2
    return sides[real] / size[real, None], owner[real]


def _that_meet(
    plane: ListeningPlane, level: float, sides: Array, owner: Index, count: int
) -> Iterator[tuple[int, Array]]:
    """Of `count` blocks, the last first, those whose hidden space may reach the grid at a level, with those of its
    planes that cut the grid: what the four corners of a grid say of a plane all of the grid does."""
    corners = np.array([[x, y, level, 1.0] for x in plane.x[[0, -1]] for y in plane.y[[0, -1]]])
    within = sides @ corners.T < -TOUCHING
    misses = np.zeros(count, dtype=bool)
    misses[owner[~within.any(axis=1)]] = True
    cutting = ~within.all(axis=1)
    sides, owner = sides[cutting], owner[cutting]
    starts = np.searchsorted(owner, np.arange(count + 1))
    for index in np.flatnonzero(~misses)[::-1]:
        yield int(index), sides[starts[index] : starts[index + 1]]


def _stretches(sides: Array, x: Array, y: Array, level: float) -> tuple[Index, Index, Index]:
    """The rows (R,) of a grid at a level that meet the inner side of all planes (M, 4), which follow one another, and
    in each the first column (R,) on that side and the first one past it (R,)."""
    right, front, up, constant = sides.T
    spare = (-TOUCHING - constant - up * level)[:, None] - front[:, None] * y
    rising, falling = right > _LEVEL, right < -_LEVEL
    least = (spare[falling] / right[falling, None]).max(axis=0, initial=x[0] - 1.0)
    most = (spare[rising] / right[rising, None]).min(axis=0, initial=x[-1] + 1.0)
    meets = (least < most) & (least < x[-1]) & (most > x[0])
    along = ~(rising | falling)
    if along.any():
        meets &= (spare[along] > 0).all(axis=0)
    rows = np.flatnonzero(meets)
    return rows, np.searchsorted(x, least[rows], side="right"), np.searchsorted(x, most[rows], side="left")

"""Chairs, and the sofas that chairs side by side make, as meshes for drawing."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

import numpy as np
import pyvista as pv

from earshed.model.furniture import BACK_DEPTH, BACK_WIDTH, BEHIND_EARS
from earshed.model.geometry import Array
from earshed.model.seating import Seat
from earshed.model.units import INCH

SEAT_HEIGHT, SEAT_DEPTH = 17.5 * INCH, 22 * INCH
"""Metres: of the cushion's top over the floor, and from its front to the back. Common practice, no source."""
ARM_WIDTH, ARM_OVER_SEAT = 4 * INCH, 6.5 * INCH
"""Metres: of an arm, and how far it comes over the cushion. Common practice, no source."""
CUSHION, FOOT_OFF, LOWEST = 0.15, 0.03, 0.15
"""Metres: how thick a cushion is, how far a chair stands off the floor, and the lowest that one sits."""
SEAM = 0.004
"""Metres between two cushions."""
SAME_ROW = 0.15
"""Metres by which one ear may be ahead of the next in one sofa."""
CORNER = 0.035
"""Metres: the radius of a cushion's edges."""
ARC = np.tan(np.radians([22.5, 45.0]))
"""Where facets of a round edge meet, in parts of its radius."""


def seat_mesh(seat: Seat, floor: float, ahead: Array, others: Sequence[Seat] = ()) -> pv.PolyData:
    """An armchair under a seat's ears, its back away from the direction `ahead` (2,).

    Towards one of the `others` that is too near beside it for two arms it has none, so that they are one sofa.
    """
    ear_above = float(seat.ear[2]) - floor
    sit = max(LOWEST, min(SEAT_HEIGHT, 0.6 * ear_above))
    base = max(2 * FOOT_OFF, sit - CUSHION)
    top = ear_above - 0.12 if seat.back_top is None else seat.back_top - floor
    top = max(sit + 0.12, min(top, ear_above + 0.35))
    left, right = (_reach(seat, others, way, ahead) for way in (-1.0, 1.0))
    low, high = -left[0] + SEAM, right[0] - SEAM
    back, front = -BEHIND_EARS - BACK_DEPTH, SEAT_DEPTH - BEHIND_EARS
    parts = [
        ((low, -BEHIND_EARS, FOOT_OFF), (high, front - 0.02, base)),
        ((low, -BEHIND_EARS - 0.02, base - SEAM), (high, front, sit)),
        ((low, back, FOOT_OFF), (high, -BEHIND_EARS, top)),
    ]
    for (reach, has_arm), way in ((left, -1.0), (right, 1.0)):
        if has_arm:
            ends = sorted((way * reach, way * (reach + ARM_WIDTH)))
            parts.append(((ends[0], back + 0.01, FOOT_OFF), (ends[1], front - 0.03, sit + ARM_OVER_SEAT)))
    chair = pv.merge([cushion(np.array(one), np.array(other)) for one, other in parts], merge_points=False)
    chair.points = _in_room(chair.points, seat, floor, ahead)
    return chair


def chair_box(seat: Seat, floor: float, ahead: Array) -> Array:
    """Corners (8, 3) of the box round a chair up to the ears."""
    half = BACK_WIDTH / 2 + ARM_WIDTH
    ends = [(-half, half), (-BEHIND_EARS - BACK_DEPTH, SEAT_DEPTH - BEHIND_EARS), (0.0, float(seat.ear[2]) - floor)]
    return _in_room(np.array(list(product(*ends))), seat, floor, ahead)


def _in_room(points: Array, seat: Seat, floor: float, ahead: Array) -> Array:
    """Points (N, 3) to the right of a seat's ears, ahead of them and up from its floor, in the room."""
    turn = np.array([[ahead[1], -ahead[0], 0.0], [ahead[0], ahead[1], 0.0], [0.0, 0.0, 1.0]])
    placed: Array = points @ turn + [seat.ear[0], seat.ear[1], floor]
    return placed


def _reach(seat: Seat, others: Sequence[Seat], way: float, ahead: Array) -> tuple[float, bool]:
    """Metres from the middle of a chair to the left (-1) or right (1) side of its cushion, and if an arm is there."""
    aside = way * np.array([ahead[1], -ahead[0]])
    for other in others:
        apart = other.ear - seat.ear
        along = float(apart[:2] @ aside)
        if other.chair == seat.chair or abs(float(apart[:2] @ ahead)) > SAME_ROW or abs(apart[2]) > SAME_ROW:
            continue
        if 0.4 < along < BACK_WIDTH + 2 * (ARM_WIDTH + SEAM):
            return along / 2, False
    return BACK_WIDTH / 2, True


def cushion(low: Array, high: Array, radius: float = CORNER) -> pv.PolyData:
    """A box between two corners (3,), metres, with round edges."""
    half = (high - low) / 2
    radius = min(radius, 0.45 * float(half.min()))
    inner = half - radius
    steps = radius * np.concatenate([[0.0], ARC])
    marks = [np.concatenate([-(inner[axis] + steps)[::-1], inner[axis] + steps]) for axis in range(3)]
    points, faces, count = [], [], 0
    for axis in range(3):
        one, other = (axis + 1) % 3, (axis + 2) % 3
        u, v = np.meshgrid(marks[one], marks[other], indexing="ij")
        rows, columns = u.shape
        here = (np.arange(rows - 1)[:, None] * columns + np.arange(columns - 1)).ravel()
        quads = np.stack([here, here + columns, here + columns + 1, here + 1], axis=-1)
        for side in (-1.0, 1.0):
            face = np.empty((rows * columns, 3))
            face[:, one], face[:, other], face[:, axis] = u.ravel(), v.ravel(), side * half[axis]
            points.append(face)
            faces.append((quads if side > 0 else quads[:, ::-1]) + count)
            count += len(face)
    flat = np.concatenate(points)
    core = np.clip(flat, -inner, inner)
    out = flat - core
    rounded = core + radius * out / np.linalg.norm(out, axis=1, keepdims=True) + (low + high) / 2
    cells = np.concatenate(faces)
    made = pv.PolyData(rounded, faces=np.hstack([np.full((len(cells), 1), 4), cells]).ravel())
    return made.clean(tolerance=1e-6, absolute=True)

"""Directions, angles and frames in space; xyz on the last axis, leading axes broadcast."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

RIGHT = np.array([1.0, 0.0, 0.0])
FRONT = np.array([0.0, 1.0, 0.0])
UP = np.array([0.0, 0.0, 1.0])
for _axis in (RIGHT, FRONT, UP):
    _axis.flags.writeable = False

PARALLEL = 1e-9
"""Sine under which two unit vectors count as parallel: far below what any tape or level can tell."""


TOUCHING = 1e-6
"""Metres within which things touch without overlapping."""
HAIR = 1e-8
"""Metres by which solids are grown to meet: far more than rounding leaves, far less than changes a printed figure."""
STAND_OFF = 1e-4
"""Metres in front of a face at which what sits in it is taken to begin."""


def frozen(values: ArrayLike) -> Array:
    """A read-only float64 copy, for arrays kept in frozen types."""
    array = np.array(values, dtype=np.float64)
    array.flags.writeable = False
    return array


def unit(vectors: ArrayLike) -> Array:
    """Vectors (..., 3) scaled to length one. Raises ValueError for a vector of no length."""
    vectors = np.asarray(vectors, dtype=np.float64)
    length = np.linalg.norm(vectors, axis=-1, keepdims=True)
    if np.any(length == 0):
        raise ValueError("a direction of no length")
    scaled: Array = vectors / length
    return scaled


def angle_between(a: ArrayLike, b: ArrayLike) -> Array:
    """Angle in radians, 0 to pi, between vectors (..., 3): atan2(|a x b|, a . b).

    Unlike the arc cosine it keeps full precision for directions nearly the same or nearly opposite
    (W. Kahan, "How Futile are Mindless Assessments of Roundoff", 2006, section 12). A vector of no length gives 0.
    """
    a, b = np.asarray(a, dtype=np.float64), np.asarray(b, dtype=np.float64)
    ax, ay, az, bx, by, bz = (each[..., axis] for each in (a, b) for axis in range(3))
    x, y, z = ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx  # np.cross takes four times as long for a few
    angle: Array = np.arctan2(np.sqrt(x * x + y * y + z * z), ax * bx + ay * by + az * bz + 0.0)  # of -0.0 it were pi
    return angle


def square_to(direction: ArrayLike, normal: Array) -> Array | None:
    """Unit vector along the part of `direction` (3,) square to the unit `normal` (3,); None where they are parallel."""
    direction = unit(direction)
    part = direction - (direction @ normal) * normal
    length = float(np.linalg.norm(part))
    return None if length < PARALLEL else part / length


def tilted(normal: Array, toward: ArrayLike, angle: float) -> Array:
    """Axis (3,) at `angle` radians from the unit `normal` (3,), leaning towards the direction `toward` (3,).

    With t the unit part of `toward` square to the normal, the axis is cos(angle) n + sin(angle) t.
    Raises ValueError where `toward` is parallel to the normal, so that no lean is named.
    """
    lean = square_to(toward, normal)
    if lean is None:
        raise ValueError("it already faces that way, or straight away from it; give a heading to the side of it")
    axis: Array = np.cos(angle) * normal + np.sin(angle) * lean
    return axis


def face_frame(normal: Array) -> tuple[Array, Array]:
    """Unit vectors (level, upslope), each (3,), in the plane square to the unit `normal` (3,).

    `level` is horizontal and runs left to right, or front to back where it does not cross the room at all;
    `upslope` points to the high side. On a horizontal face, which has none, they are right and front.
    """
    upslope = square_to(UP, normal)
    if upslope is None:
        return RIGHT, FRONT
    level = unit(np.cross(UP, normal))
    backwards = level[0] < -PARALLEL or (abs(level[0]) <= PARALLEL and level[1] > 0)
    return (-level if backwards else level), upslope

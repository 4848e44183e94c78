"""The axes among which the best one is, as formulas that serve one position or very many.

The least cosine over listeners, max min a . d, can be largest only at a listener, midway between two, equally far from
three, or on the rim of what a type reaches, at the lean nearest to one listener or where two are equally far. Every
axis here is one that the formula yields or one on the rim, so each can be tried: none claims more than it gives.

Unlike elsewhere xyz stands on the *first* axis, (3, ...), and positions stand last, so that work on many positions
runs along memory. Trailing axes broadcast.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from earshed.model.geometry import FRONT, PARALLEL, UP, Array

NO_LENGTH = 1e-15
"""Length under which the difference or sum of unit vectors is rounding, and names no direction."""
ON_THE_RIM = 1e-12
"""Chord by which an axis may pass the rim through rounding and still lie within it."""


def dot(a: Array, b: Array) -> Array:
    """Scalar products (...) of vectors (3, ...)."""
    product: Array = a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
    return product


def cross(a: Array, b: Array) -> Array:
    """Vector products (3, ...) of vectors (3, ...)."""
    return np.stack([a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]])


def chords(a: Array, b: Array) -> Array:
    """Squared distances (...) between the tips of unit vectors (3, ...): 2 - 2 cos, but precise at small angles too."""
    x, y, z = a[0] - b[0], a[1] - b[1], a[2] - b[2]
    squared: Array = x * x + y * y + z * z
    return squared


def _unit_or(vectors: Array, otherwise: Array) -> Array:
    """Vectors (3, ...) scaled to length one, and something else where they have none."""
    length = np.sqrt(dot(vectors, vectors))
    scaled = vectors / np.maximum(length, NO_LENGTH)
    short = length <= NO_LENGTH
    return np.where(short, otherwise, scaled) if short.any() else scaled


def lean_ahead(normal: Array) -> Array:
    """Unit vectors (3, ...) in the face square to unit normals (3, ...): the lean nearest to front, else to up."""
    leans = [direction.reshape(3, *[1] * (normal.ndim - 1)) - direction @ normal * normal for direction in (FRONT, UP)]
    front, up = leans
    facing = dot(front, front) < PARALLEL**2
    return _unit_or(np.where(facing, up, front), up)


@dataclass(frozen=True, eq=False)
class Reach:
    """Axes within `angle` (radians, under a right angle) of normals (3, ...); the rim is those just at it."""

    normal: Array
    ahead: Array
    angle: float

    def rim(self, leans: Array) -> Array:
        """Axes (3, ...) on the rim, towards unit leans (3, ...) along the face."""
        axes: Array = np.cos(self.angle) * self.normal + np.sin(self.angle) * leans
        return axes

    def holds(self, axes: Array) -> NDArray[np.bool_]:
        """Whether axes (3, ...) lie within reach, rim included."""
        inside: NDArray[np.bool_] = np.sqrt(chords(axes, self.normal)) <= 2 * np.sin(self.angle / 2) + ON_THE_RIM
        return inside

    def peaks(self, a: Array) -> Array:
        """The axes on the rim nearest to directions (3, ...); ahead where all are as near."""
        return self.rim(_unit_or(a - dot(a, self.normal) * self.normal, self.ahead))

    def crossings(self, a: Array, b: Array) -> tuple[Array, Array]:
        """The two axes on the rim as far from one direction as from another; where they never are, the nearest to it.

        Such axes lie square to a - b. With u the lean of a - b, and w square to it, the lean is k u + sqrt(1 - k²) w.
        """
        split = a - b
        level = dot(split, self.normal)
        across = split - level * self.normal
        swing = np.sin(self.angle) * np.sqrt(dot(across, across))
        along = np.clip(-np.cos(self.angle) * level / np.maximum(swing, NO_LENGTH), -1.0, 1.0)
        one = _unit_or(across, self.ahead)
        middle, aside = along * one, np.sqrt(1 - along * along) * cross(self.normal, one)
        return self.rim(middle + aside), self.rim(middle - aside)

    def midways(self, a: Array, b: Array) -> Array:
        """The directions midway between two (3, ...)."""
        return _unit_or(a + b, self.rim(self.ahead))

    def centers(self, a: Array, b: Array, c: Array) -> Array:
        """The directions as far from each of three (3, ...), on the side that the baffle faces."""
        around = cross(b - a, c - a)
        return _unit_or(np.where(dot(around, self.normal) < 0, -around, around), self.rim(self.ahead))

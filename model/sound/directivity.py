"""Directivity: how a speaker's level falls off its axis, band by band; one form for every way of knowing it.

What is known of a type (`Nominal`, `Piston`, `Response`) knows no bands; `in_bands` makes a `Directivity` of it.
Directions are in the speaker's own frame: along its axis, to its right as one looks the way it plays, and up.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from earshed.model.geometry import Array
from earshed.model.sound.bands import Bands

LEAST_POWER = 1e-12
"""Re the axis: nulls are given as 120 dB down, so that every level is a number."""
TABLE_STEPS, FINER = 2048, 8
"""Steps of a table that levels are worked out at, and parts of each that lie evenly between its ends: near is then near
enough, to 0.01 dB but in nulls."""


class Directivity(ABC):
    """Levels re the axis of the same band; `guessed` (B,) says for which bands nobody claims them."""

    bands: Bands
    guessed: tuple[bool, ...]

    @abstractmethod
    def level_toward(self, directions: ArrayLike) -> Array:
        """Levels (..., B), dB re the axis, in directions (..., 3) along the axis, right and up, of any length."""


class Symmetric(Directivity):
    """The same all round its axis."""

    @abstractmethod
    def level_at(self, angles: ArrayLike) -> Array:
        """Levels (..., B), dB re the axis, at angles (...,) off the axis, radians from 0 to pi."""

    def level_toward(self, directions: ArrayLike) -> Array:
        return self.level_at(polar(directions)[0])

    def power_table(self) -> NDArray[np.float32]:
        """Power (K, B) re the axis in the middles of K equal steps of u = sin(angle / 2) from 0 (axis) to 1 (behind).

        u needs no more than a square root of a cosine, and is nearly even in angle but close behind.
        """
        ends = 10.0 ** (self.level_at(2.0 * np.arcsin(np.linspace(0.0, 1.0, TABLE_STEPS + 1))) / 10.0)
        parts = ((np.arange(FINER) + 0.5) / FINER)[:, None]
        table = ends[:-1, None] + parts * np.diff(ends, axis=0)[:, None]
        return table.reshape(-1, ends.shape[1]).astype(np.float32)


class Source(Protocol):
    """What is known of how a type radiates."""

    def in_bands(self, bands: Bands) -> Directivity:
        """The same by band."""


def polar(directions: ArrayLike) -> tuple[Array, Array]:
    """Angles (...,) off the axis, 0 to pi, and round it, 0 to 2 pi from the right upward, of directions (..., 3)."""
    along, right, up = np.moveaxis(np.asarray(directions, dtype=np.float64), -1, 0)
    return np.arctan2(np.hypot(right, up), along), np.mod(np.arctan2(up, right), 2.0 * np.pi)


def directions_at(angles: ArrayLike, rolls: ArrayLike) -> Array:
    """Unit directions (..., 3) at angles off the axis and round it, radians; the two broadcast."""
    angles, rolls = np.broadcast_arrays(np.asarray(angles, dtype=np.float64), np.asarray(rolls, dtype=np.float64))
    return np.stack([np.cos(angles), np.sin(angles) * np.cos(rolls), np.sin(angles) * np.sin(rolls)], axis=-1)


def decibels(power: ArrayLike) -> Array:
    """Levels of powers, dB; nulls at -120 dB."""
    level: Array = 10.0 * np.log10(np.maximum(np.asarray(power, dtype=np.float64), LEAST_POWER))
    return level

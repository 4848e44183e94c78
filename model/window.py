"""Windows: from which directions a speaker may be heard at the reference position, and how far it is past them.

Azimuth is positive to the LEFT, elevation up, radians (Rec. ITU-R BS.2051-3, section 3). A window's azimuths run from
its right end to its left one, over the rear where the left end is past 180 degrees.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from earshed.model.geometry import Array
from earshed.model.layout import WITHIN

OF_THE_SCENE = "the scene"
"""Source of a window that the scene gives."""
ANY_AZIMUTH = (-math.pi, math.pi)
ANY_ELEVATION = (-math.pi / 2, math.pi / 2)

PAIRED_FROM = math.radians(45)
"""Radians of nominal azimuth past which the two of a pair need not be mirror images (Rec. ITU-R BS.2051-3, s3.1)."""
UNEVEN = math.radians(10)
"""Radians by which those may differ, in azimuth and in elevation (the same)."""
UNEVEN_FRONT = math.radians(5)
"""Radians taken for the other pairs, of which the Recommendation wants exact mirror images, a thing that framing seldom
allows. Common practice, no source."""

_ROUNDING = 1e-12


def turned(angle: ArrayLike) -> Array:
    """Angles (...) turned by whole circles into -pi to pi."""
    angle = np.asarray(angle, dtype=np.float64)
    within: Array = angle - 2 * math.pi * np.round(angle / (2 * math.pi))
    return within


@dataclass(frozen=True)
class Window:
    """Directions that are allowed, radians: least and most azimuth, least and most elevation; `source` says by what.

    Azimuths: -pi <= least <= pi, and least <= most <= least + 2 pi.
    """

    azimuths: tuple[float, float]
    elevations: tuple[float, float]
    source: str

    @property
    def any_azimuth(self) -> bool:
        """Whether all azimuths are allowed."""
        return self.azimuths[1] - self.azimuths[0] >= 2 * math.pi - _ROUNDING

    @property
    def any_elevation(self) -> bool:
        """Whether all elevations are allowed."""
        return self.elevations[1] - self.elevations[0] >= math.pi - _ROUNDING

    def past_azimuth(self, azimuth: ArrayLike, elevation: ArrayLike) -> Array:
        """Radians (...) by which directions are past the azimuths, positive past the left end; 0 between the ends.

        Straight above and straight below, to within the slack, there is no azimuth: 0.
        """
        least, most = self.azimuths
        middle = (least + most) / 2
        near = middle + turned(np.subtract(azimuth, middle))
        upright = np.abs(elevation) >= math.pi / 2 - WITHIN
        return np.where(upright, 0.0, _past(near, least, most))

    def past_elevation(self, elevation: ArrayLike) -> Array:
        """Radians (...) by which directions are past the elevations, positive where too high; 0 between the ends."""
        return _past(elevation, *self.elevations)

    def off_azimuth(self, azimuth: ArrayLike, elevation: ArrayLike) -> Array:
        """Radians (...) outside the azimuths; 0 inside, and straight above or below."""
        return np.abs(self.past_azimuth(azimuth, elevation))

    def off_elevation(self, elevation: ArrayLike) -> Array:
        """Radians (...) outside the elevations; 0 inside."""
        return np.abs(self.past_elevation(elevation))

    def off(self, azimuth: ArrayLike, elevation: ArrayLike) -> Array:
        """Radians (...) outside: root of the sum of squares of both; 0 on the limits and inside."""
        both: Array = np.hypot(self.past_azimuth(azimuth, elevation), self.past_elevation(elevation))
        return both

    def contains(self, azimuth: ArrayLike, elevation: ArrayLike) -> NDArray[np.bool_]:
        """Whether directions (...) are allowed, each angle to within the slack of `layout.WITHIN`."""
        slack = WITHIN + _ROUNDING
        inside: NDArray[np.bool_] = (self.off_azimuth(azimuth, elevation) <= slack) & (
            self.off_elevation(elevation) <= slack
        )
        return inside

    @property
    def mirrored(self) -> Window:
        """The same on the other side of the room."""
        least, most = self.azimuths
        start = -most if -most > -math.pi or most - least >= 2 * math.pi else -most + 2 * math.pi
        return Window((start, start + (most - least)), self.elevations, self.source)


def _past(angle: ArrayLike, least: float, most: float) -> Array:
    past: Array = np.subtract(angle, np.clip(angle, least, most))
    cleaned: Array = np.where(np.abs(past) < _ROUNDING, 0.0, past)
    return cleaned


def uneven(one: ArrayLike, other: ArrayLike) -> Array:
    """Radians (..., 2) by which directions differ from mirror images: azimuth and elevation, neither negative.

    Directions are (..., 2), azimuth and elevation.
    """
    one, other = np.asarray(one, dtype=np.float64), np.asarray(other, dtype=np.float64)
    azimuth = turned(one[..., 0] + other[..., 0])
    apart: Array = np.abs(np.stack([azimuth, one[..., 1] - other[..., 1]], axis=-1))
    return apart


def most_uneven(nominal: float) -> float:
    """Radians by which the two of a pair may differ from mirror images, from the azimuth that their labels state."""
    return UNEVEN if abs(nominal) > PAIRED_FROM + _ROUNDING else UNEVEN_FRONT


def even(one: ArrayLike, other: ArrayLike, nominal: float) -> NDArray[np.bool_]:
    """Whether the two of a pair, heard from directions (..., 2), are near enough to mirror images."""
    near: NDArray[np.bool_] = np.all(uneven(one, other) <= most_uneven(nominal) + _ROUNDING, axis=-1)
    return near

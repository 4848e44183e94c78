"""Drivers as rigid circular pistons in an endless baffle: a cone that beams with its size, and a dome that takes over.

The pressure of one, re its axis, is D(x) = 2 J1(x) / x with x = k a sin(angle), k the wave number, a the radius: the
textbook formula, as lecture notes and the abstract of a handbook print it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from earshed.model.geometry import Array
from earshed.model.sound.air import speed_of_sound
from earshed.model.sound.bands import Bands
from earshed.model.sound.directivity import Symmetric, decibels

SOUND_SPEED = speed_of_sound()
"""Metres a second in air as warm as it usually is."""
ORDER = 4
"""Of the crossover: 24 dB an octave. Common practice, no source."""
IN_BAND, A_RADIAN = 12, 0.4
"""Frequencies by which a band is averaged, and how many more for each that x changes by in it, at a right angle to the
axis of the woofer: enough for ten digits, tried up to cones of 13 in."""


def piston_pressure(x: ArrayLike) -> Array:
    """D(x) = 2 J1(x) / x of x (...,) >= 0, better than 1e-12; its nulls and side lobes have their sign.

    By Poisson's integral (NIST Digital Library of Mathematical Functions, 10.9.4) it is the mean of cos(x cos t) over a
    disk cut in strips: 4 / pi times the integral of cos(x cos t) sin(t)^2 over a quarter turn. The midpoint rule gives
    it to rounding once it has more points than a quarter of x and some: all that it leaves out is J of high order.
    """
    x = np.asarray(x, dtype=np.float64)
    most = float(x.max(initial=0.0))
    count = int(np.ceil((most + 12.0 * np.cbrt(most) + 20.0) / 4.0))
    total = np.zeros_like(x)
    for t in (np.arange(count) + 0.5) * np.pi / (2 * count):
        total += np.sin(t) ** 2 * np.cos(x * np.cos(t))
    return 2.0 / count * total


@dataclass(frozen=True)
class Piston:
    """Radii in metres of the woofer and, from `crossover_hz` up, of the tweeter; of one driver alone without them."""

    woofer: float
    tweeter: float | None = None
    crossover_hz: float | None = None

    def power_at(self, angles: ArrayLike, hertz: ArrayLike) -> Array:
        """Power (..., F) re the axis at angles (...,) off it, radians, and frequencies (F,).

        The drivers' powers add, each weighed by a Butterworth filter of 4th order, whose powers add up to one: how
        their paths differ is not known from sizes. Past a right angle, where an endless baffle lets nothing by, it is
        what it is at a right angle.
        """
        hertz = np.asarray(hertz, dtype=np.float64)
        wave_number = 2.0 * np.pi * hertz / SOUND_SPEED
        across = np.sin(np.minimum(np.asarray(angles, dtype=np.float64), np.pi / 2))[..., None] * wave_number
        if self.tweeter is None or self.crossover_hz is None:
            return piston_pressure(self.woofer * across) ** 2
        over = (hertz / self.crossover_hz) ** (2 * ORDER)
        low = piston_pressure(self.woofer * across) ** 2
        high = piston_pressure(self.tweeter * across) ** 2
        power: Array = (low + over * high) / (1.0 + over)
        return power

    def in_bands(self, bands: Bands) -> PistonBeam:
        """The same averaged over each band in power, every part of an octave counting alike."""
        return PistonBeam(bands, (False,) * len(bands), self)


@dataclass(frozen=True)
class PistonBeam(Symmetric):
    """Pistons by band: the power averaged over it, evenly in the logarithm of frequency."""

    bands: Bands
    guessed: tuple[bool, ...]
    pistons: Piston

    def level_at(self, angles: ArrayLike) -> Array:
        return decibels(average_over_bands(self.pistons, angles, self.bands))


def average_over_bands(pistons: Piston, angles: ArrayLike, bands: Bands, finer: int = 1) -> Array:
    """Power (..., B) re the axis at angles (...,): the mean over each band by Gauss's rule, `finer` times as fine."""
    means = []
    for middle in bands.exact:
        low, high = middle / bands.edge_ratio, middle * bands.edge_ratio
        change = 2.0 * np.pi * pistons.woofer * (high - low) / SOUND_SPEED
        at, weights = np.polynomial.legendre.leggauss(finer * (IN_BAND + math.ceil(A_RADIAN * change)))
        means.append(pistons.power_at(angles, middle * bands.edge_ratio**at) @ (weights / 2.0))
    return np.stack(means, axis=-1)

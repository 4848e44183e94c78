"""A beam of which only the coverage angle is known: exact where the data sheet speaks, a plain guess elsewhere."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from earshed.model.geometry import Array
from earshed.model.sound.bands import Bands
from earshed.model.sound.directivity import Symmetric

USUAL_BAND_HZ = 4000.0
"""Taken for a coverage angle of which no band is said. Common practice, no source."""
LIMIT_DB = 6.0
"""Down at half the coverage angle."""
SQUARE_LAW_DB = 12.0
"""Down to which the level falls with the square of the angle."""
FLOOR_DB = 30.0
"""Down at the most: what a room's own speakers leak to all sides. Common practice, no source."""
NARROWEST = 0.5
"""Of the stated angle, in higher bands, where a smaller driver takes over. Common practice, no source."""


@dataclass(frozen=True)
class Nominal:
    """`half_angle`, radians, at which the level is down 6 dB in the band of `band_hz`, if that is known.

    An endless half angle stands for a speaker that has no direction, as a subwoofer.
    """

    half_angle: float
    band_hz: float | None = None

    def in_bands(self, bands: Bands) -> NominalBeam:
        """The stated angle in the stated band alone; elsewhere, guessed, its width is as the wavelength.

        That a beam's width goes with the wavelength holds for one piston well past its first -6 dB angle; here it is a
        rule of thumb, ended at half the stated angle. Common practice, no source.
        """
        stated = bands.index(USUAL_BAND_HZ if self.band_hz is None else self.band_hz)
        wider = np.maximum(bands.exact[stated] / bands.exact, NARROWEST)
        claimed = None if self.band_hz is None or math.isinf(self.half_angle) else stated
        guessed = tuple(band != claimed for band in range(len(bands)))
        return NominalBeam(bands, guessed, tuple(float(each) for each in self.half_angle * wider))


@dataclass(frozen=True)
class NominalBeam(Symmetric):
    """Beams that fall with the square of the angle, `half_angles` (B,) radians at -6 dB, and level out at -30 dB."""

    bands: Bands
    guessed: tuple[bool, ...]
    half_angles: tuple[float, ...]

    def level_at(self, angles: ArrayLike) -> Array:
        """-6 (angle / half)^2 dB down to -12 dB, then bent smoothly (two derivatives meet) to -30 dB.

        So it is -6 dB at half the coverage angle and -3 dB at that over the square root of 2, exactly.
        """
        of_half = np.asarray(angles, dtype=np.float64)[..., None] / np.array(self.half_angles)
        drop = LIMIT_DB * of_half**2
        left = FLOOR_DB - SQUARE_LAW_DB
        bent = SQUARE_LAW_DB + left * np.tanh(np.maximum(drop - SQUARE_LAW_DB, 0.0) / left)
        level: Array = np.where(drop <= SQUARE_LAW_DB, -drop, -bent)
        return level

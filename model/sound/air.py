"""Sound in air: how fast it goes, and what it loses on the way."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from earshed.model.geometry import Array

USUAL_CELSIUS, USUAL_HUMIDITY = 20.0, 50.0
"""Of a room one sits in: degrees, and per cent. Common practice, no source."""
STANDARD_PRESSURE = 101.325
"""Kilopascals."""
_FREEZING, _REFERENCE, _TRIPLE = 273.15, 293.15, 273.16
"""Kelvin."""


def speed_of_sound(celsius: float = USUAL_CELSIUS) -> float:
    """Metres a second in dry air: 331.3 times the root of T / 273.15 (value from memory)."""
    return float(331.3 * np.sqrt(1 + celsius / _FREEZING))


def air_loss(
    hz: ArrayLike,
    celsius: float = USUAL_CELSIUS,
    humidity: float = USUAL_HUMIDITY,
    pressure: float = STANDARD_PRESSURE,
) -> Array:
    """What pure tones of some frequencies (...), Hz, lose in dB a metre: ISO 9613-1:1993, equations 3 to 5 and B.3.

    `humidity` is relative, per cent, `pressure` in kilopascals. Raises ValueError for air that there is none of.
    """
    if not (-_FREEZING < celsius < 100 and 0 <= humidity <= 100 and pressure > 0):
        raise ValueError(f"no air is {celsius:g} °C warm with {humidity:g} % of humidity at {pressure:g} kPa")
    frequency = np.asarray(hz, dtype=np.float64)
    kelvin = _FREEZING + celsius
    warm, dense = kelvin / _REFERENCE, pressure / STANDARD_PRESSURE
    steam = humidity * 10 ** (4.6151 - 6.8346 * (_TRIPLE / kelvin) ** 1.261) / dense  # molar concentration, per cent
    oxygen = dense * (24 + 4.04e4 * steam * (0.02 + steam) / (0.391 + steam))
    nitrogen = dense * warm**-0.5 * (9 + 280 * steam * np.exp(-4.170 * (warm ** (-1 / 3) - 1)))
    relaxed = 0.01275 * np.exp(-2239.1 / kelvin) / (oxygen + frequency**2 / oxygen)
    relaxed = relaxed + 0.1068 * np.exp(-3352.0 / kelvin) / (nitrogen + frequency**2 / nitrogen)
    loss: Array = 8.686 * frequency**2 * (1.84e-11 / dense * np.sqrt(warm) + warm**-2.5 * relaxed)
    return loss

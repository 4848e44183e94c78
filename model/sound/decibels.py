"""Levels: sums, means and spreads in power, never in dB, and how they are weighted."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from earshed.model.geometry import Array

_POLES = (20.598997, 107.65265, 737.86223, 12194.217)
"""Hz, of the A weighting: IEC 61672-1, Annex E (values from memory)."""


def power_of(level: ArrayLike) -> Array:
    """Power ratios (...) of levels in dB."""
    power: Array = 10 ** (np.asarray(level, dtype=np.float64) / 10)
    return power


def level_of(power: ArrayLike) -> Array:
    """Levels (...) in dB of power ratios; minus infinity for none."""
    with np.errstate(divide="ignore"):
        level: Array = 10 * np.log10(np.asarray(power, dtype=np.float64))
    return level


def level_sum(levels: ArrayLike, axis: int = -1) -> Array:
    """The level of sources that do not interfere, summed along an axis."""
    return level_of(power_of(levels).sum(axis=axis))


def level_mean(levels: ArrayLike, axis: int = -1) -> Array:
    """The mean in power along an axis."""
    return level_of(power_of(levels).mean(axis=axis))


def spread(levels: ArrayLike, axis: int = -1) -> Array:
    """How far the loudest is over the softest along an axis, dB."""
    apart: Array = np.ptp(np.asarray(levels, dtype=np.float64), axis=axis)
    return apart


def a_weighting(hz: ArrayLike) -> Array:
    """What the A weighting adds at some frequencies (...), Hz, in dB: 0 at 1 kHz. IEC 61672-1, Annex E."""
    return _curve(np.asarray(hz, dtype=np.float64)) - _curve(np.asarray(1000.0))


def _curve(hz: Array) -> Array:
    low, second, third, high = (pole**2 for pole in _POLES)
    square = hz**2
    gain = high * square**2 / ((square + low) * np.sqrt((square + second) * (square + third)) * (square + high))
    curve: Array = 20 * np.log10(gain)
    return curve


def a_weighted(levels: ArrayLike, hz: Sequence[float] | Array) -> Array:
    """The A-weighted level (...) of bands (..., B), each taken at its mid-band frequency."""
    return level_sum(np.asarray(levels, dtype=np.float64) + a_weighting(hz))

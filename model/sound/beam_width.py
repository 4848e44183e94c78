"""What one says of a directivity in a word: how wide the beam is, and how much it gathers, band by band."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np

from earshed.model.geometry import Array
from earshed.model.sound.directivity import Directivity, Symmetric, directions_at

DOWN_DB = 6.0
ACROSS, UPRIGHT = 0.0, math.pi / 2
"""Planes of a beam width, by the angle round the axis of their first side."""
_STEPS = 721
_RINGS = 256
_SIDES = 72


@dataclass(frozen=True, eq=False)
class BeamFigures:
    """By band, (B,): beam widths across and upright, radians, inf past 180 degrees, and the directivity index, dB."""

    across: Array
    upright: Array
    index: Array


def beam_figures(directivity: Directivity, *, within: float) -> BeamFigures:
    """Both beam widths and the directivity index of what radiates `within` radians of its axis."""
    across = beam_width(directivity, ACROSS)
    upright = across if isinstance(directivity, Symmetric) else beam_width(directivity, UPRIGHT)
    return BeamFigures(across, upright, directivity_index(directivity, within=within))


def beam_width(directivity: Directivity, plane: float = ACROSS) -> Array:
    """Full angle (B,), radians, between the first directions either side of the axis that are exactly 6 dB down.

    inf in a band where one side is not 6 dB down at a right angle to the axis: the beam is wider than 180 degrees.
    """
    side = _side(directivity, plane)
    return side + (side if isinstance(directivity, Symmetric) else _side(directivity, plane + math.pi))


def _side(directivity: Directivity, roll: float) -> Array:
    """Angles (B,) at which levels first cross -6 dB on one side, inf where they do not within a right angle."""
    angles = np.linspace(0.0, math.pi / 2, _STEPS)
    levels = directivity.level_toward(directions_at(angles, roll)) + DOWN_DB
    below = levels <= 0.0
    first = below.argmax(axis=0)
    bands = np.arange(levels.shape[1])
    before = np.maximum(first - 1, 0)
    high, low = levels[before, bands], levels[first, bands]
    part = np.where(first > 0, high / np.where(high > low, high - low, 1.0), 0.0)
    found: Array = np.where(below.any(axis=0), angles[before] + part * (angles[1] - angles[0]), np.inf)
    return found


def directivity_index(directivity: Directivity, *, within: float = math.pi) -> Array:
    """Directivity index (B,), dB: the axis against the same power sent evenly to all sides.

    `within` radians of the axis is where it radiates: pi for a cabinet, pi / 2 for what is cut into a wall or a
    ceiling, behind which there is no room. There an even radiator has 3.01 dB. DI = 10 lg(4 pi / integral of the power
    re the axis over the sphere), as in any textbook of acoustics, by Gauss's rule in the cosine.
    """
    at, weights = _rule()
    half = (1.0 - math.cos(within)) / 2
    angles = np.arccos(1.0 - half + half * at)
    rolls = np.zeros(1) if isinstance(directivity, Symmetric) else np.arange(_SIDES) * 2.0 * np.pi / _SIDES
    power = 10.0 ** (directivity.level_toward(directions_at(angles[:, None], rolls)) / 10.0)
    index: Array = 10.0 * np.log10(2.0 / (half * weights @ power.mean(axis=1)))
    return index


@cache
def _rule() -> tuple[Array, Array]:
    """Where (_RINGS,) Gauss's rule takes its values, -1 to 1, and their weights; found once, since it takes a while."""
    at, weights = np.polynomial.legendre.leggauss(_RINGS)
    return at, weights

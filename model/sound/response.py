"""Measured directivity: levels by angle and frequency, and the same by band."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from earshed.model.geometry import Array, frozen
from earshed.model.sound.bands import Bands
from earshed.model.sound.directivity import Directivity, Symmetric, decibels, polar

ENOUGH = 0.5
"""Share of a band that frequencies must stand for, so that it counts as measured. Common practice, no source."""


NOMINAL = 0.01
"""Of an exact mid-band frequency of IEC 61260-1, within which its nominal one lies."""


@dataclass(frozen=True, eq=False)
class Response:
    """Levels (N, Q, F), dB re the axis at the same frequency, at `angles` (N,) off the axis, rising from 0, radians.

    Q half planes stand round the axis in equal steps, the first to the right, then upward; one stands for all round.
    `frequencies_hz` (F,) rise. Every frequency is set to 0 dB on the axis, as if the speaker were made flat there.
    `origin` names what they were read from.
    """

    angles: Array
    frequencies_hz: Array
    levels: Array
    origin: str = ""

    def __eq__(self, other: object) -> bool:
        """One table read twice is the same."""
        if not isinstance(other, Response):
            return NotImplemented
        tables = zip(self._tables, other._tables, strict=True)
        return self.origin == other.origin and all(np.array_equal(mine, its) for mine, its in tables)

    def __hash__(self) -> int:
        return hash((self.origin, self.levels.shape))

    @property
    def _tables(self) -> tuple[Array, Array, Array]:
        return self.angles, self.frequencies_hz, self.levels

    def in_bands(self, bands: Bands) -> Directivity:
        """The same by band, averaged in power. A band that is not measured has the nearest's levels, as a guess."""
        weights, measured = band_weights(self.frequencies_hz, bands)
        levels = frozen(decibels(10.0 ** (self.levels / 10.0) @ weights))
        guessed = tuple(not each for each in measured)
        if levels.shape[1] == 1:
            return MeasuredBeam(bands, guessed, self.angles, frozen(levels[:, 0]))
        return MeasuredPlanes(bands, guessed, self.angles, levels)


def band_weights(frequencies_hz: Array, bands: Bands) -> tuple[Array, list[bool]]:
    """What frequencies (F,) count for in each band, (F, B), each column adding up to 1, and which bands they measure.

    A frequency stands for those that are nearer to it than to the next, in octaves, so a table by octaves or thirds
    comes out as it is and finer ones are averaged, every part of an octave counting alike. Raises ValueError where no
    band is measured, and for fewer than two frequencies.
    """
    at = np.log(_mid_bands(frequencies_hz))
    if len(at) < 2:
        raise ValueError("a single frequency measures no band")
    between = (at[1:] + at[:-1]) / 2
    low = np.concatenate([[2 * at[0] - between[0]], between])
    high = np.concatenate([between, [2 * at[-1] - between[-1]]])
    middle, half = np.log(bands.exact), np.log(bands.edge_ratio)
    shared = np.minimum(high[:, None], middle + half) - np.maximum(low[:, None], middle - half)
    shared = np.maximum(shared, 0.0)
    measured = shared.sum(axis=0) >= ENOUGH * 2 * half
    if not measured.any():
        raise ValueError("its frequencies measure no band")
    known = np.flatnonzero(measured)
    nearest = known[np.abs(known - np.arange(len(bands))[:, None]).argmin(axis=1)]
    weights: Array = (shared / np.where(measured, shared.sum(axis=0), 1.0))[:, nearest]
    return weights, [bool(each) for each in measured]


def _mid_bands(frequencies_hz: Array) -> Array:
    """Frequencies (F,); where all are nominal ones of thirds of octaves, the exact ones that they name."""
    exact = 1000.0 * 10.0 ** (np.round(10.0 * np.log10(frequencies_hz / 1000.0)) / 10.0)
    return exact if np.all(np.abs(frequencies_hz / exact - 1.0) < NOMINAL) else frequencies_hz


@dataclass(frozen=True, eq=False)
class MeasuredBeam(Symmetric):
    """`levels` (N, B), dB re the axis, at `angles` (N,); straight between them in dB, past the last as there."""

    bands: Bands
    guessed: tuple[bool, ...]
    angles: Array
    levels: Array

    def level_at(self, angles: ArrayLike) -> Array:
        below, part = _between(self.angles, np.asarray(angles, dtype=np.float64))
        return _mixed(self.levels[below], self.levels[below + 1], part)


@dataclass(frozen=True, eq=False)
class MeasuredPlanes(Directivity):
    """`levels` (N, Q, B), dB re the axis, at `angles` (N,) in Q half planes, the first to the right, then upward.

    Between two half planes the level, in dB, goes from one to the other as the square of the sine. Between a horizontal
    and a vertical one that is horizontal cos^2 + vertical sin^2, the usual elliptical weighting. Common practice, no
    source.
    """

    bands: Bands
    guessed: tuple[bool, ...]
    angles: Array
    levels: Array

    def level_toward(self, directions: ArrayLike) -> Array:
        angles, rolls = polar(directions)
        below, part = _between(self.angles, angles)
        count = self.levels.shape[1]
        turned = rolls * count / (2.0 * np.pi)
        plane = np.floor(turned).astype(np.intp)
        share = np.sin((turned - plane) * np.pi / 2) ** 2
        sides = [
            _mixed(self.levels[below, side % count], self.levels[below + 1, side % count], part)
            for side in (plane, plane + 1)
        ]
        return _mixed(sides[0], sides[1], share)


def _between(steps: Array, values: Array) -> tuple[np.ndarray, Array]:
    """The step under each value and what part of the way it is to the next; values past the ends are at them."""
    below = np.clip(np.searchsorted(steps, values, side="right") - 1, 0, len(steps) - 2)
    part = (values - steps[below]) / (steps[below + 1] - steps[below])
    return below, np.clip(part, 0.0, 1.0)


def _mixed(first: Array, second: Array, part: Array) -> Array:
    mixed: Array = first + part[..., None] * (second - first)
    return mixed

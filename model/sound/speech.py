"""Levels of speech from many places, or with many axes, of one speaker type at once; `level.heard` has them for one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from earshed.model.geometry import Array, frozen
from earshed.model.sound.bands import OCTAVES
from earshed.model.sound.decibels import level_of, power_of
from earshed.model.sound.directivity import FINER, TABLE_STEPS, Directivity, Symmetric
from earshed.model.sound.level import speech_bands
from earshed.model.sound.level_map import NEAREST
from earshed.model.sound.of_type import directivity_of, frames_of, turned_bands
from earshed.model.speaker_type import SpeakerType

Mask = NDArray[np.bool_]

SPEECH = speech_bands(OCTAVES)
"""Which octaves (B,) are of speech."""
STEPS = TABLE_STEPS * FINER
"""Of the sine of half the angle, in each of which power is taken as even: 0.007 degrees near the axis."""
STEEPEST = 40.0
"""dB a radian that a beam which is not the same all round falls at the most, where it serves. Common practice, no
source."""


@dataclass(frozen=True, eq=False)
class Speech:
    """Speakers of one type at N places of a face, whose unit normal is (3,), with S ears each at the ends of `ways`
    (N, S, 3), metres. Levels are means in power over the speech bands, in dB re the axis a metre away, of the direct
    sound alone. `axes` are A unit axes from each place, (N, A, 3), or the same from all, (1, A, 3).

    Axes stand last in what comes out, so that work on many runs along memory.
    """

    kind: SpeakerType
    normal: Array
    long_axis: Array | None
    ways: Array

    def levels(self, axes: Array) -> Array:
        """Levels (N, S, A)."""
        return level_of(self._arriving(self._sent(axes, self._turned)))

    def spreads(self, axes: Array) -> Array:
        """How far, dB, the loudest ear is over the softest (N, A)."""
        power = self._arriving(self._sent(axes, self._turned))
        return level_of(power.max(axis=1) / power.min(axis=1))

    def bounds(self, axes: Array, radius: float) -> tuple[Array, Array]:
        """The least and the most (N, S, A) that levels come to with any axis within `radius` (radians) of those given;
        of a beam that is not the same all round as far as none falls by more than STEEPEST."""
        if not isinstance(self._radiates, Symmetric):
            here = self.levels(axes)
            return here - STEEPEST * radius, here + STEEPEST * radius
        rows, table = self._rows(axes), _table(self.kind, tuple(self._turned))
        around = int(np.ceil(radius / 2 * STEPS)) + 1
        low, high = (_around(table, around, pick)[rows] for pick in (np.minimum, np.maximum))
        return level_of(self._arriving(low)), level_of(self._arriving(high))

    @cached_property
    def _radiates(self) -> Directivity:
        return directivity_of(self.kind, OCTAVES)

    @cached_property
    def _turned(self) -> Mask:
        """Which bands (B,) of speech go with the axis."""
        return SPEECH & turned_bands(self.kind)

    @cached_property
    def _distances(self) -> Array:
        """Metres (N, S, 1)."""
        distances: Array = np.maximum(np.linalg.norm(self.ways, axis=-1, keepdims=True), NEAREST)
        return distances

    @cached_property
    def _fixed(self) -> Array:
        """Power (N, S, 1) in the bands of speech that keep the normal, over the number of all."""
        return self._sent(self.normal[None, None], SPEECH & ~self._turned)

    def _arriving(self, turned: Array) -> Array:
        """Power (N, S, A) at the ears, with what is sent in the bands that go with the axis."""
        arriving: Array = (turned + self._fixed) / self._distances**2
        return arriving

    def _sent(self, axes: Array, bands: Mask) -> Array:
        """Power (N, S, A) in some bands, over the number of all bands of speech."""
        if not bands.any():
            return np.zeros((1, 1, 1))
        if isinstance(self._radiates, Symmetric):
            return _table(self.kind, tuple(bands))[self._rows(axes)]
        toward = np.einsum("naij,nsj->nsai", frames_of(axes, self.long_axis), self.ways)
        power: Array = power_of(self._radiates.level_toward(toward)[..., bands]).sum(axis=-1) / SPEECH.sum()
        return power

    def _rows(self, axes: Array) -> NDArray[np.intp]:
        """The row (N, S, A) of a table for each angle between ways and axes: STEPS times the sine of its half, whose
        square is (1 - cos) / 2."""
        square = STEPS**2 / 2
        row = (square / self._distances * self.ways) @ axes.swapaxes(-1, -2)
        np.subtract(square, row, out=row)
        np.maximum(row, 0.0, out=row)
        np.sqrt(row, out=row)
        np.minimum(row, STEPS - 1, out=row)
        rows: NDArray[np.intp] = row.astype(np.intp)
        return rows


@lru_cache(maxsize=64)
def _table(kind: SpeakerType, bands: tuple[bool, ...]) -> Array:
    """Power (STEPS,) of a symmetric type in some bands, over the number of all bands of speech."""
    radiates = directivity_of(kind, OCTAVES)
    assert isinstance(radiates, Symmetric)
    return frozen(radiates.power_table()[:, np.array(bands)].sum(axis=1, dtype=np.float64) / SPEECH.sum())


def _around(table: Array, around: int, pick: Callable[[Array, Array], Array]) -> Array:
    """What `pick` chooses of each row of a table and `around` of them on both sides."""
    found, span, width = np.pad(table, around, mode="edge"), 1, 2 * around + 1
    while span < width:
        step = min(span, width - span)
        found, span = pick(found[:-step], found[step:]), span + step
    return found

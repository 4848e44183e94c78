"""Levels at seats: what arrives of each speaker, band by band, at a given drive."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from earshed.model.geometry import Array
from earshed.model.seating import Seat
from earshed.model.sound.air import air_loss
from earshed.model.sound.bands import OCTAVES, Bands
from earshed.model.sound.decibels import a_weighted, level_mean
from earshed.model.sound.level_map import NEAREST
from earshed.model.sound.of_type import directivity_of, frames_by_band
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import SpeakerType

RATED_VOLTS = 2.83
"""Of the sensitivity that data sheets print; a watt into 8 ohm, and two into 4 ohm."""
USUAL_OHM = 8.0
USUAL_SENSITIVITY = 88.0
"""dB at 2.83 V and 1 m, taken where a type states none. Common practice, no source."""
SPEECH_HZ = (500.0, 4000.0)
"""The bands from and to which a mean stands for how loud speech is."""


@dataclass(frozen=True)
class Drive:
    """What a speaker is driven with: volts, or watts into its nominal impedance."""

    volts: float | None = RATED_VOLTS
    watts: float | None = None

    def volts_at(self, kind: SpeakerType) -> float:
        """Volts at the terminals of a type."""
        if self.watts is not None:
            return math.sqrt(self.watts * (kind.impedance or USUAL_OHM))
        assert self.volts is not None
        return self.volts


@dataclass(frozen=True)
class Air:
    """Air that takes of the sound on its way: degrees Celsius, and relative humidity in per cent."""

    celsius: float
    humidity: float


@dataclass(frozen=True, eq=False)
class Heard:
    """A speaker at a seat, dB: `levels` (B,) by band, each band driven alone at the full drive, and `tone` (B,), what
    it sends that way re its axis."""

    speaker: Speaker
    seat: Seat
    bands: Bands
    levels: Array
    tone: Array

    @property
    def speech(self) -> float:
        """The mean in power over the bands of speech, 500 Hz to 4 kHz."""
        return float(speech_level(self.levels, self.bands))

    @property
    def a_weighted(self) -> float:
        """dBA of pink noise that fills all the bands, at the drive in all: each of them takes an equal share of it."""
        return float(a_weighted(self.levels, self.bands.exact)) - 10 * math.log10(len(self.bands))


def speech_bands(bands: Bands) -> NDArray[np.bool_]:
    """Which bands (B,) are of speech."""
    low, high = SPEECH_HZ
    within: NDArray[np.bool_] = (bands.exact > low / bands.edge_ratio) & (bands.exact < high * bands.edge_ratio)
    return within


def speech_level(levels: ArrayLike, bands: Bands = OCTAVES) -> Array:
    """The mean in power (...) over the bands of speech, 500 Hz to 4 kHz, of levels (..., B), dB."""
    return level_mean(np.asarray(levels)[..., speech_bands(bands)])


def axis_level(kind: SpeakerType, drive: Drive) -> float:
    """dB at 1 m on the axis of a type at a drive. In a wall or a ceiling that is the half space of the data sheet, to
    which nothing is added."""
    sensitivity = USUAL_SENSITIVITY if kind.sensitivity_db is None else kind.sensitivity_db
    rated = Drive(watts=kind.sensitivity_watts) if kind.sensitivity_watts is not None else Drive()
    return sensitivity + 20 * math.log10(drive.volts_at(kind) / rated.volts_at(kind))


def loudest_level(kind: SpeakerType) -> float | None:
    """dB at 1 m on the axis that a type can give: what it states, else at the power that it takes; None if it states
    neither. Power compression is not reckoned with."""
    if kind.max_level_db is not None:
        return kind.max_level_db
    return None if kind.power_watts is None else axis_level(kind, Drive(None, kind.power_watts))


def toward(speaker: Speaker, points: Array, bands: Bands = OCTAVES) -> Array:
    """What a speaker sends toward points (..., 3), dB re its axis, by band (..., B)."""
    ways = np.asarray(points, dtype=np.float64) - speaker.position
    directivity = directivity_of(speaker.type, bands)
    frames = frames_by_band(speaker, bands)
    level = np.empty((*ways.shape[:-1], len(bands)))
    for frame in np.unique(frames, axis=0):
        same = np.all(frames == frame, axis=(1, 2))
        level[..., same] = directivity.level_toward(ways @ frame.T)[..., same]
    return level


def heard(speaker: Speaker, seat: Seat, drive: Drive, *, bands: Bands = OCTAVES, air: Air | None = None) -> Heard:
    """What arrives of a speaker at a seat."""
    return heard_at(speaker, [seat], drive, bands=bands, air=air)[0]


def heard_at(
    speaker: Speaker, seats: Sequence[Seat], drive: Drive, *, bands: Bands = OCTAVES, air: Air | None = None
) -> tuple[Heard, ...]:
    """What arrives of a speaker at each of some seats, worked out together."""
    ears = np.array([seat.ear for seat in seats]).reshape(-1, 3)
    distances = np.maximum(np.linalg.norm(ears - speaker.position, axis=1), NEAREST)[:, None]
    tones = toward(speaker, ears, bands)
    lost = 0.0 if air is None else distances * air_loss(bands.exact, air.celsius, air.humidity)
    levels = axis_level(speaker.type, drive) + tones - 20 * np.log10(distances) - lost
    return tuple(Heard(speaker, *each) for each in zip(seats, [bands] * len(seats), levels, tones, strict=True))


def trims(levels: Sequence[float], step: float = 0.5) -> list[float]:
    """What to turn each of some levels down by, dB, 0 or less, for all to come out at the softest; to a step."""
    softest = min(levels, default=0.0)
    return [round((softest - level) / step) * step + 0.0 for level in levels]

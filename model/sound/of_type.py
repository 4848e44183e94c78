"""How a type radiates by band, and where a placed speaker points in each band."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from earshed.model.geometry import FRONT, PARALLEL, UP, Array, frozen
from earshed.model.sound.bands import OCTAVES, Bands
from earshed.model.sound.directivity import Directivity, Source, Symmetric
from earshed.model.sound.nominal import Nominal
from earshed.model.speaker import Speaker
from earshed.model.speaker_type import SpeakerType


def source_of(kind: SpeakerType) -> Source:
    """What is known of how a type radiates: what it says, else its coverage angle; a subwoofer plays all round."""
    if kind.directivity is not None:
        return kind.directivity
    if kind.coverage is None or kind.subwoofer:
        return Nominal(math.inf)
    return Nominal(kind.coverage.limit, kind.coverage.band_hz)


@lru_cache(maxsize=256)
def directivity_of(kind: SpeakerType, bands: Bands = OCTAVES) -> Directivity:
    """How a type radiates, by band."""
    return source_of(kind).in_bands(bands)


@lru_cache(maxsize=64)
def power_table_of(kind: SpeakerType, bands: Bands = OCTAVES) -> NDArray[np.float32]:
    """Its table of power (K, B) for level maps, `Symmetric.power_table`. Raises TypeError for a type that is not the
    same all round its axis."""
    beam = directivity_of(kind, bands)
    if not isinstance(beam, Symmetric):
        raise TypeError(f"{kind.name} is not the same all round its axis")
    return beam.power_table()


def radiates_within(kind: SpeakerType) -> float:
    """Radians off its axis into which a type radiates: what is cut into a face has no room behind it."""
    return math.pi / 2 if kind.mount in ("in-ceiling", "in-wall") else math.pi


def turned_bands(kind: SpeakerType, bands: Bands = OCTAVES) -> NDArray[np.bool_]:
    """Which bands (B,) go with the axis of a type as it is aimed.

    Where it steers its tweeter alone, bands whose exact middle lies under the crossover keep the baffle normal: the
    woofer stays as it is. In the band of the crossover both play, and the axis is that of the driver that plays more.
    """
    if kind.steers == "tweeter" and kind.crossover_hz is not None:
        over: NDArray[np.bool_] = bands.exact >= kind.crossover_hz
        return over
    return np.ones(len(bands), dtype=bool)


def axes_by_band(speaker: Speaker, bands: Bands = OCTAVES) -> Array:
    """Unit axes (B, 3) of a placed speaker: its own, and its baffle normal in bands that do not turn with it."""
    return frozen(np.where(turned_bands(speaker.type, bands)[:, None], speaker.axis, speaker.normal))


def frames_by_band(speaker: Speaker, bands: Bands = OCTAVES) -> Array:
    """The frames (B, 3, 3) of a placed speaker, by which directivity takes directions."""
    return frozen(frames_of(axes_by_band(speaker, bands), speaker.long_axis))


def frames_of(axes: Array, long_axis: Array | None) -> Array:
    """Rows (..., 3, 3): unit axes (..., 3), right as one looks the way each plays, and up.

    A direction d (3,) in the room is frame @ d. Up is along the long side of a rectangular hole; else as far up as the
    axis lets it be, and to the front for one that looks straight up or down.
    """
    up = np.zeros_like(axes)
    for each in (UP, FRONT, UP if long_axis is None else long_axis):  # the last that can be is it
        part = each - (axes @ each)[..., None] * axes
        length = np.linalg.norm(part, axis=-1, keepdims=True)
        up = np.where(length < PARALLEL, up, part / np.maximum(length, PARALLEL))
    return np.stack([axes, np.cross(axes, up), up], axis=-2)

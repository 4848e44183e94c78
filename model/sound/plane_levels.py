"""Levels over the listening plane, speaker by speaker and band by band, against the reference position."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from earshed.model.coverage import Map, channel_groups
from earshed.model.geometry import Array
from earshed.model.listener import listener_of
from earshed.model.listening_plane import ListeningPlane
from earshed.model.scene import Scene
from earshed.model.sound.bands import OCTAVES, Bands
from earshed.model.sound.directivity import Symmetric
from earshed.model.sound.level import Drive, axis_level, toward
from earshed.model.sound.level_map import NEAREST, Field, Floats, Source
from earshed.model.sound.of_type import axes_by_band, directivity_of, power_table_of
from earshed.model.speaker import Speaker

BLOCK = 50_000
"""Points that a speaker measured in two planes is worked out for at once."""


@dataclass(frozen=True, eq=False)
class PlaneLevels:
    """`levels` (S, ny, nx, B), dB, of `speakers` on a plane, nan outside the room's air, and `reference` (S, B) at the
    reference position, None in a scene without seats; of the direct sound alone, with nothing in its way."""

    plane: ListeningPlane
    speakers: tuple[Speaker, ...]
    bands: Bands
    levels: Map
    reference: Array | None

    def against_reference(self, band: int) -> Map:
        """How much louder (S, ny, nx) than at the reference position, dB, in one band."""
        assert self.reference is not None
        difference: Map = self.levels[..., band] - self.reference[:, None, None, band].astype(np.float32)
        return difference

    def spread(self, band: int) -> Map:
        """How far the loudest channel is over the softest (ny, nx), dB, in one band, once all are as loud at the
        reference position. Speakers of one channel carry one signal, so their powers add up."""
        assert self.reference is not None
        channels = []
        for group in channel_groups(self.speakers):
            here = np.sum(10.0 ** (self.levels[group, ..., band].astype(np.float64) / 10), axis=0)
            there = np.sum(10.0 ** (self.reference[group, band] / 10))
            channels.append(10 * np.log10(here / there))
        apart: Map = np.ptp(channels, axis=0).astype(np.float32)
        return apart


def plane_levels(
    scene: Scene, plane: ListeningPlane, speakers: Sequence[Speaker], drive: Drive, bands: Bands = OCTAVES
) -> PlaneLevels:
    """The levels of some speakers over a plane, and at the reference position."""
    reference = reference_levels(scene, speakers, drive, bands)
    return PlaneLevels(plane, tuple(speakers), bands, direct_levels(plane, speakers, drive, bands), reference)


def reference_levels(scene: Scene, speakers: Sequence[Speaker], drive: Drive, bands: Bands = OCTAVES) -> Array | None:
    """The levels (S, B), dB, of some speakers at the reference position; None in a scene without seats."""
    if not scene.seats:
        return None
    ear = Field(listener_of(scene).ear[None])
    return np.array([axis_level(one.type, drive) + 10 * np.log10(_power(one, ear, bands)[0]) for one in speakers])


def direct_levels(plane: ListeningPlane, speakers: Sequence[Speaker], drive: Drive, bands: Bands = OCTAVES) -> Map:
    """Levels (S, ny, nx, B), dB, of the direct sound of some speakers over a plane, nan outside the room's air."""
    field = Field(plane.points[plane.inside])
    levels = np.full((len(speakers), *plane.inside.shape, len(bands)), np.nan, dtype=np.float32)
    for number, speaker in enumerate(speakers):
        power = _power(speaker, field, bands)
        levels[number, plane.inside] = np.float32(axis_level(speaker.type, drive)) + 10 * np.log10(power)
    return levels


def _power(speaker: Speaker, field: Field, bands: Bands) -> Floats:
    """Power (P, B) over a field re a metre away on the axis; direction by direction if it is not the same all round."""
    if isinstance(directivity_of(speaker.type, bands), Symmetric):
        return field.power(list(_sources(speaker, bands)))
    points = field.points
    power = np.empty((len(points), len(bands)), dtype=np.float32)
    for start in range(0, len(points), BLOCK):
        here = points[start : start + BLOCK]
        square = np.maximum(np.sum((here - speaker.position) ** 2, axis=1), NEAREST**2)
        power[start : start + BLOCK] = 10.0 ** (toward(speaker, here, bands) / 10) / square[:, None]
    return power


def _sources(speaker: Speaker, bands: Bands) -> Iterator[Source]:
    """A source for each axis that some bands of a speaker have; in the others it is silent."""
    table, axes = power_table_of(speaker.type, bands), axes_by_band(speaker, bands)
    for axis in np.unique(axes, axis=0):
        yield Source(speaker.position, axis, table * np.all(axes == axis, axis=1))

"""The reflections of a scene that count: soon after the direct sound, and not much weaker."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from earshed.model.geometry import Array, angle_between
from earshed.model.scene import Scene
from earshed.model.seating import Seat
from earshed.model.sound.bands import OCTAVES
from earshed.model.sound.level import toward
from earshed.model.sound.reflections import Paths, first_reflections
from earshed.model.sound.reflectors import Facing, Reflector, reflectors_of
from earshed.model.speaker import Speaker
from earshed.model.surface import Surface

SOON = 0.015
"""Seconds after the direct sound within which a listening room keeps reflections weak, from 1 to 8 kHz. This and the
next are values from memory of Rec. ITU-R BS.1116-3, whose text was not read."""
STRONG = -10.0
"""dB against the direct sound from which they are not weak."""
JUDGED = (1000.0, 8000.0)
"""Hertz of the lowest and the highest octave over which levels are averaged, in power."""


@dataclass(frozen=True, eq=False)
class Reflections:
    """All first reflections from some speakers to some seats of a scene, and what each (K,) of `paths` comes off."""

    scene: Scene
    speakers: tuple[Speaker, ...]
    seats: tuple[Seat, ...]
    reflectors: tuple[Reflector, ...]
    paths: Paths

    @cached_property
    def facings(self) -> tuple[Facing, ...]:
        """What is at the point of each path (K,)."""
        found: dict[int, Facing] = {}
        for number, reflector in enumerate(self.reflectors):
            at = np.flatnonzero(self.paths.face == number)
            found |= zip(at.tolist(), reflector.facings_at(self.paths.points[at]), strict=True)
        return tuple(found[path] for path in range(len(self.paths)))

    @cached_property
    def absorbed_db(self) -> Array:
        """What each path loses at its face (K, B), dB, at most 0, in the octaves of OCTAVES."""
        losses = [facing.material.loss_db for facing in self.facings]
        return np.array(losses).reshape(-1, len(OCTAVES))

    @cached_property
    def sent_db(self) -> Array:
        """What each speaker sends along a path against what it sends straight to the seat (K, B), dB, by octave."""
        sent = np.zeros((len(self.paths), len(OCTAVES)))
        for number, speaker in enumerate(self.speakers):
            at = np.flatnonzero(self.paths.source == number)
            ears = np.array([self.seats[ear].ear for ear in self.paths.ear[at]]).reshape(-1, 3)
            sent[at] = toward(speaker, speaker.position + self.paths.departures[at]) - toward(speaker, ears)
        return sent

    @cached_property
    def levels_db(self) -> Array:
        """Level (K, B) of each path against the direct sound of its speaker at its seat, dB, in the octaves of OCTAVES:
        for the longer way, for what the face takes, and for how the speaker radiates."""
        levels: Array = self.paths.spreading_db[:, None] + self.absorbed_db + self.sent_db
        return levels


@dataclass(frozen=True, eq=False)
class Early:
    """One reflection that counts, with the index of its `path`.

    It comes off `point` (3,) of a face, `extra` metres and `delay` seconds after the direct sound, at `level` dB
    against it, averaged over JUDGED, and leaves the speaker `off_axis` radians from its axis.
    """

    speaker: Speaker
    seat: Seat
    face: Surface
    facing: Facing
    point: Array
    extra: float
    delay: float
    level: float
    off_axis: float
    path: int


def scene_reflections(scene: Scene, speakers: Sequence[Speaker], seats: Sequence[Seat]) -> Reflections:
    """The first reflections from speakers to seats of a scene off everything in it that reflects."""
    reflectors = reflectors_of(scene)
    sources = np.array([speaker.position for speaker in speakers]).reshape(-1, 3)
    ears = np.array([seat.ear for seat in seats]).reshape(-1, 3)
    paths = first_reflections(sources, ears, [one.face for one in reflectors], scene.room)
    return Reflections(scene, tuple(speakers), tuple(seats), reflectors, paths)


def judged_level(levels: Array) -> Array:
    """The mean (...) in power, dB, of levels (..., B) of the octaves of OCTAVES over those from 1 to 8 kHz."""
    low, high = (OCTAVES.index(hz) for hz in JUDGED)
    mean: Array = 10 * np.log10(np.mean(10 ** (levels[..., low : high + 1] / 10), axis=-1))
    return mean


def early_reflections(found: Reflections) -> tuple[Early, ...]:
    """Those within SOON and STRONG of the direct sound, by speaker, seat and then level, the strongest first."""
    paths = found.paths
    level = judged_level(found.levels_db)
    kept = np.flatnonzero((paths.delays <= SOON) & (level >= STRONG))
    early = []
    for path in kept[np.lexsort((-level[kept], paths.ear[kept], paths.source[kept]))]:
        speaker = found.speakers[paths.source[path]]
        early.append(
            Early(
                speaker,
                found.seats[paths.ear[path]],
                found.reflectors[paths.face[path]].face,
                found.facings[path],
                paths.points[path],
                float(paths.extras[path]),
                float(paths.delays[path]),
                float(level[path]),
                float(angle_between(speaker.axis, paths.departures[path])),
                int(path),
            )
        )
    return tuple(early)

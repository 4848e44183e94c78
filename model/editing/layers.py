"""Maps of a scene that is being changed: what each speaker gives by itself is kept, and worked out again only for those
that moved."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import partial

import numpy as np

from earshed.model.coverage import Map, Mask, off_axis_map
from earshed.model.coverage_map import CoverageMap, seating_on
from earshed.model.editing.latest import Latest
from earshed.model.listening_plane import ListeningPlane, PlaneSpec, lay_plane
from earshed.model.scene import Scene
from earshed.model.shadows import Shadows, shadows
from earshed.model.sound.bands import OCTAVES
from earshed.model.sound.level import Drive
from earshed.model.sound.plane_levels import PlaneLevels, direct_levels, reference_levels
from earshed.model.speaker import Speaker

SPARE = 16
"""Layers that are kept beyond one for each speaker, for those that come and go."""


@dataclass(eq=False)
class Layers:
    """The maps of scenes that are other than one another in where their speakers are, how they are aimed, and of which
    of the same types they are; all else, and the plane, is the same."""

    plane: ListeningPlane
    seating: Mask
    _angles: Latest[bytes, Map] = field(default_factory=Latest)
    _shadows: Latest[bytes, Shadows] = field(default_factory=Latest)
    _levels: Latest[tuple[bytes, bytes, str], Map] = field(default_factory=Latest)

    @classmethod
    def over(cls, scene: Scene, spec: PlaneSpec) -> Layers:
        plane = lay_plane(scene.room, spec)
        return cls(plane, seating_on(scene, plane))

    def coverage(self, scene: Scene, speakers: Sequence[Speaker]) -> CoverageMap:
        """What `map_coverage` gives of some speakers of a scene."""
        most = len(scene.speakers) + SPARE
        angles = [self._angles.get(_aim(one), partial(self._angle, one), most) for one in speakers]
        cast = [
            self._shadows.get(one.position.tobytes(), partial(shadows, scene, self.plane, [one]), most)
            for one in speakers
        ]
        stacked = np.array(angles) if angles else off_axis_map(self.plane, np.empty((0, 3)), np.empty((0, 3)))
        return CoverageMap(self.plane, tuple(speakers), stacked, _together(cast, self.plane), self.seating)

    def levels(self, scene: Scene, speakers: Sequence[Speaker]) -> PlaneLevels:
        """What `plane_levels` gives of some speakers of a scene, at the drive that levels are told for."""
        most = len(scene.speakers) + SPARE
        found = [
            self._levels.get(
                (_aim(one), one.normal.tobytes(), one.type.name),
                partial(self._level, one),
                most,
            )
            for one in speakers
        ]
        return PlaneLevels(
            self.plane, tuple(speakers), OCTAVES, np.array(found), reference_levels(scene, speakers, Drive())
        )

    def _angle(self, speaker: Speaker) -> Map:
        (angles,) = off_axis_map(self.plane, speaker.position, speaker.axis)
        return np.asarray(angles)

    def _level(self, speaker: Speaker) -> Map:
        (levels,) = direct_levels(self.plane, [speaker], Drive())
        return np.asarray(levels)


def _aim(speaker: Speaker) -> bytes:
    return speaker.position.tobytes() + speaker.axis.tobytes()


def _together(cast: Sequence[Shadows], plane: ListeningPlane) -> Shadows:
    """The shadows of several speakers as one, each with its own names."""
    names: list[str] = []
    hiders = []
    for one in cast:
        hiders.append(np.where(one.hider[0] >= 0, one.hider[0] + len(names), -1).astype(one.hider.dtype))
        names += one.names
    return Shadows(tuple(names), np.array(hiders) if hiders else np.empty((0, *plane.inside.shape), dtype=np.int16))

"""How long sound lasts in a room, estimated from its air and its faces by the formulas of Sabine and of Eyring.

Both take sound to come from everywhere alike. A small room with soft faces on a few sides, or a low one, does not do
so, and below some 200 Hz its own resonances decide: the figures are estimates (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.geometry import Array
from earshed.model.room import ON_FACE
from earshed.model.scene import Scene
from earshed.model.sound.bands import OCTAVES
from earshed.model.sound.reflections import SPEED_OF_SOUND
from earshed.model.sound.reflectors import Facing, Reflector, block_facing, shell_reflectors

DECAY = 24 * np.log(10) / SPEED_OF_SOUND
"""Seconds per metre in both formulas, 0.161 at 20 degrees Celsius: 60 dB of a decay of c A / (4 V) a second."""
NEARLY_ALL = 1 - 1e-9
"""Mean absorption at which a room is taken to be as dead as can be told."""


@dataclass(frozen=True, eq=False)
class Reverberation:
    """What faces a room's air, square metres each, and how long sound lasts in it, seconds (B,), in OCTAVES.

    A room in which nothing absorbs has no end of it: inf.
    """

    volume: float
    areas: tuple[tuple[Facing, float], ...]

    @property
    def area(self) -> float:
        """Square metres of all faces."""
        return sum(area for _, area in self.areas)

    @property
    def absorbing(self) -> Array:
        """Absorption area (B,), square metres: each face's area by its coefficient, summed."""
        total: Array = sum((area * facing.material.absorption for facing, area in self.areas), np.zeros(len(OCTAVES)))
        return total

    @property
    def sabine(self) -> Array:
        """W. C. Sabine, Collected Papers on Acoustics, 1922: 0.161 V / A."""
        return sabine_time(self.volume, self.absorbing)

    @property
    def eyring(self) -> Array:
        """C. F. Eyring, J. Acoust. Soc. Am. 1, 1930: 0.161 V / (-S ln(1 - A / S))."""
        return eyring_time(self.volume, self.area, self.absorbing)


def reverberation(scene: Scene) -> Reverberation:
    """The reverberation of a scene's room, empty of seats and people."""
    room = scene.room
    corners = room.air.corners
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    areas, middles = np.linalg.norm(across, axis=1) / 2, corners.mean(axis=1)
    rest = np.ones(len(corners), dtype=bool)
    found: list[tuple[Facing, float]] = []
    for reflector in shell_reflectors(scene):
        face = reflector.face
        mine = rest & (across @ face.normal < 0) & (np.abs((middles - face.origin) @ face.normal) < ON_FACE)
        within = face.to_face(middles[mine])
        mine[mine] = shapely.intersects_xy(face.outline.buffer(ON_FACE), within[:, 0], within[:, 1])
        rest &= ~mine
        found += _shared(reflector, float(areas[mine].sum()))
    for block in (*room.boxes, *room.risers):
        mine = rest & block.near(middles, ON_FACE)
        rest &= ~mine
        found.append((block_facing(scene, block), float(areas[mine].sum())))
    return Reverberation(room.volume, tuple((facing, area) for facing, area in found if area > 0))


def _shared(reflector: Reflector, area: float) -> Iterator[tuple[Facing, float]]:
    """The square metres of a face that show, shared out to what is in it, taken to show whole, and to the rest."""
    covered: BaseGeometry = shapely.Polygon()
    for outline, facing in reflector.patches:
        own = outline.intersection(reflector.face.outline).difference(covered)
        covered = covered.union(own)
        taken = min(own.area, area)
        area -= taken
        yield facing, taken
    yield reflector.facing, area


def sabine_time(volume: float, absorbing: Array) -> Array:
    """Seconds (B,) of a room of some cubic metres with absorption areas (B,), square metres; inf where those are 0."""
    seconds: Array = np.full(np.shape(absorbing), np.inf)
    np.divide(DECAY * volume, absorbing, out=seconds, where=absorbing > 0)
    return seconds


def eyring_time(volume: float, area: float, absorbing: Array) -> Array:
    """Seconds (B,) of a room of some cubic metres and, in all, square metres, with absorption areas (B,)."""
    return sabine_time(volume, -area * np.log1p(-np.minimum(absorbing / area, NEARLY_ALL)))

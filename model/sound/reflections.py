"""First reflections: sound that meets one face on its way from a speaker to an ear, by the image behind that face.

J. B. Allen and D. A. Berkley, "Image method for efficiently simulating small-room acoustics", J. Acoust. Soc. Am. 65
(4), 1979; J. Borish, "Extension of the image model to arbitrary polyhedra", ibid. 75 (6), 1984, for whether an image is
seen. Faces count as mirrors, which holds while they are larger than the wave is long (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
import shapely
from numpy.typing import NDArray

from earshed.model.geometry import STAND_OFF, Array
from earshed.model.room import Room
from earshed.model.sound.air import speed_of_sound
from earshed.model.sound.free_ways import Mask, free_ways, holds_every_way, in_shell
from earshed.model.surface import Surface

SPEED_OF_SOUND = speed_of_sound()
"""Metres a second in air as warm as it usually is."""
IN_FACE = 1e-3
"""Metres before a face within which a source or an ear is in it, and has no image behind it."""

SAME_PLANE = 6
"""Decimals to which the normals (3,) and the distances from the origin, metres, of faces in one plane are the same."""
AT_ONCE = 2_000_000
"""Images worked on at a time, of which each takes some 100 bytes."""

Indices = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Paths:
    """Ways (K,) of first reflections, by source, then ear, then face: each from a source by a point of a face to an
    ear, as indices into what was asked of.

    `points` (K, 3) are those of the faces, `directs` and `lengths` (K,) the straight way and this one, metres.
    `departures` (K, 3) are unit directions from the source to the point, in which a speaker's directivity is to be
    asked; `arrivals` (K, 3) those from the ear to the point, where it seems to come from.
    """

    source: Indices
    ear: Indices
    face: Indices
    points: Array
    directs: Array
    lengths: Array
    departures: Array
    arrivals: Array

    def __len__(self) -> int:
        return len(self.source)

    @property
    def extras(self) -> Array:
        """By how much (K,) each is longer than the straight way, metres."""
        return self.lengths - self.directs

    @property
    def delays(self) -> Array:
        """Seconds (K,) after the direct sound."""
        return self.extras / SPEED_OF_SOUND

    @property
    def spreading_db(self) -> Array:
        """Level (K,) against the direct sound for the longer way alone, dB, at most 0: 20 lg(direct / length)."""
        loss: Array = 20 * np.log10(self.directs / self.lengths)
        return loss


_NAMES = tuple(one.name for one in fields(Paths))


def first_reflections(sources: Array, ears: Array, faces: Sequence[Surface], room: Room) -> Paths:
    """Every way from sources (S, 3) by one of some faces to ears (R, 3), metres, both of whose legs are free.

    The point of a face is where the line from the image behind it to the ear crosses it; it must lie in the outline. A
    source in a face, as a flush speaker is, has no image there. Where faces of one plane meet, the first has the point.
    What is outside the shell has no paths, and neither has an ear at a source.
    """
    sources, ears = np.atleast_2d(sources), np.atleast_2d(ears)
    some = max(1, AT_ONCE // max(1, len(ears) * len(faces)))
    parts = [_from_some(sources[n : n + some], ears, faces, room) for n in range(0, max(1, len(sources)), some)]
    if len(parts) == 1:
        return parts[0]
    joined = {name: np.concatenate([getattr(part, name) for part in parts]) for name in _NAMES}
    joined["source"] += np.repeat(some * np.arange(len(parts)), [len(part) for part in parts])
    return Paths(**joined)


def _from_some(sources: Array, ears: Array, faces: Sequence[Surface], room: Room) -> Paths:
    """What `first_reflections` gives of so many sources that what is worked on fits in memory."""
    straight = np.linalg.norm(ears - sources[:, None], axis=-1)
    normals = np.array([face.normal for face in faces]).reshape(-1, 3)
    offsets = np.array([face.origin @ face.normal for face in faces])
    out, back = normals @ sources.T - offsets[:, None], normals @ ears.T - offsets[:, None]
    within = in_shell(np.concatenate([sources, ears]), room)
    out[:, ~within[: len(sources)]] = back[:, ~within[len(sources) :]] = 0.0
    ahead = (out > IN_FACE)[:, :, None] & (back > IN_FACE)[:, None] & (straight > 0.0)
    share = out[:, :, None] / np.where(ahead, out[:, :, None] + back[:, None], 1.0)
    ways = ears - sources[:, None]
    points = sources[:, None] + share[..., None] * ways
    points -= (2 * out[:, :, None] * (1 - share))[..., None] * normals[:, None, None]
    ahead &= _on_faces(points, faces, room)
    _leave_to_first(ahead, normals, offsets)
    source, ear, face = np.nonzero(np.moveaxis(ahead, 0, -1))
    points, share, start, way = points[face, source, ear], share[face, source, ear], sources[source], ways[source, ear]
    if not holds_every_way(room):
        before = points + STAND_OFF * normals[face]  # on an upright side one is also under the lower ceiling beyond it
        free = free_ways(start, before, room) & free_ways(before, start + way, room)
        source, ear, face = source[free], ear[free], face[free]
        points, share, start, way = points[free], share[free], start[free], way[free]
    directs = straight[source, ear]
    lengths = np.sqrt(directs**2 + 4 * out[face, source] * back[face, ear])
    leg = points - start
    departures, arrivals = leg / (share * lengths)[:, None], (leg - way) / ((1 - share) * lengths)[:, None]
    return Paths(source, ear, face, points, directs, lengths, departures, arrivals)


def _on_faces(points: Array, faces: Sequence[Surface], room: Room) -> Mask:
    """Which points (F, S, R, 3) lie in the outlines of their faces, and not out of the room."""
    on = np.empty(points.shape[:-1], dtype=bool)
    for surface, here, inside in zip(faces, points, on, strict=True):
        across = surface.to_face(here)
        inside[...] = shapely.intersects_xy(surface.outline, across[..., 0], across[..., 1])
        if surface not in room.surfaces:  # a box may stand through a wall
            inside &= in_shell(here, room)
    return on


def _leave_to_first(on: Mask, normals: Array, offsets: Array) -> None:
    """Takes out of `on` (F, S, R) what an earlier face of the same plane has as well."""
    planes: dict[tuple[float, ...], list[int]] = {}
    for number, plane in enumerate(np.round(np.column_stack([normals, offsets]), SAME_PLANE).tolist()):
        before = planes.setdefault(tuple(plane), [])
        for other in before:
            on[number] &= ~on[other]
        before.append(number)

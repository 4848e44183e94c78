"""Cones of coverage as the room trims them, and where they end, as meshes and lines for drawing."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pyvista as pv
import shapely
from numpy.typing import NDArray

from earshed.model import cone
from earshed.model.beam import trimmed_cone
from earshed.model.geometry import UP, Array
from earshed.model.scene import Scene
from earshed.model.speaker import Speaker
from earshed.viewer import palette
from earshed.viewer.camera import View
from earshed.viewer.meshes import arrow_mesh

RIM_LIFT = 0.012
"""Metres by which a rim is drawn in front of the surface it lies on."""


def cone_colors(speakers: Sequence[Speaker]) -> dict[str, str]:
    """A hue for each speaker, in order."""
    return {s.name: palette.SPEAKER_HUES[i % len(palette.SPEAKER_HUES)] for i, s in enumerate(speakers)}


def cone_ends(scene: Scene, speaker: Speaker) -> Array:
    """Where the edge lines of the cone of a speaker's coverage limit end (N, 3)."""
    limit = min(speaker.coverage.limit, np.pi / 2)
    return trimmed_cone(scene.room, speaker.position, speaker.normal, speaker.axis, limit)


def rim_runs(speaker: Speaker, ends: Array) -> list[Array]:
    """The rim of a cone as lines (N, 3) that break where neighbors land on different things, a little before them."""
    reach = np.linalg.norm(ends - speaker.position, axis=1, keepdims=True)
    rim = ends - (ends - speaker.position) * np.minimum(1.0, RIM_LIFT / np.maximum(reach, RIM_LIFT))
    ring = np.concatenate([rim, rim[:1]])
    steps = np.linalg.norm(np.diff(ring, axis=0), axis=1)
    jumps = np.flatnonzero(steps > 12 * np.median(steps) + 0.02)
    return [run for run in np.split(ring, jumps + 1) if len(run) > 1]


def parted_by_sight(scene: Scene, runs: Sequence[Array], view: View) -> tuple[list[Array], list[Array]]:
    """Lines (N, 3) on faces of the room: those on faces that a view sees into, and those on faces seen from behind."""
    seen: list[Array] = []
    behind: list[Array] = []
    for run in runs:
        away = _on_turned_faces(scene, run, view)
        parts = np.split(np.arange(len(run)), np.flatnonzero(away[1:] != away[:-1]) + 1)
        for part in parts:
            line = run[max(0, part[0] - 1) : part[-1] + 1]  # from the last point of the part before, with no gap
            if len(line) > 1:
                (behind if away[part[0]] else seen).append(line)
    return seen, behind


def _on_turned_faces(scene: Scene, points: Array, view: View) -> NDArray[np.bool_]:
    """Which points (N, 3) are nearest to a face of the shell whose inner side is turned away from a view."""
    nearest, away = np.full(len(points), 2 * RIM_LIFT), np.zeros(len(points), dtype=bool)
    for face in scene.room.surfaces:
        apart = np.abs((points - face.origin) @ face.normal)
        on_it = shapely.dwithin(face.outline, shapely.points(face.to_face(points)), 2 * RIM_LIFT)
        nearer = on_it & (apart < nearest)
        nearest[nearer], away[nearer] = apart[nearer], ~view.sees_into(face.normal, points[nearer])
    return away


def axis_mesh(speaker: Speaker) -> pv.PolyData:
    """An arrow along a speaker's axis."""
    return arrow_mesh(speaker.position + 0.03 * speaker.normal, speaker.axis, 0.75)


def limit_lines(scene: Scene, speaker: Speaker) -> list[Array]:
    """The lines (N, 3) on the listening plane in which a speaker's coverage ends."""
    limit, height = speaker.coverage.limit, scene.plane.height
    lines = cone.limit_lines(scene.room, speaker.position, speaker.axis, limit, height)
    return [line + RIM_LIFT * UP for line in lines]

"""What is behind the faces of the room, and holes that are there already, as meshes for drawing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import pyvista as pv
import shapely
from shapely.ops import substring

from earshed.model.face_shape import FaceShape
from earshed.model.framing import Framing, member_parts
from earshed.model.geometry import TOUCHING, Array
from earshed.model.hidden import ExistingHole, KeepOut
from earshed.model.surface import Surface
from earshed.viewer import palette
from earshed.viewer.fixture_meshes import Part, shape_mesh
from earshed.viewer.hatching import hatch_lines
from earshed.viewer.hidden_drawing import Look, member_look
from earshed.viewer.meshes import PROUD, facing, polygon_mesh

EDGE, STROKE = 0.010, 0.006
"""Metres: width of an outline and of a line of a pattern."""
DASH = 0.035
"""Metres: a dash of the outline of a hole that is there, and the gap after it."""
OPACITY: dict[Look, float] = {"counted": 0.35, "found": 0.7, "strapping": 0.2, "grid": 0.35}
"""Of members as they show through the board."""


def framing_parts(framing: Framing, surface: Surface) -> Iterator[tuple[pv.PolyData, str, float]]:
    """Members at their true width, turned into the room, each with its color and opacity; found ones with an edge."""
    for member, corners in member_parts(framing, surface):
        patch = polygon_mesh(corners[:-1], PROUD / 2 * surface.normal)
        yield facing(patch, surface.normal), palette.WOOD, OPACITY[member_look(framing, member)]
        if member.mark.found:
            yield _strips(_sides(surface.to_face(corners)), surface, EDGE, 1.4 * PROUD), palette.INK, 0.8


def keep_out_patch(found: KeepOut) -> pv.PolyData:
    """The part of a face that is taken."""
    return shape_mesh(found.shape, found.surface, 0.6 * PROUD)


def keep_out_parts(found: KeepOut) -> Iterator[Part]:
    """The pattern and the edge of the part of a face that is taken."""
    strokes = hatch_lines(found.kind, found.shape)
    if strokes:
        yield _strips(strokes, found.surface, STROKE, 1.4 * PROUD), palette.SOFT_INK
    yield _strips(_sides(_ring(found.shape)), found.surface, EDGE, 1.6 * PROUD), palette.INK


def old_hole_parts(hole: ExistingHole) -> Iterator[Part]:
    """An empty outline of dashes."""
    edge = shapely.LineString(_ring(hole.shape))
    dashes = max(4, round(edge.length / (2 * DASH)))
    ends = edge.length * np.arange(dashes) / dashes
    half = edge.length / dashes / 2
    lines = [shapely.get_coordinates(substring(edge, at, at + half)) for at in ends]
    yield _strips([side for line in lines for side in _sides(line)], hole.surface, EDGE, 1.6 * PROUD), palette.INK


def _ring(shape: FaceShape) -> Array:
    return shapely.get_coordinates(shape.outline)


def _sides(line: Array) -> list[Array]:
    """The sides (2, 2) of a line (N, 2)."""
    return list(np.stack([line[:-1], line[1:]], axis=1))


def _strips(lines: Sequence[Array], surface: Surface, width: float, proud: float) -> pv.PolyData:
    """Straight lines (2, 2) on a face as flat strips of some width, turned into the room, as one mesh."""
    ends = np.array(lines)
    lengths = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
    ends = ends[lengths > TOUCHING]  # a dash that ends at a corner has a side of no length
    along = (ends[:, 1] - ends[:, 0]) / lengths[lengths > TOUCHING, None]
    half = np.stack([-along[:, 1], along[:, 0]], axis=1) * width / 2
    corners = np.stack([ends[:, 0] - half, ends[:, 1] - half, ends[:, 1] + half, ends[:, 0] + half], axis=1)
    points = surface.to_room(corners.reshape(-1, 2)) + proud * surface.normal
    quads = np.hstack([np.full((len(ends), 1), 4), np.arange(4 * len(ends)).reshape(-1, 4)])
    return facing(pv.PolyData(points, faces=quads.ravel()), surface.normal)

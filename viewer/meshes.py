"""Shapes of what stands and hangs in a room, as pyvista meshes for drawing, in the model's axes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pyvista as pv

from earshed.model.geometry import UP, Array, unit
from earshed.model.screen import WallPatch
from earshed.model.seating import Seat
from earshed.model.speaker import Speaker

PROUD = 0.004
"""Metres by which flat things stand proud of the face they lie on, so that they show."""
SCREEN_PROUD = 0.03
"""Metres by which a screen stands off its wall."""

CORNER_PLACES = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
"""Where the corners of a rectangle are on a picture that is laid on it, from its lower left."""


def skin_mesh(triangles: Array) -> pv.PolyData:
    """Triangles (T, 3, 3) as one mesh, corners merged so that its edges can be found."""
    return _triangles(triangles).clean(tolerance=1e-6, absolute=True)


def ring_lines(rings: Sequence[Array]) -> pv.PolyData:
    """Closed or open lines (N, 3) as one mesh."""
    points = np.concatenate(rings)
    cells, start = [], 0
    for ring in rings:
        cells += [len(ring), *range(start, start + len(ring))]
        start += len(ring)
    return pv.PolyData(points, lines=np.array(cells))


def disc(center: Array, normal: Array, radius: float, inner: float = 0.0) -> pv.PolyData:
    """A flat disc or ring that faces `normal`, a little proud of its place."""
    return pv.Disc(center=center + PROUD * normal, inner=inner, outer=radius, normal=normal, r_res=1, c_res=64)


def patch_mesh(patch: WallPatch, proud: float = PROUD) -> pv.PolyData:
    """A rectangle on a wall, a little proud of it, turned into the room."""
    inward = np.append(patch.wall.inward, 0.0)
    return facing(pv.PolyData(patch.corners + proud * inward, faces=[4, 0, 1, 2, 3]), inward)


def facing(mesh: pv.PolyData, way: Array) -> pv.PolyData:
    """A flat mesh turned to face `way` (3,)."""
    return mesh if mesh.face_normals[0] @ way > 0 else mesh.flip_faces()


def polygon_mesh(corners: Array, lift: Array) -> pv.PolyData:
    """A convex polygon (N, 3), first corner not repeated, moved by `lift` (3,)."""
    return pv.PolyData(corners + lift, faces=[len(corners), *range(len(corners))])


def head_mesh(seat: Seat, facets: int = 32) -> pv.PolyData:
    """A ball of about a head's size at the ears, of so many facets round it."""
    return pv.Sphere(radius=0.095, center=seat.ear, theta_resolution=facets, phi_resolution=facets)


def cabinet_mesh(speaker: Speaker) -> pv.PolyData:
    """The cabinet of a stand or surface speaker, its face at the baffle's center."""
    size = speaker.type.size
    up = UP if abs(speaker.normal[2]) < 0.999 else np.array([0.0, 1.0, 0.0])
    aside = unit(np.cross(up, speaker.normal))
    turn = np.stack([aside, np.cross(speaker.normal, aside), speaker.normal])
    half = np.array([size.width, size.height, size.depth]) / 2
    box = _box(-half, half)
    box.points = box.points @ turn + speaker.position - speaker.normal * half[2]
    return box


def stand_mesh(speaker: Speaker, floor: float) -> pv.PolyData | None:
    """A post and a foot under a stand speaker whose cabinet does not reach the floor."""
    size = speaker.type.size
    under = float(speaker.position[2]) - size.height / 2
    if under - floor < 0.05:
        return None
    x, y = (speaker.position - speaker.normal * size.depth / 2)[:2]
    post = _box(np.array([x - 0.03, y - 0.03, floor + 0.02]), np.array([x + 0.03, y + 0.03, under]))
    foot = _box(np.array([x - 0.13, y - 0.13, floor + 0.001]), np.array([x + 0.13, y + 0.13, floor + 0.03]))
    return pv.merge([post, foot], merge_points=False)


def cone_mesh(apex: Array, ends: Array) -> pv.PolyData:
    """The side of a cone from its apex (3,) to the ends (N, 3) of its edge lines."""
    tips = np.broadcast_to(apex, ends.shape)
    return _triangles(np.stack([tips, ends, np.roll(ends, -1, axis=0)], axis=1))


def arrow_mesh(start: Array, direction: Array, length: float) -> pv.PolyData:
    return pv.Arrow(start=start, direction=direction, scale=length, tip_length=0.3, tip_radius=0.07, shaft_radius=0.022)


def _box(low: Array, high: Array) -> pv.PolyData:
    """A box between two corners (3,), its sides turned outwards."""
    return pv.Box(bounds=np.column_stack([low, high]).ravel(), quads=False).clean()


def _triangles(points: Array) -> pv.PolyData:
    """Separate triangles (T, 3, 3) as a mesh."""
    count = len(points)
    faces = np.hstack([np.full((count, 1), 3), np.arange(3 * count).reshape(-1, 3)])
    return pv.PolyData(points.reshape(-1, 3), faces=faces.ravel())

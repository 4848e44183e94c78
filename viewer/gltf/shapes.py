"""Meshes and lines as the arrays that a glTF file holds, and named things made of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import pyvista as pv
import shapely
from numpy.typing import NDArray

from earshed.model.geometry import Array
from earshed.viewer.gltf.looks import Look

CREASE = 30.0
"""Degrees between two facets from which an edge between them is sharp."""
MERGED = 1e-6
"""Metres within which corners are one."""
SMALLEST = 1e-8
"""Square metres under which a triangle is none, once its corners are rounded as in the file."""
TUBE_SIDES = 5
Floats = NDArray[np.float32]
Indices = NDArray[np.uint32]


@dataclass(frozen=True, eq=False)
class Piece:
    """Triangles (T, 3) or lines (L, 2) between `points` (N, 3), metres in the file's axes, in one look.

    Triangles have unit `normals` (N, 3), and where the look has a picture, `places` (N, 2) on it from its upper left.
    """

    look: Look
    points: Floats
    indices: Indices
    normals: Floats | None = None
    places: Floats | None = None

    @property
    def shows(self) -> bool:
        """Whether there is anything of it: a cone whose speaker is outside the room has no side."""
        return len(self.indices) > 0


@dataclass(frozen=True, eq=False)
class Thing:
    """A named thing: what it is made of, and things that belong to it. `facts` are kept with it in the file."""

    name: str
    pieces: Sequence[Piece] = ()
    parts: Sequence[Thing] = ()
    facts: Mapping[str, str] = field(default_factory=dict)

    @property
    def shows(self) -> bool:
        return any(piece.shows for piece in self.pieces) or any(part.shows for part in self.parts)


def y_up(points: Array) -> Floats:
    """Points or directions (..., 3) of the model (x right, y front, z up), turned by -90 degrees about x."""
    x, y, z = np.moveaxis(np.asarray(points, dtype=np.float64), -1, 0)
    return np.stack([x, z, 0.0 - y], axis=-1).astype(np.float32)  # 0.0 - y, since -0.0 is no number to print


def solid_piece(meshes: Iterable[pv.PolyData], look: Look) -> Piece:
    """Meshes as one piece, round where their facets meet at less than CREASE; without normals where none are lit."""
    points, normals, count = [np.zeros((0, 3))], [np.zeros((0, 3))], 0
    indices = [np.zeros((0, 3), dtype=np.int64)]
    for mesh in meshes:
        whole = mesh.triangulate().clean(tolerance=MERGED, absolute=True, point_merging=True)
        shaded = whole if look.unlit else _parted_at_creases(whole)
        corners = shaded.faces.reshape(-1, 4)[:, 1:]
        at = shaded.points.astype(np.float32).astype(np.float64)[corners]
        across = np.cross(at[:, 1] - at[:, 0], at[:, 2] - at[:, 0])
        real = np.linalg.norm(across, axis=1) / 2 > SMALLEST
        used, kept = np.unique(corners[real], return_inverse=True)
        kept = kept.reshape(-1, 3)
        points.append(shaded.points[used])
        indices.append(kept + count)
        count += len(used)
        if not look.unlit:
            facing = np.zeros((len(used), 3))  # by the areas of facets, so that slivers have no say
            np.add.at(facing, kept, across[real][:, None])
            normals.append(facing / np.linalg.norm(facing, axis=1, keepdims=True))
    lit = None if look.unlit else y_up(np.concatenate(normals))
    return Piece(look, y_up(np.concatenate(points)), np.concatenate(indices).astype(np.uint32), lit)


def _parted_at_creases(mesh: pv.PolyData) -> pv.PolyData:
    return mesh.compute_normals(
        cell_normals=False,
        split_vertices=True,
        feature_angle=CREASE,
        consistent_normals=False,
        auto_orient_normals=False,
    )


def line_piece(ends: Array, look: Look) -> Piece:
    """Straight lines (L, 2, 3) as one piece."""
    count = len(ends)
    return Piece(look, y_up(ends.reshape(-1, 3)), np.arange(2 * count, dtype=np.uint32).reshape(-1, 2))


def edge_piece(meshes: Iterable[pv.PolyData], look: Look, *, sharper_than: float = CREASE) -> list[Piece]:
    """The sharp and the open edges of some meshes, as one piece of lines; none where they have none."""
    ends = []
    for mesh in meshes:
        found = mesh.extract_feature_edges(sharper_than, non_manifold_edges=False)
        if found.n_cells:
            ends.append(np.asarray(found.points, dtype=np.float64)[found.lines.reshape(-1, 3)[:, 1:]])
    return [line_piece(np.concatenate(ends), look)] if ends else []


def tube_piece(runs: Iterable[Array], radius: float, look: Look) -> Piece:
    """Lines (N, 3) as thin round bars of a radius in metres, which every program shows as wide."""
    bars = []
    for run in runs:
        line = pv.lines_from_points(run)
        bars.append(line.tube(radius=radius, n_sides=TUBE_SIDES, capping=True))
    return solid_piece(bars, look)


def simplified(line: Array, within: float) -> Array:
    """A level line (N, 3) with only as many of its points as keep it within a distance in metres."""
    kept = shapely.get_coordinates(shapely.LineString(line[:, :2]).simplify(within))
    return np.column_stack([kept, np.full(len(kept), line[0, 2])])

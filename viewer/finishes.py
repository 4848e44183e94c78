"""Which color and pattern each thing of a room is shown in, and how patterns lie on its faces."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pyvista as pv

from earshed.model.block import Block
from earshed.model.geometry import UP, Array, face_frame, unit
from earshed.model.scene import Scene
from earshed.viewer import palette, textures
from earshed.viewer.textures import Pixels

SKIN_COLORS = {
    "floor": palette.FLOOR, "wall": palette.WALL, "ceiling": palette.CEILING, "soffit": palette.SOFFIT,
    "side": palette.CEILING, "riser": palette.RISER, "deck": palette.DECK,
}  # fmt: skip
SOFT = ("carpet", "rug")
"""Words by which a floor's material is told to be soft."""
FLOOR_BOARD, DECK_BOARD = 0.15, 0.14
"""Metres: widths of boards. Common practice, no source."""


@dataclass(frozen=True, eq=False)
class Pattern:
    """Pixels that repeat every `side` metres, their rows along the level direction of a face, or up it if `upright`."""

    pixels: Pixels
    side: float
    upright: bool = False


def floor_color(scene: Scene) -> str:
    """Of carpet where the scene says so, else of boards."""
    return palette.CARPET if _is_soft(scene) else palette.FLOOR


def floor_pattern(scene: Scene) -> Pattern:
    """Boards that run towards the front, or carpet."""
    if _is_soft(scene):
        return Pattern(textures.pile(), 2.0)
    return Pattern(textures.boards(16, 2, 0.13), 16 * FLOOR_BOARD, upright=True)


def deck_pattern() -> Pattern:
    """Boards that run level, from rafter to rafter."""
    return Pattern(textures.boards(16, 1, 0.10), 16 * DECK_BOARD)


def box_color(box: Block) -> str:
    """Beams, and boxes that are said to be of wood, are timber; the rest is plaster."""
    wooden = box.kind == "beam" or (box.material is not None and "wood" in box.material.name)
    return palette.WOOD if wooden else palette.SOFFIT


def _is_soft(scene: Scene) -> bool:
    material = scene.surfaces.get("floor")
    return material is not None and any(word in material.name for word in SOFT)


def laid(triangles: Array, pattern: Pattern) -> pv.PolyData:
    """Triangles (T, 3, 3) on which a pattern lies flat, face by face."""
    across = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    sizes = np.linalg.norm(across, axis=1)
    kept, across = triangles[sizes > 0], across[sizes > 0] / sizes[sizes > 0, None]
    places = np.empty((*kept.shape[:2], 2))
    normals, which = np.unique(np.round(across, 4), axis=0, return_inverse=True)
    for number, normal in enumerate(normals):
        mine = which.ravel() == number
        places[mine] = kept[mine] @ np.array(face_frame(unit(normal))).T
    return _mapped(kept, places[..., ::-1] if pattern.upright else places, pattern)


def laid_along(triangles: Array, pattern: Pattern) -> pv.PolyData:
    """Triangles (T, 3, 3) of a long thing on which the rows of a pattern run along it."""
    points = triangles.reshape(-1, 3)
    spread = points - points.mean(axis=0)
    along = unit(np.linalg.eigh(spread.T @ spread)[1][:, -1])
    aside = np.cross(along, UP) if abs(along[2]) < 0.9 else np.cross(along, np.array([0.0, 1.0, 0.0]))
    across = triangles @ (unit(aside) + np.cross(unit(aside), along))
    return _mapped(triangles, np.stack([triangles @ along, across], axis=-1), pattern)


def _mapped(triangles: Array, places: Array, pattern: Pattern) -> pv.PolyData:
    count = len(triangles)
    faces = np.hstack([np.full((count, 1), 3), np.arange(3 * count).reshape(-1, 3)])
    mesh = pv.PolyData(triangles.reshape(-1, 3), faces=faces.ravel())
    mesh.active_texture_coordinates = places.reshape(-1, 2) / pattern.side
    return mesh


def texture(pixels: Pixels) -> pv.Texture:
    """Pixels as a texture that repeats and stays smooth from afar."""
    made = pv.Texture(pixels)
    made.repeat = True
    made.mipmap = True
    made.interpolate = True
    return made

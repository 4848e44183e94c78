"""Off-axis angles or light as a picture laid on the listening plane: a texture, on a sheet that follows risers."""

from __future__ import annotations

import io
from collections.abc import Iterator
from itertools import pairwise

import numpy as np
from PIL import Image

from earshed.model.coverage import Map
from earshed.model.geometry import Array
from earshed.model.listening_plane import ListeningPlane, PlaneSpec, lay_plane_over
from earshed.model.scene import Scene
from earshed.viewer import palette
from earshed.viewer.gltf.looks import Look
from earshed.viewer.gltf.shapes import Piece, y_up
from earshed.viewer.light import OPACITY as LIGHT_OPACITY
from earshed.viewer.light import light_colors

TEXEL = 0.01
"""Metres of a texel, where the room is small enough for it."""
MOST_TEXELS = 2048
"""To a side: what any device of today takes as a texture."""
OPACITY = 0.92
TRANSPARENT = len(palette.OFF_AXIS_COLORS)
"""The color of the texture that stands for what is outside of the room's air."""

NO_LIGHT = 255
"""Steps of light, and the color of its texture that stands for what is outside of the room's air."""


def texture_plane(scene: Scene) -> ListeningPlane:
    """The scene's listening plane with a point at the middle of every texel."""
    bounds = scene.room.plan.bounds
    longest = float(np.ptp(bounds, axis=0).max())
    return lay_plane_over(scene.room, bounds, PlaneSpec(scene.plane.height, max(TEXEL, longest / MOST_TEXELS)))


def heat_picture(angles: Map) -> bytes:
    """The PNG of off-axis angles (ny, nx), degrees, in the bands of the palette; front up, and transparent for nan."""
    with np.errstate(invalid="ignore"):
        bands = np.digitize(angles, palette.OFF_AXIS_EDGES[1:])
    bands = np.where(np.isnan(angles), TRANSPARENT, bands).astype(np.uint8)
    picture = Image.fromarray(np.ascontiguousarray(bands[::-1]), "P")
    picture.putpalette(b"".join(bytes.fromhex(color[1:]) for color in (*palette.OFF_AXIS_COLORS, palette.PAPER)))
    buffer = io.BytesIO()
    picture.save(buffer, "PNG", optimize=True, transparency=TRANSPARENT)
    return buffer.getvalue()


def light_picture(light: Array) -> bytes:
    """The PNG of light (ny, nx), 0 to 1, in as many steps as fit a byte; front up, and transparent for nan."""
    steps = np.where(np.isnan(light), NO_LIGHT, np.round(np.nan_to_num(light) * (NO_LIGHT - 1))).astype(np.uint8)
    picture = Image.fromarray(np.ascontiguousarray(steps[::-1]), "P")
    colors = light_colors(np.append(np.linspace(0.0, 1.0, NO_LIGHT), 0.0))[:, :3]
    picture.putpalette(np.ascontiguousarray(colors).tobytes())
    buffer = io.BytesIO()
    picture.save(buffer, "PNG", optimize=True, transparency=NO_LIGHT)
    return buffer.getvalue()


def heat_piece(plane: ListeningPlane, angles: Map, name: str) -> Piece:
    """The sheet at ear height with a picture of the angles (ny, nx) on it."""
    look = Look(name, palette.PAPER, 1.0, OPACITY, unlit=True, two_sided=True, picture=heat_picture(angles))
    return sheet_piece(plane, look)


def light_piece(plane: ListeningPlane, light: Array, name: str) -> Piece:
    """The sheet at ear height with light (ny, nx), 0 to 1, on it."""
    look = Look(name, palette.PAPER, 1.0, LIGHT_OPACITY, unlit=True, two_sided=True, picture=light_picture(light))
    return sheet_piece(plane, look)


def sheet_piece(plane: ListeningPlane, look: Look) -> Piece:
    """The sheet at ear height, which follows the risers, in a look whose picture lies over all of the plane."""
    corners = np.array(list(_rectangles(plane)))
    (left, rear), (right, front) = plane_edges(plane)
    places = (corners[..., :2] - [left, front]) / [right - left, rear - front]
    count = len(corners)
    quads = (np.array([[0, 1, 2], [0, 2, 3]]) + 4 * np.arange(count)[:, None, None]).reshape(-1, 3)
    return Piece(
        look,
        y_up(corners.reshape(-1, 3)),
        quads.astype(np.uint32),
        places=places.reshape(-1, 2).astype(np.float32),
    )


def plane_edges(plane: ListeningPlane) -> Array:
    """Lower left and upper right corner (2, 2) of the plane, half a step beyond its first and last points."""
    half = plane.step / 2
    return np.array([[plane.x[0] - half, plane.y[0] - half], [plane.x[-1] + half, plane.y[-1] + half]])


def _rectangles(plane: ListeningPlane) -> Iterator[Array]:
    """Corners (4, 3) of rectangles that cover the plane, each on one level; rows that are alike are taken together."""
    half = plane.step / 2
    rows = np.flatnonzero(np.any(np.diff(plane.height, axis=0) != 0, axis=1)) + 1
    for low, high in pairwise([0, *rows.tolist(), len(plane.y)]):
        levels = plane.height[low]
        columns = np.flatnonzero(np.diff(levels) != 0) + 1
        rear, front = plane.y[low] - half, plane.y[high - 1] + half
        for start, end in pairwise([0, *columns.tolist(), len(plane.x)]):
            left, right, z = plane.x[start] - half, plane.x[end - 1] + half, levels[start]
            yield np.array([[left, rear, z], [right, rear, z], [right, front, z], [left, front, z]])

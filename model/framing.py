"""Framing behind the board: where joists, rafters and studs run.

Dressed sizes: PS 20 American Softwood Lumber Standard, dry, inches.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from earshed.model.geometry import FRONT, PARALLEL, RIGHT, Array, face_frame, square_to
from earshed.model.surface import Surface
from earshed.model.units import INCH

Direction = Literal["front-to-back", "side-to-side", "up-slope", "level"]

DRESSED: dict[str, tuple[float, float]] = {
    "2x3": (1.5 * INCH, 2.5 * INCH),
    "2x4": (1.5 * INCH, 3.5 * INCH),
    "2x6": (1.5 * INCH, 5.5 * INCH),
    "2x8": (1.5 * INCH, 7.25 * INCH),
    "2x10": (1.5 * INCH, 9.25 * INCH),
    "2x12": (1.5 * INCH, 11.25 * INCH),
}
"""Thickness and depth, metres, by nominal size."""

MOST_MEMBERS = 2000


@dataclass(frozen=True)
class Framing:
    """A run of like members behind one or more faces; lengths in metres.

    `spacing` and `first_center` are taped on the face, square to the members, from the front or left end of the
    face, or up from its low crease for level members.
    """

    name: str
    surfaces: tuple[Surface, ...]
    thickness: float
    depth: float
    spacing: float
    first_center: float
    direction: Direction


def member_lines(framing: Framing, surface: Surface) -> Array:
    """Center lines (M, 2, 3) on a face of the members behind it, clipped to the face."""
    run, across = _run_and_across(framing.direction, surface.normal)
    frame = np.stack([surface.frame @ run, surface.frame @ across])  # face coordinates to (run, across)
    corners = np.concatenate([surface.to_face(ring) for ring in surface.rings()]) @ frame.T
    (run_0, across_0), (run_1, across_1) = corners.min(axis=0), corners.max(axis=0)
    at = np.arange(across_0 + framing.first_center, across_1, framing.spacing)[:MOST_MEMBERS]
    lines = [shapely.LineString(np.array([[run_0 - 1, a], [run_1 + 1, a]]) @ frame) for a in at]
    clipped = shapely.intersection(lines, surface.outline)
    pieces = [part for line in clipped for part in shapely.get_parts(line) if part.length > 0]
    ends = np.array([np.array(piece.coords)[[0, -1]] for piece in pieces]).reshape(-1, 2, 2)
    return surface.to_room(ends)


def runs_along(direction: Direction, normal: Array) -> Array:
    """Unit vector (3,) in a face of that normal along a direction. Raises ValueError where it stands square to it."""
    return _run_and_across(direction, normal)[0]


def members_across(framing: Framing, surface: Surface) -> Array:
    """Unit vector (3,) in a face, square to the members, the way their spacing is taped."""
    return _run_and_across(framing.direction, surface.normal)[1]


def member_faces(framing: Framing, surface: Surface) -> list[NDArray[np.float64]]:
    """Corners (N, 3) of each member's true width as it lies behind the face, clipped to the face."""
    _, across = _run_and_across(framing.direction, surface.normal)
    half = framing.thickness / 2 * (surface.frame @ across)
    patches = []
    for line in member_lines(framing, surface):
        start, end = surface.to_face(line)
        past = 3 * framing.thickness * (end - start) / np.linalg.norm(end - start)  # a slanted end is cut, not squared
        start, end = start - past, end + past
        strip = shapely.Polygon([start - half, end - half, end + half, start + half]).intersection(surface.outline)
        patches += [
            surface.to_room(np.array(part.exterior.coords)) for part in shapely.get_parts(strip) if part.area > 0
        ]
    return patches


def _run_and_across(direction: Direction, normal: Array) -> tuple[Array, Array]:
    """Unit vectors (3,) along the members and square to them in the face, the second away from where the tape hooks."""
    level, upslope = face_frame(normal)
    if direction == "up-slope":
        return upslope, level
    if direction == "level":
        return level, (upslope if abs(upslope[2]) > PARALLEL else -FRONT)
    run = square_to(FRONT if direction == "front-to-back" else RIGHT, normal)
    if run is None:
        raise ValueError(f"{direction} members stand square to that face")
    across = np.cross(normal, run)
    from_left = abs(across[0]) > PARALLEL if direction == "front-to-back" else False
    hooked = across[0] > 0 if from_left else across[1] < 0
    if abs(across[0]) <= PARALLEL and abs(across[1]) <= PARALLEL:
        hooked = across[2] > 0
    return run, (across if hooked else -across)

"""What the key of a picture in three dimensions says: whose cone it is, which band, which pattern."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely

from earshed.model.face_shape import FaceShape
from earshed.model.geometry import Array
from earshed.model.pairs import pair
from earshed.model.scene import Scene
from earshed.model.seating import main_seats
from earshed.model.speaker import Speaker
from earshed.model.units import format_angle
from earshed.viewer import palette
from earshed.viewer.annotate import KeyRow
from earshed.viewer.cone_meshes import cone_colors
from earshed.viewer.hatching import KIND_WORDS, OLD_HOLE_WORDS, hatch_lines
from earshed.viewer.wording import shortened

SWATCH = 0.12
"""Metres of a pattern that a swatch of the key shows, each way."""


def band_rows() -> list[KeyRow]:
    """The bands of a map of off-axis angles."""
    edges = palette.OFF_AXIS_EDGES
    words = [f"{low:g}-{high:g}°" for low, high in pairwise(edges)] + [f"over {edges[-1]:g}°"]
    return [KeyRow(color, text) for color, text in zip(palette.OFF_AXIS_COLORS, words, strict=True)]


def cone_rows(scene: Scene, speakers: Sequence[Speaker]) -> list[KeyRow]:
    """Each speaker with the color of its cone, and the main seat that is farthest off its axis."""
    colors = cone_colors(speakers)
    rows = []
    for speaker in speakers:
        pairs = [pair(scene, seat, speaker) for seat in main_seats(scene.seats)]
        worst = max(pairs, key=lambda p: p.off_axis, default=None)
        more = f"{worst.seat.name} {format_angle(worst.off_axis)}, {worst.verdict}" if worst else ""
        rows.append(KeyRow(colors[speaker.name], shortened(speaker.name, 28), more))
    return rows


def hidden_rows(scene: Scene) -> list[KeyRow]:
    """What is hidden behind the faces, each kind with its pattern, and holes that are there."""
    kinds = {found.kind for found in scene.keep_outs}
    rows = []
    for kind, words in KIND_WORDS.items():
        if kind in kinds:
            strokes = [line / SWATCH for line in hatch_lines(kind, FaceShape(shapely.box(0, 0, SWATCH, SWATCH)))]
            rows.append(KeyRow(palette.PAPER, "", words, (*strokes, *_square([(0.0, 1.0)]))))
    if scene.existing_holes:
        rows.append(KeyRow(palette.PAPER, "", OLD_HOLE_WORDS, _square([(0.0, 0.3), (0.65, 0.95)])))
    return rows


def _square(parts: Sequence[tuple[float, float]]) -> tuple[Array, ...]:
    """Parts of each side of a unit square, as lines (2, 2)."""
    corners = np.array([[0, 0], [1, 0], [1, 1], [0, 1], [0, 0]], dtype=np.float64)
    return tuple(
        np.array([start + part * (end - start) for part in ends]) for start, end in pairwise(corners) for ends in parts
    )

"""The patterns by which every picture tells apart what is hidden behind a board, kind by kind, without color."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import shapely

from earshed.model.face_shape import FaceShape
from earshed.model.geometry import Array
from earshed.model.hidden import HiddenKind

STEP = 0.05
"""Metres between the lines of a pattern, where the shape is wide enough for some of them."""
LEAST_STEP, MOST_LINES = 0.012, 400
_SOLID, _BROKEN, _DOTS = (math.inf, math.inf), (0.8, 1.4), (0.16, 1.0)
"""Length of a stroke, and from where it begins to where the next one does, in steps."""

_PATTERNS: dict[HiddenKind, tuple[tuple[int, ...], tuple[float, float]]] = {
    "pipe": ((45,), _SOLID),
    "cable": ((45,), _BROKEN),
    "duct": ((45, -45), _SOLID),
    "driver box": ((0, 90), _SOLID),
    "blocking": ((0,), _SOLID),
    "unknown": ((0,), _DOTS),
}
"""The directions of the lines of a kind, degrees from level on the face, and their strokes."""
KIND_WORDS: dict[HiddenKind, str] = {
    "pipe": "pipe",
    "cable": "cable",
    "duct": "duct",
    "driver box": "driver box",
    "blocking": "blocking",
    "unknown": "not known what",
}
OLD_HOLE_WORDS = "hole that is there"


def hatch_lines(kind: HiddenKind, shape: FaceShape) -> list[Array]:
    """Strokes (2, 2) of the pattern of a kind, within a shape, in its face's coordinates."""
    turns, stroke = _PATTERNS[kind]
    corners = shapely.get_coordinates(shape.outline.oriented_envelope)
    sides = [float(np.hypot(*side)) for side in np.diff(corners[:3], axis=0)]
    step = min(STEP, max(min(sides) / 2.5, max(sides) / MOST_LINES, LEAST_STEP))
    return [line for turn in turns for line in _strokes(shape, math.radians(turn), step, stroke)]


def _strokes(shape: FaceShape, turn: float, step: float, stroke: tuple[float, float]) -> Iterator[Array]:
    """Parallel lines a step apart, cut into strokes that are set off from line to line."""
    along = np.array([math.cos(turn), math.sin(turn)])
    aside = np.array([-along[1], along[0]])
    middle = shapely.get_coordinates(shape.core.centroid)[0]
    reach = float(np.linalg.norm(shapely.get_coordinates(shape.outline) - middle, axis=1).max())
    length, period = stroke[0] * step, stroke[1] * step
    for number, across in enumerate(np.arange(-reach, reach + step, step)):
        start = middle + across * aside
        line = shapely.LineString([start - reach * along, start + reach * along]).intersection(shape.outline)
        if line.length > 0:  # shapes are convex: in one piece
            low, high = sorted(float((end - start) @ along) for end in shapely.get_coordinates(line)[[0, -1]])
            for ends in _cut(low, high, length, period, period / 2 * (number % 2)):
                yield np.array([start + end * along for end in ends])


def _cut(low: float, high: float, length: float, period: float, offset: float) -> list[tuple[float, float]]:
    """The strokes of a line from `low` to `high`, one of them beginning at the offset; endless ones are the line."""
    if math.isinf(length):
        return [(low, high)]
    starts = np.arange((low - offset) // period * period + offset, high, period)
    return [(max(float(at), low), min(float(at) + length, high)) for at in starts if at + length > low]

"""Shadows on a map: a pattern of slanted strokes over the points that a speaker does not see, and its key."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.patches import Rectangle
from matplotlib.patheffects import withStroke
from numpy.typing import ArrayLike

from earshed.model.coverage import Mask
from earshed.model.geometry import Array
from earshed.model.listening_plane import ListeningPlane
from earshed.viewer import palette

STROKE_GAP = 10.0
"""Pixels from one stroke to the next, level, about."""
_HALO = [withStroke(linewidth=2.6, foreground="white", alpha=0.75)]
MOST_NAMED = 3
"""Things that a key names; the rest it counts."""


def draw_shadow(axes: Axes, plane: ListeningPlane, hidden: Mask) -> None:
    """Strokes over the hidden points (ny, nx) of a plane, and a line round them."""
    if not hidden.any():
        return
    ends = axes.transData.transform([(0.0, 0.0), (plane.step, 0.0)])
    every = max(1, round(STROKE_GAP / float(ends[1, 0] - ends[0, 0])))
    _add(axes, list(strokes(plane, hidden, every)))
    if min(hidden.shape) > 1 and not hidden.all():
        levels = {"levels": [0.5], "colors": palette.INK, "linewidths": 0.9, "zorder": 2.7}
        axes.contour(plane.x, plane.y, hidden.astype(float), **levels)


def strokes(plane: ListeningPlane, hidden: Mask, every: int) -> Array:
    """Segments (N, 2, 2) through the middles of cells, as far as those are hidden (ny, nx); from one to the next it is
    `every` cells. They run down to the right, as no pattern of a single thing behind the board does."""
    rows, columns = hidden.shape
    x, down, half = plane.x, plane.y[::-1], plane.step / 2
    found = []
    for offset in range(-(rows - 1) // every * every, columns, every):
        along = hidden[::-1].diagonal(offset).astype(np.int8)
        turns = np.flatnonzero(np.diff(along, prepend=0, append=0))
        ends = np.column_stack([turns[::2], turns[1::2] - 1]) + max(0, -offset)
        low, high = ends.T
        starts = np.column_stack([x[low + offset] - half, down[low] + half])
        stops = np.column_stack([x[high + offset] + half, down[high] - half])
        found.append(np.stack([starts, stops], axis=1))
    return np.concatenate(found)


def _add(axes: Axes, segments: Sequence[ArrayLike]) -> None:
    look: dict[str, Any] = {"linewidths": 1.1, "capstyle": "butt", "path_effects": _HALO, "zorder": 2.6}
    axes.add_collection(LineCollection(segments, colors=palette.INK, **look), autolim=False)


def draw_swatch(axes: Axes) -> None:
    """The pattern as a key shows it, on axes 1 wide and 1 high."""
    axes.add_patch(Rectangle((0, 0), 1, 1, fc=palette.OFF_AXIS_COLORS[3], ec="none"))
    _add(axes, [[(x - 0.25, 1.0), (x + 0.25, 0.0)] for x in np.linspace(-0.2, 1.2, 6)])
    axes.add_patch(Rectangle((0, 0), 1, 1, fill=False, ec=palette.INK, lw=1.0, zorder=3))


def named(hidden_by: Mapping[str, float]) -> str:
    """What hides something, the first of it by name."""
    names = list(hidden_by)
    if len(names) <= MOST_NAMED:
        return " and ".join(filter(None, [", ".join(names[:-1]), names[-1]]))
    return f"{', '.join(names[: MOST_NAMED - 1])} and {len(names) - MOST_NAMED + 1} more"

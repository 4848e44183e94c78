"""Coverage as light: bright where a speaker is heard clearly, softer to its coverage limit, dark past it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from earshed.model.coverage_map import CoverageMap
from earshed.model.geometry import Array
from earshed.viewer import palette
from earshed.viewer.annotate import KeyRow

AT_LIMIT = 0.62
"""The light at the coverage limit, in parts of that on the axis."""
OPACITY = 0.86
MOST_ROWS = 6
"""Of the key."""


def light_of(off_axis: Array, limit: float) -> Array:
    """Light (...), 0 to 1, at off-axis angles (...): 1 on the axis, AT_LIMIT at the limit, 0 past it. Any one unit."""
    share = np.asarray(off_axis, dtype=np.float64) / limit
    light: Array = np.where(share <= 1, 1 - (1 - AT_LIMIT) * share**2, 0.0)
    return light


def light_map(cover: CoverageMap) -> Array:
    """The mean light (ny, nx) of the speakers of a map, 0 to 1, nothing in their shadow; nan outside of the air."""
    total = np.zeros(cover.plane.inside.shape)
    for speaker, angles, visible in zip(cover.speakers, cover.angles, cover.visible, strict=True):
        limit = float(np.degrees(speaker.coverage.limit))
        total += np.where(visible, light_of(np.nan_to_num(angles, nan=360.0), limit), 0.0)
    return np.where(cover.plane.inside, total / max(1, len(cover.speakers)), np.nan)


def light_colors(light: Array) -> NDArray[np.uint8]:
    """Red, green, blue and opacity (..., 4) of light (...), 0 to 1; what is nan cannot be seen."""
    there = np.nan_to_num(light)[..., None]
    dark, full = (np.array(lab) for lab in (palette.DARK_LAB, palette.LIT_LAB))
    color = palette.oklab_to_srgb(dark + (full - dark) * there)
    shown = np.where(np.isnan(light), 0.0, OPACITY)[..., None]
    return np.concatenate([color * 255, shown * 255], axis=-1).round().astype(np.uint8)


def light_rows(count: int) -> list[KeyRow]:
    """What the key says of the light of that many speakers."""
    if count == 1:
        words = [("on its axis", 1.0), ("at its coverage limit", AT_LIMIT), ("past it", 0.0)]
        return [KeyRow(_color(light), text) for text, light in words]
    numbers: Sequence[int] = np.unique(np.round(np.linspace(0, count, min(count + 1, MOST_ROWS))).astype(int)).tolist()
    middle = (1 + AT_LIMIT) / 2
    told = [("none" if n == 0 else "all" if n == count else str(n), n * middle / count) for n in reversed(numbers)]
    return [KeyRow(_color(light), text) for text, light in told]


def _color(light: float) -> str:
    red, green, blue, _ = light_colors(np.array(light))
    return f"#{red:02x}{green:02x}{blue:02x}"

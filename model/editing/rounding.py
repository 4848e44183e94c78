"""Places to the marks of a tape."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from itertools import product

import numpy as np

from earshed.model.editing.tape_text import KEPT
from earshed.model.geometry import Array
from earshed.model.plan import Wall
from earshed.model.units import to_mark

Holds = Callable[[Array], bool]
"""Whether a place (3,) is one that rounding may lead to."""
_WAYS = {
    "from_left": (1.0, 0.0, 0.0), "from_right": (-1.0, 0.0, 0.0), "from_center": (1.0, 0.0, 0.0),
    "from_front": (0.0, -1.0, 0.0), "from_rear": (0.0, 1.0, 0.0),
    "right": (1.0, 0.0, 0.0), "back": (0.0, -1.0, 0.0), "height": (0.0, 0.0, 1.0),
}  # fmt: skip
"""Where a place goes as the length of a key grows, on the plan and up."""


def rounded(
    lengths: Mapping[str, float],
    before: Mapping[str, float],
    point: Array,
    wall: Wall | None,
    mark: float,
    holds: Holds,
) -> dict[str, float]:
    """Lengths by key of a place (3,) on marks of a tape, `mark` metres apart, such that the place holds; the nearest
    marks where none does. What is as before stays so, on a mark or not."""
    keys = list(lengths)
    tries = [_tried(lengths[key], before.get(key), mark) for key in keys]
    steps = np.array([(*wall.along, 0.0) if wall and key == "along" else _WAYS[key] for key in keys])
    given = np.array([lengths[key] for key in keys])
    found = sorted(product(*tries), key=lambda one: float(np.sum((np.array(one) - given) ** 2)))
    for one in found:
        spot = point + (np.array(one) - given) @ steps
        if holds(spot if wall is None else _onto(wall, spot)):
            return dict(zip(keys, one, strict=True))
    return {key: each[0] for key, each in zip(keys, tries, strict=True)}


def _tried(metres: float, before: float | None, mark: float) -> tuple[float, ...]:
    """What a length may become: the nearest mark first, then the one on its other side."""
    if before is not None and abs(metres - before) < KEPT:
        return (before,)
    nearest = to_mark(metres, mark)
    other = math.floor(metres / mark) * mark
    return nearest, (other if abs(other - nearest) > mark / 2 else other + mark)


def _onto(wall: Wall, spot: Array) -> Array:
    """A place (3,) on a wall's plane."""
    return wall.point(float((spot[:2] - wall.start) @ wall.along), float(spot[2]))

"""Running dimensions: distances from one line, merged where they read alike, and set apart so that they can be read.

Data alone: sheets and drawing files both take their numbers from here.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from earshed.model.geometry import Array
from earshed.model.ruler import Ruler


@dataclass(frozen=True, eq=False)
class Tick:
    """One distance: its `value` in metres from the line that all are taken from, its text, and the points (N, 2) on the
    drawing that it is of."""

    value: float
    text: str
    points: Array


@dataclass(frozen=True)
class Row:
    """Distances of one kind of things, in order, under a caption."""

    caption: str
    ticks: tuple[Tick, ...]


@dataclass(frozen=True)
class Running:
    """Distances along one axis of a drawing: 0 across, 1 up; all from the level `origin` of it, growing with `sense`.

    `rows` begin next to the drawing; `whole` spans it, and is farthest out. `start` says where the tape begins.
    """

    axis: Literal[0, 1]
    origin: float
    sense: Literal[1, -1]
    start: str
    rows: tuple[Row, ...]
    whole: Tick

    def at(self, value: float) -> float:
        """The level on the drawing's axis of a distance."""
        return self.origin + self.sense * value

    @property
    def ticks(self) -> tuple[Tick, ...]:
        """Those of all rows, nearest row first."""
        return tuple(tick for row in self.rows for tick in row.ticks)


def ticks_of(points: Iterable[ArrayLike], axis: int, origin: float, sense: int, ruler: Ruler) -> tuple[Tick, ...]:
    """The distances of points (2,) along an axis, in order; those that read alike are one, and those that
    read nothing are left out."""
    merged: dict[str, list[tuple[float, Array]]] = {}
    measured = [(sense * (float(np.asarray(point)[axis]) - origin), np.asarray(point)) for point in points]
    for value, point in sorted(measured, key=lambda one: one[0]):
        if ruler.rounded(value):  # at the very start stands the row's zero
            merged.setdefault(ruler.bare(value), []).append((value, point))
    return tuple(Tick(same[0][0], text, np.array([point for _, point in same])) for text, same in merged.items())


def spread(wanted: Sequence[float], gap: float, low: float, high: float) -> Array:
    """Places (N,) between two limits, in order and a gap apart, the sum of whose squared moves from `wanted`, which
    ascends, is least.

    Less i gaps each, the places must only not descend: isotonic regression by pooling adjacent violators (M. Ayer et
    al., Annals of Mathematical Statistics 26, 1955), clipped to the limits. Raises ValueError where there is not room
    for all.
    """
    count = len(wanted)
    if (count - 1) * gap > high - low + 1e-9:
        raise ValueError(f"{count} places {gap:g} apart do not fit between {low:g} and {high:g}")
    pools: list[tuple[float, int]] = []
    for number, place in enumerate(wanted):
        mean, size = place - number * gap, 1
        while pools and pools[-1][0] > mean:
            before, taken = pools.pop()
            mean, size = (before * taken + mean * size) / (taken + size), taken + size
        pools.append((mean, size))
    means = np.repeat([mean for mean, _ in pools], [size for _, size in pools]) if pools else np.zeros(0)
    places: Array = np.clip(means, low, high - (count - 1) * gap) + gap * np.arange(count)
    return places

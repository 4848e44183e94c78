"""Power that arrives at many points from sources with a directivity: the kernel of level maps.

Half the angle off the axis has a sine, u = sqrt((1 - cos) / 2), that needs no inverse function and grows nearly evenly
with the angle; each source brings a table of its power over u, fine enough to be read without going between its rows.
Distances and cosines of all sources come from one matrix product, in single precision round the middle of the points.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from earshed.model.geometry import Array

Floats = NDArray[np.float32]
BLOCK = 8192
"""Points that are worked on at once: their arrays stay in the cache."""
AT_ONCE = 3
"""Sources that are worked on at once: so few that the matrix product stays in one thread. Two threads wait for each
other, and beside another program they take ten times as long."""
NEAREST = 0.05
"""Metres within which a source gets no louder: no loudspeaker is a point."""


@dataclass(frozen=True, eq=False)
class Source:
    """A source at `position` (3,) with its unit `axis` (3,): `table` (K, B) is the power in each band a metre away, in
    the middles of K equal steps of the sine of half the angle off the axis, from 0 to 1."""

    position: Array
    axis: Array
    table: Floats


class Field:
    """Points that power arrives at, laid out once for any number of sources: `columns` (5, P) are x, y, z from the
    `middle` (3,) of all, their square, and 1."""

    def __init__(self, points: Array) -> None:
        """Points (P, 3)."""
        self.points, count = points, len(points)
        self.middle: Array = points.sum(axis=0) / max(1, count)
        self.columns: Floats = np.ones((5, count), dtype=np.float32)
        for place, middle, column in zip(points.T, self.middle, self.columns, strict=False):
            np.subtract(place, middle, out=column, casting="same_kind")
        np.sum(self.columns[:3] ** 2, axis=0, out=self.columns[3])

    def power(self, sources: Sequence[Source]) -> Floats:
        """Power (P, B), float32, of all sources together; at least one, all with as many bands."""
        total = np.zeros((self.columns.shape[1], sources[0].table.shape[1]), dtype=np.float32)
        self.add(total, sources)
        return total

    def add(self, total: Floats, sources: Sequence[Source]) -> None:
        """Adds the power of some sources to what arrives already, `total` (P, B), in place.

        Of one that moves, take what all others give, once, and add it to a copy of that.
        """
        groups = [sources[first : first + AT_ONCE] for first in range(0, len(sources), AT_ONCE)]
        turns = [self._turn(group) for group in groups]
        for start in range(0, len(total), BLOCK):
            here, columns = total[start : start + BLOCK], self.columns[:, start : start + BLOCK]
            for group, turn in zip(groups, turns, strict=True):
                _add(here, group, *np.split(turn @ columns, 2))

    def _turn(self, sources: Sequence[Source]) -> Floats:
        """What the columns are multiplied by (2 S, 5): first for the square of each distance, then for the part of it
        along each axis, so scaled that over the distance and with K^2 / 2 added it is the square of a table's row."""
        squares, alongs = [], []
        for source in sources:
            at = source.position - self.middle
            squares.append([*(-2 * at), 1.0, at @ at])
            scale = len(source.table) ** 2 / 2
            alongs.append([*(-scale * source.axis), 0.0, scale * (at @ source.axis)])
        return np.array([*squares, *alongs], dtype=np.float32)


def _add(total: Floats, sources: Sequence[Source], squares: Floats, alongs: Floats) -> None:
    """Adds to `total` (P, B) the power of some sources from the squares of the distances to them, and from how far the
    points lie along their axes, as `Field._turn` scales it, (S, P) each; both are overwritten."""
    powers = np.reciprocal(np.maximum(squares, np.float32(NEAREST**2), out=squares), out=squares)
    alongs *= np.sqrt(powers)
    alongs += np.array([[len(source.table) ** 2 / 2] for source in sources], dtype=np.float32)
    rows = np.sqrt(np.maximum(alongs, 0, out=alongs), out=alongs).astype(np.intp)
    for source, power, row in zip(sources, powers, rows, strict=True):
        sent = source.table.take(row, axis=0, mode="clip")
        sent *= np.repeat(power, sent.shape[1]).reshape(sent.shape)  # far faster than to broadcast short rows
        total += sent

"""Power that arrives at many points from sources with a directivity: the kernel of level maps.

Half the angle off the axis has a sine, u = sqrt((1 - cos) / 2), that needs no inverse function and grows nearly evenly
with the angle; each source brings a table of its power over u. Distances and cosines of all sources come from one
matrix product, in single precision round the middle of the points.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from earshed.model.geometry import Array

Floats = NDArray[np.float32]
BLOCK = 4096
"""Points that are worked on at once: their arrays stay in the cache."""
NEAREST = 0.05
"""Metres within which a source gets no louder: no loudspeaker is a point."""


@dataclass(frozen=True, eq=False)
class Source:
    """A source at `position` (3,) with its unit `axis` (3,): `table` (K, B) is the power in each band a metre away, at
    evenly spaced sines of half the angle off the axis from 0 to 1."""

    position: Array
    axis: Array
    table: Array


def power_at(points: Array, sources: Sequence[Source]) -> Floats:
    """Power (P, B) of all sources together at points (P, 3), float32; at least one source, all with as many bands.

    Straight lines between the rows of a table; with 2048 of them good to 0.01 dB but in nulls.
    """
    middle = points.mean(axis=0) if len(points) else np.zeros(3)
    turn = _turn(sources, middle)
    tables = [_steps(source.table) for source in sources]
    result = np.empty((len(points), tables[0][0].shape[1]), dtype=np.float32)
    for start in range(0, len(points), BLOCK):
        here = (np.ascontiguousarray(points[start : start + BLOCK].T) - middle[:, None]).astype(np.float32)
        products = turn @ np.vstack([here, np.sum(here**2, axis=0), np.ones_like(here[0])])
        total = result[start : start + BLOCK]
        total[...] = 0.0
        for (table, rise), square, along in zip(tables, products[0::2], products[1::2], strict=True):
            np.maximum(square, np.float32(NEAREST**2), out=square)
            along /= np.sqrt(square)
            rows = _rows(table, rise, along)
            rows /= square[:, None]
            total += rows
    return result


def _turn(sources: Sequence[Source], middle: Array) -> Floats:
    """What points (x, y, z, their square, 1) are multiplied by for the square of the distance from each source, and for
    the part of it along its axis: (2 S, 5)."""
    rows = []
    for source in sources:
        at = source.position - middle
        rows.append([*(-2 * at), 1.0, at @ at])
        rows.append([*source.axis, 0.0, -(at @ source.axis)])
    return np.array(rows, dtype=np.float32)


def _steps(table: Array) -> tuple[Floats, Floats]:
    """A table, its last row twice, and what each row rises by to the next."""
    whole = np.concatenate([table, table[-1:]]).astype(np.float32)
    return whole, np.diff(whole, axis=0, append=whole[-1:])


def _rows(table: Floats, rise: Floats, cosine: Floats) -> Floats:
    """The rows (P, B) of a table at some cosines (P,) off its axis, which are overwritten."""
    np.subtract(1, cosine, out=cosine)
    cosine *= np.float32(0.5)
    np.clip(cosine, 0, 1, out=cosine)
    half = np.sqrt(cosine, out=cosine)
    half *= np.float32(len(table) - 2)
    step = half.astype(np.int32)
    half -= step
    rows: Floats = table.take(step, axis=0)
    more = rise.take(step, axis=0)
    more *= half[:, None]
    rows += more
    return rows

"""Names on a drawing, each beside what it names, where nothing else is written and least is covered."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.geometry import Array
from earshed.viewer import palette
from earshed.viewer.sheets.drawing import block_size, write_block
from earshed.viewer.sheets.sheet import Box, Sheet

CLEAR = 0.7
"""Millimetres that are kept free round what is written."""
OUTWARDS = (0.8, 2.0, 3.5, 5.5, 8.0, 11.0, 15.0, 20.0, 26.0, 33.0)
"""Millimetres from a thing to its name that are tried."""
WAYS = tuple(np.radians(turn) for turn in (90, 270, 0, 180, 45, 135, 225, 315, 22, 158, 202, 338, 67, 113, 247, 293))
LEADER = 2.5
"""Millimetres away from which a name has a line to what it names."""

WALL_WEIGHT = 8.0
"""Of a square millimetre of a wall's line: names break it only where there is no other room."""


class Labels:
    """What is written within a box of a sheet, in millimetres.

    Names never lie on one another nor on what is `kept`; of what is soft (weight for each square millimetre or
    crossing) they cover as little as they can.
    """

    def __init__(self, sheet: Sheet, within: Box) -> None:
        self.sheet = sheet
        self.within = within
        self.missing: list[str] = []
        self._kept: list[BaseGeometry] = []
        self._soft: list[BaseGeometry] = []
        self._weights: list[float] = []

    def keep(self, *shapes: BaseGeometry) -> None:
        """Nothing is to be written over these."""
        self._kept += shapes

    def spare(self, weight: float, *shapes: BaseGeometry) -> None:
        """To be covered only for want of a better place, at a weight for each square millimetre; of a line, for the
        area within a quarter millimetre of it."""
        self._soft += [shape if shape.area else shape.buffer(0.25) for shape in shapes]
        self._weights += [weight] * len(shapes)

    def name(self, thing: BaseGeometry, lines: list[str], size: float) -> None:
        """Writes beside a thing; where there is no room at all, its first line is added to `missing`."""
        extent = block_size(lines, size)
        spot = self._best(self._beside(thing, extent), extent)
        if spot is None:
            self.missing.append(lines[0])
            return
        box = _box(spot, extent)
        ends = shapely.get_coordinates(shapely.shortest_line(thing, box))
        if len(ends) and np.hypot(*(ends[1] - ends[0])) > LEADER:
            self.sheet.line(ends, color=palette.SOFT_INK, width=0.15)
        self.write(spot, lines, size)

    def along(self, thing: BaseGeometry, spots: Array, lines: list[str], size: float, *, upright: bool) -> None:
        """Writes at the best of some places (N, 2) for its middle, turned to read from below where `upright`; beside
        the thing where none of them is free."""
        extent = block_size(lines, size)
        spot = self._best(((middle, 0.01 * n) for n, middle in enumerate(spots)), extent[::-1] if upright else extent)
        if spot is None:
            self.name(thing, lines, size)
        else:
            self.write(spot, lines, size, upright=upright)

    def inside(self, thing: BaseGeometry, lines: list[str], size: float) -> None:
        """Writes in the middle of a thing that is larger than its name, else beside it."""
        left, low, right, high = thing.bounds
        fits = np.all(block_size(lines, size) + 2 * CLEAR < (right - left, high - low))
        spots = shapely.get_coordinates(thing.centroid) if fits else np.zeros((0, 2))
        self.along(thing, spots, lines, size, upright=False)

    def best_spot(self, spots: Array, extent: Array) -> Array | None:
        """The best middle (2,) for a box among places (N, 2) in the order they are liked; None where none is free."""
        return self._best(((middle, 0.05 * number) for number, middle in enumerate(spots)), extent)

    def write(self, spot: Array, lines: list[str], size: float, *, upright: bool = False) -> None:
        """Writes round a point of the sheet, whatever is there, and keeps its place."""
        extent = block_size(lines, size)
        self._kept.append(_box(spot, extent[::-1] if upright else extent))
        write_block(self.sheet, spot, lines, size, upright=upright)

    def _best(self, spots: Iterator[tuple[Array, float]], extent: Array) -> Array | None:
        kept, soft, weights = np.array(self._kept), np.array(self._soft), np.array(self._weights)
        within = shapely.box(*self.within)
        best: tuple[float, Array] | None = None
        for spot, cost in spots:
            box = _box(spot, extent + 2 * CLEAR)
            if (
                (best and cost >= best[0])
                or not within.covers(box)
                or (len(kept) and shapely.intersects(kept, box).any())
            ):
                continue
            if len(soft):
                cost += float(shapely.area(shapely.intersection(soft, box)) @ weights)
            if best is None or cost < best[0]:
                best = cost, spot
        return None if best is None else best[1]

    def _beside(self, thing: BaseGeometry, extent: Array) -> Iterator[tuple[Array, float]]:
        """Middles for a name round a thing, each with what its distance costs."""
        left, low, right, high = thing.bounds
        middle, half = np.array([left + right, low + high]) / 2, np.array([right - left, high - low]) / 2
        for out in OUTWARDS:
            for number, way in enumerate(WAYS):
                turn = np.array([np.cos(way), np.sin(way)])
                reach = half + extent / 2 + CLEAR + out
                share = float((np.abs(turn) / np.maximum(reach, 1e-9)).max())
                yield middle + turn / share, out * 1.5 + 0.1 * number


def _box(middle: Array, extent: Array) -> shapely.Polygon:
    return shapely.box(*(middle - extent / 2), *(middle + extent / 2))

"""Clamps: the dogs that swing out behind the board and hold a speaker in its hole."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely

from earshed.model.face_shape import FaceShape
from earshed.model.geometry import Array
from earshed.model.units import INCH

HALF_WIDTH = 3 / 8 * INCH
"""Half of the width of a clamp's foot. Common practice, no source."""


@dataclass(frozen=True)
class Clamps:
    """`count` clamps, even round the hole, each `reach` metres past its edge; None where only the boards that they
    hold are known, `thinnest` and `thickest`, metres.

    The first stands at `first` radians from the screen-side mark of the rim, towards the right; of a type that leans,
    from the way it leans.
    """

    count: int | None = None
    reach: float | None = None
    first: float = 0.0
    thinnest: float | None = None
    thickest: float | None = None

    @property
    def turns(self) -> Array:
        """Radians (count,) from where the first is counted."""
        count = self.count or 0
        return self.first + 2 * math.pi * np.arange(count) / max(count, 1)


def clamp_feet(clamps: Clamps, cut: FaceShape, start: Array, aside: Array) -> list[FaceShape]:
    """The feet of clamps round a cut: what lies past its edge, square to it; none where they are not known.

    `start` and `aside` are the unit directions (2,) of the face that turns are counted from and towards.
    """
    if clamps.count is None or clamps.reach is None:
        return []
    feet = []
    for turn in clamps.turns:
        edge, way = _edge_of(cut, math.cos(turn) * start + math.sin(turn) * aside)
        ends = [edge, edge + max(clamps.reach - HALF_WIDTH, 0.0) * way]
        core = shapely.LineString(ends) if clamps.reach > HALF_WIDTH else shapely.Point(ends[0])
        feet.append(FaceShape(core, min(HALF_WIDTH, clamps.reach)))
    return feet


def _edge_of(cut: FaceShape, way: Array) -> tuple[Array, Array]:
    """Where a unit direction (2,) from the middle of a round or rectangular cut meets its edge (2,), and the unit
    direction (2,) square to the edge there, outwards."""
    middle = shapely.get_coordinates(cut.core.centroid)[0]
    if not isinstance(cut.core, shapely.Polygon):
        return middle + cut.radius * way, way
    corners = shapely.get_coordinates(cut.core)[:-1]
    sides = np.diff(corners[:3], axis=0) / 2  # from the middle square to two of the sides
    sides = np.concatenate([sides, -sides])
    reached = (sides @ way) / np.sum(sides**2, axis=1)  # a side is met where this times the distance is 1
    side = sides[int(reached.argmax())]
    return middle + way / reached.max(), side / np.linalg.norm(side)

"""All that is in the way on one face, found fast by where it is."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray

from earshed.model.clear_area import clear_area
from earshed.model.geometry import Array
from earshed.model.hole import HoleShape
from earshed.model.moves import nearest_move, taped_move
from earshed.model.obstacle import Obstacle
from earshed.model.surface import Surface
from earshed.model.units import PrintUnits

NEAR = 0.3
"""Metres round a hole within which a place for it is looked for first."""
WIDER = 3.0


@dataclass(frozen=True, eq=False)
class Surroundings:
    """The obstacles of a face, with a tree of the boxes that they keep holes out of."""

    face: Surface
    obstacles: Sequence[Obstacle]

    @cached_property
    def _tree(self) -> tuple[shapely.STRtree, NDArray[np.intp]]:
        levels = [(at, level) for at, obstacle in enumerate(self.obstacles) for level in obstacle.levels]
        boxes = shapely.bounds([level.shape.core for _, level in levels]).reshape(-1, 4)
        grown = np.array([level.shape.radius + level.distance + level.within for _, level in levels])[:, None]
        boxes = np.hstack([boxes[:, :2] - grown, boxes[:, 2:] + grown])
        tree = shapely.STRtree([shapely.box(*box) for box in boxes])
        return tree, np.array([at for at, _ in levels], dtype=np.intp)

    def near(self, middle: Array, reach: float) -> Iterator[Obstacle]:
        """The obstacles, in order, that may keep something out that reaches some metres from a place (2,)."""
        tree, owners = self._tree
        found = tree.query(shapely.box(*(middle - reach), *(middle + reach)))
        return (self.obstacles[at] for at in np.unique(owners[found]))


def reach_of(shape: HoleShape) -> float:
    """Metres from the origin, round which a hole lies, to the farthest of what it takes up."""
    parts = (shape.cut, shape.rim, *shape.clamps)
    return max(float(np.hypot(*shapely.get_coordinates(part.core).T).max()) + part.radius for part in parts)


def nearest_clear(
    surroundings: Surroundings,
    middle: Array,
    shape: HoleShape,
    units: PrintUnits,
    counts: Callable[[Obstacle], Obstacle | None],
) -> Array | None:
    """The shortest move (2,) of a hole on its face that is clear of all obstacles that count, each as `counts` gives
    it, in marks of the tape; None where there is no place. `shape` is of the hole at the origin.

    It is looked for in a window that is widened until none outside it can be nearer.
    """
    outline = surroundings.face.outline
    reach, window = reach_of(shape), NEAR
    most = float(outline.hausdorff_distance(shapely.Point(middle)))
    while True:
        counted = (counts(one) for one in surroundings.near(middle, window + reach))
        seen = outline.intersection(shapely.box(*(middle - window), *(middle + window)))
        area = clear_area(seen, [one for one in counted if one is not None], shape)
        move = nearest_move(middle, area)
        if window > most or (move is not None and np.hypot(*move) < window):
            return taped_move(middle, area, units)
        window *= WIDER

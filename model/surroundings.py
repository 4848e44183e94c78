"""All that is in the way on one face, found fast by where it is."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from earshed.model.clear_area import clear_area
from earshed.model.geometry import Array
from earshed.model.hole import HoleShape
from earshed.model.moves import taped_move
from earshed.model.obstacle import Obstacle
from earshed.model.surface import Surface
from earshed.model.units import PrintUnits

NEAR = 0.3
"""Metres round a hole within which a place for it is looked for first."""
WIDER = 3.0
FAR = 2.0


@dataclass(frozen=True, eq=False)
class Surroundings:
    """The obstacles of a face, with a tree of the boxes that they keep holes out of."""

    face: Surface
    obstacles: Sequence[Obstacle]
    _clear: dict[Hashable, BaseGeometry] = field(default_factory=dict, repr=False)

    def clear_for(self, kind: Hashable, shape: HoleShape, counts: Callable[[Obstacle], Obstacle]) -> BaseGeometry:
        """The part of the face that is clear for a hole of a shape, all obstacles as `counts` gives them; it is kept
        under a kind that stands for both."""
        if kind not in self._clear:
            self._clear[kind] = clear_area(self.face.outline, map(counts, self.obstacles), shape)
        return self._clear[kind]

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
    everywhere: Callable[[], BaseGeometry] | None = None,
) -> Array | None:
    """The shortest move (2,) of a hole on its face that is clear of all obstacles that count, each as `counts` gives
    it, in marks of the tape; None where there is no place. `shape` is of the hole at the origin.

    It is looked for in a window that is widened until none outside it can be nearer; in place of the widest ones, in
    what `everywhere` gives, all of the face that is clear.
    """
    outline = surroundings.face.outline
    reach, window = reach_of(shape), NEAR
    most = float(outline.hausdorff_distance(shapely.Point(middle)))
    while True:
        if window > FAR and everywhere is not None:
            return taped_move(middle, everywhere(), units)
        counted = (counts(one) for one in surroundings.near(middle, window + reach))
        seen = outline.intersection(shapely.box(*(middle - window), *(middle + window)))
        area = clear_area(seen, [one for one in counted if one is not None], shape)
        move = taped_move(middle, area, units)
        if window > most or (move is not None and np.hypot(*move) < window):
            return move
        window *= WIDER

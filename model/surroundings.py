"""All that is in the way on one face, found fast by where it is."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from earshed.model.behind_board import framing_on, hidden_on
from earshed.model.clear_area import clear_area
from earshed.model.geometry import Array
from earshed.model.hole import Hole, HoleShape
from earshed.model.moves import taped_move
from earshed.model.obstacle import Obstacle
from earshed.model.old_cut import old_hole
from earshed.model.on_face import (
    boxes_at,
    edges_of,
    fixtures_on,
    hangings_over,
    hung_below,
    openings_in,
    round_the_corner,
    speaker_hole,
)
from earshed.model.scene import Scene
from earshed.model.surface import Surface
from earshed.model.units import PrintUnits

NEAR = 0.3
"""Metres round a hole within which a place for it is looked for first."""
WIDER = 3.0
FAR = 2.0


def obstacles_on(scene: Scene, face: Surface, others: Sequence[Hole] = ()) -> tuple[Obstacle, ...]:
    """What holes in a face are to keep away from; `others` are holes that are taken already.

    Edges of the board are among them; that a hole lies inside them is not said here.
    """
    return (
        *framing_on(scene, face),
        *hidden_on(scene, face),
        *edges_of(scene, face),
        *fixtures_on(scene, face),
        *round_the_corner(scene, face),
        *hangings_over(scene, face),
        *openings_in(scene, face),
        *boxes_at(scene, face),
        *hung_below(scene, face),
        *(speaker_hole(scene, other) for other in others if other.surface.name == face.name),
        *(old_hole(scene, hole) for hole in scene.existing_holes if hole.surface.name == face.name),
    )


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
        owners, boxes = _kept_out(self.obstacles)
        return shapely.STRtree([shapely.box(*box) for box in boxes]), owners

    def near(self, middle: Array, reach: float) -> Iterator[Obstacle]:
        """The obstacles, in order, that may keep something out that reaches some metres from a place (2,)."""
        tree, owners = self._tree
        found = tree.query(shapely.box(*(middle - reach), *(middle + reach)))
        return (self.obstacles[at] for at in np.unique(owners[found]))


@dataclass(frozen=True, eq=False)
class Around:
    """What is in the way of one hole: of any on its face, and a few things that are in the way of this one alone."""

    on_face: Surroundings
    own: Sequence[Obstacle] = ()

    @property
    def face(self) -> Surface:
        return self.on_face.face

    @property
    def obstacles(self) -> tuple[Obstacle, ...]:
        return (*self.on_face.obstacles, *self.own)

    @cached_property
    def _own(self) -> tuple[NDArray[np.intp], Array]:
        return _kept_out(self.own)

    def near(self, middle: Array, reach: float) -> Iterator[Obstacle]:
        """The obstacles, in order, that may keep something out that reaches some metres from a place (2,)."""
        yield from self.on_face.near(middle, reach)
        owners, boxes = self._own
        found = np.all((boxes[:, :2] <= middle + reach) & (boxes[:, 2:] >= middle - reach), axis=1)
        yield from (self.own[at] for at in np.unique(owners[found]))


def _kept_out(obstacles: Sequence[Obstacle]) -> tuple[NDArray[np.intp], Array]:
    """The boxes (N, 4) that each distance of some obstacles keeps holes out of, and whose each is, by number (N,)."""
    levels = [(at, level) for at, obstacle in enumerate(obstacles) for level in obstacle.levels]
    boxes = shapely.bounds([level.shape.core for _, level in levels]).reshape(-1, 4)
    grown = np.array([level.shape.radius + level.distance + level.within for _, level in levels])[:, None]
    boxes = np.hstack([boxes[:, :2] - grown, boxes[:, 2:] + grown])
    return np.array([at for at, _ in levels], dtype=np.intp), boxes


def reach_of(shape: HoleShape) -> float:
    """Metres from the origin, round which a hole lies, to the farthest of what it takes up."""
    parts = (shape.cut, shape.rim, *shape.clamps)
    return max(float(np.hypot(*shapely.get_coordinates(part.core).T).max()) + part.radius for part in parts)


def nearest_clear(
    around: Around,
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
    outline = around.face.outline
    reach, window = reach_of(shape), NEAR
    most = float(outline.hausdorff_distance(shapely.Point(middle)))
    while True:
        if window > FAR and everywhere is not None:
            return taped_move(middle, everywhere(), units)
        counted = (counts(one) for one in around.near(middle, window + reach))
        seen = outline.intersection(shapely.box(*(middle - window), *(middle + window)))
        area = clear_area(seen, [one for one in counted if one is not None], shape)
        move = taped_move(middle, area, units)
        if window > most or (move is not None and np.hypot(*move) < window):
            return move
        window *= WIDER

"""What a hole is near: wood and hidden things behind the board, and what shows on it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from earshed.model.clear_area import gap_of, gap_to
from earshed.model.face_shape import FaceShape
from earshed.model.geometry import TOUCHING, Array
from earshed.model.hole import HoleShape
from earshed.model.obstacle import Obstacle
from earshed.model.surface import Surface

OPPOSITE = 0.5
"""Cosine from which two ways lead to opposite sides."""
CROSSWISE = 0.6
"""Metres past which nobody minds what is crosswise to the nearest wood."""


@dataclass(frozen=True, eq=False)
class Near:
    """Something near a hole: its name, metres from the edge of the cut (wood, hidden) or the rim, and the way (3,)
    there along the face."""

    name: str
    gap: float
    way: Array


def wood_beside(obstacles: Iterable[Obstacle], face: Surface, middle: Array, shape: HoleShape) -> tuple[Near, ...]:
    """The framing or hidden thing that is nearest to a hole round a point (2,) of a face, and the nearest on its other
    side."""
    return _both_sides(_wood(obstacles, face, middle, shape))


def wood_round(obstacles: Iterable[Obstacle], face: Surface, middle: Array, shape: HoleShape) -> tuple[Near, ...]:
    """What `wood_beside` gives, then the same crosswise to it, as where strapping runs over rafters."""
    wood = _wood(obstacles, face, middle, shape)
    beside = _both_sides(wood)
    across = [near for near in wood if near.gap < CROSSWISE and abs(near.way @ beside[0].way) < OPPOSITE]
    return (*beside, *_both_sides(across))


def _wood(obstacles: Iterable[Obstacle], face: Surface, middle: Array, shape: HoleShape) -> list[Near]:
    return [
        Near(one.name, gap_of(one.levels[0], shape), way_to(one.levels[0].shape, middle, face))
        for one in obstacles
        if one.group in ("framing", "hidden")
    ]


def nearest_shown(obstacles: Iterable[Obstacle], face: Surface, middle: Array, rim: FaceShape) -> Near | None:
    """Of obstacles that show on a face, the one nearest to a rim."""
    shown = [
        Near(one.name, gap_to(one.levels[-1], rim), way_to(one.levels[-1].shape, middle, face))
        for one in obstacles
        if one.group not in ("framing", "hidden", "edges")
    ]
    return min(shown, key=lambda near: near.gap, default=None)


def way_to(shape: FaceShape, middle: Array, face: Surface) -> Array:
    """Unit direction (3,) along a face from a place (2,) to the nearest point of a shape."""
    nearest = shapely.get_coordinates(shapely.shortest_line(shapely.Point(middle), shape.core))[-1]
    way = (nearest - middle) @ face.frame
    length = float(np.linalg.norm(way))
    unit_way: Array = way / length if length > TOUCHING else face.frame[0]
    return unit_way


def _both_sides(wood: Sequence[Near]) -> tuple[Near, ...]:
    """The nearest, and the nearest on the other side of the hole."""
    wood = sorted(wood, key=lambda near: near.gap)
    first = wood[:1]
    return (*first, *[near for near in wood[1:] if near.way @ first[0].way < -OPPOSITE][:1])

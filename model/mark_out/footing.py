"""What stands at the foot of a wall, so that no tape gets down to the floor there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely

from earshed.model.block import Block
from earshed.model.face_shape import FaceShape
from earshed.model.geometry import TOUCHING, Array
from earshed.model.near_block import block_before
from earshed.model.room import Room
from earshed.model.surface import Surface

AT_FOOT = 0.05
"""Metres from a wall within which a thing keeps a tape from its foot."""


@dataclass(frozen=True)
class Footing:
    """A riser, a box or the like under a hole in a wall: its name, and metres from its top up to the center."""

    name: str
    below: float


def footing_under(room: Room, wall: Surface, place: Array) -> Footing | None:
    """The highest thing under a place (2,) of a wall that stands against it; None where the wall is free to the
    floor."""
    floor = wall.to_face(np.zeros(3))[1]
    drop = shapely.LineString(np.array([place, [place[0], floor]]))
    height = float(wall.to_room(place)[2])
    under = [
        (block.top, block.name)
        for block, shape in _standing(room, wall)
        if shape.outline.intersects(drop) and TOUCHING < block.top <= height
    ]
    return Footing(max(under)[1], height - max(under)[0]) if under else None


def hidden_foot(room: Room, face: Surface, line: shapely.LineString) -> bool:
    """Whether something stands before a line on a wall, as from the end of its foot up to a hole."""
    return face.kind == "wall" and any(shape.outline.intersects(line) for _, shape in _standing(room, face))


def _standing(room: Room, wall: Surface) -> Iterator[tuple[Block, FaceShape]]:
    """Risers and boxes against a wall, each with what it covers of it."""
    for block in (*room.risers, *room.boxes):
        shape = block_before(block, wall, AT_FOOT)
        if shape is not None:
            yield block, shape

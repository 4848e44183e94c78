"""Places in whole marks of a tape, from the nearer side and from the front, so that mirrored places read alike."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from earshed.model.geometry import Array
from earshed.model.room import Room
from earshed.model.surface import Surface

From = Literal["left", "right", "center", "front"]


@dataclass(frozen=True)
class Taped:
    """Distances in metres: along the floor from the sides that are named, and on a wall the height; `wall` is front,
    right, rear or left, None for a place in the ceiling."""

    wall: str | None
    along: tuple[tuple[From, float], ...]
    height: float | None = None

    def point(self, room: Room) -> Array:
        """The place (3,) again."""
        x = {"left": 0.0, "right": room.plan.width}.get(self.wall or "", 0.0)
        y = -room.plan.length if self.wall == "rear" else 0.0
        for start, distance in self.along:
            match start:
                case "left":
                    x = distance
                case "right":
                    x = room.plan.width - distance
                case "center":
                    x = room.plan.width / 2 + distance
                case "front":
                    y = -distance
        if self.height is None:
            return room.overhead(np.array([x, y]))[0]
        return np.array([x, y, self.height])


def tape_to(point: Array, face: Surface, room: Room, mark: float) -> Taped:
    """A place (3,) on a wall or a ceiling face of a rectangle, to the nearest mark (metres)."""
    from_front: tuple[From, float] = ("front", _rounded(-float(point[1]), mark))
    if face.kind != "wall":
        return Taped(None, (_side(float(point[0]), room.plan.width, mark), from_front))
    wall = face.name.removesuffix(" wall")
    across = wall in ("front", "rear")
    start = _side(float(point[0]), room.plan.width, mark) if across else from_front
    return Taped(wall, (start,), _rounded(float(point[2]), mark))


def _side(x: float, width: float, mark: float) -> tuple[From, float]:
    if abs(x - width / 2) < mark / 2:
        return "center", 0.0
    return ("left", _rounded(x, mark)) if x < width / 2 else ("right", _rounded(width - x, mark))


def _rounded(metres: float, mark: float) -> float:
    """To the nearest mark; from halfway up, also where rounding has left a hair less than half."""
    return math.floor(metres / mark + 0.5 + 1e-6) * mark

"""The plan of a room: its outline on the floor, and the walls that stand on its edges."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from earshed.model.geometry import Array, frozen, unit

SHORTEST_WALL = 0.01
"""Metres. Below this a wall is a slip of the tape."""

RECTANGLE_WALLS = ("front wall", "right wall", "rear wall", "left wall")


@dataclass(frozen=True)
class Wall:
    """One edge of the plan: `start` and `end` (2,) on the floor, `inward` (2,) the unit direction into the room."""

    name: str
    start: Array
    end: Array
    inward: Array

    @property
    def length(self) -> float:
        return float(np.linalg.norm(self.end - self.start))

    @property
    def along(self) -> Array:
        """Unit direction (2,) from start to end."""
        return unit(self.end - self.start)


@dataclass(frozen=True, eq=False)
class Plan:
    """A simple polygon: corners (N, 2) in the model frame, in the order they were measured, and a name per edge.

    `kind` is "rectangle" where walls go by side (front, right, rear, left), else "outline".
    Raises ValueError for a plan that no room can have.
    """

    corners: Array
    wall_names: tuple[str, ...]
    kind: Literal["rectangle", "outline"]

    def __post_init__(self) -> None:
        _refuse_impossible(self.corners)

    @cached_property
    def polygon(self) -> shapely.Polygon:
        return shapely.Polygon(self.corners)

    @cached_property
    def walls(self) -> tuple[Wall, ...]:
        ends = np.roll(self.corners, -1, axis=0)
        left_turn = 1.0 if shapely.is_ccw(self.polygon.exterior) else -1.0
        walls = []
        for name, start, end in zip(self.wall_names, self.corners, ends, strict=True):
            along = unit(end - start)
            inward = left_turn * np.array([-along[1], along[0]])
            walls.append(Wall(name, frozen(start), frozen(end), frozen(inward)))
        return tuple(walls)

    @property
    def width(self) -> float:
        """Size of the bounding box left to right, metres."""
        return float(np.ptp(self.corners[:, 0]))

    @property
    def length(self) -> float:
        """Size of the bounding box front to back, metres."""
        return float(np.ptp(self.corners[:, 1]))

    def contains(self, xy: ArrayLike) -> NDArray[np.bool_]:
        """Whether plan points (..., 2) lie on the floor, its edges included."""
        xy = np.asarray(xy, dtype=np.float64)
        inside: NDArray[np.bool_] = shapely.intersects_xy(self.polygon, xy[..., 0], xy[..., 1])
        return inside


def rectangle(width: float, length: float) -> Plan:
    """A plan `width` left to right and `length` front to back, metres."""
    corners = frozen([[0.0, 0.0], [width, 0.0], [width, -length], [0.0, -length]])
    return Plan(corners, RECTANGLE_WALLS, "rectangle")


def outline(corners: ArrayLike) -> Plan:
    """A plan from corners (N, 2) measured as [from left, from front], metres, going round either way.

    The front left corner of their bounding box becomes the origin. Wall N runs from corner N to the next, from 1.
    """
    measured = np.asarray(corners, dtype=np.float64)
    measured = measured - np.min(measured, axis=0)
    names = tuple(f"wall {number}" for number in range(1, len(measured) + 1))
    return Plan(frozen(measured * np.array([1.0, -1.0])), names, "outline")


def _refuse_impossible(corners: Array) -> None:
    if len(corners) < 3:
        raise ValueError("an outline needs at least three corners")
    lengths = np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1)
    for number, length in enumerate(lengths, start=1):
        if length < SHORTEST_WALL:
            raise ValueError(f"corners {number} and {number % len(corners) + 1} are the same place")
    crossing = _first_crossing(corners)
    if crossing:
        first, second = crossing
        raise ValueError(f"the outline crosses itself: wall {first} meets wall {second}")
    if shapely.Polygon(corners).area < SHORTEST_WALL**2:
        raise ValueError("the outline encloses no floor")


def _first_crossing(corners: Array) -> tuple[int, int] | None:
    """Numbers from 1 of two walls that meet anywhere but at the corner they share."""
    count = len(corners)
    edges = [shapely.LineString([corners[i], corners[(i + 1) % count]]) for i in range(count)]
    for i in range(count):
        for j in range(i + 1, count):
            meeting = edges[i].intersection(edges[j])
            neighbors = j == i + 1 or (i == 0 and j == count - 1)
            if not meeting.is_empty and not (neighbors and meeting.length == 0):
                return i + 1, j + 1
    return None

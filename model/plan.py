"""The plan of a room: its outline on the floor, and the walls that stand on its edges."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray

from earshed.model.geometry import HAIR, TOUCHING, Array, frozen, unit

SHORTEST_WALL = 0.01
"""Metres. Below this a wall is a slip of the tape."""

RECTANGLE_WALLS = ("front wall", "right wall", "rear wall", "left wall")
RECTANGLE_CORNERS = ("front left", "front right", "rear right", "rear left")


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

    def point(self, along: float, height: float) -> Array:
        """The point (3,) at a distance from its start and a height, metres."""
        return np.append(self.start + along * self.along, height)


@dataclass(frozen=True, eq=False)
class Bay:
    """A part of the plan that reaches beyond the main walls: corners (N, 2) and a name per edge."""

    name: str
    corners: Array
    wall_names: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Plan:
    """A simple polygon: corners (N, 2) in the model frame, in the order they were measured, and a name per edge.

    `kind` is "rectangle" where walls go by side (front, right, rear, left), as they do in a room with four of them
    that is more or less square, else "outline". Bays add to it; places are still measured from the main walls.
    Raises ValueError for a plan that no room can have.
    """

    corners: Array
    wall_names: tuple[str, ...]
    kind: Literal["rectangle", "outline"]
    bays: tuple[Bay, ...] = ()
    join: float = TOUCHING
    """Metres within which a bay, drawn square, joins walls that may be out of square."""

    def __post_init__(self) -> None:
        refuse_impossible(self.corners)
        for bay in self.bays:
            refuse_impossible(bay.corners)
        if self.polygon.is_empty:
            raise ValueError(f"{self.bays[-1].name} does not open into the room: it shares no wall with it so far")
        if self.polygon.interiors:
            raise ValueError(f"{self.bays[-1].name} closes round a part that is not of the room")

    @property
    def _main(self) -> shapely.Polygon:
        """The floor within the main walls."""
        return shapely.Polygon(self.corners)

    @cached_property
    def polygon(self) -> shapely.Polygon:
        """The floor, its bays included; empty where one of them does not open into it."""
        if not self.bays:
            return self._main
        parts = shapely.union_all([self._main, *(shapely.Polygon(bay.corners) for bay in self.bays)])
        joined = parts.buffer(self.join, join_style="mitre").buffer(-self.join, join_style="mitre").simplify(HAIR)
        return joined if isinstance(joined, shapely.Polygon) else shapely.Polygon()

    @property
    def outer_corners(self) -> Array:
        """Corners (N, 2) of the whole floor, the first not repeated."""
        return np.array(self.polygon.exterior.coords)[:-1] if self.bays else self.corners

    @cached_property
    def walls(self) -> tuple[Wall, ...]:
        """The main walls, whole even where a bay opens in one, then those of the bays."""
        main = self._walls_of(self.corners, self.wall_names)
        return (*main, *(wall for bay in self.bays for wall in self._bay_walls(bay)))

    def _bay_walls(self, bay: Bay) -> Iterator[Wall]:
        """What of a bay's edges stands as walls of the room: outside the main walls, and not within another bay."""
        others = [shapely.Polygon(other.corners) for other in self.bays if other is not bay]
        inside = shapely.union_all([self._main, *others])
        along = inside.buffer(2 * self.join)
        for wall in self._walls_of(bay.corners, bay.wall_names):
            edge = shapely.LineString([wall.start, wall.end]).difference(inside.buffer(HAIR))
            parts = [part for part in shapely.get_parts(edge) if part.length > SHORTEST_WALL and not along.covers(part)]
            for number, part in enumerate(parts, start=1):
                ends = np.array(part.coords)[[0, -1]]
                start, end = sorted(ends, key=lambda spot: float((spot - wall.start) @ wall.along))
                name = wall.name if number == 1 else f"{wall.name} {number}"
                yield Wall(name, frozen(start), frozen(end), wall.inward)

    @staticmethod
    def _walls_of(corners: Array, names: tuple[str, ...]) -> tuple[Wall, ...]:
        ends = np.roll(corners, -1, axis=0)
        left_turn = 1.0 if shapely.is_ccw(shapely.LinearRing(corners)) else -1.0
        walls = []
        for name, start, end in zip(names, corners, ends, strict=True):
            along = unit(end - start)
            inward = left_turn * np.array([-along[1], along[0]])
            walls.append(Wall(name, frozen(start), frozen(end), frozen(inward)))
        return tuple(walls)

    @property
    def corner_names(self) -> tuple[str, ...]:
        """What each corner is called; a wall begins at the corner of its position."""
        if self.kind == "rectangle":
            return RECTANGLE_CORNERS
        return tuple(f"corner {number}" for number in range(1, len(self.corners) + 1))

    @property
    def width(self) -> float:
        """Size left to right, metres, of the box round the main walls."""
        return float(np.ptp(self.corners[:, 0]))

    @property
    def length(self) -> float:
        """Size front to back, metres, of the box round the main walls."""
        return float(np.ptp(self.corners[:, 1]))

    @property
    def bounds(self) -> Array:
        """Lower left and upper right corner (2, 2) of the box round the whole floor."""
        return np.reshape(self.polygon.bounds, (2, 2))

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


def four_sided(corners: ArrayLike) -> Plan:
    """A plan whose walls go by side, from its corners (4, 2) as in `outline`, the front left first and then right."""
    return replace(outline(corners), wall_names=RECTANGLE_WALLS, kind="rectangle")


def rectangular_bay(name: str, corners: Array) -> Bay:
    """A bay over a rectangle with sides along the room's axes, its walls called by side."""
    low, high = np.min(corners, axis=0), np.max(corners, axis=0)
    round_it = frozen([[low[0], high[1]], high, [high[0], low[1]], low])
    return Bay(name, round_it, tuple(f"{name} {side}" for side in RECTANGLE_WALLS))


def outlined_bay(name: str, corners: Array) -> Bay:
    """A bay over any polygon, its walls called by number from 1."""
    return Bay(name, frozen(corners), tuple(f"{name} wall {number}" for number in range(1, len(corners) + 1)))


def refuse_impossible(corners: Array) -> None:
    """Raises ValueError for corners (N, 2) between which no walls can stand."""
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

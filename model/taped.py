"""Places as they are taped, from the nearer side and from the front, so that mirrored places read alike."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from earshed.model.geometry import Array
from earshed.model.plan import Plan, Wall
from earshed.model.surface import Surface
from earshed.model.units import to_mark

From = Literal["left", "right", "center", "front", "first corner"]
"""Where a tape begins: at a wall of the room, at its center line, or at the corner where a wall of an outline does."""
ON_THE_SKEW = 0.1
"""Sine of the angle to the room's axes from which a wall of a bay is taped along itself."""


@dataclass(frozen=True, eq=False)
class Taped:
    """Distances in metres on a face: along the floor or the wall from what is named, and on a wall the height, which
    is None for a place in a ceiling."""

    face: Surface
    along: tuple[tuple[From, float], ...]
    height: float | None = None

    @property
    def side(self) -> str | None:
        """Front, right, rear or left for a place on a wall of a rectangle; None in the ceiling."""
        return None if self.height is None else self.face.name.removesuffix(" wall")

    def rounded(self, mark: float) -> Taped:
        """The same in whole marks (metres) of a tape."""
        along = tuple((start, to_mark(distance, mark)) for start, distance in self.along)
        return replace(self, along=along, height=None if self.height is None else to_mark(self.height, mark))

    def point(self, plan: Plan) -> Array:
        """The place (3,) again."""
        spot: dict[int, float] = {}
        for start, distance in self.along:
            match start:
                case "left":
                    spot[0] = distance
                case "right":
                    spot[0] = plan.width - distance
                case "center":
                    spot[0] = plan.width / 2 + distance
                case "front":
                    spot[1] = -distance
                case "first corner":
                    assert self.height is not None
                    return _wall_of(plan, self.face).point(distance, self.height)
        if self.height is None:
            return self.face.over(np.array([spot[0], spot[1]]))
        wall = _wall_of(plan, self.face)
        ((axis, value),) = spot.items()
        return wall.point(float((value - wall.start[axis]) / wall.along[axis]), self.height)


def measured(point: Array, face: Surface, plan: Plan, mark: float) -> Taped:
    """A place (3,) on a ceiling face or a wall, exactly; on the center line what is within half a mark (metres)."""
    start = _from_side(float(point[0]), plan.width, mark)
    back: tuple[From, float] = ("front", -float(point[1]))
    if face.kind != "wall":
        return Taped(face, (start, back))
    wall = _wall_of(plan, face)
    if taped_along(plan, wall):
        start = ("first corner", float((point[:2] - wall.start) @ wall.along))
    elif abs(wall.along[0]) < abs(wall.along[1]):
        start = back
    return Taped(face, (start,), float(point[2]))


def tape_to(point: Array, face: Surface, plan: Plan, mark: float) -> Taped:
    """A place (3,) on a ceiling face or a wall, to the nearest mark (metres)."""
    return measured(point, face, plan, mark).rounded(mark)


def taped_along(plan: Plan, wall: Wall) -> bool:
    """Whether places on a wall are taped along it: on walls of an outline, and on those of a bay on the skew."""
    of_a_bay = wall.name not in plan.wall_names
    return plan.kind == "outline" or (of_a_bay and float(np.abs(wall.along).min()) > ON_THE_SKEW)


def _wall_of(plan: Plan, face: Surface) -> Wall:
    return next(wall for wall in plan.walls if wall.name == face.name)


def _from_side(x: float, width: float, mark: float) -> tuple[From, float]:
    if abs(x - width / 2) < mark / 2:
        return "center", x - width / 2
    return ("left", x) if x < width / 2 else ("right", width - x)

"""Dropped soffits along the walls: a band of the plan under a lower, level ceiling."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.ceiling import Ceiling, CeilingPlane
from earshed.model.geometry import TOUCHING, Array
from earshed.model.plan import Plan


def ring_along(plan: Plan, walls: Collection[str], width: float) -> BaseGeometry:
    """The plan area within `width` metres of the walls of those names, mitered where two of them meet.

    Raises ValueError where it would leave no room.
    """
    bands = []
    for wall in plan.walls:
        if wall.name in walls:
            before, after = _past(plan, wall.start, walls, width), _past(plan, wall.end, walls, width)
            start, end = wall.start - before * wall.along, wall.end + after * wall.along
            bands.append(shapely.Polygon([start, end, end + width * wall.inward, start + width * wall.inward]))
    ring = shapely.union_all(bands).intersection(plan.polygon)
    if plan.polygon.difference(ring).area < TOUCHING:
        raise ValueError("the soffit leaves nothing of the room's own ceiling")
    return ring


def _past(plan: Plan, corner: Array, walls: Collection[str], width: float) -> float:
    """How far a band runs on past the end of its wall: round a corner that juts into the room, to meet the next."""
    meeting = [wall for wall in plan.walls if np.allclose(wall.start, corner) or np.allclose(wall.end, corner)]
    if len(meeting) != 2 or any(wall.name not in walls for wall in meeting):
        return 0.0
    first, second = meeting
    ahead = second.along if np.allclose(second.start, corner) else -second.along
    if ahead @ first.inward >= -TOUCHING:
        return 0.0
    return float(width * np.tan(np.arccos(np.clip(first.inward @ second.inward, -1.0, 1.0)) / 2))


def under_soffit(ceiling: Ceiling, bottom: float, area: BaseGeometry) -> Ceiling:
    """The ceiling of the band: the soffit's underside, or the room's own ceiling where that is lower still.

    Raises ValueError where it is lower everywhere.
    """
    corners = shapely.get_coordinates(area)
    lower = tuple(plane for plane in ceiling if float(plane.height(corners).min()) < bottom - TOUCHING)
    if any(np.all(plane.height(corners) < bottom + TOUCHING) for plane in ceiling):
        raise ValueError("the soffit's bottom must be below the ceiling somewhere along those walls")
    return (CeilingPlane("underside", 0.0, 0.0, bottom), *lower)

"""Where on a face the middle of a hole may be: all that is left when everything in the way is taken out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.cut_fit import covering_area
from earshed.model.face_shape import FaceShape
from earshed.model.hole import HoleShape
from earshed.model.obstacle import Level, Obstacle


def blocked_area(obstacle: Obstacle, shape: HoleShape) -> BaseGeometry:
    """Where one obstacle, with its tolerance, keeps the middle of a hole out; `shape` is of a hole at the origin."""
    farthest: dict[tuple[int, int], tuple[FaceShape, FaceShape, float]] = {}
    for level in obstacle.levels:
        for part in shape.parts(level.part):
            key, wanted = (id(part), id(level.shape)), _distance_of(level, shape) + level.within
            if key not in farthest or farthest[key][2] < wanted:  # of two distances of one shape the larger counts
                farthest[key] = part, level.shape, wanted
    areas = [part.blocked_by(other, wanted) for part, other, wanted in farthest.values()]
    blocked: BaseGeometry = areas[0] if len(areas) == 1 else shapely.union_all(areas)
    if obstacle.taken_in is not None:
        return blocked.difference(covering_area(shape.cut, obstacle.taken_in))
    return blocked


def clear_area(outline: BaseGeometry, obstacles: Iterable[Obstacle], shape: HoleShape) -> BaseGeometry:
    """The part of a face's `outline` where the middle of a hole of that shape is clear of all obstacles."""
    blocked = [blocked_area(obstacle, shape) for obstacle in obstacles]
    return outline.difference(shapely.union_all(blocked)) if blocked else outline


def wanted_of(level: Level, shape: HoleShape) -> float:
    """Metres that a part of a hole is to keep; feet of clamps that are known reach as far as they do, no farther."""
    return level.in_room.keep if level.in_room is not None else _distance_of(level, shape)


def _distance_of(level: Level, shape: HoleShape) -> float:
    return 0.0 if level.part == "clamps" and shape.clamps_known else level.distance


def gap_of(level: Level, shape: HoleShape) -> float:
    """Metres between the part of a hole that a level is about and its shape; negative where they overlap."""
    return min(gap_to(level, part) for part in shape.parts(level.part))


def gap_to(level: Level, part: FaceShape) -> float:
    """Metres between any part of a hole and the shape of a level, through the room where it is not on the face."""
    return part.gap(level.shape) if level.in_room is None else level.in_room.gap(part)


def gravest_only(obstacle: Obstacle) -> Obstacle:
    """An obstacle with only the distances under which a hole cannot be cut at all."""
    return replace(obstacle, levels=tuple(level for level in obstacle.levels if level.severity == "error"))

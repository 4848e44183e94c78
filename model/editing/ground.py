"""The faces that a thing may be put on by hand, and where a line of view meets them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from earshed.model.editing.things import Thing
from earshed.model.geometry import PARALLEL, TOUCHING, UP, Array, frozen, unit
from earshed.model.room import Room
from earshed.model.scene import Scene
from earshed.model.seating import Seat
from earshed.model.surface import Surface

ON_IT = 1e-6
"""Metres within which a place is on what it was looked for on."""
OFF_THE_EDGE = 1e-5
"""Metres that a place at the edge of a face is kept inside it, so that it is on that face and on no other."""


def ground(scene: Scene, thing: Thing) -> tuple[Surface, ...]:
    """All faces on which a thing can be: for one in the ceiling all that look down, for one in a wall all walls; for
    what stands, the level of its middle or of its ears over the floor and each riser."""
    room = scene.room
    if isinstance(thing, Seat):
        return _over_floors(room, float(thing.ear[2] - room.floor_under(thing.ear[:2])))
    match thing.type.mount:
        case "in-ceiling":
            return _overhead(room)
        case "in-wall":
            return tuple(face for face in room.surfaces if face.kind == "wall" and not face.outline.is_empty)
    return (_level("its height", float(thing.position[2]), room.plan.polygon),)


def settled(scene: Scene, thing: Thing, face: Surface, point: Array) -> Array:
    """A place (3,) on a face of its ground as the scene has it there: in a ceiling on the lowest face over its plan
    point, of a seat at its height over what one stands on there."""
    xy = inside(scene.room, point[:2])
    if isinstance(thing, Seat):
        ears = float(thing.ear[2] - scene.room.floor_under(thing.ear[:2]))
        return np.append(xy, scene.room.floor_under(xy) + ears)
    if thing.type.mount == "in-ceiling":
        return scene.room.overhead(xy)[0]
    return point if thing.type.mount == "in-wall" else np.append(xy, point[2])


def inside(room: Room, xy: Array) -> Array:
    """A plan point (2,), or the nearest to it of the plan, off its edge."""
    return xy if shapely.intersects_xy(room.plan.polygon, *xy) else nearest_in(within(room.plan.polygon), xy)


def nearest_in(area: BaseGeometry, spot: Array) -> Array:
    """The point (2,) of an area that is nearest to one."""
    nearest: Array = shapely.get_coordinates(shapely.shortest_line(area, shapely.Point(spot)))[0]
    return nearest


def within(outline: BaseGeometry) -> BaseGeometry:
    """An outline without a hair along its edge; where that leaves nothing, all of it."""
    inner = outline.buffer(-OFF_THE_EDGE, join_style="mitre")
    return outline if inner.is_empty else inner


def met(faces: Sequence[Surface], origin: Array, way: Array) -> list[tuple[Surface, Array]]:
    """Where a ray from `origin` (3,) along `way` (3,) goes through faces, from either side."""
    found = []
    for face in faces:
        sinking = float(way @ face.normal)
        if abs(sinking) < PARALLEL:
            continue
        reach = float((face.origin - origin) @ face.normal) / sinking
        point = origin + reach * way
        if reach >= 0 and shapely.intersects_xy(face.outline, *face.to_face(point)):
            found.append((face, point))
    return found


def nearest_to_ray(face: Surface, origin: Array, way: Array) -> tuple[Array, float]:
    """The point (3,) of a face that is nearest to a ray from `origin` (3,) along the unit `way` (3,) which does not go
    through it, and how far they are apart: at its edge, or square to where the ray begins."""
    starts, ends = _edges(replace(face, outline=within(face.outline)))
    points, apart = _nearest_on(starts, ends, origin, way)
    best = int(np.argmin(apart))
    foot = face.to_face(origin)
    height = abs(float((origin - face.origin) @ face.normal))
    if height < apart[best] and shapely.intersects_xy(face.outline, *foot):
        return face.to_room(foot), height
    return points[best], float(apart[best])


def _nearest_on(starts: Array, ends: Array, origin: Array, way: Array) -> tuple[Array, Array]:
    """On each segment (N, 3) the point (N, 3) nearest to a ray, and how far (N,) it is from it.

    C. Ericson, "Real-Time Collision Detection", 2004, section 5.1.9 (from memory), with no end to the first line.
    """
    along = ends - starts
    off = origin - starts
    length, f = np.sum(along * along, axis=1), np.sum(along * off, axis=1)
    b, c = along @ way, off @ way
    across = length - b * b
    safe = np.where(across > PARALLEL * length, across, 1.0)
    s = np.where(across > PARALLEL * length, np.maximum(0.0, (b * f - c * length) / safe), 0.0)
    t = np.clip((b * s + f) / length, 0.0, 1.0)
    s = np.maximum(0.0, b * t - c)
    points = starts + t[:, None] * along
    return points, np.linalg.norm(points - (origin + s[:, None] * way), axis=1)


def _edges(face: Surface) -> tuple[Array, Array]:
    rings = face.rings()
    starts, ends = np.concatenate([ring[:-1] for ring in rings]), np.concatenate([ring[1:] for ring in rings])
    real: NDArray[np.bool_] = np.linalg.norm(ends - starts, axis=1) > TOUCHING
    return starts[real], ends[real]


@lru_cache(maxsize=8)
def _overhead(room: Room) -> tuple[Surface, ...]:
    """The parts of ceilings and soffits that are the lowest over their plan."""
    floor = room.plan.polygon
    ceilings = [(face, face.plan_area) for face in room.surfaces if face.kind == "ceiling" and face.area > TOUCHING]
    soffits = [(face, face.plan_area.intersection(floor)) for face in room.soffits]
    parts = []
    for face, area in ceilings:
        parts.append((face, area.difference(_below(soffits, face))))
    for face, area in soffits:
        hung = shapely.union_all([_lower(area.intersection(over), face, ceiling) for ceiling, over in ceilings])
        others = [(other, there) for other, there in soffits if other is not face]
        parts.append((face, hung.difference(_below(others, face))))
    return tuple(_part(face, area) for face, area in parts if area.area > TOUCHING)


def _below(faces: Sequence[tuple[Surface, BaseGeometry]], face: Surface) -> BaseGeometry:
    """What of the plan areas of some faces is lower there than another face."""
    return shapely.union_all([_lower(area, lower, face) for lower, area in faces])


def _lower(area: BaseGeometry, one: Surface, other: Surface) -> BaseGeometry:
    """The part of a plan area over which one plane is lower than another."""
    if area.is_empty:
        return area
    (left, rear), (right, front) = np.reshape(area.bounds, (2, 2)) + np.array([[-1.0], [1.0]])
    corners = np.array([[left, rear], [right, rear], [right, front], [left, front]])
    above = other.over(corners)[:, 2] - one.over(corners)[:, 2]
    kept: list[Array] = []
    for start, end, here, there in zip(corners, np.roll(corners, -1, 0), above, np.roll(above, -1), strict=True):
        if here > 0:
            kept.append(start)
        if (here > 0) != (there > 0):
            kept.append(start + (end - start) * here / (here - there))
    return area.intersection(shapely.Polygon(kept)) if len(kept) > 2 else shapely.Polygon()


def _part(face: Surface, area: BaseGeometry) -> Surface:
    """The part of a face that is over a plan area."""
    return replace(face, outline=shapely.transform(_solid(area), lambda xy: face.to_face(face.over(xy))))


def _solid(area: BaseGeometry) -> BaseGeometry:
    """An area without lines and points that are left where others touch."""
    parts = [part for part in shapely.get_parts(area) if isinstance(part, shapely.Polygon)]
    return parts[0] if len(parts) == 1 else shapely.MultiPolygon(parts)


def _over_floors(room: Room, height: float) -> tuple[Surface, ...]:
    """Levels at a height over the floor and over each riser, where that is what one stands on."""
    left: BaseGeometry = room.plan.polygon
    levels = []
    for riser in sorted(room.risers, key=lambda riser: -riser.top):
        levels.append(_level(riser.name, riser.top + height, riser.footprint.intersection(left)))
        left = left.difference(riser.footprint)
    levels.append(_level("floor", height, left))
    return tuple(level for level in levels if level.outline.area > TOUCHING)


def _level(name: str, height: float, area: BaseGeometry) -> Surface:
    blank = Surface(name, "floor", frozen([0.0, 0.0, height]), frozen(UP), shapely.Polygon())
    lifted = shapely.transform(_solid(area), lambda xy: blank.to_face(np.column_stack([xy, np.zeros(len(xy))])))
    return replace(blank, outline=lifted)


def unit_way(way: Array) -> Array | None:
    """A view's direction (3,) at length one; None for one of no length, or with no numbers."""
    way = np.asarray(way, dtype=np.float64)
    return unit(way) if np.all(np.isfinite(way)) and np.linalg.norm(way) > 0 else None

"""Things moved by hand: dragged along what they are on, or pushed by keys."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely.geometry.base import BaseGeometry

from earshed.model.editing.ground import (
    OFF_THE_EDGE,
    ON_IT,
    ground,
    inside,
    met,
    nearest_in,
    nearest_to_ray,
    settled,
    unit_way,
    within,
)
from earshed.model.editing.rounding import Holds, rounded
from earshed.model.editing.tape_fields import HEIGHT, has_height
from earshed.model.editing.tape_text import KEPT, exact_text
from earshed.model.editing.taping import (
    At,
    Keys,
    LengthText,
    measured_at,
    nearest_wall,
    place_keys,
    usual_way,
    wall_of,
    wall_text,
    way_of,
    where_is,
)
from earshed.model.editing.things import Named, Thing, place_of, point_of, the
from earshed.model.geometry import Array
from earshed.model.moves import MARKS
from earshed.model.plan import Wall
from earshed.model.scene import Scene
from earshed.model.speaker import Speaker
from earshed.model.surface import Surface


def along_ray(
    scene: Scene, thing: Named, origin: ArrayLike, way: ArrayLike, grip: ArrayLike | None = None
) -> Array | None:
    """Where (3,) a thing goes that is dragged to a view's ray from `origin` (3,) along `way` (3,).

    `grip` (3,) is where it was taken hold of, from its middle. Of several faces that the ray goes through, from either
    side, the place nearest to where the thing now is; where it goes through none, the place nearest to the ray, so that
    a drag past an edge slides along it. None for a ray that is none. Raises ValueError for a thing that is not there.
    """
    found, here = the(scene, thing), unit_way(np.asarray(way, dtype=np.float64))
    start = np.asarray(origin, dtype=np.float64) - (0.0 if grip is None else np.asarray(grip, dtype=np.float64))
    if here is None or not np.all(np.isfinite(start)):
        return None
    faces, now = ground(scene, found), place_of(the(scene, thing))
    hits = [(settled(scene, found, face, point), point) for face, point in met(faces, start, here)]
    places = [place for place, point in hits if float(np.linalg.norm(place - point)) < OFF_THE_EDGE]
    if places:
        return min(places, key=lambda place: float(np.linalg.norm(place - now)))
    nearest = [(face, *nearest_to_ray(face, start, here)) for face in faces]
    if not nearest:
        return None
    least = min(apart for _, _, apart in nearest)
    points = [settled(scene, found, face, point) for face, point, apart in nearest if apart < least + ON_IT]
    return min(points, key=lambda place: float(np.linalg.norm(place - now)))


def moved(scene: Scene, thing: Named, xyz: ArrayLike) -> Keys:
    """Keys of the scene file with which a thing is at a place (3,), to the marks of the tape, measured as it now is.

    What does not move keeps its figures, on a mark or not. Rounding takes nothing onto another face or out of the room
    where a mark on its own side is as near. On another wall it is taped in the usual way. A seat keeps the height of
    its ears over what one stands on, one in the ceiling is on the lowest face over its place.
    Raises ValueError for a thing that is not there, and for what is no place.
    """
    found, point = the(scene, thing), point_of(xyz)
    now = wall_of(scene, found)
    if isinstance(found, Speaker) and now is not None:
        return _on_wall(scene, found, now, point)
    way = way_of(scene, found)
    at, before = measured_at(scene, point, way), dict(where_is(scene, found).lengths)
    lengths = dict(at.lengths)
    if isinstance(found, Speaker) and has_height(found):
        lengths[HEIGHT], before[HEIGHT] = float(point[2]), float(found.position[2])
    told = rounded(lengths, before, point, None, MARKS[scene.print_units], _holding(scene, found, point))
    keys = place_keys(At({key: told[key] for key in at.lengths}), way, _exact(scene))
    if HEIGHT in told and abs(told[HEIGHT] - before[HEIGHT]) > KEPT:
        keys[HEIGHT] = exact_text(told[HEIGHT], scene.print_units)
    return keys


def nudged(scene: Scene, thing: Named, *, right: float = 0.0, back: float = 0.0, up: float = 0.0) -> Keys:
    """Keys with which a thing is some metres farther to the right, back and up, as the tape is pulled: over the floor,
    on a wall along it as one faces it. It stays in the room, and on its wall. Raises ValueError for one that is not
    there.

    In a ceiling and of a seat `up` says nothing, as `back` does on a wall.
    """
    found = the(scene, thing)
    right, back, up = point_of([right, back, up])
    wall = wall_of(scene, found)
    if wall is not None and isinstance(found, Speaker):
        aside = np.array([-wall.inward[1], wall.inward[0], 0.0])  # to the right of who faces it
        return moved(scene, found, _kept_on(found.surface, found.position + right * aside + [0.0, 0.0, up]))
    to = place_of(found) + np.array([right, -back, 0.0])
    if isinstance(found, Speaker) and has_height(found):
        to[2] = max(0.0, to[2] + up)
    return moved(scene, found, np.append(inside(scene.room, to[:2]), to[2]))


def _on_wall(scene: Scene, speaker: Speaker, now: Wall, point: Array) -> Keys:
    wall = _wall_at(scene, now, point)
    stays = wall.name == now.name
    way = way_of(scene, speaker) if stays else usual_way(scene, point, wall, MARKS[scene.print_units])
    at = measured_at(scene, point, way, wall)
    before = {**where_is(scene, speaker).lengths, HEIGHT: float(speaker.position[2])} if stays else {}
    lengths = {**at.lengths, HEIGHT: float(point[2])}
    face = scene.room.surface(wall.name)
    told = rounded(
        lengths, before, point, wall, MARKS[scene.print_units], _inside(face.outline, face.to_face(point), face.to_face)
    )
    keys = place_keys(At({key: told[key] for key in at.lengths}, wall), way, _exact(scene))
    keys[HEIGHT] = exact_text(told[HEIGHT], scene.print_units)
    return keys if stays else {"wall": wall_text(scene.room.plan, wall), **keys}


def _wall_at(scene: Scene, now: Wall, point: Array) -> Wall:
    """The wall that a place (3,) is on: the present one where it is on that too."""
    off = float((point[:2] - now.start) @ now.inward)
    along = float((point[:2] - now.start) @ now.along)
    if abs(off) < ON_IT and -ON_IT <= along <= now.length + ON_IT:
        return now
    return nearest_wall(scene.room, point)


def _kept_on(face: Surface | None, point: Array) -> Array:
    """A place (3,) of a face, or the nearest of the face to it."""
    if face is None or shapely.intersects_xy(face.outline, *face.to_face(point)):
        return point
    return face.to_room(nearest_in(within(face.outline), face.to_face(point)))


def _holding(scene: Scene, thing: Thing, point: Array) -> Holds:
    """Whether a place is where the one asked for is: on the same face, or on the plan; any if that is on none."""
    room = scene.room
    area: BaseGeometry = room.plan.polygon
    if isinstance(thing, Speaker) and thing.type.mount == "in-ceiling":
        name = room.overhead(point[:2])[1].name
        area = next((face.plan_area for face in ground(scene, thing) if face.name == name), area)
    return _inside(area, point[:2], lambda spot: spot[:2])


def _inside(area: BaseGeometry, asked: Array, across: Callable[[Array], Array]) -> Holds:
    """Whether a place, seen `across` (2,), is in an area, off its edge; any if what is asked for is not in it."""
    inner = within(area)
    if area.distance(shapely.Point(asked)) > OFF_THE_EDGE:
        return lambda _: True
    return lambda spot: bool(shapely.intersects_xy(inner, *across(spot)))


def _exact(scene: Scene) -> LengthText:
    return lambda _, metres: exact_text(metres, scene.print_units)

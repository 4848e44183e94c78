"""The part of each face on which the middle of a type's hole may be, and the places on it that are tried."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.clearance import FAR
from earshed.model.geometry import TOUCHING, Array
from earshed.model.scene import Scene
from earshed.model.search.ask import Ask, Offer
from earshed.model.search.in_the_way import areas_by_group
from earshed.model.surface import Surface


@dataclass(frozen=True, eq=False)
class Ground:
    """Where on a face the middle of an offer's hole may be, in the face's coordinates."""

    face: Surface
    offer: Offer
    clear: BaseGeometry


def ground_of(ask: Ask, face: Surface, offer: Offer) -> Ground:
    """The clear part of a face for one offer; nothing where it is too deep for the cavity."""
    if not deep_enough(ask, face, offer):
        return Ground(face, offer, shapely.Polygon())
    taken = areas_by_group(ask, face, offer)
    clear = face.outline.difference(shapely.union_all(list(taken.values())))
    if ask.lines and "alignment" not in ask.relaxed:
        clear = clear.intersection(shapely.union_all([_band(ask, line.point, line.run, face) for line in ask.lines]))
    return Ground(face, offer, clear)


def in_line(ask: Ask, point: Array) -> bool:
    """Whether a point (3,) is in line with one of what is asked for."""
    asked = ask.lines if "alignment" not in ask.relaxed else ()
    return not asked or any(float(line.off(point[:2])) <= ask.align_within + TOUCHING for line in asked)


def why_not(ask: Ask, face: Surface, offer: Offer) -> Iterator[tuple[str, BaseGeometry]]:
    """What keeps an offer's hole out, by group, and where; for a face too shallow for it "depth", and all of it."""
    if not deep_enough(ask, face, offer):
        yield "depth", face.outline
    for group, area in areas_by_group(ask, face, offer).items():
        yield group, area.intersection(face.outline)


def deep_enough(ask: Ask, face: Surface, offer: Offer) -> bool:
    """Whether the board and the cavity behind a face take an offer, as far as is known; foam in it counts, what gives
    way not."""
    if face.finish == "deck":
        return False
    short = [one for one in ask.scene.cavity(face).takes(offer.type) if one.severity == "error"]
    return all(not one.rule.startswith("board") and "depth" in ask.relaxed for one in short)


def _band(ask: Ask, point: Array, run: Array, face: Surface) -> BaseGeometry:
    """All of a face's plane within the tolerance of a plan line."""
    aside = np.array([-run[1], run[0]])
    if abs(face.normal[2]) < TOUCHING:  # a wall: what is in line with it on the plan, at any height
        along = face.frame[0][:2]
        across = float(aside @ along)
        if abs(across) < TOUCHING:
            near = abs(float((face.origin[:2] - point) @ aside)) <= ask.align_within
            return shapely.box(-FAR, -FAR, FAR, FAR) if near else shapely.Polygon()
        middle = float((point - face.origin[:2]) @ aside) / across
        half = ask.align_within / abs(across)
        return shapely.box(middle - half, -FAR, middle + half, FAR)
    ends, beside = np.array([point - FAR * run, point + FAR * run]), ask.align_within * aside
    ring = np.concatenate([ends - beside, ends[::-1] + beside])
    return shapely.Polygon(face.to_face(face.over(ring)))


def places_on(ask: Ask, face: Surface, area: BaseGeometry, step: float) -> Array:
    """Places (N, 2) of a grid on a face that lie in an area, in its coordinates; and one in each part that it misses.

    The grid begins at the picture's center line and wall, and up from the low crease, so that a room that is its own
    mirror image has a grid that is.
    """
    if area.is_empty:
        return np.zeros((0, 2))
    start = _grid_start(ask.scene, face)
    reach = area.buffer(TOUCHING, quad_segs=1)  # at the very limit too, whichever way rounding went
    low_u, low_v, high_u, high_v = reach.bounds
    lines = [_marks(low, high, at, step) for low, high, at in ((low_u, high_u, start[0]), (low_v, high_v, start[1]))]
    if ask.lines:
        lines = [
            np.unique(np.concatenate([marks, extra])) for marks, extra in zip(lines, _aligned(ask, face), strict=True)
        ]
    u, v = (grid.ravel() for grid in np.meshgrid(*lines))
    shapely.prepare(reach)
    inside = shapely.intersects_xy(reach, u, v)
    places = np.stack([u[inside], v[inside]], axis=-1)
    missed = [part for part in shapely.get_parts(area) if part.area > 0 and not _any_in(part, places)]
    extra = [shapely.get_coordinates(part.representative_point())[0] for part in missed]
    return np.concatenate([places, np.array(extra).reshape(-1, 2)])


def _any_in(part: BaseGeometry, places: Array) -> bool:
    low_u, low_v, high_u, high_v = part.bounds
    u, v = places.T
    u, v = places[(u >= low_u) & (u <= high_u) & (v >= low_v) & (v <= high_v)].T
    shapely.prepare(part)
    return bool(shapely.intersects_xy(part, u, v).any())


def _grid_start(scene: Scene, face: Surface) -> Array:
    corner = scene.screen.center if scene.screen is not None else np.array([scene.room.plan.width / 2, 0.0, 0.0])
    start: Array = face.to_face([*corner[:2], face.origin[2]])
    if abs(face.frame[1][2]) > TOUCHING:
        start = np.array([start[0], shapely.get_coordinates(face.outline)[:, 1].min()])
    return start


def _marks(low: float, high: float, start: float, step: float) -> Array:
    first, last = np.ceil((low - start) / step - 1e-9), np.floor((high - start) / step + 1e-9)
    marks: Array = start + step * np.arange(first, last + 1)
    return marks


def _aligned(ask: Ask, face: Surface) -> tuple[Array, Array]:
    """Coordinates of a face at which its places are exactly in line, where its axes are along those of the room."""
    found: tuple[list[float], list[float]] = ([], [])
    for line in ask.lines:
        aside = np.array([-line.run[1], line.run[0], 0.0])
        for axis in (0, 1):
            across = float(face.frame[axis] @ aside)
            if abs(face.frame[1 - axis] @ aside) < TOUCHING < abs(across):
                found[axis].append(float((np.append(line.point, 0.0) - face.origin) @ aside) / across)
    return np.array(found[0]), np.array(found[1])


@dataclass(frozen=True, eq=False)
class Slide:
    """How far, metres, a hole can slide along its face in a unit direction (3,) and stay clear."""

    way: Array
    distance: float


def slides(ground: Ground, middle: Array) -> tuple[Slide, ...]:
    """How far a hole can slide from a place (2,): along and against both axes of its face."""
    found = []
    for way in ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)):
        ray = shapely.LineString([middle, middle + FAR * np.array(way)])
        about = ground.clear.intersection(ray.buffer(2 * TOUCHING))
        parts = shapely.get_parts(about.buffer(TOUCHING).intersection(ray))
        here = [float(part.length) for part in parts if part.distance(shapely.Point(middle)) <= 2 * TOUCHING]
        found.append(Slide(np.array(way) @ ground.face.frame, max(here, default=0.0)))
    return tuple(found)


def is_clear(ground: Ground, middle: Array) -> bool:
    """Whether the middle of the hole may be at a place (2,) of its face."""
    return bool(ground.clear.distance(shapely.Point(middle)) <= TOUCHING)

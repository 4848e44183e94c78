"""All panels of a scene: its faces, undersides of soffits and their sides, with what is in a cable's way."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.block import Block
from earshed.model.geometry import TOUCHING, Array, frozen
from earshed.model.room import Room
from earshed.model.scene import Scene
from earshed.model.surface import Surface
from earshed.model.units import INCH
from earshed.model.wiring.panel import Back, Panel, members_behind, owner_of
from earshed.model.wiring.spec import Access, CableEnd, Wiring

FROM_OPENING = 4 * INCH
"""From the edge of an opening to a cable, past its own studs. Common practice, no source."""
FROM_FIREPLACE = 12 * INCH
"""From a fireplace's chase to a cable. Common practice, no source; its maker and the local code decide."""
FAR = 500.0
"""Metres: larger than any room."""
AGAINST = 6 * INCH
"""From a wall within which a fireplace stands against it."""


def panels_of(scene: Scene, wiring: Wiring, ends: Sequence[CableEnd]) -> tuple[Panel, ...]:
    """The panels that a cable may use; the floor only where it is reached from below, or where a cable ends on it.

    Over `ends` that are nearer to an opening than a cable keeps, it keeps nothing.
    """
    panels = []
    for face in (*scene.room.surfaces, *_undersides(scene.room), *_sides(scene.room)):
        access, stated = _access(face, wiring.access)
        on_it = [end.position for end in ends if end.surface is not None and end.surface.name == face.name]
        if face.kind == "floor" and access == "none" and not on_it:
            continue
        axes, members = members_behind(face, scene.framing)
        hidden = tuple(one for one in scene.keep_outs if one.surface.name == face.name)
        in_the_way = [*_in_the_way(face, scene)]
        spots = [face.to_face(place) @ axes.T for place in on_it]
        blocked = np.reshape([_rectangle(corners @ axes.T, near, spots) for _, corners, near in in_the_way], (-1, 4))
        back = "none" if face.kind == "floor" and access == "none" else _back(face, scene)
        named = tuple(name for name, *_ in in_the_way)
        panels.append(Panel(face, axes, back, access, stated, members, blocked, named, hidden))
    return tuple(panels)


def _back(face: Surface, scene: Scene) -> Back:
    is_beam = any(box.kind == "beam" and box.name == owner_of(face) for box in scene.room.boxes)
    if face.finish == "deck" or is_beam:
        return "none"
    return "tiles" if face.finish == "tiles" else "cavity"


def _access(face: Surface, said: Mapping[str, Access]) -> tuple[Access, bool]:
    """How what is behind a face is reached, and whether the scene says so; a side is as what it belongs to."""
    group = {"wall": "walls", "ceiling": "ceiling", "side": "ceiling", "floor": "floor"}.get(face.kind, "")
    for name in (face.name, owner_of(face), group):
        if name in said:
            return said[name], True
    return "none", False


def _in_the_way(face: Surface, scene: Scene) -> Iterator[tuple[str, Array, float]]:
    """What no cable goes through: its name, its corners (N, 2) in face coordinates, and the distance to keep."""
    for patch in scene.openings:
        if patch.wall.name == face.name:
            yield f"{patch.name} (opening)", face.to_face(patch.corners), FROM_OPENING
    for opening in scene.ceiling_openings:
        if opening.surface.name == face.name:
            yield f"{opening.name} (opening)", shapely.get_coordinates(opening.shape.outline), FROM_OPENING
    if face.kind == "wall":
        for block in scene.room.boxes:
            if block.kind == "fireplace":
                corners = np.array([[*xy, z] for xy in block.corners for z in (block.lower[2], block.upper[2])])
                away = (corners - face.origin) @ face.normal
                if away.min() < AGAINST and shapely.box(*_bounds(face.to_face(corners))).intersects(face.outline):
                    yield f"{block.name} (fireplace)", face.to_face(corners), FROM_FIREPLACE


def _rectangle(corners: Array, near: float, ends: Sequence[Array]) -> Array:
    low, high = corners.min(axis=0), corners.max(axis=0)
    for end in ends:
        if np.all(end > low - near) and np.all(end < high + near):
            near = 0.0
    return np.array([*(low - near), *(high + near)])


def _bounds(points: Array) -> Array:
    return np.concatenate([points.min(axis=0), points.max(axis=0)])


def _undersides(room: Room) -> Iterator[Surface]:
    """Undersides of boxes and beams, as far as they show under the ceiling."""
    hanging = {face.name for face in room.soffits}
    for box in room.boxes:
        if box.name in hanging:
            face = box.underside
            shown = shapely.union_all([*_under_ceiling(box, room)]).intersection(room.plan.polygon)
            if shown.area > TOUCHING:
                yield replace(face, outline=_laid_on(face, shown))


def _laid_on(face: Surface, area: BaseGeometry) -> BaseGeometry:
    """A plan area in the coordinates of the face over it."""
    return shapely.transform(area, lambda xy: face.to_face(face.over(xy)))


def _under_ceiling(box: Block, room: Room) -> Iterator[BaseGeometry]:
    """The parts of a box's plan in which its underside is under the ceiling: under each plane of a zone."""
    for zone in room.zones:
        area = box.footprint.intersection(zone.outline)
        for plane in zone.planes:
            slope = np.array([plane.rise_right - box.under.rise_right, plane.rise_front - box.under.rise_front])
            area = area.intersection(_at_least(slope, plane.at_origin - box.under.at_origin))
        yield area


def _at_least(slope: Array, at_origin: float) -> BaseGeometry:
    """Plan points at which something that rises by `slope` (2,) from its value at the origin is not negative."""
    steep = float(np.hypot(*slope))
    if steep < TOUCHING:
        return shapely.box(-FAR, -FAR, FAR, FAR) if at_origin > 0 else shapely.Polygon()
    ahead = slope / steep
    aside, start = np.array([-ahead[1], ahead[0]]) * FAR, ahead * (-at_origin / steep)
    return shapely.Polygon([start - aside, start + aside, start + aside + ahead * FAR, start - aside + ahead * FAR])


def _sides(room: Room) -> Iterator[Surface]:
    """Upright sides of boxes that have room below them, in from their walls, up to what is over them."""
    hanging = {face.name for face in room.soffits}
    for box in room.boxes:
        if box.name in hanging:
            for start, end in pairwise([*box.corners, box.corners[0]]):
                side = _side(box, start, end, room)
                if side is not None:
                    yield side


def _side(box: Block, start: Array, end: Array, room: Room) -> Surface | None:
    """The side over one edge (2,) to (2,) of a box's plan; None along a wall, and where it has no height."""
    run = end - start
    middle = shapely.Point((start + end) / 2)
    if room.plan.polygon.boundary.distance(middle) < 1e-3 or not room.plan.polygon.covers(middle):
        return None
    edge = shapely.LineString([start, end])
    bends = [shapely.get_coordinates(edge.intersection(shapely.LineString(crease))) for crease in room.creases]
    shares = np.array(sorted({0.0, 1.0, *(float((xy - start) @ run / (run @ run)) for found in bends for xy in found)}))
    along = start + shares[:, None] * run
    tops, bottoms = np.minimum(room.ceiling_over(along), box.top), box.under.height(along[[0, -1]])
    length, low, high = float(np.hypot(*run)), min(0.0, *bottoms), max(*tops, *bottoms) + 1
    below = shapely.Polygon([(0, low - 1), *zip(shares * length, tops, strict=True), (length, low - 1)])
    above = shapely.Polygon([(0, bottoms[0]), (length, bottoms[1]), (length, high), (0, high)])
    shown = below.intersection(above)
    if shown.area <= TOUCHING:
        return None
    outward = np.array([run[1], -run[0], 0.0]) / length
    face = Surface(f"side of {box.name}", "side", frozen([*start, 0.0]), frozen(outward), shapely.Polygon())

    def to_face(flat: Array) -> Array:
        return face.to_face(np.column_stack([start + flat[:, :1] / length * run, flat[:, 1]]))

    return replace(face, outline=shapely.transform(shown, to_face))

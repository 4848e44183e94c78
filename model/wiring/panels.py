"""All panels of a scene: its faces, undersides of soffits and their sides, with what is in a cable's way."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise

import numpy as np
import shapely

from earshed.model.block import Block
from earshed.model.geometry import TOUCHING, Array, frozen
from earshed.model.scene import Scene
from earshed.model.surface import Surface
from earshed.model.units import INCH
from earshed.model.wiring.panel import Back, Panel, members_behind
from earshed.model.wiring.spec import Access, CableEnd, Wiring

FROM_OPENING = 4 * INCH
"""From the edge of an opening to a cable, past its own studs. Common practice, no source."""
FROM_FIREPLACE = 12 * INCH
"""From a fireplace's chase to a cable. Common practice, no source; its maker and the local code decide."""
AGAINST = 6 * INCH
"""From a wall within which a fireplace stands against it."""


def panels_of(scene: Scene, wiring: Wiring, ends: Sequence[CableEnd]) -> tuple[Panel, ...]:
    """The panels that a cable may use; the floor only where it is reached from below, or where a cable ends on it.

    Over `ends` that are nearer to an opening than a cable keeps, it keeps nothing.
    """
    panels = []
    for face in (*scene.room.surfaces, *scene.room.soffits, *_sides(scene)):
        access, stated = _access(face, wiring.access, scene)
        on_it = [end.position for end in ends if end.surface is not None and end.surface.name == face.name]
        if face.kind == "floor" and access == "none" and not on_it:
            continue
        axes, members = members_behind(face, scene.framing)
        hidden = tuple(one for one in scene.keep_outs if one.surface.name == face.name)
        rectangles = [
            _rectangle(points @ axes.T, near, [face.to_face(p) @ axes.T for p in on_it])
            for points, near in _in_the_way(face, scene)
        ]
        blocked = np.reshape(rectangles, (-1, 4))
        back = "none" if face.kind == "floor" and access == "none" else _back(face, scene)
        panels.append(Panel(face, axes, back, access, stated, members, blocked, hidden))
    return tuple(panels)


def _back(face: Surface, scene: Scene) -> Back:
    owner = face.name.removeprefix("side of ")
    is_beam = any(box.kind == "beam" and box.name == owner for box in scene.room.boxes)
    if face.finish == "deck" or is_beam:
        return "none"
    return "tiles" if face.finish == "tiles" else "cavity"


def _access(face: Surface, said: Mapping[str, Access], scene: Scene) -> tuple[Access, bool]:
    """How what is behind a face is reached, and whether the scene says so; a side of a soffit is as the soffit."""
    group = {"wall": "walls", "ceiling": "ceiling", "side": "ceiling", "floor": "floor"}.get(face.kind, "")
    boxes = {f"side of {box.name}": box.name for box in scene.room.boxes}
    for name in (face.name, boxes.get(face.name, ""), group):
        if name in said:
            return said[name], True
    return "none", False


def _in_the_way(face: Surface, scene: Scene) -> Iterator[tuple[Array, float]]:
    """Corners (N, 2), in face coordinates, of what no cable goes through, with the distance to keep from it."""
    for patch in scene.openings:
        if patch.wall.name == face.name:
            yield face.to_face(patch.corners), FROM_OPENING
    for opening in scene.ceiling_openings:
        if opening.surface.name == face.name:
            yield shapely.get_coordinates(opening.shape.outline), FROM_OPENING
    if face.kind == "wall":
        for block in scene.room.boxes:
            if block.kind == "fireplace":
                corners = np.array([[*xy, z] for xy in block.corners for z in (block.lower[2], block.upper[2])])
                away = (corners - face.origin) @ face.normal
                if away.min() < AGAINST and shapely.box(*_bounds(face.to_face(corners))).intersects(face.outline):
                    yield face.to_face(corners), FROM_FIREPLACE


def _rectangle(corners: Array, near: float, ends: Sequence[Array]) -> Array:
    low, high = corners.min(axis=0), corners.max(axis=0)
    for end in ends:
        if np.all(end > low - near) and np.all(end < high + near):
            near = 0.0
    return np.array([*(low - near), *(high + near)])


def _bounds(points: Array) -> Array:
    return np.concatenate([points.min(axis=0), points.max(axis=0)])


def _sides(scene: Scene) -> Iterator[Surface]:
    """Upright sides of boxes that have room below them, in from their walls, up to what is over them."""
    hanging = {face.name for face in scene.room.soffits}
    for box in scene.room.boxes:
        if box.name in hanging:
            for start, end in pairwise([*box.corners, box.corners[0]]):
                side = _side(box, start, end, scene)
                if side is not None:
                    yield side


def _side(box: Block, start: Array, end: Array, scene: Scene) -> Surface | None:
    """The side over one edge (2,) to (2,) of a box's plan; None along a wall, and where it has no height."""
    run = end - start
    middle = shapely.Point((start + end) / 2)
    if scene.room.plan.polygon.boundary.distance(middle) < 1e-3 or not scene.room.plan.polygon.covers(middle):
        return None
    edge = shapely.LineString([start, end])
    bends = [shapely.get_coordinates(edge.intersection(shapely.LineString(crease))) for crease in scene.room.creases]
    shares = sorted({0.0, 1.0, *(float((xy - start) @ run / (run @ run)) for found in bends for xy in found)})
    along = np.array([start + share * run for share in shares])
    tops = np.minimum(scene.room.ceiling_over(along), box.top)
    bottoms = box.under.height(along[[0, -1]])
    if np.all(tops[[0, -1]] - bottoms < TOUCHING):
        return None
    outward = np.array([run[1], -run[0], 0.0]) / float(np.hypot(*run))
    blank = Surface(f"side of {box.name}", "side", frozen([*start, 0.0]), frozen(outward), shapely.Polygon())
    ring = np.vstack([np.column_stack([along, tops]), np.column_stack([along[[-1, 0]], bottoms[::-1]])])
    outline = shapely.Polygon(blank.to_face(ring)).buffer(0)
    return Surface(blank.name, "side", blank.origin, blank.normal, outline) if outline.area > TOUCHING else None

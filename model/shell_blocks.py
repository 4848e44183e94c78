"""What of a room's shell can stand between two points inside it, as convex blocks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.block import Block
from earshed.model.ceiling import CeilingPlane
from earshed.model.geometry import TOUCHING, Array, frozen
from earshed.model.room import Room
from earshed.model.sight import GRAZING

SEAM = 4 * TOUCHING
"""Metres by which the parts of an area overlap, so that no line of sight slips through between them."""


def shell_blocks(room: Room) -> tuple[Block, ...]:
    """Blocks beyond the walls and over the ceilings that a straight way between two points of the air may go through.

    The parts of the plan's hull that are not of the plan stand beyond the walls next to its corners that jut in.
    Over a zone all that lies over the lowest of some planes is what lies over each of them, so each gives a block;
    a room of one zone needs none, since a way between two points under the lowest of some planes stays under it.
    """
    return (*_beyond_walls(room), *_over_zones(room))


def _beyond_walls(room: Room) -> Iterator[Block]:
    plan, top = room.plan.polygon, _above(room)
    for part in shapely.get_parts(plan.convex_hull.difference(plan)):
        if part.area > TOUCHING:
            for corners in convex_parts(part):
                yield Block("a wall", corners, CeilingPlane("a wall", 0.0, 0.0, -1.0), top)


def _over_zones(room: Room) -> Iterator[Block]:
    if len(room.zones) == 1:
        return
    top = _above(room)
    for zone in room.zones:
        for part in shapely.get_parts(zone.outline):
            for corners in convex_parts(part):
                for plane in zone.planes:
                    under = replace(plane, at_origin=plane.at_origin + GRAZING)
                    yield Block("the ceiling", corners, under, top)


def _above(room: Room) -> float:
    """A level over all of the room, metres."""
    heights = [
        plane.height(shapely.get_coordinates(zone.outline)).max() for zone in room.zones for plane in zone.planes
    ]
    return float(max(heights)) + 1.0


def convex_parts(area: BaseGeometry) -> list[Array]:
    """Convex polygons, each counterclockwise corners (N, 2), that cover a polygon and overlap by a seam."""
    parts = [area]
    if area.convex_hull.area - area.area > TOUCHING**2:
        parts = list(shapely.get_parts(shapely.constrained_delaunay_triangles(area)))
    merged: list[BaseGeometry] = []
    while parts:
        part = parts.pop()
        for other in parts:
            both = part.union(other)
            if isinstance(both, shapely.Polygon) and both.convex_hull.area - both.area <= TOUCHING**2:
                parts.remove(other)
                parts.append(both)
                break
        else:
            merged.append(part)
    return [_lapped(part, area) for part in merged]


def _lapped(part: BaseGeometry, area: BaseGeometry) -> Array:
    """The corners of a convex part, grown over its edges that are not edges of the whole area."""
    grown = part.buffer(SEAM, join_style="mitre").intersection(area) if part is not area else part
    hull = shapely.orient_polygons(grown.convex_hull.simplify(TOUCHING / 10))
    return frozen(shapely.get_coordinates(hull)[:-1])

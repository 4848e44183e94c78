"""Whether each hole lies within one face that can be cut, clear of edges."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.checks.elsewhere import EDGES, Places
from earshed.model.face_shape import FaceShape
from earshed.model.finding import Finding
from earshed.model.geometry import TOUCHING
from earshed.model.hole import Hole
from earshed.model.scene import Scene
from earshed.model.units import format_length

ON_EDGE = 1e-4
"""Metres within which an edge of one face is an edge of another."""


def hole_findings(scene: Scene, places: Sequence[Places]) -> Iterator[Finding]:
    """Findings on cut-outs that cross an edge, or that no face can take."""
    for place in places:
        yield from _past_edge(scene, place)
        yield from _into_beam(scene, place.hole)
        yield from _no_cavity(place.hole)


def _past_edge(scene: Scene, place: Places) -> Iterator[Finding]:
    """A hole must lie in one face: across a crease it cannot be cut, and a rim across one cannot lie flat."""
    hole, units = place.hole, scene.print_units
    if hole.surface.room_to_edge(hole.center) < -TOUCHING:
        return  # it sits outside the room, which is a finding of its own
    board = scene.room.board(hole.surface)
    cut, rim = hole.cut.room_in(board), hole.rim.room_in(board)
    edge, needed = _crossed_edge(scene, hole, hole.cut if cut < -TOUCHING else hole.rim, board)
    wanted = scene.clearances.of("edge")
    remedy = f"; {place.remedy(EDGES)}" if rim < wanted - TOUCHING else ""
    if cut < -TOUCHING:
        text = f"its cut-out crosses {edge} by {format_length(-cut, units)}: the center is "
        text += f"{format_length(needed + cut, units)} from it and needs {format_length(needed, units)}"
        yield Finding("error", "cutout-past-edge", hole.owner, text + remedy)
    elif rim < -TOUCHING:
        text = f"its bezel laps {edge} by {format_length(-rim, units)}, so it cannot lie flat there"
        yield Finding("warning", "bezel-past-edge", hole.owner, text + remedy)
    elif rim < wanted - TOUCHING:
        text = f"its bezel is {format_length(rim, units)} from {edge}, where {format_length(wanted, units)} is usual: "
        text += f"{format_length(wanted - rim, units)} short"
        yield Finding("warning", "near-edge", hole.owner, text + remedy)


def _into_beam(scene: Scene, hole: Hole) -> Iterator[Finding]:
    if any(hole.surface.name == box.name and box.kind == "beam" for box in scene.room.boxes):
        yield Finding("error", "cut-into-beam", hole.owner, f"it would be cut into {hole.surface.name}")


def _crossed_edge(scene: Scene, hole: Hole, shape: FaceShape, board: BaseGeometry) -> tuple[str, float]:
    """The edge that a shape crosses most, by the face beyond it, and how far its middle has to be from there."""
    edge = board.boundary
    corners = [shapely.Point(corner) for corner in shapely.get_coordinates(shape.core)]
    out = min(corners, key=lambda spot: float(edge.distance(spot)) * (1 if board.intersects(spot) else -1))
    nearest = edge.interpolate(edge.project(out))
    way = np.array(nearest.coords[0]) - np.array(out.coords[0])
    way = way if board.intersects(out) else -way
    needed = shape.reach(way / np.linalg.norm(way)) if np.any(way) else shape.radius
    point = hole.surface.to_room(np.array(nearest.coords[0]))
    for other in scene.room.surfaces:
        away = abs((point - other.origin) @ other.normal)
        if other.name == hole.surface.name or away > ON_EDGE or hole.surface.continues(other):
            continue
        if other.outline.distance(shapely.Point(other.to_face(point))) < ON_EDGE:
            return f"the crease to {other.called}", needed
    return f"the edge of {hole.surface.called}", needed


def _no_cavity(hole: Hole) -> Iterator[Finding]:
    if hole.surface.finish == "deck":
        text = (
            f"{hole.surface.called} is bare deck: there is no cavity to cut into; use a type that mounts on a surface"
        )
        yield Finding("error", "no-cavity", hole.owner, text)

"""Whether each hole can be cut as drawn: within one face, clear of members, boxes, openings and the picture."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.face_shape import FaceShape
from earshed.model.finding import Finding
from earshed.model.framing import Framing, member_lines, members_across
from earshed.model.geometry import STAND_OFF, TOUCHING, Array
from earshed.model.heading import heading_words
from earshed.model.scene import Scene
from earshed.model.surface import Surface
from earshed.model.units import format_length

FINGER = 0.02
"""Metres between the points at which the edge of a hole is looked at."""
ON_EDGE = 1e-4
"""Metres within which an edge of one face is an edge of another."""


@dataclass(frozen=True, eq=False)
class Hole:
    """A speaker's hole: the face it is in, its center (3,), what is cut and what shows."""

    owner: str
    surface: Surface
    center: Array
    cut: FaceShape
    rim: FaceShape

    @property
    def around(self) -> Array:
        """Points (N, 2) along the edge of what is cut, not a finger apart, in its face's coordinates."""
        edge = self.cut.outline.exterior.segmentize(FINGER)
        return shapely.get_coordinates(edge)

    @property
    def in_plan(self) -> FaceShape:
        """What is cut, as seen from above."""
        return FaceShape(shapely.Polygon(self.cut.edge_on(self.surface)[:, :2]))


def speaker_holes(scene: Scene) -> tuple[Hole, ...]:
    """The holes of the speakers that are cut into a face."""
    return tuple(
        Hole(speaker.name, speaker.surface, speaker.position, speaker.hole, speaker.rim)
        for speaker in scene.speakers
        if speaker.surface is not None and speaker.hole is not None and speaker.rim is not None
    )


def hole_findings(scene: Scene) -> Iterator[Finding]:
    """Findings on cut-outs that cross an edge, a member, a box or an opening, or that no face can take."""
    for hole in speaker_holes(scene):
        yield from _past_edge(scene, hole)
        yield from _on_members(scene, hole)
        yield from _into_boxes(scene, hole)
        yield from _in_opening(scene, hole)
        yield from _no_cavity(hole)


def _past_edge(scene: Scene, hole: Hole) -> Iterator[Finding]:
    """A hole must lie in one face: across a crease it cannot be cut, and a rim across one cannot lie flat."""
    if hole.surface.room_to_edge(hole.center) < -TOUCHING:
        return  # it sits outside the room, which is a finding of its own
    board = scene.room.board(hole.surface)
    cut, rim = hole.cut.room_in(board), hole.rim.room_in(board)
    if cut < -TOUCHING:
        edge, needed = _crossed_edge(scene, hole, hole.cut, board)
        text = f"its cut-out crosses {edge} by {format_length(-cut, scene.print_units)}: the center is "
        text += f"{format_length(needed + cut, scene.print_units)} from it and needs "
        text += format_length(needed, scene.print_units)
        yield Finding("error", "cutout-past-edge", hole.owner, text)
    elif rim < -TOUCHING:
        edge, _ = _crossed_edge(scene, hole, hole.rim, board)
        short = format_length(-rim, scene.print_units)
        text = f"its bezel laps {edge} by {short}, so it cannot lie flat there"
        yield Finding("warning", "bezel-past-edge", hole.owner, text)


def _on_members(scene: Scene, hole: Hole) -> Iterator[Finding]:
    """A cut-out must lie between the members behind its face; says how far it would have to slide."""
    for framing in scene.framing:
        if hole.surface.name not in [surface.name for surface in framing.surfaces]:
            continue
        lines = hole.surface.to_face(member_lines(framing, hole.surface))
        strips = [shapely.LineString(line).buffer(framing.thickness / 2, cap_style="flat") for line in lines]
        into = max((-hole.cut.gap(FaceShape(strip)) for strip in strips), default=-np.inf)
        if into > TOUCHING:
            by = format_length(into, scene.print_units)
            text = f"its cut-out runs into one of the {framing.name} by {by}{_slide(scene, framing, hole)}"
            yield Finding("error", "crosses-member", hole.owner, text)


def _into_boxes(scene: Scene, hole: Hole) -> Iterator[Finding]:
    """A cut-out must stay clear of what stands or is boxed in against its face; in a beam there can be none."""
    before = hole.surface.to_room(hole.around) + STAND_OFF * hole.surface.normal
    center = hole.center + STAND_OFF * hole.surface.normal
    for box in scene.room.boxes:
        if hole.surface.name == box.name:
            if box.kind == "beam":
                yield Finding("error", "cut-into-beam", hole.owner, f"it would be cut into {box.name}")
        elif np.any(box.holds(before)) and not box.holds(center):  # to sit inside one is a finding of its own
            into = -hole.in_plan.gap(FaceShape(box.footprint)) if hole.surface.kind == "ceiling" else 0.0
            by = f" by {format_length(into, scene.print_units)}" if into > TOUCHING else ""
            yield Finding("error", "cutout-past-edge", hole.owner, f"its cut-out runs into {box.name}{by}")


def _slide(scene: Scene, framing: Framing, hole: Hole) -> str:
    """The shortest move, square to the members, that puts a hole between two of them."""
    across = members_across(framing, hole.surface)
    lines = np.unique(np.round(member_lines(framing, hole.surface)[:, 0] @ across, 6))
    at = float(hole.center @ across)
    need = hole.cut.reach(hole.surface.frame @ across) + framing.thickness / 2
    bays = [(low + need, high - need) for low, high in pairwise(lines) if high - low >= 2 * need - TOUCHING]
    if not bays:
        return "; no bay between them is wide enough for it"
    low, high = min(bays, key=lambda bay: max(bay[0] - at, at - bay[1]))
    move = low - at if at < low else high - at
    way = heading_words(across * np.sign(move))
    return f"; slide it {format_length(abs(move), scene.print_units)} towards {way} to clear"


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


def _in_opening(scene: Scene, hole: Hole) -> Iterator[Finding]:
    for opening in scene.ceiling_openings:
        if opening.surface.name == hole.surface.name and hole.cut.gap(opening.shape) < -TOUCHING:
            text = f"it would be cut into the opening {opening.name} in {hole.surface.called}"
            yield Finding("error", "in-opening", hole.owner, text)
    if hole.surface.kind != "wall":
        return
    patches = [*scene.openings, scene.screen] if scene.screen else scene.openings
    for patch in patches:
        face = scene.room.face(patch.wall.name)
        if face is None or face.name != hole.surface.name:
            continue
        if hole.cut.gap(FaceShape(shapely.Polygon(face.to_face(patch.corners)))) >= -TOUCHING:
            continue
        if patch is scene.screen:
            yield Finding("warning", "behind-screen", hole.owner, f"it sits behind the screen on {face.called}")
        else:
            text = f"it would be cut into the opening {patch.name} in {face.called}"
            yield Finding("error", "in-opening", hole.owner, text)


def _no_cavity(hole: Hole) -> Iterator[Finding]:
    if hole.surface.finish == "deck":
        text = (
            f"{hole.surface.called} is bare deck: there is no cavity to cut into; use a type that mounts on a surface"
        )
        yield Finding("error", "no-cavity", hole.owner, text)

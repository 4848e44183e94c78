"""Whether each hole can be cut as drawn: within one face, clear of members, boxes, openings and the picture."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely

from earshed.model.face_shape import FaceShape
from earshed.model.finding import Finding
from earshed.model.framing import Framing, member_lines, members_across
from earshed.model.geometry import STAND_OFF, TOUCHING, Array
from earshed.model.heading import heading_words
from earshed.model.scene import Scene
from earshed.model.surface import Surface
from earshed.model.units import format_length

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
    def in_plan(self) -> FaceShape:
        """What is cut, as seen from above."""
        edge = self.surface.to_room(np.array(self.cut.outline.exterior.coords))
        return FaceShape(shapely.Polygon(edge[:, :2]))


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
        yield from _no_cavity(scene, hole)


def _past_edge(scene: Scene, hole: Hole) -> Iterator[Finding]:
    """A hole must lie in one face: across a crease it cannot be cut, and a rim across one cannot lie flat."""
    center = hole.surface.room_to_edge(hole.center)
    if center < -TOUCHING:
        return  # it sits outside the room, which is a finding of its own
    edge = _nearest_edge(scene, hole)
    cut, rim = hole.cut.room_in(hole.surface.outline), hole.rim.room_in(hole.surface.outline)
    if cut < -TOUCHING:
        text = f"its cut-out crosses {edge} by {format_length(-cut, scene.print_units)}: the center is "
        text += f"{format_length(center, scene.print_units)} from it and needs "
        text += format_length(center - cut, scene.print_units)
        yield Finding("error", "cutout-past-edge", hole.owner, text)
    elif rim < -TOUCHING:
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
    """A cut-out in the ceiling must stay clear of what is boxed in up to it; in a beam there can be none."""
    below = hole.center + STAND_OFF * hole.surface.normal
    for box in scene.room.boxes:
        if box.kind == "beam" and hole.surface.name == box.name:
            yield Finding("error", "cut-into-beam", hole.owner, f"it would be cut into {box.name}")
        elif hole.surface.kind == "ceiling" and not box.holds(below) and box.upper[2] >= hole.center[2] - TOUCHING:
            into = -hole.in_plan.gap(FaceShape(box.footprint))
            if into > TOUCHING:
                by = format_length(into, scene.print_units)
                yield Finding("error", "cutout-past-edge", hole.owner, f"its cut-out runs into {box.name} by {by}")


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


def _nearest_edge(scene: Scene, hole: Hole) -> str:
    """The edge next to a hole, named by the face beyond it."""
    spot = shapely.Point(hole.surface.to_face(hole.center))
    nearest = hole.surface.outline.boundary.interpolate(hole.surface.outline.boundary.project(spot))
    point = hole.surface.to_room(np.array(nearest.coords[0]))
    for other in scene.room.surfaces:
        away = abs((point - other.origin) @ other.normal)
        if other.name == hole.surface.name or away > ON_EDGE:
            continue
        if other.outline.distance(shapely.Point(other.to_face(point))) < ON_EDGE:
            return f"the crease to {other.called}"
    return f"the edge of {hole.surface.called}"


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


def _no_cavity(scene: Scene, hole: Hole) -> Iterator[Finding]:
    face = scene.room.face(hole.surface.name)
    if face is not None and face.finish == "deck":
        text = f"{face.called} is bare deck: there is no cavity to cut into; use a type that mounts on a surface"
        yield Finding("error", "no-cavity", hole.owner, text)

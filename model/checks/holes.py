"""Whether each hole can be cut as drawn: within one face, clear of other holes, of openings and of the picture."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, pairwise

import numpy as np
import shapely

from earshed.model.finding import Finding
from earshed.model.framing import Framing, member_lines, members_across
from earshed.model.geometry import STAND_OFF, TOUCHING, Array
from earshed.model.heading import heading_words
from earshed.model.scene import Scene
from earshed.model.speaker import Speaker
from earshed.model.surface import Surface
from earshed.model.units import format_length

ON_EDGE = 1e-4
"""Metres within which an edge of one face is an edge of another."""


@dataclass(frozen=True, eq=False)
class Hole:
    """A round hole in a face: center (3,), diameter of the cut, diameter of the rim that shows; metres."""

    owner: str
    what: str
    surface: Surface
    center: Array
    cut: float
    rim: float


def hole_findings(scene: Scene) -> Iterator[Finding]:
    """Findings on cut-outs that cross an edge, a member, a box, an opening or one another."""
    holes = [*_speaker_holes(scene), *_light_holes(scene)]
    for hole in holes:
        if hole.what == "speaker":
            yield from _past_edge(scene, hole)
            yield from _on_members(scene, hole)
            yield from _into_boxes(scene, hole)
    for one, other in combinations(holes, 2):
        if one.what == "speaker" or other.what == "speaker":
            yield from _meeting(scene, *((one, other) if one.what == "speaker" else (other, one)))
    for speaker in scene.speakers:
        yield from _in_opening(scene, speaker)


def _speaker_holes(scene: Scene) -> Iterator[Hole]:
    for speaker in scene.speakers:
        if speaker.surface is not None:
            kind = speaker.type
            cut = kind.cutout or kind.bezel or 0.0
            yield Hole(speaker.name, "speaker", speaker.surface, speaker.position, cut, kind.bezel or cut)


def _light_holes(scene: Scene) -> Iterator[Hole]:
    for light in scene.lights:
        yield Hole(light.name, "light", light.surface, light.position, light.cutout, light.body)


def _past_edge(scene: Scene, hole: Hole) -> Iterator[Finding]:
    """A hole must lie in one face: across a crease it cannot be cut, and a rim across one cannot lie flat."""
    room = hole.surface.room_to_edge(hole.center)
    if room < -TOUCHING:
        return  # it sits outside the room, which is a finding of its own
    edge = _nearest_edge(scene, hole)
    if room < hole.cut / 2 - TOUCHING:
        short = format_length(hole.cut / 2 - room, scene.print_units)
        yield Finding(
            "error",
            "cutout-past-edge",
            hole.owner,
            f"its cut-out crosses {edge} by {short}: the center is {format_length(room, scene.print_units)} from it "
            f"and needs {format_length(hole.cut / 2, scene.print_units)}",
        )
    elif room < hole.rim / 2 - TOUCHING:
        short = format_length(hole.rim / 2 - room, scene.print_units)
        yield Finding(
            "warning", "bezel-past-edge", hole.owner, f"its bezel laps {edge} by {short}, so it cannot lie flat there"
        )


def _on_members(scene: Scene, hole: Hole) -> Iterator[Finding]:
    """A cut-out must lie between the members behind its face; says how far it would have to slide."""
    spot = shapely.Point(hole.surface.to_face(hole.center))
    for framing in scene.framing:
        if hole.surface.name not in [surface.name for surface in framing.surfaces]:
            continue
        lines = hole.surface.to_face(member_lines(framing, hole.surface))
        away = min((shapely.LineString(line).distance(spot) for line in lines), default=np.inf)
        into = (hole.cut + framing.thickness) / 2 - away
        if into > TOUCHING:
            by = format_length(into, scene.print_units)
            text = f"its cut-out runs into one of the {framing.name} by {by}{_slide(scene, framing, hole)}"
            yield Finding("error", "crosses-member", hole.owner, text)


def _into_boxes(scene: Scene, hole: Hole) -> Iterator[Finding]:
    """A cut-out in the ceiling must stay clear of what is boxed in up to it."""
    if hole.surface.kind != "ceiling":
        return
    spot = shapely.Point(hole.center[:2])
    below = hole.center + STAND_OFF * hole.surface.normal
    for box in scene.room.boxes:
        away = box.footprint.distance(spot)
        up_to_it = box.upper[2] >= hole.center[2] - TOUCHING
        if up_to_it and not box.holds(below) and away < hole.cut / 2 - TOUCHING:
            into = format_length(hole.cut / 2 - away, scene.print_units)
            yield Finding("error", "cutout-past-edge", hole.owner, f"its cut-out runs into {box.name} by {into}")


def _slide(scene: Scene, framing: Framing, hole: Hole) -> str:
    """The shortest move, square to the members, that puts a hole between two of them."""
    across = members_across(framing, hole.surface)
    lines = np.unique(np.round(member_lines(framing, hole.surface)[:, 0] @ across, 6))
    at = float(hole.center @ across)
    need = (hole.cut + framing.thickness) / 2
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


def _meeting(scene: Scene, one: Hole, other: Hole) -> Iterator[Finding]:
    if one.surface.name != other.surface.name:
        return
    apart = float(np.linalg.norm(one.center - other.center))
    if apart < (one.cut + other.cut) / 2 - TOUCHING:
        by = format_length((one.cut + other.cut) / 2 - apart, scene.print_units)
        yield Finding("error", "holes-meet", one.owner, f"its hole runs into that of {other.owner} by {by}")
    elif apart < (one.rim + other.rim) / 2 - TOUCHING:
        by = format_length((one.rim + other.rim) / 2 - apart, scene.print_units)
        yield Finding("warning", "rims-meet", one.owner, f"its bezel overlaps {other.owner} by {by}")


def _in_opening(scene: Scene, speaker: Speaker) -> Iterator[Finding]:
    if speaker.surface is None or speaker.surface.kind != "wall":
        return
    radius = (speaker.type.cutout or speaker.type.bezel or 0.0) / 2
    patches = [*scene.openings, scene.screen] if scene.screen else scene.openings
    for patch in patches:
        face = scene.room.face(patch.wall.name)
        if face is None or face.name != speaker.surface.name:
            continue
        away = shapely.Polygon(face.to_face(patch.corners)).distance(shapely.Point(face.to_face(speaker.position)))
        if away > 0 and away >= radius - TOUCHING:
            continue
        if patch is scene.screen:
            yield Finding("warning", "behind-screen", speaker.name, f"it sits behind the screen on {face.called}")
        else:
            text = f"it would be cut into the opening {patch.name} in {face.called}"
            yield Finding("error", "in-opening", speaker.name, text)

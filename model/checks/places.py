"""Whether things are where a room has them: inside it, not inside one another, on the wall they hang on."""

from __future__ import annotations

from collections.abc import Iterator

import shapely

from earshed.model.finding import Finding
from earshed.model.geometry import STAND_OFF, TOUCHING, Array
from earshed.model.scene import Scene
from earshed.model.screen import WallPatch
from earshed.model.speaker import Speaker
from earshed.model.units import format_length


def place_findings(scene: Scene) -> Iterator[Finding]:
    """Findings on seats, lights, speakers, openings, screen and boxes that are where they cannot be."""
    for seat in scene.seats:
        yield from _outside(scene, "seat-outside", seat.name, "the ears", seat.ear)
    for light in scene.lights:
        yield from _outside(scene, "light-outside", light.name, "the light", light.position + STAND_OFF * light.normal)
    for speaker in scene.speakers:
        front = speaker.position + STAND_OFF * speaker.normal
        found = [*_outside(scene, "speaker-outside", speaker.name, "the speaker", front)]
        yield from found or _off_face(scene, speaker)
    for opening in scene.openings:
        yield from _off_wall(scene, opening, "opening-off-wall")
    if scene.screen:
        yield from _off_wall(scene, scene.screen, "screen-off-wall")
    yield from _standing_out(scene)
    if scene.room.volume < TOUCHING:
        yield Finding("error", "no-air", scene.title, "the boxes leave no air in the room")


def _outside(scene: Scene, rule: str, name: str, what: str, point: Array) -> Iterator[Finding]:
    """A finding where a point (3,) is beyond the walls, over the ceiling, under the floor or inside a box."""
    room = scene.room
    if not room.plan.contains(point[:2]):
        away = room.plan.polygon.distance(shapely.Point(point[:2]))
        if away > TOUCHING:
            by = format_length(away, scene.print_units)
            yield Finding("error", rule, name, f"{what} would be outside the room, {by} beyond the walls")
            return
    over = float(point[2] - room.ceiling_over(point[:2]))
    if over > TOUCHING:
        by = format_length(over, scene.print_units)
        yield Finding("error", rule, name, f"{what} would be outside the room, {by} above the ceiling there")
    if point[2] < float(room.floor_under(point[:2])) - TOUCHING:
        yield Finding("error", rule, name, f"{what} would be below the floor there")
    for box in room.boxes:
        if box.holds(point):
            yield Finding("error", rule, name, f"{what} would be inside {box.name}")


def _off_face(scene: Scene, speaker: Speaker) -> Iterator[Finding]:
    """A finding for a speaker whose place lies past the end of the wall that it is to be cut into."""
    if speaker.type.mount != "in-wall":
        return
    face = speaker.surface
    beyond = -face.room_to_edge(speaker.position) if face else None
    if beyond is None:
        yield Finding("error", "speaker-outside", speaker.name, "its wall has no height to hold it")
    elif face and beyond > TOUCHING:
        text = f"it would be {format_length(beyond, scene.print_units)} past the edge of {face.called}"
        yield Finding("error", "speaker-outside", speaker.name, text)


def _off_wall(scene: Scene, patch: WallPatch, rule: str) -> Iterator[Finding]:
    face = scene.room.face(patch.wall.name)
    if face is None:
        yield Finding("error", rule, patch.name, f"the {patch.wall.name} has no height to hold it")
        return
    beyond = shapely.Polygon(face.to_face(patch.corners)).difference(face.outline.buffer(TOUCHING))
    if not beyond.is_empty:
        yield Finding("error", rule, patch.name, f"it runs past the edge of {face.called}")


def _standing_out(scene: Scene) -> Iterator[Finding]:
    for block in (*scene.room.boxes, *scene.room.risers):
        over = block.footprint.difference(scene.room.plan.polygon.buffer(TOUCHING))
        if over.area > TOUCHING:
            yield Finding("warning", "box-past-wall", block.name, "part of it stands outside the walls; check its tape")

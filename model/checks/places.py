"""Whether things are where a room has them: inside it, not inside one another, on the wall they hang on."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from earshed.model.finding import Finding
from earshed.model.fixture import Fixture
from earshed.model.geometry import STAND_OFF, TOUCHING, Array
from earshed.model.scene import Scene
from earshed.model.screen import WallPatch
from earshed.model.speaker import Speaker
from earshed.model.units import FOOT, format_length

FAN_OVER_FLOOR = 7 * FOOT
"""Common practice, no source: what makers of fans ask for."""


def place_findings(scene: Scene) -> Iterator[Finding]:
    """Findings on seats, fixtures, speakers, openings, screen and boxes that are where they cannot be."""
    for seat in scene.seats:
        yield from _outside(scene, "seat-outside", seat.name, "the ears", seat.ear)
    for fixture in scene.fixtures:
        rule, what = ("light-outside", "the light") if fixture.kind == "can light" else ("fixture-outside", "it")
        found = [*_outside(scene, rule, fixture.name, what, fixture.position + STAND_OFF * fixture.normal)]
        yield from found or _past_face(scene, fixture)
        yield from _hangs(scene, fixture)
    for speaker in scene.speakers:
        front = speaker.position + STAND_OFF * speaker.normal
        found = [*_outside(scene, "speaker-outside", speaker.name, "the speaker", front)]
        yield from found or _off_face(scene, speaker)
    for opening in scene.openings:
        yield from _off_wall(scene, opening, "opening-off-wall")
    if scene.screen:
        yield from _off_wall(scene, scene.screen, "screen-off-wall")
    for hatch in scene.ceiling_openings:
        if hatch.shape.room_in(hatch.surface.outline) < -TOUCHING:
            text = f"it runs past the edge of {hatch.surface.called}"
            yield Finding("error", "opening-off-ceiling", hatch.name, text)
    yield from _hidden_out(scene)
    yield from _standing_out(scene)
    if scene.room.volume < TOUCHING:
        yield Finding("error", "no-air", scene.title, "the boxes leave no air in the room")


def _hidden_out(scene: Scene) -> Iterator[Finding]:
    """Findings on what was found behind the board, and on old holes, that are not where a face is."""
    inside = {found.name for found in scene.keep_outs if found.shape.outline.intersects(found.surface.outline)}
    for name in dict.fromkeys(found.name for found in scene.keep_outs if found.name not in inside):
        yield Finding("error", "hidden-outside", name, "all of it lies outside the room; check its tape")
    for hole in scene.existing_holes:
        beyond = -hole.shape.room_in(scene.room.board(hole.surface))
        if beyond > TOUCHING:
            text = f"it runs past the edge of {hole.surface.called} by {format_length(beyond, scene.print_units)}"
            yield Finding("error", "hole-past-edge", hole.name, f"{text}; check its tape")


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


def _past_face(scene: Scene, fixture: Fixture) -> Iterator[Finding]:
    """A warning for a fixture that does not lie within its face; the canopy of what hangs may sit over a ridge."""
    if fixture.hanging is not None:
        return
    beyond = -fixture.seen.room_in(scene.room.board(fixture.surface))
    if beyond > TOUCHING:
        text = f"it runs past the edge of {fixture.surface.called} by {format_length(beyond, scene.print_units)}"
        yield Finding("warning", "fixture-past-edge", fixture.name, f"{text}; check its tape")


def _hangs(scene: Scene, fixture: Fixture) -> Iterator[Finding]:
    """Findings on what hangs: it must turn free of walls and ceiling, and a fan's blades out of reach."""
    if fixture.hanging is None:
        return
    hanging, room, units = fixture.hanging, scene.room, scene.print_units
    disc = shapely.Point(hanging.center).buffer(hanging.radius, quad_segs=16)
    out = hanging.radius - float(shapely.Point(hanging.center).distance(room.plan.polygon.boundary))
    if out > TOUCHING:
        yield Finding("error", "hanging-hits", fixture.name, f"it would meet a wall by {format_length(out, units)}")
    for block in room.boxes:
        shared = shapely.get_coordinates(block.footprint.intersection(disc))
        low = float(block.under.height(shared).min()) if len(shared) else np.inf
        if low < hanging.top + TOUCHING and hanging.bottom < block.upper[2] + TOUCHING:
            yield Finding("error", "hanging-hits", fixture.name, f"it would meet {block.name}")
    edge = shapely.get_coordinates(disc)
    over = float((hanging.top - room.ceiling_over(edge)).max())
    if out <= TOUCHING and over > TOUCHING and fixture.kind == "fan":
        text = f"its blades would meet the ceiling: they need {format_length(over, units)} more drop"
        yield Finding("error", "hanging-hits", fixture.name, text)
    if fixture.kind == "fan" and hanging.bottom - float(room.floor_under(hanging.center)) < FAN_OVER_FLOOR - TOUCHING:
        above = format_length(hanging.bottom - float(room.floor_under(hanging.center)), units)
        text = f"its blades turn {above} above what one stands on; {format_length(FAN_OVER_FLOOR, units)} is usual"
        yield Finding("warning", "fan-low", fixture.name, f"{text} (common practice; ask its maker)")


def _standing_out(scene: Scene) -> Iterator[Finding]:
    askew = scene.survey.askew if scene.survey else 0.0  # a box drawn square laps walls that are not
    for block in (*scene.room.boxes, *scene.room.risers):
        if block.kind == "beam":  # it runs into the walls
            continue
        if block.lower[2] > float(scene.room.ceiling_over(block.corners).max()) + TOUCHING:
            text = "all of it stands above the ceiling there; check its bottom"
            yield Finding("warning", "box-above-ceiling", block.name, text)
        over = block.footprint.difference(scene.room.plan.polygon.buffer(TOUCHING + askew))
        if over.area > TOUCHING:
            yield Finding("warning", "box-past-wall", block.name, "part of it stands outside the walls; check its tape")

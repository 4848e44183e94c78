"""What a hole in a face has to keep away from on the face and before it: edges, fixtures, openings, boxes, speakers."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial
from itertools import pairwise

import numpy as np
import shapely

from earshed.model.face_shape import STEP, FaceShape, gap_in_room, hull_shape
from earshed.model.fixture import STAYS, Fixture, Hanging
from earshed.model.geometry import STAND_OFF, TOUCHING
from earshed.model.hole import Hole
from earshed.model.near_block import block_before, block_gap, distance_before
from earshed.model.obstacle import InRoom, Level, Obstacle
from earshed.model.scene import Scene
from earshed.model.screen import WallPatch
from earshed.model.surface import Surface

DISC = 64
"""Corners of a circle as it is drawn on a slope."""


def edges_of(scene: Scene, face: Surface) -> Iterator[Obstacle]:
    """The edges of what can be cut as one with a face: creases, ridges, walls, corners."""
    for part in shapely.get_parts(scene.room.board(face)):
        for ring in (part.exterior, *part.interiors):
            for step in pairwise(np.array(ring.coords)):
                edge = FaceShape(shapely.LineString(step))
                levels = (
                    Level("cutout-past-edge", "error", "cut", edge, 0.0),
                    Level("near-edge", "warning", "rim", edge, scene.clearances.of("edge")),
                )
                yield Obstacle(f"the edges of {face.called}", "edges", levels)


def fixtures_on(scene: Scene, face: Surface) -> Iterator[Obstacle]:
    return (fixture_obstacle(fixture) for fixture in scene.fixtures if fixture.surface.name == face.name)


def fixture_obstacle(fixture: Fixture) -> Obstacle:
    name = fixture.name
    what = f"{name} (the {fixture.kind})"
    cut = f"its cut-out runs into {'that of ' if fixture.cut else ''}{name}"
    levels = (
        Level("holes-meet", "error", "cut", fixture.seen, 0.0, cut),
        Level("holes-meet", "error", "cut", fixture.shape, 0.0, f"its cut-out runs into the body of {name}"),
        Level("rims-meet", "warning", "rim", fixture.shape, 0.0, f"its bezel overlaps {name}"),
        Level("too-near", "warning", "rim", fixture.shape, fixture.keep_clear, what),
    )
    return Obstacle(name, "fixtures", levels, note=STAYS.get(fixture.kind, ""))


def round_the_corner(scene: Scene, face: Surface) -> Iterator[Obstacle]:
    """What sits on another face, as across a ridge, and yet near this one: dropped square onto it, with what is left
    there of the distance to keep."""
    for fixture in scene.fixtures:
        if fixture.surface.name != face.name:
            edge = fixture.surface.to_room(fixture.shape.around)
            away = np.abs((edge - face.origin) @ face.normal)
            if away.min() < fixture.keep_clear:
                left = math.sqrt(fixture.keep_clear**2 - float(away.min()) ** 2)
                shape = hull_shape(face.to_face(edge[away < fixture.keep_clear + STEP]))
                called = f"{fixture.name} (the {fixture.kind} on {fixture.surface.called})"
                far = InRoom(partial(_gap_to_fixture, fixture, face), fixture.keep_clear)
                level = Level("too-near", "warning", "rim", shape, left, called, in_room=far)
                yield Obstacle(fixture.name, "fixtures", (level,), note=STAYS.get(fixture.kind, ""))


def _gap_to_fixture(fixture: Fixture, face: Surface, part: FaceShape) -> float:
    return gap_in_room(part, face, fixture.shape, fixture.surface)


def hangings_over(scene: Scene, face: Surface) -> Iterator[Obstacle]:
    """What hangs under a ceiling, with the distance to keep from it on the plan, as seen from below on the face."""
    if face.kind == "wall" or abs(face.normal[2]) < 1e-6:
        return
    highest = float(face.to_room(shapely.get_coordinates(face.outline))[:, 2].max())
    for fixture in scene.fixtures:
        hanging = fixture.hanging
        if hanging is not None and hanging.bottom < highest:
            turns = 2 * np.pi * np.arange(DISC) / DISC
            radius = (hanging.radius + fixture.keep_clear) / np.cos(np.pi / DISC)
            ring = hanging.center + radius * np.stack([np.cos(turns), np.sin(turns)], axis=-1)
            shape = hull_shape(face.to_face(face.over(ring)))
            called = f"{fixture.name} ({'the circle of its blades' if fixture.kind == 'fan' else 'its shade'})"
            on_plan = InRoom(partial(_gap_on_plan, hanging, face), fixture.keep_clear)
            level = Level("too-near", "warning", "rim", shape, 0.0, called, in_room=on_plan)
            yield Obstacle(fixture.name, "fixtures", (level,))


def _gap_on_plan(hanging: Hanging, face: Surface, part: FaceShape) -> float:
    seen = shapely.Polygon(part.edge_on(face)[:, :2])
    return float(seen.distance(shapely.Point(hanging.center))) - hanging.radius


def openings_in(scene: Scene, face: Surface) -> Iterator[Obstacle]:
    wanted = scene.clearances.of("opening")
    for opening in scene.ceiling_openings:
        if opening.surface.name == face.name:
            yield _patch(scene, face, opening.name, opening.shape, wanted)
    for patch in scene.openings:
        if patch.wall.name == face.name:
            yield _patch(scene, face, patch.name, _patch_on(face, patch), wanted)
    if scene.screen is not None and not scene.screen.transparent and scene.screen.wall.name == face.name:
        shape = _patch_on(face, scene.screen)
        levels = (
            Level("behind-screen", "warning", "cut", shape, 0.0, f"it sits behind the screen on {face.called}"),
            Level("too-near", "warning", "rim", shape, scene.clearances.of("screen"), "the screen"),
        )
        yield Obstacle("the screen", "screen", levels)


def _patch(scene: Scene, face: Surface, name: str, shape: FaceShape, wanted: float) -> Obstacle:
    words = f"it would be cut into the opening {name} in {face.called}"
    levels = (
        Level("in-opening", "error", "cut", shape, 0.0, words),
        Level("too-near", "warning", "rim", shape, wanted, f"the opening {name}"),
    )
    return Obstacle(name, "openings", levels)


def boxes_at(scene: Scene, face: Surface) -> Iterator[Obstacle]:
    """What stands or is boxed in against a face."""
    for block in (*scene.room.boxes, *scene.room.risers):
        near = None if block.name == face.name else block_before(block, face, block.keep_clear)
        if near is not None:
            away = min(distance_before(block, face), block.keep_clear)
            left = math.sqrt(block.keep_clear**2 - away**2)
            far = InRoom(partial(block_gap, block, face), block.keep_clear)
            called = f"{block.name} (the {block.kind})"
            levels = [Level("too-near", "warning", "rim", near, left, called, in_room=far)]
            against = block_before(block, face, STAND_OFF)
            if against is not None:
                runs = f"its cut-out runs into {block.name}"
                levels.insert(0, Level("cutout-past-edge", "error", "cut", against, 0.0, runs))
            yield Obstacle(block.name, "boxes", tuple(levels))


def hung_below(scene: Scene, face: Surface) -> Iterator[Obstacle]:
    """What hangs well below a ceiling, as seen from it: a hole over it would be behind it from below, and what is set
    there goes into its underside."""
    if face.kind not in ("ceiling", "soffit"):
        return
    hanging = {soffit.name for soffit in scene.room.soffits}
    for block in scene.room.boxes:
        over = face.over(block.corners)
        below = float((over[:, 2] - block.under.height(block.corners)).min()) > TOUCHING
        if block.name in hanging and block.name != face.name and below:
            words = f"its bezel reaches over {block.name}, which hangs below it,"
            if block_before(block, face, block.keep_clear) is None:
                level = Level("over-box", "warning", "rim", hull_shape(face.to_face(over)), 0.0, words)
                yield Obstacle(block.name, "boxes", (level,))


def speaker_hole(scene: Scene, other: Hole) -> Obstacle:
    """Another speaker's hole."""
    levels = (
        Level("holes-meet", "error", "cut", other.cut, 0.0, f"its cut-out runs into that of {other.owner}"),
        Level("rims-meet", "warning", "rim", other.rim, 0.0, f"its bezel overlaps {other.owner}"),
        Level("too-near", "warning", "rim", other.rim, scene.clearances.of("speaker"), f"the bezel of {other.owner}"),
    )
    return Obstacle(other.owner, "speakers", levels)


def _patch_on(face: Surface, patch: WallPatch) -> FaceShape:
    return FaceShape(shapely.Polygon(face.to_face(patch.corners)))

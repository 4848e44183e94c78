"""Everything that a hole in a face has to keep away from, as shapes on that face, with the distances to keep."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

import numpy as np
import shapely

from earshed.model.cut_fit import covers, wider
from earshed.model.face_shape import FaceShape, hull_shape
from earshed.model.finding import Severity
from earshed.model.fixture import STAYS, Fixture
from earshed.model.framing import Framing, members_on
from earshed.model.geometry import TOUCHING, Array
from earshed.model.hidden import CAUTIONS, ExistingHole, KeepOut
from earshed.model.hole import Hole, Part
from earshed.model.near_block import block_before, distance_before
from earshed.model.scene import Scene
from earshed.model.screen import WallPatch
from earshed.model.surface import Surface

Group = Literal["framing", "hidden", "edges", "openings", "screen", "boxes", "fixtures", "speakers", "old holes"]
DISC = 64
"""Corners of a circle as it is drawn on a slope."""


@dataclass(frozen=True, eq=False)
class Level:
    """A distance that a part of a hole is to keep from a shape, metres; the shape itself may be `within` off.

    `rule` and `severity` are of the finding where it does not. `words` begin its sentence where the two are not to
    overlap, and else name the shape; they are empty where the finding is written elsewhere. `need` says what the
    distance is for.
    """

    rule: str
    severity: Severity
    part: Part
    shape: FaceShape
    distance: float
    words: str = ""
    need: str = ""
    within: float = 0.0


@dataclass(frozen=True, eq=False)
class Obstacle:
    """One thing in the way: its name in a sentence, the group that it belongs to, and distances, the gravest first.

    A cut that takes in all of the shape `taken_in` is clear of it too.
    """

    name: str
    group: Group
    levels: tuple[Level, ...]
    taken_in: FaceShape | None = None
    note: str = ""
    """What is to be known of it before anyone thinks of moving it instead."""


def obstacles_on(scene: Scene, face: Surface, others: Sequence[Hole] = ()) -> tuple[Obstacle, ...]:
    """What holes in a face are to keep away from; `others` are holes that are taken already.

    Edges of the board are among them; that a hole lies inside them is not said here.
    """
    return (
        *framing_on(scene, face),
        *hidden_on(scene, face),
        *edges_of(scene, face),
        *fixtures_on(scene, face),
        *round_the_corner(scene, face),
        *hangings_over(scene, face),
        *openings_in(scene, face),
        *boxes_at(scene, face),
        *(speaker_hole(scene, other) for other in others if other.surface.name == face.name),
        *(old_hole(scene, hole) for hole in scene.existing_holes if hole.surface.name == face.name),
    )


def framing_on(scene: Scene, face: Surface) -> Iterator[Obstacle]:
    for framing in scene.framing:
        if face.name in [surface.name for surface in framing.surfaces]:
            for number, member in enumerate(members_on(framing, face), start=1):
                strip = _strip(member.line, member.mark.thickness)
                yield member_obstacle(scene, framing, number, strip, member.mark.within)


def member_obstacle(scene: Scene, framing: Framing, number: int, strip: FaceShape, within: float) -> Obstacle:
    called = f"one of the {framing.name}" if framing.spacing is not None else f"member {number} of {framing.name}"
    saw = scene.clearances.of("saw")
    return Obstacle(framing.name, "framing", _timber(scene, called, "crosses-member", strip, within, saw))


def _timber(scene: Scene, called: str, rule: str, shape: FaceShape, within: float, saw: float) -> tuple[Level, ...]:
    clamp = scene.clearances.of("clamp")
    runs = f"its cut-out runs into {called}"
    return (
        Level(rule, "error", "cut", shape, 0.0, runs),
        Level("near-member", "error", "cut", shape, saw, called, "for the saw and the bezel", within),
        Level("clamp-short", "warning", "clamps", shape, clamp, called, "for its clamps", within),
    )


def hidden_on(scene: Scene, face: Surface) -> Iterator[Obstacle]:
    """What a scan or a test hole found; what begins deep behind the board is a matter of depth, not of place."""
    for found in scene.keep_outs:
        if found.surface.name == face.name and found.behind is None:
            yield keep_out(scene, found)


def hidden_before(scene: Scene, face: Surface, needed: float) -> Iterator[Obstacle]:
    """What begins deep behind the board, but not as deep as the metres that a hole's speaker needs there."""
    for found in scene.keep_outs:
        if found.surface.name == face.name and found.behind is not None:
            level = Level("too-deep", "error", "cut", found.shape, 0.0, within=found.within)
            if needed > found.behind + TOUCHING:
                yield Obstacle(found.name, "hidden", (level,))
            elif needed > found.behind - found.within + TOUCHING:
                yield Obstacle(found.name, "hidden", (replace(level, severity="warning"),))


def keep_out(scene: Scene, found: KeepOut) -> Obstacle:
    called = f"{found.name} ({found.kind})"
    if found.kind == "blocking":
        levels = _timber(scene, called, "cuts-hidden", found.shape, found.within, found.keep_clear)
        return Obstacle(found.name, "hidden", levels)
    runs = f"its cut-out runs into {called}"
    levels = (
        Level("cuts-hidden", "error", "cut", found.shape, 0.0, runs),
        Level("near-hidden", "warning", "cut", found.shape, found.keep_clear, called, "", found.within),
    )
    return Obstacle(found.name, "hidden", levels, note=CAUTIONS.get(found.kind, ""))


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
    cut = f"its hole runs into {'that of ' if fixture.cut else ''}{name}"
    levels = (
        Level("holes-meet", "error", "cut", fixture.seen, 0.0, cut),
        Level("holes-meet", "error", "cut", fixture.shape, 0.0, f"its hole runs into the body of {name}"),
        Level("rims-meet", "warning", "rim", fixture.shape, 0.0, f"its bezel overlaps {name}"),
        Level("too-near", "warning", "rim", fixture.shape, fixture.keep_clear, what),
    )
    return Obstacle(name, "fixtures", levels, note=STAYS.get(fixture.kind, ""))


def round_the_corner(scene: Scene, face: Surface) -> Iterator[Obstacle]:
    """What sits on another face, as across a ridge, and yet near this one: dropped square onto it, with what is left
    there of the distance to keep."""
    for fixture in scene.fixtures:
        if fixture.surface.name != face.name:
            edge = fixture.shape.edge_on(fixture.surface)
            away = np.abs((edge - face.origin) @ face.normal)
            near = away < fixture.keep_clear
            if near.any():
                left = math.sqrt(fixture.keep_clear**2 - float(away.min()) ** 2)
                shape = hull_shape(face.to_face(edge[near]))
                level = Level("too-near", "warning", "rim", shape, left)
                yield Obstacle(fixture.name, "fixtures", (level,))


def hangings_over(scene: Scene, face: Surface) -> Iterator[Obstacle]:
    """What hangs under a ceiling, with the distance to keep from it on the plan, as seen from below on the face."""
    if face.kind == "wall" or abs(face.normal[2]) < 1e-6:
        return
    highest = float(face.to_room(shapely.get_coordinates(face.outline))[:, 2].max())
    for fixture in scene.fixtures:
        if fixture.hanging is not None and fixture.hanging.bottom < highest:
            turns = 2 * np.pi * np.arange(DISC) / DISC
            radius = (fixture.hanging.radius + fixture.keep_clear) / np.cos(np.pi / DISC)
            ring = fixture.hanging.center + radius * np.stack([np.cos(turns), np.sin(turns)], axis=-1)
            shape = hull_shape(face.to_face(face.over(ring)))
            level = Level("too-near", "warning", "rim", shape, 0.0)
            yield Obstacle(fixture.name, "fixtures", (level,))


def openings_in(scene: Scene, face: Surface) -> Iterator[Obstacle]:
    wanted = scene.clearances.of("opening")
    for opening in scene.ceiling_openings:
        if opening.surface.name == face.name:
            yield _patch(scene, face, opening.name, opening.shape, wanted)
    for patch in scene.openings:
        if patch.wall.name == face.name:
            yield _patch(scene, face, patch.name, _patch_on(face, patch), wanted)
    if scene.screen is not None and scene.screen.wall.name == face.name:
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
        shape = None if block.name == face.name else block_before(block, face, block.keep_clear)
        if shape is not None:
            away = min(distance_before(block, face), block.keep_clear)
            left = math.sqrt(block.keep_clear**2 - away**2)
            yield Obstacle(block.name, "boxes", (Level("too-near", "warning", "rim", shape, left),))


def speaker_hole(scene: Scene, other: Hole) -> Obstacle:
    """Another speaker's hole."""
    levels = (
        Level("holes-meet", "error", "cut", other.cut, 0.0, f"its hole runs into that of {other.owner}"),
        Level("rims-meet", "warning", "rim", other.rim, 0.0, f"its bezel overlaps {other.owner}"),
        Level("too-near", "warning", "rim", other.rim, scene.clearances.of("speaker"), f"the bezel of {other.owner}"),
    )
    return Obstacle(other.owner, "speakers", levels)


def old_hole(scene: Scene, hole: ExistingHole) -> Obstacle:
    """A hole of a former owner's, which a new one is to swallow whole or to leave alone."""
    levels = (
        Level("meets-old-hole", "error", "cut", hole.shape, 0.0, f"its cut-out runs into the old hole {hole.name}"),
        Level(
            "near-old-hole", "warning", "cut", hole.shape, scene.clearances.of("old hole"), f"the old hole {hole.name}"
        ),
    )
    note = "or use a type whose cut-out takes all of it in"
    return Obstacle(hole.name, "old holes", levels, taken_in=hole.shape, note=note)


def takes_in(hole: Hole, old: ExistingHole) -> bool:
    """Whether a hole takes in one that is there already, so that nothing of it is left."""
    return old.surface.name == hole.surface.name and covers(hole.cut, old.shape)


def is_cut(hole: Hole, old: ExistingHole) -> bool:
    """Whether a hole is there already, so that nothing has to be sawn for it."""
    return takes_in(hole, old) and wider(hole.cut, old.shape) == 0.0


def nothing_to_saw(obstacle: Obstacle) -> Obstacle:
    """An obstacle for a hole that is there already: what a saw is to keep from counts no more."""
    sawn = ("framing", "hidden", "old holes")
    kept = (level for level in obstacle.levels if level.part != "cut" or level.distance == 0.0)
    return replace(obstacle, levels=tuple(kept)) if obstacle.group in sawn else obstacle


def _patch_on(face: Surface, patch: WallPatch) -> FaceShape:
    return FaceShape(shapely.Polygon(face.to_face(patch.corners)))


def _strip(line: Array, thickness: float) -> FaceShape:
    """A member's true width along its center line (2, 2), carried on past the edges of the face, where it is cut on the
    slant."""
    start, end = line
    run = (end - start) / np.linalg.norm(end - start)
    start, end = start - thickness * run, end + thickness * run
    half = np.array([-run[1], run[0]]) * thickness / 2
    return FaceShape(shapely.Polygon([start - half, end - half, end + half, start + half]))

"""Everything that a hole in a face has to keep away from, as shapes on that face, with the distances to keep."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np
import shapely

from earshed.model.cut_fit import covers
from earshed.model.face_shape import FaceShape, hull_shape
from earshed.model.finding import Severity
from earshed.model.fixture import Fixture
from earshed.model.framing import Framing, members_on
from earshed.model.geometry import Array
from earshed.model.hidden import ExistingHole, KeepOut
from earshed.model.hole import Hole, Part
from earshed.model.near_block import block_before
from earshed.model.scene import Scene
from earshed.model.screen import WallPatch
from earshed.model.surface import Surface

Group = Literal["framing", "hidden", "edges", "openings", "screen", "boxes", "fixtures", "speakers", "old holes"]
DISC = 64
"""Corners of a circle as it is drawn on a slope."""


@dataclass(frozen=True, eq=False)
class Level:
    """A distance that a part of a hole is to keep from a shape, metres; the shape itself may be `within` off.

    `rule` and `severity` are of the finding where it does not; `words` begin its sentence where the two overlap, and
    `need` says what the distance is for.
    """

    rule: str
    severity: Severity
    part: Part
    shape: FaceShape
    distance: float
    words: str
    need: str = ""
    within: float = 0.0


@dataclass(frozen=True, eq=False)
class Obstacle:
    """One thing in the way: its name in a sentence, the group that it belongs to, and distances, the gravest first."""

    name: str
    group: Group
    levels: tuple[Level, ...]


def obstacles_on(scene: Scene, face: Surface, others: Sequence[Hole] = ()) -> tuple[Obstacle, ...]:
    """What holes in a face are to keep away from; `others` are holes that are taken already.

    Edges of the board are among them; that a hole lies inside them is not said here.
    """
    return (
        *framing_on(scene, face),
        *hidden_on(scene, face),
        *edges_of(scene, face),
        *fixtures_on(scene, face),
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
    called = f"one of the {framing.name}" if framing.spacing is not None else f"{framing.name}, member {number},"
    return Obstacle(framing.name, "framing", _timber(scene, called, "crosses-member", strip, within))


def _timber(scene: Scene, called: str, rule: str, shape: FaceShape, within: float) -> tuple[Level, ...]:
    saw, clamp = scene.clearances.of("saw"), scene.clearances.of("clamp")
    runs = f"its cut-out runs into {called}"
    return (
        Level(rule, "error", "cut", shape, 0.0, runs),
        Level("near-member", "error", "cut", shape, saw, called, "for the saw and the bezel", within),
        Level("clamp-short", "warning", "clamps", shape, clamp, called, "where a clamp lands", within),
    )


def hidden_on(scene: Scene, face: Surface) -> Iterator[Obstacle]:
    """What a scan or a test hole found; what begins deep behind the board is a matter of depth, not of place."""
    for found in scene.keep_outs:
        if found.surface.name == face.name and found.behind is None:
            yield keep_out(scene, found)


def keep_out(scene: Scene, found: KeepOut) -> Obstacle:
    called = f"{found.name} ({found.kind})"
    if found.kind == "blocking":
        return Obstacle(found.name, "hidden", _timber(scene, called, "cuts-hidden", found.shape, found.within))
    runs = f"its cut-out runs into {called}"
    levels = (
        Level("cuts-hidden", "error", "cut", found.shape, 0.0, runs),
        Level("near-hidden", "warning", "cut", found.shape, found.keep_clear, called, "", found.within),
    )
    return Obstacle(found.name, "hidden", levels)


def edges_of(scene: Scene, face: Surface) -> Iterator[Obstacle]:
    """The edges of what can be cut as one with a face: creases, ridges, walls, corners."""
    for part in shapely.get_parts(scene.room.board(face)):
        for ring in (part.exterior, *part.interiors):
            for step in pairwise(np.array(ring.coords)):
                edge = FaceShape(shapely.LineString(step))
                levels = (
                    Level("cutout-past-edge", "error", "cut", edge, 0.0, "its cut-out crosses an edge"),
                    Level(
                        "near-edge", "warning", "rim", edge, scene.clearances.of("edge"), f"the edge of {face.called}"
                    ),
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
    return Obstacle(name, "fixtures", levels)


def hangings_over(scene: Scene, face: Surface) -> Iterator[Obstacle]:
    """What hangs under a ceiling, with the distance to keep from it on the plan, as seen from below on the face."""
    if face.kind == "wall" or abs(face.normal[2]) < 1e-6:
        return
    for fixture in scene.fixtures:
        if fixture.hanging is not None:
            turns = 2 * np.pi * np.arange(DISC) / DISC
            radius = (fixture.hanging.radius + fixture.keep_clear) / np.cos(np.pi / DISC)
            ring = fixture.hanging.center + radius * np.stack([np.cos(turns), np.sin(turns)], axis=-1)
            shape = hull_shape(face.to_face(face.over(ring)))
            level = Level("too-near", "warning", "rim", shape, 0.0, f"its bezel is too near {fixture.name}")
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
            words = f"its bezel is too near {block.name}"
            yield Obstacle(block.name, "boxes", (Level("too-near", "warning", "rim", shape, block.keep_clear, words),))


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
    return Obstacle(hole.name, "old holes", levels)


def swallows(hole: Hole, old: ExistingHole) -> bool:
    """Whether a hole takes in one that is there already, so that nothing of it is left."""
    return old.surface.name == hole.surface.name and covers(hole.cut, old.shape)


def _patch_on(face: Surface, patch: WallPatch) -> FaceShape:
    return FaceShape(shapely.Polygon(face.to_face(patch.corners)))


def _strip(line: Array, thickness: float) -> FaceShape:
    """A member's true width along its center line (2, 2)."""
    start, end = line
    run = (end - start) / np.linalg.norm(end - start)
    half = np.array([-run[1], run[0]]) * thickness / 2
    return FaceShape(shapely.Polygon([start - half, end - half, end + half, start + half]))

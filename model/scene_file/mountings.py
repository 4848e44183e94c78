"""Builds lights, vents, detectors, fans and the like, and openings in ceilings, from the checked keys of a file."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from earshed.model.clearances import Clearances
from earshed.model.face_shape import FaceShape, across_and_back, rectangle_shape, round_shape
from earshed.model.fixture import FaceOpening, Fixture, Hanging
from earshed.model.geometry import Array
from earshed.model.plan import Wall
from earshed.model.room import Room
from earshed.model.scene_file.messages import Path
from earshed.model.scene_file.places import Tape
from earshed.model.scene_file.problem import Misfit
from earshed.model.scene_file.schema import SceneFile
from earshed.model.scene_file.schema_fixtures import CanLightFile, FanFile, MountedFile, OpeningFile, PendantFile
from earshed.model.scene_file.schema_framing import ExistingHoleFile, KeepOutFile
from earshed.model.sound.materials import Material
from earshed.model.surface import Surface

Spot = tuple[Array, Surface]


def build_fixtures(file: SceneFile, room: Room, tape: Tape) -> Iterator[Fixture]:
    """Fixtures on the faces of a room. Raises Misfit, with the path of the key."""
    clearances = Clearances(file.clearances)
    for index, entry in enumerate(file.fixtures):
        path: Path = ("fixtures", index)
        if not isinstance(entry, (CanLightFile, MountedFile, FanFile, PendantFile)):
            continue
        clear = entry.keep_clear if entry.keep_clear is not None else clearances.of(entry.kind)
        if isinstance(entry, MountedFile):
            position, surface = place_on_face(entry, room, tape, path)
            shape = _sized(entry, surface, position)
            yield Fixture(entry.name, entry.kind, position, surface, shape, clear)
            continue
        position, surface = room.overhead(tape.point(entry.at, (*path, "at")))
        middle = surface.to_face(position)
        if isinstance(entry, CanLightFile):
            body, hole = round_shape(middle, entry.body or entry.cutout), round_shape(middle, entry.cutout)
            yield Fixture(entry.name, entry.kind, position, surface, body, clear, cut=hole)
        else:
            hanging = _hanging(entry, room, position, path)
            yield Fixture(
                entry.name, entry.kind, position, surface, round_shape(middle, entry.canopy), clear, hanging=hanging
            )


def place_on_face(entry: MountedFile | KeepOutFile | ExistingHoleFile, room: Room, tape: Tape, path: Path) -> Spot:
    """Where it sits: on a wall, or on the lowest face over its place."""
    if entry.at is not None:
        return room.overhead(tape.point(entry.at, (*path, "at")))
    assert entry.wall is not None
    assert entry.height is not None
    wall, face = face_of_wall(entry.wall, room, tape, path)
    return wall.point(tape.along(entry, wall, path), entry.height), face


def face_of_wall(name: str, room: Room, tape: Tape, path: Path) -> tuple[Wall, Surface]:
    """A wall by its name, and its face. Raises Misfit where there is none to hold anything."""
    wall = tape.wall(name, (*path, "wall"))
    face = room.face(wall.name)
    if face is None:
        raise Misfit(f"the {wall.name} has no height to hold it", (*path, "wall"))
    return wall, face


def patch_overhead(
    entry: OpeningFile | KeepOutFile, width: float, length: float, room: Room, tape: Tape, path: Path
) -> tuple[Surface, FaceShape]:
    """A rectangle on the ceiling by its left, front corner in plan, its sizes taped on the face, metres."""
    corner = tape.point(entry, path)
    inside = corner + np.minimum([width / 2, length / 2], 0.05) * [1.0, -1.0]
    surface = room.overhead(inside)[1]
    across, back = across_and_back(surface)
    middle = surface.to_face(surface.over(corner)) + across * width / 2 + back * length / 2
    return surface, rectangle_shape(middle, across, width, length)


def _sized(entry: MountedFile, surface: Surface, position: Array) -> FaceShape:
    middle = surface.to_face(position)
    if entry.size is None:
        return round_shape(middle, entry.across)
    across, _ = across_and_back(surface)
    return rectangle_shape(middle, across, *entry.size)


def _hanging(entry: FanFile | PendantFile, room: Room, position: Array, path: Path) -> Hanging:
    """What hangs on it. Raises Misfit where it would hang to the floor."""
    floor = float(room.floor_under(position[:2]))
    bottom = float(position[2]) - entry.drop
    if bottom <= floor:
        raise Misfit("it would hang down to the floor there", (*path, "drop"))
    if isinstance(entry, FanFile):
        return Hanging(position[:2], entry.blades / 2, bottom, bottom)
    top = min(float(position[2]), bottom + entry.height)
    return Hanging(position[:2], entry.diameter / 2, bottom, top)


def build_face_opening(entry: OpeningFile, path: Path, room: Room, tape: Tape, of: Material | None) -> FaceOpening:
    """A hatch or a skylight, and what it is of: its left, front corner in plan, its sizes taped on the ceiling."""
    assert entry.length is not None
    surface, shape = patch_overhead(entry, entry.width, entry.length, room, tape, path)
    return FaceOpening(entry.name, surface, shape, of)

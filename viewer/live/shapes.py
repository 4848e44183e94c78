"""The room as models for the page: what stays where it is, and what is moved about."""

from __future__ import annotations

from collections.abc import Container, Iterable

from earshed.model.listening_plane import ListeningPlane
from earshed.model.scene import Scene
from earshed.model.seating import Seat
from earshed.model.speaker import Speaker
from earshed.viewer import palette
from earshed.viewer.cone_meshes import cone_colors
from earshed.viewer.gltf.container import glb
from earshed.viewer.gltf.contents import fixed_things, room_thing, seat_thing, speaker_thing
from earshed.viewer.gltf.heat import OPACITY, sheet_piece
from earshed.viewer.gltf.looks import Look
from earshed.viewer.gltf.room_file import cone_thing
from earshed.viewer.gltf.shapes import Thing

SHEET = Look("sheet", palette.PAPER, 1.0, OPACITY, unlit=True, two_sided=True)
"""Of the listening plane, over which the page lays the map."""


def fixed_model(scene: Scene, plane: ListeningPlane) -> bytes:
    """The room with all that is built in, and the sheet for its map."""
    sheet = Thing("listening plane", [sheet_piece(plane, SHEET)], facts={"kind": "sheet"})
    return _model([room_thing(scene), *fixed_things(scene), sheet])


def moving_model(scene: Scene, things: Iterable[Speaker | Seat], cones: Container[str]) -> bytes:
    """Some speakers and seats: one thing for each, by its name, with its cone where its name is among `cones`."""
    colors = cone_colors(scene.judged)
    parts = []
    for thing in things:
        if isinstance(thing, Seat):
            parts.append(Thing(thing.name, parts=[seat_thing(scene, thing)], facts={"kind": "place of a seat"}))
            continue
        own = [speaker_thing(scene, thing)]
        if thing.has_verdict and thing.name in cones:
            own.append(cone_thing(scene, thing, colors[thing.name]))
        parts.append(Thing(thing.name, parts=own, facts={"kind": "place of a speaker"}))
    return _model(parts)


def _model(things: Iterable[Thing]) -> bytes:
    return glb(list(things), generator="Earshed", facts={})

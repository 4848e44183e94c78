"""The glTF file of a scene: the room with everything in it, cones, and maps at ear height."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from earshed.model.coverage import off_axis_map
from earshed.model.coverage_map import map_coverage
from earshed.model.scene import Scene
from earshed.model.speaker import Speaker
from earshed.viewer.cone_meshes import axis_mesh, cone_colors, cone_ends, limit_lines, rim_runs
from earshed.viewer.gltf.container import glb
from earshed.viewer.gltf.contents import room_thing, things_in
from earshed.viewer.gltf.heat import heat_piece, light_piece, texture_plane
from earshed.viewer.gltf.looks import LIMIT, Look, cone_look, sign_look
from earshed.viewer.gltf.shapes import Thing, simplified, solid_piece, tube_piece
from earshed.viewer.light import light_map
from earshed.viewer.meshes import cone_mesh

CONE_OPACITY = 0.08
RIM_RADIUS, LIMIT_RADIUS = 0.006, 0.008
"""Metres: half as wide as the line along the rim of a cone, and that of the coverage limit."""
RIM_EVERY = 3
"""Degrees between the points of a rim."""
STRAIGHT = 0.002
"""Metres by which a line may be off for having fewer points."""


@dataclass(frozen=True, eq=False)
class Contents:
    """What a file is to hold of a scene: the cones of some speakers, the map of them as a set, maps of single ones, and
    the light of some as if they were lamps."""

    scene: Scene
    cones: Sequence[Speaker] = ()
    set_map: Sequence[Speaker] = ()
    own_maps: Sequence[Speaker] = ()
    lamps: Sequence[Speaker] = ()


SET_MAP = "worst off-axis angle"
"""Name of the map of a set."""
LIGHT = "coverage as light"
"""Name of the light of some speakers."""


def own_map(speaker: Speaker) -> str:
    """Name of the map of one speaker."""
    return f"off-axis angle of {speaker.name}"


def room_glb(contents: Contents) -> bytes:
    """The file: metres, Y up, the screen wall towards -Z; the same bytes for the same scene."""
    scene = contents.scene
    things = [room_thing(scene), *things_in(scene)]
    colors = cone_colors(contents.cones)
    if contents.cones:
        cones = [cone_thing(scene, speaker, colors[speaker.name]) for speaker in contents.cones]
        things.append(Thing("cones", parts=cones))
    maps = list(_maps(contents))
    if maps:
        things.append(Thing("listening plane", parts=maps))
    return glb(things, generator="Earshed", facts={"title": scene.title, "scheme": scene.scheme})


def cone_thing(scene: Scene, speaker: Speaker, color: str) -> Thing:
    """The side of a cone to the coverage limit as the room trims it, its rim, and its axis."""
    ends = cone_ends(scene, speaker)
    side = [solid_piece([cone_mesh(speaker.position, ends)], cone_look(color, CONE_OPACITY))]
    runs = [np.concatenate([run[:-1:RIM_EVERY], run[-1:]]) for run in rim_runs(speaker, ends)]
    line = sign_look(color)
    pieces = [tube_piece(runs, RIM_RADIUS, line), solid_piece([axis_mesh(speaker)], line)]
    parts = [Thing(f"side of the cone of {speaker.name}", side, facts={"kind": "cone side"})]
    return Thing(f"cone of {speaker.name}", pieces, parts, facts={"kind": "cone"})


def _maps(contents: Contents) -> Iterator[Thing]:
    """The maps that are asked for, each with the coverage limit where it is of one speaker."""
    if not (contents.set_map or contents.own_maps or contents.lamps):
        return
    scene, plane = contents.scene, texture_plane(contents.scene)
    if contents.set_map:
        worst = map_coverage(scene, plane, contents.set_map).of_set.worst
        yield Thing(SET_MAP, [heat_piece(plane, worst, SET_MAP)], facts={"kind": "map"})
    for speaker in contents.own_maps:
        name = own_map(speaker)
        (angles,) = off_axis_map(plane, speaker.position, speaker.axis)
        limit = _limit(scene, speaker, LIMIT)
        yield Thing(name, [heat_piece(plane, angles, name)], parts=[limit], facts={"kind": "map"})
    if contents.lamps:
        colors = cone_colors(contents.lamps)
        lit = light_map(map_coverage(scene, plane, contents.lamps))
        limits = [_limit(scene, one, sign_look(colors[one.name]), "edge of the light") for one in contents.lamps]
        yield Thing(LIGHT, [light_piece(plane, lit, LIGHT)], parts=limits, facts={"kind": "light"})


def _limit(scene: Scene, speaker: Speaker, look: Look, called: str = "coverage limit") -> Thing:
    """The line in which a speaker's coverage ends."""
    lines = [simplified(line, STRAIGHT) for line in limit_lines(scene, speaker)]
    return Thing(f"{called} of {speaker.name}", [tube_piece(lines, LIMIT_RADIUS, look)] if lines else [])

"""A scene as named things: the room by its faces, what stands and hangs in it, and what is behind its faces."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np
import pyvista as pv

from earshed.model.fixture import Fixture
from earshed.model.room import Lining
from earshed.model.scene import Scene
from earshed.model.screen import WallPatch
from earshed.model.seating import Seat, main_seats
from earshed.model.speaker import Speaker
from earshed.model.surface import Surface
from earshed.viewer import meshes, palette
from earshed.viewer.chair_meshes import seat_mesh
from earshed.viewer.finishes import SKIN_COLORS, box_color, floor_color
from earshed.viewer.fixture_meshes import RIM_WIDTH, Part, fixture_parts, opening_parts, ring_mesh, shape_mesh
from earshed.viewer.gltf.looks import EDGE, INK, Look, sign_look, solid_look
from earshed.viewer.gltf.shapes import Piece, Thing, edge_piece, solid_piece
from earshed.viewer.hidden_meshes import framing_parts, keep_out_parts, keep_out_patch, old_hole_parts

ROOM_CREASE = 12.0
"""Degrees between two faces of the room from which the edge between them is drawn."""
HEAD_FACETS = 14
"""Round a head: devices without a graphics card draw them all at every turn of the room."""
SHADED = {palette.GRILLE, palette.WOOD}
"""Parts of what hangs that the light shades; rods, cords and lamps are too thin for it, or shine."""


def room_thing(scene: Scene) -> Thing:
    """The lining of the room, face by face, turned inwards, with its edges."""
    colors = {**SKIN_COLORS, "floor": floor_color(scene)}
    faces = [_face(part, colors[part.kind]) for part in scene.room.lining]
    skin = meshes.skin_mesh(np.concatenate([part.triangles for part in scene.room.lining]))
    edges = Thing("edges of the room", edge_piece([skin], EDGE, sharper_than=ROOM_CREASE))
    return Thing("room", parts=[*faces, edges])


def _face(part: Lining, color: str) -> Thing:
    inwards = meshes.skin_mesh(part.triangles[:, ::-1])
    return Thing(part.name, [solid_piece([inwards], solid_look(color))], facts={"kind": part.kind})


def things_in(scene: Scene) -> list[Thing]:
    """What is in the room and on its faces, in groups."""
    return [
        *fixed_things(scene),
        Thing("seats", parts=[seat_thing(scene, seat) for seat in scene.seats]),
        Thing("speakers", parts=[speaker_thing(scene, speaker) for speaker in scene.speakers]),
    ]


def fixed_things(scene: Scene) -> list[Thing]:
    """All of it but seats and speakers."""
    openings = [_wall_opening(opening) for opening in scene.openings]
    openings += [_opening(opening.name, opening_parts(opening)) for opening in scene.ceiling_openings]
    screens = [_wall_patch(scene.screen, palette.PICTURE, meshes.SCREEN_PROUD)] if scene.screen else []
    return [
        Thing("built in", parts=list(_bodies(scene))),
        Thing("openings", parts=openings),
        Thing("picture", parts=screens),
        Thing("framing", parts=list(_framing(scene))),
        Thing("behind the board", parts=list(_hidden(scene))),
        Thing("fixtures", parts=[_fixture(fixture) for fixture in scene.fixtures]),
    ]


def _solid(mesh: pv.PolyData, color: str) -> list[Piece]:
    return [solid_piece([mesh], solid_look(color)), *edge_piece([mesh], EDGE)]


def _bodies(scene: Scene) -> Iterator[Thing]:
    for box in scene.room.bodies:
        shown = scene.room.shown_of(box)
        if len(shown):
            yield Thing(box.name, _solid(meshes.skin_mesh(shown), box_color(box)), facts={"kind": box.kind})


def _wall_opening(opening: WallPatch) -> Thing:
    """A window, or a door where it reaches the floor."""
    return _wall_patch(opening, palette.GLASS if opening.bottom > 0 else palette.DOOR, meshes.PROUD)


def _wall_patch(patch: WallPatch, color: str, proud: float) -> Thing:
    mesh = meshes.patch_mesh(patch, proud)
    return Thing(patch.name, [solid_piece([mesh], solid_look(color)), *edge_piece([mesh], EDGE)])


def _by_look(parts: Iterable[tuple[pv.PolyData, Look]]) -> list[Piece]:
    """Meshes of one look as one piece."""
    gathered: dict[Look, list[pv.PolyData]] = {}
    for mesh, look in parts:
        gathered.setdefault(look, []).append(mesh)
    return [solid_piece(found, look) for look, found in gathered.items()]


def _opening(name: str, parts: Iterable[Part]) -> Thing:
    return Thing(name, _by_look((mesh, sign_look(color)) for mesh, color in parts))


def _framing(scene: Scene) -> Iterator[Thing]:
    """Members at their true width, as if they showed through the board, face by face."""
    for framing in scene.framing:
        for surface in framing.surfaces:
            parts = [
                (mesh, sign_look(color, opacity=opacity)) for mesh, color, opacity in framing_parts(framing, surface)
            ]
            if parts:
                yield Thing(f"{framing.name}, {surface.name}", _by_look(parts))


def _hidden(scene: Scene) -> Iterator[Thing]:
    for found in scene.keep_outs:
        ground = (keep_out_patch(found), sign_look(palette.PAPER, opacity=0.6))
        yield Thing(
            found.name, _by_look([ground, *_signs(found.surface, keep_out_parts(found))]), facts={"kind": found.kind}
        )
    for hole in scene.existing_holes:
        yield Thing(hole.name, _by_look(_signs(hole.surface, old_hole_parts(hole))), facts={"kind": "old hole"})


def _signs(surface: Surface, parts: Iterable[Part]) -> Iterator[tuple[pv.PolyData, Look]]:
    """Drawn on a face; on a ceiling also as seen from above."""
    for mesh, color in parts:
        look = sign_look(color)
        yield mesh, (look if surface.kind == "wall" else look.both_sides())


def _fixture(fixture: Fixture) -> Thing:
    """What hangs is a body in the room's light; the rest is flat, and on a ceiling also seen from above."""
    parts = []
    for mesh, color in fixture_parts(fixture):
        look = solid_look(color) if fixture.hanging is not None and color in SHADED else sign_look(color)
        parts.append((mesh, look if fixture.surface.kind == "wall" else look.both_sides()))
    return Thing(fixture.name, _by_look(parts), facts={"kind": fixture.kind})


def seat_thing(scene: Scene, seat: Seat) -> Thing:
    """A chair and a head; where the seat reclines, the head there alone."""
    main = seat in main_seats(scene.seats)
    ink = palette.INK if seat.reclined_from is None else palette.HEAD_RECLINED
    pieces = [solid_piece([meshes.head_mesh(seat, HEAD_FACETS)], solid_look(ink))]
    if seat.reclined_from is None:
        chair = seat_mesh(seat, float(scene.room.floor_under(seat.ear[:2])), scene.ahead, scene.seats)
        pieces += _solid(chair, palette.FABRIC_MAIN if main else palette.FABRIC)
    return Thing(seat.name, pieces, facts={"kind": "main seat" if main else "seat"})


def speaker_thing(scene: Scene, speaker: Speaker) -> Thing:
    """A grille with its rim, or a cabinet, on its stand where it has one."""
    facts = {"kind": "speaker", "mount": speaker.type.mount}
    pieces: list[Piece] = []
    if speaker.surface is None:
        pieces += _solid(meshes.cabinet_mesh(speaker), palette.SCREEN)
        if speaker.type.mount == "stand":
            stand = meshes.stand_mesh(speaker, float(scene.room.floor_under(speaker.position[:2])))
            pieces += _solid(stand, palette.INK) if stand is not None else []
    elif speaker.rim is not None:
        wall = speaker.surface.kind == "wall"
        look = solid_look(palette.GRILLE)
        grille = shape_mesh(speaker.rim, speaker.surface)
        rim = ring_mesh(speaker.rim, speaker.surface, RIM_WIDTH, 2 * meshes.PROUD)
        pieces += [solid_piece([grille], look if wall else look.both_sides()), solid_piece([rim], INK)]
    return Thing(speaker.name, pieces, facts=facts)

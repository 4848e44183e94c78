"""Sets the scene for a picture in three dimensions: the room, what is in it, cones, heat maps and light."""

from __future__ import annotations

from collections.abc import Collection, Sequence

import numpy as np
import pyvista as pv

from earshed.model.coverage import Map
from earshed.model.geometry import UP, Array, face_frame
from earshed.model.hidden import ExistingHole
from earshed.model.listening_plane import ListeningPlane
from earshed.model.room import SkinKind
from earshed.model.scene import Scene
from earshed.model.screen import WallPatch
from earshed.model.seating import Seat, main_seats
from earshed.model.speaker import Speaker
from earshed.viewer import meshes, palette, textures
from earshed.viewer.camera import View
from earshed.viewer.chair_meshes import seat_mesh
from earshed.viewer.cone_meshes import axis_mesh, cone_ends, limit_lines, parted_by_sight, rim_runs
from earshed.viewer.finishes import (
    SKIN_COLORS,
    Pattern,
    box_color,
    deck_pattern,
    floor_color,
    floor_pattern,
    laid,
    laid_along,
    texture,
)
from earshed.viewer.fixture_meshes import RIM_WIDTH, fixture_parts, opening_parts, ring_mesh, shape_mesh
from earshed.viewer.hidden_meshes import framing_parts, keep_out_parts, keep_out_patch, old_hole_parts

CONE_OPACITY, FAINT_RIM = 0.13, 0.35
HEAT_OPACITY = 0.92
SECTION_LIFT = 0.01
"""Metres by which a section is drawn over the level that it is cut at."""
GLOW_REACH = 5.0
"""Radius of the light on the plaster round a lamp, in radii of the lamp."""
HOLES_ACROSS, PITCH = 32, 0.008
"""Of the sheet of a grille: holes to a side of its pattern, and metres from one to the next, wider than they are made
so that they show."""
LAMPS = (
    ((-0.45, -0.35, 1.0), 0.44), ((0.6, -0.8, 0.2), 0.24), ((-0.8, 0.5, 0.2), 0.18), ((0.1, -0.25, -1.0), 0.32),
)  # fmt: skip
"""From which way light comes, and how strong it is."""
SMOOTH = {"smooth_shading": False, "specular": 0.0, "ambient": 0.84, "diffuse": 0.30}
CLOTH = {**SMOOTH, "ambient": 0.66, "diffuse": 0.52}


def set_stage(plotter: pv.Plotter, scene: Scene, view: View) -> None:
    """The room as a dollhouse, what is behind its faces as if it showed through, and what is in it.

    The seat that it is seen from is left out, chair and heads, and kinds of faces that the view goes without.
    """
    add_shell(plotter, scene, without=view.without)
    add_framing(plotter, scene)
    add_hidden(plotter, scene)
    add_things(plotter, scene, seats_beside(scene, view.seat), view)


def show_room(plotter: pv.Plotter, scene: Scene, view: View) -> None:
    """The room as one will see it, with nothing of what is behind its faces; cut level, without what is below."""
    level = float(view.place[2]) if view.is_level_cut else None
    add_shell(plotter, scene, cut=level, without=view.without)
    add_framing(plotter, scene, grids_only=True)
    add_things(plotter, scene, [] if view.is_level_cut else seats_beside(scene, view.seat), view)


def seats_beside(scene: Scene, seen_from: Seat | None) -> list[Seat]:
    """All seats but the chair that the room is seen from."""
    return [seat for seat in scene.seats if seen_from is None or seat.chair != seen_from.chair]


def add_shell(
    plotter: pv.Plotter, scene: Scene, *, cut: float | None = None, without: Collection[SkinKind] = ()
) -> None:
    """Faces and boxes; those towards the camera are left out, so one sees in from any side, and kinds of faces that the
    view goes `without`.

    Seen from below a level `cut` through the room, what stands on the floor shows as the section that it has there.
    """
    skin = {kind: triangles for kind, triangles in scene.room.skin.items() if kind not in without}
    patterns = {"floor": floor_pattern(scene), "deck": deck_pattern(), "riser": floor_pattern(scene)}
    for kind, triangles in skin.items():
        color = floor_color(scene) if kind == "floor" else SKIN_COLORS[kind]
        pattern = patterns.get(kind)
        if pattern is None:
            plotter.add_mesh(meshes.skin_mesh(triangles), color=color, culling="front", **SMOOTH)
        else:
            drawn = texture(pattern.pixels)
            plotter.add_mesh(laid(triangles, pattern), color=color, texture=drawn, culling="front", **SMOOTH)
    edges = meshes.skin_mesh(np.concatenate(list(skin.values()))).extract_feature_edges(12)
    plotter.add_mesh(edges, color=palette.EDGE, line_width=2.2, lighting=False)
    for box in scene.room.bodies:
        if cut is not None and float(box.lower[2]) <= cut:
            if box.top > cut:
                section = np.column_stack([box.corners, np.full(len(box.corners), cut)])
                _solid(plotter, meshes.polygon_mesh(section, SECTION_LIFT * UP), palette.SOFFIT)
            continue
        shown = scene.room.shown_of(box)
        if not len(shown):
            continue
        color = box_color(box)
        if color == palette.WOOD:
            _timber(plotter, shown)
        else:
            _solid(plotter, meshes.skin_mesh(shown), color)


def add_things(plotter: pv.Plotter, scene: Scene, seats: Sequence[Seat], view: View) -> None:
    """Openings, the picture, fixtures, speakers, and some of the seats."""
    _add_wall_patches(plotter, scene, view)
    _add_fixtures(plotter, scene)
    _add_seats(plotter, scene, seats)
    for speaker in scene.speakers:
        _add_speaker(plotter, scene, speaker)


def add_old_holes(plotter: pv.Plotter, holes: Sequence[ExistingHole]) -> None:
    """Holes that are there, as broken outlines."""
    for hole in holes:
        for mesh, color in old_hole_parts(hole):
            culling = "back" if hole.surface.kind == "wall" else None
            plotter.add_mesh(mesh, color=color, culling=culling, lighting=False)


def _solid(plotter: pv.Plotter, mesh: pv.PolyData, color: str) -> None:
    plotter.add_mesh(mesh, color=color, **SMOOTH)
    _edges(plotter, mesh)


def _edges(plotter: pv.Plotter, mesh: pv.PolyData) -> None:
    plotter.add_mesh(mesh.extract_feature_edges(30), color=palette.EDGE, line_width=1.4, lighting=False)


def _timber(plotter: pv.Plotter, triangles: Array) -> None:
    pattern = Pattern(textures.grain(), 1.6)
    drawn = texture(pattern.pixels)
    plotter.add_mesh(laid_along(triangles, pattern), color=palette.WOOD, texture=drawn, **SMOOTH)
    _edges(plotter, meshes.skin_mesh(triangles))


def add_framing(plotter: pv.Plotter, scene: Scene, *, grids_only: bool = False) -> None:
    """Members at their true width, as if they showed through the board; grids of tiles do show."""
    for framing in scene.framing:
        if grids_only and not framing.is_grid:
            continue
        for surface in framing.surfaces:
            for mesh, color, opacity in framing_parts(framing, surface):
                plotter.add_mesh(mesh, color=color, opacity=opacity, culling="back", lighting=False)


def add_hidden(plotter: pv.Plotter, scene: Scene) -> None:
    """What a scan found behind the faces, and holes that are there; on a ceiling also as seen from above."""
    for found in scene.keep_outs:
        patch = keep_out_patch(found)
        plotter.add_mesh(patch, color=palette.PAPER, opacity=0.6, culling="back", lighting=False)
    for found in scene.keep_outs:
        for mesh, color in keep_out_parts(found):
            culling = "back" if found.surface.kind == "wall" else None
            plotter.add_mesh(mesh, color=color, culling=culling, lighting=False)
    add_old_holes(plotter, scene.existing_holes)


def _add_fixtures(plotter: pv.Plotter, scene: Scene) -> None:
    for fixture in scene.fixtures:
        if fixture.kind == "can light":
            _add_glow(plotter, fixture.position, fixture.normal, GLOW_REACH * fixture.seen.radius)
        for mesh, color in fixture_parts(fixture):
            hung = fixture.hanging is not None and color != palette.LAMP
            plotter.add_mesh(mesh, color=color, **(SMOOTH if hung else {"lighting": False}))
    for opening in scene.ceiling_openings:
        for mesh, color in opening_parts(opening):
            plotter.add_mesh(mesh, color=color, culling="back", lighting=False)


def _add_glow(plotter: pv.Plotter, place: Array, normal: Array, reach: float) -> None:
    """Light on the plaster round a lamp, seen from the room alone."""
    level, upslope = (reach * way for way in face_frame(normal))
    corners = np.array([-level - upslope, level - upslope, level + upslope, upslope - level])
    mesh = meshes.facing(meshes.polygon_mesh(corners, place + meshes.PROUD / 2 * normal), normal)
    mesh.active_texture_coordinates = meshes.CORNER_PLACES
    plotter.add_mesh(mesh, texture=texture(textures.glow()), culling="back", lighting=False)


def _add_wall_patches(plotter: pv.Plotter, scene: Scene, view: View) -> None:
    for opening in scene.openings:
        size = (opening.end - opening.start, opening.top - opening.bottom)
        drawn = textures.window(*size) if opening.bottom > 0 else textures.door(*size)
        _flat_on_wall(plotter, opening, drawn, meshes.PROUD, view)
    if scene.screen:
        _flat_on_wall(plotter, scene.screen, textures.picture(), meshes.SCREEN_PROUD, view)


def _flat_on_wall(plotter: pv.Plotter, patch: WallPatch, drawn: textures.Pixels, proud: float, view: View) -> None:
    """An upright rectangle with a picture on it and edges round it; it is seen from the room alone."""
    if not view.sees_into(np.append(patch.wall.inward, 0.0), patch.corners).any():
        return
    mesh = meshes.patch_mesh(patch, proud)
    mesh.active_texture_coordinates = meshes.CORNER_PLACES
    plotter.add_mesh(mesh, texture=texture(drawn), culling="back", **SMOOTH)
    plotter.add_mesh(mesh.extract_feature_edges(boundary_edges=True), color=palette.INK, line_width=1.6)


def _add_seats(plotter: pv.Plotter, scene: Scene, seats: Sequence[Seat]) -> None:
    """A chair and a head for each of some seats; where it reclines, the head there too, paler."""
    main = main_seats(scene.seats)
    for seat in seats:
        if seat.reclined_from is None:
            color = palette.FABRIC_MAIN if seat in main else palette.FABRIC
            chair = seat_mesh(seat, float(scene.room.floor_under(seat.ear[:2])), scene.ahead, scene.seats)
            plotter.add_mesh(chair, color=color, **CLOTH)
        ink = palette.INK if seat.reclined_from is None else palette.HEAD_RECLINED
        plotter.add_mesh(meshes.head_mesh(seat), color=ink, opacity=1.0, smooth_shading=True, ambient=0.5)


def _add_speaker(plotter: pv.Plotter, scene: Scene, speaker: Speaker) -> None:
    if speaker.surface is None:
        _solid(plotter, meshes.cabinet_mesh(speaker), palette.SCREEN)
        if speaker.type.mount == "stand":
            stand = meshes.stand_mesh(speaker, float(scene.room.floor_under(speaker.position[:2])))
            if stand is not None:
                _solid(plotter, stand, palette.INK)
        return
    if speaker.rim is None:
        return
    hidden_from_behind = "back" if speaker.surface.kind == "wall" else None
    grille = shape_mesh(speaker.rim, speaker.surface)
    grille.active_texture_coordinates = speaker.surface.to_face(grille.points) / (HOLES_ACROSS * PITCH)
    sheet = texture(textures.perforation(HOLES_ACROSS))
    plotter.add_mesh(grille, color=palette.GRILLE, texture=sheet, culling=hidden_from_behind, **SMOOTH)
    rim = ring_mesh(speaker.rim, speaker.surface, RIM_WIDTH, 2 * meshes.PROUD)
    plotter.add_mesh(rim, color=palette.RIM, lighting=False)


def add_cone(plotter: pv.Plotter, scene: Scene, speaker: Speaker, color: str, view: View, *, filled: bool) -> None:
    """The cone of a speaker's coverage limit as the room trims it: its side if `filled`, its rim and its axis.

    The rim is faint where it lies on a face that is left out of the view, so that it does not hang in the air.
    """
    ends = cone_ends(scene, speaker)
    if filled:
        plotter.add_mesh(meshes.cone_mesh(speaker.position, ends), color=color, opacity=CONE_OPACITY, lighting=False)
    seen, behind = parted_by_sight(scene, rim_runs(speaker, ends), view)
    if seen:
        plotter.add_mesh(meshes.ring_lines(seen), color=color, line_width=6)
    if behind:
        plotter.add_mesh(meshes.ring_lines(behind), color=color, line_width=3, opacity=FAINT_RIM)
    plotter.add_mesh(axis_mesh(speaker), color=color, lighting=False)


def add_heat(plotter: pv.Plotter, plane: ListeningPlane, angles: Map) -> None:
    """Off-axis angles (ny, nx), degrees, as stepped colors on the listening plane."""
    x, y = np.meshgrid(plane.x, plane.y)
    grid = pv.StructuredGrid(x, y, plane.height + meshes.PROUD)
    grid.point_data["angle"] = np.nan_to_num(angles, nan=-1.0).ravel(order="F")
    sheet = grid.threshold((0.0, 360.0), scalars="angle", all_scalars=True).extract_surface(algorithm="dataset_surface")
    if sheet.n_cells == 0:
        return
    last = palette.OFF_AXIS_EDGES[-1] + palette.OFF_AXIS_STEP
    sheet.point_data["angle"] = np.minimum(sheet.point_data["angle"], last - 0.01)
    plotter.add_mesh(
        sheet,
        scalars="angle",
        clim=(0.0, last),
        cmap=palette.OFF_AXIS_COLORS,
        n_colors=len(palette.OFF_AXIS_COLORS),
        interpolate_before_map=True,
        show_scalar_bar=False,
        lighting=False,
        opacity=HEAT_OPACITY,
    )


def add_light(plotter: pv.Plotter, plane: ListeningPlane, colors: textures.Pixels) -> None:
    """Colors (ny, nx, 4) on the listening plane, with their opacity."""
    x, y = np.meshgrid(plane.x, plane.y)
    grid = pv.StructuredGrid(x, y, plane.height + meshes.PROUD)
    grid.point_data["light"] = colors.reshape(-1, 4, order="F")
    plotter.add_mesh(grid, scalars="light", rgb=True, lighting=False)


def add_limit(plotter: pv.Plotter, scene: Scene, speaker: Speaker, color: str = palette.LIMIT) -> None:
    """The line on the listening plane in which a speaker's coverage ends."""
    for line in limit_lines(scene, speaker):
        plotter.add_mesh(meshes.ring_lines([line]), color=color, line_width=7 if color == palette.LIMIT else 5)


def light_stage(plotter: pv.Plotter, strength: float = 1.0) -> None:
    """Soft light from the camera, from above, from the sides and, for ceilings, back up from the floor.

    Weaker than a `strength` of 1 it is dusk.
    """
    plotter.add_light(pv.Light(light_type="headlight", intensity=0.20 * strength))
    for way, share in LAMPS:
        lamp = pv.Light(position=way, focal_point=(0, 0, 0), intensity=share * strength)
        lamp.positional = False
        plotter.add_light(lamp)
    plotter.renderer.SetAmbient(3 * [strength])

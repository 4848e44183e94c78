"""Sets the scene for a picture in three dimensions: the room, what is in it, cones and heat maps."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pyvista as pv

from earshed.model.coverage import Map
from earshed.model.geometry import UP
from earshed.model.hidden import ExistingHole
from earshed.model.listening_plane import ListeningPlane
from earshed.model.scene import Scene
from earshed.model.seating import Seat, main_seats
from earshed.model.speaker import Speaker
from earshed.viewer import meshes, palette
from earshed.viewer.cone_meshes import axis_mesh, cone_ends, limit_lines, rim_runs
from earshed.viewer.fixture_meshes import fixture_parts, opening_parts, ring_mesh, shape_mesh
from earshed.viewer.hidden_meshes import framing_parts, keep_out_parts, keep_out_patch, old_hole_parts

SKIN_COLORS = {
    "floor": palette.FLOOR, "wall": palette.WALL, "ceiling": palette.CEILING, "soffit": palette.SOFFIT,
    "side": palette.CEILING, "riser": palette.RISER, "deck": palette.DECK,
}  # fmt: skip
CONE_OPACITY = 0.10
HEAT_OPACITY = 0.92
SECTION_LIFT = 0.01
"""Metres by which a section is drawn over the level that it is cut at."""
SMOOTH = {"smooth_shading": False, "specular": 0.0, "ambient": 0.76, "diffuse": 0.30}


def set_stage(plotter: pv.Plotter, scene: Scene, *, seen_from: Seat | None) -> None:
    """The room as a dollhouse, what is behind its faces as if it showed through, and what is in it.

    The seat that the picture is `seen_from` is left out, chair and heads.
    """
    seats = [seat for seat in scene.seats if seen_from is None or seat.chair != seen_from.chair]
    add_shell(plotter, scene)
    _add_framing(plotter, scene)
    _add_hidden(plotter, scene)
    add_things(plotter, scene, seats)


def add_shell(plotter: pv.Plotter, scene: Scene, *, cut: float | None = None) -> None:
    """Faces and boxes; those towards the camera are left out, so one sees in from any side.

    Seen from below a level `cut` through the room, what stands on the floor shows as the section that it has there.
    """
    skin = scene.room.skin
    for kind, triangles in skin.items():
        plotter.add_mesh(meshes.skin_mesh(triangles), color=SKIN_COLORS[kind], culling="front", **SMOOTH)
    edges = meshes.skin_mesh(np.concatenate(list(skin.values()))).extract_feature_edges(12)
    plotter.add_mesh(edges, color=palette.SOFT_INK, line_width=2.2)
    for box in scene.room.bodies:
        if cut is not None and float(box.lower[2]) <= cut:
            if box.top > cut:
                section = np.column_stack([box.corners, np.full(len(box.corners), cut)])
                _solid(plotter, meshes.polygon_mesh(section, SECTION_LIFT * UP), palette.SOFFIT)
            continue
        shown = scene.room.shown_of(box)
        if len(shown):
            _solid(plotter, meshes.skin_mesh(shown), palette.WOOD if box.kind == "beam" else palette.SOFFIT)


def add_things(plotter: pv.Plotter, scene: Scene, seats: Sequence[Seat]) -> None:
    """Openings, the picture, fixtures, speakers, and some of the seats."""
    _add_wall_patches(plotter, scene)
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
    plotter.add_mesh(mesh.extract_feature_edges(30), color=palette.SOFT_INK, line_width=1.6)


def _add_framing(plotter: pv.Plotter, scene: Scene) -> None:
    """Members at their true width, as if they showed through the board."""
    for framing in scene.framing:
        for surface in framing.surfaces:
            for mesh, color, opacity in framing_parts(framing, surface):
                plotter.add_mesh(mesh, color=color, opacity=opacity, culling="back", lighting=False)


def _add_hidden(plotter: pv.Plotter, scene: Scene) -> None:
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
        for mesh, color in fixture_parts(fixture):
            hung = fixture.hanging is not None and color != palette.LAMP
            plotter.add_mesh(mesh, color=color, **(SMOOTH if hung else {"lighting": False}))
    for opening in scene.ceiling_openings:
        for mesh, color in opening_parts(opening):
            plotter.add_mesh(mesh, color=color, culling="back", lighting=False)


def _add_wall_patches(plotter: pv.Plotter, scene: Scene) -> None:
    for opening in scene.openings:
        _flat_on_wall(
            plotter,
            meshes.patch_mesh(opening),
            palette.GLASS if opening.bottom > 0 else palette.DOOR,
        )
    if scene.screen:
        _flat_on_wall(plotter, meshes.patch_mesh(scene.screen, proud=meshes.SCREEN_PROUD), palette.SCREEN)


def _flat_on_wall(plotter: pv.Plotter, mesh: pv.PolyData, color: str) -> None:
    plotter.add_mesh(mesh, color=color, culling="back", **SMOOTH)
    plotter.add_mesh(mesh.extract_feature_edges(boundary_edges=True), color=palette.INK, line_width=1.6)


def _add_seats(plotter: pv.Plotter, scene: Scene, seats: Sequence[Seat]) -> None:
    """A chair and a head for each of some seats; where it reclines, the head there too, paler."""
    main = main_seats(scene.seats)
    for seat in seats:
        if seat.reclined_from is None:
            color = palette.FABRIC_MAIN if seat in main else palette.FABRIC
            _solid(plotter, meshes.seat_mesh(seat, float(scene.room.floor_under(seat.ear[:2])), scene.ahead), color)
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
    plotter.add_mesh(grille, color=palette.GRILLE, culling=hidden_from_behind, **SMOOTH)
    width = 0.14 * speaker.rim.reach(np.array([1.0, 0.0]))
    rim = ring_mesh(speaker.rim, speaker.surface, width, 2 * meshes.PROUD)
    plotter.add_mesh(rim, color=palette.INK, lighting=False)


def add_cone(plotter: pv.Plotter, scene: Scene, speaker: Speaker, color: str, *, filled: bool) -> None:
    """The cone of a speaker's coverage limit as the room trims it: its side if `filled`, its rim and its axis."""
    ends = cone_ends(scene, speaker)
    if filled:
        plotter.add_mesh(meshes.cone_mesh(speaker.position, ends), color=color, opacity=CONE_OPACITY, lighting=False)
    for run in rim_runs(speaker, ends):
        plotter.add_mesh(meshes.ring_lines([run]), color=color, line_width=6)
    plotter.add_mesh(axis_mesh(speaker), color=color, lighting=False)


def add_heat(plotter: pv.Plotter, plane: ListeningPlane, angles: Map) -> None:
    """Off-axis angles (ny, nx), degrees, as stepped colors on the listening plane."""
    x, y = np.meshgrid(plane.x, plane.y)
    grid = pv.StructuredGrid(x, y, plane.height)
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


def add_limit(plotter: pv.Plotter, scene: Scene, speaker: Speaker) -> None:
    """The line on the listening plane in which a speaker's coverage ends."""
    for line in limit_lines(scene, speaker):
        plotter.add_mesh(meshes.ring_lines([line]), color=palette.LIMIT, line_width=7)


def light_stage(plotter: pv.Plotter, scene: Scene) -> None:
    """Soft light from the camera and from over the room."""
    low, high = scene.room.shell.vertices.min(axis=0), scene.room.shell.vertices.max(axis=0)
    plotter.add_light(pv.Light(light_type="headlight", intensity=0.55))
    for dx, dy, strength in ((0.2, 0.1, 0.40), (0.85, 0.75, 0.28)):
        place = low + (high - low) * np.array([dx, dy, 1.0]) + 4 * UP
        plotter.add_light(pv.Light(position=tuple(place), focal_point=tuple((low + high) / 2), intensity=strength))

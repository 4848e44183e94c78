"""Builds what is behind the board from the checked keys of a file: cavities, hidden things, old holes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import get_args

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from earshed.model.cavity import CavitySpec, Insulation
from earshed.model.clearances import Clearances
from earshed.model.face_shape import FaceShape, hull_shape, rectangle_shape, round_shape
from earshed.model.framing import Direction, Framing, members_on, runs_along
from earshed.model.geometry import TOUCHING, Array, frozen
from earshed.model.hidden import ExistingHole, KeepOut
from earshed.model.hole import cut_shape
from earshed.model.room import Room
from earshed.model.scene_file.messages import Path
from earshed.model.scene_file.mountings import face_of_wall, patch_overhead, place_on_face
from earshed.model.scene_file.places import Tape, suggest
from earshed.model.scene_file.problem import Misfit
from earshed.model.scene_file.schema import SceneFile
from earshed.model.scene_file.schema_framing import CavityFile, ExistingHoleFile, KeepOutFile
from earshed.model.speaker_type import Rectangular
from earshed.model.surface import Surface

GROUPS = ("ceiling", "walls")
"""Names that stand for all faces of a kind."""


def build_cavities(file: SceneFile, room: Room) -> dict[str, CavitySpec]:
    """What is said of cavities, by face. What is said of one face stands over what is said of all of its kind."""
    faces = {surface.name: surface for surface in (*room.surfaces, *room.soffits)}
    for name in file.cavities:
        if name not in (*GROUPS, *faces):
            hint = suggest(name, {**dict.fromkeys(GROUPS), **faces})
            raise Misfit(f"there is no face called {name}{hint}", ("cavities", name), at_key=True)
    groups = {name: entry for name, entry in file.cavities.items() if name in GROUPS}
    specs = {name: _cavity(entry) for name, entry in groups.items()}
    for name, entry in file.cavities.items():
        if name not in GROUPS:
            group = groups.get("walls" if faces[name].kind == "wall" else "ceiling")
            said = {key: getattr(entry, key) for key in entry.model_fields_set}
            specs[name] = _cavity(group.model_copy(update=said) if group else entry)
    return specs


def _cavity(entry: CavityFile) -> CavitySpec:
    is_open = entry.depth is not None and math.isinf(entry.depth)
    insulation = None
    if entry.insulation is not None:
        kind, thickness = entry.insulation.kind_and_size
        insulation = Insulation(kind, None if math.isinf(thickness) else thickness)
    return CavitySpec(None if is_open else entry.depth, is_open, entry.board, insulation, entry.vent_gap or 0.0)


def build_keep_outs(
    file: SceneFile, room: Room, tape: Tape, framing: Sequence[Framing], clearances: Clearances
) -> Iterator[KeepOut]:
    """What was found behind the board. Raises Misfit, with the path of the key."""
    areas = _areas(room) if file.keep_outs else []
    for index, entry in enumerate(file.keep_outs):
        path: Path = ("keep_outs", index)
        surface, shape = _placed(entry, room, tape, path)
        if entry.whole_bay:
            parts = [(surface, _bay_of(shape, surface, framing, (*path, "whole_bay")))]
        else:
            parts = [(surface, shape), *_on_others(shape, surface, areas)]
        clear = entry.keep_clear if entry.keep_clear is not None else clearances.of(entry.kind)
        within = entry.sure if entry.sure is not None else clearances.tolerance
        for face, part in parts:
            yield KeepOut(entry.name, entry.kind, face, part, clear, within, entry.behind)


def _areas(room: Room) -> list[tuple[Surface, BaseGeometry]]:
    """The faces that look down, each with what shows of it from below, on the plan."""
    soffits = shapely.union_all([face.plan_area for face in room.soffits])
    ceilings = [face for face in room.surfaces if face.kind == "ceiling"]
    shown = [(face, face.plan_area.difference(soffits)) for face in ceilings]
    return [*shown, *((face, face.plan_area) for face in room.soffits)]


def _on_others(
    shape: FaceShape, surface: Surface, areas: Sequence[tuple[Surface, BaseGeometry]]
) -> Iterator[tuple[Surface, FaceShape]]:
    """The parts of what lies over a crease that are on other faces than its middle."""
    if surface.kind == "wall":
        return
    plan = shapely.Polygon(shape.edge_on(surface)[:, :2])
    for face, area in areas:
        common = plan.intersection(area) if face.name != surface.name else shapely.Polygon()
        if common.area > TOUCHING:
            yield face, hull_shape(face.to_face(face.over(shapely.get_coordinates(common))))


def _placed(entry: KeepOutFile, room: Room, tape: Tape, path: Path) -> tuple[Surface, FaceShape]:
    if entry.between is not None:
        return _run(entry, room, path)
    if entry.diameter is not None:
        position, surface = place_on_face(entry, room, tape, path)
        return surface, round_shape(surface.to_face(position), entry.diameter)
    assert entry.width is not None
    if entry.wall is not None:
        assert entry.bottom is not None
        assert entry.height is not None
        wall, face = face_of_wall(entry.wall, room, tape, path)
        start, end = tape.span(entry, wall, entry.width, path)
        corners = [wall.point(x, z) for x in (start, end) for z in (entry.bottom, entry.bottom + entry.height)]
        return face, hull_shape(face.to_face(np.array(corners)))
    assert entry.length is not None
    return patch_overhead(entry, entry.width, entry.length, room, tape, path)


def _run(entry: KeepOutFile, room: Room, path: Path) -> tuple[Surface, FaceShape]:
    """A straight run, `width` wide, on the face over its middle."""
    assert entry.width is not None
    ends = np.array(entry.between) * [1.0, -1.0]
    if np.allclose(*ends):
        raise Misfit("its two ends are the same place", (*path, "between"))
    surface = room.overhead(ends.mean(axis=0))[1]
    start, end = surface.to_face(surface.over(ends))
    length = float(np.linalg.norm(end - start))
    return surface, rectangle_shape((start + end) / 2, (end - start) / length, length, entry.width)


def _bay_of(shape: FaceShape, surface: Surface, framing: Sequence[Framing], path: Path) -> FaceShape:
    """The whole bay, between two members, that the middle of a shape lies in."""
    center = shape.core.centroid
    if surface.outline.distance(center) > TOUCHING:
        raise Misfit(f"its middle lies past the edge of {surface.called}, in no bay", path)
    middle = np.array(center.coords[0])
    for run in framing:
        if run.is_grid or run.under is not None or surface.name not in [face.name for face in run.surfaces]:
            continue
        along = surface.frame @ runs_along(run.direction, surface.normal)
        aside = np.array([-along[1], along[0]])
        corners = shapely.get_coordinates(surface.outline)
        low, high = float((corners @ aside).min()), float((corners @ aside).max())
        at = float(middle @ aside)
        for member in members_on(run, surface):
            place, half = float(member.line[0] @ aside), member.mark.thickness / 2
            if abs(place - at) < half:
                raise Misfit(f"its middle lies on one of the {run.name}, not in a bay", path)
            if place < at:
                low = max(low, place + half)
            else:
                high = min(high, place - half)
        reach = corners @ along
        return hull_shape(np.array([u * along + v * aside for u in (reach.min(), reach.max()) for v in (low, high)]))
    raise Misfit(f"whole_bay needs framing behind {surface.called}", path)


def build_existing_holes(file: SceneFile, room: Room, tape: Tape) -> Iterator[ExistingHole]:
    """Holes that are there already. Raises Misfit, with the path of the key."""
    for index, entry in enumerate(file.existing_holes):
        path: Path = ("existing_holes", index)
        position, surface = place_on_face(entry, room, tape, path)
        long_axis = _long_axis(entry, surface, path)
        shape = cut_shape(entry.cutout, surface, surface.to_face(position), long_axis)
        yield ExistingHole(entry.name, frozen(position), surface, entry.cutout, long_axis, shape)


def _long_axis(entry: ExistingHoleFile, surface: Surface, path: Path) -> Array | None:
    if not isinstance(entry.cutout, Rectangular):
        if entry.long_axis is not None:
            raise Misfit("a round hole has no long axis", (*path, "long_axis"))
        return None
    if entry.long_axis is None and surface.kind != "wall":
        raise Misfit(f"needs `long_axis`, the way the hole lies: one of {', '.join(get_args(Direction))}", path)
    try:
        return frozen(runs_along(entry.long_axis or "up-slope", surface.normal))
    except ValueError:
        raise Misfit(f"{entry.long_axis} stands square to its face", (*path, "long_axis")) from None
